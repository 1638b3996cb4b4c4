"""What an amount of rock comes to: litres, kilograms, the load on the base, water displaced, crevices.

Worked out from the rock of the first few simulated tanks, exactly as a run draws it. The
simulated rock is a heap: a height over each spot of the floor. Of that heap only a part is stone, the
*solid share*; the rest is water between the stones.

    bulk (L)      = sum of heights x area of a spot / 1000
    kilograms     = bulk x solid share x density (kg/L)
    displaced (L) = bulk under water x solid share
    kg in water   = kilograms - displaced x 1 kg/L

A low figure takes the lowest of everything, a high one the highest, so that the range is
rather too wide than too narrow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ....sim.run.drawing import draw_trial_rock
from ....sim.run.set_ups import draw_of
from ....sim.scenario.scenario import Scenario, TankSpec
from ....sim.tank.rockwork import Rock, describe_rock
from ..check.drawn import TANKS, DrawnTanks
from ..check.stocked import length_range_cm, sexes_of

G_M_S2 = 9.80665  # standard gravity
KG_PER_L_WATER = 1.0


class Known(NamedTuple):
    """A range from the literature and where it is from."""

    low: float
    high: float
    source: str

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2.0


# The solid share of walls laid dry by hand is 0.55 to 0.80, of stone tipped in layers 0.60 to 0.69, of
# stone-filled baskets 0.65 to 0.75. A heap with holes for fish is looser: its lower end is an assumption.
SOLID = Known(0.5, 0.7, "Mundell2009 (2nd); CIRIA2007 (from memory); assumption")

# kg/L, dry
STONES = {
    "limestone": Known(2.2, 2.7, "RockDensities2014; GabionNote2013 (soft limestone)"),
    "sandstone": Known(2.2, 2.8, "RockDensities2014"),
    "granite or gneiss": Known(2.6, 2.9, "RockDensities2014"),
    "slate": Known(2.7, 2.8, "RockDensities2014"),
    "dense lava (basalt)": Known(2.8, 3.0, "RockDensities2014"),
    "lava full of bubbles": Known(1.0, 2.0, "assumption (it sinks, and half of it is bubbles or more)"),
}


@dataclass(frozen=True)
class Spread:
    """Middle, lowest and highest of a quantity."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True)
class Heap:
    """The rock of one drawn tank."""

    bulk_l: float  # of the whole heap, water between the stones counted
    below_l: float  # of what lies under water
    floor_m2: float  # of the base under rock
    highest_cm: float


@dataclass(frozen=True)
class Weight:
    """An amount of one kind of stone."""

    stone: str
    source: str
    kg: Spread
    in_water_kg: Spread  # what it still presses with under water
    kg_m2: Spread  # on the part of the base that is under rock, before the water is in
    highest_kg_m2: Spread  # under the highest stones


@dataclass(frozen=True)
class Fit:
    """How many crevices let in a middling fish of one sex of a species."""

    species: str
    sex: str
    length_cm: float
    depth_cm: float  # of its body
    crevices: Spread


@dataclass(frozen=True)
class Amount:
    """All of it for one amount of rock, over ``tanks`` drawn tanks."""

    tanks: int
    base_m2: float
    bulk_l: Spread
    floor_m2: Spread
    highest_cm: Spread
    displaced_l: Spread
    water_l: float  # that fits up to the water level without rock
    weights: tuple[Weight, ...]
    crevices: Spread
    fits: tuple[Fit, ...]
    drawn: DrawnTanks


def heap_of(tank: TankSpec, rock: Rock) -> Heap:
    """Litres and area of the rock of one tank; wood, filters and heaters are not rock."""
    a, b = rock.top_cm.shape
    spot_cm2 = rock.length_cm * rock.width_cm / (a * b)
    return Heap(
        bulk_l=float(rock.top_cm.sum()) * spot_cm2 / 1000.0,
        below_l=float(np.minimum(rock.top_cm, tank.water_cm).sum()) * spot_cm2 / 1000.0,
        floor_m2=float((rock.top_cm > 0).sum()) * spot_cm2 / 10_000.0,
        highest_cm=float(rock.top_cm.max()),
    )


