"""Reading a tally back: every problem at once, each with its line and column; nothing is guessed silently."""

from __future__ import annotations

import math
import os
import re
from collections import Counter
from pathlib import Path

from ....sim.fish.population import individuals
from ....sim.scenario.hints import hint_at
from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.reading.files import UnreadableError, one_problem, read_bytes
from ....sim.scenario.reading.limits import LONGEST_NAME
from ....sim.scenario.reading.problems import NOTHING, Problem, Shown, listed, show
from ....sim.scenario.reading.stocklist import decode
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.units import UnitError, number
from ...measures.whom import FishGroupError, said_of
from .cells import Row, read_cells
from .ethogram import ACTS, EVERY_PLACE, SIDE_SPELLINGS, SIDES
from .scale import sides_of, stock_of
from .tally import Acts, Look, Tally, Watch, Who

SESSION, ACT, PLACE, TANK = "session", "act", "place", "tank"
_ROWS = {SESSION: SESSION, "watch": SESSION, ACT: ACT, "acts": ACT, "event": ACT, PLACE: PLACE, "scan": PLACE}
_ROWS |= {"look": PLACE, "looks": PLACE, TANK: TANK}
BOTH = "places and acts"
_NOTED = {
    **dict.fromkeys(
        ("", BOTH, "acts and places", "both", "places and chases", "looks and chases"), (True, True)
    ),
    **dict.fromkeys(("acts", "chases", "acts only", "chases only"), (True, False)),
    **dict.fromkeys(("places", "looks", "places only", "looks only"), (False, True)),
}  # whether acts, and whether places, were to be noted
_UNKNOWN = ("?", "unknown", "not known", "unsure")
_WHOLE = ("", "whole tank", "the whole tank", "whole", "all", "all fish", "tank", "-")
LONGEST_WATCH = 120.0  # min
MOST_ACTS = 999  # in one row
UNKNOWN_NAME = "a fish not made out"
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_CLOCK_WITH_HOURS = re.compile(r"(\d{1,2}):([0-5]\d):([0-5]\d)")
_TIME = re.compile(r"(\d{1,2})[:.]([0-5]\d)(?:[:.][0-5]\d)? ?(am|pm)?")
_ACT_OF = {word: one.name for one in ACTS for word in (one.name, *one.spellings)}
_PLACE_OF = {word: one.name for one in EVERY_PLACE for word in (one.name, *one.spellings)}
_CODE_OF = {one.code.lower(): one.name for one in EVERY_PLACE if one.code}
_SIDE_OF = {**{name: name for name in SIDES}, **SIDE_SPELLINGS}
_SIDE_CODE = {code: name for name, code in SIDES.items()}
_PLACES_ALLOWED = (
    f"one of {', '.join(one.name for one in EVERY_PLACE)}, with {', '.join(SIDES)} or without, or the two "
    f"letters of the sheet ({', '.join(one.code for one in EVERY_PLACE if one.code)} after "
    f"{', '.join(SIDES.values())}), such as left rock or lR"
)


def load_tally(path: str | os.PathLike[str], scenario: Scenario) -> Tally:
    """Read and check a tally of a scenario's tank; raises ScenarioError with every problem of the file."""
    path = Path(path)
    also = ", in UTF-8 or Windows-1252"
    try:
        text = decode(read_bytes(path, "csv", also=also))
    except UnreadableError as error:
        raise error.of(path) from None
    except UnicodeError:
        found = "a file in another encoding"
        raise one_problem(path.name, None, "file", found, f"a CSV file{also}") from None
    return parse_tally(text, scenario, name=path.name or str(path))


