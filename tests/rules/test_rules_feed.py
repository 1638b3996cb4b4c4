"""Meals: when they are given, who gets them and who goes without; hunger."""

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, FLEEING, SHELTERED, SWIMMING
from rockshy.sim.rules.feed import (
    draw_to_food,
    eat,
    end_meal,
    get_hungry,
    give_meal,
    graze,
    hunger_share,
    meal_ticks,
)
from rockshy.sim.rules.night import night
from rockshy.sim.scenario.scenario import RockSpec, TankSpec
from staging import OWN, at, hole, holes, kind, near, needs_compiling, put, put_in, row, stage, still

LIT = 36_000


def fed(*rows, rock=holes(hole(2.5)), **how):  # noqa: B008
    """Hungry fish that stay where they are put, with food in the water."""
    model = stage(*(rows or (row(males=1),)), rock=rock, **how)
    still(model)
    model.shoal.fish.hunger[:] = 1.0
    give_meal(model.water, model.shoal, model.parameters, model.food)
    return model


def place_to_feed(model, f=0):
    return model.tank.xyz[int(np.argmin(model.tank.path[model.tank.feed_source[f]]))]


def eats(model, i, tick):
    before = model.shoal.fish.eaten[i]
    eat(i, tick, *at(model), model.ledger, model.food)
    return model.shoal.fish.eaten[i] - before


