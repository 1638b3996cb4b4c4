"""The registration: patterns, margins, numbers of trials, written beforehand; reasons, written afterwards."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from ...sim.species.sources import is_known

BUILT_IN, SETTING, EMERGENT, LIBRARY = "built in", "setting", "emergent", "library"
CLASSES = (EMERGENT, BUILT_IN, SETTING, LIBRARY)

_SIDES = ("training", "test")
_TEXTS = ("statement", "source", "figure", "class", "why", "seen", "set_up")
_COUNTS = ("trials", "trials_quick")
_PART_TEXTS = ("name", "measure", "margin", "other_way")


class RegistrationError(ValueError):
    """The registration, or what was asked of it, is not as it must be."""


@dataclass(frozen=True)
class Part:
    """One figure of a pattern and the margin it must keep; an open bound is infinite."""

    name: str
    measure: str
    low: float
    high: float
    margin: str
    other_way: str

    def bounds(self) -> str:
        """The margin as text."""
        if math.isinf(self.low):
            return f"under {self.high:g}"
        return f"above {self.low:g}" if math.isinf(self.high) else f"{self.low:g} to {self.high:g}"


@dataclass(frozen=True)
class Pattern:
    """One published pattern, as registered."""

    id: str
    statement: str
    source: str
    figure: str
    kind: str  # one of CLASSES
    why: str
    seen: str
    set_up: str
    trials: int
    trials_quick: int
    parts: tuple[Part, ...]
    restated: str = ""  # the id of the entry that says it in other words now, and why


def read_patterns(text: str) -> dict[str, Pattern]:
    """Patterns of a registration file, by id in the order of the file.

    Raises
    ------
    RegistrationError
        With every problem, a line each.
    """
    problems: list[str] = []
    found = {id_: _pattern(id_, entry, problems) for id_, entry in tomllib.loads(text).items()}
    if problems:
        raise RegistrationError("\n".join(problems))
    return {id_: pattern for id_, pattern in found.items() if pattern is not None}


def _pattern(id_: str, entry: Mapping[str, Any], problems: list[str]) -> Pattern | None:
    before = len(problems)
    _demand(id_, entry, _TEXTS, str, problems)
    _demand(id_, entry, _COUNTS, int, problems)
    parts = entry.get("part") or []
    if not parts:
        problems.append(f"{id_}: no part is there; at least one is needed")
    for part in parts:
        _demand(f"{id_}, part {part.get('name', '?')}", part, _PART_TEXTS, str, problems)
        if not {"low", "high"} & set(part):
            problems.append(f"{id_}, part {part.get('name', '?')}: low or high is needed")
    if len(problems) > before:
        return None
    if entry["class"] not in CLASSES:
        problems.append(f'{id_}: class is "{entry["class"]}"; use {", ".join(CLASSES)}')
    if not is_known(entry["source"]):
        problems.append(f'{id_}: "{entry["source"]}" has a key that is not in the bibliography')
    if not isinstance(entry.get("restated", ""), str):
        problems.append(f"{id_}: restated is {entry['restated']!r}; needed: str")
    texts = {name: entry[name] for name in (*_TEXTS, *_COUNTS) if name != "class"}
    return Pattern(
        id_,
        kind=entry["class"],
        parts=tuple(_part(part) for part in parts),
        restated=entry.get("restated", ""),
        **texts,
    )


def _part(part: Mapping[str, Any]) -> Part:
    low, high = part.get("low", -math.inf), part.get("high", math.inf)
    return Part(low=float(low), high=float(high), **{name: part[name] for name in _PART_TEXTS})


def _demand(
    where: str, entry: Mapping[str, Any], names: Iterable[str], kind: type, problems: list[str]
) -> None:
    for name in names:
        value = entry.get(name)
        if not isinstance(value, kind) or isinstance(value, bool) or value == "":
            problems.append(f"{where}: {name} is {value!r}; needed: {kind.__name__}")


def text_of(name: str) -> str:
    """A file of this package."""
    return resources.files(__package__).joinpath(name).read_text(encoding="utf-8")


@cache
def patterns() -> dict[str, Pattern]:
    """The registered patterns by id."""
    return read_patterns(text_of("patterns.toml"))


def standing() -> dict[str, Pattern]:
    """The patterns that are run and counted: those that were not restated in another entry."""
    return {id_: pattern for id_, pattern in patterns().items() if not pattern.restated}


def reasons() -> dict[str, str]:
    """Why a pattern does not hold or cannot be told, by id; written after the run."""
    return {str(id_): str(text) for id_, text in tomllib.loads(text_of("reasons.toml")).items()}


def chosen(words: str | None) -> list[Pattern]:
    """The patterns that a list such as "P5,P8" means: an id, or all that differ by a letter behind it.

    "training" and "test" are those that the lot made so; see :mod:`.lot`.

    Raises
    ------
    RegistrationError
        When a word is no pattern, with the nearest one.
    """
    from .lot import committed  # which rests on this module

    known, lot = standing(), committed()
    if words is None:
        return list(known.values())
    wanted: set[str] = set()
    for word in (word.strip() for word in words.split(",")):
        meant = lot[word] if word in _SIDES else [id_ for id_ in known if id_.lower() in _meant(word, id_)]
        if not meant:
            near = difflib.get_close_matches(word.upper(), known, n=1, cutoff=0.0)
            raise RegistrationError(
                f'there is no pattern "{word[:40]}"; use {", ".join(known)}. Did you mean {near[0]}?'
            )
        wanted.update(meant)
    return [pattern for id_, pattern in known.items() if id_ in wanted]


def _meant(word: str, id_: str) -> tuple[str, str]:
    """What ``id_`` must be for ``word`` to mean it: the word, or the word and its own last letter."""
    return word.lower(), word.lower() + (id_[-1] if id_[-1].isalpha() else "")
