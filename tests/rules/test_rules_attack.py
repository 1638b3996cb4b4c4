"""Who provokes, who attacks whom, who only displays: two or three fish staged in a bare tank."""

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED, SWIMMING
from rockshy.sim.rules.attack import attack, attack_rate, choose_target, goes_for_it, stands_ground
from rockshy.sim.rules.notice import look_home, notice
from rockshy.sim.rules.territory import nearness, provocation
from staging import (
    OWN,
    at,
    hole,
    holes,
    kind,
    near,
    needs_compiling,
    put,
    put_in,
    row,
    share,
    stage,
    still,
)

OTHER, GRAZER = "Scena altera", "Scena pascens"


# ---- what provokes


def owner_and(*others, x, **how):
    """An owner, at home in a hole at the left, and others all at one place at a distance in cells."""
    model = stage(row(males=1), *others, rock=holes(hole(2.5)), **how)
    still(model)
    model.shoal.fish.cell[0] = model.tank.refuge_cell[0]
    model.shoal.fish.centre[0] = 0
    for i in range(1, len(model.people)):
        put(model, i, x, 4, 1)
    return model


def provoked_by(model):
    return [provocation(0, j, *at(model)) for j in range(1, len(model.people))]


def test_radii_are_nested_own_males_own_females_same_diet_others():
    """Source: Robinson1996; MatsumotoKohda2004; Kohda1998."""
    model = owner_and(
        row(males=1), row(females=1), row(OTHER, males=1), row(GRAZER, males=1),
        kinds=(kind(GRAZER, guild="A"),), x=9,
    )  # fmt: skip
    own_male, own_female, same_diet, other = provoked_by(model)
    assert own_male > own_female > same_diet > other > 0.0


@pytest.mark.parametrize("radius_own_rival", [1.5, 4.0])
def test_provocation_is_one_half_at_the_radius(radius_own_rival):
    model = owner_and(row(males=1), x=9, parameters={"radius_own_rival": radius_own_rival})
    far = model.tank.path[0, model.shoal.fish.cell[1]] * 5.0 / 3.0
    radius = radius_own_rival * 40.0
    assert provoked_by(model)[0] == pytest.approx(1 / (1 + (far / radius) ** 4))
    assert nearness(radius * radius, radius) == 0.5


@pytest.mark.parametrize(
    ("attacker", "other", "radius"),
    [
        ("male", "male", "radius_own_rival"),
        ("male", "female", "radius_own_other"),
        ("female", "male", "radius_own_other"),
        ("female", "female", "radius_own_other"),
    ],
)
def test_of_a_harem_species_only_males_have_the_widest_radius_and_only_against_males(attacker, other, radius):
    """Females do not defend: a male of their kind is no rival. Provocation is one half at radius times share.

    Core radius 40 cm, individual distance one half: 15 cm or 30 cm of open water between the two.
    Source: Robinson1996; MatsumotoKohda2004 (who is a rival); assumption (individual distance).
    """
    model = stage(
        row(**{f"{attacker}s": 1}), row(**{f"{other}s": 1}), kinds=(kind(mating="harem", defends="male"),),
        parameters={"radius_own_rival": 1.5, "radius_own_other": 0.75, "individual_distance": 0.5},
    )  # fmt: skip
    cells = {"radius_own_rival": 6, "radius_own_other": 3}
    put(model, 0, 1, 4, 4)
    put(model, 1, 1 + cells.pop(radius), 4, 4)
    assert provoked_by(model) == pytest.approx([0.5])
    put(model, 1, 1 + cells.popitem()[1], 4, 4)
    assert provoked_by(model)[0] == pytest.approx(1 / 17 if radius == "radius_own_other" else 16 / 17)


@pytest.mark.parametrize("other", ["male", "female"])
def test_where_both_sexes_defend_the_rival_is_of_the_own_sex(other):
    model = stage(
        row(females=1), row(**{f"{other}s": 1}), kinds=(kind(defends="both"),),
        parameters={"radius_own_rival": 1.5, "radius_own_other": 0.75, "individual_distance": 0.5},
    )  # fmt: skip
    put(model, 0, 1, 4, 4)
    put(model, 1, 7 if other == "female" else 4, 4, 4)
    assert provoked_by(model) == pytest.approx([0.5])


def test_a_fish_without_a_territory_is_provoked_only_from_close_by():
    model = owner_and(row(males=1), x=9)
    at_home = provoked_by(model)[0]
    model.shoal.fish.centre[0] = -1
    assert provoked_by(model)[0] < 0.05 < at_home
    put(model, 1, *(model.tank.xyz[model.shoal.fish.cell[0]] + [1, 0, 0]))
    assert provoked_by(model)[0] > 0.9


@pytest.mark.parametrize("mating", ["pair", "group", "harem"])
def test_mates_do_not_provoke_each_other(mating):
    model = owner_and(row(females=1), x=1, kinds=(kind(mating=mating, defends="both"),))
    assert (provoked_by(model)[0] == 0.0) == (mating != "harem")


