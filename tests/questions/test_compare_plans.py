"""How many trials of what: shared out to where they decide, or until an interval is narrow enough."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_compare import BASE, FEWER, club, table
from fake_trials import HOT, MILD
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.rates import values_of
from rockshy.analysis.measures.registry import LOST
from rockshy.analysis.questions.compare.plans import Shared, shared_of, stopped_of, until_plan
from rockshy.analysis.statistics.sharing import Sharer
from rockshy.analysis.statistics.stopping import Until
from rockshy.sim.scenario.scenario import RunSpec

MILD_GROUP = Group(species=MILD)
FOUR = RunSpec(guesses=4)


def test_saved_trials_are_those_that_equal_shares_would_have_taken_more() -> None:
    shared = Shared(("base", "a", "b"), (40, 16, 40), 120, "clear", 0.99)
    assert (shared.equal, shared.saved) == (120, 24)
    said = " ".join(shared.sentences())
    assert "Chen2000" in said
    assert "base 40, a 16, b 40; 96 in all" in said
    assert "24 saved" in said
    assert "99 %" in said
    spent = Shared(("a", "b"), (8, 8), 16, "spent", 0.99)
    assert "16 simulated tanks allowed for were spent" in " ".join(spent.sentences())


def test_sharing_out_gives_the_hopeless_fewer_trials() -> None:
    base = BASE.replace("trials = 8", "trials = 64")
    worse = f'[[alternative]]\nname = "more"\nrecount = [{{ species = "{HOT}", males = 4 }}]\n'
    scenario = club(FEWER, worse, base=base)
    scenarios = [scenario, *(one.scenario for one in scenario.alternatives)]
    sharer = Sharer(3, budget=192, draw=np.arange(96) % 4, first=8, batch=8)
    values: list[list[float]] = [[], [], []]
    while handed := sharer.next_batch(values):
        for which, trial in handed:
            one = table(scenarios[which], trials=[trial], luck=0.6, also=f"{which}")
            values[which].append(float(values_of(one, measure=LOST, group=MILD_GROUP)[0]))
    shared = shared_of(sharer, names=["base", "one", "more"], counts=[len(one) for one in values])
    assert shared.reason == "clear"
    assert shared.counts[2] <= shared.counts[1]
    assert sum(shared.counts) < 192
    assert shared_of(sharer, names=["a", "b", "c"], counts=[8, 8, 7]).reason == ""


# ---- until


def looks_of(values: list[np.ndarray], until: Until) -> list[int]:
    """Trials of each that the plan had handed out after each batch, with these values."""
    plan = until_plan(until, FOUR)
    had: list[int] = [0]
    while handed := plan([one[: had[-1]] for one in values]):
        assert {which for which, _ in handed} == set(range(len(values)))
        assert sorted({trial for _, trial in handed})[0] == had[-1]
        had.append(1 + max(trial for _, trial in handed))
    return had[1:]


def test_until_goes_on_until_every_scenario_is_known_well_enough() -> None:
    rng = np.random.default_rng(1)
    rates = [rng.gamma(400.0, 1 / 400.0, 400), rng.gamma(2.0, 0.5, 400)]
    alone = looks_of(rates[:1], Until(cap=400, relative=0.1))
    both = looks_of(rates, Until(cap=400, relative=0.1))
    assert alone[-1] < both[-1] < 400
    assert alone[0] == 64
    wide = looks_of(rates, Until(cap=100, relative=0.01))
    assert wide[-1] == 100


def test_until_does_not_wait_for_a_tank_without_the_fish() -> None:
    rng = np.random.default_rng(1)
    values = [rng.gamma(400.0, 1 / 400.0, 400), np.full(400, np.nan)]
    assert looks_of(values, Until(cap=400, relative=0.1))[-1] < 400


def test_what_was_reached_is_said_with_what_stood_in_the_way() -> None:
    until = Until(cap=64, half_width=0.05)
    hits = [np.zeros(64), np.random.default_rng(1).integers(0, 2, 64).astype(float)]
    found = stopped_of(until, hits, names=["base", "other"], run=FOUR)
    assert not found.reached
    said = " ".join(found.sentences())
    assert "Not reached with the cap of 64" in said
    assert "4 guesses are too few" in said
    easy = stopped_of(Until(cap=64, half_width=0.4), hits, names=["base", "other"], run=FOUR)
    assert easy.reached
    assert "Enough after 64 simulated tanks of each, the cap." in " ".join(easy.sentences())
    rate = stopped_of(
        Until(cap=64, relative=0.5), [hits[1] + 1], names=["base"], run=replace(FOUR, fixed=True)
    )
    assert rate.half_widths[0] == pytest.approx(
        2.0 * np.std(hits[1], ddof=1) / 8 / np.mean(hits[1] + 1), rel=0.01
    )
