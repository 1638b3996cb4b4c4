"""Which amounts of rock are tried: covers, heights or numbers of piles, alone or two at once.

Everything else is the keeper's. With more cover each trial keeps its stones and adds to them; with more
height the same stones stand higher; with another number of piles they stand elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ....sim.scenario.reading.limits import BELOW_SURFACE_CM, LEAST_WATER, LIMITS
from ....sim.scenario.reading.rock import water_left
from ....sim.scenario.scenario import RockSpec, Scenario
from ....sim.scenario.units import say_length_cm
from ...document.plain import between, many, percent

COVER, HEIGHT, PILES = "cover", "height", "piles"
AXES = (COVER, HEIGHT, PILES)

# What is tried on a line of its own and, coarser, on a side of a map: assumptions.
COVERS = {1: tuple(k / 10 for k in range(9)), 2: (0.0, 0.15, 0.3, 0.45, 0.6, 0.75)}
HEIGHTS = {1: tuple(k / 8 for k in range(9)), 2: (0.25, 0.5, 0.75, 1.0)}  # of the depth of the water
PILE_COUNTS = {1: (1, 2, 3, 4, 5, 6, 8), 2: (1, 2, 4, 6)}
APART = {  # nearer to the keeper's own amount nothing else is tried; heights as a share of the water's depth
    1: {COVER: 0.035, HEIGHT: 0.035, PILES: 0.0},
    2: {COVER: 0.076, HEIGHT: 0.126, PILES: 0.0},
}
STRIP_PIECES = 2.0  # a pile needs a strip of the tank this many pieces long


class GridError(ValueError):
    """This scenario cannot be swept; the message says what was found and what is allowed."""


@dataclass(frozen=True)
class Axis:
    """What is varied along one side: cover (share of the floor), height (cm) or piles."""

    name: str
    values: tuple[float, ...]  # ascending
    own: float | None  # the keeper's own amount; None where he has no rock to speak of

    def say(self, value: float) -> str:
        """``"40 %"``, ``"30 cm (11.8 in)"``, ``"2 piles"``."""
        return SAY[self.name](value)

    def short(self, value: float) -> str:
        """``"40 %"``, ``"30 cm"``, ``"2 piles"``."""
        return f"{value:g} cm" if self.name == HEIGHT else self.say(value)

    @property
    def title(self) -> str:
        """What the amounts are of."""
        return TITLES[self.name]


SAY: dict[str, Callable[[float], str]] = {
    COVER: percent,
    HEIGHT: say_length_cm,
    PILES: lambda value: many(round(value), "pile"),
}
AFTER = {COVER: " of the floor", HEIGHT: " high", PILES: ""}
TITLES = {COVER: "share of the floor under rock", HEIGHT: "height of the rock", PILES: "number of piles"}


@dataclass(frozen=True)
class Point:
    """One amount of rock."""

    values: tuple[float, ...]  # one for each axis
    scenario: Scenario
    own: bool  # the keeper's tank as it is


@dataclass(frozen=True)
class Grid:
    """All amounts tried. ``lines`` are the places of the points along the first axis, one line a value of the
    second; bare tanks belong to every line."""

    axes: tuple[Axis, ...]
    points: tuple[Point, ...]
    lines: tuple[tuple[int, ...], ...]
    remarks: tuple[str, ...]  # what was assumed or left out, to be said

    @property
    def own(self) -> int | None:
        """Place of the keeper's own amount, where it is among the points."""
        return next((k for k, point in enumerate(self.points) if point.own), None)

    def say(self, place: int) -> str:
        """``"40 % of the floor"``; with two things varied ``"40 % of the floor, 30 cm (11.8 in) high"``."""
        point = self.points[place]
        if is_bare(point.scenario.rock):
            return "no rock"
        parts = zip(self.axes, point.values, strict=True)
        return ", ".join(f"{axis.say(value)}{AFTER[axis.name]}" for axis, value in parts)

    def along(self, place: int) -> str:
        """``"40 % of the floor"``: by the first axis alone."""
        point, axis = self.points[place], self.axes[0]
        if is_bare(point.scenario.rock):
            return "no rock"
        return f"{axis.say(point.values[0])}{AFTER[axis.name]}"

    def span(self, low: int, high: int) -> str:
        """``"40 to 60 %"``: from one amount to another of the same line, by the first axis alone."""
        first, last = (self.points[place] for place in (low, high))
        if low == high or not is_bare(first.scenario.rock):
            return between([first.values[0], last.values[0]], self.axes[0].short)
        return f"no rock to {self.axes[0].short(last.values[0])}"

    def short(self, place: int) -> str:
        """``"40 %"``, ``"40 %, 30 cm"``; for tables."""
        point = self.points[place]
        if is_bare(point.scenario.rock):
            return "no rock"
        return ", ".join(axis.short(value) for axis, value in zip(self.axes, point.values, strict=True))


