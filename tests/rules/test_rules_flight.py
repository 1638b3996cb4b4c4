"""Flight of a staged fish: when it leaves, where to, who holds a shelter, and when it comes out again."""

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, FLEEING, RETREATING, SHELTERED, SWIMMING
from rockshy.sim.rules.claims import claim_at
from rockshy.sim.rules.flight import (
    arrive,
    calms_down,
    choose_refuge,
    come_out,
    come_out_rate,
    flee,
    flight_cost_cm,
    hide,
    is_held,
    leaves_now,
)
from rockshy.sim.rules.senses import fish_in, path_cm, sees
from rockshy.sim.scenario.scenario import TankSpec
from rockshy.sim.tank.paths import FAR
from staging import at, claim, hole, holes, kind, near, put, put_in, row, share, stage, still

OTHER = "Scena altera"
TWO = holes(hole(7.5), hole(52.5))
NOBODY = -1


def scared(*others, rock=TWO, length=7.0, **parameters):
    """Fish 0, midway between two holes; a larger male behind it, and whoever else is asked for."""
    model = stage(
        row(females=1, length=length), row(males=1, length=12.0), *others, rock=rock, parameters=parameters
    )
    still(model)
    put(model, 0, 6, 6, 1)
    put(model, 1, 6, 2, 1)
    return model


# ---- when


def test_a_fish_leaves_the_earlier_the_farther_it_is_from_cover():
    """Flight starts when the chaser is distance / speed away plus a constant margin. Source: Dill1990.

    The distance of the chaser at which the fish leaves is (way / own speed + margin) x the
    chaser's speed, within one cell.
    """
    long = TankSpec(length_cm=300.0, width_cm=40.0, height_cm=40.0, water_cm=40.0)
    model = stage(
        row(females=1), row(males=1), tank=long, rock=holes(hole(2.5)), parameters={"margin_s": 0.5}
    )
    model.shoal.fish.burst_cm_s[:] = 20.0, 40.0
    for x in (1, 4, 9, 15):
        put(model, 0, x, 5, 2)
        way = path_cm(0, model.shoal.fish.cell[0], model.water)
        starts = [5.0 * (k - x) for k in range(x + 1, 60) if leaves_with_chaser_at(model, k)]
        assert starts[-1] == pytest.approx((way / 20.0 + 0.5) * 40.0, abs=5.0)
        assert starts == [5.0 * k for k in range(1, len(starts) + 1)], "nearer than that it leaves too"


def leaves_with_chaser_at(model, x):
    put(model, 1, x, 5, 2)
    return leaves_now(0, 1, 0, *at(model))


def test_with_nowhere_to_go_a_fish_leaves_at_once():
    assert leaves_now(0, 1, NOBODY, *at(scared()))


# ---- where to


def test_cost_of_a_flight_is_the_way_and_what_speaks_against_the_shelter():
    model = scared(exposed_cm=60.0, corner_cm=80.0, memory_cm=200.0, rock=holes(hole(32.5)))
    way = path_cm(0, model.shoal.fish.cell[0], model.water)
    put(model, 1, 6, 4, 0)
    seen = flight_cost_cm(0, 0, 1, *at(model))
    assert seen == pytest.approx(way + 60.0)
    assert flight_cost_cm(0, 0, NOBODY, *at(model)) == pytest.approx(way)
    model.shoal.memory[0, 0] = 0.25
    assert flight_cost_cm(0, 0, 1, *at(model)) == pytest.approx(seen - 50.0)
    put(model, 1, 6, 6, 0)
    assert flight_cost_cm(0, 0, 1, *at(model)) == pytest.approx(way + 60.0 + 60.0 - 50.0)
    model.water.sight[model.shoal.fish.cell[1]] = 0
    assert flight_cost_cm(0, 0, 1, *at(model)) == pytest.approx(way + 60.0 - 50.0), "nearer, and sees nothing"
    corner = 1
    assert model.tank.refuge_corner[corner]
    way = path_cm(corner, model.shoal.fish.cell[0], model.water)
    assert flight_cost_cm(0, corner, NOBODY, *at(model)) == pytest.approx(way + 80.0)


