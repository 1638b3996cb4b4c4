"""Fish as a keeper names them: "Tropheus duboisi female 2", "duboisi females" or "Tropheus duboisi"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...species.names import find
from ...species.species import Species
from ..hints import Refusal, hint_at
from ..stock import Individual, StockRow, individuals, say_fish
from .problems import show

_FISH = re.compile(
    r"(?:(?P<species>.+?)\s+)?(?P<sex>male|female|unsexed)s?(?:\s+(?P<number>\d+))?", re.IGNORECASE
)


class NobodyError(Refusal):
    """No such fish."""


@dataclass(frozen=True)
class NamedFish:
    """What a keeper's words for fish mean: a species, perhaps one sex of it, perhaps one fish of that."""

    species: str
    people: tuple[Individual, ...]  # all that are meant
    sex: str = ""  # of the stock list: "male", "female", "unsexed"
    number: int | None = None

    @property
    def name(self) -> str:
        """Such as "Tropheus duboisi", "Tropheus duboisi females" or "Tropheus duboisi female 2"."""
        if self.number is not None:
            return self.people[0].label
        return f"{self.species} {plural(self.people)}" if self.sex else self.species


def fish_said(text: str, *, stock: Iterable[StockRow], species: Mapping[str, Species]) -> NamedFish:
    """Read what a keeper calls fish. In a tank of one species "male 1" is enough.

    ``species``: by key, at least those of the stock. Raises NobodyError when it is not in the stock.
    """
    people = individuals(stock)
    stocked = {key: species[key] for key in dict.fromkeys(one.species for one in people)}
    whole = find(text, among=stocked)
    if whole is not None:
        return NamedFish(whole.key, tuple(one for one in people if one.species == whole.key))
    said = _FISH.fullmatch(text.strip())
    key = _species_said(said["species"] if said else None, stocked)
    if said is None or key is None:
        names = [name for one in stocked.values() for name in (one.key, *one.common, one.key.split(" ")[-1])]
        allowed = f"a fish or a species of this tank: {say_fish(people)}"
        raise NobodyError(show(text), allowed, hint_at(text, names))
    sex = said["sex"].lower()
    of_sex = tuple(one for one in people if one.species == key and one.sex == sex)
    if said["number"] is None and of_sex:
        return NamedFish(key, of_sex, sex)
    number = int(said["number"] or 0)
    the_one = tuple(one for one in of_sex if one.number == number)
    if not the_one:
        there = [one for one in people if one.species == key]
        allowed = f"a fish of {key} in this tank: {say_fish(there)}"
        raise NobodyError(show(text), allowed, hint_at(text, [one.label for one in there]))
    return NamedFish(key, the_one, sex, number)


def _species_said(text: str | None, stocked: Mapping[str, Species]) -> str | None:
    if text is None:
        return next(iter(stocked)) if len(stocked) == 1 else None
    found = find(text, among=stocked)
    return None if found is None else found.key


def plural(fish: Sequence[Individual]) -> str:
    """The sex of some fish of one sex, in the plural where they are several."""
    sex = fish[0].sex
    if sex == "unsexed":
        return "unsexed fish"
    return sex if len(fish) == 1 else f"{sex}s"
