"""Ways and doings of fish as few bytes, and back. A number takes seven bits a byte, the low ones first.

A way is a row of entries "time since the last entry, code". Codes: 0-25 a step in ``DIRECTIONS`` of
:mod:`rockshy.sim.tank.paths`; IN, then the number of the refuge; OUT, to the cell of the refuge it was in;
AT, then x, y and z of a cell. Times of ways are in units, ``units`` to a tick; those of doings in ticks.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...sim.tank.paths import DIRECTIONS
from .recording import Recording

IN, OUT, AT = 26, 27, 28
FRIGHTS = 8  # steps of fright that a film tells apart
FRIGHT_MOST = 1.2  # quick and slow fright at which the highest step begins, a little under what is possible
UNITS = 16  # of a tick, at least
STAY_LEAST = 5  # units; a fish that is flushed out of a hole sooner is not seen to get in
OUT_BEFORE = 8  # units that a fish needs from its hole to the mouth

_CODE = {tuple(step): k for k, step in enumerate(DIRECTIONS.tolist())}


class Way(NamedTuple):
    """Where a fish was; k entries in order of time. It is there from its time until the next."""

    time: NDArray[np.int64]  # [k] units since the film began
    cell: NDArray[np.int64]  # [k, 3]
    hole: NDArray[np.int64]  # [k] refuge it was hidden in, -1 none


class Doings(NamedTuple):
    """What a fish did; k entries in order of time."""

    tick: NDArray[np.int64]
    doing: NDArray[np.int64]
    fright: NDArray[np.int64]  # 0 .. FRIGHTS - 1
    partner: NDArray[np.int64]  # -1 nobody


def units_of(recording: Recording) -> int:
    """Units to a tick: enough that two sub-steps never fall on one."""
    return max(UNITS, int(recording.moves[:, 2].max(initial=1)))


def ways_of(recording: Recording, *, units: int) -> list[Way]:
    """The way of each fish; rows in which it stayed where it was are left out."""
    tank, moves = recording.tank, recording.moves
    time = moves[:, 0].astype(np.int64) * units + moves[:, 1] * units // moves[:, 2]
    hole = np.where(moves[:, 4] < 0, -1 - moves[:, 4], -1)
    cell = np.where(moves[:, 4] < 0, tank.refuge_cell[np.maximum(hole, 0)], moves[:, 4])
    return [
        _way(time[mine], cell[mine], hole[mine], tank.xyz)
        for mine in (np.flatnonzero(moves[:, 3] == i) for i in range(len(recording.label)))
    ]


def _way(
    time: NDArray[np.int64], cell: NDArray[np.integer], hole: NDArray[np.integer], xyz: NDArray[np.int32]
) -> Way:
    """The way of one fish from its rows.

    Where it slips into a hole in the sub-step in which it reaches the mouth, the two rows become one.
    Out of a hole it always comes by the mouth: half a second, or half its stay, before it swims on.
    """
    rows: list[tuple[int, int, int]] = []
    for when, where, hidden in zip(time.tolist(), cell.tolist(), hole.tolist(), strict=True):
        if rows and rows[-1][1:] == (where, hidden):
            continue
        if rows and rows[-1][0] == when and hidden >= 0:
            rows.pop()
        if rows and rows[-1][2] >= 0 and hidden < 0 and when - rows[-1][0] < STAY_LEAST:
            rows[-1] = (rows[-1][0], rows[-1][1], -1)
            if rows[-1][1] == where:
                continue
        if rows and rows[-1][2] >= 0 and rows[-1][1] != where:
            rows.append((when - min(OUT_BEFORE, (when - rows[-1][0]) // 2), rows[-1][1], -1))
        elif len(rows) > 1 and rows[-1][0] == when and rows[-2][2] >= 0:
            begun, mouth, _ = rows.pop()
            rows.append((begun - min(OUT_BEFORE, (begun - rows[-1][0]) // 2), mouth, -1))
        rows.append((when, where, hidden))
    table = np.array(rows, dtype=np.int64).reshape(-1, 3)
    return Way(table[:, 0], xyz[table[:, 1]].astype(np.int64), table[:, 2])


def packed_way(way: Way) -> bytes:
    """A way as bytes."""
    numbers: list[int] = []
    last, hidden = 0, -1
    place: list[int] | None = None
    for time, cell, hole in zip(way.time.tolist(), way.cell.tolist(), way.hole.tolist(), strict=True):
        step = None if place is None else tuple(a - b for a, b in zip(cell, place, strict=True))
        if step == (0, 0, 0) and hidden >= 0 and hole < 0:
            parts = [OUT]
        else:
            if step == (0, 0, 0) and hole >= 0:
                parts = []
            elif step in _CODE and hidden < 0:
                parts = [_CODE[step]]
            else:
                parts = [AT, *cell]
            if hole >= 0:
                parts += [0, IN, hole] if parts else [IN, hole]
        numbers += [time - last, *parts]
        last, place, hidden = time, cell, hole
    return _packed(numbers)


def unpacked_way(packed: bytes) -> Way:
    """The way that such bytes stand for; what the player does, in Python."""
    numbers = _numbers(packed)
    rows: list[tuple[int, int, int, int, int]] = []
    time, place, hole = 0, (0, 0, 0), -1
    for wait in numbers:
        time += wait
        code = next(numbers)
        if code == AT:
            place, hole = (next(numbers), next(numbers), next(numbers)), -1
        elif code == IN:
            hole = next(numbers)
        elif code == OUT:
            hole = -1
        else:
            x, y, z = DIRECTIONS[code].tolist()
            place = (place[0] + x, place[1] + y, place[2] + z)
        if rows and rows[-1][0] == time and code == IN:
            rows.pop()  # hidden from the first moment on
        rows.append((time, *place, hole))
    table = np.array(rows, dtype=np.int64).reshape(-1, 5)
    return Way(table[:, 0], table[:, 1:4], table[:, 4])


def fright_steps(fright: NDArray[np.float64]) -> NDArray[np.int64]:
    """Fright as one of the steps that a film tells apart."""
    return np.clip(np.floor(fright / FRIGHT_MOST * FRIGHTS), 0, FRIGHTS - 1).astype(np.int64)


def doings_of(recording: Recording) -> list[Doings]:
    """What each fish did; an entry where anything changed. A fish that is out has no entries then."""
    steps = fright_steps(recording.fright)
    found = []
    for i in range(len(recording.label)):
        columns = (recording.present[:, i], recording.doing[:, i], steps[:, i], recording.partner[:, i])
        table = np.column_stack(columns).astype(np.int64)
        changed = (np.diff(table, axis=0, prepend=-2) != 0).any(axis=1)
        at = np.flatnonzero(changed & columns[0])
        found.append(Doings(at.astype(np.int64), *table[at, 1:].T))
    return found


def packed_doings(doings: Doings) -> bytes:
    """What a fish did as bytes: ticks since the last entry, doing and fright in one number, partner + 1."""
    wait = np.diff(doings.tick, prepend=0)
    table = np.column_stack([wait, doings.doing * FRIGHTS + doings.fright, doings.partner + 1])
    return _packed(table.ravel().tolist())


def unpacked_doings(packed: bytes) -> Doings:
    """What such bytes stand for."""
    table = np.array(list(_numbers(packed)), dtype=np.int64).reshape(-1, 3)
    return Doings(np.cumsum(table[:, 0]), table[:, 1] // FRIGHTS, table[:, 1] % FRIGHTS, table[:, 2] - 1)


def packed_bits(bits: NDArray[np.uint8]) -> bytes:
    """A row of noughts and ones as the lengths of its runs, that of the first noughts first."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], bits, [2]])))
    return _packed(np.diff(edges, prepend=0).tolist())


def text_of(packed: bytes) -> str:
    """Bytes as signs that any text may hold."""
    return base64.b64encode(packed).decode("ascii")


def bytes_of(text: str) -> bytes:
    return base64.b64decode(text)


def _packed(numbers: Iterable[int]) -> bytes:
    found = bytearray()
    for number in numbers:
        while number > 127:
            found.append(number & 127 | 128)
            number >>= 7
        found.append(number)
    return bytes(found)


def _numbers(packed: bytes) -> Iterator[int]:
    number = shift = 0
    for byte in packed:
        number |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            yield number
            number = shift = 0
