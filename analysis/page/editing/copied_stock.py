"""The difference between two stocks as the changes of a copy: remove, recount, replace, when and add.

The shortest way is looked for species by species: fish taken out, counts and days changed in their
rows, or one species put in place of another; what cannot be reached so is taken out and added
anew, and with it what comes after, since earlier rows settle first. Nobody is renumbered without need.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ....sim.fish.population import SEXES, individuals
from ....sim.scenario.reading.restock import NEVER
from ....sim.scenario.scenario import Scenario, StockRow
from ....sim.scenario.stock_changes import (
    ChangeError,
    Stock,
    Which,
    counted,
    dated,
    exchanged,
    numbers,
    taken_out,
)
from ....sim.species.species import Species
from ..viewing.fields import plain
from ..viewing.stock import COUNTS, Spelled, present
from .bench import row_values
from .written import EditError

KINDS = ("remove", "recount", "replace", "when", "add")
Step = tuple[str, dict[str, Any]]  # one table of a kind
Changes = dict[str, list[dict[str, object]]]


def restocked(
    base: Scenario,
    wanted: Sequence[StockRow],
    *,
    kinds: Mapping[str, Species],
    spelled: Spelled | None = None,
) -> Changes:
    """Tables of a copy, by kind in the order they are made, that make the wanted stock of a base.

    ``kinds``: every species that may be wanted; ``spelled``: lengths in cm as they are written in the file.
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
    for kind, table in itertools.chain(*ways):
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
        self.base, self.wanted, self.kinds = base, wanted, kinds
        self.here = list(dict.fromkeys(row.species for row in base))
        self.later = {row.species: len(_of(wanted, row.species)) for row in wanted}  # rows that may stay
        gone = [key for key in self.here if key not in self.later]
        new = [key for key in self.later if key not in self.here]
        self.swaps = dict(zip(gone, new, strict=False))  # species that leave, and one instead of each

    def ways(self) -> tuple[list[list[Step]], int]:
        """The steps for each species of the base, and how many of the wanted rows are there then."""
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

    def _way(self, key: str) -> list[Step]:
        rows = _of(self.base, key)
        if key in self.swaps:
            steps = _steps(rows, _of(self.wanted, self.swaps[key]), self.kinds)
            if steps is not None:
                return steps
            del self.swaps[key]
        for kept in range(self.later.get(key, 0), 0, -1):
            steps = _steps(rows, _of(self.wanted, key)[:kept], self.kinds)
            if steps is not None:
                return steps
        return [("remove", {"species": key})]

    def _after(self, ways: Sequence[Sequence[Step]]) -> Stock:
        """The rows that are there before any is added: each kind of step in its turn, as when read."""
        stock = self.base
        for kind, table in sorted(itertools.chain(*ways), key=lambda one: KINDS.index(one[0])):
            stock = _made(stock, kind, table, self.kinds)
        return stock


def _of(stock: Sequence[StockRow], key: str) -> Stock:
    return tuple(row for row in stock if row.species == key)


def _made(stock: Stock, kind: str, table: Mapping[str, Any], kinds: Mapping[str, Species]) -> Stock:
    """One step, as the reader makes it."""
    which = Which(table["species"], table.get("sex"), table.get("fish"))
    if kind == "remove":
        return taken_out(stock, which)
    if kind == "recount":
        return counted(stock, which.species, **{field: table[field] for field in COUNTS if field in table})
    if kind == "replace":
        return exchanged(stock, which, by=kinds[table["by"]], length_cm=table.get("length"))
    out = table.get("out")
    return dated(stock, which, day=table.get("day"), out_day=math.inf if out == NEVER else out)


def _steps(rows: Stock, target: Stock, kinds: Mapping[str, Species]) -> list[Step] | None:
    """Steps from rows of one species to rows of it, or of another in their place; None where none lead."""
    key, to = rows[0].species, target[0].species
    lengths = {row.length_cm for row in target}
    want = numbers(target, to)
    steps: list[Step] = []
    if key != to and (len(lengths) != 1 or any(row.left_out for row in target)):
        return None
    if key != to and kinds[to].words["brood"].value == "cave":
        want = {**want, "holding": min(numbers(rows, key)["holding"], want["females"])}

    def step(kind: str, **table: Any) -> None:
        nonlocal rows
        rows = _made(rows, kind, table, kinds)
        steps.append((kind, table))

    try:
        for name in _newly_out(rows, target):
            step("remove", species=key, fish=name)
        if counts := _recount(rows, key, want):
            step("recount", species=key, **counts)
        if key != to:
            length = lengths.pop()
            step("replace", species=key, by=to, **({} if length is None else {"length": length}))
        for table in _dates(rows, target):
            step("when", species=to, **table)
    except ChangeError:
        return None
    return steps if _tidy(rows) == _tidy(target) else None


def _tidy(rows: Stock) -> Stock:
    """The same rows whatever the order in which single fish were left out."""
    return tuple(replace(row, left_out=tuple(sorted(row.left_out))) for row in rows)


def _newly_out(rows: Stock, target: Stock) -> list[str]:
    """Fish that the target leaves out and that are there."""
    here = [one.name for one in individuals(rows)]
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
        return [_date(now.values(), next(iter(want.values())))]
    found: list[dict[str, Any]] = []
    for sex in SEXES:
        mine = [fish for fish in want if fish[0] == sex]
        at_once = len({want[fish] for fish in mine}) == 1
        for group in [mine] if at_once else [[fish] for fish in mine]:
            before = [now[fish] for fish in group]
            if before != [want[fish] for fish in group]:
                who = {"sex": sex} if at_once else {"fish": f"{sex} {group[0][1]}"}
                found.append({**who, **_date(before, want[group[0]])})
    return found


def _date(now: Iterable[tuple[float, float | None]], want: tuple[float, float | None]) -> dict[str, Any]:
    """Day in and day out, as far as either differs for one of some fish."""
    days, outs = zip(*now, strict=True)
    day, out = want
    found: dict[str, Any] = {"day": plain(day)} if set(days) != {day} else {}
    if set(outs) != {out}:
        found["out"] = NEVER if out is None else plain(out)
    return found
