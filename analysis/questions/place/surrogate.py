"""What a group would keep in a tank that was not run, foretold from those that were.

What each owner keeps is regressed on who it is, the tank, how full that is, and on each of its companions,
all drawn towards nothing (ridge regression). Each tank is foretold without itself, and what it is amiss by is
the error: that of tanks that were not run, not of those the regression has seen. What pairs of groups do to
each other does not simply add up: this only says which tank is worth a run, and no plan rests on it.

Source: HoerlKennard1970 (ridge regression); Stone1974 (each foretold without itself).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...statistics.intervals import Floats
from .room import Home, Room

ALWAYS, OWNER, TANK = 10.0, 2.0, 1.0  # how freely a column moves beside a companion's (assumption)
_PENALTIES = np.geomspace(1e-3, 1e2, 16)


@dataclass(frozen=True)
class Surrogate:
    """A fitted regression.

    Attributes
    ----------
    weights : of the columns.
    error : what an owner's share was foretold amiss by in tanks left out, root mean square.
    """

    room: Room
    weights: Floats
    error: float

    def kept(self, home: Home) -> Floats:
        """The share that each of those in a tank keeps, 0 to 1."""
        return np.clip(_columns(self.room, home, self.room.inside(home)) @ self.weights, 0.0, 1.0)


def fit(room: Room, known: Mapping[Home, Floats]) -> Surrogate:
    """Fit to what was run; ``known``: what each of those in a tank keeps, in the order of ``inside``."""
    homes: Sequence[Home] = [home for home in known if len(known[home])]
    if not homes:
        return Surrogate(room, np.zeros(_width(room)), 1.0)  # nothing is passed over
    columns = np.concatenate([_columns(room, home, room.inside(home)) for home in homes])
    figure = np.concatenate([known[home] for home in homes])
    ends = np.cumsum([len(known[home]) for home in homes])
    size, turn = np.linalg.eigh(columns @ columns.T)
    along = turn.T @ figure
    tried = []
    for penalty in _PENALTIES:
        hat = (turn * (size / (size + penalty))) @ turn.T
        missed = figure - hat @ figure
        out = [_left_out(hat, missed, slice(*ends_of)) for ends_of in zip([0, *ends], ends, strict=False)]
        tried.append((float(np.sqrt(np.mean(np.concatenate(out) ** 2))), float(penalty)))
    error, penalty = min(tried)
    return Surrogate(room, columns.T @ (turn @ (along / (size + penalty))), error)


def _left_out(hat: Floats, missed: Floats, own: slice) -> Floats:
    """By how much cases are foretold amiss by a fit that has seen none of them."""
    found = np.linalg.solve(np.eye(own.stop - own.start) - hat[own, own], missed[own])
    return np.asarray(found, dtype=float)


def _width(room: Room) -> int:
    return 1 + room.owners + sum(len(one.layouts) for one in room.tanks) + 2 + room.owners**2


def _columns(room: Room, home: Home, inside: Sequence[int]) -> Floats:
    """[inside, columns] who it is, where, how full it is, how many of its kind, and each companion."""
    many, tanks = room.owners, sum(len(one.layouts) for one in room.tanks)
    spec = room.tanks[home.tank].spec
    litres = spec.length_cm * spec.width_cm * spec.water_cm / 1000.0
    found = np.zeros((len(inside), _width(room)))
    found[:, 0] = ALWAYS
    found[:, 1 + many + sum(len(one.layouts) for one in room.tanks[: home.tank]) + home.layout] = TANK
    for k, one in enumerate(inside):
        others = [other for other in inside if other != one]
        kin = [other for other in others if room.kinds[other] & room.kinds[one]]
        found[k, 1 + one] = OWNER
        full = [10.0 * sum(room.sizes[other] for other in some) / litres for some in (others, kin)]
        found[k, 1 + many + tanks : 3 + many + tanks] = full
        found[k, [3 + many + tanks + one * many + other for other in others]] = 1.0
    return found