def grid_of(
    scenario: Scenario, *, names: Sequence[str] = (COVER,), fits: Callable[[Scenario], bool] | None = None
) -> Grid:
    """The amounts to try for a scenario.

    Parameters
    ----------
    scenario : the keeper's tank.
    names : one or two of AXES; the first lies along the bottom.
    fits : whether an amount leaves water to swim in, besides the share that must be left; amounts that do not
        are left out.

    Raises
    ------
    GridError
        For a sketch or listed crevices, which fix the rock, or where there is nothing to vary.
    """
    if not 1 <= len(names) <= 2 or len(set(names)) != len(names) or not set(names) <= set(AXES):
        raise ValueError(f"names are {list(names)}; use one or two different ones of {list(AXES)}")
    _check(scenario, names)
    base, remarks = _with_rock(scenario, names)
    axes = tuple(_axis(base, name, sides=len(names), bare=scenario.rock.cover == 0) for name in names)
    points: list[Point] = []
    lines = []
    dropped = cramped = 0
    for other in axes[1].values if len(axes) == 2 else (None,):
        line = []
        for value in axes[0].values:
            values = (value,) if other is None else (value, other)
            rock = _rock(base.rock, names, values)
            tried = replace(base, rock=rock)
            if water_left(rock, base.tank) < LEAST_WATER:
                dropped += 1
                continue
            if fits is not None and not fits(tried):
                cramped += 1
                continue
            own = rock == scenario.rock or (is_bare(rock) and is_bare(scenario.rock))
            line.append(_place(points, Point(values, tried, own)))
        lines.append(tuple(line))
    if dropped:
        share = percent(LEAST_WATER)
        remarks = [
            *remarks,
            f"Left out: {many(dropped, 'amount')} that would leave under {share} of the water.",
        ]
    if cramped:
        remarks = [
            *remarks,
            f"Left out: {many(cramped, 'amount')} that would leave hardly any water in some simulated tank.",
        ]
    return Grid(axes, tuple(points), tuple(lines), tuple(remarks))


def is_bare(rock: RockSpec) -> bool:
    """Whether there is no rock at all."""
    return rock.sketch is None and (rock.cover == 0 or rock.height_cm == 0)


def _check(scenario: Scenario, names: Sequence[str]) -> None:
    rock = scenario.rock
    if rock.sketch is not None:
        digits = [int(digit) for row in rock.sketch for digit in row]
        covered = sum(digit > 0 for digit in digits) / len(digits)
        highest = max(digits) * rock.sketch_step_cm
        raise GridError(
            "rock.sketch says where each stone stands, so there cannot be more or less of it; use "
            f'cover = "{percent(covered)}", height = "{highest:g} cm" and piles = a number instead, which is '
            "as much as the sketch has"
        )
    if rock.crevices is not None:
        raise GridError(
            f"rock.crevice: the file lists {many(len(rock.crevices), 'crevice')}, which would stay as they "
            "are whatever the rock; use none, and they are drawn for each amount"
        )
    if COVER not in names and rock.cover == 0:
        raise GridError(
            f"--{names[0]}: this tank has no rock (rock.cover is 0); use a cover above 0, or --cover as well"
        )


def _with_rock(scenario: Scenario, names: Sequence[str]) -> tuple[Scenario, list[str]]:
    """The scenario with a height where there is none, and what has to be said of that."""
    rock = scenario.rock
    if rock.height_cm > 0 or HEIGHT in names:
        return scenario, []
    height = scenario.tank.water_cm - BELOW_SURFACE_CM
    said = (
        f"Your tank has no rock, so no height either: {say_length_cm(height)} was taken, "
        f"{say_length_cm(BELOW_SURFACE_CM)} below the surface (common practice; assumption); name another "
        "with rock.height."
    )
    return replace(scenario, rock=replace(rock, height_cm=height)), [said]


def _axis(scenario: Scenario, name: str, *, sides: int, bare: bool) -> Axis:
    rock, tank = scenario.rock, scenario.tank
    wanted: list[float]
    if name == COVER:
        own, wanted = rock.cover, list(COVERS[sides])
    elif name == HEIGHT:
        own = rock.height_cm
        wanted = [float(round(share * tank.water_cm)) for share in HEIGHTS[sides]]
    else:
        own = float(rock.piles)
        longest = min(LIMITS["rock.piles"].high, tank.length_cm / (STRIP_PIECES * rock.piece_cm))
        wanted = [float(count) for count in PILE_COUNTS[sides] if count <= max(1.0, longest)]
    if name != COVER and bare:
        return Axis(name, tuple(wanted), None)
    apart = APART[sides][name] * (tank.water_cm if name == HEIGHT else 1.0)
    kept = [value for value in wanted if abs(value - own) > apart or (value == 0.0 and own > 0)]
    return Axis(name, tuple(sorted({*kept, own})), own)


def _rock(rock: RockSpec, names: Sequence[str], values: Sequence[float]) -> RockSpec:
    """The rock at one point; without cover or without height there is none at all."""
    asked = dict(zip(names, values, strict=True))
    cover, height = asked.get(COVER, rock.cover), asked.get(HEIGHT, rock.height_cm)
    piles = round(asked.get(PILES, rock.piles))
    if cover == 0 or height == 0:
        return replace(rock, cover=0.0, height_cm=0.0, piles=1)
    return replace(rock, cover=cover, height_cm=height, piles=piles)


def _place(points: list[Point], new: Point) -> int:
    """Place of a point among those there are; the same rock is tried once, whatever line it is on."""
    for k, point in enumerate(points):
        if point.scenario.rock == new.scenario.rock:
            return k
    points.append(new)
    return len(points) - 1
