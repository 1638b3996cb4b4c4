"""A whole scenario file: text in, a checked Scenario or every problem at once out."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from ..scenario import Scenario
from ..species import Species
from ..timeline import timeline_of
from . import limits
from .alternatives import Base, read_alternatives
from .events import EVENT, StockedFish, check_events, read_events
from .kinds import Names, read_own_species
from .lines import line_numbers
from .problems import Book, Place, Problem, Said, ScenarioError, nearest, show
from .rock import read_rock
from .run import Range, read_parameters, read_run
from .stock import Asked, check_stay, check_stock, read_rows
from .stocklist import decode, read_list
from .tables import Table
from .tank import read_tank

_UNQUOTED = 'TOML: name = value; text in straight quotation marks, decimals with a point: length = "48 in"'
_LONG_NUMBER = re.compile(r"[0-9_]{1000,}")
MOST_PATH = 400  # characters of the path of a stock list


@dataclass(frozen=True)
class _Beside:
    """What a scenario refers to outside its own text."""

    folder: Path | None
    stock_list_text: str | None


def load(
    path: str | Path,
    *,
    library: Mapping[str, Species] | None = None,
    parameters: Mapping[str, Range] | None = None,
) -> Scenario:
    """Read and check a scenario file.

    Parameters
    ----------
    path
        The TOML file; a stock list it names is looked for beside it.
    library, parameters
        In the place of the project's own species and parameters.

    Raises
    ------
    ScenarioError
        With every problem of the file.
    """
    path = Path(path)
    text = _read_text(path)
    return parse(text, name=path.name, folder=path.parent, library=library, parameters=parameters)


def parse(
    text: str,
    *,
    name: str,
    folder: Path | None = None,
    stock_list_text: str | None = None,
    library: Mapping[str, Species] | None = None,
    parameters: Mapping[str, Range] | None = None,
) -> Scenario:
    """Check the text of a scenario.

    Parameters
    ----------
    text
        TOML.
    name
        What messages call it; its stem is the title of a scenario without one.
    folder
        Where a stock list is looked for; None: only ``stock_list_text`` can give one.
    stock_list_text
        The stock list itself, as a recipe keeps it; then no file is read.
    library, parameters
        In the place of the project's own species and parameters.

    Raises
    ------
    ScenarioError
        With every problem of the text.
    """
    text = text.removeprefix("\ufeff")
    values, lines = _read_toml(text, name)
    book = Book(lines)
    names = Names(_own_library() if library is None else library)
    beside = _Beside(folder, stock_list_text)
    known = _own_parameters if parameters is None else (lambda: parameters)
    scenario = _assemble(Table(values, place=(), book=book), name, names, beside, known)
    if book.problems:
        raise ScenarioError(name, book.problems)
    others = tuple(replace(one, scenario=replace(one.scenario, text=text)) for one in scenario.alternatives)
    return replace(scenario, text=text, alternatives=others)


def _assemble(
    table: Table, name: str, names: Names, beside: _Beside, known: Callable[[], Mapping[str, Range]]
) -> Scenario:
    """Read every table; the result means something only when no problem was noted."""
    title = table.text("title", default=Path(name).stem or name, longest=limits.LONGEST_TITLE)
    question = table.text("question", default="", longest=limits.LONGEST_QUESTION)
    argument = _read_argument(table)
    tank = read_tank(table.table("tank"))
    rock, anew = read_rock(table.table("rock"), tank)
    before = len(table.book.problems)
    read_own_species(table.table("species"), names)
    asked, list_text = _read_stock(table, beside)
    stock = check_stock(asked, names=names, tank=tank, book=table.book)
    stock_good = len(table.book.problems) == before
    stocked = dict.fromkeys(row.species for row in stock)
    run = read_run(table.table("run"), resolve=names.resolve, stocked=stocked)
    stocked_fish = StockedFish(stock, names.species) if stock_good else None
    events = read_events(table.rows(EVENT), stocked=stocked_fish)
    parameters = read_parameters(table.table("parameters"), known)
    scenario = Scenario(
        title=title,
        question=question,
        tank=tank,
        rock=rock,
        stock=stock,
        run=run,
        species={key: names.species[key] for key in stocked},
        parameters=parameters,
        stock_list_text=list_text,
        argument=argument,
        events=(*anew, *events),
    )
    timeline = timeline_of(stock if stock_good else (), scenario.events, rock=rock)
    check_events(timeline, table.book, place=())
    if not table.book.problems:
        check_stay(scenario, table.book)
    base = Base(scenario, anew, events, table, names, good=not table.book.problems, stock_good=stock_good)
    alternatives = read_alternatives(base)
    table.close()
    return replace(scenario, alternatives=alternatives)


def _read_argument(table: Table) -> tuple[str, str] | None:
    """What two camps of keepers say; None without it."""
    if "argument" not in table:
        return None
    own = table.table("argument")
    some = own.text("some_say", default=None, longest=limits.LONGEST_QUESTION)
    others = own.text("others_say", default=None, longest=limits.LONGEST_QUESTION)
    own.close()
    return some, others


def _read_stock(table: Table, beside: _Beside) -> tuple[list[Asked], str]:
    """The rows from the file itself or from the stock list it names, and the text of that list."""
    rows = table.rows("stock")
    allowed = "either [[stock]] tables or stock_list, the name of a CSV file"
    if "stock_list" not in table:
        if "stock" not in table:
            table.problem("stock", allowed=allowed)
        elif not rows and isinstance(table.raw("stock"), list):
            table.problem("stock", allowed=allowed, found=Said("no fish"))
        return read_rows(rows), ""
    if "stock" in table:
        table.problem("stock_list", allowed=f"{allowed}, not both")
        return read_rows(rows), ""
    file = table.text("stock_list", default=None, longest=MOST_PATH)
    if not file:
        return [], ""
    text = _list_text(table, file, beside)
    if text is None:
        return [], ""
    return read_list(text, file=Path(file).name, problems=table.book.problems), text


def _list_text(table: Table, file: str, beside: _Beside) -> str | None:
    """Text of the stock list; None after a problem."""
    if beside.stock_list_text is not None:
        return beside.stock_list_text
    if beside.folder is None:
        table.problem(
            "stock_list", allowed="[[stock]] tables: a text that lies in no folder has no file beside it"
        )
        return None
    try:
        return decode(_read_bytes(beside.folder / file, "csv"))
    except _UnreadableError as error:
        table.problem("stock_list", found=Said(error.found), allowed=error.allowed, nearest=error.nearest)
    except UnicodeError:
        allowed = "a CSV file in UTF-8 or Windows-1252"
        table.problem("stock_list", found=Said("a file in another encoding"), allowed=allowed)
    return None


class _UnreadableError(Exception):
    def __init__(self, found: str, allowed: str, nearest: str = "") -> None:
        super().__init__(found)
        self.found = found
        self.allowed = allowed
        self.nearest = nearest


def _read_bytes(path: Path, ending: str) -> bytes:
    """The bytes of an ordinary file of ordinary size."""
    allowed = f"a {ending.upper()} file of at most {limits.MOST_BYTES} bytes"
    try:
        if path.is_dir():
            raise _UnreadableError("a folder", allowed, _first(path, ending))
        if not path.exists():
            near = nearest(path.name, _siblings(path.parent, ending))
            raise _UnreadableError(f"no file {show(str(path))}", allowed, near)
        if not path.is_file():
            raise _UnreadableError("something that is no ordinary file", allowed)
        if path.stat().st_size > limits.MOST_BYTES:
            raise _UnreadableError(f"{path.stat().st_size} bytes", allowed)
        return path.read_bytes()
    except OSError as error:
        raise _UnreadableError(f"a file that cannot be read ({error.strerror})", allowed) from None


def _siblings(folder: Path, ending: str) -> list[str]:
    return sorted(one.name for one in folder.glob(f"*.{ending}")) if folder.is_dir() else []


def _first(folder: Path, ending: str) -> str:
    names = _siblings(folder, ending)
    return str(folder / names[0]) if names else ""


def _read_text(path: Path) -> str:
    try:
        data = _read_bytes(path, "toml")
    except _UnreadableError as error:
        raise _one(path.name or str(path), None, "file", error.found, error.allowed, error.nearest) from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _one(path.name, line, "file", "a byte that is not UTF-8", "text saved as UTF-8") from None


def _read_toml(text: str, name: str) -> tuple[dict[str, object], dict[Place, int]]:
    """Values of the TOML text, and the line of each."""
    try:
        values = tomllib.loads(text)
        if not values:
            raise _one(name, None, "file", "an empty file", "a scenario with at least [tank] and [[stock]]")
        return values, line_numbers(text)
    except tomllib.TOMLDecodeError as error:
        at = _line_of(str(error), text)
        rows = text.split("\n")
        found = f"{show(rows[at - 1].strip())} ({_reason(str(error))})"
        raise _one(name, at, "TOML", found, _UNQUOTED) from None
    except RecursionError:
        raise _one(name, None, "TOML", "lists nested too deep to read", _UNQUOTED) from None
    except ScenarioError:
        raise
    except ValueError:  # integers of more digits than Python converts
        long = _LONG_NUMBER.search(text)
        line = text.count("\n", 0, long.start()) + 1 if long else None
        raise _one(
            name, line, "TOML", "a number of thousands of digits", "numbers of ordinary size"
        ) from None


def _line_of(message: str, text: str) -> int:
    """Line of a TOML error; it names the place or the end of the document."""
    place = re.search(r"at line (\d+)", message)
    return int(place[1]) if place else text.rstrip().count("\n") + 1


def _reason(message: str) -> str:
    return re.sub(r" \(at [^)]*\)$", "", message)


def _one(name: str, line: int | None, key: str, found: str, allowed: str, near: str = "") -> ScenarioError:
    return ScenarioError(name, [Problem(line, key, found, allowed, near)])


def _own_library() -> Mapping[str, Species]:
    from ..species import library

    return library()


def _own_parameters() -> Mapping[str, Range]:
    from ..parameters import load as load_parameters

    return load_parameters()
