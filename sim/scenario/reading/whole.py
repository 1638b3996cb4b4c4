"""A whole scenario file: text in, a checked Scenario or every problem at once out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...species.species import Species
from ..scenario import Scenario
from ..timeline import timeline_of
from . import limits
from .alternatives import Base, read_alternatives
from .events import EVENT, StockedFish, check_events, read_events
from .files import UnreadableError, one_problem, read_bytes
from .kinds import Names, read_own_species
from .problems import Book, OwnWords, Place, ScenarioError
from .rock import read_rock
from .run import read_parameters, read_run
from .stock import Asked, check_stay, check_stock, read_rows
from .stocklist import decode, read_list
from .tables import Table
from .tank import check_units, read_tank
from .toml import read_file, read_toml
from .wanted import read_wanted

if TYPE_CHECKING:
    from ...rules.support.parameters import Parameter

MOST_PATH = 400  # characters of the path of a stock list


@dataclass(frozen=True)
class _Beside:
    """What a scenario refers to outside its own text."""

    folder: Path | None
    stock_list_text: str | None
    fishless: bool = False  # no fish are needed


def load(
    path: str | Path,
    *,
    library: Mapping[str, Species] | None = None,
    parameters: Mapping[str, Parameter] | None = None,
    fishless: bool = False,
) -> Scenario:
    """Read and check a scenario file; a stock list it names is looked for beside it. See :func:`parse`."""
    path = Path(path)
    text = read_file(path)
    beside: dict[str, Any] = {"name": path.name, "folder": path.parent, "fishless": fishless}
    return parse(text, library=library, parameters=parameters, **beside)


def parse(
    text: str,
    *,
    name: str,
    folder: Path | None = None,
    stock_list_text: str | None = None,
    library: Mapping[str, Species] | None = None,
    parameters: Mapping[str, Parameter] | None = None,
    fishless: bool = False,
) -> Scenario:
    """Check the text of a scenario.

    Parameters
    ----------
    text : TOML.
    name : what messages call it; its stem is the title of a scenario without one.
    folder : where a stock list is looked for; None: only ``stock_list_text`` can give one.
    stock_list_text : the stock list itself, as a recipe keeps it; then no file is read.
    library, parameters : instead of the project's own species and parameters.
    fishless : whether a tank without fish will do; it cannot be run.

    Raises
    ------
    ScenarioError
        With every problem of the text.
    """
    text = text.removeprefix("\ufeff")
    values, lines = read_toml(text, name)
    if not values:
        allowed = "a scenario with at least [tank] and [[stock]]"
        raise one_problem(name, None, "file", "it is empty", allowed)
    if isinstance(values.get("tank"), list) and "group" in values:
        allowed = "one [tank]; a room of several tanks is read by rockshy place alone"
        raise one_problem(name, lines.get(("tank", 0)), "tank", "there is more than one", allowed)
    beside: dict[str, Any] = {"folder": folder, "stock_list_text": stock_list_text, "fishless": fishless}
    scenario = check(values, name=name, library=library, parameters=parameters, lines=lines, **beside)
    others = tuple(replace(one, scenario=replace(one.scenario, text=text)) for one in scenario.alternatives)
    return replace(scenario, text=text, alternatives=others)


def check(
    values: Mapping[str, object],
    *,
    name: str,
    folder: Path | None = None,
    stock_list_text: str | None = None,
    library: Mapping[str, Species] | None = None,
    parameters: Mapping[str, Parameter] | None = None,
    lines: Mapping[Place, int] | None = None,
    fishless: bool = False,
) -> Scenario:
    """Check the values that tomllib reads of a text, as :func:`parse` does.

    ``lines`` has the line of each place of the text; without it problems name none.
    """
    book = Book(lines or {})
    names = Names(_own_library() if library is None else library)
    beside = _Beside(folder, stock_list_text, fishless)
    known = _own_parameters if parameters is None else (lambda: parameters)
    scenario = _assemble(Table(values, place=(), book=book), name, names, beside, known)
    if book.problems:
        raise ScenarioError(name, book.problems)
    return scenario


def _assemble(
    table: Table, name: str, names: Names, beside: _Beside, known: Callable[[], Mapping[str, Parameter]]
) -> Scenario:
    """Read every table; the result means something only when no problem was noted."""
    title = table.text("title", default=Path(name).stem or name, longest=limits.LONGEST_TITLE)
    question = table.text("question", default="", longest=limits.LONGEST_QUESTION)
    argument = _read_argument(table)
    check_units(table.table("tank"))
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
    wanted = read_wanted(table.table("wanted"), names, tank, stock) if "wanted" in table else None
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
        wanted=wanted,
    )
    timeline = timeline_of(
        stock if stock_good else (), scenario.events, rock=rock, tank=tank, lit_hours=run.lit_hours
    )
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
    allowed = "[[stock]] tables, or stock_list with the name of a CSV file"
    if "wanted" in table:
        allowed += " (rockshy best chooses fish from [wanted] without them)"
    if "stock_list" not in table:
        if "stock" not in table and not beside.fishless:
            table.problem("stock", allowed=allowed)
        elif not rows and isinstance(table.raw("stock"), list):
            table.problem("stock", allowed=allowed, found=OwnWords("there are no fish"))
        return _few_rows(rows, table), ""
    if "stock" in table:
        table.problem("stock_list", allowed=f"{allowed}, not both")
        return _few_rows(rows, table), ""
    file = table.text("stock_list", default=None, longest=MOST_PATH)
    if not file:
        return [], ""
    text = _list_text(table, file, beside)
    if text is None:
        return [], ""
    return read_list(text, file=Path(file).name, problems=table.book.problems), text


def _few_rows(rows: Sequence[Table], table: Table) -> list[Asked]:
    """The rows, as many as a tank can have fish."""
    if len(rows) > limits.MOST_FISH:
        found = OwnWords(f"there are {len(rows)} rows")
        table.problem("stock", allowed=f"at most {limits.MOST_FISH}, each with its fish", found=found)
    return read_rows(rows[: limits.MOST_FISH])


def _list_text(table: Table, file: str, beside: _Beside) -> str | None:
    """Text of the stock list; None after a problem."""
    if beside.stock_list_text is not None:
        return beside.stock_list_text
    if beside.folder is None:
        allowed = "[[stock]] tables: this text was not read from a file, so no stock list can lie beside it"
        table.problem("stock_list", allowed=allowed)
        return None
    try:
        return decode(read_bytes(beside.folder / file, "csv"))
    except UnreadableError as error:
        table.problem("stock_list", found=error.found, allowed=error.allowed, nearest=error.hint)
    except UnicodeError:
        allowed = "a CSV file in UTF-8 or Windows-1252"
        table.problem("stock_list", found=OwnWords("its encoding is not known"), allowed=allowed)
    return None


def _own_library() -> Mapping[str, Species]:
    from ...species.species import library

    return library()


def _own_parameters() -> Mapping[str, Parameter]:
    from ...rules.support.parameters import load as load_parameters

    return load_parameters()