def test_a_rival_of_another_pair_does_provoke():
    model = stage(row(males=2, females=2), kinds=(kind(mating="pair", defends="both"),))
    silent = {(i, j) for i in range(4) for j in range(4) if i != j and model.shoal.pair.weight[i, j] == 0.0}
    bonds = model.shoal.fish.bond
    assert silent == {(i, j) for i in range(4) for j in range(4) if i != j and bonds[i] == bonds[j]}
    assert len(silent) == 4


def test_holding_females_and_young_fish_provoke_less():
    parameters = {"holding_weight": 0.5, "juvenile_weight": 0.3}
    model = owner_and(
        row(females=2, holding=1), row(females=1, length=3.9), row(females=1, length=4.1),
        x=5, parameters=parameters,
    )  # fmt: skip
    holding, female, young, just_adult = provoked_by(model)
    assert holding == pytest.approx(0.5 * female)
    assert young == pytest.approx(0.3 * female)
    assert just_adult == pytest.approx(female)


def test_a_familiar_neighbour_provokes_less():
    model = owner_and(row(males=1), x=5, parameters={"familiar_weight": 0.4})
    stranger = provoked_by(model)[0]
    model.shoal.pair.familiar[0, 1] = 1.0
    assert provoked_by(model)[0] == pytest.approx(0.4 * stranger)


def test_neighbours_in_view_get_used_to_each_other():
    """After the stated time the familiarity is 1 - 1/e (closed form)."""
    model = owner_and(row(males=1), x=5, parameters={"familiar_s": 600.0})
    for _ in range(round(600 / 5)):
        notice(0, *at(model))
    assert model.shoal.pair.familiar[0, 1] == pytest.approx(1 - np.exp(-1))
    assert model.shoal.pair.familiar[1, 0] == 0.0, "the other one has not looked"


def test_a_fish_in_a_contest_or_in_a_hole_too_small_for_the_owner_does_not_provoke():
    model = stage(row(males=1), row(females=1, length=6.0), rock=holes(hole(2.5), hole(22.5, mouth_cm=2.0)))
    model.shoal.fish.centre[0] = 0
    put_in(model, 1, 1)
    assert provocation(0, 1, *at(model)) == 0.0
    model.shoal.fish.doing[1] = SWIMMING
    assert provocation(0, 1, *at(model)) > 0.0
    model.shoal.fish.doing[1] = CONTESTING
    assert provocation(0, 1, *at(model)) == 0.0


def test_only_who_is_in_view_is_summed_up():
    model = stage(row(males=3), rock=holes(hole(2.5)))
    for i, x in enumerate((2, 6, 10)):
        put(model, i, x, 4, 4)
    notice(0, *at(model))
    alone = [provocation(0, j, *at(model)) for j in (1, 2)]
    assert model.shoal.fish.provoked[0] == pytest.approx(sum(alone))
    model.water.sight[model.shoal.fish.cell[0]] = 0
    notice(0, *at(model))
    assert model.shoal.fish.provoked[0] == 0.0


def test_at_home_means_inside_the_core_of_ones_own_territory():
    model = owner_and(row(males=1), x=9)
    for x, wanted in ((3, True), (11, False)):
        put(model, 0, x, 4, 1)
        look_home(0, model.water, model.shoal)
        assert bool(model.shoal.fish.at_home[0]) == wanted
        assert model.shoal.fish.home[0] == 0
    put(model, 1, 3, 4, 1)
    look_home(1, model.water, model.shoal)
    assert not model.shoal.fish.at_home[1], "it owns nothing"


# ---- how often


def test_the_rate_of_attack_saturates_and_scales_with_temper_and_falls_with_fright():
    model = stage(row(males=1), parameters={"attack_rate_s": 0.02, "provocation_half": 0.1})
    fish = model.shoal.fish

    def rate(provoked, temper=1.0, fright=0.0):
        fish.provoked[0], fish.temper[0], fish.fright[0] = provoked, temper, fright
        return attack_rate(0, model.shoal, model.parameters)

    assert rate(0.0) == 0.0
    assert rate(0.1) == pytest.approx(0.01)
    assert rate(1e9) == pytest.approx(0.02)
    assert rate(0.1, temper=1.7) == pytest.approx(1.7 * rate(0.1))
    assert rate(0.1, fright=0.25) == pytest.approx(0.75 * rate(0.1))
    assert rate(0.1, fright=1.0) == 0.0
    assert rate(0.1, temper=0.0) == 0.0


# ---- whom


def two_targets(look_alike):
    """An owner midway between two equal fish of other kinds, the first in its own colours."""
    same = {"pattern_male": f"{OWN} male", "pattern_female": f"{OWN} male"}
    model = stage(
        row(males=1), row(OTHER, males=1), row(GRAZER, males=1),
        kinds=(kind(OTHER, **same), kind(GRAZER)), parameters={"look_alike": look_alike},
    )  # fmt: skip
    for i, x in enumerate((5, 3, 7)):
        put(model, i, x, 4, 4)
    return model


