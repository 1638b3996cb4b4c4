"""Numbers behind the mechanisms: from how many territories a fish is in view, how much larger the others are.

Read off the stock list and off a few simulated tanks whose moves are kept; no rule of behaviour is here.
"""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ....sim.fish.population import Individual, individuals
from ....sim.run.keeping import KeptRun, kept_run, places_after
from ....sim.run.model import TankModel
from ....sim.run.trials import model_of_trial
from ....sim.tank.tank import Tank
from ...statistics.intervals import NAN
from . import off
from .mechanisms import Switches

if TYPE_CHECKING:
    from .answer import Why

TANKS = 4  # whose moves are kept
EVERY_S = 120.0  # between two looks


@dataclass(frozen=True)
class InView:
    """Owners of territories while the fish is out, means over looks and tanks; nan when it never was."""

    tanks: int
    owners: float  # other fish that own a territory at a time
    seeing: float  # of these, those that have it in view


@dataclass(frozen=True)
class Behind:
    """What stands behind the shares; of the fish that is explained, "it"."""

    length_cm: float  # mean of the middle lengths
    others_cm: float  # the same of the other species, or of all others where there are none
    alike: int  # other fish that look like it
    others: int
    crevices: float  # in a tank, mean over a few drawn ones, as the next two
    fitting: float  # of these, those that fit it
    its_own: float  # of these, those that no fish of the others' depth gets into
    temper: float  # the hottest temper of another species over its own kind's, males; nan without
    hottest: str
    view: InView | None  # None when it was not looked at


def behind(why: Why) -> Behind:
    """The numbers behind an answer; broken off by Ctrl-C, or by then, it does without what is simulated."""
    if not why.stopped and not why.nothing:
        with contextlib.suppress(KeyboardInterrupt):
            return behind_of(why.switches, tanks=min(TANKS, why.trials))
    return behind_of(why.switches, tanks=0)


def behind_of(switches: Switches, *, tanks: int = TANKS) -> Behind:
    """Work the numbers out; ``tanks`` of 0 leaves out what must be simulated."""
    scenario, whom = switches.base, switches.whom
    people = individuals(scenario.stock)
    mine = [one for one in people if one.label in whom.labels]
    rest = [one for one in people if one.species != whom.species] or [
        one for one in people if one.label not in whom.labels
    ]
    depth, others_depth = _depth_cm(switches, mine), _depth_cm(switches, rest)
    mouths = switches.drawn.mouths_cm
    tempers = {key: kind.traits["temper"].value for key, kind in scenario.species.items()}
    own = tempers.pop(whom.species)
    hottest = max(tempers, key=lambda key: tempers[key], default="")
    alike, others = off.alike(scenario, whom.labels)
    return Behind(
        length_cm=float(np.mean([off.middle_cm(scenario, one) for one in mine])),
        others_cm=float(np.mean([off.middle_cm(scenario, one) for one in rest])) if rest else NAN,
        alike=alike,
        others=others,
        crevices=switches.crevices,
        fitting=float(np.mean([sum(mouth >= depth for mouth in one) for one in mouths])),
        its_own=float(np.mean([sum(depth <= mouth < others_depth for mouth in one) for one in mouths])),
        temper=tempers[hottest] / own if hottest and own > 0 else NAN,
        hottest=hottest,
        view=in_view(switches, tanks=tanks) if tanks else None,
    )


def _depth_cm(switches: Switches, fish: Sequence[Individual]) -> float:
    """Mean depth of the bodies of some fish in the middle of all ranges, cm; 0 of nobody."""
    scenario = switches.base
    depths = [
        off.middle_cm(scenario, one) * scenario.species[one.species].traits["depth_ratio"].value
        for one in fish
    ]
    return float(np.mean(depths)) if depths else 0.0


def in_view(switches: Switches, *, tanks: int = TANKS) -> InView:
    """Run the first few trials once more, keeping all moves, and look every EVERY_S of the measured time.

    It is looked at while it is out of any crevice; owners are those at the end of the hour.
    """
    scenario, wanted = switches.base, set(switches.whom.labels)
    owners, seeing = [], []
    for trial in range(tanks):
        with model_of_trial(scenario, trial, keep=True) as model:
            found = _looks(model, kept_run(model), wanted)
        owners += found[0]
        seeing += found[1]
    if not owners:
        return InView(tanks, NAN, NAN)
    return InView(tanks, float(np.mean(owners)), float(np.mean(seeing)))


def _looks(model: TankModel, run: KeptRun, wanted: set[str]) -> tuple[list[int], list[int]]:
    tank, cells = model.tank, len(model.tank.xyz)
    step = max(1, round(EVERY_S * model.hour_ticks / 3600.0))
    ticks = np.arange(model.measured_from, model.last_tick, step)
    inside = cells + np.arange(len(tank.refuge_cell))  # a sheltered fish is told by a number past the cells
    places = places_after(run, refuge_cell=inside, ticks=ticks)
    centre = np.asarray(model.ledger.hours["centre"])
    hours = np.minimum((ticks - model.measured_from) // model.hour_ticks, centre.shape[1] - 1)
    mine = [i for i, one in enumerate(model.people) if one.label in wanted]
    owners, seeing = [], []
    for place, hour in zip(places, hours, strict=True):
        for i in mine:
            if not _is_out(place[i], tank):
                continue
            there = [j for j in np.flatnonzero(centre[:, hour] >= 0) if j != i and place[j] >= 0]
            owners.append(len(there))
            seeing.append(sum(_sees(place[j], place[i], tank) for j in there))
    return owners, seeing


def _is_out(place: int, tank: Tank) -> bool:
    """In the tank and not inside a crevice; a corner hides nobody."""
    cells = len(tank.xyz)
    return place >= 0 and (place < cells or bool(tank.refuge_corner[place - cells]))


def _sees(owner: int, other: int, tank: Tank) -> bool:
    """Whether an owner, in a crevice or out, has a fish in view that is out."""
    cells = len(tank.xyz)
    cell = _cell(other, tank)
    if owner >= cells and not tank.refuge_corner[owner - cells]:
        return _bit(tank.looks_in[owner - cells], cell)
    return _bit(tank.sight[_cell(owner, tank)], cell)


def _cell(place: int, tank: Tank) -> int:
    cells = len(tank.xyz)
    return int(tank.refuge_cell[place - cells]) if place >= cells else int(place)


def _bit(row: NDArray[np.uint8], cell: int) -> bool:
    return bool(row[cell >> 3] >> (cell & 7) & 1)
