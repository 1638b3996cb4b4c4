"""The table of evidence: verdicts from intervals, the registration, the writer, and the recorded table."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rockshy.analysis.document import as_text
from rockshy.analysis.document.files import table_text
from rockshy.analysis.evidence import fingerprint, lot, running
from rockshy.analysis.evidence.__main__ import main
from rockshy.analysis.evidence.experiments import EXPERIMENTS
from rockshy.analysis.evidence.lab import Lab
from rockshy.analysis.evidence.registered import (
    EMERGENT,
    RegistrationError,
    chosen,
    patterns,
    read_patterns,
    reasons,
    standing,
    text_of,
)
from rockshy.analysis.evidence.table import (
    NO_REASON,
    as_markdown,
    headline,
    row_of,
    table_of,
    table_words,
)
from rockshy.analysis.evidence.verdict import (
    FAILS,
    HOLDS,
    OPEN,
    VERDICTS,
    Finding,
    mean_of,
    median_of,
    share_of,
    statistic_of,
    together,
    verdict,
)
from rockshy.sim.species.sources import is_known

BASELINE = Path(__file__).parents[1] / "baseline.json"
NAN, INF = float("nan"), math.inf


def found(low: float, high: float) -> Finding:
    """A finding with an interval."""
    return Finding((low + high) / 2, low, high, 20)


# ---- verdicts


@pytest.mark.parametrize(
    ("interval", "margin", "wanted"),
    [
        ((0.3, 0.5), (0.2, 0.55), HOLDS),
        ((0.6, 0.7), (0.2, 0.55), FAILS),
        ((0.0, 0.1), (0.2, 0.55), FAILS),
        ((0.5, 0.6), (0.2, 0.55), OPEN),
        ((0.1, 0.7), (0.2, 0.55), OPEN),
        ((0.1, 0.4), (0.0, INF), HOLDS),
        ((-0.4, -0.1), (0.0, INF), FAILS),
        ((-0.1, 0.4), (0.0, INF), OPEN),
        ((-0.4, -0.1), (-INF, 0.0), HOLDS),
        ((0.0, 0.4), (0.0, INF), OPEN),
        ((-0.4, 0.0), (0.0, INF), OPEN),
        ((0.0, 0.0), (0.0, INF), FAILS),
        ((1.0, 1.0), (0.9, INF), HOLDS),
        ((0.2, 0.55), (0.2, 0.55), OPEN),
        ((NAN, NAN), (0.0, INF), OPEN),
        ((0.1, NAN), (0.0, INF), OPEN),
        ((0.1, INF), (0.0, INF), OPEN),
    ],
)
def test_the_whole_interval_decides(
    interval: tuple[float, float], margin: tuple[float, float], wanted: str
) -> None:
    """Inside, outside or neither; an interval that only touches a bound tells nothing."""
    assert verdict(found(*interval), low=margin[0], high=margin[1]) == wanted


def test_a_pattern_needs_all_of_its_parts() -> None:
    """One failure is enough, and one open part leaves the rest open."""
    assert together([HOLDS, HOLDS]) == HOLDS
    assert together([HOLDS, OPEN]) == OPEN
    assert together([OPEN, FAILS, HOLDS]) == FAILS
    assert together([]) == OPEN


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    """Medians, means, shares and ratios of synthetic trials with a known answer, 200 times each."""
    rng = np.random.default_rng(3)
    hits = np.zeros(3)
    for _ in range(200):
        skew = rng.exponential(1.0, 24)
        makers = (
            (median_of(skew), math.log(2.0)),
            (share_of(rng.random(24) < 0.3), 0.3),
            (mean_of(rng.normal(5.0, 1.0, 24)), 5.0),
        )
        hits += [one.low <= truth <= one.high for one, truth in makers]
    assert (hits >= 180).all()  # 95 % of 200 is 190


def test_what_cannot_be_told_is_nan() -> None:
    """No trial, one trial, or too few for ranks; equal trials have an interval of no width."""
    assert math.isnan(median_of([]).value)
    assert math.isnan(median_of([1.0, 2.0, 3.0]).low)
    assert math.isnan(mean_of([1.0]).low)
    assert math.isnan(share_of([]).value)
    assert (mean_of([2.0, 2.0]).low, mean_of([2.0, 2.0]).high) == (2.0, 2.0)
    assert median_of([1.0] * 8 + [NAN]).trials == 8
    assert math.isnan(statistic_of(lambda a, axis: np.mean(a, axis=axis) * NAN, [1.0, 2.0]).low)


def test_trials_the_other_way_are_counted() -> None:
    """A count, of the trials that have a value."""
    counted = mean_of([1.0, -1.0, 2.0]).counting(np.array([1.0, -1.0, 2.0]) < 0)
    assert (counted.other_way, counted.counted) == (1, 3)


# ---- the registration


def test_every_registered_pattern_has_an_experiment_and_its_part_names() -> None:
    """P1 to P15 and nothing else that is not registered; what was restated has none any more."""
    assert set(EXPERIMENTS) == set(standing())
    bare = {id_.rstrip("abc") for id_ in patterns() if id_.startswith("P")}
    assert bare == {f"P{k}" for k in range(1, 16)}
    assert all(pattern.trials >= pattern.trials_quick for pattern in patterns().values())


def test_what_is_restated_says_where_it_stands_now_and_is_not_run() -> None:
    """The old entry stays, with its reason; only the new one is chosen and counted."""
    old = {id_: one.restated.partition(": ") for id_, one in patterns().items() if one.restated}
    assert {id_: new for id_, (new, _, _) in old.items()} == {"P3": "N1", "F4": "N2", "L2": "L4"}
    assert all(why and new in standing() for new, _, why in old.values())
    assert not {one.id for one in chosen(None)} & set(old)
    lines = headline([made_row("F4", low=2.0, high=3.0)], waiting=["N2"])
    assert lines[0].startswith("Of 0 emergent patterns")
    assert "counted no more: F4 (holds; now N2)." in lines[-2] and lines[-1].endswith("not run yet: N2.")


def test_patterns_of_our_own_finding_are_emergent() -> None:
    """At least four, never settings."""
    own = [pattern for id_, pattern in patterns().items() if id_.startswith("F")]
    assert len(own) >= 4
    assert {pattern.kind for pattern in own} == {EMERGENT}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('source = "Nelissen1985 (data)', 'source = "Nobody1900 (data)', "not in the bibliography"),
        ('class = "emergent"', 'class = "proven"', 'class is "proven"'),
        ('why = "No rule mentions', 'whim = "No rule mentions', "P1: why is None"),
        ("low = 0.9\n", "", "low or high is needed"),
        ("trials = 64\n", 'trials = "many"\n', "P1: trials is 'many'"),
    ],
)
def test_a_faulty_registration_is_refused(old: str, new: str, said: str) -> None:
    """Every problem is named with the pattern."""
    text = text_of("patterns.toml")
    assert old in text
    with pytest.raises(RegistrationError, match="P1") as problem:
        read_patterns(text.replace(old, new, 1))
    assert said in str(problem.value)


def test_words_choose_patterns() -> None:
    """An id, or a number for all its halves; the nearest one is named for what is none."""
    assert [one.id for one in chosen("P8")] == ["P8a", "P8b", "P8c"]
    assert [one.id for one in chosen("p10b, P1")] == ["P1", "P10b"]
    assert [one.id for one in chosen("test,P1")] == [
        id_ for id_ in patterns() if id_ == "P1" or id_ in lot.committed()["test"]
    ]
    assert len(chosen(None)) == len(standing())
    with pytest.raises(RegistrationError, match="Did you mean P1"):
        chosen("P1,Q1")


# ---- the lot


def test_the_committed_lot_is_what_its_seed_gives() -> None:
    """Anybody can draw it again; another seed gives another."""
    assert lot.lot_text() == text_of("lot.json")
    assert lot.drawn(patterns().values(), seed="another") != lot.drawn(patterns().values())


def test_two_in_five_are_test_of_what_was_known_and_of_what_was_not() -> None:
    """Only emergent patterns take part, families stay together, and what was seen stays marked so."""
    told = lot.committed()
    ids = {id_ for id_ in standing() if standing()[id_].kind == EMERGENT and id_[0] != lot.LATER}
    assert {*told["training"], *told["test"]} == ids and not {*told["training"]} & {*told["test"]}
    assert len(told["test"]) >= 0.4 * len(ids)
    for known in (True, False):
        urn = {lot.family(id_) for id_ in ids if (lot.family(id_) in lot.KNOWN) == known}
        test = {lot.family(id_) for id_ in told["test"]} & urn
        assert len(test) >= 0.4 * len(urn) and not test & {lot.family(id_) for id_ in told["training"]}
    assert (lot.side_of("P5"), lot.side_of("L1")) == (None, lot.TEST)
    assert made_row("P7", low=0.0, high=1.0)["seen"] and made_row("P7", low=0.0, high=1.0)["lot"] == "test"


# ---- the table


def made_row(id_: str, *, low: float, high: float, reason: str | None = None) -> dict[str, Any]:
    """A row of a registered pattern, all parts with one interval."""
    pattern = patterns()[id_]
    findings = {part.name: found(low, high).counting([True, False, False]) for part in pattern.parts}
    return row_of(pattern, findings, trials=3, reason=reason)


def test_the_headline_counts_emergent_patterns_alone() -> None:
    """Two emergent ones, one of them seen before; built in and setting said apart."""
    rows = [
        made_row("P1", low=0.95, high=0.99),
        made_row("P13", low=0.6, high=0.8, reason="too many sites"),
        made_row("P11", low=-1.0, high=1.0),
        made_row("P2", low=0.9, high=0.95),
    ]
    first, drawn, second, *rest = headline(rows)
    assert first == "Of 2 emergent patterns 1 holds, 1 does not, 0 cannot be told."
    assert drawn.startswith("By lot training") and drawn.endswith(
        ": of 2, 1 holds, 1 does not, 0 cannot be told."
    )
    assert "P1 had been seen" in second and "of the 1 other 0 hold, 1 does not" in second
    assert rest == [
        "Verification only, built in: of 1, 0 hold, 0 do not, 1 cannot be told.",
        "Verification only, used as settings: of 1, 1 holds, 0 do not, 0 cannot be told.",
    ]


def test_the_table_is_written_in_three_ways() -> None:
    """JSON without nan, a Markdown line a part, text with figure, margin, verdict and single trials."""
    rows = [made_row("P1", low=0.95, high=0.99), made_row("P13", low=0.6, high=0.8, reason="too many sites")]
    rows.append(
        row_of(patterns()["P12b"], {"hiding and length": Finding(NAN, NAN, NAN, 0)}, trials=3, reason=None)
    )
    table = table_of(rows, complete=False, what="3 of 19", version="0", date="today", seed=5)
    again = json.loads(table_text(table))
    assert again["rows"][2]["parts"][0]["value"] is None
    assert again["rows"][0]["parts"][0]["margin"] == [0.9, None]
    markdown = as_markdown(table)
    lines = [line for line in markdown.splitlines() if line.startswith("| ") and not line.startswith("| |")]
    assert len(lines) == 2 + 1 + 1 and "## Emergent, training" in markdown
    assert len({line.count("|") for line in lines}) == 1
    assert "**Incomplete: 3 of 19.**" in markdown and "too many sites" in markdown
    text = as_text(table_words(table))
    assert "0.7 [0.6 to 0.8], wanted 0.25 to 0.5: does not hold; 1 of 3: tanks outside 25-50 %" in " ".join(
        text.split()
    )
    assert NO_REASON in text and "nothing to measure" in text
    assert max(map(len, text.splitlines())) <= 100


# ---- the command


def fake_experiments(interrupt_at: str | None = None) -> dict[str, Callable[..., dict[str, Finding]]]:
    """Experiments that find the same at once; one of them is broken off."""

    def make(id_: str) -> Callable[..., dict[str, Finding]]:
        def one(lab: Lab, trials: int) -> dict[str, Finding]:
            if id_ == interrupt_at:
                raise KeyboardInterrupt
            return {part.name: found(0.3, 0.4) for part in patterns()[id_].parts}

        return one

    return {id_: make(id_) for id_ in standing()}


def test_ctrl_c_keeps_what_is_done(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: Any) -> None:
    """The table of the patterns before, marked incomplete; exit 130."""
    monkeypatch.setattr(running, "EXPERIMENTS", fake_experiments(interrupt_at="P4"))
    assert main(["--quick", "--out", str(tmp_path / "new")]) == 130
    table = json.loads((tmp_path / "new" / "table.json").read_text(encoding="utf-8"))
    assert [row["id"] for row in table["rows"]] == ["P1", "P2"]
    assert not table["complete"] and table["stopped"]
    assert "2 of" in table["what"] and "Incomplete" in capsys.readouterr().out


def test_ctrl_c_leaves_the_recorded_table(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: Any
) -> None:
    """Recording writes only what is complete."""
    monkeypatch.setattr("rockshy.analysis.evidence.__main__.HERE", tmp_path)
    monkeypatch.setattr(fingerprint, "BASELINE", BASELINE)
    monkeypatch.setattr(running, "EXPERIMENTS", fake_experiments(interrupt_at="P4"))
    assert main(["--record"]) == 130
    assert not list(tmp_path.iterdir())
    monkeypatch.setattr(running, "EXPERIMENTS", fake_experiments())
    assert main(["--record"]) == 0
    table = json.loads((tmp_path / "table.json").read_text(encoding="utf-8"))
    assert table["complete"] and len(table["rows"]) == len(standing())
    assert table["baseline"] == fingerprint.of_baseline(json.loads(BASELINE.read_text(encoding="utf-8")))
    assert (tmp_path / "table.md").exists()
    others = [row for row in table["rows"] if row["id"] != "P2"]
    for numbers, status in (("0", 2), (table["numbers"], 0)):
        lacking = json.dumps({**table, "numbers": numbers, "rows": others})
        (tmp_path / "table.json").write_text(lacking, encoding="utf-8")
        assert main(["--record", "--only", "P2"]) == status
    again = json.loads((tmp_path / "table.json").read_text(encoding="utf-8"))
    assert {**again, "date": table["date"]} == table
    monkeypatch.setattr(running, "reasons", lambda: {"P1": "a reason of today"})
    assert main(["--reword"]) == 0
    assert "a reason of today" in (tmp_path / "table.md").read_text(encoding="utf-8")
    capsys.readouterr()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--only", "P99"], 'no pattern "P99"; use P1,'),
        (["--record", "--quick"], "full numbers alone are recorded"),
        (["--reword", "--quick"], "goes with no other option"),
        (["--out", str(BASELINE)], "is a file"),
        (["--quik"], "unrecognized arguments: --quik"),
    ],
)
def test_what_cannot_be_done_is_refused(words: list[str], said: str, capsys: Any) -> None:
    """One message, status 2, and nothing is run."""
    try:
        status = main(words)
    except SystemExit as end:
        status = int(end.code or 0)
    caught = capsys.readouterr()
    assert status == 2 and said in caught.err and not caught.out
    assert "Traceback" not in caught.err


# ---- the recorded table


@pytest.fixture(scope="module")
def recorded() -> dict[str, Any]:
    """The committed table."""
    table: dict[str, Any] = json.loads(text_of("table.json"))
    return table


def test_the_recorded_table_is_not_older_than_what_it_rests_on(recorded: dict[str, Any]) -> None:
    """Parameters, species and the numbers of the baseline run are those it was made with."""
    assert recorded["complete"]
    assert recorded["numbers"] == fingerprint.of_numbers(), "run python -m rockshy.analysis.evidence --record"
    baseline = fingerprint.of_baseline(json.loads(BASELINE.read_text(encoding="utf-8")))
    assert recorded["baseline"] == baseline, "run python -m rockshy.analysis.evidence --record"


def test_every_recorded_row_has_a_verdict_a_source_and_for_a_miss_a_reason(recorded: dict[str, Any]) -> None:
    """Registered patterns, in their classes, with verdicts that follow from their own figures."""
    there = [row["id"] for row in recorded["rows"]]
    assert there == [id_ for id_ in patterns() if id_ in there]
    assert recorded["waiting"] == [id_ for id_ in standing() if id_ not in there]
    for row in recorded["rows"]:
        pattern = patterns()[row["id"]]
        assert row["class"] == pattern.kind and is_known(row["source"])
        assert row["restated"] == pattern.restated and row["statement"] == pattern.statement
        for part, registered in zip(row["parts"], pattern.parts, strict=True):
            bounds = [NAN if end is None else end for end in (part["low"], part["high"])]
            assert (part["name"], part["margin_text"]) == (registered.name, registered.bounds())
            assert part["verdict"] == verdict(found(*bounds), low=registered.low, high=registered.high)
        assert row["verdict"] == together([part["verdict"] for part in row["parts"]])
        assert row["verdict"] in VERDICTS
        if row["verdict"] != HOLDS:
            assert row["reason"] == reasons().get(row["id"]), f"{row['id']} misses and has no reason"
            assert row["reason"]


def test_the_recorded_headline_and_page_match_the_rows(recorded: dict[str, Any]) -> None:
    """No sentence is older than the rows below it."""
    assert recorded["headline"] == headline(recorded["rows"], waiting=recorded["waiting"])
    assert text_of("table.md") == as_markdown(recorded)


def test_the_fingerprint_moves_with_numbers() -> None:
    """Another number, another hash."""
    numbers = json.loads(BASELINE.read_text(encoding="utf-8"))
    other = {**numbers, "chases": numbers["chases"] + 1}
    assert fingerprint.of_baseline(numbers) != fingerprint.of_baseline(other)
    assert len(fingerprint.of_numbers()) == 16


def test_a_bound_missed_by_the_last_bit_is_touched() -> None:
    """One pair in ten is no less than a tenth, however the division was rounded."""
    assert verdict(Finding(0.1, 0.0, 1 - 0.9, 64), high=0.1) == OPEN
    assert verdict(Finding(0.1, 0.0, 0.0999, 64), high=0.1) == HOLDS