def test_a_fish_flees_into_the_nearer_of_two_holes():
    model = scared()
    for x, wanted in ((3, 0), (9, 1)):
        put(model, 0, x, 5, 1)
        assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == wanted
        assert choose_refuge(0, NOBODY, wanted, *at(model)) == 1 - wanted, "other than the one shunned"


def test_of_shelters_that_cost_the_same_the_one_of_the_lowest_number_is_chosen():
    model = scared()
    put(model, 0, 6, 6, 1)
    model.water.path[1] = model.water.path[0]
    assert flight_cost_cm(0, 0, NOBODY, *at(model)) == flight_cost_cm(0, 1, NOBODY, *at(model)) < FAR
    cheapest = min(flight_cost_cm(0, k, NOBODY, *at(model)) for k in range(len(model.tank.refuge_cell)))
    assert flight_cost_cm(0, 0, NOBODY, *at(model)) == cheapest
    assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == 0


def test_a_fish_cannot_flee_into_a_hole_that_is_too_small():
    """Body depth 0.3 of 7 cm: 2.1 cm."""
    model = scared(rock=holes(hole(22.5, mouth_cm=2.0), hole(52.5, mouth_cm=2.2)))
    put(model, 0, 5, 6, 1)
    assert flight_cost_cm(0, 0, NOBODY, *at(model)) == FAR
    assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == 1
    model.shoal.fish.depth_cm[0] = 3.0
    assert model.tank.refuge_corner[choose_refuge(0, NOBODY, NOBODY, *at(model))]


def test_a_trusted_hole_farther_away_is_preferred():
    model = scared(memory_cm=200.0)
    put(model, 0, 3, 6, 1)
    assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == 0
    model.shoal.memory[0, 1] = 0.8
    assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == 1


@pytest.mark.parametrize("why", ["it sees the nearer hole", "it is nearer to the nearer hole"])
def test_a_hole_that_the_chaser_sees_or_is_nearer_to_is_avoided(why):
    model = scared(rock=holes(hole(22.5), hole(52.5)), exposed_cm=50.0)
    put(model, 0, 6, 6, 1)
    assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == 0
    put(model, 1, 4, 4 if why.startswith("it is") else 0, 0)
    model.water.sight[:] = 0
    if why.startswith("it sees"):
        put(model, 1, 6, 0, 7)
        assert choose_refuge(0, 1, NOBODY, *at(model)) == 0
        mouth = int(model.tank.refuge_cell[0])
        model.water.sight[model.shoal.fish.cell[1], mouth >> 3] = 1 << (mouth & 7)
    assert choose_refuge(0, 1, NOBODY, *at(model)) == 1


@pytest.mark.parametrize(
    "why", ["full", "held by a stronger fish", "held by a weaker fish", "held by a mate"]
)
def test_a_hole_is_avoided_that_is_full_or_held_by_a_stronger_fish_that_is_no_mate(why):
    model = scared(row(females=1, length=10.0), held_cm=150.0)
    fish = model.shoal.fish
    put(model, 0, 4, 6, 1)
    if why == "full":
        put_in(model, 2, 0)
    else:
        fish.centre[2] = 0
    if why == "held by a weaker fish":
        fish.experience[0] = 20.0
    if why == "held by a mate":
        model.shoal.pair.weight[2, 0] = 0.0
    free = why in ("held by a weaker fish", "held by a mate")
    assert is_held(0, 0, model.water, model.shoal) != free
    assert choose_refuge(0, NOBODY, NOBODY, *at(model)) == (0 if free else 1)


# ---- fleeing


def test_a_chase_is_counted_frightens_teaches_and_shakes_trust_once():
    model = scared(fright_gain=0.2, slow_gain=0.05, chase_teaches=0.5, memory_step=0.4)
    fish = model.shoal.fish
    put(model, 0, *model.tank.xyz[model.tank.refuge_cell[0]])
    model.shoal.memory[0] = 1.0
    for _ in range(2):
        flee(0, 1, True, 3, *at(model), model.ledger)
    assert fish.doing[0] == FLEEING
    assert fish.chaser[0] == 1
    assert model.ledger.pair.chases.tolist() == [[0, 0], [1, 0]]
    assert fish.fright[0] == pytest.approx(0.2)
    assert fish.slow_fright[0] == pytest.approx(0.05)
    chance = 1 / (1 + np.exp(-model.shoal.pair.odds[1, 0]))
    assert fish.experience[1] == pytest.approx(0.5 * 2 * 0.8 * (1 - chance))
    assert fish.experience[0] == pytest.approx(-fish.experience[1])
    assert model.shoal.memory[0, 0] == pytest.approx(0.6), "once a chase"
    assert model.shoal.memory[0, 1] == 1.0, "the other hole is far"


