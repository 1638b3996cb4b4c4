"""Which trial is of which draw."""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.sim.rules.support.draws import BLOCK
from rockshy.sim.run.set_ups import a_round, draws_in, draws_of
from rockshy.sim.scenario.scenario import RunSpec


def test_a_default_run_has_64_draws_of_which_one_block_is_run_twice() -> None:
    draw, times = np.unique(draws_of(RunSpec(), RunSpec.trials), return_counts=True)
    assert (RunSpec.trials, draws_in(RunSpec())) == (72, 64)
    assert draw.tolist() == list(range(64)) and sorted(times) == [1] * 56 + [2] * 8


def test_more_trials_move_none_before_them_and_go_on_with_further_draws() -> None:
    many = draws_of(RunSpec(trials=720), 720)
    assert np.array_equal(draws_of(RunSpec(trials=30), 30), many[:30])
    assert len(np.unique(many)) == many.max() + 1 == 640
    assert many[72:144].tolist() == (many[:72] + 64).tolist()


def test_whole_blocks_of_trials_are_whole_blocks_of_draws() -> None:
    """So that what adds up is balanced after each of them, whatever the number of trials."""
    many = draws_of(RunSpec(), 50 * BLOCK) // BLOCK
    assert a_round(RunSpec()) == BLOCK
    assert (many.reshape(-1, BLOCK) == many[::BLOCK, None]).all()


def test_the_second_half_of_a_default_run_has_draws_and_repeats_of_its_own() -> None:
    draw = draws_of(RunSpec(), 72)
    assert not set(draw[:32]) & set(draw[32:])
    assert len(draw[32:]) - len(set(draw[32:])) == BLOCK


@pytest.mark.parametrize("run", [RunSpec(), RunSpec(guesses=16), RunSpec(guesses=5), RunSpec(fixed=True)])
def test_the_number_of_draws_is_that_of_the_trials(run: RunSpec) -> None:
    for trials in (1, 2, 8, 39, 40, 41, 44, 48, 49, 64, 71, 72, 73, 111, 113, 144, 1000):
        asked = RunSpec(trials=trials, guesses=run.guesses, fixed=run.fixed)
        assert draws_in(asked) == len(set(draws_of(asked, trials)))


def test_a_stated_number_of_guesses_takes_turns() -> None:
    run = RunSpec(trials=64, guesses=16)
    assert draws_of(run, 64).tolist() == [trial % 16 for trial in range(64)]
    assert a_round(run) == draws_in(run) == 16
    assert draws_of(RunSpec(trials=4, guesses=16), 6).tolist() == [0, 1, 2, 3, 0, 1]
    assert not draws_of(RunSpec(fixed=True), 20).any() and a_round(RunSpec(fixed=True)) == 1
