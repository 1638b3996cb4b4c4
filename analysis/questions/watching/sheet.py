"""What stands on the sheet for a stock, and the empty CSV to fill in at the computer."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass, replace

from ....sim.fish.population import Individual, individuals
from ....sim.scenario.called import shown_name
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.units import say_length_cm
from .cells import COLUMNS
from .ethogram import ACTS, EVERY_PLACE, LOOK_S, SIDES
from .reading import ACT, BOTH, PLACE, SESSION, TANK, tank_said

MOST_SINGLE = 14  # fish, all sexed, up to which each has a row and a column of its own
MOST_GROUPS = 20  # rows by species and sex up to which the sexes are told apart
EMPTY_ACTS = 30  # lines for acts in the blank
GAPS = (
    *("date", "began at", "light came on at", "last fed at", "temperature", "ammonia", "nitrite", "nitrate"),
    *("pH", "last water change", "new in the tank"),
)


@dataclass(frozen=True)
class Line:
    """One row, and one column, of the grids: a fish, or fish alike."""

    name: str  # as it may stand in a tally: "Tropheus duboisi females"
    species: str
    rest: str  # of the name: "female 2", "females", "" for the whole species
    fish: int
    typed: str = ""  # the common name that the keeper typed, "" where it is the scientific one


@dataclass(frozen=True)
class Sheet:
    """Everything on the sheet of one tank that differs from tank to tank."""

    title: str
    tank: str  # in words
    minutes: int
    lines: tuple[Line, ...]
    single: bool  # each line is one fish
    told: str = ""  # stock and glass, to know the tally by

    @property
    def fish(self) -> int:
        return sum(line.fish for line in self.lines)

    @property
    def scans(self) -> tuple[float, ...]:
        """Minutes of the looks over the tank."""
        return tuple((k + 1) * LOOK_S / 60 for k in range(round(self.minutes * 60 / LOOK_S)))


def sheet_of(scenario: Scenario, *, minutes: int = 10) -> Sheet:
    """The sheet for the stock of a scenario and a watch of so many minutes."""
    people = individuals(scenario.stock)
    single = len(people) <= MOST_SINGLE and all(one.sex != "unsexed" for one in people)
    lines = _grouped(people, by_sex=True)
    if single:
        lines = tuple(Line(one.label, one.species, f"{one.sex} {one.number}", 1) for one in people)
    if len(lines) > MOST_GROUPS and not single:
        lines = _grouped(people, by_sex=False)
    called = {key: shown_name(scenario, key) for key in {line.species for line in lines}}
    lines = tuple(replace(one, typed=called[one.species].replace(one.species, "")) for one in lines)
    tank = scenario.tank
    sides = " x ".join(say_length_cm(side) for side in (tank.length_cm, tank.width_cm, tank.height_cm))
    in_words = f"{sides}; {len(people)} fish"
    return Sheet(scenario.title, in_words, minutes, lines, single, tank_said(scenario))


def _grouped(people: list[Individual], *, by_sex: bool) -> tuple[Line, ...]:
    counts = Counter((one.species, one.sex if by_sex else "") for one in people)
    order = list(dict.fromkeys(one.species for one in people))
    lines = []
    for (species, sex), fish in sorted(counts.items(), key=lambda item: order.index(item[0][0])):
        rest = "unsexed" if sex == "unsexed" else sex if fish == 1 or not sex else f"{sex}s"
        lines.append(Line(f"{species} {rest}".strip(), species, rest, fish))
    return tuple(lines)


# --- the CSV --------------------------------------------------------------------

_EXPLAINED = (
    "A tally of: {title}",
    "Lines that begin with # are for you and are not read. Fill in with any spreadsheet and save as CSV.",
    "",
    f"Three kinds of row, named in the column row: {SESSION}, {PLACE}, {ACT}. Cells that a row does not need "
    f"stay empty. The row {TANK} says whose tally it is; leave it as it is.",
    f"{SESSION}: one for each watch: its number in the column watch, the minutes it lasted, and what you "
    f"noted in it: {BOTH}, or places, or acts. A watch without a chase counts too, where acts were noted. "
    "watched stays empty when you watched the whole tank, else the one fish you followed. light: when the "
    "light came on, and start when you began, such as 9:00 and 18:00, both or neither.",
    f"{PLACE}: where a fish was at a moment (minute, from the beginning of the watch). Of several alike: how "
    "many were there (count). out means seen, in neither hole nor corner; of several alike the rest are then "
    "taken for hidden. Rows without a place are not read.",
    f"{ACT}: who did it (chaser), to whom (chased), what (act), how often (count; empty: once); minute may "
    "stay empty. ? where you could not make the fish out.",
    "More watches: more rows, with 2, 3 ... in the column watch.",
    "",
    "Acts: {acts}",
    "Places: {places}; with {sides} before or without; or the letters of the sheet, such as lR",
    "Fish: {fish}. A species, its males or females, or one fish; any name of the species will do.",
)


def blank_text(sheet: Sheet) -> str:
    """The text of an empty tally: comments, a header, and rows to fill in."""
    told = {
        "title": " ".join(sheet.title.split()),
        "acts": ", ".join(one.name for one in ACTS),
        "places": ", ".join(one.name for one in EVERY_PLACE),
        "sides": ", ".join(SIDES),
        "fish": ", ".join(line.name for line in sheet.lines),
    }
    text = io.StringIO()
    for line in _EXPLAINED:
        text.write(f"# {line.format(**told)}".rstrip() + "\n")
    rows = csv.DictWriter(text, fieldnames=list(COLUMNS), lineterminator="\n")
    rows.writeheader()
    rows.writerow({"row": TANK, "note": sheet.told})
    rows.writerow({"watch": 1, "row": SESSION, "minutes": sheet.minutes, "noted": BOTH})
    rows.writerows(
        {"watch": 1, "row": PLACE, "fish": line.name, "minute": f"{minute:g}"}
        for minute in sheet.scans
        for line in sheet.lines
    )
    rows.writerows({"watch": 1, "row": ACT} for _ in range(EMPTY_ACTS))
    return text.getvalue()