def parse_tally(text: str, scenario: Scenario, *, name: str) -> Tally:
    """Check the text of a tally, see :mod:`.cells`; messages call it ``name``.

    Raises ScenarioError with every problem of the text.
    """
    problems: list[Problem] = []
    rows = read_cells(text, problems)
    reader = _Reader(scenario)
    for row in rows:
        reader.read(row)
    if rows or not problems:
        reader.check(rows)
    problems += reader.problems
    if problems:
        raise ScenarioError(name, problems)
    return Tally(name, tuple(reader.watches.values()), tuple(reader.acts), tuple(reader.looks))


class _Reader:
    """Takes row after row; problems go to the rows' own list, those between rows to ``problems``."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.everybody = frozenset(one.label for one in individuals(scenario.stock))
        self.known: dict[str, Who | FishGroupError] = {}
        self.watches: dict[str, Watch] = {}
        self.acts: list[Acts] = []
        self.looks: list[Look] = []
        self.line_of: dict[object, int] = {}
        self.tried: dict[str, None] = {}  # watches with a session row, good or not
        self.problems: list[Problem] = []

    def read(self, row: Row) -> None:
        kind = _ROWS.get(row.get("row").lower())
        if kind is None:
            near = hint_at(row.get("row"), _ROWS) if row.get("row") else _likely(row)
            row.problem("row", allowed=f"{SESSION}, {ACT} or {PLACE}", nearest=near)
            return
        if kind == TANK:
            self._check_tank(row)
            return
        watch = re.sub(r"^watch\s*", "", row.get("watch").lower()).removesuffix(".0") or "1"
        if len(watch) > LONGEST_NAME:
            row.problem("watch", allowed="the number of the watch, such as 1")
            return
        before = len(row.problems)
        read = {SESSION: self._session, ACT: self._act, PLACE: self._look}[kind]
        made = read(row, watch)
        if made is None or len(row.problems) > before:
            return
        self.line_of[id(made)] = row.line
        if isinstance(made, Watch):
            self.watches[watch] = made
        elif isinstance(made, Acts):
            self.acts.append(made)
        else:
            self.looks.append(made)

    def _session(self, row: Row, watch: str) -> Watch | None:
        if watch in self.tried:
            row.problem("watch", allowed=f"one session row for watch {watch}: there is one already")
        self.tried[watch] = None
        minutes = _number(row, "minutes", 1.0, LONGEST_WATCH, "minutes the watch lasted")
        watched = None
        if row.get("watched").lower() not in _WHOLE:
            watched = self._who(row, "watched")
        noted = row.get("noted").lower()
        if noted not in _NOTED:
            row.problem("noted", allowed=f"{BOTH}, places or acts", nearest=hint_at(noted, _NOTED))
        acts, places = _NOTED.get(noted, (True, True))
        said = row.get("date"), row.get("start"), row.get("note")
        return Watch(watch, minutes, watched, *said, acts, places, _hour(row))

    def _check_tank(self, row: Row) -> None:
        """The tank that the blank was made for is this one."""
        if row.get("note").lower() != tank_said(self.scenario).lower():
            row.problem("note", allowed=f"a tally of this tank: {tank_said(self.scenario)}")

    def _act(self, row: Row, watch: str) -> Acts | None:
        if not any(row.get(name) for name in ("chaser", "chased", "act", "count", "minute", "note")):
            return None  # a line of the blank that was left as it is
        act = _ACT_OF.get(row.get("act").lower().replace("_", " "), "")
        if not act:
            names = [one.name for one in ACTS]
            row.problem("act", allowed=", ".join(names), nearest=hint_at(row.get("act"), _ACT_OF))
        chaser, chased = self._who(row, "chaser"), self._who(row, "chased")
        if chaser.is_one and chaser == chased:
            row.problem("chased", allowed="a fish other than the chaser")
        return Acts(watch, act, chaser, chased, _count(row), _minute(row, needed=False))

    def _look(self, row: Row, watch: str) -> Look | None:
        if not row.get("place"):
            return None  # this fish was not noted then
        found = _place(row.get("place"))
        if found is None:
            row.problem("place", allowed=_PLACES_ALLOWED, nearest=hint_at(row.get("place"), _PLACE_OF))
        fish = self._who(row, "fish")
        count = _count(row)
        if not row.get("count") and not fish.is_one and fish.name:
            row.problem("count", allowed=f"how many of the {len(fish.labels)} {fish.name} were there")
        if count > len(fish.labels):
            row.problem("count", allowed=f"at most {len(fish.labels)}, the number of {fish.name}")
        minute = _minute(row, needed=True)
        place, side = found or ("", "")
        return Look(watch, math.nan if minute is None else minute, fish, count, place, side)

    def _who(self, row: Row, column: str) -> Who:
        """The fish of a cell; everybody after a problem, which is noted."""
        text = row.get(column)
        if column in ("chaser", "chased") and text.lower() in _UNKNOWN:
            return Who(UNKNOWN_NAME, self.everybody)
        if text not in self.known:
            self.known[text] = self._find(text)
        found = self.known[text]
        if isinstance(found, Who):
            return found
        shown = found.found if text else NOTHING
        row.problem(column, allowed=found.allowed, found=shown, nearest=found.hint)
        return Who("", self.everybody)

    def _find(self, text: str) -> Who | FishGroupError:
        try:
            said = said_of(self.scenario, text[: 2 * LONGEST_NAME])
        except FishGroupError as error:
            return error
        return Who(said.name, frozenset(one.label for one in said.people))

    def check(self, rows: list[Row]) -> None:
        """What can be told only when all rows are read."""
        if not rows:
            self.problems.append(Problem(None, "rows", "there are none", "a session row and what was seen"))
        elif not self.tried:
            allowed = "one for each watch, with its minutes"
            self.problems.append(Problem(None, "rows", "there is no session row", allowed))
        seen: list[Acts | Look] = [*self.acts, *self.looks]
        for one in seen:
            self._check_time(one)
        for act in self.acts:
            self._check_watched(act)
        self._check_looks()

    def _check_time(self, one: Acts | Look) -> None:
        watch = self.watches.get(one.watch)
        line = self.line_of[id(one)]
        if watch is None:
            if self.tried and one.watch not in self.tried:
                allowed = f"a watch with a session row: {listed(list(self.tried))}"
                self.problems.append(Problem(line, "column watch", show(one.watch), allowed))
        elif one.minute is not None and not 0 <= one.minute <= watch.minutes:
            allowed = f"0 to {watch.minutes:g}, the minutes of watch {watch.name}"
            self.problems.append(Problem(line, "column minute", Shown(f"{one.minute:g}"), allowed))

    def _check_watched(self, act: Acts) -> None:
        watch = self.watches.get(act.watch)
        if watch is not None and not watch.acts and act.count:
            self._check_noted(
                act, "there are acts", f"none in watch {watch.name}, for which only places were noted"
            )
        if watch is None or watch.watched is None:
            return
        if not (watch.covers(act.chaser.labels) or watch.covers(act.chased.labels)):
            allowed = f"acts that {watch.watched.name} gives or gets: watch {watch.name} is of it alone"
            found = f"{act.chaser.name} and {act.chased.name}"
            self.problems.append(Problem(self.line_of[id(act)], "columns chaser and chased", found, allowed))

    def _check_noted(self, one: Acts | Look, found: str, allowed: str) -> None:
        self.problems.append(Problem(self.line_of[id(one)], "column noted", found, allowed))

    def _check_looks(self) -> None:
        """None where none was noted, and no more fish at one moment than there are."""
        seen: Counter[tuple[str, float, frozenset[str]]] = Counter()
        for look in self.looks:
            watch = self.watches.get(look.watch)
            if watch is not None and not watch.places:
                allowed = f"none in watch {watch.name}, for which only acts were noted"
                self._check_noted(look, "there is a place", allowed)
            key = (look.watch, look.minute, look.fish.labels)
            seen[key] += look.count
            if seen[key] > len(look.fish.labels):
                found = f"{look.fish.name} {seen[key]} times in watch {look.watch} at minute {look.minute:g}"
                allowed = f"at most {len(look.fish.labels)} at one moment"
                place = self.line_of[id(look)], "columns fish and count"
                self.problems.append(Problem(*place, found, allowed))


def tank_said(scenario: Scenario) -> str:
    """Stock and glass in one line, as a blank carries it."""
    glass = " x ".join(f"{side:g}" for side in sides_of(scenario))
    return f"{'; '.join(stock_of(scenario))}; {glass} cm"


def _hour(row: Row) -> float | None:
    """Hours from light to watch; None where it is not noted when the light came on."""
    if not row.get("light"):
        return None
    times = []
    for name in ("light", "start"):
        found = _TIME.fullmatch(row.get(name).lower())
        if found is None or int(found[1]) > 23:
            row.problem(name, allowed="a time of day such as 9:30 or 18:00, as for the lights")
            return None
        half = {"pm": 12, "am": 0}.get(found[3], 0)
        times.append((int(found[1]) % 12 + half if found[3] else int(found[1])) + int(found[2]) / 60)
    return (times[1] - times[0]) % 24


def _likely(row: Row) -> str:
    """What a row without a kind probably is, as a hint; it is not taken for it."""
    if row.get("chaser") or row.get("chased"):
        return ACT
    return PLACE if row.get("place") else SESSION if row.get("minutes") else ""


def _number(row: Row, name: str, low: float, high: float, meaning: str) -> float:
    """A number within limits; nan after a problem."""
    try:
        value = number(row.get(name))
    except UnitError:
        value = math.nan
    if low <= value <= high:
        return value
    row.problem(name, allowed=f"{meaning}, a number from {low:g} to {high:g}")
    return math.nan


def _count(row: Row) -> int:
    """A whole number, 1 when blank: then the row is one act or one fish."""
    if not row.get("count"):
        return 1
    value = _number(row, "count", 0, MOST_ACTS, "a whole number")
    if math.isnan(value):
        return 0
    if value != int(value):
        row.problem("count", allowed=f"a whole number from 0 to {MOST_ACTS}")
    return int(value)


def _minute(row: Row, *, needed: bool) -> float | None:
    """Minutes since the watch began, from "2.5", "2,5" or "2:30"."""
    text = row.get("minute")
    if not text and not needed:
        return None
    clock = _CLOCK.fullmatch(text)
    if clock:
        return int(clock[1]) + int(clock[2]) / 60
    near = ""
    if with_hours := _CLOCK_WITH_HOURS.fullmatch(text):  # what a spreadsheet makes of 2:30
        near = f"{int(with_hours[1])}:{with_hours[2]}"
    else:
        try:
            return number(text)
        except UnitError:
            pass
    allowed = "minutes since the watch began, such as 2.5 or 2:30 (as text in a spreadsheet)"
    row.problem("minute", allowed=allowed, nearest=near)
    return None


def _place(text: str) -> tuple[str, str] | None:
    """Place and side; None when it cannot be told."""
    plain = " ".join(text.lower().replace("/", " ").replace(",", " ").split())
    if plain in _PLACE_OF:
        return _PLACE_OF[plain], ""
    if len(plain) == 2 and plain[0] in _SIDE_CODE and plain[1] in _CODE_OF:
        return _CODE_OF[plain[1]], _SIDE_CODE[plain[0]]
    if len(plain) == 1 and plain in _CODE_OF and plain not in _SIDE_CODE:
        return _CODE_OF[plain], ""
    words = plain.split()
    for k in (0, -1):
        rest = words[1:] if k == 0 else words[:-1]
        if words and words[k] in _SIDE_OF and " ".join(rest) in _PLACE_OF:
            return _PLACE_OF[" ".join(rest)], _SIDE_OF[words[k]]
    return None
