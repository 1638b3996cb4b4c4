"""Where the numbers of the project come from: every number with its source, sorted by what that source is.

A number counts once, under the weakest part of its source: a key with ``"; assumption"`` behind it is
an assumption, since no paper states the number itself, and is shown as one that a paper helped with. From
strong to weak: computed, read in the paper itself, in its abstract, at second hand, published
without a word on how it was read, common practice, from memory, assumption. What a
keeper sets is the keeper's own.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from ....sim.rules.support.parameters import load
from ....sim.run.slow import slow_parameters
from ....sim.species.colours import COLOURS
from ....sim.species.sources import KINDS, bibliography
from ....sim.species.species import TRAITS, WORDS, Species, library

PUBLISHED = PAPER, ABSTRACT, SECOND_HAND, UNSAID = ("paper", "abstract", "2nd", "published")
COMPUTED, PRACTICE, MEMORY = "computed", "common practice", "from memory"
ASSUMED, KEEPER = "assumption", "keeper"
MEANINGS: Mapping[str, str] = {  # from strong to weak; what a keeper sets stands outside of the order
    COMPUTED: "worked out from other data, or true by definition",
    PAPER: "published; read in the paper itself or in its tables",
    ABSTRACT: "published; read in the paper's abstract",
    SECOND_HAND: "published; read in somebody else's account of it",
    UNSAID: "published; the entry does not say how it was read",
    PRACTICE: "keepers repeat it; there is no source",
    MEMORY: "written down from memory; nobody has checked it",
    ASSUMED: "nobody has measured it; a guess, with a range where it matters",
    KEEPER: "set by the keeper in the scenario file",
}
_STRENGTH = tuple(MEANINGS)
GROWING = "growing up"
GROUPS = ("parameters of rules", "traits of species", "lake water of species", "numbers in code")
RULES, SPECIES, WATER, CODE = GROUPS
# No rule uses these: they are compared with the tank's water and with each other.
OF_LAKE_WATER = tuple(name for name, rule in TRAITS.items() if rule.unit in ("C", "pH", "degrees"))

_REMARK = re.compile(r"\(([^()]*)\)")
_HOW_READ = (  # the first that fits, in what is said of how a source was read
    (SECOND_HAND, re.compile(r"\b2nd(?! edition)|second[- ]hand", re.IGNORECASE)),
    (ABSTRACT, re.compile(r"\b(abstract|summary)\b", re.IGNORECASE)),
    (PAPER, re.compile(r"\b(data|text|table|paper)\b|(?<!not )\bread\b", re.IGNORECASE)),
)


@dataclass(frozen=True)
class Part:
    """One part of a source: a bibliography key or a plain kind, and the remark behind it."""

    word: str
    remark: str

    @property
    def kind(self) -> str:
        """One of :data:`MEANINGS`."""
        return self.word if self.word in KINDS else _how_read(self.word, self.remark)


@dataclass(frozen=True)
class Number:
    """One number (or word) that the project rests on, and its source.

    ``owner`` is the species of a trait, the module of a number in code, "" for a parameter of behaviour,
    GROWING for one of a life over months.
    """

    group: str  # one of GROUPS
    owner: str
    name: str
    value: str
    unit: str
    source: str
    meaning: str
    many: int = 1  # numbers that stand together in one constant

    @property
    def kind(self) -> str:
        """The weakest part of its source, one of :data:`MEANINGS`."""
        return weakest(self.source)

    @property
    def is_helped(self) -> bool:
        """Whether a publication stands behind a part of it although its weakest part has none."""
        return self.kind not in PUBLISHED and any(part.kind in PUBLISHED for part in parts(self.source))


def parts(source: str) -> tuple[Part, ...]:
    """The parts of a source as :func:`rockshy.sim.species.sources.is_known` reads it, remarks kept."""
    whole = _REMARK.sub(lambda found: found.group().replace(";", ","), source)
    found = []
    for text in whole.split(";"):
        remarks = _REMARK.findall(text)
        found.append(Part(_REMARK.sub("", text).strip(), "; ".join(remarks)))
    return tuple(found)


def cited(told: Iterable[str]) -> list[str]:
    """The bibliography of the keys that stand in some texts."""
    known = bibliography()
    words = {word for text in told for word in re.findall(r"\w+", text)}
    return [f"{key}: {known[key]}" for key in sorted(words & known.keys())]


def weakest(source: str) -> str:
    """The kind that a number with this source counts as."""
    return max((part.kind for part in parts(source)), key=_STRENGTH.index)


def _how_read(key: str, remark: str) -> str:
    """How a publication was read: as the number's own remark says, else as the bibliography says."""
    said = how_read(remark)
    if said == UNSAID:
        said = how_read(" ".join(_REMARK.findall(bibliography().get(key, ""))))
    return said


