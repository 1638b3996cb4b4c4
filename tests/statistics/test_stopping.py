"""Stopping by half-width: stated looks, no lucky look, and intervals that hold the truth afterwards."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike
from rockshy.analysis.statistics.intervals import count_estimate, estimate, wilson_interval
from rockshy.analysis.statistics.stopping import Until, draws_needed, enough_rate, enough_share, looks
from stopped_runs import WORLDS, World, coverage, overdispersed

REPETITIONS = 250


def floor(share: float, *, of: int) -> float:
    """The share less two standard errors of a simulation."""
    return share - 2 * math.sqrt(share * (1 - share) / of)


def test_looks_come_after_whole_rounds_and_end_at_the_cap() -> None:
    found = looks(1000, a_round=16)
    assert found[:4] == (64, 80, 112, 144) and found[-1] == 992
    assert all(size % 16 == 0 for size in found) and list(found) == sorted(set(found))
    assert looks(300, a_round=1)[:3] == (64, 80, 100) and looks(300, a_round=1)[-1] == 300
    assert looks(100, a_round=48) == (96,)
    assert looks(10, a_round=16) == (10,)
    assert looks(50, a_round=16) == (48,)


@pytest.mark.parametrize("wrong", [{"cap": 0}, {"a_round": 0}, {"least": 0}, {"growth": 0.5}])
def test_looks_refuse_what_is_no_number_of_trials(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=f"{next(iter(wrong))} is .*; use 1 or more"):
        looks(**{"cap": 100, "a_round": 4, **wrong})  # type: ignore[arg-type]


def test_one_look_judges_by_the_printed_interval() -> None:
    draw = np.arange(96) % 16
    hits = np.arange(96) % 7 == 0
    printed = count_estimate(hits, draw=draw)
    width = (printed.high - printed.low) / 2
    assert enough_share(hits, draw=draw, half_width=width + 1e-9)
    assert not enough_share(hits, draw=draw, half_width=width - 1e-9)
    values = np.random.default_rng(0).gamma(4.0, 1.0, 96) + 3 * (draw % 2)  # guesses differ: they decide
    rate = estimate(values, draw=draw)
    share = (rate.high - rate.low) / 2 / rate.value
    assert enough_rate(values, draw=draw, share=share * 1.001)
    assert not enough_rate(values, draw=draw, share=share * 0.999)


def test_guesses_that_agree_by_luck_do_not_end_it() -> None:
    """Trials differ within guesses of one mean: the spread over guesses is 0, that over trials is not."""
    draw = np.arange(64) % 16
    values = 10.0 + np.where(np.arange(64) // 16 % 2 == 0, 8.0, -8.0)
    found = estimate(values, draw=draw)
    assert found.high - found.low < 1e-9
    assert not enough_rate(values, draw=draw, share=0.1)
    assert enough_rate(values, draw=draw, share=0.25)


def test_trials_that_cannot_be_judged_are_left_out_and_nothing_is_never_enough() -> None:
    hits = np.where(np.arange(128) < 64, np.nan, 0.0)
    narrow = (wilson_interval(0, trials=64)[1]) / 2
    assert enough_share(hits, draw=np.arange(128), half_width=narrow + 1e-9)
    assert not enough_share(hits, draw=np.arange(128), half_width=narrow - 1e-9)
    assert not enough_share([np.nan], draw=[0], half_width=0.5)
    assert not enough_rate(np.zeros(100), draw=np.arange(100), share=0.5)
    assert not enough_rate([3.0], draw=[0], share=0.5)


def test_two_looks_in_a_row_are_needed() -> None:
    """Counts of 10 but for a wild stretch after the first look: enough, not, not, ..., then twice enough."""
    until = Until(cap=1000, relative=0.15)
    values = np.full(1000, 10.0)
    values[64:72] = 70.0
    draw = np.zeros(1000, dtype=int)
    stated = until.looks(a_round=1)[:-1]
    seen = [until.enough(values[:n], draw=draw[:n], fixed=True) for n in stated]
    done = [until.done(values[:n], draw=draw[:n], a_round=1, fixed=True) for n in stated]
    assert seen[0] and not any(seen[1:3]) and all(seen[-2:])
    assert done == [False, *(now and before for before, now in zip(seen, seen[1:], strict=False))]
    assert seen != done


def test_done_is_asked_between_looks_and_after_the_cap() -> None:
    until = Until(cap=150, half_width=0.4)
    hits, draw = np.zeros(200), np.arange(200) % 16
    assert [n for n in range(1, 160) if until.done(hits[:n], draw=draw[:n], a_round=16)][:1] == [80]
    assert until.done(hits, draw=draw, a_round=16)
    assert not until.done(hits[:79], draw=draw[:79], a_round=16)
    strict = Until(cap=150, half_width=0.01)
    ends = [n for n in range(1, 160) if strict.done(hits[:n], draw=draw[:n], a_round=16)]
    assert ends[0] == 144


def test_guesses_needed_to_know_of_nothing() -> None:
    """0 of 35 tanks: Wilson's interval is 0 to 0.0989; of 34, 0 to 0.1015."""
    assert draws_needed(0.05) == 35
    assert wilson_interval(0, trials=35)[1] / 2 <= 0.05 < wilson_interval(0, trials=34)[1] / 2
    with pytest.raises(ValueError, match="half_width"):
        draws_needed(0.0)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "0 of half_width and relative"),
        ({"half_width": 0.1, "relative": 0.1}, "2 of half_width"),
        ({"half_width": 5.0}, "half-width is 5.0; use a number above 0 and below 1"),
        ({"relative": 0.0}, "half-width is 0.0"),
        ({"relative": 0.1, "cap": 0}, "cap is 0"),
        ({"relative": 0.1, "in_a_row": 0}, "in_a_row is 0"),
    ],
)
def test_what_cannot_be_waited_for_is_refused(given: dict[str, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        Until(**{"cap": 100, **given})  # type: ignore[arg-type]


@pytest.mark.parametrize("world", WORLDS, ids=lambda world: world.name)
def test_intervals_hold_the_truth_after_stopping(world: World) -> None:
    """At least 93 % of the 95 % intervals, less two standard errors of the simulation; not run to the cap."""
    held, run = coverage(world, repetitions=REPETITIONS, seed=11)
    assert held >= floor(0.93, of=REPETITIONS)
    assert run < world.until.cap / 2


class Hasty(Until):
    """Looks after every round, asks the printed interval alone and stops at the first narrow one."""

    def enough(self, values: ArrayLike, *, draw: ArrayLike, fixed: bool = False) -> bool:
        found = estimate(values, draw=draw, fixed=fixed)
        return (found.high - found.low) / 2 <= (self.relative or 0.0) * found.value


def test_a_lucky_look_would_be_noticed() -> None:
    """The same world and simulation: the hasty rule misses too often, the careful one does not."""
    hasty = Hasty(cap=100, relative=0.15, least=4, growth=1.0, in_a_row=1)
    world = World("counts of 20", 20.0, overdispersed(20.0, k=8.0), hasty, 4)
    assert coverage(world, repetitions=200, seed=3)[0] < floor(0.93, of=200)
    mended = replace(world, until=Until(cap=200, relative=0.15))
    assert coverage(mended, repetitions=200, seed=3)[0] >= floor(0.93, of=200)