def amount_of(scenario: Scenario, *, tanks: int = TANKS) -> Amount:
    """What the rock of a scenario comes to, from the rock of its first ``tanks`` trials."""
    rocks = [
        draw_trial_rock(scenario, trial=trial, draw=draw_of(scenario, trial))
        for trial in range(min(tanks, scenario.run.trials))
    ]
    heaps = [heap_of(scenario.tank, rock) for rock in rocks]
    mouths = tuple(tuple(hole.mouth_cm for hole in rock.crevices) for rock in rocks)
    drawn = DrawnTanks(tuple(describe_rock(scenario.tank, rock) for rock in rocks), mouths)
    tank = scenario.tank
    return Amount(
        tanks=len(rocks),
        base_m2=tank.length_cm * tank.width_cm / 10_000.0,
        bulk_l=spread([heap.bulk_l for heap in heaps]),
        floor_m2=spread([heap.floor_m2 for heap in heaps]),
        highest_cm=spread([heap.highest_cm for heap in heaps]),
        displaced_l=_times(spread([heap.below_l for heap in heaps]), SOLID),
        water_l=tank.length_cm * tank.width_cm * tank.water_cm / 1000.0,
        weights=tuple(weight_of(heaps, stone) for stone in STONES),
        crevices=spread([float(len(one)) for one in mouths]),
        fits=tuple(_fits(scenario, mouths)),
        drawn=drawn,
    )


def weight_of(heaps: Sequence[Heap], stone: str) -> Weight:
    """Kilograms of the heaps if they were of this stone, and what they load the base with.

    Raises
    ------
    KeyError
        For a stone that is not one of STONES.
    """
    density = STONES[stone]
    kg = _times(_times(spread([heap.bulk_l for heap in heaps]), SOLID), density)
    lifted = Known(density.low - KG_PER_L_WATER, density.high - KG_PER_L_WATER, density.source)
    below = _times(_times(spread([heap.below_l for heap in heaps]), SOLID), lifted)
    dry = _times(_times(spread([heap.bulk_l - heap.below_l for heap in heaps]), SOLID), density)
    # a column of rock h cm high holds 10 h litres a square metre
    mean_column = spread([heap.bulk_l / heap.floor_m2 if heap.floor_m2 else 0.0 for heap in heaps])
    highest = spread([10.0 * heap.highest_cm for heap in heaps])
    return Weight(
        stone,
        density.source,
        kg,
        Spread(below.middle + dry.middle, below.low + dry.low, below.high + dry.high),
        _times(_times(mean_column, SOLID), density),
        _times(_times(highest, SOLID), density),
    )


def pressure_kpa(kg_m2: float) -> float:
    """Pressure of a mass spread evenly over an area."""
    return kg_m2 * G_M_S2 / 1000.0


def spread(values: Sequence[float]) -> Spread:
    """Mean, lowest and highest."""
    return Spread(float(np.mean(values)), float(min(values)), float(max(values)))


def _times(one: Spread, by: Known) -> Spread:
    return Spread(one.middle * by.middle, one.low * by.low, one.high * by.high)


def _fits(scenario: Scenario, mouths: tuple[tuple[float, ...], ...]) -> list[Fit]:
    """As ``rockshy check`` says it: a middling fish fits where the mouth is at least its body depth."""
    found = []
    for key in dict.fromkeys(row.species for row in scenario.stock):
        species = scenario.species[key]
        rows = [row for row in scenario.stock if row.species == key]
        for sex in sexes_of(rows):
            ends = [
                length_range_cm(row, species, sex=sex, fixed=scenario.run.fixed)
                for row in rows
                if sex in sexes_of([row])
            ]
            length = (min(low for low, _ in ends) + max(high for _, high in ends)) / 2.0
            depth = length * species.traits["depth_ratio"].value
            counts = [float(sum(mouth >= depth for mouth in one)) for one in mouths]
            found.append(Fit(key, sex, length, depth, spread(counts)))
    return found
