"""The species that a draft can name, and all that is assumed of one: number by number, with its source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ....sim.scenario.reading.limits import Limit
from ....sim.species.names import find
from ....sim.species.sources import bibliography
from ....sim.species.species import TRAITS, WORDS, Species, Trait, TraitRule, Word, WordRule, library
from ...document import as_json
from ...film.wear import wear_of_sexes
from ...questions.sources.source_counts import MEANINGS, parts
from ...questions.sources.species_page import GROUPS, species_text
from ..editing.written import EditError
from ..task import Draft
from .fields import Values, plain, told
from .read import names_of, values_of

KEEPER = "keeper"
ENDS = ("value", "low", "high")  # of a trait
_KIND_OF_UNIT = {"cm": "length", "C": "temperature"}


def species_list() -> list[dict[str, Any]]:
    """Every species of the library: key, common names, lake, and two colours of a female and of a male."""
    return [
        {
            "key": one.key,
            "common": list(one.common),
            "lake": one.lake,
            "colours": [[wear.body, wear.second] for wear in wear_of_sexes(one.key)],
        }
        for one in library().values()
    ]


def species_page(draft: Draft, name: str) -> dict[str, Any]:
    """One species as a draft has it, with the keeper's own values.

    With ``pieces`` (all of it in words) and ``traits``, each with value, range, what is allowed, and its
    source in full; raises EditError when the name means no species, with the nearest.
    """
    one = species_named(name, values_of(draft.text) or {})
    return {
        "key": one.key,
        "common": list(one.common),
        "pieces": as_json(species_text(one)),
        "traits": [_trait(one, name, group) for group, names_ in GROUPS.items() for name in names_],
    }


def species_named(name: object, values: Values) -> Species:
    """A species that a file can name; raises EditError with the nearest where it is none."""
    names = names_of(values)
    key = names.resolve(name) if isinstance(name, str) and name.strip() else None
    if key is None:
        raise EditError(str(names.unknown(name)))
    return names.species[key]


def _trait(one: Species, name: str, group: str) -> dict[str, Any]:
    found = _number(one.traits[name], TRAITS[name]) if name in TRAITS else _word(one.words[name], WORDS[name])
    source = found["source"]
    own = {"source_text": source_text(source), "own": source == KEEPER}
    return {"name": name, "group": group, **found, **own}


def _number(trait: Trait, rule: TraitRule) -> dict[str, Any]:
    return {
        "kind": "number",
        "meaning": rule.meaning,
        "unit": rule.unit,
        **{end: plain(getattr(trait, end)) for end in ENDS},
        "allowed": Limit(rule.low, rule.high, _KIND_OF_UNIT.get(rule.unit, "number")).say(),
        "choices": None,
        "source": trait.source,
    }


def _word(word: Word, rule: WordRule) -> dict[str, Any]:
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
    known = bibliography()
    told = []
    for part in parts(source):
        remark = f" ({part.remark})" if part.remark else ""
        told.append(f"{part.word}{remark}: {known.get(part.word) or MEANINGS.get(part.word, part.kind)}")
    return "; ".join(told)


# ---- what a keeper set


def key_of(name: str) -> str:
    """Key of the species of the library that a table is about; its own name where the library has none."""
    found = find(name)
    return found.key if found is not None else " ".join(name.split())


def traits_told(values: Values) -> dict[str, dict[str, dict[str, Any]]]:
    """By species and trait: ``{"value"}`` of a number or word, with "low" and "high" where they are set."""
    own = values.get("species")
    if not isinstance(own, Mapping):
        return {}
    return {
        key_of(name): {key: _as_set(value) for key, value in table.items() if key in TRAITS or key in WORDS}
        for name, table in own.items()
        if isinstance(table, Mapping)
    }


def _as_set(value: object) -> dict[str, Any]:
    if isinstance(value, Mapping):
        return {key: told(value[key]) for key in ENDS if key in value}
    return {"value": told(value)}