def how_read(said: str) -> str:
    """What a remark says of how a publication was read: one of :data:`PUBLISHED`."""
    return next((kind for kind, pattern in _HOW_READ if pattern.search(said)), UNSAID)


# ---- all numbers


def all_numbers(*, species: Mapping[str, Species] | None = None) -> list[Number]:
    """Every number of rules, species and code; ``species`` instead of the library's."""
    kinds = library() if species is None else species
    of_rules = [
        Number(RULES, "", one.name, f"{one.value:g}", one.unit, one.source, one.meaning)
        for one in load().values()
    ]
    of_rules += [
        Number(RULES, GROWING, one.name, f"{one.value:g}", one.unit, one.source, one.meaning)
        for one in slow_parameters().values()
    ]
    return [*of_rules, *_of_species(kinds.values()), *_of_code()]


def _of_species(kinds: Iterable[Species]) -> list[Number]:
    found = []
    for kind in kinds:
        for name, trait in kind.traits.items():
            group = WATER if name in OF_LAKE_WATER else SPECIES
            meaning = TRAITS[name].meaning
            found.append(Number(group, kind.key, name, f"{trait.value:g}", trait.unit, trait.source, meaning))
        for name, word in kind.words.items():
            if name in COLOURS:
                continue  # nothing rests on them
            found.append(Number(SPECIES, kind.key, name, word.value, "", word.source, WORDS[name].meaning))
    return found


def _of_code() -> list[Number]:
    found = []
    for entry in constants():
        values = values_of(entry)
        said = ", ".join(f"{value:g}" for value in values)
        unit, source, meaning = (entry[key] for key in ("unit", "source", "meaning"))
        found.append(Number(CODE, entry["module"], entry["name"], said, unit, source, meaning, len(values)))
    return found


@cache
def constants() -> tuple[Mapping[str, Any], ...]:
    """The entries of constants.toml: numbers of behaviour and definitions that stand in code."""
    text = files(__package__).joinpath("constants.toml").read_text(encoding="utf-8")
    return tuple(
        {"module": module, "name": name, **entry}
        for module, names in tomllib.loads(text).items()
        for name, entries in names.items()
        for entry in entries
    )


def values_of(entry: Mapping[str, Any]) -> list[float]:
    """The number or numbers of an entry of constants.toml."""
    value = entry["value"]
    return list(value) if isinstance(value, list) else [value]


# ---- counts


@dataclass(frozen=True)
class Counts:
    """How many numbers of each group are of each kind.

    ``table[kind, group]`` counts by weakest part; ``helped`` those of them behind which a publication
    stands in part (see :attr:`Number.is_helped`).
    """

    table: Mapping[tuple[str, str], int]
    helped: Mapping[tuple[str, str], int]

    def of_kind(self, kind: str) -> int:
        """Numbers of a kind in all groups together."""
        return sum(self.table[kind, group] for group in GROUPS)

    def of_group(self, group: str) -> int:
        """Numbers of a group of all kinds together."""
        return sum(self.table[kind, group] for kind in MEANINGS)

    @property
    def total(self) -> int:
        return sum(self.table.values())


def count(numbers: Iterable[Number]) -> Counts:
    """Count numbers by kind and group."""
    every = list(numbers)
    table: Counter[tuple[str, str]] = Counter()
    helped: Counter[tuple[str, str]] = Counter()
    for one in every:
        table[one.kind, one.group] += one.many
        helped[one.kind, one.group] += one.many * one.is_helped
    cells = [(kind, group) for kind in MEANINGS for group in GROUPS]
    return Counts({cell: table[cell] for cell in cells}, {cell: helped[cell] for cell in cells})
