"""Kept runs: nothing is lost when the ledger fills up, and the moves tell where everybody was."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.fish.shoal import SHELTERED
from rockshy.sim.run import model
from rockshy.sim.run.keeping import KeptRun, kept_run, places_after
from rockshy.sim.run.ledger import CHASE
from staging import ROCKY, kind, row, scene

MILD = "Scena mitis"


def scenario(**run: object):
    """Five fish for three days of one lit hour; one comes a day late, one leaves early on the second day."""
    kinds = (kind(MILD, temper=0.3, timidity=2.0),)
    rows = (
        row(males=1, females=1),
        replace(row(MILD, males=1, females=1, length=7.0), day=1.0),
        replace(row(MILD, males=1, length=7.0), out_day=1.5),
    )
    return scene(*rows, kinds=kinds, rock=ROCKY, lit_hours=1.0, days=2.0, **run)


Kept = tuple[TankModel, KeptRun]


def kept() -> Kept:
    one = TankModel(scenario(), trial=1, keep=True)
    return one, kept_run(one)


@pytest.fixture(scope="module")
def whole() -> Kept:
    """A ledger with room for the whole run."""
    return kept()


@pytest.fixture(scope="module")
def pieces() -> Kept:
    """One that is full many times."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(model, "MOVES_KEPT", 1000)
        return kept()


def test_the_moves_lead_to_the_places_that_were_counted(whole: Kept) -> None:
    one, run = whole
    ticks = np.arange(one.measured_from, one.last_tick)
    places = places_after(run, refuge_cell=one.tank.refuge_cell, ticks=ticks)
    visits = np.zeros_like(one.ledger.visits)
    for i in range(len(one.people)):
        np.add.at(visits[i], places[places[:, i] >= 0, i], 1)
    assert visits.sum() > 0
    np.testing.assert_array_equal(visits, one.ledger.visits)


def test_the_last_row_of_a_fish_is_where_it_is_in_the_end(whole: Kept) -> None:
    one, run = whole
    for i in np.flatnonzero(one.shoal.fish.present):
        place = run.moves[run.moves[:, 2] == i][-1, 3]
        is_hidden = one.shoal.fish.doing[i] == SHELTERED
        assert place == (-1 - one.shoal.fish.refuge[i] if is_hidden else one.shoal.fish.cell[i])


def test_stays_are_those_of_the_stock_list(whole: Kept) -> None:
    one, run = whole
    end = one.last_tick
    assert run.stays.tolist() == [[[0, end]], [[0, end]], [[3600, end]], [[3600, end]], [[0, 5400]]]
    assert (run.moves[run.moves[:, 2] == 4, 0] < 5400).all()
    assert run.moves[run.moves[:, 2] == 2, 0].min() == 3600


def test_a_step_leads_to_the_same_or_a_neighbouring_cell_except_overnight(whole: Kept) -> None:
    one, run = whole
    cell = np.where(
        run.moves[:, 3] < 0, one.tank.refuge_cell[-1 - np.minimum(run.moves[:, 3], -1)], run.moves[:, 3]
    )
    for i in range(len(one.people)):
        mine = run.moves[:, 2] == i
        leap = np.abs(np.diff(one.tank.xyz[cell[mine]], axis=0)).max(axis=1)
        far = run.moves[mine][1:][leap > 1]
        assert set(far[:, 0]) <= {3600, 7200, 10800}
        assert (far[:, 1] == 0).all()


def test_a_ledger_that_fills_up_many_times_loses_nothing(whole: Kept, pieces: Kept) -> None:
    assert len(whole[1].moves) > 5 * 1000 and len(pieces[0].ledger.moves) == 1000
    for name in KeptRun._fields:
        np.testing.assert_array_equal(getattr(pieces[1], name), getattr(whole[1], name), err_msg=name)


def test_keeping_changes_nothing(pieces: Kept) -> None:
    one, run = pieces
    bare = TankModel(scenario(), trial=1)
    bare.run()
    for name in ("pair", "fish", "hours", "visits"):
        np.testing.assert_array_equal(getattr(one.ledger, name), getattr(bare.ledger, name), err_msg=name)
    np.testing.assert_array_equal(one.shoal.fish, bare.shoal.fish)
    measured = (run.events[:, 0] >= one.measured_from) & (run.events[:, 1] == CHASE)
    assert measured.sum() == bare.ledger.pair.chases.sum() > 0


def test_a_model_that_keeps_nothing_or_has_run_is_refused() -> None:
    with pytest.raises(ValueError, match="keep=True"):
        kept_run(TankModel(scenario()))
    ran = TankModel(scenario(), keep=True)
    ran.step()
    with pytest.raises(ValueError, match="not have been run"):
        kept_run(ran)
