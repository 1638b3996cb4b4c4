"""What a keeper set of species in the place of the library's values, as it is written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ....sim.species.species import TRAITS, WORDS, find
from .fields import Values, told


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
        key_of(name): {key: _one(value) for key, value in table.items() if key in TRAITS or key in WORDS}
        for name, table in own.items()
        if isinstance(table, Mapping)
    }


def _one(value: object) -> dict[str, Any]:
    if isinstance(value, Mapping):
        return {key: told(value[key]) for key in ("value", "low", "high") if key in value}
    return {"value": told(value)}
