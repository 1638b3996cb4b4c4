"""The changes of an alternative to the stock: remove, recount, replace, when and add."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from ...fish.population import SEXES, individuals
from ...species.names import find
from ...species.species import Species
from ..hints import Hint, hint_at
from ..scenario import Scenario, StockRow, TankSpec
from ..stock_changes import ChangeError, Stock, Which, counted, dated, exchanged, numbers, taken_out
from . import limits, said
from .kinds import Names
from .problems import OwnWords
from .stock import Asked, check_row, check_total, read_length, read_row
from .tables import Table, one_of

LIKE = "stock"  # the limits of [[stock]] hold
COUNTS = ("males", "females", "unsexed", "holding")
NEVER = "never"


@dataclass
class Restocked:
    """The stock of an alternative while its changes are made, one after the other."""

    stock: Stock
    species: dict[str, Species]  # of the stock
    names: Names
    tank: TankSpec
    usable: bool  # the stock of the base was read without a problem
    said: list[str] = field(default_factory=list)
    put_in: set[str] = field(default_factory=set)  # species that replaced another


def restock(row: Table, base: Scenario, *, names: Names, tank: TankSpec, usable: bool) -> Restocked:
    """Make every change of an alternative to the stock; problems are noted at their own lines.

    In this order whatever the order in the file: remove, recount, replace, when, add.
    """
    new = Restocked(base.stock, dict(base.species), names, tank, usable)
    for key, change in _CHANGES.items():
        for entry in entries(row, key, like=LIKE):
            before = len(entry.book.problems)
            make = change(entry, new)
            entry.close()
            if len(entry.book.problems) == before and (usable or change is _add):
                _make(make, entry, new)
    new.species = {key: new.species[key] for key in dict.fromkeys(one.species for one in new.stock)}
    return new


def check_kept(row: Table, new: Restocked) -> None:
    """Hold the whole stock of an alternative against its tank and the limits."""
    fish = len(individuals(new.stock))
    check_total(fish, row.book, place=row.at)
    if fish == 0:
        row.book.add(row.at, found=OwnWords("no fish are left"), allowed="changes that leave at least one")
    noted: set[tuple[str, str]] = set()
    for one in new.stock:
        check_row(_again(one, row, noted), Names(new.species), new.tank)


def _again(one: StockRow, row: Table, noted: set[tuple[str, str]]) -> Asked:
    """A row that was read, to be checked again; problems go to the line of the alternative, each once."""

    def report(key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        shown = found or OwnWords(f"{one.species} ({said.lengths(one.length_cm)})")
        if (str(shown), allowed) not in noted:
            noted.add((str(shown), allowed))
            row.book.add(row.at, found=shown, allowed=allowed, nearest=nearest)

    return Asked(**vars(one), report=report)  # not good: the numbers were checked


def entries(row: Table, key: str, *, like: str) -> list[Table]:
    """The tables of one kind of change; a single one need not be in a list. The limits of ``like`` hold."""
    value = row.raw(key)
    if isinstance(value, Mapping):
        return [Table(value, place=(*row.at, key), book=row.book, like=like)]
    named = [value] if isinstance(value, str) else value
    if key == "remove" and isinstance(named, list) and any(isinstance(one, str) for one in named):
        tables = _by_name(row, key, named)
    else:
        tables = row.rows(key)
    if len(tables) > limits.MOST_CHANGES:
        row.problem(key, found=OwnWords(f"there are {len(tables)}"), allowed=f"at most {limits.MOST_CHANGES}")
    for one in tables:
        one.like = like
    return tables[: limits.MOST_CHANGES]


def _by_name(row: Table, key: str, named: list[object]) -> list[Table]:
    """Tables of a list in which a species may stand by its name alone."""
    given = [{"species": one} if isinstance(one, str) else one for one in named]
    return Table({key: given}, place=row.at, book=row.book, like=row.like).rows(key)


Make = Callable[[], str]
"""Makes a change that was read without a problem, and says it."""


def _remove(entry: Table, new: Restocked) -> Make:
    which = _read_which(entry, new)

    def make() -> str:
        was = numbers(new.stock, which.species)
        new.stock = taken_out(new.stock, which)
        left = numbers(new.stock, which.species)
        return said.removed(which, {name: was[name] - many for name, many in left.items()})

    return make


def _recount(entry: Table, new: Restocked) -> Make:
    key = _read_species(entry, new)
    given = {name: entry.whole(name) for name in COUNTS if name in entry}
    if not given:
        entry.problem("males", allowed=f"at least one of {one_of(COUNTS)}")

    def make() -> str:
        was = numbers(new.stock, key)
        new.stock = counted(new.stock, key, **given)
        return said.recounted(key, was, numbers(new.stock, key), given)

    return make


def _replace(entry: Table, new: Restocked) -> Make:
    which = _read_which(entry, new)
    if which.species in new.put_in:
        allowed = "a species of the base, or recount both species to swap their numbers"
        entry.problem(
            "species", found=OwnWords(f"another replacement puts in {which.species}"), allowed=allowed
        )
    name = entry.text("by", default=None, longest=limits.LONGEST_NAME)
    by = new.names.resolve(name) if name else None
    if name and by is None:
        none = new.names.explain(name)
        entry.problem("by", found=none.found, allowed=none.allowed, nearest=none.nearest)
    length = read_length(entry.raw("length"), entry.problem) if "length" in entry else None
    if by is not None:
        check_row(Asked(species=by, length_cm=length, report=entry.problem), new.names, new.tank)

    def make() -> str:
        assert by is not None, "else a problem was noted"
        was, kind = numbers(new.stock, by), new.names.species[by]
        new.stock = exchanged(new.stock, which, by=kind, length_cm=length)
        new.put_in.add(by)
        new.species[by] = kind
        more = {name: now - was[name] for name, now in numbers(new.stock, by).items()}
        return said.replaced(which, by, more, length)

    return make


def _when(entry: Table, new: Restocked) -> Make:
    which = _read_which(entry, new)
    day = entry.amount("day") if "day" in entry else None
    out = _read_out(entry) if "out" in entry else None
    if day is None and out is None:
        entry.problem("day", allowed=f'a day, out or both (out = "{NEVER}": they stay to the end)')

    def make() -> str:
        was = [one.row for one in which.among(new.stock)]
        new.stock = dated(new.stock, which, day=day, out_day=out)
        now = [one.row for one in which.among(new.stock)]
        return said.dated(which, was, now, day=day is not None, out=out is not None)

    return make


def _add(entry: Table, new: Restocked) -> Make:
    row = check_row(read_row(entry), new.names, new.tank)

    def make() -> str:
        assert row is not None, "else a problem was noted"
        new.stock = (*new.stock, row)
        new.species[row.species] = new.names.species[row.species]
        return said.added(row)

    return make


_CHANGES: Mapping[str, Callable[[Table, Restocked], Make]] = {
    "remove": _remove,
    "recount": _recount,
    "replace": _replace,
    "when": _when,
    "add": _add,
}


def _make(make: Make, entry: Table, new: Restocked) -> None:
    try:
        new.said.append(make())
    except ChangeError as error:
        entry.problem(error.key, found=error.found, allowed=error.allowed, nearest=error.hint)


def _read_which(entry: Table, new: Restocked) -> Which:
    """Species, and sex or fish where one is named."""
    key = _read_species(entry, new)
    sex = entry.word("sex", choices=SEXES) if "sex" in entry else None
    fish = None
    if "fish" in entry:
        fish = entry.text("fish", default=None, longest=limits.LONGEST_NAME).lower()
        fish = fish.removeprefix(key.lower()).strip() or fish  # a label copied from a result
        if sex is not None:
            entry.problem("fish", allowed="sex or fish, not both")
    return Which(key, sex, fish)


def _read_species(entry: Table, new: Restocked) -> str:
    """Key of a species of the stock, "" after a problem; a short name need fit no other fish of the stock."""
    name = entry.text("species", default=None, longest=limits.LONGEST_NAME)
    there = {row.species: new.species[row.species] for row in new.stock}
    key = among(name, there) if name else None
    if key is not None:
        return key
    known = new.names.resolve(name) if name else None
    if name and (new.usable or known is None):
        spelled = [word for one in there.values() for word in (one.key, *one.common, *one.synonyms)]
        allowed = "a species of the stock" + (f": {', '.join(there)}" if there else "")
        entry.problem("species", allowed=allowed, nearest=hint_at(name, spelled))
    return ""


def among(name: str, there: Mapping[str, Species]) -> str | None:
    """Key of the one of some species that a name means; None when it is none of them."""
    kind = find(name, among=there)
    return kind.key if kind is not None else None


def _read_out(entry: Table) -> float:
    """Day on which they are taken out; infinity for never."""
    value = entry.raw("out")
    if isinstance(value, str) and value.strip().lower() == NEVER:
        return math.inf
    return entry.amount("out")
