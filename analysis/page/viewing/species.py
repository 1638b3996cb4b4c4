"""The species that a draft can name, and all that is assumed of one: number by number, with its source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ....sim.scenario.reading.limits import Limit
from ....sim.species.sources import bibliography
from ....sim.species.species import TRAITS, WORDS, Species, library
from ...document import as_json
from ...questions.sources.source_counts import MEANINGS, parts
from ...questions.sources.species_page import GROUPS, species_text
from ..editing.written import EditError
from ..task import Draft
from .fields import plain
from .read import names_of, values_of

KEEPER = "keeper"
_KIND_OF_UNIT = {"cm": "length", "C": "temperature"}


def species_list() -> list[dict[str, Any]]:
    """Every species of the library: key, common names, lake."""
    return [{"key": one.key, "common": list(one.common), "lake": one.lake} for one in library().values()]


def species_page(draft: Draft, name: str) -> dict[str, Any]:
    """One species as a draft has it, with the keeper's own values.

    Returns
    -------
    dict
        "key", "common", "lake", "pieces" (all of it in words) and "traits", each with value, range, what is
        allowed, and its source in full.

    Raises
    ------
    EditError
        When the name means no species, with the nearest.
    """
    names = names_of(values_of(draft.text) or {})
    key = names.resolve(name) if name.strip() else None
    if key is None:
        raise EditError(str(names.unknown(name)))
    one = names.species[key]
    return {
        "key": one.key,
        "common": list(one.common),
        "lake": one.lake,
        "pieces": as_json(species_text(one)),
        "traits": [_trait(one, name, group) for group, names_ in GROUPS.items() for name in names_],
    }


def _trait(one: Species, name: str, group: str) -> dict[str, Any]:
    found = _number(one, name) if name in TRAITS else _word(one, name)
    source = found["source"]
    return {
        "name": name,
        "group": group,
        **found,
        "source_text": source_text(source),
        "own": source == KEEPER,
    }


def _number(one: Species, name: str) -> dict[str, Any]:
    trait, rule = one.traits[name], TRAITS[name]
    limit = Limit(rule.low, rule.high, _KIND_OF_UNIT.get(rule.unit, "number"))
    return {
        "kind": "number",
        "meaning": rule.meaning,
        "unit": rule.unit,
        "value": plain(trait.value),
        "low": plain(trait.low),
        "high": plain(trait.high),
        "allowed": limit.say(),
        "choices": None,
        "source": trait.source,
    }


def _word(one: Species, name: str) -> dict[str, Any]:
    word, rule = one.words[name], WORDS[name]
    choices = rule.form.split("|")
    return {
        "kind": "word",
        "meaning": rule.meaning,
        "unit": "",
        "value": word.value,
        "low": None,
        "high": None,
        "allowed": rule.allowed,
        "choices": choices if all(choice.isalpha() for choice in choices) else None,
        "source": word.source,
    }


def source_text(source: str) -> str:
    """A source in full: the citation of each key, or what a plain kind means."""
    known: Mapping[str, str] = bibliography()
    told = []
    for part in parts(source):
        remark = f" ({part.remark})" if part.remark else ""
        told.append(f"{part.word}{remark}: {known.get(part.word) or MEANINGS.get(part.word, part.kind)}")
    return "; ".join(told)