@pytest.mark.parametrize("meals_a_day", [1, 2, 3])
def test_meals_are_spread_evenly_over_the_lit_day_and_last_as_long_as_stated(meals_a_day):
    p = stage(row(males=1), parameters={"meals_a_day": meals_a_day, "meal_s": 600.0}).parameters
    none = np.zeros(0, np.int64)
    since = np.array([meal_ticks(tick % LIT, LIT, none, p) for tick in range(2 * LIT)])
    starts = np.flatnonzero(since == 0)
    gap = LIT // meals_a_day
    assert starts.tolist() == [gap // 4 + k * gap for k in range(2 * meals_a_day)]
    assert (since >= 0).sum() == 2 * meals_a_day * 601
    assert since.max() == 600


def test_food_is_given_for_every_fish_in_the_tank_and_shared_among_the_places():
    wide = TankSpec(length_cm=150.0, width_cm=40.0, height_cm=40.0, water_cm=40.0)
    model = fed(row(males=3), tank=wide, parameters={"portions": 6.0})
    assert model.food.tolist() == [9.0, 9.0]
    model.take_out(model.agents[0])
    give_meal(model.water, model.shoal, model.parameters, model.food)
    assert model.food.tolist() == [6.0, 6.0]


def test_a_portion_stills_its_share_of_hunger_and_is_gone():
    model = fed(parameters={"portions": 4.0, "eat_s": 1e-9})
    put(model, 0, *place_to_feed(model))
    for k in range(1, 5):
        assert eats(model, 0, k) == 1.0
        assert model.food[0] == 4.0 - k
        assert model.shoal.fish.hunger[0] == pytest.approx(1.0 - k / 4)
    assert eats(model, 0, 9) == 0.0, "it has had enough, and there is nothing left"


def test_portions_are_taken_at_their_rate():
    """Chance 1 - exp(-5 s / eat_s) a look; 4 standard errors."""
    model = fed(parameters={"eat_s": 15.0})
    put(model, 0, *place_to_feed(model))
    taken = np.zeros(3000)
    for tick in range(3000):
        model.shoal.fish.hunger[0], model.food[0] = 1.0, 6.0
        taken[tick] = eats(model, 0, tick)
    chance = -np.expm1(-1 / 3)
    assert taken.mean() == near(chance, 3000)


@pytest.mark.parametrize("why", ["far", "sheltered", "fleeing", "chasing", "full", "no food"])
def test_who_gets_nothing(why):
    model = fed(parameters={"eat_s": 1e-9})
    put(model, 0, *place_to_feed(model))
    if why == "far":
        put(model, 0, 0, 0, 0)
    elif why == "full":
        model.shoal.fish.hunger[0] = 0.0
    elif why == "no food":
        model.food[:] = 0.0
    else:
        model.shoal.fish.doing[0] = {"sheltered": SHELTERED, "fleeing": FLEEING, "chasing": CHASING}[why]
    assert eats(model, 0, 3) == 0.0


def test_a_fish_within_15_cm_of_swimming_reaches_the_food():
    model = fed(parameters={"eat_s": 1e-9})
    path = model.tank.path[model.tank.feed_source[0]] * 5.0 / 3.0
    for cell in range(0, len(path), 11):
        model.shoal.fish.cell[0] = cell
        model.shoal.fish.hunger[0] = 1.0
        model.food[0] = 6.0
        assert (eats(model, 0, cell) > 0) == (path[cell] <= 15.0)


def test_hungry_fish_make_for_the_nearest_place_that_has_food():
    wide = TankSpec(length_cm=150.0, width_cm=40.0, height_cm=40.0, water_cm=40.0)
    model = fed(row(males=1), tank=wide)
    put(model, 0, 2, 4, 4)
    fish = model.shoal.fish
    draw_to_food(0, model.water, model.shoal, model.food)
    assert fish.home[0] == model.tank.feed_source[0]
    model.food[0] = 0.0
    draw_to_food(0, model.water, model.shoal, model.food)
    assert fish.home[0] == model.tank.feed_source[1]
    model.food[1], fish.home[0] = 0.0, 7
    draw_to_food(0, model.water, model.shoal, model.food)
    assert fish.home[0] == 7


def test_at_the_end_of_a_meal_who_got_nothing_has_missed_it():
    model = fed(row(males=2))
    model.shoal.fish.eaten[:] = 3.5, 0.0
    end_meal(10, model.shoal, model.ledger, model.food)
    ledger = model.ledger.fish
    assert ledger.meals.tolist() == [1, 1]
    assert ledger.missed.tolist() == [0, 1]
    assert ledger.food.tolist() == [3.5, 0.0]
    assert (model.food == 0.0).all()


def test_a_fish_that_has_eaten_does_not_attack_in_the_same_look_and_one_that_has_not_does():
    """Two males that attack whenever they may, at the food; each eats in about half of the looks."""
    model = fed(
        row(males=2),
        parameters={
            "eat_s": 7.0,
            "attack_rate_s": 1e6,
            "attack_odds": 50.0,
            "let_be_odds": 1e9,
            "meals_a_day": 2,
        },  # fmt: skip
    )
    fish, ledger = model.shoal.fish, model.ledger
    begins = model.lit_ticks // 2 // 4
    ate, attacked = np.zeros((60, 2), bool), np.zeros((60, 2), bool)
    for look in range(60):
        model.tick = begins + 5 * (look + 1)
        for i in range(2):
            put(model, i, *place_to_feed(model))
        fish.doing[:], fish.target[:], fish.chaser[:] = SWIMMING, -1, -1
        fish.fright[:], fish.hunger[:], model.food[:] = 0.0, 1.0, 9.0
        eaten, attacks = fish.eaten.copy(), ledger.pair.attacks.sum(axis=1)
        model.step()
        ate[look] = fish.eaten > eaten
        attacked[look] = ledger.pair.attacks.sum(axis=1) > attacks
    assert 15 < ate[:, 0].sum() < 45
    assert 15 < ate[:, 1].sum() < 45
    assert (attacked == ~ate).all()


@needs_compiling
def test_in_a_run_a_fish_shut_in_its_hole_misses_the_meal_and_a_free_one_eats():
    model = stage(
        row(females=2), rock=holes(hole(2.5)), days=0.5, parameters={"out_rate_s": 0.0, "eat_s": 5.0}
    )
    put_in(model, 0, 0)
    model.run()
    ledger = model.ledger.fish
    assert ledger.meals.tolist() == [1, 1]
    assert ledger.missed.tolist() == [1, 0]
    assert ledger.food[0] == 0.0 < ledger.food[1]
    assert model.shoal.fish.hunger[0] > model.shoal.fish.hunger[1]


# ---- hunger


@pytest.mark.parametrize("cuts", [1, 10, 43_200])
def test_hunger_grows_to_one_less_a_share_of_e_in_the_stated_time(cuts):
    """Closed form 1 - exp(-t / T), in one step or in many."""
    model = stage(row(males=1), parameters={"hunger_h": 12.0})
    model.shoal.fish.hunger[0] = 0.0
    share = hunger_share(12 * 3600.0 / cuts, model.parameters)
    for _ in range(cuts):
        get_hungry(0, share, model.shoal)
    assert model.shoal.fish.hunger[0] == pytest.approx(1 - np.exp(-1))


@pytest.mark.parametrize("guild", ["A", "P"])
def test_hunger_stays_between_none_and_whole_through_long_nights(guild):
    pit = RockSpec(sketch=("9999", "9099", "9009", "9999"), sketch_step_cm=4.0, crevices=())
    model = stage(
        row(males=1), kinds=(kind(guild=guild),), rock=pit, parameters={"hunger_h": 2.0, "graze_h": 1.0}
    )
    for _ in range(5):
        night(*at(model), 20 * 3600.0)
        assert 0.9 < model.shoal.fish.hunger[0] <= 1.0, "nobody grazes in the dark"


def test_a_female_holding_eggs_is_not_driven_by_hunger_and_does_not_feed():
    model = fed(row(females=1, holding=1), parameters={"eat_s": 1e-9})
    put(model, 0, *place_to_feed(model))
    get_hungry(0, 0.1, model.shoal)
    assert model.shoal.fish.hunger[0] == 0.0
    assert eats(model, 0, 1) == 0.0


@pytest.mark.parametrize(("guild", "stills"), [("A", 1.0), ("PA", 0.5), ("IF", 0.0)])
def test_grazing_stills_the_hunger_of_algae_grazers_beside_a_surface(guild, stills):
    model = stage(row(males=1), kinds=(kind(OWN, guild=guild),), rock=holes(hole(2.5)))
    fish = model.shoal.fish
    for place in ((6, 2, 4), (6, 6, 1)):  # open water, beside the rock
        put(model, 0, *place)
        fish.hunger[0] = 0.8
        graze(0, *at(model), 60.0)
        surface = model.tank.graze[fish.cell[0]]
        assert fish.hunger[0] == pytest.approx(0.8 * np.exp(-stills * surface * 60 / (8 * 3600)))
    assert surface > 0.0
    fish.doing[0], fish.hunger[0] = SHELTERED, 0.8
    graze(0, *at(model), 60.0)
    assert fish.hunger[0] == 0.8
