"""The table of the levers: as JSON can say it, as a page, and for a terminal."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from ...sim.run.identity import release
from ..document import Document, Section, document, flush, section, table
from ..document.plain import many, percent
from ..measures.registry import FREE, PINNED_FISH, RECEIVED
from . import fingerprint
from .levers import ALIVE, DEAD, OTHER_WAY, UNTOLD, WORTH, Moved, Pulled
from .levers_list import MILD, UP
from .registered import text_of

MEASURE_WORDS = {
    FREE: "free swimming, % of lit time",
    PINNED_FISH: "pinned fish, %",
    RECEIVED: "chases received an hour (model scale)",
}
_SCALE = {FREE: 100.0, PINNED_FISH: 100.0, RECEIVED: 1.0}
NO_REASON = "no reason was written yet"


def reasons() -> dict[str, str]:
    """Why a lever is not alive, by id; written after the run."""
    return {str(id_): str(text) for id_, text in tomllib.loads(text_of("lever_reasons.toml")).items()}


def table_of(found: Sequence[Pulled], *, trials: int, complete: bool) -> dict[str, Any]:
    """All levers and what they rest on, as JSON can say it."""
    rows = [_row(one) for one in found]
    told = {
        "version": release(),
        "date": date.today().isoformat(),
        "trials": trials,
        "complete": complete,
        "numbers": fingerprint.of_numbers(),
        "draws": fingerprint.of_draws(),
        "baseline": fingerprint.of_checkout(),
        "headline": headline(rows),
        "rows": rows,
    }
    return reworded(told)


def _row(one: Pulled) -> dict[str, Any]:
    lever = one.lever
    told = {"id": lever.id, "name": lever.name, "keepers": lever.keepers, "mechanism": lever.mechanism}
    return {
        **told,
        "topics": list(lever.topics),
        "verdict": one.verdict,
        "parts": [_part(moved) for moved in one.moved],
    }


def reworded(told: Mapping[str, Any]) -> dict[str, Any]:
    """A table with the reasons that would be given now; figures and verdicts stay."""
    why = reasons()
    rows = (
        {**row, "reason": None if row["verdict"] == ALIVE else why.get(row["id"], NO_REASON)}
        for row in told["rows"]
    )
    return {**told, "rows": list(rows)}


def _part(moved: Moved) -> dict[str, Any]:
    contrast, scale = moved.contrast, _SCALE[moved.contrast.measure]
    figures = {
        "from": moved.base,
        "to": moved.other,
        "moves": moved.value,
        "low": moved.low,
        "high": moved.high,
    }
    whose = f"{contrast.species} {contrast.sex}".strip()
    return {
        "base": contrast.base,
        "other": contrast.other,
        "measure": contrast.measure,
        "whose": f"worst-off {whose} of each tank" if contrast.worst else whose,
        "wanted": "up" if contrast.wanted == UP else "down",
        **{name: _number(value * scale) for name, value in figures.items()},
        "trials": moved.trials,
        "verdict": moved.verdict,
    }


def headline(rows: Sequence[Mapping[str, Any]]) -> str:
    """How many levers do what keepers say."""
    count = {kind: sum(row["verdict"] == kind for row in rows) for kind in (ALIVE, DEAD, OTHER_WAY, UNTOLD)}
    return (
        f"Of {many(len(rows), 'lever')} that keepers pull {count[ALIVE]} work as they say, {count[DEAD]} "
        f"do nothing, {count[OTHER_WAY]} work the other way, {count[UNTOLD]} cannot be told."
    )


def lever_words(told: Mapping[str, Any]) -> Document:
    """The table for a terminal."""
    short = "" if told["complete"] else "Incomplete: not all levers, or fewer trials than the full table has."
    return document(flush(short, told["headline"]), *(_lever_words(row) for row in told["rows"]))


def _lever_words(row: Mapping[str, Any]) -> Section:
    heads = ("from -> to", "measure, whose", "from", "to", "moves by (95 %)", "verdict")
    rows = (_cells(part) for part in row["parts"])
    figures = table(heads, rows, widths=(28, 24, 0, 0, 0, 15), left=(1, 5))
    reason = f"Why: {row['reason']}" if row["reason"] else ""
    return section(
        f"{row['id']}: {row['name']}: {row['verdict']}", f"Keepers: {row['keepers']}", figures, reason
    )


def _cells(part: Mapping[str, Any]) -> tuple[str, ...]:
    measure = {FREE: "free %", PINNED_FISH: "pinned %", RECEIVED: "chased/h"}[part["measure"]]
    whose = "the worst-off" if part["whose"].startswith("worst-off") else ""
    whose = whose or part["whose"].removeprefix(MILD) and part["whose"].split()[-1] + "s"
    moves = f"{_say(part['moves'], '+')} ({_say(part['low'], '+')} to {_say(part['high'], '+')})"
    return (
        f"{part['base']} -> {part['other']}",
        ", ".join(one for one in (measure, whose, part["wanted"]) if one),
        _say(part["from"]),
        _say(part["to"]),
        moves,
        part["verdict"],
    )


def compact(found: Sequence[Pulled]) -> str:
    """A line a contrast, for whoever tries rules: verdict, what moves from where to where, by how much."""
    lines = []
    for one in found:
        lines.append(f"{one.lever.id}: {one.verdict}")
        for part in map(_part, one.moved):
            what, measure, before, after, moves, says = _cells(part)
            lines.append(f"  {says:13} {what:25} {measure:28} {before:>5} {after:>5}  {moves}")
    return "\n".join(lines)


def as_markdown(told: Mapping[str, Any]) -> str:
    """The table as a page: a section a lever, a row a contrast."""
    time, fish, chases = (percent(WORTH[one]) for one in (FREE, PINNED_FISH, RECEIVED))
    lines = [
        "# Do keepers' levers do anything in the model?",
        "",
        f"**{told['headline']}**",
        "",
        f"`python -m rockshy.analysis.evidence.levers`, version {told['version']}, {told['date']}: "
        f"{told['trials']} tanks of each scenario, the same fish, rock and draws in all scenarios of a "
        "lever. What keepers say is common practice and has no source. The first row of each lever decides: "
        "*alive* when the whole 95 % interval of the paired difference lies on the side that keepers say and "
        "its middle is worth the name, *the other way* when it is so on the other side, *dead* when all of "
        f"it is smaller than that ({time} of lit time, {fish} of fish, {chases} of the chases; a judgement). "
        "Free swimming and chases are those of the fish that both tanks have.",
    ]
    for row in told["rows"]:
        lines += ["", f"## {row['name'].capitalize()}: {row['verdict']}", ""]
        lines += [f"Keepers: {row['keepers']}", "", f"In the model: {row['mechanism']}", ""]
        lines += ["| from | to | measure | whose | wanted | from | to | moves by (95 %) | verdict |"]
        lines += ["|---|---|---|---|---|---|---|---|---|"]
        lines += [_line(part) for part in row["parts"]]
        if row["reason"]:
            lines += ["", f"*{row['verdict']}*: {row['reason']}"]
    return "\n".join(lines) + "\n"


def _line(part: Mapping[str, Any]) -> str:
    moves = f"{_say(part['moves'], '+')} ({_say(part['low'], '+')} to {_say(part['high'], '+')})"
    cells = (part["base"], part["other"], MEASURE_WORDS[part["measure"]], part["whose"], part["wanted"])
    return "| " + " | ".join((*cells, _say(part["from"]), _say(part["to"]), moves, part["verdict"])) + " |"


def _say(value: float | None, sign: str = "") -> str:
    return "-" if value is None else f"{value:{sign}.1f}"


def _number(value: float) -> float | None:
    return float(f"{value:.6g}") if math.isfinite(value) else None
