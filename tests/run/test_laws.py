"""Laws that every rule inherits: same seed same ledger, nothing out of sight matters, time adds up."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rockshy.sim import TankModel
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, RETREATING, SHELTERED, SWIMMING
from rockshy.sim.rules.support.compiled import is_compiling
from rockshy.sim.rules.support.random_numbers import generator, stream_key
from rockshy.sim.run.ledger import CHASE
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.scenario.scenario import RockSpec, StockRow, TankSpec
from rockshy.sim.species.species import library
from rockshy.sim.tank.rockwork import draw_rock, rock_top_cm
from rockshy.sim.tank.tank import cell_centres_cm
from staging import BARE, ROCKY, faults, fingerprint, kind, put, row, scene, stage, uncompiled, with_run

PAIRS, MILD, INERT = "Scena bina", "Scena mitis", "Scena iners"
KINDS = (
    kind(temper=2.0),
    kind(PAIRS, mating="pair", defends="both", guild="I"),
    kind(MILD, temper=0.3, timidity=2.0, company=0.6, guild="A"),
)
STOCK = (row(males=2), row(PAIRS, males=1, females=1, length=8.0), row(MILD, females=2, length=6.5))


def busy(*more, kinds=(), **run):
    """Six fish of three kinds in rock: 90 minutes with a night after the first hour, half of it measured."""
    timing = {"lit_hours": 1.0, "days": 1.0, "settle_days": 0.5, **run}
    # a meal of ten minutes in each lit hour, and chases enough for a short run
    parameters = {"attack_rate_s": 0.1, "claim_s": 100.0}
    return scene(*STOCK, *more, kinds=KINDS + kinds, rock=ROCKY, parameters=parameters, **timing)


def ran(scenario, trial=0, **how):
    """A model that was run to its end."""
    model = TankModel(scenario, trial=trial, **how)
    model.run()
    return model


def digest(trial=0):
    """What a run of the busy tank leaves, as one number."""
    return fingerprint(ran(busy(), trial, keep=True))


@pytest.fixture(scope="module")
def kept():
    """One run of the busy tank, every move kept; nobody writes to it."""
    return ran(busy(), keep=True)


def moves_of(model):
    """Its moves [m, 4]: tick, sub-step, fish, cell."""
    return model.ledger.moves[: model.ledger.state.n_moves[0]]


def same_columns(ours, theirs, *, columns=None, only=slice(None)):
    """Two record arrays agree in every column, or in those named; ``only`` some fish of the second."""
    for name in columns or ours.dtype.names:
        np.testing.assert_array_equal(ours[name], theirs[name][only], err_msg=name)


def short_run():
    """Four fish in little water for an hour with a night and a meal in it, in ticks of 6 s."""
    little = TankSpec(length_cm=40.0, width_cm=25.0, height_cm=25.0, water_cm=25.0)
    rows = (row(males=2), row(PAIRS, males=1, females=1, length=8.0))
    parameters = {"attack_rate_s": 0.05, "claim_s": 60.0, "meal_s": 200.0, "contest_s": 20.0}
    scenario = scene(
        *rows, kinds=KINDS, tank=little, rock=ROCKY, parameters=parameters, lit_hours=0.5, days=0.5
    )
    return ran(scenario, keep=True, tick_s=6.0)


# ---- same seed, same ledger


def test_same_seed_same_ledger_in_one_thread_or_two_another_trial_another_ledger(kept):
    alone = [fingerprint(kept), digest(1)]
    assert alone[0] != alone[1]
    with ThreadPoolExecutor(2) as pool:
        assert list(pool.map(digest, (0, 1))) == alone


def test_tick_by_tick_is_the_same_as_in_one_go_and_never_is_anybody_in_rock_or_in_two_places(kept):
    model = TankModel(busy(), keep=True)
    while model.running:
        model.step()
        assert faults(model) == []
    assert fingerprint(model) == fingerprint(kept)


@pytest.mark.skipif(not is_compiling(), reason="compilation is off: there is nothing to compare with")
def test_compiled_or_not_the_ledger_is_the_same_bit_for_bit():
    model = short_run()
    counts = model.ledger.pair
    assert counts.chases.sum() > 10, "enough happens to tell them apart"
    assert counts.bites.sum() > 0
    assert counts.wins.sum() > 0
    assert model.ledger.fish.food.sum() > 0
    script = "import test_laws as t; print(t.fingerprint(t.short_run()))"
    assert uncompiled(script, beside=__file__) == fingerprint(model)


def test_observers_change_nothing(kept):
    """A run of which every move is kept, against one of which nothing is."""
    bare = ran(busy())
    assert len(moves_of(kept)) > 1000 and kept.ledger.state.n_events[0] > 0 == len(bare.ledger.moves)
    same_columns(kept.shoal.fish, bare.shoal.fish)
    same_columns(kept.ledger.pair, bare.ledger.pair)


# ---- who else is there


def with_one_more():
    """The busy tank without and with one more fish, the last of the stock list."""
    return busy(), busy(row(INERT, females=1, length=5.0), kinds=(kind(INERT, temper=0.0),))


def test_one_more_fish_changes_nobody_elses_body_place_rock_and_draws():
    fewer, more = (TankModel(scenario) for scenario in with_one_more())
    body = ("male", "length_cm", "depth_cm", "temper", "core_cm", "cell", "heading", "capable", "bond")
    same_columns(fewer.shoal.fish, more.shoal.fish, columns=body, only=slice(6))
    np.testing.assert_array_equal(fewer.shoal.streams, more.shoal.streams[:6])
    assert len({*more.shoal.streams.ravel()}) == more.shoal.streams.size, "each has its own"
    for ours, theirs in zip(fewer.tank, more.tank, strict=True):
        np.testing.assert_array_equal(ours, theirs)
    assert [one.label for one in fewer.people] == [one.label for one in more.people][:6]


def test_a_fish_that_nobody_heeds_changes_nothing_at_all_for_the_others():
    """It provokes nobody, nobody provokes it, it frightens nobody: the ledger of the others is the same."""
    fewer, more = (TankModel(scenario) for scenario in with_one_more())
    more.shoal.pair.weight[6, :] = more.shoal.pair.weight[:, 6] = 0.0
    for model in (fewer, more):
        model.run()
    assert fewer.ledger.pair.chases.sum() > 20
    for name in fewer.ledger.pair.dtype.names:
        np.testing.assert_array_equal(fewer.ledger.pair[name], more.ledger.pair[name][:6, :6])
        assert more.ledger.pair[name][6].sum() == more.ledger.pair[name][:, 6].sum() == 0
    for part in ("fish", "hours"):
        same_columns(getattr(fewer.ledger, part), getattr(more.ledger, part), only=slice(6))
    np.testing.assert_array_equal(fewer.ledger.visits, more.ledger.visits[:6])
    np.testing.assert_array_equal(fewer.shoal.memory, more.shoal.memory[:6])
    np.testing.assert_array_equal(fewer.shoal.claims, more.shoal.claims[:6])


def test_the_same_fish_stocked_under_another_title_and_order_of_kinds_are_the_same_individuals():
    ours = TankModel(busy())
    theirs = TankModel(replace(busy(), title="other", stock=STOCK[::-1]))
    body = {one.label: ours.shoal.fish.length_cm[k] for k, one in enumerate(ours.people)}
    place = {one.label: ours.shoal.fish.cell[k] for k, one in enumerate(ours.people)}
    for k, one in enumerate(theirs.people):
        assert theirs.shoal.fish.length_cm[k] == body[one.label]
        assert theirs.shoal.fish.cell[k] == place[one.label]


def divided(x, y, z):
    """Two fish at the left of a wall of rock that leaves a gap at the back right, and one at (x, y, z)."""
    wall = RockSpec(sketch=("000000", *["000900"] * 7), sketch_step_cm=9.0, crevices=())
    model = stage(row(males=1), row(MILD, females=1, length=7.0), row(males=1, length=12.0), rock=wall)
    model.shoal.fish.cruise_cm_s[:] = 4.0, 4.0, 0.0
    put(model, 0, 1, 1, 1)
    put(model, 1, 3, 1, 5)
    put(model, 2, x, y, z)
    return model


def test_nothing_out_of_sight_matters():
    """A third fish sits behind the wall, here, there or nowhere: until it is seen all others are the same."""
    here, there, none = divided(9, 0, 0), divided(10, 3, 7), divided(9, 0, 0)
    none.take_out(none.agents[2])
    models = (here, there, none)
    while here.tick < 1800 and not any(in_view(model, i, 2) for model in (here, there) for i in (0, 1)):
        for model in models:
            model.step()
        for other in (there, none):
            assert (here.shoal.fish[:2] == other.shoal.fish[:2]).all()
            assert (here.shoal.claims[:2] == other.shoal.claims[:2]).all()
    assert here.tick > 200, "long enough for the two to meet"
    assert here.ledger.pair.chases.sum() > 0
    assert here.shoal.claims[0].any() and here.shoal.claims[2].any(), "both learn their side"


def in_view(model, i, j):
    cells = model.shoal.fish.cell
    return bool(np.unpackbits(model.tank.sight[cells[i]], bitorder="little")[cells[j]])


# ---- rates


def test_a_rate_of_zero_never_fires_in_a_whole_run_and_a_high_one_does(kept):
    quiet = ran(busy(), arm=LEFT_ALONE)
    for name in quiet.ledger.pair.dtype.names:
        assert quiet.ledger.pair[name].sum() == 0
    assert (quiet.shoal.fish.fright == 0.0).all()
    assert (quiet.shoal.fish.experience == 0.0).all()
    scenario = busy()
    eager = ran(replace(scenario, parameters={**scenario.parameters, "attack_rate_s": 1e9}))
    assert eager.ledger.pair.attacks.sum() > kept.ledger.pair.attacks.sum() > 20


# ---- what is never so


def test_no_cell_that_is_ever_visited_lies_in_rock_or_outside_the_water(kept):
    """Against the rock itself, not the tables."""
    scenario = kept.scenario
    rng = generator(stream_key(scenario.run.seed, "trial", 0), "rock")
    rock = draw_rock(scenario.tank, scenario.rock, rng=rng)
    x, y, z = cell_centres_cm(scenario.tank, kept.tank.xyz[kept.ledger.visits.sum(axis=0) > 0]).T
    assert (z >= rock_top_cm(rock, x, y)).all()
    for at, side in ((x, "length_cm"), (y, "width_cm"), (z, "water_cm")):
        assert at.min() > 0 and at.max() < getattr(scenario.tank, side)
    assert rock_top_cm(rock, *np.meshgrid(np.arange(60.0), np.arange(40.0))).max() > 10, "there is rock"


def test_every_move_is_to_the_same_or_a_neighbouring_cell_one_at_a_time(kept):
    model, moves = kept, moves_of(kept)
    assert (np.diff(moves[:, 0]) >= 0).all(), "in order of time"
    inside = moves[:, 3] < 0
    place = np.where(inside, model.tank.refuge_cell[np.where(inside, -1 - moves[:, 3], 0)], moves[:, 3])
    beside = [set(row) | {cell} for cell, row in enumerate(model.tank.neighbour)]
    steps = 0
    for i in range(6):
        own = moves[:, 2] == i
        cell, when, day = place[own], moves[own, :2], moves[own, 0] // model.lit_ticks
        by_day = np.flatnonzero(np.diff(day)) + 1  # the night passes in one step
        for cells, times in zip(np.split(cell, by_day), np.split(when, by_day), strict=True):
            assert all(after in beside[before] for before, after in zip(cells, cells[1:], strict=False))
            changed = times[1:][np.diff(cells) != 0]
            assert len(np.unique(changed, axis=0)) == len(changed), "one cell at most in a sub-step"
            steps += len(changed)
    assert steps > 1000


def test_nobody_is_faster_than_its_speed(kept):
    """In any five seconds no more than burst speed x time, and one step of credit."""
    model, moves = kept, moves_of(kept)
    for i in range(6):
        own = moves[(moves[:, 2] == i) & (moves[:, 0] < model.lit_ticks) & (moves[:, 3] >= 0)]
        length = np.linalg.norm(np.diff(model.tank.xyz[own[:, 3]], axis=0), axis=1) * model.tank.edge_cm
        swum = np.bincount(own[1:, 0], weights=length, minlength=model.lit_ticks)
        five = np.convolve(swum, np.ones(5), "valid")
        limit = 5 * model.shoal.fish.burst_cm_s[i] + np.sqrt(3) * model.tank.edge_cm
        assert 0 < five.max() <= limit


# ---- what adds up


def test_chases_given_are_chases_received_and_each_has_a_cause(kept):
    ledger = kept.ledger
    chases = ledger.pair.chases
    assert chases.sum() > 20
    np.testing.assert_array_equal(chases.sum(axis=0), ledger.hours.chased.sum(axis=1))
    assert np.trace(chases) == np.trace(ledger.pair.bites) == np.trace(ledger.pair.wins) == 0
    assert (chases <= ledger.pair.attacks + ledger.pair.wins + 1).all(), "one may have begun before measuring"
    events = ledger.events[: ledger.state.n_events[0]]
    measured = events[(events[:, 0] >= kept.measured_from) & (events[:, 1] == CHASE)]
    tally = np.zeros_like(chases)
    np.add.at(tally, (measured[:, 2], measured[:, 3]), 1)
    np.testing.assert_array_equal(tally, chases)


def test_lit_time_adds_up():
    """Tallied from outside: hidden + free + fleeing, contesting, retreating = lit, and an hour is 3600 s."""
    model = TankModel(busy(days=2.5))
    doing = np.zeros((6, 6), int)
    owned = np.zeros(6, int)
    while model.running:
        model.step()
        if model.tick > model.measured_from:
            np.add.at(doing, (np.arange(6), model.shoal.fish.doing), 1)
            owned += model.shoal.fish.centre >= 0
    hours = model.ledger.hours
    assert hours.shape == (6, 2)
    assert (hours.lit == 3600).all()
    rest = doing[:, [FLEEING, CONTESTING, RETREATING]].sum(axis=1)
    nights = 2  # a tick that ends at nightfall is tallied here after the night, in the ledger before it
    assert abs(hours.hidden.sum(axis=1) - doing[:, SHELTERED]).max() <= nights
    assert abs(hours.free.sum(axis=1) - doing[:, [SWIMMING, CHASING]].sum(axis=1)).max() <= nights
    assert abs((hours.lit - hours.hidden - hours.free).sum(axis=1) - rest).max() <= nights
    assert abs(hours.owner.sum(axis=1) - owned).max() <= nights
    assert (model.ledger.visits.sum(axis=1) == hours.lit.sum(axis=1)).all()
    assert ((hours.outside >= 0) & (hours.outside <= hours.free)).all()
    assert ((hours.share > 0) & (hours.share <= 1)).all()
    assert rest.sum() > 0
    assert doing[:, SHELTERED].sum() > 0


# ---- any tank, any stock


SOME = sorted(library())[::4]


@st.composite
def scenarios(draw):
    """A small tank, bare or rocky, and up to four rows of the library's species that come and go."""
    length, width, height = (draw(st.integers(low, high)) for low, high in ((40, 90), (25, 45), (25, 45)))
    water = height - draw(st.integers(0, 5))
    cell = draw(st.sampled_from([4.0, 5.0, 6.0]))
    cover, piles = draw(st.sampled_from([0.0, 0.2, 0.5])), draw(st.integers(1, 3))
    high = draw(st.integers(6, water))
    rock = RockSpec(cover=cover, height_cm=high, piles=piles) if cover else BARE
    some, days = (
        st.integers(0, 2),
        {"day": st.sampled_from([0.0, 0.25]), "out_day": st.sampled_from([None, 0.75])},
    )
    numbers = {"males": some, "females": some, "unsexed": st.integers(0, 1)}
    fish = st.builds(StockRow, st.sampled_from(SOME), **numbers, **days)
    rows = draw(st.lists(fish, min_size=1, max_size=4))
    rows = [row if row.males + row.females + row.unsexed else replace(row, males=1) for row in rows]
    plain = scene(*rows, kinds=tuple(library()[key] for key in {row.species for row in rows}))
    tank = TankSpec(length, width, height, water, cell_cm=cell)
    run = {
        "lit_hours": 0.5,
        "days": 0.5,
        "settle_days": 0.0,
        "fixed": False,
        "seed": draw(st.integers(1, 1000)),
    }
    return with_run(replace(plain, tank=tank, rock=rock, parameters=EAGER), **run)


EAGER = {"attack_rate_s": 0.1, "claim_s": 60.0, "meal_s": 120.0}


@settings(max_examples=6, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(scenarios())
def test_in_any_tank_with_any_stock_the_laws_hold(scenario):
    model = TankModel(scenario, draw=scenario.run.seed % 7)
    while model.tick < 1000:
        model.step()
        if model.tick % 5 == 0:
            assert faults(model) == []
    model.run()
    hours, chases = model.ledger.hours, model.ledger.pair.chases
    np.testing.assert_array_equal(chases.sum(axis=0), hours.chased.sum(axis=1))
    assert (hours.hidden + hours.free <= hours.lit).all()
    assert (hours.lit <= 3600).all()
    assert (model.ledger.visits.sum(axis=1) == hours.lit.sum(axis=1)).all()
    measured_from = [max(one.row.day * model.lit_ticks, model.measured_from) for one in model.people]
    stays = np.array([one.row.out_day is None for one in model.people])
    np.testing.assert_array_equal(hours.lit[stays, 0], (model.last_tick - np.array(measured_from))[stays])
    assert fingerprint(ran(scenario, draw=scenario.run.seed % 7)) == fingerprint(model)