@pytest.mark.parametrize("look_alike", [1.0, 1.5, 3.0])
def test_of_two_targets_the_look_alike_gets_more(look_alike):
    """In proportion to its weight (binomial, 4 standard errors). Source: Pauers2008."""
    model = two_targets(look_alike)
    targets = np.array([choose_target(0, tick, *at(model)) for tick in range(2000)])
    assert set(targets) == {1, 2}
    assert (targets == 1).mean() == near(look_alike / (1 + look_alike), 2000)


def test_the_total_does_not_depend_on_colour():
    """Source: Pauers2008."""
    rates = []
    for look_alike in (1.0, 3.0):
        model = two_targets(look_alike)
        notice(0, *at(model))
        rates.append(attack_rate(0, model.shoal, model.parameters))
    assert rates[0] == rates[1] > 0.0


def test_targets_are_chosen_in_proportion_to_their_provocation():
    model = stage(row(males=1), row(OTHER, males=2))
    for i, x in enumerate((2, 4, 6)):
        put(model, i, x, 4, 4)
    w = [provocation(0, j, *at(model)) for j in (1, 2)]
    targets = np.array([choose_target(0, tick, *at(model)) for tick in range(3000)])
    assert (targets == 1).mean() == near(w[0] / sum(w), 3000)


def test_with_nobody_in_view_nobody_is_chosen():
    model = stage(row(males=2))
    model.water.sight[:] = 0
    assert choose_target(0, 1, *at(model)) == -1
    assert not attack(0, 1, *at(model), model.ledger, np.inf)


# ---- approach, display, standing


def pair_of(length, other, **how):
    model = stage(row(males=1, length=length), row(OTHER, males=1, length=other), **how)
    still(model)
    put(model, 0, 3, 4, 4)
    put(model, 1, 5, 4, 4)
    return model


def logistic(x):
    return 1 / (1 + np.exp(-x))


@pytest.mark.parametrize("ratio", [0.8, 0.95, 1.0, 1.05, 1.25])
def test_it_approaches_smaller_fish_and_only_displays_to_larger_ones(ratio):
    """Chance logistic(20 ln ratio + 0.5), 4 standard errors. Source: Kohda1991 (the pattern)."""
    model = pair_of(10.0 * ratio, 10.0)
    goes = share(1500, lambda tick: goes_for_it(0, 1, tick, model.shoal, model.parameters))
    assert goes == near(logistic(20 * np.log(ratio) + 0.5), 1500)


@pytest.mark.parametrize("ratio", [0.8, 0.9, 1.0, 1.1])
def test_a_matched_fish_stands_its_ground_and_a_smaller_one_gives_way(ratio):
    """Chance logistic(20 ln ratio + 2), 4 standard errors. Source: KadryBarreto2010 (matched fish fight)."""
    model = pair_of(10.0, 10.0 * ratio)
    stands = share(1500, lambda tick: stands_ground(1, 0, tick, *at(model)))
    assert stands == near(logistic(20 * np.log(ratio) + 2.0), 1500)


@pytest.mark.parametrize("doing", [SHELTERED, FLEEING, CONTESTING])
def test_a_fish_that_is_not_swimming_does_not_stand(doing):
    model = pair_of(6.0, 12.0)
    assert stands_ground(1, 0, 1, *at(model))
    model.shoal.fish.doing[1] = doing
    model.shoal.fish.refuge[1] = 0
    assert not stands_ground(1, 0, 1, *at(model))


def test_an_attack_is_a_chase_or_a_display_and_counted_as_such():
    bold = pair_of(12.0, 6.0)
    assert attack(0, 7, *at(bold), bold.ledger, np.inf)
    assert bold.shoal.fish.doing[0] == CHASING
    assert bold.shoal.fish.target[0] == 1
    assert not bold.shoal.fish.resists[0]
    assert bold.ledger.pair.attacks.tolist() == [[0, 1], [0, 0]]
    assert bold.ledger.pair.displays.sum() == bold.ledger.pair.chases.sum() == 0, "nobody has fled yet"
    shy = pair_of(6.0, 12.0)
    assert not attack(0, 7, *at(shy), shy.ledger, np.inf)
    assert shy.shoal.fish.doing[0] == SWIMMING
    assert shy.ledger.pair.displays.tolist() == [[0, 1], [0, 0]]
    assert shy.ledger.pair.attacks.sum() == 0


@pytest.mark.parametrize(("rate", "fires"), [(0.0, False), (np.inf, True)])
def test_a_rate_of_zero_never_fires_and_of_infinity_always(rate, fires):
    model = pair_of(12.0, 6.0)
    for tick in range(500):
        model.shoal.fish.doing[0] = SWIMMING
        assert attack(0, tick, *at(model), model.ledger, rate) == fires


@needs_compiling
def test_in_a_run_the_large_male_chases_and_the_small_female_flees():
    model = pair_of(12.0, 6.0, keep=True, days=0.1)
    model.run()
    chases = model.ledger.pair.chases
    assert chases[0, 1] > 5
    assert chases[1, 0] == 0
    assert model.ledger.fish.shape == (2,)
