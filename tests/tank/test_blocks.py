"""Blocks of water, the places that fish know: every cell is in one, and each knows those that touch it."""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.sim.scenario.scenario import TankSpec
from rockshy.sim.tank.tank import Tank, cell_centres_cm
from rockshy.sim.tank.water import BLOCK_CM, blocks_of
from staging import ROCKY, holes, row, stage

TANKS = {
    "whole blocks": TankSpec(60.0, 40.0, 40.0, 40.0),
    "half a block left over": TankSpec(65.0, 35.0, 40.0, 37.0),
    "cells that no block is made of": TankSpec(63.0, 36.0, 33.0, 30.0, cell_cm=3.0),
    "cells that lie across": TankSpec(64.0, 40.0, 40.0, 36.0, cell_cm=4.0),
}


def tank_of(name: str) -> tuple[TankSpec, Tank]:
    spec = TANKS[name]
    rock = ROCKY if spec.cell_cm == 5.0 else holes()
    return spec, stage(row(males=1), tank=spec, rock=rock).tank


@pytest.mark.parametrize("name", TANKS)
def test_each_cell_is_in_the_block_in_which_its_middle_lies(name: str) -> None:
    spec, tank = tank_of(name)
    block, _ = blocks_of(tank)
    middle = np.floor(cell_centres_cm(spec, tank.xyz) / BLOCK_CM).astype(int)
    together = {tuple(place): number for place, number in zip(middle, block, strict=True)}
    assert len({*together.values()}) == len(together), "no two places have one number"
    assert [together[tuple(place)] for place in middle] == block.tolist()


@pytest.mark.parametrize("name", TANKS)
def test_blocks_beside_each_other_know_it_of_each_other_and_minus_one_is_outside(name: str) -> None:
    _, tank = tank_of(name)
    _, beside = blocks_of(tank)
    assert beside.shape[1] == 27
    assert (beside[:, 13] == np.arange(len(beside))).all(), "a block is in the middle of those round it"
    for k in range(27):
        here = np.flatnonzero(beside[:, k] >= 0)
        assert (beside[beside[here, k], 26 - k] == here).all(), "there and back"
    assert beside.min() == -1 and beside.max() == len(beside) - 1
    for around in beside:
        known = around[around >= 0]
        assert len({*known.tolist()}) == len(known)
        assert len(known) in {8, 12, 18, 27}, "at a corner, an edge, a face, in open water"


def test_cells_of_neighbouring_blocks_touch_and_those_of_others_do_not() -> None:
    _, tank = tank_of("whole blocks")
    block, beside = blocks_of(tank)
    place = tank.xyz // 2
    some = np.random.default_rng(1).integers(len(block), size=(400, 2))
    for a, b in some:
        touch = bool((abs(place[a] - place[b]) <= 1).all())
        assert (block[b] in beside[block[a]]) == touch


def test_a_cell_that_swims_on_comes_into_a_block_beside() -> None:
    for name in TANKS:
        _, tank = tank_of(name)
        block, beside = blocks_of(tank)
        for k in range(26):
            there = tank.neighbour[:, k]
            open_ = np.flatnonzero(there >= 0)
            assert (beside[block[open_]] == block[there[open_], None]).any(axis=1).all()
