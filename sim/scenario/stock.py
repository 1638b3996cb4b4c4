"""The stock list, and who it says is there: fish by species, sex and number."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

SEXES = ("male", "female", "unsexed")


@dataclass(frozen=True)
class StockRow:
    """One line of the stock list. ``length_cm`` is total length, low and high; None: drawn."""

    species: str  # key of Scenario.species
    males: int = 0
    females: int = 0
    unsexed: int = 0
    holding: int = 0  # how many of the females hold eggs
    length_cm: tuple[float, float] | None = None
    day: float = 0.0
    out_day: float | None = None
    left_out: tuple[str, ...] = ()  # "male 2": that fish of the species is not there; nobody is renumbered
    typed: str = field(default="", compare=False)  # the species as the keeper wrote it


@dataclass(frozen=True)
class Individual:
    """One fish of the stock list. ``sex`` is "male", "female" or "unsexed" as the keeper wrote it."""

    species: str
    sex: str
    number: int  # within species and sex, from 1
    row: StockRow
    holding: bool = False

    @property
    def name(self) -> str:
        """Within its species: "male 2"."""
        return f"{self.sex} {self.number}"

    @property
    def label(self) -> str:
        return f"{self.species} {self.name}"


def by_row(stock: Iterable[StockRow], *, after: Iterable[Individual] = ()) -> list[list[Individual]]:
    """Every fish of a stock list, a list a row; numbers go on from row to row of a species.

    Parameters
    ----------
    stock : rows of the stock list.
    after : fish that were there before; numbers go on from theirs.
    """
    counts = Counter((one.species, one.sex) for one in after)
    rows: list[list[Individual]] = []
    for row in stock:
        rows.append([])
        for sex, many in (("male", row.males), ("female", row.females), ("unsexed", row.unsexed)):
            for k in range(many):
                counts[row.species, sex] += 1
                number = counts[row.species, sex]
                if f"{sex} {number}" not in row.left_out:
                    holding = sex == "female" and k < row.holding
                    rows[-1].append(Individual(row.species, sex, number, row, holding))
    return rows


def individuals(stock: Iterable[StockRow], *, after: Iterable[Individual] = ()) -> list[Individual]:
    """Every fish of a stock list, in its order; see :func:`by_row`."""
    return [one for row in by_row(stock, after=after) for one in row]


def say_fish(fish: Iterable[Individual], *, of_species: bool = True) -> str:
    """Their labels, or names within the species, as :func:`say_labels` says them: by species, sex, number."""
    found = list(fish)
    kinds = list(dict.fromkeys(one.species for one in found))
    found.sort(key=lambda one: (kinds.index(one.species), SEXES.index(one.sex), one.number))
    return say_labels(one.label if of_species else one.name for one in found)


def say_labels(labels: Iterable[str]) -> str:
    """``"Tropheus duboisi male 1 to 2, Tropheus duboisi female 4"``; labels as of Individual."""
    spans: list[tuple[str, int, int]] = []
    for label in labels:
        name, _, number = label.rpartition(" ")
        last = spans[-1] if spans else ("", 0, 0)
        if (name, int(number)) == (last[0], last[2] + 1):
            spans[-1] = (name, last[1], last[2] + 1)
        else:
            spans.append((name, int(number), int(number)))
    return ", ".join(f"{name} {low}" + (f" to {high}" if high > low else "") for name, low, high in spans)
