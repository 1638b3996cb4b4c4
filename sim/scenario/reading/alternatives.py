"""The [[alternative]] tables: named sets of changes to the scenario, each read into a scenario of its own.

A table tank, rock or run of an alternative is laid over that of the base and read as any other, so
the same units, limits and checks hold; what is wrong is reported at the alternative's own line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ...run.set_ups import watched
from ...species.species import Species
from .. import units
from ..changes import measured_like, water_level_cm
from ..hints import Hint
from ..scenario import Alternative, RockSpec, RunSpec, Scenario, TankSpec
from ..timeline import Event, OfRock, RockAnew, Timeline, timeline_of
from . import limits, said
from .events import EVENT, StockedFish, check_events, read_events
from .kinds import Names
from .limits import LIMITS
from .problems import Book, OwnWords, Place
from .restock import COUNTS, among, check_kept, entries, restock
from .rock import RESCAPE, read_rock
from .run import read_run
from .stock import check_stay
from .tables import Table, above, read_amount
from .tank import read_tank

_OF_DRAWN = ("cover", "height", "piles", "crevice", RESCAPE)  # of the rock: no place beside a sketch
_OF_SKETCH = ("sketch", "sketch_step", "crevice")
_SIDES = ("length", "front_to_back", "height", "water_level")
_PAIRED = (
    "trials",
    "guesses",
    "seed",
    "fixed",
    "wide",
)  # of the run; the same for the base and everything beside it
_WHY_PAIRED = (
    "[run] of the tank itself: all alternatives are compared with it on the same simulated tanks, with the "
    "same seed and guesses"
)


@dataclass(frozen=True)
class Base:
    """What alternatives are changes of."""

    scenario: Scenario  # means something only as far as nothing was wrong
    anew: tuple[RockAnew, ...]  # its events, those that [rock] says
    events: tuple[Event, ...]  # and those of [[event]] tables
    table: Table  # the whole file
    names: Names
    good: bool  # nothing was wrong
    stock_good: bool  # nothing was wrong with species and stock


def read_alternatives(base: Base) -> tuple[Alternative, ...]:
    """Every ``[[alternative]]``; those that stand, in the order of the file."""
    rows = base.table.rows("alternative")
    if len(rows) > limits.MOST_ALTERNATIVES:
        found = OwnWords(f"there are {len(rows)} alternatives")
        base.table.problem("alternative", found=found, allowed=f"at most {limits.MOST_ALTERNATIVES}")
    taken: dict[str, Place] = {}
    read = [_read_one(row, _read_name(row, taken), base) for row in rows[: limits.MOST_ALTERNATIVES]]
    return tuple(one for one in read if one is not None)


def _read_name(row: Table, taken: dict[str, Place]) -> str:
    """The name of an alternative, which no other has; "" after a problem."""
    before = len(row.book.problems)
    name = row.text("name", default=None, longest=limits.LONGEST_NAME)
    place = (*row.at, "name")
    if name.casefold() in taken:
        line = row.book.line(taken[name.casefold()])
        row.problem("name", allowed=f"another name: line {line} has this one")
    elif name:
        taken[name.casefold()] = place
    elif len(row.book.problems) == before:
        row.problem("name", allowed="a name with at least one printable character")
    return name


def _read_one(row: Table, name: str, base: Base) -> Alternative | None:
    """One alternative; None where something was wrong with it or with the base."""
    before = len(row.book.problems)
    tank = _read_tank(row, base)
    rock, anew = _read_rock(row, base, tank)
    new = restock(row, base.scenario, names=base.names, tank=tank, usable=base.stock_good)
    if base.stock_good and len(row.book.problems) == before:
        check_kept(row, new)
    run = _read_run(row, base, new.species)
    usable = base.stock_good and len(row.book.problems) == before
    stocked = StockedFish(new.stock, new.species) if usable else None
    own = read_events(entries(row, EVENT, like=EVENT), stocked=stocked)
    row.close(home=_home_of)
    if not base.good or len(row.book.problems) > before:
        return None
    old = base.scenario
    scenario = replace(
        old,
        tank=tank,
        rock=rock,
        run=run,
        stock=new.stock,
        species=new.species,
        events=(*anew, *_left(base.events, rock), *own),
        alternatives=(),
    )
    check_events(_timeline_of(scenario), row.book, place=row.at)
    if len(row.book.problems) > before:
        return None
    scenario = _watching(row, scenario, old)
    lines = [*new.said, *said.tank(old.tank, tank), *said.rock(old.rock, rock)]
    lines += [*said.events(old, scenario), *said.run(old.run, run)]
    if run.watch is not None:
        lines.append(said.watched(watched(old)[0], run.watch))
    if "when" not in row:
        held = measured_like(scenario, old)
        if held is not scenario:
            lines.append("measured on the same days as before")
        scenario = held
    check_stay(scenario, row.book, place=row.at)
    return Alternative(name, tuple(lines), scenario) if name else None


def under(
    name: str, own: Mapping[str, object], base: Mapping[str, object], tank: TankSpec | None
) -> dict[str, object]:
    """What of a base's table holds below the keys of an alternative that are laid over it.

    ``name`` is "tank", "rock" or "run"; ``own`` and ``base`` are that table of the alternative and of the
    base as written; ``tank`` is that of the base, None where something is wrong with it.
    """
    below = dict(base)
    if name == "tank":
        if any(key in own for key in _SIDES):
            below.pop("volume", None)  # that of the base was held against other sides
        if "height" in own and tank is not None and "water_level" in below:
            below["water_level"] = _water_level(own["height"], tank)
    elif name == "run":
        below.pop("watch", None)
    elif "sketch" in own and "sketch" not in below:
        below = {key: below[key] for key in below if key not in _OF_DRAWN}
    elif "cover" in own and "sketch" in below:
        below = {key: below[key] for key in below if key not in _OF_SKETCH}
    elif own.get("cover") in (0, 0.0):
        below.pop(RESCAPE, None)
    return below


def _read_tank(row: Table, base: Base) -> TankSpec:
    """The tank of the base with the alternative's keys laid over it."""
    if "tank" not in row:
        return base.scenario.tank
    return read_tank(_laid_over(row.table("tank"), base, "tank"))


