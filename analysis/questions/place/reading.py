"""A room file: TOML in, a checked Room or every problem at once out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from .... import scenarios
from ....sim.scenario.hints import hint_at
from ....sim.scenario.reading import limits
from ....sim.scenario.reading.files import one_problem
from ....sim.scenario.reading.kinds import Names, read_own_species
from ....sim.scenario.reading.limits import Limit
from ....sim.scenario.reading.named import NobodyError, fish_said
from ....sim.scenario.reading.problems import Book, OwnWords, ScenarioError, Shown, show
from ....sim.scenario.reading.rock import read_rock
from ....sim.scenario.reading.run import read_run
from ....sim.scenario.reading.stock import check_row, check_stock, read_rows
from ....sim.scenario.reading.tables import Table
from ....sim.scenario.reading.tank import check_units, read_tank
from ....sim.scenario.reading.toml import read_file, read_toml
from ....sim.scenario.scenario import RunSpec, Scenario, StockRow, TankSpec
from ....sim.species.species import Species, library
from .bounds_reading import read_bounds
from .chunks import Stocked, chunks_of, sex_by_sex
from .room import Bounds, Chunk, Group, Layout, Room, RoomTank

TRIALS = 72  # of each tank that is put forward, where the file says nothing
MOST_TANKS, MOST_GROUPS, MOST_LAYOUTS = 20, 30, 4
MONEY = Limit(0, 1_000_000, "whole")
_OWN = ("name", "file", "rock", "stock", "layout", "most_fish", "may_be_empty")
_DATED = "a file whose fish are all in from the start: no day, out, rescape_day or [[event]]"


def load(path: str | Path) -> Room:
    """Read and check a room file; scenario files that it names are looked for beside it.

    Raises
    ------
    ScenarioError
        With every problem.
    """
    path = Path(path)
    return parse(read_file(path), name=path.name, folder=path.parent)


def parse(text: str, *, name: str, folder: Path | None = None) -> Room:
    """Check the text of a room file; see :func:`load`."""
    values, lines = read_toml(text, name)
    if not values:
        raise one_problem(name, None, "file", "it is empty", "a room with [[tank]] and [[group]] tables")
    if isinstance(values.get("tank"), dict) and "group" not in values:
        allowed = "[[tank]] and [[group]] tables for a room; one [tank] is a scenario, for the other commands"
        raise one_problem(name, lines.get(("tank",)), "tank", "it is one tank", allowed)
    book = Book(lines)
    room = _Reader(Table(values, place=(), book=book), folder).room(Path(name).stem or name)
    if book.problems:
        raise ScenarioError(name, book.problems)
    return replace(room, text=text)


class _Reader:
    """Reads the tables of a room in turn; what it returns means something only without a problem."""

    def __init__(self, table: Table, folder: Path | None) -> None:
        self.table, self.folder, self.book = table, folder, table.book
        self.names = Names(library())
        self.own: dict[str, Species] = {}  # as the tanks' files describe them
        self.files: list[tuple[str, Scenario]] = []
        self.tanks: list[Stocked] = []

    def room(self, stem: str) -> Room:
        """The whole of it."""
        table = self.table
        title = table.text("title", default=stem, longest=limits.LONGEST_TITLE)
        question = table.text("question", default="", longest=limits.LONGEST_QUESTION)
        read_own_species(table.table("species"), self.names)
        self._read_tanks()
        groups, chunks = self._read_groups()
        staying = [
            (key, t)
            for t, one in enumerate(self.tanks)
            for key in dict.fromkeys(fish.species for fish in one.people if fish.label not in one.taken)
        ]
        owners = {place: len(groups) + k for k, place in enumerate(staying)}
        every = [*chunks_of(self.tanks, owners), *chunks]
        stocked = dict.fromkeys(chunk.row.species for chunk in every)
        room = Room(
            title=title,
            question=question,
            tanks=tuple(one.tank for one in self.tanks),
            groups=tuple(groups),
            staying=tuple(staying),
            chunks=tuple(every),
            bounds=Bounds(),
            run=self._run(),
            species={key: self.names.species[key] for key in stocked},
            files=tuple(self.files),
        )
        good = not self.book.problems
        bounds = read_bounds(table, room, self.names, good=good)
        table.close(home=lambda key: f"{key} in [limits]" if key in Bounds.__dataclass_fields__ else "")
        return replace(room, bounds=bounds)

    def _run(self) -> RunSpec:
        own = self.table.table("run")
        own.like = "run"
        meant = "trials" in own
        run = read_run(own, resolve=lambda _: None, stocked=())
        return run if meant else replace(run, trials=TRIALS)

    # ---- tanks

    def _read_tanks(self) -> None:
        rows = self.table.rows("tank")
        if not rows:
            self.table.problem("tank", allowed="a [[tank]] for each tank of the room")
        if len(rows) > MOST_TANKS:
            self.table.problem(
                "tank",
                found=OwnWords(f"there are {len(rows)}"),
                allowed=f"at most {MOST_TANKS}; plan a rack at a time",
            )
        taken: dict[str, int] = {}
        for row in rows[:MOST_TANKS]:
            self.tanks.append(self._read_tank(row, _name_of(row, taken, len(self.tanks))))

    def _read_tank(self, row: Table, name: str) -> Stocked:
        before = len(self.book.problems)
        own = {key: row.values[key] for key in row.values if key not in _OWN}
        if "file" in row:
            for key in (*own, *(key for key in ("rock", "stock") if key in row)):
                row.problem(key, found=OwnWords("it stands in the tank's own file"), allowed="file alone")
            spec, rock, stock, parameters = self._from_file(row)
        else:
            inner = Table(own, place=row.at, book=self.book, like="tank")
            check_units(inner)
            spec, parameters = read_tank(inner), {}
            rock = self._rock(row, spec, (*row.at, "rock"), row.raw("rock"))
            stock = self._stock(row, spec)
        layouts = (Layout("", rock), *self._layouts(row, spec))
        if not isinstance(empty := row.raw("may_be_empty"), bool) and empty is not None:
            row.problem("may_be_empty", allowed="true or false")
        tank = RoomTank(
            name=name,
            spec=spec,
            layouts=layouts,
            most_fish=whole(row, "most_fish", Limit(0, limits.MOST_FISH, "whole"), limits.MOST_FISH),
            may_be_empty=empty is not False,
            parameters=parameters,
            line=self.book.line(row.at),
        )
        return Stocked(tank, stock, good=len(self.book.problems) == before)

    def _from_file(self, row: Table) -> tuple[TankSpec, Any, tuple[StockRow, ...], Mapping[str, float]]:
        """Glass, rock, fish and parameters of a scenario file; its [run] is not read."""
        asked = row.text("file", default=None, longest=400)
        nothing: tuple[Any, Any, tuple[StockRow, ...], dict[str, float]] = (_ANY_TANK, None, (), {})
        if not asked:
            return nothing
        if self.folder is None and asked not in scenarios.names():
            row.problem(
                "file", allowed="the fields of [tank], with rock and stock; no other file is read here"
            )
            return nothing
        try:
            found = self._load(asked)
        except ScenarioError as error:
            for one in error.problems:
                if one.line is None and one.key == "file":
                    row.problem("file", found=one.found, allowed=one.allowed, nearest=one.hint)
                else:
                    self.book.problems.append(replace(one, file=one.file or error.name))
            return nothing
        except scenarios.UnknownScenarioError:
            row.problem("file", allowed="the path of a scenario file, beside this one or whole")
            return nothing
        self.files.append((asked, found))
        if found.timeline.events and any(one.day > 0 for one in found.timeline.events):
            row.problem("file", found=OwnWords(f"{show(asked)} has dates"), allowed=_DATED)
        for key, species in found.species.items():
            if key in self.own and self.own[key] != species:
                said = OwnWords(f"{show(asked)} describes {key} otherwise than another tank's file")
                row.problem("file", found=said, allowed="one description of a species for the whole room")
            self.own[key] = species
            self.names.add(species)
        return found.tank, found.rock, found.stock, found.parameters

    def _load(self, asked: str) -> Scenario:
        is_path = asked.endswith(".toml") or Path(asked).name != asked
        return scenarios.load(self.folder / asked if self.folder is not None and is_path else asked)

    def _rock(self, row: Table, spec: TankSpec, place: Any, value: object) -> Any:
        if not isinstance(value, Mapping | None):
            row.problem("rock", allowed='a table, such as rock = { cover = "40 %" }')
            value = {}
        inner = Table(value or {}, place=place, book=self.book, like="rock")
        rock, anew = read_rock(inner, spec)
        if anew:
            inner.problem("rescape_day", allowed="no dates in a room: it is about the fish of today")
        return rock

    def _stock(self, row: Table, spec: TankSpec) -> tuple[StockRow, ...]:
        rows = stock_rows(row)
        for one in rows:
            for key in ("day", "out"):
                if key in one.values:
                    one.problem(key, allowed="no dates in a room: it is about the fish of today")
        return check_stock(read_rows(rows), names=self.names, tank=spec, book=self.book)

    def _layouts(self, row: Table, spec: TankSpec) -> list[Layout]:
        rows, taken = row.rows("layout"), dict[str, int]()
        if len(rows) > MOST_LAYOUTS:
            row.problem("layout", found=OwnWords(f"there are {len(rows)}"), allowed=f"at most {MOST_LAYOUTS}")
        found: list[Layout] = []
        for one in rows[:MOST_LAYOUTS]:
            name = _name_of(one, taken, len(found))
            if "rock" not in one:
                one.problem("rock", allowed='what it looks like, such as rock = { cover = "60 %" }')
            rock = self._rock(one, spec, (*one.at, "rock"), one.raw("rock"))
            found.append(Layout(name, rock, whole(one, "costs", MONEY, 0)))
            one.close()
        return found

    # ---- groups

    def _read_groups(self) -> tuple[list[Group], list[Chunk]]:
        """The groups, and the fish that stand in their own tables and not in a tank's stock."""
        rows = self.table.rows("group")
        if not rows:
            self.table.problem("group", allowed="a [[group]] for each group of fish that may be moved")
        if len(rows) > MOST_GROUPS:
            found = OwnWords(f"there are {len(rows)}")
            self.table.problem("group", found=found, allowed=f"at most {MOST_GROUPS}; plan a rack at a time")
        taken: dict[str, int] = {}
        groups: list[Group] = []
        own: list[Chunk] = []
        for row in rows[:MOST_GROUPS]:
            name = _name_of(row, taken, len(groups))
            now = self._tank_named(row, "now", row.raw("now")) if "now" in row else None
            own += [Chunk(part, len(groups)) for part in self._fish_of(row, now, len(groups), groups)]
            groups.append(self._group(row, name, now))
            row.known.append("not_with")  # read once all groups are known
            row.close()
        return groups, own

    def _group(self, row: Table, name: str, now: int | None) -> Group:
        may_go = row.raw("may_go")
        asked = [may_go] if isinstance(may_go, str) else may_go
        if asked is not None and not (isinstance(asked, list) and asked):
            row.problem("may_go", allowed="the name of a tank, or a list of them")
            asked = None
        every = range(len(self.tanks))
        places = every if asked is None else [self._tank_named(row, "may_go", one) for one in asked]
        must = row.raw("must_leave")
        if must is not None and (not isinstance(must, bool) or (must and now is None)):
            row.problem("must_leave", allowed="true or false, beside now")
        price = whole(row, "price", MONEY, 0) if "price" in row else None
        gives = whole(row, "give_away", MONEY, 0) if "give_away" in row else None
        if now is not None and price is not None:
            row.problem("price", allowed="no price beside now: they are in the room already")
        if price is not None and gives is not None:
            row.problem("give_away", allowed="price or give_away, not both")
        return Group(
            name=name,
            now=now,
            may_go=frozenset(one for one in places if one is not None),
            must_leave=must is True,
            price=price,
            gives=gives,
            line=self.book.line(row.at),
        )

    def _fish_of(self, row: Table, now: int | None, number: int, groups: Sequence[Group]) -> list[StockRow]:
        """Takes fish out of a tank's stock, or reads rows of its own."""
        if ("fish" in row) == ("stock" in row):
            row.problem(
                "fish",
                found=OwnWords("it has both fish and stock" if "fish" in row else "it has no fish"),
                allowed="fish, which of those in the tank of now, or stock, rows as of a scenario file",
            )
            return []
        if "stock" in row:
            return self._own_stock(row)
        if now is None:
            if "now" not in row:
                row.problem("fish", allowed="it beside now, the tank these fish are in; or stock")
            return []
        said = row.raw("fish")
        there = self.tanks[now]
        if not there.good:
            return []
        for text in [said] if isinstance(said, str) else said if isinstance(said, list) else [None]:
            if not isinstance(text, str) or not text.strip():
                row.problem("fish", allowed='fish of that tank: "duboisi females", or a list of such')
                continue
            self._take(row, text, there, number, groups)
        return []

    def _take(self, row: Table, text: str, there: Stocked, number: int, groups: Sequence[Group]) -> None:
        try:
            fish = fish_said(text, stock=there.rows, species=self.names.species)
        except NobodyError as error:
            row.problem("fish", found=error.found, allowed=error.allowed, nearest=error.hint)
            return
        for one in fish.people:
            if there.taken.setdefault(one.label, number) != number:
                other = groups[there.taken[one.label]].name
                found = Shown(f'{show(text)}, and {one.label} is in "{other}" already')
                row.problem("fish", found=found, allowed="fish that are in no other group")
                return

    def _own_stock(self, row: Table) -> list[StockRow]:
        longest = max((one.tank.spec for one in self.tanks), key=lambda one: one.length_cm, default=_ANY_TANK)
        read = [check_row(one, self.names, longest) for one in read_rows(stock_rows(row))]
        if not read:
            row.problem("stock", allowed="at least one row with a species and how many")
        if any(one is not None and (one.day > 0 or one.out_day is not None) for one in read):
            row.problem("stock", found=OwnWords("a row has a date"), allowed=_DATED)
        return [part for one in read if one is not None for part in sex_by_sex(one)]

    def _tank_named(self, row: Table, key: str, value: object) -> int | None:
        names = [one.tank.name for one in self.tanks]
        for k, name in enumerate(names):
            if isinstance(value, str) and value.strip().casefold() == name.casefold():
                return k
        near = hint_at(value, names) if isinstance(value, str) else ""
        row.problem(key, found=value, allowed=f"a tank of the room: {', '.join(names)}", nearest=near)
        return None


_ANY_TANK = TankSpec(length_cm=400.0, width_cm=150.0, height_cm=120.0, water_cm=117.0)


def stock_rows(row: Table) -> list[Table]:
    """The tables under ``stock``, read within the limits of a scenario's."""
    rows = row.rows("stock")
    for one in rows:
        one.like = "stock"
    return rows


def whole(row: Table, key: str, limit: Limit, default: int) -> int:
    """A whole number within a limit; the default where it is absent or bad."""
    if key not in row:
        return default
    value = row.raw(key)
    if isinstance(value, int) and not isinstance(value, bool) and limit.holds(value):
        return value
    row.problem(key, allowed=limit.say())
    return default


def _name_of(row: Table, taken: dict[str, int], number: int) -> str:
    """A name that no other table of its kind has."""
    name = row.text("name", default=None, longest=limits.LONGEST_NAME)
    if name and taken.setdefault(name.casefold(), number) != number:
        row.problem("name", allowed="another name: two are called so")
    return name