def test_the_loser_of_a_contest_is_not_taught_twice():
    model = scared()
    flee(0, 1, False, 3, *at(model), model.ledger)
    assert (model.shoal.fish.experience == 0.0).all()
    assert model.ledger.pair.chases[1, 0] == 1


def test_a_fish_that_is_chased_off_claims_that_place_less_once_a_chase():
    """And the blocks beside it; the chaser gains nothing. Source: StampsKrishnan2001; assumption."""
    model = stage(
        row(males=1, length=7.0), row(males=1, length=12.0),
        parameters={"chase_teaches": 0.2, "claim_beaten": 0.3},
    )  # fmt: skip
    put(model, 0, 1, 1, 1)
    claim(model, 0, 0.8)
    claim(model, 1, 0.1)
    for _ in range(2):
        flee(0, 1, True, 3, *at(model), model.ledger)
    here, far = (int(model.water.cells.block[model.tank.index[x, 1, 1]]) for x in (1, 11))
    beside = [block for block in model.water.beside[here] if block >= 0]
    assert len(beside) == 8, "a corner"
    assert model.shoal.claims[0, beside] == pytest.approx(0.8 * (1 - 0.2 * 0.3))
    assert model.shoal.claims[0, far] == 0.8
    assert (model.shoal.claims[1] == 0.1).all()


@pytest.mark.parametrize("who", ["leader", "mate"])
def test_whoever_of_a_pair_is_driven_off_both_claim_the_place_less(who):
    model = stage(
        row(males=1, females=1, length=8.0), row(OTHER, males=1, length=12.0),
        kinds=(kind(mating="pair", defends="both"),), rock=TWO,
    )  # fmt: skip
    fish = model.shoal.fish
    leader = int(np.flatnonzero(fish.leads[:2])[0])
    chased = leader if who == "leader" else 1 - leader
    claim(model, chased, 1.0)
    flee(chased, 2, True, 3, *at(model), model.ledger)
    found = [claim_at(i, fish.cell[chased], model.water, model.shoal) for i in range(2)]
    assert found[0] == found[1] < 1.0


def test_a_fleeing_fish_gets_into_its_hole_and_out_of_sight():
    model = scared()
    flee(0, 1, True, 0, *at(model), model.ledger)
    refuge = int(model.shoal.fish.refuge[0])
    for _ in range(30):
        if model.shoal.fish.doing[0] == SHELTERED:
            break
        model.shoal.fish.chaser[0], model.shoal.fish.doing[1] = 1, CHASING
        model.shoal.fish.target[1] = 0
        put(model, 1, 6, 0, 7)
        model.step()
    assert model.shoal.fish.doing[0] == SHELTERED
    assert model.shoal.fish.cell[0] == model.tank.refuge_cell[refuge]
    assert not model.tank.refuge_corner[refuge]
    assert not sees(1, 0, model.water, model.shoal), "the hole faces the front, the male is high up"


def test_a_fish_that_finds_its_hole_full_goes_on_to_another():
    model = scared(row(females=1, length=7.0))
    put_in(model, 2, 0)
    fish = model.shoal.fish
    put(model, 0, *model.tank.xyz[model.tank.refuge_cell[0]])
    fish.doing[0], fish.refuge[0], fish.chaser[0] = FLEEING, 0, 1
    arrive(0, *at(model))
    assert fish.doing[0] == FLEEING
    assert fish.refuge[0] == 1
    assert fish_in(0, model.shoal) == 1
    fish.doing[2] = SWIMMING
    fish.refuge[0] = 0
    arrive(0, *at(model))
    assert fish.doing[0] == SHELTERED
    assert fish.chaser[0] == NOBODY


