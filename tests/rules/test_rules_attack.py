"""Who provokes, who attacks whom, who only displays: two or three fish staged in a bare tank."""

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED, SWIMMING
from rockshy.sim.rules.attack import attack, attack_rate, choose_target, goes_for_it, lets_be, stands_ground
from rockshy.sim.rules.notice import look_round
from rockshy.sim.rules.senses import distance_cm
from rockshy.sim.rules.territory import nearness, provocation
from staging import (
    OWN,
    at,
    claim,
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


def owner_and(*others, x, claims=1.0, **how):
    """An owner of all the tank, in a hole at the left, and others all at one place at a distance in cells."""
    model = stage(row(males=1), *others, rock=holes(hole(2.5)), **how)
    still(model)
    model.shoal.fish.cell[0] = model.tank.refuge_cell[0]
    claim(model, 0, claims)
    for i in range(1, len(model.people)):
        put(model, i, x, 4, 1)
    return model


def provoked_by(model):
    return [provocation(0, j, *at(model)) for j in range(1, len(model.people))]


def apart_cm(model):
    return distance_cm(*model.shoal.fish.cell[:2], model.water)


def test_rivals_are_minded_from_farthest_then_own_kind_and_the_same_diet_then_others():
    """Source: Robinson1996; MatsumotoKohda2004; Kohda1998; Genner1999."""
    model = owner_and(
        row(males=1), row(females=1), row(OTHER, males=1), row(GRAZER, males=1),
        kinds=(kind(GRAZER, guild="A"),), x=9,
    )  # fmt: skip
    own_male, own_female, same_diet, other = provoked_by(model)
    assert own_male > own_female == same_diet > other > 0.0


@pytest.mark.parametrize("radius_cm", [30.0, 50.0])
def test_provocation_on_ones_own_ground_is_one_half_at_the_radius(radius_cm):
    model = owner_and(row(males=1), x=9, kinds=(kind(radius_cm=radius_cm),))
    assert provoked_by(model)[0] == pytest.approx(1 / (1 + (apart_cm(model) / radius_cm) ** 4))
    assert nearness(radius_cm * radius_cm, radius_cm) == 0.5


@pytest.mark.parametrize(
    ("other", "tolerated"),
    [(row(males=1), 0.0), (row(females=1), 0.3), (row(OTHER, males=1), 0.3), (row(GRAZER, males=1), 0.6)],
)
def test_others_are_let_be_where_a_fish_claims_no_more_than_it_tolerates(other, tolerated):
    """Beyond that in proportion to the claim; rivals nowhere. Source: Genner1999; assumption."""
    found = []
    for claims in (0.0, tolerated, 0.5 * (1 + tolerated), 1.0):
        model = owner_and(
            other, x=7, claims=claims, kinds=(kind(GRAZER, guild="A"),),
            parameters={"tolerance": 0.6, "individual_distance": 1e-3},
        )  # fmt: skip
        found.append(provoked_by(model)[0])
    none, let, half, full = found
    assert none == pytest.approx(let) == pytest.approx(0.0, abs=1e-9)
    assert half == pytest.approx(0.5 * full)
    radius = 40.0 * (1 - tolerated)
    assert full == pytest.approx(1 / (1 + (apart_cm(model) / radius) ** 4))


@pytest.mark.parametrize(
    ("attacker", "other", "cells"),
    [("male", "male", 4), ("male", "female", 3), ("female", "male", 3), ("female", "female", 3)],
)
def test_of_a_harem_species_only_males_are_rivals_and_only_of_males(attacker, other, cells):
    """Females do not defend: a male of their kind is no rival. Provocation is one half at radius times share.

    Core radius 40 cm, half of a tolerance of one half for own kind that is no rival, individual distance one
    half: 20 cm or 15 cm of open water between the two, where nothing is claimed.
    Source: Robinson1996; MatsumotoKohda2004 (who is a rival); assumption (individual distance).
    """
    model = stage(
        row(**{f"{attacker}s": 1}), row(**{f"{other}s": 1}), kinds=(kind(mating="harem", defends="male"),),
        parameters={"tolerance": 0.5, "individual_distance": 0.5},
    )  # fmt: skip
    put(model, 0, 1, 4, 4)
    for away in (3, 4):
        put(model, 1, 1 + away, 4, 4)
        assert provoked_by(model) == pytest.approx([1 / (1 + (away / cells) ** 4)])


@pytest.mark.parametrize("other", ["male", "female"])
def test_where_both_sexes_defend_the_rival_is_of_the_own_sex(other):
    model = stage(
        row(females=1), row(**{f"{other}s": 1}), kinds=(kind(defends="both"),),
        parameters={"tolerance": 0.5, "individual_distance": 0.5},
    )  # fmt: skip
    put(model, 0, 1, 4, 4)
    put(model, 1, 5 if other == "female" else 4, 4, 4)
    assert provoked_by(model) == pytest.approx([0.5])


def test_a_fish_that_claims_nothing_is_provoked_only_from_close_by():
    model = owner_and(row(males=1), x=9)
    on_its_ground = provoked_by(model)[0]
    claim(model, 0, 0.0)
    assert provoked_by(model)[0] < 0.05 < on_its_ground
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


def test_a_fish_in_a_contest_or_in_a_hole_too_small_for_the_owner_does_not_provoke():
    model = stage(row(males=1), row(females=1, length=6.0), rock=holes(hole(2.5), hole(22.5, mouth_cm=2.0)))
    claim(model, 0, 1.0)
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
    look_round(*at(model))
    alone = [provocation(0, j, *at(model)) for j in (1, 2)]
    assert model.shoal.fish.provoked[0] == pytest.approx(sum(alone))
    model.water.sight[model.shoal.fish.cell[0]] = 0
    look_round(*at(model))
    assert model.shoal.fish.provoked[0] == 0.0


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
        look_round(*at(model))
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
    goes = share(1500, lambda tick: goes_for_it(0, 1, tick, *at(model)))
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


@pytest.mark.parametrize("yields", [-3.0, 0.0, 1.5, 6.0])
def test_a_pair_that_has_settled_leaves_each_other_alone_a_stranger_is_not_let_be(yields):
    """Attacked with the chance exp(-yields / let_be_odds), 4 standard errors; yields in odds or by memory."""
    model = stage(row(males=3), parameters={"let_be_odds": 3.0})
    for where in (model.shoal.pair.odds, model.shoal.pair.standing):
        model.shoal.pair.odds[:] = model.shoal.pair.standing[:] = 0.0
        where[1, 0] = -yields
        let = share(1500, lambda tick: lets_be(0, 1, tick, model.shoal, model.parameters))
        assert let == near(1 - np.exp(-max(0.0, yields) / 3.0), 1500)
        assert share(1500, lambda tick: lets_be(0, 2, tick, model.shoal, model.parameters)) == 0.0


def test_another_kind_is_never_let_be_however_surely_it_gives_way():
    model = stage(row(males=1, length=12.0), row(males=1, length=5.0), row(OTHER, males=1, length=5.0))
    assert lets_be(0, 1, 7, model.shoal, model.parameters)
    assert share(500, lambda tick: lets_be(0, 2, tick, model.shoal, model.parameters)) == 0.0


def test_who_is_let_be_is_neither_attacked_nor_displayed_to():
    model = stage(row(males=1, length=12.0), row(males=1, length=5.0), parameters={"let_be_odds": 1e-6})
    still(model)
    put(model, 0, 3, 4, 4)
    put(model, 1, 5, 4, 4)
    assert choose_target(0, 7, *at(model)) == 1
    assert not attack(0, 7, *at(model), model.ledger, np.inf)
    assert model.shoal.fish.doing[0] == SWIMMING
    assert model.ledger.pair.attacks.sum() == model.ledger.pair.displays.sum() == 0


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
    model = pair_of(12.0, 6.0, keep=True, days=0.3)
    model.shoal.fish.cruise_cm_s[:] = 6.4
    model.run()
    chases = model.ledger.pair.chases
    assert chases[0, 1] > 5
    assert chases[1, 0] == 0
    assert model.ledger.fish.shape == (2,)
