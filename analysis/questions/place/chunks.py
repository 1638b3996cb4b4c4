"""The fish of a room cut into rows of one sex and one owner each; nobody is renumbered by it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ....sim.scenario.scenario import StockRow
from ....sim.scenario.stock import SEXES, Individual, individuals
from .room import Chunk, RoomTank

_FIELD = {"male": "males", "female": "females", "unsexed": "unsexed"}


@dataclass
class Stocked:
    """A tank as read, with its fish by its own numbers."""

    tank: RoomTank
    rows: tuple[StockRow, ...]
    taken: dict[str, int] = field(default_factory=dict)  # label of the tank's own stock -> group
    good: bool = True  # it was read without a problem

    @property
    def people(self) -> list[Individual]:
        return individuals(self.rows)


def chunks_of(tanks: Sequence[Stocked], owners: Mapping[tuple[str, int], int]) -> list[Chunk]:
    """The fish of the tanks, cut where the owner changes; their numbers follow each other."""
    found: list[Chunk] = []
    for t, one in enumerate(tanks):
        for row in one.rows:
            people = [fish for fish in one.people if fish.row is row]
            for sex in SEXES:
                for fish in (fish for fish in people if fish.sex == sex):
                    owner = one.taken.get(fish.label, owners.get((fish.species, t), 0))
                    single = _row_of(row, sex, 1, int(fish.holding))
                    if found and found[-1].owner == owner and _is_like(found[-1].row, single):
                        last = found[-1].row
                        found[-1] = Chunk(_more(last, single), owner)
                    else:
                        found.append(Chunk(single, owner))
    return found


def _row_of(row: StockRow, sex: str, many: int, holding: int) -> StockRow:
    counts: dict[str, Any] = {"males": 0, "females": 0, "unsexed": 0, _FIELD[sex]: many}
    return replace(row, **counts, holding=holding, left_out=(), day=0.0, out_day=None)


def _is_like(last: StockRow, single: StockRow) -> bool:
    """Whether one more fish goes on with the chunk: the same row and sex, and holders before others."""
    bare = [replace(one, males=0, females=0, unsexed=0, holding=0) for one in (last, single)]
    same_sex = all((getattr(last, f) > 0) == (getattr(single, f) > 0) for f in _FIELD.values())
    return bare[0] == bare[1] and same_sex and (single.holding == 0 or last.holding == last.females)


def _more(last: StockRow, single: StockRow) -> StockRow:
    counts: dict[str, Any] = {f: getattr(last, f) + getattr(single, f) for f in _FIELD.values()}
    return replace(last, **counts, holding=last.holding + single.holding)


def sex_by_sex(row: StockRow) -> list[StockRow]:
    """A row, a sex at a time."""
    return [
        _row_of(row, sex, getattr(row, name), row.holding if sex == "female" else 0)
        for sex, name in _FIELD.items()
        if getattr(row, name)
    ]
