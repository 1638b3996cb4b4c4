"""What of a tank can be slid: how many fish of each row, rock and glass. All else must be as it was trained.

A :class:`Box` holds a tank and how far each of its sliders goes. Designs are tanks within the box, placed by
blocks as draws are (McKay1979); in each about half of the sliders stay where the tank itself has them, so
that what one of them does is met next to where the keeper is.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ....sim.rules.support.draws import placed
from ....sim.run.drawing import check_water
from ....sim.scenario import changes
from ....sim.scenario.hints import Refusal
from ....sim.scenario.reading.limits import BELOW_SURFACE_CM, LIMITS, MOST_CELLS, MOST_FISH
from ....sim.scenario.reading.said import SEX_OF
from ....sim.scenario.scenario import Scenario, StockRow
from ....sim.scenario.stock_changes import ChangeError
from ....sim.tank.tank import cell_counts
from ...document.plain import percent
from ...statistics.intervals import Floats
from ...study.recipe import scenario_digest

TOPS = (4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 120)  # where a slider of fish may end
ROOM = 1.5  # times as many fish as there are, and MORE, that it goes to at least
MORE = 2
SHORTER, LONGER = 0.6, 1.6  # times the length of the tank
NARROWER, WIDER = 0.75, 1.35
MOST_COVER = 0.9
LOWEST_CM = 5.0  # that rock goes down to
LEAST_COVER = 0.02  # less is none
STAYS = 0.5  # chance that a slider stays where it is
_TRIES = 20  # to place a tank that can be

Way = tuple[str, int | None]  # a field of the tank or rock; or of the row of a number
COVER: Way = ("cover", None)
HEIGHT: Way = ("height of rock", None)
LENGTH: Way = ("length_cm", None)
WIDTH: Way = ("width_cm", None)
_CALLED = {
    COVER: "share of the floor under rock",
    HEIGHT: "height of the rock",
    LENGTH: "length of the tank",
    WIDTH: "tank from front to back",
}


class OutsideError(Refusal):
    """A tank of which nothing can be foretold: another than those that were run, in what it says."""


@dataclass(frozen=True)
class Slider:
    """One number of a tank, and how far it goes."""

    name: str  # by which tanks are placed
    way: Way
    low: float
    high: float
    own: float  # where the tank has it

    def place(self, value: float) -> float:
        """From 0 to 1 within the slider; outside them beyond its ends."""
        return (value - self.low) / (self.high - self.low)

    @property
    def called(self) -> str:
        """What messages call it."""
        return f"number of {self.name}" if self.way[1] is not None else _CALLED[self.way]

    def said(self, value: float) -> str:
        """A value of it, in words."""
        if self.way[1] is not None:
            return f"{value:g}"
        return percent(value) if self.way == COVER else f"{value:.0f} cm"


@dataclass(frozen=True)
class Box:
    """A tank, its sliders, and a hash of everything else."""

    scenario: Scenario
    rows: tuple[StockRow, ...]  # without numbers of fish
    sliders: tuple[Slider, ...]
    frame: str

    def places(self, scenario: Scenario) -> Floats:
        """Where a scenario has the sliders, [sliders] from 0 to 1.

        Raises OutsideError where it differs in anything else, or goes further than they do.
        """
        if _frame(scenario, self) != self.frame:
            allowed = "the same species, lengths, days, kind of rock and run as there"
            raise OutsideError("it differs from the tanks that were run in more than can be slid", allowed)
        is_bare = scenario.rock.cover == 0.0
        values = [
            one.own if is_bare and one.way == HEIGHT else _value(scenario, one.way, self.rows)
            for one in self.sliders
        ]
        for one, value in zip(self.sliders, values, strict=True):
            if not -1e-9 <= one.place(value) <= 1.0 + 1e-9:
                allowed = f"{one.said(one.low)} to {one.said(one.high)}, as in the tanks that were run"
                raise OutsideError(f"{one.called} is {one.said(value)}", allowed)
        return np.array([one.place(value) for one, value in zip(self.sliders, values, strict=True)])

    def designs(self) -> Iterator[Scenario]:
        """Tanks within the box, without end; the k-th is the same at every call."""
        for k in itertools.count():
            yield self.design(k)

    def design(self, k: int) -> Scenario:
        """The k-th tank within the box."""
        for attempt in range(_TRIES):
            values = {one.way: self._drawn(one, k, attempt) for one in self.sliders}
            try:
                made = _with(self.scenario, values, self.rows)
                if made.measured_fish:
                    check_water(replace(made, run=replace(made.run, trials=1)))
                    return made
            except ValueError:  # no such tank: no fish, no water, an event of a fish that is not there
                continue
        return self.scenario

    def _drawn(self, one: Slider, k: int, attempt: int) -> float:
        name = (one.name, *([f"again {attempt}"] if attempt else []))
        if placed(0, k, "design stays", *name) < STAYS:
            return one.own
        u = placed(0, k, "design", *name)
        if one.way[1] is not None:
            return min(one.high, one.low + np.floor(u * (one.high - one.low + 1)))
        return one.low + u * (one.high - one.low)


def box_of(scenario: Scenario) -> Box:
    """The box round a tank."""
    rows = tuple(dict.fromkeys(bare(row) for row in scenario.stock))
    sliders = tuple(one for one in (*_of_fish(scenario, rows), *_of_tank(scenario)) if one.high > one.low)
    box = Box(replace(scenario, alternatives=()), rows, sliders, "")
    return replace(box, frame=_frame(scenario, box))


def _of_fish(scenario: Scenario, rows: Sequence[StockRow]) -> Iterator[Slider]:
    for k, row in enumerate(rows):
        numbers = {field: int(_value(scenario, (field, k), rows)) for field in SEX_OF}
        fields = [field for field in ("males", "females") if numbers["males"] + numbers["females"]]
        fields += ["unsexed"] if numbers["unsexed"] else []
        for field in fields:
            least = row.holding if field == "females" else 0
            wanted = ROOM * numbers[field] + MORE
            top = next((one for one in TOPS if one >= wanted), MOST_FISH)
            yield Slider(
                f"{row.species} {field}", (field, k), float(least), float(top), float(numbers[field])
            )


def _of_tank(scenario: Scenario) -> Iterator[Slider]:
    """Rock and glass, where the rock is drawn for whatever tank there is."""
    tank, rock = scenario.tank, scenario.rock
    if not _is_drawn(scenario):
        return
    long, wide = tank.length_cm, tank.width_cm
    longest = min(LIMITS["tank.length"].high, LONGER * long)
    yield Slider("tank.length", LENGTH, SHORTER * long, longest, long)
    yield Slider("tank.front_to_back", WIDTH, NARROWER * wide, WIDER * wide, wide)
    highest = tank.water_cm - BELOW_SURFACE_CM
    if highest > LOWEST_CM:
        own = rock.height_cm if rock.cover > 0 else highest
        yield Slider("rock.cover", COVER, 0.0, max(MOST_COVER, rock.cover), rock.cover)
        yield Slider("rock.height", HEIGHT, min(LOWEST_CM, own), max(highest, own), own)


def _is_drawn(scenario: Scenario) -> bool:
    """Whether rock is laid anew in each simulated tank, so that it fits one of other sides as well."""
    rock = scenario.rock
    return rock.sketch is None and rock.crevices is None and not rock.objects


def bare(row: StockRow) -> StockRow:
    return replace(row, males=0, females=0, unsexed=0, typed="")


def _value(scenario: Scenario, way: Way, rows: Sequence[StockRow]) -> float:
    field, k = way
    if k is not None:
        return float(sum(getattr(row, field) for row in scenario.stock if bare(row) == rows[k]))
    if way in (COVER, HEIGHT):
        return float(scenario.rock.cover if way == COVER else scenario.rock.height_cm)
    return float(getattr(scenario.tank, field))


def _with(scenario: Scenario, values: dict[Way, float], rows: Sequence[StockRow]) -> Scenario:
    """The scenario with its sliders elsewhere; raises ChangeError where there is no such tank."""
    counts = [{field: int(values.get((field, k), 0)) for field in SEX_OF} for k in range(len(rows))]
    stock = [replace(row, **one) for row, one in zip(rows, counts, strict=True)]  # type: ignore[arg-type]
    made = changes.restocked(scenario, tuple(row for row in stock if row.males + row.females + row.unsexed))
    if sum(sum(one.values()) for one in counts) > MOST_FISH:
        raise ChangeError("", "too many fish", f"at most {MOST_FISH}")
    sides = {field: values[field, None] for field in ("length_cm", "width_cm") if (field, None) in values}
    if sides:
        made = changes.with_tank(made, **sides)
        if np.prod(cell_counts(made.tank)) > MOST_CELLS:
            raise ChangeError("tank.cell", "too many cells", f"at most {MOST_CELLS}")
    if COVER in values:
        is_bare = values[COVER] < LEAST_COVER
        fields = (0.0, 0.0) if is_bare else (values[COVER], values[HEIGHT])
        made = changes.with_rock(made, cover=fields[0], height_cm=fields[1])
    return made


def _frame(scenario: Scenario, box: Box) -> str:
    """A hash of all that no slider moves; of rows it matters only that each is one of the box's."""
    strange = [row for row in scenario.stock if bare(row) not in box.rows]
    stock = (*(replace(row, unsexed=1) for row in box.rows), *strange)
    tank, rock = scenario.tank, scenario.rock
    if _is_drawn(scenario):
        tank = replace(tank, length_cm=0.0, width_cm=0.0)
        rock = replace(rock, cover=0.0, height_cm=0.0)
    run = replace(scenario.run, trials=1, guesses=1, watch=None, controls=True)
    species = {**box.scenario.species, **scenario.species}
    return scenario_digest(replace(scenario, stock=stock, tank=tank, rock=rock, run=run, species=species))
