"""The changes of an alternative to the stock: remove, recount, replace, when and add."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from ...fish.population import SEXES, individuals
from ...species.species import Species, find
from ..hints import Hint, hint_at
from ..scenario import Scenario, StockRow, TankSpec
from ..stock_changes import ChangeError, Stock, chosen, counted, dated, exchanged, numbers, taken_out
from . import limits, said
from .kinds import Names
from .problems import OwnWords
from .stock import Asked, check_row, check_total, read_length, read_rows
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
            change(entry, new)
    new.species = {key: new.species[key] for key in dict.fromkeys(one.species for one in new.stock)}
    return new


def check_kept(row: Table, new: Restocked) -> None:
    """Hold the whole stock of an alternative against its tank and the limits."""
    fish = len(individuals(new.stock))
    check_total(fish, row.book, place=row.at)
    if fish == 0:
        row.book.add(row.at, found=OwnWords("no fish left"), allowed="changes that leave at least one fish")
    noted: set[tuple[str, str]] = set()
    for one in new.stock:
        check_row(_again(one, row, noted), Names(new.species), new.tank)


def _again(one: StockRow, row: Table, noted: set[tuple[str, str]]) -> Asked:
    """A row that was read, to be checked again; problems go to the line of the alternative, each once."""

    def report(key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        shown = found or OwnWords(f"{one.species}, {said.lengths(one.length_cm)}")
        if (str(shown), allowed) not in noted:
            noted.add((str(shown), allowed))
            row.book.add(row.at, found=shown, allowed=allowed, nearest=nearest)

    return Asked(
        species=one.species,
        males=one.males,
        females=one.females,
        unsexed=one.unsexed,
        holding=one.holding,
        length_cm=one.length_cm,
        day=one.day,
        out_day=one.out_day,
        good=False,  # the numbers were checked
        report=report,
    )


def entries(row: Table, key: str, *, like: str) -> list[Table]:
    """The tables of one kind of change; a single one need not be in a list. The limits of ``like`` hold."""
    value = row.raw(key)
    if isinstance(value, Mapping):
        return [Table(value, place=(*row.at, key), book=row.book, like=like)]
    tables = row.rows(key)
    if len(tables) > limits.MOST_CHANGES:
        row.problem(key, found=OwnWords(f"{len(tables)} tables"), allowed=f"at most {limits.MOST_CHANGES}")
    for one in tables:
        one.like = like
    return tables[: limits.MOST_CHANGES]


def _remove(entry: Table, new: Restocked) -> None:
    before = len(entry.book.problems)
    key, sex, fish = _read_chosen(entry, new)
    gone = numbers(new.stock, key)

    def change() -> Stock:
        return taken_out(new.stock, key, sex=sex, fish=fish)

    if _make(entry, new, change, before=before):
        gone = {name: gone[name] - left for name, left in numbers(new.stock, key).items()}
        new.said.append(said.removed(said.who(key, sex, fish), gone, one=fish is not None))


def _recount(entry: Table, new: Restocked) -> None:
    before = len(entry.book.problems)
    key = _read_species(entry, new)
    given = {name: entry.whole(name) for name in COUNTS if name in entry}
    if not given:
        entry.problem("males", allowed=f"at least one of {one_of(COUNTS)}")
    was = numbers(new.stock, key)

    def change() -> Stock:
        return counted(new.stock, key, **given)

    if _make(entry, new, change, before=before):
        new.said.append(said.recounted(key, was, numbers(new.stock, key), given))


def _replace(entry: Table, new: Restocked) -> None:
    before = len(entry.book.problems)
    key, sex, fish = _read_chosen(entry, new)
    if key in new.put_in:
        allowed = "a species of the base: to exchange the numbers of two species, recount both"
        entry.problem("species", found=OwnWords(f"{key}, put in by another replacement"), allowed=allowed)
    name = entry.text("by", default=None, longest=limits.LONGEST_NAME)
    by = new.names.resolve(name) if name else None
    if name and by is None:
        allowed, near = new.names.explain(name)
        entry.problem("by", allowed=allowed, nearest=near)
    length = read_length(entry.raw("length"), entry.problem) if "length" in entry else None
    if by is not None:
        check_row(_of_kind(by, length, entry), new.names, new.tank)
    was = numbers(new.stock, by or "")

    def change() -> Stock:
        assert by is not None, "else a problem was noted"
        return exchanged(new.stock, key, by=new.names.species[by], sex=sex, fish=fish, length_cm=length)

    if _make(entry, new, change, before=before) and by is not None:
        new.put_in.add(by)
        new.species[by] = new.names.species[by]
        more = {name: now - was[name] for name, now in numbers(new.stock, by).items()}
        new.said.append(said.replaced(said.who(key, sex, fish), by, more, length))


def _of_kind(by: str, length_cm: tuple[float, float] | None, entry: Table) -> Asked:
    """Fish of a species and length, to be checked as a row is; problems go to the entry."""
    return Asked(by, 0, 0, 0, 0, length_cm, 0.0, None, good=False, report=entry.problem)


def _when(entry: Table, new: Restocked) -> None:
    before = len(entry.book.problems)
    key, sex, fish = _read_chosen(entry, new)
    day = entry.amount("day") if "day" in entry else None
    out = _read_out(entry) if "out" in entry else None
    if day is None and out is None:
        entry.problem("day", allowed=f'day, out or both; out = "{NEVER}" lets them stay to the end')
    was: list[StockRow] = []

    def change() -> Stock:
        was.extend(one.row for one in chosen(new.stock, key, sex=sex, fish=fish))
        return dated(new.stock, key, day=day, out_day=out, sex=sex, fish=fish)

    if _make(entry, new, change, before=before):
        now = [one.row for one in chosen(new.stock, key, sex=sex, fish=fish)]
        words = said.dated(said.who(key, sex, fish), was, now, day=day is not None, out=out is not None)
        new.said.append(words)


def _add(entry: Table, new: Restocked) -> None:
    before = len(entry.book.problems)
    (asked,) = read_rows([entry])
    row = check_row(asked, new.names, new.tank)
    if row is not None and len(entry.book.problems) == before:
        new.stock = (*new.stock, row)
        new.species[row.species] = new.names.species[row.species]
        new.said.append(said.added(row))


_CHANGES: Mapping[str, Callable[[Table, Restocked], None]] = {
    "remove": _remove,
    "recount": _recount,
    "replace": _replace,
    "when": _when,
    "add": _add,
}


def _make(entry: Table, new: Restocked, change: Callable[[], Stock], *, before: int) -> bool:
    """Make a change unless something was wrong with its table; whether it was made."""
    entry.close()
    if len(entry.book.problems) > before or not new.usable:
        return False
    try:
        new.stock = change()
    except ChangeError as error:
        entry.problem(error.key, found=OwnWords(error.found), allowed=error.allowed, nearest=error.hint)
        return False
    return True


def _read_chosen(entry: Table, new: Restocked) -> tuple[str, str | None, str | None]:
    """Species, and sex or fish where one is named."""
    key = _read_species(entry, new)
    sex = entry.word("sex", choices=SEXES) if "sex" in entry else None
    fish = None
    if "fish" in entry:
        fish = entry.text("fish", default=None, longest=limits.LONGEST_NAME).lower()
        fish = fish.removeprefix(key.lower()).strip() or fish  # a label copied from a result
        if sex is not None:
            entry.problem("fish", allowed="either sex or fish, not both")
    return key, sex, fish


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
