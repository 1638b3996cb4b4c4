"""What the recorded tables say against an answer that rests on them, where the answer is given.

Read from the tables each time, so that a sentence goes when what it says is no longer so.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from ...sim.species.species import library
from ..document import Section, flush
from .registered import text_of

# Patterns that an answer rests on, the most important first; flaws.toml says them in a keeper's words.
FLAWS = {
    "run": ("N10", "N1"),
    "why": ("N1",),
    "rock": ("P7",),
    "compare": ("N10", "P10b"),
    "relief": ("N10", "P10b"),
    "life": ("N10", "N1"),
    "best": ("N10", "P7"),
    "place": ("N10", "P10b"),
}
GROUP = "In this model fish that live as a group never chase each other."
PATTERNS = {"rock": ("P7", "N5")}  # patterns that an answer rests on, by its topic; levers name their topics
_SAID = {
    "dead": "do nothing in the model",
    "the other way": "work the other way round in the model",
    "cannot tell": "were too close to call in the model",
}
_SO = {
    "rock": "Do not take this answer for what rock does in a living tank.",
    "compare": "A change of that kind that seems to do nothing here may well do something in a living tank.",
    "relief": "A change of that kind that was not put forward here may well help in a living tank.",
}


def doubts(topic: str) -> Section | None:
    """What speaks against the answers of a topic, "rock", "compare" or "relief"; None when nothing does."""
    told = [*_of_patterns(PATTERNS.get(topic, ())), *_of_levers(topic)]
    return flush("Doubts: " + " ".join([*told, _SO[topic]])) if told else None


def flaw(topic: str, *, species: str = "") -> str:
    """What the model is known to get wrong where an answer of a topic rests on it; "" where nothing is.

    ``species``: of whom the answer is; of one that lives as a group the model knows no quarrels.
    """
    kind = library().get(species)
    if kind is not None and kind.words["mating"].value == "group":
        return f"Known fault: {GROUP}"
    rows = {row["id"]: row for row in _rows("table.json")}
    told = tomllib.loads(text_of("flaws.toml"))
    wrong = (id_ for id_ in FLAWS.get(topic, ()) if id_ in rows and rows[id_]["verdict"] != "holds")
    found = next(wrong, None)
    return f"Known fault: {told[found]}" if found else ""


def _of_patterns(ids: Iterable[str]) -> Iterable[str]:
    """The published patterns that the model does not show."""
    rows = {row["id"]: row for row in _rows("table.json")}
    for row in (rows[id_] for id_ in ids if id_ in rows and rows[id_]["verdict"] != "holds"):
        found = "does not hold" if row["verdict"] == "does not hold" else "cannot be told"
        keys = "; ".join(part.partition(" (")[0] for part in row["source"].split("; "))
        text = row["statement"].rstrip(".")
        yield f'By its own evidence, {row["id"]} ("{text}"; {keys}) {found} in the model.'


def _of_levers(topic: str) -> Iterable[str]:
    """The levers of keepers that are not alive in the model, by what was found."""
    rows = [row for row in _rows("levers.json") if topic in row["topics"]]
    for verdict, words in _SAID.items():
        names = [row["name"] for row in rows if row["verdict"] == verdict]
        if names:
            yield f"Levers of keepers that {words}: {'; '.join(names)}."


def _rows(name: str) -> list[Mapping[str, Any]]:
    rows: list[Mapping[str, Any]] = json.loads(text_of(name))["rows"]
    return rows
