"""Keepers' levers: what is compared, verdicts from intervals, the bench, the table and its record."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rockshy.analysis.document import as_text
from rockshy.analysis.document.files import table_text
from rockshy.analysis.evidence import fingerprint, levers, levers_table
from rockshy.analysis.evidence.levers import (
    ALIVE,
    DEAD,
    OTHER_WAY,
    UNTOLD,
    Moved,
    Pulled,
    bench,
    judged,
    main,
    pull,
)
from rockshy.analysis.evidence.levers_list import CHIEF, DOWN, LEVERS, UP, Lever
from rockshy.analysis.evidence.levers_table import as_markdown, compact, headline, lever_words, table_of
from rockshy.analysis.evidence.registered import text_of
from rockshy.analysis.measures.registry import FREE, RECEIVED
from rockshy.analysis.study.runner import Runner
from rockshy.sim.rules.support.rule_set import Rules

BASELINE = Path(__file__).parents[1] / "baseline.json"


@pytest.mark.parametrize(
    ("low", "high", "wanted", "said"),
    [
        (0.04, 0.10, UP, ALIVE),
        (0.04, 0.10, DOWN, OTHER_WAY),
        (-0.10, -0.04, DOWN, ALIVE),
        (0.01, 0.10, UP, ALIVE),  # its middle is worth the name
        (0.01, 0.02, UP, DEAD),  # there, and too small to notice
        (-0.02, 0.02, UP, DEAD),
        (-0.01, 0.10, UP, UNTOLD),
        (0.01, 0.04, UP, UNTOLD),
        (0.0, 0.0, UP, DEAD),
        (math.nan, math.nan, UP, UNTOLD),
    ],
)
def test_the_whole_interval_decides(low: float, high: float, wanted: int, said: str) -> None:
    assert judged(low, high, wanted=wanted, worth=0.03) == said


@pytest.mark.parametrize("lever", LEVERS, ids=lambda lever: lever.id)
def test_every_lever_compares_fish_that_both_tanks_have(lever: Lever) -> None:
    """Scenarios are valid; the first has all fish that are compared, since it is the yardstick."""
    first = next(iter(lever.scenarios.values()))
    for contrast in lever.contrasts:
        base, other = lever.scenarios[contrast.base], lever.scenarios[contrast.other]
        whom = {one for one in base.measured_fish & other.measured_fish if one.startswith(contrast.species)}
        assert any(contrast.sex in one for one in whom) and whom <= first.measured_fish
        lengths = {one.measured_days[1] - one.measured_days[0] for one in (base, other)}
        assert len({round(one, 6) for one in lengths}) == 1  # the same stretch of lit time
    assert lever.keepers and lever.mechanism and lever.topics


def test_the_chief_is_out_or_back_when_it_is_measured() -> None:
    chief = next(lever for lever in LEVERS if lever.id == "chief").scenarios
    back = next(lever for lever in LEVERS if lever.id == "back").scenarios
    there = {name: CHIEF in one.measured_fish for name, one in {**chief, **back}.items()}
    assert there == {"kept": True, "out": False, "kept on": True, "back": True}
    assert back["back"].measured_days == back["kept on"].measured_days == (9.5, 10.5)


def no_attack(i: Any, shoal: Any, p: Any) -> float:
    return 0.0


def test_the_bench_takes_rules_and_parameters() -> None:
    """Where nobody attacks, nothing is received and everybody swims free, whatever the rock."""
    own = Rules().with_rule(attack_rate=no_attack)
    (calm,) = bench(rules=own, only=["height"], trials=2)
    assert {one.contrast.measure for one in calm.moved} == {FREE, RECEIVED}
    for one in calm.moved:
        assert one.base == (0.0 if one.contrast.measure == RECEIVED else pytest.approx(1.0, abs=0.1))
    told: list[tuple[int, int]] = []
    (usual,) = bench(only=["height"], trials=2, progress=lambda *at: told.append(at))
    assert told == [(k, 4) for k in range(1, 5)]
    assert next(one.base for one in usual.moved if one.contrast.measure == RECEIVED) > 0
    (slow,) = bench(parameters={"attack_rate_s": 1e-6}, only=["height"], trials=2)
    assert slow.moved != usual.moved
    with pytest.raises(ValueError, match='no lever "stone"; use rock, height'):
        bench(only=["stone"])


def made_up(verdicts: dict[str, tuple[float, float]]) -> list[Pulled]:
    """Levers whose first contrast has a given interval, and the others none."""
    found = []
    for lever in LEVERS:
        low, high = verdicts.get(lever.id, (math.nan, math.nan))
        first, *rest = lever.contrasts
        moved = [Moved(first, 0.5, 0.6, (low + high) / 2, low, high, 8)]
        found.append(Pulled(lever, (*moved, *(Moved(one, *[math.nan] * 5, 0) for one in rest))))
    return found


def test_the_first_contrast_decides_and_the_table_says_it_three_times() -> None:
    found = made_up({"rock": (0.0, 0.01), "order": (0.05, 0.2), "length": (0.1, 0.2)})
    told = json.loads(table_text(table_of(found, trials=8, complete=False)))
    by_id = {row["id"]: row for row in told["rows"]}
    assert {id_: by_id[id_]["verdict"] for id_ in ("rock", "order", "length", "sizes")} == {
        "rock": DEAD,
        "order": ALIVE,
        "length": OTHER_WAY,
        "sizes": UNTOLD,
    }
    assert by_id["order"]["reason"] is None and by_id["rock"]["reason"]
    assert by_id["order"]["parts"][0]["moves"] == pytest.approx(12.5)  # points
    assert told["headline"] == headline(told["rows"])
    assert "1 work as they say, 1 do nothing, 1 work the other way, 7 cannot be told" in told["headline"]
    page = as_markdown(told)
    assert page.count("\n## ") == len(LEVERS)
    lines = [line for line in page.splitlines() if line.startswith("| ")]
    assert len(lines) == len(LEVERS) + sum(len(lever.contrasts) for lever in LEVERS)
    text = as_text(lever_words(told))
    lines = compact(found).splitlines()
    assert len(lines) == len(LEVERS) + sum(len(lever.contrasts) for lever in LEVERS)
    order = lines.index("order: alive")
    assert lines[order + 1].split() == [
        *("alive", "mild", "last", "->", "mild", "first", "free", "%,", "up"),
        *("50.0", "60.0", "+12.5", "(+5.0", "to", "+20.0)"),
    ]
    assert "+12.5 (+5.0 to +20.0)" in text and text.startswith("Incomplete")
    assert max(map(len, text.splitlines())) <= 110


def test_the_worst_off_fish_of_each_tank_is_looked_at() -> None:
    """Contrasts of single fish take the least free, and the most chased."""
    sizes = next(lever for lever in LEVERS if lever.id == "sizes")
    everybody = tuple(replace(one, worst=False) for one in sizes.contrasts)
    asked = {name: replace(one, run=replace(one.run, trials=2)) for name, one in sizes.scenarios.items()}
    both = replace(sizes, contrasts=(*sizes.contrasts, *everybody))
    found = pull(both, asked, Runner(None, None, None)).moved
    least_free, most_chased, free, chased = (one.base for one in found)
    assert 0 <= least_free < free <= 1 and most_chased > chased > 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--only", "stone"], 'no lever "stone"; use rock'),
        (["--record", "--quick"], "only the full table is recorded"),
        (["--record", "--only", "rock"], "only the full table is recorded"),
    ],
)
def test_what_cannot_be_done_is_refused(words: list[str], said: str, capsys: Any) -> None:
    assert main(words) == 2
    caught = capsys.readouterr()
    assert said in caught.err and not caught.out


def test_the_whole_table_is_recorded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    """One that was stopped is not."""
    monkeypatch.setattr(levers, "HERE", tmp_path)
    monkeypatch.setattr(levers, "bench", lambda **_: made_up({})[:2])
    assert main(["--record"]) == 130 and list(tmp_path.iterdir()) == []
    monkeypatch.setattr(levers, "bench", lambda **_: made_up({}))
    assert main(["--record"]) == 0
    table = json.loads((tmp_path / "levers.json").read_text(encoding="utf-8"))
    assert table["complete"] and (tmp_path / "levers.md").read_text(encoding="utf-8") == as_markdown(table)
    monkeypatch.setattr(levers_table, "reasons", lambda: {"rock": "a reason of today"})
    assert main(["--reword"]) == 0
    assert "a reason of today" in (tmp_path / "levers.md").read_text(encoding="utf-8")
    assert "10 cannot be told" in " ".join(capsys.readouterr().out.split())


def test_the_recorded_table_is_of_the_rules_as_they_are() -> None:
    """All levers, with a reason for each that is not alive."""
    told = json.loads(text_of("levers.json"))
    assert [row["id"] for row in told["rows"]] == [lever.id for lever in LEVERS] and told["complete"]
    baseline = fingerprint.of_baseline(json.loads(BASELINE.read_text(encoding="utf-8")))
    assert (told["numbers"], told["baseline"]) == (fingerprint.of_numbers(), baseline), "run it with --record"
    assert told["draws"] == fingerprint.of_draws(), "run it with --record"
    assert told["headline"] == headline(told["rows"]) and text_of("levers.md") == as_markdown(told)
    for row in told["rows"]:
        assert (row["reason"] is None) == (row["verdict"] == ALIVE)
        assert row["reason"] != levers_table.NO_REASON, f"{row['id']} is not alive and has no reason"
