"""Species: traits, each with unit, value, range and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Trait:
    """One numeric trait of a species.

    ``low`` and ``high`` bound what is believed; where they differ the value is
    drawn once for each guess (see :mod:`rockshy.sim.draws`), else it is fixed.
    ``source`` is a bibliography key, or one of ``"from memory"``,
    ``"assumption"``, ``"common practice"``, ``"keeper"`` (set in the scenario).
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    source: str


@dataclass(frozen=True)
class Word:
    """One trait that is a word (mating system, guild, colour pattern ...) and its source."""

    name: str
    value: str
    source: str


@dataclass(frozen=True)
class Species:
    """A species of the library, or one that the keeper described."""

    key: str  # scientific name, e.g. "Tropheus duboisi"
    common: tuple[str, ...]
    lake: str  # "Malawi" or "Tanganyika"
    traits: Mapping[str, Trait]
    words: Mapping[str, Word]

    @property
    def genus(self) -> str:
        return self.key.split()[0]