def _water_level(height: object, tank: TankSpec) -> float:
    """As far below the rim as in the base, cm; where the height cannot be read, that of the base."""
    try:
        return water_level_cm(tank, read_amount(height, LIMITS["tank.height"]))
    except units.UnitError:
        return tank.water_cm


def _timeline_of(scenario: Scenario) -> Timeline:
    """What happens in a scenario, held against all that the file says of its tank."""
    rock, tank, lit_hours = scenario.rock, scenario.tank, scenario.run.lit_hours
    return timeline_of(scenario.stock, scenario.events, rock=rock, tank=tank, lit_hours=lit_hours)


def _left(events: tuple[Event, ...], rock: RockSpec) -> tuple[Event, ...]:
    """The events of the base, without those for which there is other rock now."""
    return tuple(one for one in events if not isinstance(one, OfRock) or one.suits(rock))


def _read_rock(row: Table, base: Base, tank: TankSpec) -> tuple[RockSpec, tuple[RockAnew, ...]]:
    """The rock of the base with the alternative's keys laid over it, in the alternative's tank."""
    if "rock" not in row and "tank" not in row:
        return base.scenario.rock, base.anew
    return read_rock(_laid_over(row.table("rock"), base, "rock"), tank)


def _read_run(row: Table, base: Base, stocked: Mapping[str, Species]) -> RunSpec:
    """The run of the base with the alternative's keys laid over it; ``watch`` only where it is its own."""
    if "run" not in row:
        return replace(base.scenario.run, watch=None)
    own = row.table("run")
    for key in _PAIRED:
        if key in own.values:
            own.problem(key, allowed=_WHY_PAIRED)
    own.values = {key: value for key, value in own.values.items() if key not in _PAIRED}

    laid = _laid_over(own, base, "run")
    return read_run(
        laid, resolve=lambda name: among(name, stocked) or base.names.resolve(name), stocked=stocked
    )


def _watching(row: Table, scenario: Scenario, base: Scenario) -> Scenario:
    """Watching the species of the base unless the alternative names its own, whatever is milder now."""
    watch, _ = watched(base)
    own = scenario.run.watch
    if own is None and watch not in scenario.species:
        found = OwnWords(f"no {watch} are left, the mild species that is watched")
        allowed = 'changes that leave some, or name another species to watch, run = {watch = "its name"}'
        row.book.add(row.at, found=found, allowed=allowed)
        return scenario
    if own is None and (base.run.watch is not None or watched(scenario)[0] != watch):
        own = watch
    return replace(scenario, run=replace(scenario.run, watch=own))


def _home_of(key: str) -> str:
    """Where a key of another table belongs in an alternative."""
    for name in LIMITS:
        table, _, own = name.rpartition(".")
        if own == key and table in ("tank", "rock", "run"):
            return f"{table} = {{{key} = ...}}"
    if f"stock.{key}" in LIMITS:
        return f"{'recount' if key in COUNTS else 'when'} = [{{species = ..., {key} = ...}}]"
    return above(key)


def _laid_over(own: Table, base: Base, name: str) -> Table:
    """A table of the alternative with what it leaves out taken from the base."""
    written = base.table.values.get(name)
    there = written if isinstance(written, Mapping) else {}
    below = under(name, own.values, there, base.scenario.tank if base.good else None)
    book = _Laid(own, quiet=not base.good)
    return Table({**below, **own.values}, place=own.at, book=book, like=name)


class _Laid(Book):
    """Notes problems in the book of a table; where ``quiet`` only those of the table's own values.

    The values of a base that has problems were reported where they stand.
    """

    def __init__(self, own: Table, *, quiet: bool) -> None:
        super().__init__(own.book.lines, own.book.problems)
        self.own = own
        self.quiet = quiet

    def add(self, place: Place, *, found: object, allowed: str, nearest: Hint = "") -> None:
        key = place[len(self.own.at) : len(self.own.at) + 1]
        if not self.quiet or (key and key[0] in self.own.values):
            super().add(place, found=found, allowed=allowed, nearest=nearest)
