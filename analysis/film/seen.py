"""Where everybody is and what it does at a time of a film: the player's look at its data, in Python."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED
from .coding import bytes_of, unpacked_doings, unpacked_way
from .place import Place, place_at, track_of

AFRAID = 4  # steps of fright from which on a fish is drawn pale, its fins clamped; as in the player
_AHEAD_S = 0.4


@dataclass
class FishInView:
    """One fish at a time."""

    i: int
    at: Place  # cm
    doing: int
    fright: int
    partner: int
    hole: int
    turn: float  # 1 faces right, -1 left, between them it is turned away
    pitch: float  # radians, upwards
    speed: float = 0.0  # cm in the next moment

    @property
    def posture(self) -> str:
        if self.doing in (CONTESTING, CHASING):
            return "spread"
        return "clamped" if self.fright >= AFRAID or self.doing in (FLEEING, SHELTERED) else "calm"


class Onlooker:
    """Looks at one tank of a film."""

    def __init__(self, film: Mapping[str, Any], tank: Mapping[str, Any]) -> None:
        self.film, self.tank = film, tank
        self.tracks = [track_of(unpacked_way(bytes_of(text))) for text in tank["ways"]]
        done = [unpacked_doings(bytes_of(text)) for text in tank["doings"]]
        self.doings = [tuple(part.tolist() for part in one) for one in done]  # single look-ups are faster so
        self.cell = tuple(tank["cell"])
        self._mouths = (np.array(tank["mouths"]).reshape(-1, 3) / 10.0 / self.cell).tolist()
        self._turn = [1.0 if i % 2 else -1.0 for i in range(len(self.tracks))]
        self._pitch = [0.0] * len(self.tracks)

    def place(self, i: int, now: float) -> Place:
        """Place of fish i in cm, ``now`` seconds since the film began."""
        units, tick_s = self.tank["units"], self.film["tick"]
        unit = now * units / tick_s
        x, y, z = place_at(self.tracks[i], unit, units=units, tick_s=tick_s, holes=self._mouths, i=i)
        return x * self.cell[0], y * self.cell[1], z * self.cell[2]

    def is_in(self, i: int, now: float) -> bool:
        stays, tick = self.tank["fish"][i]["stays"], min(now, self.film["seconds"] - 1e-6) / self.film["tick"]
        return any(first <= tick < end for first, end in zip(stays[::2], stays[1::2], strict=True))

    def look(self, now: float) -> list[FishInView]:
        """Everybody in the tank at a time, the farthest first. Fish turn smoothly from look to look."""
        here = [i for i in range(len(self.tracks)) if self.is_in(i, now) and self.tracks[i].time]
        seen = {i: self._one(i, now) for i in here}
        for fish in seen.values():
            self._face(fish, seen, self.place(fish.i, now + _AHEAD_S))
        return sorted(seen.values(), key=lambda fish: -fish.at[1])

    def _one(self, i: int, now: float) -> FishInView:
        track, (ticks, doing, fright, partner) = self.tracks[i], self.doings[i]
        tick = now / self.film["tick"]
        k = max(0, bisect_right(track.time, tick * self.tank["units"]) - 1)
        d = max(0, bisect_right(ticks, int(tick)) - 1)
        state = (doing[d], fright[d], partner[d], track.hole[k])
        return FishInView(i, self.place(i, now), *state, turn=self._turn[i], pitch=self._pitch[i])

    def _face(self, fish: FishInView, seen: Mapping[int, FishInView], ahead: Place) -> None:
        dx, dy, dz = (there - here for there, here in zip(ahead, fish.at, strict=True))
        flat = math.hypot(dx, dy)
        fish.speed = math.hypot(flat, dz)
        turn, pitch = fish.turn, 0.0
        other = seen.get(fish.partner)
        if fish.doing == CONTESTING and other is not None:
            turn = 0.92 if (other.at[0], other.i) > (fish.at[0], fish.i) else -0.92
        elif fish.speed > 0.5:
            turn = dx / flat if abs(dx) > 0.12 * flat else math.copysign(0.12, fish.turn)
            pitch = max(-0.6, min(0.6, math.atan2(dz, flat)))
        fish.turn = self._turn[fish.i] = self._turn[fish.i] + (turn - self._turn[fish.i]) * 0.4
        fish.pitch = self._pitch[fish.i] = self._pitch[fish.i] + (pitch - self._pitch[fish.i]) * 0.35
