"""Draws of what published work does not rule out: which they are, who takes them, and who does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rockshy import scenarios
from rockshy.sim.rules.support.draws import BLOCK
from rockshy.sim.rules.support.parameters import load
from rockshy.sim.rules.support.possible import possible, table
from rockshy.sim.rules.support.rule_set import Rules
from rockshy.sim.run.drawing import parameters_of
from rockshy.sim.scenario.given import GivenDraws
from rockshy.sim.scenario.scenario import Scenario

NAMES, ROWS = table()


def drawn_anew(**run: object) -> Scenario:
    scenario = scenarios.load("mild-with-hot")
    return replace(scenario, run=replace(scenario.run, **run))


def test_they_are_values_of_parameters_that_are_drawn_within_their_ranges() -> None:
    assert len(ROWS) >= 32 * BLOCK and len(ROWS) % BLOCK == 0
    known = load()
    for name, column in zip(NAMES, zip(*ROWS, strict=True), strict=True):
        one = known[name]
        slack = 1e-3 * max(abs(one.low), abs(one.high))  # values are written with four digits
        assert one.draw != "fixed" and one.low - slack <= min(column) and max(column) <= one.high + slack
        assert len(set(column)) > len(ROWS) / 4, name


def test_a_run_takes_whole_blocks_of_them_in_an_order_of_its_seed() -> None:
    rows = {row: k for k, row in enumerate(ROWS)}
    taken = [rows[tuple(possible(7, draw)[name] for name in NAMES)] for draw in range(len(ROWS))]
    assert sorted(taken) == list(range(len(ROWS)))
    assert [k % BLOCK for k in taken] == [draw % BLOCK for draw in range(len(ROWS))]
    other = [rows[tuple(possible(8, draw)[name] for name in NAMES)] for draw in range(2 * BLOCK)]
    assert other != taken[: 2 * BLOCK]
    assert possible(7, len(ROWS) + 3) == possible(7, 3)  # they come round again


def test_runs_draw_from_them_unless_told_to_draw_wide() -> None:
    narrowed, wide = drawn_anew(), drawn_anew(wide=True)
    seed = narrowed.run.seed
    for draw in (0, 11):
        p = parameters_of(narrowed, draw)
        assert {name: p[name] for name in NAMES} == pytest.approx(possible(seed, draw))
    assert any(
        parameters_of(wide, 0)[name] != pytest.approx(possible(seed, 0)[name], rel=1e-3) for name in NAMES
    )


def test_what_is_set_fixed_or_given_stands_above_them() -> None:
    name = NAMES[0]
    default = load()[name].value
    assert parameters_of(drawn_anew(fixed=True), 5)[name] == default
    set_by_hand = replace(drawn_anew(), parameters={name: default})
    assert parameters_of(set_by_hand, 5)[name] == default
    assert parameters_of(set_by_hand, 5)[NAMES[1]] == pytest.approx(
        possible(set_by_hand.run.seed, 5)[NAMES[1]]
    )
    given = replace(drawn_anew(), given=GivenDraws((name,), ((default,),)))
    assert parameters_of(given, 5)[name] == default
    assert parameters_of(drawn_anew(), 5, instead={name: 0.0})[name] == 0.0


def never(i: int, shoal: object, p: object) -> float:
    """Nobody ever attacks."""
    return 0.0


def test_under_a_readers_own_rules_nothing_is_ruled_out() -> None:
    """What published work rules out was found under the project's rules."""
    own = replace(drawn_anew(), rules=Rules().with_rule(attack_rate=never))
    wide = parameters_of(drawn_anew(wide=True), 3)
    assert all(parameters_of(own, 3)[name] == wide[name] for name in NAMES)


def test_means_over_a_block_scatter_less_than_those_of_rows_by_chance() -> None:
    """Each block meets every eighth of what is left of each range once; so its mean is nearly that of all."""
    rng = np.random.default_rng(1)
    values = np.array(ROWS)
    shuffled = rng.permutation(values)
    by_block, by_chance = (
        one.reshape(-1, BLOCK, len(NAMES)).mean(axis=1).std(axis=0) for one in (values, shuffled)
    )
    assert np.median(by_block / by_chance) < 1 / 3
