"""Copies of a tank to change: the [[alternative]] tables of a file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ....sim.scenario.reading import ScenarioError, limits
from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import Scenario, StockRow
from ....sim.scenario.timeline import DividerIn, OfFish
from ....sim.species.species import library
from ..task import Draft, StockList
from ..viewing.read import alone, copies_of, names_of, scenario_of, shown, values_of
from ..viewing.stock import Spelled, present, spellings
from .bench import BEFORE, Bench, near, refusing, row_values, write_in_list
from .copied_fields import lay_over, table_of
from .copied_stock import KINDS, compact, restocked
from .written import EditError

# ---- making, naming, dropping


def copied(bench: Bench, name: str | None) -> None:
    """Another copy at the end, of the tank that is meant; raises EditError where there may be no more."""
    table = copies_of(bench.sheet.values)[bench.which - 1] if bench.which else {}
    _add(bench, {**table, "name": _free_name(bench.sheet.values, name)})


def _add(bench: Bench, table: Mapping[str, Any]) -> None:
    number = len(copies_of(bench.sheet.values))
    if number >= limits.MOST_ALTERNATIVES:
        raise EditError(f"there are {limits.MOST_ALTERNATIVES} copies already; take one out first")
    bench.sheet.put(("alternative", number), table)


def _free_name(values: Mapping[str, Any], name: str | None) -> str:
    """The name as typed, or where none is given one that no other copy has."""
    if name is not None:
        if not isinstance(name, str) or not name.strip():
            raise EditError(f"name is {show(name)}; use text, or nothing to have one made up")
        return name
    number = len(copies_of(values)) + 1
    taken = _taken(values)
    while f"copy {number}" in taken:
        number += 1
    return f"copy {number}"


def _taken(values: Mapping[str, Any]) -> set[str]:
    return {" ".join(str(one.get("name", "")).split()).casefold() for one in copies_of(values)}


def renamed(bench: Bench, name: object, *, do: str = "rename") -> None:
    """Another name of a copy."""
    check_copy(bench, do)
    if not isinstance(name, str):
        raise EditError(f"name is {show(name)}; use text")
    bench.put(("name",), name)


def dropped(bench: Bench) -> None:
    """Without a copy."""
    check_copy(bench, "drop copy")
    bench.put((), None)


def check_copy(bench: Bench, do: str) -> None:
    """Refuse the tank as it is where only a copy can be meant."""
    if not bench.which:
        raise EditError(f"{do} does not work on the tank as it is; use one of its copies")


# ---- the stock of a copy


def stock_of_copy(bench: Bench) -> tuple[Scenario, tuple[StockRow, ...]]:
    """The tank as it is and the stock of the copy that is meant; EditError when either has problems."""
    with refusing(BEFORE):
        base = alone(bench.draft, bench.sheet.values, 0)
    with refusing("this copy has problems; fix these first"):
        return base, shown(bench.alone(), 1).stock


def write_stock(
    bench: Bench, base: Scenario, wanted: Sequence[StockRow], *, typed: Spelled | None = None
) -> None:
    """Let a copy have a stock, by the changes that lead to it; ``typed``: lengths in cm, as just typed.

    Raises EditError with what the reader says of it, when it cannot be so.
    """
    kinds = names_of(bench.sheet.values).species
    spelled = {**spellings(bench.sheet.values), **(typed or {})}
    try:
        changes = restocked(base, wanted, kinds=kinds, spelled=spelled)
    except EditError:  # single fish are left out of rows that are put in anew: these are numbered anew
        changes = restocked(base, [compact(row) for row in wanted], kinds=kinds, spelled=spelled)
    for kind in KINDS:
        bench.put((kind,), changes.get(kind))
    with refusing():
        bench.alone()


# ---- a whole scenario as a copy


def alternative_of(base: Scenario, wanted: Scenario, name: str) -> dict[str, object] | None:
    """The table of a copy of ``base``, by its text, that reads as ``wanted``; None: no file can say it."""
    values = values_of(base.text)
    if not values:
        return None
    kinds = {**library(), **base.species, **wanted.species}
    try:
        changes = restocked(base, wanted.stock, kinds=kinds, spelled=spellings(values))
    except EditError:
        return None

    def read(table: Mapping[str, object]) -> Scenario | None:
        beside = StockList("", base.stock_list_text) if base.stock_list_text else None
        try:
            whole = alone(Draft("", base.title, beside), {**values, "alternative": [table]}, 1)
        except ScenarioError:
            return None
        return shown(whole, 1)

    return table_of(base, wanted, {"name": name, **changes}, read)


def with_change(draft: Draft, name: str, scenario: Scenario | None) -> Draft:
    """With a copy at the end that reads as a scenario; its name is shortened, and told from the others'.

    Raises EditError when no copy can say it, as where (None) it differs from one simulated tank to the next.
    """
    if scenario is None:
        raise EditError(f"{name}: differs from one simulated tank to the next, so no copy can say it")
    bench = Bench(draft, 0)
    with refusing(BEFORE):
        base = scenario_of(draft)
    own = _unlike(name, _taken(bench.sheet.values))
    table = alternative_of(base, scenario, own)
    if table is None:
        raise EditError(f"{name}: cannot be written down as changes to the file as it is now")
    _add(bench, table)
    return bench.done()


def _unlike(name: str, taken: set[str]) -> str:
    """A name that no other copy has, no longer than a name may be."""
    plain = " ".join(name.split())[: limits.LONGEST_NAME].strip() or "copy"
    own, number = plain, 1
    while own.casefold() in taken:
        number += 1
        end = f" ({number})"
        own = plain[: limits.LONGEST_NAME - len(end)] + end
    return own


# ---- keeping a copy


def kept(bench: Bench) -> None:
    """A copy as the tank as it is, without that copy; copies that no longer apply are said.

    They are left in the file as comments. Raises EditError when something is wrong with tank or copy.
    """
    check_copy(bench, "keep copy")
    with refusing():
        whole = bench.alone()
    copy = whole.alternatives[0]
    own = bench.sheet.get(*bench.own)
    if any(row.left_out for row in copy.scenario.stock) and any(
        isinstance(one, OfFish) or (isinstance(one, DividerIn) and (one.left or one.right))
        for one in copy.scenario.events
    ):
        raise EditError(
            "keep copy: its fish would be numbered anew, and events name some of them; change it as text"
        )
    write_in_list(bench)
    spelled = spellings(bench.sheet.values)
    bench.sheet.drop(bench.own)
    stock = [compact(row) for row in copy.scenario.stock if any(present(row).values())]
    bench.sheet.put(("stock",), _rows(bench, whole.stock, stock, spelled))
    bench.own, bench.which = (), 0
    lay_over(bench, whole, copy.scenario, own)
    bench.said += _set_aside(bench, copy.name)


def _rows(
    bench: Bench, before: Sequence[StockRow], after: Sequence[StockRow], spelled: Spelled
) -> list[dict[str, object]]:
    """The [[stock]] of the file; what stays is left as it is written."""
    rows = []
    for k, row in enumerate(after):
        now = row_values(row, spelled)
        at = before.index(row) if row in before else k
        if at < len(before):
            was = row_values(before[at], spelled)
            there = bench.sheet.get("stock", at)
            now |= {key: one for key, one in there.items() if near(was.get(key), now.get(key))}
        rows.append(now)
    return rows


def _set_aside(bench: Bench, name: str) -> list[str]:
    """Turn copies that no longer apply into comments; what is said of each."""
    said = []
    for k in range(len(copies_of(bench.sheet.values)), 0, -1):
        try:
            alone(bench.draft, bench.sheet.values, k)
        except ScenarioError as error:
            other = str(bench.sheet.get("alternative", k - 1, "name"))
            why = f"The copy {show(other)} does not apply to {show(name)} as the tank: {error.problems[0]}"
            bench.sheet.set_aside(("alternative", k - 1), why)
            said.append(why)
    return said[::-1]
