"""The difference between two stocks as the changes of a copy: remove, recount, replace, when and add.

The shortest way is looked for species by species: fish taken out, counts and days changed in their
rows, or one species put in the place of another; what cannot be reached so is taken out and added
anew, and with it what comes after, since earlier rows settle first. Nobody is renumbered without need.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ....sim.fish.population import SEXES, individuals
from ....sim.scenario.reading.restock import NEVER
from ....sim.scenario.scenario import Scenario, StockRow
from ....sim.scenario.stock_changes import ChangeError, Stock, counted, dated, exchanged, numbers, taken_out
from ....sim.species.species import Species
from ..viewing.fields import plain
from ..viewing.stock import COUNTS, Spelled, present
from .bench import row_values
from .written import EditError

KINDS = ("remove", "recount", "replace", "when", "add")
Step = tuple[str, dict[str, Any]]  # one table of a kind
Changes = dict[str, list[dict[str, object]]]


@dataclass(frozen=True)
class _Way:
    """How the rows of one species come to be others, in their place."""

    steps: tuple[Step, ...]
    to: str  # species of the rows then
    kept: int  # how many of the wanted rows they are


def restocked(
    base: Scenario,
    wanted: Sequence[StockRow],
    *,
    kinds: Mapping[str, Species],
    spelled: Spelled | None = None,
) -> Changes:
    """Tables of a copy that turn the stock of a base into exactly the wanted one.

    Parameters
    ----------
    kinds : every species that may be wanted.
    spelled : lengths in cm as they are written somewhere in the file.

    Returns
    -------
    dict
        A list of tables by kind, in the order in which they are made; empty when nothing changes.

    Raises EditError when a row that would have to be added anew lacks single fish, which no file can say.
    """
    rows = tuple(wanted)
    if rows == base.stock:
        return {}
    ways, kept = _Search(base.stock, rows, kinds).ways()
    added = rows[kept:]
    if any(row.left_out for row in added):
        raise EditError("the stock: a row with single fish left out cannot be put in anew")
    found: Changes = {kind: [] for kind in KINDS}
    for way in ways:
        for kind, table in way.steps:
            found[kind].append(_written(table, spelled or {}))
    found["add"] = [row_values(row, spelled or {}) for row in added]
    return {kind: tables for kind, tables in found.items() if tables}


def compact(row: StockRow) -> StockRow:
    """The row with those fish alone that are there, numbered on without a gap."""
    return replace(row, **present(row), left_out=())


def _written(table: dict[str, Any], spelled: Spelled) -> dict[str, object]:
    row = row_values(StockRow("", length_cm=table.get("length")), spelled)
    return {**table, "length": row["length"]} if "length" in row else table


class _Search:
    """Looks for what can stay in its place."""

    def __init__(self, base: Stock, wanted: Stock, kinds: Mapping[str, Species]) -> None:
        self.base = base
        self.wanted = wanted
        self.kinds = kinds
        self.here = list(dict.fromkeys(row.species for row in base))
        self.later = {key: len(_of(wanted, key)) for key in dict.fromkeys(row.species for row in wanted)}
        self.swaps = self._swaps()

    def ways(self) -> tuple[list[_Way], int]:
        """A way for each species of the base, and how many of the wanted rows are there then."""
        while True:
            ways = [self._way(key) for key in self.here]
            rows = self._after(ways)
            wrong = next((k for k, row in enumerate(rows) if row != self.wanted[k]), None)
            if wrong is None:
                return ways, len(rows)
            self._give_up(rows[wrong].species, wrong)

    def _give_up(self, key: str, at: int) -> None:
        """A row that stands too far up is put in anew, and with it all later ones of its species."""
        if key in self.here:
            self.later[key] = sum(row.species == key for row in self.wanted[:at])
        else:
            self.swaps = {old: new for old, new in self.swaps.items() if new != key}

    def _swaps(self) -> dict[str, str]:
        """Species that leave, and the new one that could stand in the place of each."""
        gone = [key for key in self.here if key not in self.later]
        new = [key for key in self.later if key not in self.here]
        return dict(zip(gone, new, strict=False))

    def _way(self, key: str) -> _Way:
        rows = _of(self.base, key)
        if key in self.swaps:
            new = self.swaps[key]
            steps = _swapped(rows, _of(self.wanted, new), self.kinds[new])
            if steps is not None:
                return _Way(tuple(steps), new, self.later[new])
            del self.swaps[key]
        for kept in range(self.later.get(key, 0), 0, -1):
            steps = _reached(rows, _of(self.wanted, key)[:kept])
            if steps is not None:
                return _Way(tuple(steps), key, kept)
        return _Way((("remove", {"species": key}),), key, 0)

    def _after(self, ways: Sequence[_Way]) -> Stock:
        """The rows that are there before any is added: each kind of step in its turn, as when read."""
        stock = self.base
        for kind in KINDS:
            for way in ways:
                for one, table in way.steps:
                    if one == kind:
                        stock = _made(stock, one, table, self.kinds)
        return stock


def _of(stock: Sequence[StockRow], key: str) -> Stock:
    return tuple(row for row in stock if row.species == key)


def _made(stock: Stock, kind: str, table: Mapping[str, Any], kinds: Mapping[str, Species]) -> Stock:
    """One step, as the reader makes it."""
    key, sex, fish = table["species"], table.get("sex"), table.get("fish")
    if kind == "remove":
        return taken_out(stock, key, sex=sex, fish=fish)
    if kind == "recount":
        return counted(stock, key, **{field: table[field] for field in COUNTS if field in table})
    if kind == "replace":
        return exchanged(stock, key, by=kinds[table["by"]], length_cm=table.get("length"))
    out = table.get("out")
    return dated(
        stock, key, day=table.get("day"), out_day=math.inf if out == NEVER else out, sex=sex, fish=fish
    )


def _reached(rows: Stock, target: Stock) -> list[Step] | None:
    """Steps from rows of one species to others of it; None when there are none."""
    if rows == target:
        return []
    key = rows[0].species
    steps: list[Step] = []

    def step(kind: str, table: dict[str, Any]) -> None:
        nonlocal rows
        rows = _made(rows, kind, {"species": key, **table}, {})
        steps.append((kind, {"species": key, **table}))

    try:
        for name in _newly_out(rows, target):
            step("remove", {"fish": name})
        counts = _recount(rows, key, numbers(target, key))
        if counts:
            step("recount", counts)
        for table in _dates(rows, target):
            step("when", table)
    except ChangeError:
        return None
    return steps if _tidy(rows) == _tidy(target) else None


def _tidy(rows: Stock) -> Stock:
    """The same rows whatever the order in which single fish were left out."""
    return tuple(replace(row, left_out=tuple(sorted(row.left_out))) for row in rows)


def _newly_out(rows: Stock, target: Stock) -> list[str]:
    """Fish that the target leaves out and that are there."""
    here = [f"{one.sex} {one.number}" for one in individuals(rows)]
    out = {name for row in target for name in row.left_out}
    return [name for name in here if name in out]


def _recount(rows: Stock, key: str, want: Mapping[str, int]) -> dict[str, int]:
    """The counts that differ; as many hold as before, or as there are females, unless it says otherwise."""
    now = numbers(rows, key)
    given = {field: want[field] for field in ("males", "females", "unsexed") if want[field] != now[field]}
    after = counted(rows, key, **given)
    if numbers(after, key)["holding"] != want["holding"]:
        given["holding"] = want["holding"]
    return given


def _dates(rows: Stock, target: Stock) -> list[dict[str, Any]]:
    """Tables of when for the fish whose days differ: for all, by sex, or one by one."""
    now = {(one.sex, one.number): (one.row.day, one.row.out_day) for one in individuals(rows)}
    want = {(one.sex, one.number): (one.row.day, one.row.out_day) for one in individuals(target)}
    if now.keys() != want.keys() or now == want:
        return []
    if len(set(want.values())) == 1:
        return [_date(now.values(), want.values())]
    found: list[dict[str, Any]] = []
    for sex in SEXES:
        mine = [fish for fish in want if fish[0] == sex]
        ends = {want[fish] for fish in mine}
        if all(now[fish] == want[fish] for fish in mine):
            continue
        if len(ends) == 1:
            found.append({"sex": sex, **_date([now[fish] for fish in mine], [want[fish] for fish in mine])})
            continue
        for fish in mine:
            if now[fish] != want[fish]:
                found.append({"fish": f"{sex} {fish[1]}", **_date([now[fish]], [want[fish]])})
    return found


def _date(now: Any, want: Any) -> dict[str, Any]:
    """Day in and day out, as far as either differs for one of some fish."""
    day, out = next(iter(want))
    found: dict[str, Any] = {}
    if any(one[0] != day for one in now):
        found["day"] = plain(day)
    if any(one[1] != out for one in now):
        found["out"] = NEVER if out is None else plain(out)
    return found


def _swapped(rows: Stock, target: Stock, by: Species) -> list[Step] | None:
    """Steps from rows of one species to rows of another in their place; None when there are none."""
    key = rows[0].species
    lengths = {row.length_cm for row in target}
    if len(lengths) != 1 or any(row.left_out for row in target):
        return None
    want = numbers(target, by.key)
    steps: list[Step] = []
    try:
        if by.words["brood"].value == "cave":
            want = {**want, "holding": min(numbers(rows, key)["holding"], want["females"])}
        counts = _recount(rows, key, want)
        if counts:
            steps.append(("recount", {"species": key, **counts}))
            rows = counted(rows, key, **counts)
        length = next(iter(lengths))
        table: dict[str, Any] = {"species": key, "by": by.key}
        steps.append(("replace", table if length is None else {**table, "length": length}))
        rows = exchanged(rows, key, by=by, length_cm=length)
        for dates in _dates(rows, target):
            steps.append(("when", {"species": by.key, **dates}))
            rows = _made(rows, "when", steps[-1][1], {})
    except ChangeError:
        return None
    return steps if rows == target else None
