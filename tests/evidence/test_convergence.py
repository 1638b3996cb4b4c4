"""Does the fineness of the computation matter: the verdict, the table, and a tick that is not a second."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_guesses import MILD, scenario
from rockshy.analysis.document.files import json_text
from rockshy.analysis.evidence import convergence, fingerprint
from rockshy.analysis.evidence.convergence import (
    ANSWERS,
    DEFAULT,
    LESS,
    MORE,
    SCENARIOS,
    SETTINGS,
    UNTOLD,
    Setting,
    as_markdown,
    headline,
    rows_of,
    run_all,
    table_of,
    values_at,
    verdict,
)
from rockshy.analysis.measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from rockshy.scenarios import read
from rockshy.sim.scenario.scenario import Scenario

NAMES = {"tiny": scenario()}
HALF, TWICE = Setting("finer", tick_s=0.5), Setting("twice as long", measuring=2.0)


@pytest.mark.parametrize(
    ("low", "high", "half_width", "said"),
    [
        (-0.05, 0.04, 0.1, LESS),
        (-0.05, 0.1, 0.1, UNTOLD),  # reaches the margin
        (-0.2, 0.05, 0.1, UNTOLD),
        (-0.2, 0.2, 0.1, UNTOLD),
        (0.11, 0.3, 0.1, MORE),
        (-0.3, -0.11, 0.1, MORE),
        (0.0, 0.0, 0.1, LESS),
        (0.0, 0.0, 0.0, UNTOLD),  # nothing was seen to happen
        (math.nan, math.nan, 0.1, UNTOLD),
        (-0.05, 0.04, math.nan, UNTOLD),
    ],
)
def test_verdict(low: float, high: float, half_width: float, said: str) -> None:
    assert verdict(low, high, half_width=half_width) == said


def made_up(shift: dict[str, float]):  # type: ignore[no-untyped-def]
    """Answers that differ by guess, and from the default by a shift and a little luck."""

    def at(asked: Scenario, setting: Setting, trial: int) -> dict[str, float]:
        rng = np.random.default_rng([trial % 4, 1])  # four guesses
        base = dict(zip(ANSWERS, rng.normal(0.5, 0.05, len(ANSWERS)), strict=True))
        luck = np.random.default_rng([trial, len(setting.name)]).normal(0.0, 0.002)
        moved = shift.get(setting.name, 0.0)
        return {goal: base[goal] + (goal == RECEIVED) * moved + luck for goal in ANSWERS}

    return at


def test_what_moves_and_what_does_not_is_told_from_paired_trials() -> None:
    settings = (HALF, TWICE)
    found, stopped = run_all(NAMES, trials=16, settings=settings, at=made_up({"twice as long": 3.0}))
    assert not stopped
    rows = {(one.answer, one.setting): one for one in rows_of(found, NAMES, settings=settings)}
    assert len(rows) == len(ANSWERS) * 3
    assert rows[RECEIVED, "twice as long"].verdict == MORE
    assert rows[RECEIVED, "twice as long"].difference == pytest.approx(3.0, abs=0.01)
    assert rows[RECEIVED, "finer"].verdict == LESS
    own, finer = rows[RECEIVED, DEFAULT.name], rows[RECEIVED, "finer"]
    # paired: the interval of the difference is far narrower than that of the answer
    assert finer.difference_high - finer.difference_low < 0.2 * (own.high - own.low)
    assert (own.difference, own.trials, own.species) == (0.0, 16, MILD)


def test_an_answer_that_never_happens_cannot_be_told() -> None:
    def calm(asked: Scenario, setting: Setting, trial: int) -> dict[str, float]:
        return dict.fromkeys(ANSWERS, 0.0)

    found, _ = run_all(NAMES, trials=4, settings=(HALF,), at=calm)
    assert {one.verdict for one in rows_of(found, NAMES, settings=(HALF,))} == {UNTOLD}


def test_broken_off_only_trials_that_both_have_are_compared() -> None:
    def broken(asked: Scenario, setting: Setting, trial: int) -> dict[str, float]:
        if trial == 5 and setting is HALF:
            raise KeyboardInterrupt
        return made_up({})(asked, setting, trial)

    found, stopped = run_all(NAMES, trials=8, settings=(HALF,), at=broken)
    assert stopped
    for one in rows_of(found, NAMES, settings=(HALF,)):
        both = found["tiny", DEFAULT.name].keys() & found["tiny", HALF.name].keys()
        assert one.trials == (len(both) if one.setting == HALF.name else one.trials)


def test_the_table_says_everything_twice() -> None:
    settings = (HALF, TWICE)
    found, _ = run_all(NAMES, trials=16, settings=settings, at=made_up({"twice as long": 3.0}))
    rows = rows_of(found, NAMES, settings=settings)
    table = json.loads(json_text(table_of(rows, trials=16, quick=True, stopped=False)))
    assert table["headline"] == headline(rows)
    assert headline(rows) == (
        "Of 8 comparisons with the default 7 move by less than the answer's own interval, 1 by more, "
        "0 cannot be told."
    )
    page = as_markdown(table)
    assert page.count("\n| ") == len(rows) + 1  # and the heads
    assert f"## tiny: {MILD}" in page and "a quick run" in page
    line = next(one for one in page.splitlines() if "| twice as long |" in one and "chases" in one)
    assert line.endswith("| 16 | moves more |") and "+3.0" in line
    assert len(table["simulator"]) == 16 and table["trials"] == 16


def test_settings_change_what_they_say_and_nothing_else() -> None:
    asked = read(SCENARIOS[0])
    assert DEFAULT.of(asked) == asked
    by_name = {one.name: one.of(asked) for one in SETTINGS}
    assert by_name["cell edge 4 cm"].tank.cell_cm == 4.0
    assert (
        by_name["half the settling time"].run.days,
        by_name["half the settling time"].run.settle_days,
    ) == (
        1.5,
        0.5,
    )
    assert by_name["twice the settling time"].run.days == 3.0
    assert (by_name["twice the measuring time"].run.days, asked.run.settle_days) == (3.0, 1.0)
    assert by_name["tick 0.5 s"] == asked
    assert {one.tick_s for one in SETTINGS} == {1.0, 0.5}
    assert len({(read(name).tank, read(name).stock) for name in SCENARIOS}) == 3


@pytest.mark.parametrize("tick_s", [1.0, 0.5])
def test_real_tanks_of_either_tick_give_shares_and_rates(tick_s: float) -> None:
    asked = replace(scenario(), run=replace(scenario().run, watch="Tropheus moorii"))
    found = values_at(asked, Setting("x", tick_s=tick_s, cell_cm=6.0), 1)
    assert set(found) == {RECEIVED, LOST, HIDDEN, PINNED_FISH}
    assert 0.0 <= found[HIDDEN] <= 1.0 and -0.2 <= found[LOST] <= 1.0 and found[RECEIVED] >= 0.0


def test_only_the_full_table_is_recorded(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(convergence, "HERE", tmp_path)
    monkeypatch.setattr(convergence, "values_at", None)
    for line in (["--record", "--quick"], ["--record", "--trials", "8"]):
        assert convergence.main(line) == 2
        assert "only the full table is recorded" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
    made = run_all(NAMES, trials=4, at=made_up({}))
    monkeypatch.setattr(convergence, "run_all", lambda *_, **__: made)
    monkeypatch.setattr(convergence, "rows_of", lambda found, _: rows_of(found, NAMES))
    assert convergence.main(["--record"]) == 0
    page = (tmp_path / "convergence.md").read_text(encoding="utf-8")
    assert page == capsys.readouterr().out and "the full run" in page
    table = json.loads((tmp_path / "convergence.json").read_text(encoding="utf-8"))
    assert as_markdown(table) == page


def test_the_recorded_table_is_of_the_rules_as_they_are() -> None:
    place = Path(convergence.__file__).with_name("convergence.json")
    if not place.is_file():
        pytest.skip("no table was recorded yet")
    table = json.loads(place.read_text(encoding="utf-8"))
    baseline = json.loads((Path(__file__).parents[1] / "baseline.json").read_text(encoding="utf-8"))
    assert table["baseline"] == fingerprint.of_baseline(baseline), "out of date: run it with --record"
    assert table["draws"] == fingerprint.of_draws(), "out of date: run it with --record"
    assert not table["quick"] and not table["stopped"]
    assert place.with_suffix(".md").read_text(encoding="utf-8") == as_markdown(table)