@pytest.mark.parametrize("fright", [0.0, 0.5])
def test_the_unfrightened_calm_down_within_seconds_the_frightened_go_on(fright):
    """Rate exp(-4 fear) / chase_s, 4 standard errors."""
    model = scared(chase_s=2.0, out_fright=4.0)
    model.shoal.fish.fright[0] = fright
    found = share(3000, lambda tick: calms_down(0, tick, model.shoal, model.parameters))
    assert found == near(-np.expm1(-0.5 * np.exp(-4.0 * fright)), 3000)


# ---- coming out, hiding


def test_coming_out_falls_with_fright_and_dominants_and_grows_with_hunger_and_a_meal():
    model = scared(out_rate_s=0.05, out_fright=4.0, out_hunger=2.0, out_dominants=0.5)
    fish = model.shoal.fish

    def rate(*, fright=0.0, slow=0.0, hunger=0.5, dominants=0.0, meal=False):
        fish.fright[0], fish.slow_fright[0], fish.hunger[0] = fright, slow, hunger
        fish.dominants[0] = dominants
        return come_out_rate(0, meal, model.shoal, model.parameters)

    assert rate() == pytest.approx(0.05)
    assert rate(fright=0.3, slow=0.2) == pytest.approx(0.05 * np.exp(-2.0))
    assert rate(hunger=1.0) == pytest.approx(0.05 * np.exp(1.0))
    assert rate(dominants=2.0) == pytest.approx(0.05 * np.exp(-1.0))
    assert rate(hunger=1.0, meal=True) == pytest.approx(0.05 * np.exp(3.0))
    assert rate(hunger=0.0, meal=True) == pytest.approx(rate(hunger=0.0))


def test_a_fish_comes_out_at_its_rate_and_trusts_the_shelter_more():
    """Chance 1 - exp(-rate x 5 s) a look, 4 standard errors."""
    model = scared(out_rate_s=0.05, memory_step=0.3)
    put_in(model, 0, 1)
    out = np.zeros(3000, bool)
    for tick in range(3000):
        model.shoal.fish.doing[0], model.shoal.memory[0] = SHELTERED, 0.5
        come_out(0, tick, False, model.shoal, model.parameters)
        out[tick] = model.shoal.fish.doing[0] == SWIMMING
        assert model.shoal.memory[0, 1] == pytest.approx(0.65 if out[tick] else 0.5)
    assert out.mean() == near(-np.expm1(-0.25), 3000)
    assert (model.shoal.memory[0, [0, 2]] == 0.5).all()


@pytest.mark.parametrize(("out_rate_s", "comes"), [(0.0, False), (1e12, True)])
def test_coming_out_at_a_rate_of_zero_never_and_of_infinity_always(out_rate_s, comes):
    model = scared(out_rate_s=out_rate_s)
    for tick in range(300):
        put_in(model, 0, 1)
        come_out(0, tick, False, model.shoal, model.parameters)
        assert (model.shoal.fish.doing[0] == SWIMMING) == comes


@pytest.mark.parametrize(
    ("fright", "dominants", "hides"), [(1.0, 1.0, True), (0.0, 1.0, False), (1.0, 0.0, False)]
)
def test_only_a_frightened_fish_that_sees_a_dominant_hides_unchased(fright, dominants, hides):
    model = scared(hide_rate_s=1e9)
    fish = model.shoal.fish
    fish.fright[0], fish.dominants[0] = fright, dominants
    assert hide(0, 5, *at(model)) == hides
    assert fish.doing[0] == (RETREATING if hides else SWIMMING)
    if hides:
        assert not model.tank.refuge_corner[fish.refuge[0]]
        assert model.ledger.pair.chases.sum() == 0


def test_hiding_has_the_stated_rate():
    """hide_rate x fear x d / (1 + d), looked at every 5 s; 4 standard errors."""
    model = scared(hide_rate_s=0.02)
    fish = model.shoal.fish
    fish.fright[0], fish.dominants[0] = 0.5, 1.0
    found = share(4000, lambda tick: hide(0, tick, *at(model)))
    assert found == near(-np.expm1(-0.02 * 0.5 * 0.5 * 5), 4000)
