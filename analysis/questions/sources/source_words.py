"""The bibliography, what rests on each entry, and the counts of numbers by source, in words and as JSON."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from itertools import groupby

from ....sim.species.sources import bibliography
from ...document import Document, Paragraph, Section, deeper, document, flush, section, table
from ...document.plain import many
from . import source_counts as sources
from .source_counts import CODE, GROUPS, MEANINGS, PUBLISHED, RULES, SPECIES, WATER, Counts, Number
from .source_uses import Uses

COUNTING = (
    "Each number counts once, by its weakest part: one whose direction comes from a paper but whose size "
    "is a guess is an assumption. The last column says how many of a row have such a paper behind them. "
    "Every trait of a species counts as a number, also those in words (diet, mating, colours)."
)
DRAWING = (
    "A run guesses at every number that has a range. Parameters of behaviour come from sets of values that "
    "published experiments do not rule out: analysis/evidence/possible.md says how many sets are left and "
    "which parameters that holds. Traits of species come from their ranges. --draws wide takes all of them "
    "from their ranges."
)
_HEADS = {RULES: "rules", SPECIES: "species", WATER: "lake water", CODE: "in code"}
_GROUPS_MEAN = (
    "Rules: the parameters of behaviour, sim/rules/parameters.toml. Species: traits that rules use. "
    "Lake water: temperature, pH and hardness of each species, which no rule uses; rockshy check compares "
    "them with the tank's. In code: numbers of behaviour, defaults of a scenario and the definition of "
    "pinned, analysis/questions/sources/constants.toml."
)

_PUBLISHED = {
    sources.PAPER: "the paper itself was read",
    sources.ABSTRACT: "its abstract was read",
    sources.SECOND_HAND: "an account of it was read",
    sources.UNSAID: "how it was read is not said",
}
_SHORT = {
    sources.COMPUTED: "from data, or by definition",
    sources.PRACTICE: "no source",
    sources.MEMORY: "nobody has checked it",
    sources.ASSUMED: "nobody has measured it",
    sources.KEEPER: "set in a scenario",
}
_NOTHING = "No number, rule or pattern comes from it; it is behind a test, or was read for background."
_WIDTHS = (48, 6, 8, 11, 8, 6, 13)


def list_text(uses: Mapping[str, Uses], counts: Counts) -> Document:
    """Every entry with a line on what rests on it, then the counts."""
    known = bibliography()
    head = flush(
        f"{many(len(known), 'publication')}, each with what it is used for in this project. "
        "For one in full: rockshy sources KEY."
    )
    entries = [
        one
        for key, citation in known.items()
        for one in (Paragraph(f"{key}: {citation}"), deeper(_in_short(uses[key])))
    ]
    return document(head, Section(tuple(entries)), *counts_text(counts).sections)


def counts_text(counts: Counts) -> Document:
    """The table of numbers by kind of source."""
    heads = ("", *(_HEADS[group] for group in GROUPS), "all", "with a paper")
    sums = [counts.of_group(group) for group in GROUPS]
    rows = [*_kind_rows(counts), ("all", *map(str, sums), str(counts.total))]
    return document(
        section("Where the numbers come from", table(heads, rows, widths=_WIDTHS)),
        flush(COUNTING, _GROUPS_MEAN, DRAWING),
    )


def _kind_rows(counts: Counts) -> Iterator[tuple[str, ...]]:
    for kind in MEANINGS:
        cells = [counts.table[kind, group] for group in GROUPS]
        if kind == sources.KEEPER and not any(cells):
            continue
        helped = sum(counts.helped[kind, group] for group in GROUPS)
        last = "" if kind in PUBLISHED else str(helped)
        yield (_label(kind), *map(str, cells), str(sum(cells)), last)


def _label(kind: str) -> str:
    return f"published, {_PUBLISHED[kind]}" if kind in PUBLISHED else f"{kind}: {_SHORT[kind]}"


def _by_group(uses: Uses) -> dict[str, list[Number]]:
    return {group: [one for one in uses.numbers if one.group == group] for group in GROUPS}


def _in_short(uses: Uses) -> str:
    """One line: how many numbers, rules, patterns."""
    told = []
    of = _by_group(uses)
    if of[RULES]:
        told.append(many(sum(one.many for one in of[RULES]), "parameter"))
    if traits := of[SPECIES] + of[WATER]:
        kinds = len({one.owner for one in traits})
        told.append(f"{many(len(traits), 'trait')} of {kinds} species")
    if of[CODE]:
        told.append(f"{many(sum(one.many for one in of[CODE]), 'number')} in code")
    if uses.patterns:
        told.append(
            f"pattern{'s' * (len(uses.patterns) > 1)} {', '.join(one.split(':')[0] for one in uses.patterns)}"
        )
    if rules := [one for one in uses.named if one.file.startswith("sim/rules/")]:
        told.append(f"{many(len(rules), 'place')} in the rules")
    if others := [one for one in uses.named if one not in rules]:
        files = sorted({one.file for one in others})
        told.append(f"named in {', '.join(files[:2])}{' and elsewhere' * (len(files) > 2)}")
    return f"{'; '.join(told)}." if told else _NOTHING


# ---- one entry


def key_text(key: str, uses: Uses) -> Document:
    """The citation and everything that rests on it."""
    of = _by_group(uses)
    traits = sorted(of[SPECIES] + of[WATER], key=lambda one: (one.name, one.owner))
    resting: dict[str, Sequence[str]] = {
        "Parameters of rules": [_number_line(one) for one in of[RULES]],
        "Traits of species": _trait_lines(traits),
        "Numbers in code": [_number_line(one) for one in of[CODE]],
        "Patterns that running tanks are held to": uses.patterns,
        "Named in the text of": [
            one.file + (f", {one.function}" if one.function else "") for one in uses.named
        ],
    }
    parts = [section(heading, *lines) for heading, lines in resting.items() if lines]
    return document(flush(f"{key}: {bibliography()[key]}"), *(parts or [flush(_NOTHING)]))


def _number_line(one: Number) -> str:
    unit = "" if one.unit == "1" else f" {one.unit}"
    owner = f"{one.owner}: " if one.owner else ""
    return f"{owner}{one.name} = {one.value}{unit}, {one.meaning} ({one.source})"


def _trait_lines(traits: Sequence[Number]) -> list[str]:
    """Each trait with its values and the species that have them."""
    lines = []
    for (_, meaning), same in groupby(traits, key=lambda one: (one.name, one.meaning)):
        owners: dict[str, list[str]] = {}
        for one in same:
            owners.setdefault(one.value, []).append(one.owner)
        count = sum(map(len, owners.values()))
        told = "; ".join(f"{value} in {', '.join(kinds)}" for value, kinds in owners.items())
        lines.append(f"{meaning}, {count} species: {told}")
    return lines


# ---- JSON


def list_json(uses: Mapping[str, Uses], counts: Counts) -> dict[str, object]:
    """The same as :func:`list_text` for a program."""
    return {
        "bibliography": {key: key_json(key, uses[key]) for key in uses},
        "kinds": dict(MEANINGS),
        "counts": {
            group: {kind: counts.table[kind, group] for kind in MEANINGS} | {"all": counts.of_group(group)}
            for group in GROUPS
        },
        "with_a_paper_in_part": {
            group: {kind: counts.helped[kind, group] for kind in MEANINGS} for group in GROUPS
        },
        "all": counts.total,
        "counted": COUNTING,
        "drawn": DRAWING,
    }


def key_json(key: str, uses: Uses) -> dict[str, object]:
    """The same as :func:`key_text` for a program."""
    told = ("group", "owner", "name", "value", "unit", "source", "meaning")
    return {
        "citation": bibliography()[key],
        "numbers": [
            {name: getattr(one, name) for name in told} | {"counts_as": one.kind} for one in uses.numbers
        ],
        "patterns": [re.sub(r":.*", "", one) for one in uses.patterns],
        "named_in": [asdict(one) for one in uses.named],
    }
