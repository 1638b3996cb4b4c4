"""Windows of simulated tanks: what somebody with a chair and a clock would have counted."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from rockshy.analysis.questions.watching import model_places as places
from rockshy.analysis.questions.watching import windows
from rockshy.analysis.questions.watching.ethogram import PLACES
from rockshy.analysis.questions.watching.model_places import ABSENT, OPEN
from rockshy.analysis.questions.watching.windows import Watched, watch_trial, windows_of
from rockshy.sim import TankModel
from rockshy.sim.run.drawing import draw_tank
from rockshy.sim.run.keeping import kept_run, places_after
from rockshy.sim.run.ledger import BITE, CHASE
from rockshy.sim.run.set_ups import draw_of
from staging import ROCKY, SMALL, row, scene
from watched_tanks import tank


def hand_made() -> Watched:
    """Three fish for eleven minutes; looked over every half minute; fish 2 leaves after five."""
    events = [
        (0, CHASE, 0, 1),
        (119, CHASE, 0, 1),
        (120, CHASE, 1, 0),
        (121, BITE, 1, 0),
        (360, CHASE, 2, 0),
        (599, CHASE, 0, 2),
    ]
    ticks = np.arange(29, 660, 30)
    scans = np.tile(np.array([places.SHELTER, OPEN, OPEN], np.int8), (len(ticks), 1))
    scans[ticks >= 300, 2] = ABSENT
    return Watched(0, np.array(events, np.int32), ticks, scans, ((0, 420), (480, 660)))


def test_windows_count_by_hand() -> None:
    cut = windows_of(hand_made(), minutes=2)
    assert cut.count == 4  # 0, 120 and 240 s of the first stretch, 480 s of the second; 60 s are left over
    assert cut.chases.tolist() == [[0, 0, 1], [0, 0, 1], [1, 1, 0], [3, 0, 2]]
    assert cut.bites.tolist() == [[1, 1, 0]]
    assert cut.scans.shape == (4, 4, 3)
    assert (cut.scans[3, :, 2] == ABSENT).all()
    assert (cut.scans[2, :2, 2] == OPEN).all()
    assert (cut.scans[2, 2:, 2] == ABSENT).all()

    between = replace(hand_made(), events=np.array([(450, CHASE, 0, 1), (479, CHASE, 0, 1)], np.int32))
    assert not len(windows_of(between, minutes=1).chases)  # an event between two stretches is in none
    assert windows_of(hand_made(), minutes=7).count == 1
    assert windows_of(hand_made(), minutes=8).count == 0
    assert windows.longest_quiet_minutes([hand_made()]) == 7.0


@pytest.fixture(scope="module")
def pair() -> tuple[TankModel, Watched]:
    """The same trial run plainly and watched: two lit days of one and a half hours, with meals."""
    scenario = scene(row(males=2, females=2), rock=ROCKY, lit_hours=1.5, days=2.0, settle_days=0.5, trials=2)
    model = TankModel(scenario, trial=1, draw=draw_of(scenario, 1))
    model.run()
    return model, watch_trial(scenario, 1)


def test_watching_changes_nothing(pair: tuple[TankModel, Watched]) -> None:
    model, watched = pair
    counted = np.zeros(model.ledger.pair.chases.shape, int)
    for _, kind, actor, target in watched.events:
        counted[actor, target] += kind == CHASE
    assert counted.sum() > 20
    np.testing.assert_array_equal(counted, model.ledger.pair.chases)
    assert (watched.events[:, 1] == BITE).sum() == model.ledger.pair.bites.sum()


def test_the_windows_hold_the_hand_count_of_the_ledger(pair: tuple[TankModel, Watched]) -> None:
    _, watched = pair
    cut = windows_of(watched, minutes=10)
    chases = watched.events[watched.events[:, 1] == CHASE]
    starts = [start for first, end in watched.quiet for start in range(first, end - 599, 600)]
    by_hand = [int(((chases[:, 0] >= start) & (chases[:, 0] < start + 600)).sum()) for start in starts]
    assert np.bincount(cut.chases[:, 0], minlength=cut.count).tolist() == by_hand
    assert cut.scans.shape == (len(by_hand), 20, 4)


def test_quiet_stretches_touch_neither_night_nor_meal(pair: tuple[TankModel, Watched]) -> None:
    model, watched = pair
    lit = model.lit_ticks
    meal = set(range(lit // 4, lit // 4 + 601))  # one a day, a quarter of it after the light comes on
    covered = np.concatenate([np.arange(first, end) for first, end in watched.quiet])
    assert not any(tick % lit in meal for tick in covered)
    assert all(first // lit == (end - 1) // lit for first, end in watched.quiet)
    measured = np.arange(model.measured_from, model.last_tick)
    assert set(covered) == {tick for tick in measured if tick % lit not in meal}


def test_the_looks_are_where_the_kept_moves_lead() -> None:
    scenario = scene(row(males=2, females=1), rock=ROCKY, lit_hours=1.0, days=1.0)
    watched = watch_trial(scenario, 0)
    model = TankModel(scenario, trial=0, keep=True)
    run = kept_run(model)
    cells = places_after(run, refuge_cell=model.tank.refuge_cell, ticks=watched.scan_ticks - 1)
    codes = places.codes_of_cells(model.tank)[cells]
    hidden = places.is_hidden(watched.scans)
    np.testing.assert_array_equal(codes[~hidden], watched.scans[~hidden])
    assert hidden.any() and not hidden.all()
    assert np.isin(cells[hidden], model.tank.refuge_cell).all()


def test_a_fish_that_is_out_is_absent() -> None:
    scenario = scene(
        row(males=1), replace(row("Scena altera", males=1), out_day=0.5), lit_hours=2.0, days=1.0
    )
    watched = watch_trial(scenario, 0)
    gone = watched.scan_ticks >= 3600
    assert (watched.scans[gone, 1] == ABSENT).all()
    assert (watched.scans[~gone, 1] >= 0).all()


def test_places_of_cells_by_hand() -> None:
    bare = draw_tank(scene(row(males=1)))  # 12 x 8 x 8 cells of 5 cm; a hand is two of them
    code = places.codes_of_cells(bare)

    def at(x: int, y: int, z: int) -> tuple[int, int]:
        return divmod(int(code[bare.index[x, y, z]]), len(PLACES))

    assert at(0, 4, 0) == at(3, 4, 1) == (0, places.FLOOR)
    assert (at(4, 4, 2), at(11, 4, 5)) == ((1, OPEN), (2, OPEN))
    assert at(8, 4, 6) == (2, places.SURFACE)
    rocky = draw_tank(scene(row(males=1), rock=ROCKY, tank=SMALL))
    near = places.codes_of_cells(rocky) % len(PLACES) == places.ROCK
    solid = np.argwhere(rocky.index < 0)
    gap = np.abs(rocky.xyz[:, None, :] - solid[None, :, :]).max(axis=2).min(axis=1)
    assert near.any()
    assert (gap[near] <= 2).all()
    assert not near[gap > 2].any()


def test_corners_and_crevices_are_told_apart() -> None:
    rocky = draw_tank(scene(row(males=1), rock=ROCKY))
    codes = places.codes_of_refuges(rocky)
    assert (codes[rocky.refuge_corner] % len(PLACES) == places.CORNER).all()
    assert (codes[~rocky.refuge_corner] % len(PLACES) == places.SHELTER).all()
    assert places.is_hidden(codes).all()
    seen = np.array([ABSENT, OPEN, places.SURFACE, places.ROCK, places.FLOOR], np.int8)
    assert not places.is_hidden(seen).any()


def test_every_simulated_tank_has_a_guess_of_its_own() -> None:
    scenario = windows.one_draw_each(tank())
    assert [draw_of(scenario, trial) for trial in range(scenario.run.trials)] == list(range(8))


def test_ctrl_c_leaves_what_was_done() -> None:
    scenario = scene(row(males=1), lit_hours=1.0, days=1.0, trials=6)

    def interrupt(done: int, _: int) -> None:
        if done >= 2:
            raise KeyboardInterrupt

    with ThreadPoolExecutor(1) as executor:
        found = windows.watch_trials(scenario, executor=executor, progress=interrupt)
    assert 2 <= len(found) < 6
    assert [one.trial for one in found] == sorted(one.trial for one in found)
