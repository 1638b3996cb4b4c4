"""Where a fish is between two sub-steps: on a smooth way that never leaves the cell it is in.

In a cell the way bends from the middle of the border to the cell before to that to the cell after, towards
the middle of the cell. All three points lie in the cell, so the bend does; a diagonal step is taken only
where all cells round its corner are open. A fish keeps a little to one side of its cell, so that two in
one cell are seen; less than a quarter of a cell, which leads into no cell but those it swims between.

The player does the same in JavaScript (``player/place.js``); a test holds them together.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from .coding import Way

LINGER_S = 1.6  # a fish that stays longer in a cell comes in and leaves at this speed and hovers between
TO_HOLE_S = 0.5  # from the mouth into the dark
ASIDE = 0.22  # of a cell

_SIDES = (
    (0.618034, 0.1),
    (0.754878, 0.4),
    (0.569840, 0.7),
)  # even spread: golden ratios of one to three axes

Place = tuple[float, float, float]


class Track(NamedTuple):
    """A :class:`Way` as plain lists, which single look-ups are much faster in."""

    time: list[float]
    cell: list[tuple[int, int, int]]
    hole: list[int]


def track_of(way: Way) -> Track:
    cells = [(int(x), int(y), int(z)) for x, y, z in way.cell]
    return Track([float(time) for time in way.time], cells, way.hole.tolist())


def aside(i: int) -> Place:
    """Which side of its cell fish i keeps to, in cells."""
    x, y, z = (ASIDE * (2.0 * ((step * (i + 1) + first) % 1.0) - 1.0) for step, first in _SIDES)
    return x, y, z


def place_at(
    track: Track, unit: float, *, units: int, tick_s: float, holes: Sequence[Place], i: int
) -> Place:
    """Place of a fish in cells: the middle of the first cell is (0.5, 0.5, 0.5).

    Parameters
    ----------
    track : of the fish, with at least one entry.
    unit : units since the film began; before the first entry it is where the way begins.
    holes : mouths of the refuges, in cells.
    i : number of the fish.
    """
    k = max(0, bisect_right(track.time, unit) - 1)
    side, cell, hole = aside(i), track.cell[k], track.hole[k]
    here = (cell[0] + 0.5 + side[0], cell[1] + 0.5 + side[1], cell[2] + 0.5 + side[2])
    seconds = max(0.0, (unit - track.time[k]) * tick_s / units)
    before = _moved(here, _border(track, k, k - 1))
    if hole >= 0:
        return _hiding(before, holes[hole], seconds, k)
    after = _moved(here, _border(track, k, k + 1))
    is_out = k > 0 and track.hole[k - 1] >= 0
    if is_out:  # out of the hole it was in, or of the way there
        entry = _moved(_moved(here, _minus(track.cell[k - 1], cell)), _border(track, k - 1, k - 2))
        before = _hiding(
            entry, holes[track.hole[k - 1]], (track.time[k] - track.time[k - 1]) * tick_s / units, k - 1
        )
    stay = (track.time[k + 1] - track.time[k]) * tick_s / units if k + 1 < len(track.time) else float("inf")
    u, bends = _progress(seconds, stay)
    if is_out or not bends:
        return _between(before, here, 2 * u) if u < 0.5 else _between(here, after, 2 * u - 1)
    a, b, c = (1 - u) ** 2, 2 * u * (1 - u), u**2
    return (
        a * before[0] + b * here[0] + c * after[0],
        a * before[1] + b * here[1] + c * after[1],
        a * before[2] + b * here[2] + c * after[2],
    )


def _hiding(mouth: Place, hole: Place, seconds: float, k: int) -> Place:
    """Where a fish is that has hidden for so long; with the first entry of its way it was there before."""
    return _between(mouth, hole, min(1.0, seconds / TO_HOLE_S) if k > 0 else 1.0)


def _minus(one: tuple[int, int, int], two: tuple[int, int, int]) -> Place:
    return one[0] - two[0], one[1] - two[1], one[2] - two[2]


def _moved(place: Place, by: Place) -> Place:
    return place[0] + by[0], place[1] + by[1], place[2] + by[2]


def _between(one: Place, two: Place, share: float) -> Place:
    return (
        one[0] + (two[0] - one[0]) * share,
        one[1] + (two[1] - one[1]) * share,
        one[2] + (two[2] - one[2]) * share,
    )


def _progress(seconds: float, stay: float) -> tuple[float, bool]:
    """How far through its cell a fish is, 0..1, and whether it swims through in one bend."""
    if stay <= 2 * LINGER_S:
        return (seconds / stay if stay > 0 else 0.0), True
    if seconds < LINGER_S:
        part = seconds / LINGER_S
        return 0.5 * part * (2 - part), False
    left = stay - seconds
    if left < LINGER_S:
        part = 1 - left / LINGER_S
        return 0.5 + 0.5 * part * part, False
    return 0.5, False


def _border(track: Track, k: int, other: int) -> Place:
    """From the middle of cell k to the middle of its border with that of another entry; 0 without one."""
    if not 0 <= other < len(track.time):
        return 0.0, 0.0, 0.0
    here, there = track.cell[k], track.cell[other]
    x, y, z = there[0] - here[0], there[1] - here[1], there[2] - here[2]
    return (x / 2, y / 2, z / 2) if max(abs(x), abs(y), abs(z)) <= 1 else (0.0, 0.0, 0.0)
