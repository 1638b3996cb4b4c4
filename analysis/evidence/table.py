"""The table of evidence: rows from findings, the headline, and the table as JSON, Markdown and plain text."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ..document import Document, Section, document, flush, section
from ..document.plain import many
from .lot import TEST, TRAINING, side_of
from .registered import BUILT_IN, EMERGENT, LIBRARY, SETTING, Pattern
from .verdict import FAILS, HOLDS, OPEN, Finding, together, verdict

Row = dict[str, Any]
NO_REASON = "no reason was written yet"
_CLASS_WORDS = {
    EMERGENT: "no rule states it and no number was chosen by it",
    BUILT_IN: "a rule states it, so this checks the program",
    SETTING: "it was used to choose a rule or a number",
    LIBRARY: "an ordering of species traits, not a model output",
}


def row_of(pattern: Pattern, findings: Mapping[str, Finding], *, trials: int, reason: str | None) -> Row:
    """A row of the table.

    Parameters
    ----------
    pattern : as registered.
    findings : by the name of the part; all parts must be there.
    trials : simulated tanks asked for in each set-up.
    reason : why it does not hold or cannot be told; left out where it holds.
    """
    parts: list[Row] = []
    for part in pattern.parts:
        found = findings[part.name]
        parts.append(
            {
                "name": part.name,
                "measure": part.measure,
                "margin": [_number(part.low), _number(part.high)],
                "margin_text": part.bounds(),
                "value": _number(found.value),
                "low": _number(found.low),
                "high": _number(found.high),
                "trials": found.trials,
                "other_way": found.other_way,
                "counted": found.counted,
                "other_way_text": part.other_way,
                "verdict": verdict(found, low=part.low, high=part.high),
            }
        )
    whole = together([part["verdict"] for part in parts])
    return {
        "id": pattern.id,
        "class": pattern.kind,
        "lot": side_of(pattern.id),
        "restated": pattern.restated,
        "seen": pattern.seen.startswith("Yes") or pattern.seen.startswith("In "),
        "statement": pattern.statement,
        "source": pattern.source,
        "figure": pattern.figure,
        "trials": trials,
        "verdict": whole,
        "reason": None if whole == HOLDS else (reason or NO_REASON),
        "parts": parts,
    }


def judged_anew(row: Row) -> Row:
    """A recorded row with the verdicts that its figures have by the present rule."""
    parts = []
    for part in row["parts"]:
        value, low, high = (math.nan if part[end] is None else part[end] for end in ("value", "low", "high"))
        least, most = part["margin"]
        least, most = -math.inf if least is None else least, math.inf if most is None else most
        found = Finding(value, low, high, part["trials"])
        parts.append({**part, "verdict": verdict(found, low=least, high=most)})
    return {**row, "parts": parts, "verdict": together([part["verdict"] for part in parts])}


def headline(rows: Sequence[Row], *, waiting: Sequence[str] = ()) -> list[str]:
    """What the rows come to: emergent patterns first, what only verifies said apart.

    Parameters
    ----------
    rows : those that were restated since are not counted.
    waiting : ids of patterns that were registered and have not been run.
    """
    restated = [row for row in rows if row["restated"]]
    rows = [row for row in rows if not row["restated"]]
    emergent = [row for row in rows if row["class"] == EMERGENT]
    lines = [f"Of {many(len(emergent), 'emergent pattern')} {_tally(emergent)}."]
    for side, words in ((TRAINING, "looked at while rules are made"), (TEST, "never used to choose one")):
        drawn = [row for row in emergent if row["lot"] == side]
        if drawn:
            lines.append(f"By lot {side}, {words}: of {len(drawn)}, {_tally(drawn)}.")
    seen = [row for row in emergent if row["seen"]]
    fresh = [row for row in emergent if not row["seen"]]
    if seen:
        ids = ", ".join(row["id"] for row in seen)
        told = f"Of these, {ids} had been seen in the model, or in a sketch of it, before being registered"
        lines.append(f"{told}; of the {many(len(fresh), 'other')} {_tally(fresh)}." if fresh else f"{told}.")
    for kind, words in ((BUILT_IN, "built in"), (SETTING, "used as settings"), (LIBRARY, "of the library")):
        of_kind = [row for row in rows if row["class"] == kind]
        if of_kind:
            lines.append(f"Verification only, {words}: of {len(of_kind)}, {_tally(of_kind)}.")
    if restated:
        old = (f"{row['id']} ({row['verdict']}; now {row['restated'].partition(':')[0]})" for row in restated)
        lines.append(f"Restated in other words, and counted no more: {', '.join(old)}.")
    if waiting:
        lines.append(f"Registered, and not run yet: {', '.join(waiting)}.")
    return lines


def _tally(rows: Sequence[Row]) -> str:
    count = {name: sum(row["verdict"] == name for row in rows) for name in (HOLDS, FAILS, OPEN)}
    return (
        f"{count[HOLDS]} {'holds' if count[HOLDS] == 1 else 'hold'}, "
        f"{count[FAILS]} {'does' if count[FAILS] == 1 else 'do'} not, {count[OPEN]} cannot be told"
    )


def table_of(
    rows: Sequence[Row], *, complete: bool, waiting: Sequence[str] = (), **made: Any
) -> dict[str, Any]:
    """The whole table; ``made`` says with what and when it was made, ``waiting`` what was not run yet."""
    told = {"headline": headline(rows, waiting=waiting), "waiting": list(waiting)}
    return {**made, "complete": complete, **told, "rows": list(rows)}


def as_markdown(table: Mapping[str, Any]) -> str:
    """The table for readers, a line a part."""
    lines = ["# Is the model any good? Patterns from published papers", ""]
    if not table["complete"]:
        lines += ["**Incomplete: " + table["what"] + ".**", ""]
    first, *rest = table["headline"]
    lines += [f"**{first}**", "", *(f"- {one}" for one in rest), ""]
    lines += [
        f"Made by rockshy {table['version']} on {table['date']}; {table['what']}; seed {table['seed']}. "
        "Figures are of the model with every value at its default; brackets hold the 95 % interval over "
        "simulated tanks. It says how precisely the model was run, not how sure nature is. "
        "A part holds when the whole interval keeps the margin.",
    ]
    for title, rows in _sections(table["rows"]):
        lines += [
            "",
            f"## {title}",
            "",
            "| | pattern, and the paper's figure | class | measured | model | margin | verdict "
            "| single tanks the other way |",
            "|---|---|---|---|---|---|---|---|",
        ]
        lines += [_cells(row, k, part) for row in rows for k, part in enumerate(row["parts"])]
    lines += ["", "Classes: " + "; ".join(f"{kind}: {words}" for kind, words in _CLASS_WORDS.items()) + "."]
    missed = [row for row in table["rows"] if row["reason"]]
    if missed:
        lines += ["", "## What does not hold or cannot be told, and why", ""]
        lines += [
            f"- **{row['id']}** {row['statement']} *{row['verdict']}*: {row['reason']}" for row in missed
        ]
    return "\n".join(lines) + "\n"


def _sections(rows: Sequence[Row]) -> Iterator[tuple[str, list[Row]]]:
    """Training and test apart, then what is not emergent, then what stands in other words now."""
    titles = {
        TRAINING: "Emergent, training: looked at while rules are made",
        TEST: "Emergent, test: never used to choose a rule or a number",
        None: "Not emergent",
    }
    for side, title in titles.items():
        own = [row for row in rows if not row["restated"] and row["lot"] == side]
        if own:
            yield title, own
    old = [row for row in rows if row["restated"]]
    if old:
        yield "Restated in other words, not counted", old


def _cells(row: Row, k: int, part: Mapping[str, Any]) -> str:
    first = k == 0
    told = f"{row['statement']} {_sentence(row['figure'])} *{row['source']}*" if first else ""
    several = len(row["parts"]) > 1
    says = f"**{row['verdict']}**" if first and not several else part["verdict"]
    if first and several:
        says += f" (all: **{row['verdict']}**)"
    cells = [row["id"] if first else "", told, row["class"] if first else "", part["name"]]
    cells += [figure(part), part["margin_text"], says, other_way(part)]
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def table_words(table: Mapping[str, Any]) -> Document:
    """The table for a terminal, short."""
    cut_short = "" if table["complete"] else f"Incomplete: {table['what']}."
    rows = (_row_words(row) for _, own in _sections(table["rows"]) for row in own)
    return document(flush(cut_short, *table["headline"]), *rows)


def _row_words(row: Row) -> Section:
    parts = (
        f"{part['name']}: {figure(part)}, wanted {part['margin_text']}: {part['verdict']}; {other_way(part)}"
        for part in row["parts"]
    )
    reason = f"{row['verdict']}: {row['reason']}" if row["reason"] else ""
    paper = f"paper: {row['figure']} [{row['source']}]"
    kind = ", ".join(one for one in (row["class"], row["lot"], row["restated"] and "restated") if one)
    return section(f"{row['id']} ({kind}): {row['statement']}", paper, *parts, reason)


def figure(part: Mapping[str, Any]) -> str:
    """``"0.93 [0.91 to 0.96]"``."""
    if part["value"] is None:
        return "nothing to measure"
    if part["low"] is None or part["high"] is None:
        return f"{_say(part['value'])} [too few for an interval]"
    if part["low"] == part["high"] == part["value"]:
        return _say(part["value"])
    return f"{_say(part['value'])} [{_say(part['low'])} to {_say(part['high'])}]"


def other_way(part: Mapping[str, Any]) -> str:
    """``"4 of 32: groups with a slope above 0"``."""
    if part["counted"] == 0:
        return part["other_way_text"] if part["other_way_text"].startswith("not counted") else "none counted"
    return f"{part['other_way']} of {part['counted']}: {part['other_way_text']}"


def _say(value: float) -> str:
    return f"{value:.3g}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def _number(value: float) -> float | None:
    return float(f"{value:.6g}") if math.isfinite(value) else None
