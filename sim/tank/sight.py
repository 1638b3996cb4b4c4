"""Lines of sight between cells, all pairs within range at once.

For one displacement the cells along the line are the same wherever the line starts, so whole
rows of cells are tested together: a row along x is packed into 64-bit words, and the rows
along the line are shifted and combined. Only one half of the displacements is walked and the
table is then mirrored, so sight is symmetric by construction.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..rules.support.compiled import lean, rule

_ONE = np.uint64(1)
_NONE = np.uint64(0)
_WORD = 64

BIT_COUNT = np.array([bin(byte).count("1") for byte in range(256)], dtype=np.int64)


def packed_rows(open_cells: NDArray[np.bool_]) -> NDArray[np.uint64]:
    """Rows along x as bits.

    Returns
    -------
    [ny * nz, 2 * words + 1] uint64, words = ceil(nx / 64): bit x % 64 of word x // 64 is set where
    the cell is open; the words behind stay empty, so a row may be shifted without a bounds test.
    """
    nx, ny, nz = open_cells.shape
    words = -(-nx // _WORD)
    bits = np.zeros((ny * nz, (2 * words + 1) * _WORD), dtype=np.uint8)
    bits[:, :nx] = open_cells.transpose(1, 2, 0).reshape(ny * nz, nx)
    return np.packbits(bits, axis=1, bitorder="little").view("<u8").astype(np.uint64)


@lean
def _rounded(d: int, k: int, longest: int, half: int) -> int:
    """d * k / longest to the nearest whole number; a half away from zero, or towards it with ``half`` 1."""
    size = (2 * abs(d) * k + longest - half) // (2 * longest)
    return size if d > 0 else -size


@lean
def _line(steps: NDArray[np.int32], displacement: tuple[int, int, int], nz: int, half: int) -> int:
    """The cells between the ends of a line, into ``steps`` [:, 2]: rows to move on, and cells along the row.

    One cell for each step along the longest axis, the other two rounded to the nearest cell;
    where the line runs exactly between two cells, to the farther one with ``half`` 0 and to the
    nearer one with ``half`` 1. Returns how many cells there are.
    """
    dx, dy, dz = displacement
    longest = max(abs(dx), abs(dy), abs(dz))
    for k in range(1, longest):
        steps[k - 1, 0] = _rounded(dy, k, longest, half) * nz + _rounded(dz, k, longest, half)
        steps[k - 1, 1] = _rounded(dx, k, longest, half)
    return longest - 1


@rule
def _all_lines(
    shape: tuple[int, int, int], reach: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], NDArray[np.int32]]:
    """Lines of one half of the displacements within reach; the other half is these from their other end.

    Returns
    -------
    sheets : [s, 4] dy, dz, first and end of the displacements (dx, dy, dz) in ``dxs``
    dxs : [d] dx, 0 or more
    start : [2 d + 1] where the lines of displacement d begin in ``steps``: one from start[2 d] and,
        where rounding may go either way, a second from start[2 d + 1]; else that one is empty
    steps : [m, 2] see :func:`_line`
    """
    span = int(reach)
    sx = min(shape[0] - 1, span)
    sy = min(shape[1] - 1, span)
    sz = min(shape[2] - 1, span)
    most = (2 * sy + 1) * (2 * sz + 1)
    sheets = np.empty((most, 4), dtype=np.int64)
    dxs = np.empty(most * (sx + 1), dtype=np.int64)
    start = np.zeros(2 * most * (sx + 1) + 1, dtype=np.int64)
    steps = np.empty((2 * most * (sx + 1) * max(sx, sy, sz) + 1, 2), dtype=np.int32)
    sheet = 0
    d = 0
    for dy in range(-sy, sy + 1):
        for dz in range(-sz, sz + 1):
            sheets[sheet, 0] = dy
            sheets[sheet, 1] = dz
            sheets[sheet, 2] = d
            for dx in range(0 if dy > 0 or (dy == 0 and dz > 0) else 1, sx + 1):
                if dx * dx + dy * dy + dz * dz > reach * reach:
                    break
                dxs[d] = dx
                begin = start[2 * d]
                middle = begin + _line(steps[begin:], (dx, dy, dz), shape[2], 0)
                end = middle + _line(steps[middle:], (dx, dy, dz), shape[2], 1)
                start[2 * d + 1] = middle
                start[2 * d + 2] = middle if np.all(steps[begin:middle] == steps[middle:end]) else end
                d += 1
            sheets[sheet, 3] = d
            sheet += 1
    return sheets, dxs[:d], start[: 2 * d + 1], steps


@lean
def _shifted(rows: NDArray[np.uint64], row: int, word: int, by: int) -> np.uint64:
    """A word of a row after moving the row ``by`` cells to the left."""
    first = word + (by >> 6)
    rest = by & 63
    if rest == 0:
        return rows[row, first]
    return (rows[row, first] >> np.uint64(rest)) | (rows[row, first + 1] << np.uint64(64 - rest))


@lean
def _clear(
    rows: NDArray[np.uint64], steps: NDArray[np.int32], row: int, word: int, ends: np.uint64
) -> np.uint64:
    """Which of the starts in ``ends`` have every cell along the line open."""
    for k in range(len(steps)):
        if ends == _NONE:
            break
        ends &= _shifted(rows, row + steps[k, 0], word, steps[k, 1])
    return ends


@lean
def _mark(
    table: NDArray[np.uint8], here: NDArray[np.int32], there: NDArray[np.int32], first: int, seen: np.uint64
) -> None:
    """Write down for each bit x of ``seen`` that cell ``first`` + x of one row sees its like in the other."""
    for x in range(first, min(first + 64, len(there))):
        if seen & _ONE != _NONE:
            j = there[x]
            table[here[x], j >> 3] |= np.uint8(1 << (j & 7))
        seen >>= _ONE


@lean
def _look_across(
    table: NDArray[np.uint8],
    rows: NDArray[np.uint64],
    cells: NDArray[np.int32],
    pair: tuple[int, int],
    sheet: tuple[NDArray[np.int64], NDArray[np.int64]],
    steps: NDArray[np.int32],
) -> None:
    """All lines from one row along x to another, for the displacements of a sheet."""
    row, other = pair
    dxs, start = sheet
    for d in range(len(dxs)):
        for word in range((rows.shape[1] - 1) // 2):
            ends = rows[row, word] & _shifted(rows, other, word, dxs[d])
            seen = _clear(rows, steps[start[2 * d] : start[2 * d + 1]], row, word, ends)
            if start[2 * d + 1] < start[2 * d + 2]:
                seen |= _clear(rows, steps[start[2 * d + 1] : start[2 * d + 2]], row, word, ends)
            if seen != _NONE:
                _mark(table, cells[row], cells[other, dxs[d] :], word * 64, seen)


@lean
def _transposed(block: np.uint64) -> np.uint64:
    """Eight bytes as an 8 x 8 matrix of bits, transposed by swapping ever larger squares."""
    swap = (block ^ (block >> np.uint64(7))) & np.uint64(0x00AA00AA00AA00AA)
    block = block ^ swap ^ (swap << np.uint64(7))
    swap = (block ^ (block >> np.uint64(14))) & np.uint64(0x0000CCCC0000CCCC)
    block = block ^ swap ^ (swap << np.uint64(14))
    swap = (block ^ (block >> np.uint64(28))) & np.uint64(0x00000000F0F0F0F0)
    return block ^ swap ^ (swap << np.uint64(28))


@lean
def _mirror(table: NDArray[np.uint8]) -> None:
    """Copy the upper triangle of a square table of bits onto the lower."""
    n = table.shape[0]
    byte = np.uint64(255)
    for first in range(0, table.shape[1], 16):  # a strip of 16 bytes of every row stays in the cache
        for column in range(first, table.shape[1]):
            for down in range(first, min(first + 16, table.shape[1])):
                block = _NONE
                for r in range(min(8, n - 8 * down)):
                    block |= np.uint64(table[8 * down + r, column]) << np.uint64(8 * r)
                if block == _NONE:
                    continue
                block = _transposed(block)
                for r in range(min(8, n - 8 * column)):
                    table[8 * column + r, down] |= np.uint8((block >> np.uint64(8 * r)) & byte)


@rule
def sight_table(
    rows: NDArray[np.uint64], index: NDArray[np.int32], n: int, reach: float
) -> NDArray[np.uint8]:
    """Which cells see which.

    Two cells see one another when they are at most ``reach`` edges apart and every cell on the
    line between their centres is open. A line that runs exactly between two cells may pass on
    either side, so the mirror image of a tank has the mirror image of its lines of sight.

    Parameters
    ----------
    rows : from :func:`packed_rows`
    index : [nx, ny, nz] number of the open cell, -1 elsewhere
    n : number of open cells
    reach : edges

    Returns
    -------
    [n, ceil(n / 8)] uint8, bit j (little-endian) of row i set when i sees j; a cell sees itself.
    """
    nx, ny, nz = index.shape
    table = np.zeros((n, (n + 7) // 8), dtype=np.uint8)
    for cell in range(n):
        table[cell, cell >> 3] |= np.uint8(1 << (cell & 7))
    sheets, dxs, start, steps = _all_lines((nx, ny, nz), reach)
    cells = index.transpose((1, 2, 0)).copy().reshape((ny * nz, nx))
    for y in range(ny):
        for z in range(nz):  # one row at a time: the part of the table being written stays in the cache
            for s in range(len(sheets)):
                dy, dz, first, end = sheets[s]
                if 0 <= y + dy < ny and 0 <= z + dz < nz:
                    pair = (y * nz + z, (y + dy) * nz + z + dz)
                    sheet = (dxs[first:end], start[2 * first : 2 * end + 1])
                    _look_across(table, rows, cells, pair, sheet, steps)
    _mirror(table)
    return table


@rule
def cover_share(
    table: NDArray[np.uint8], water_before: NDArray[np.int64], xyz: NDArray[np.int32], reach: float
) -> NDArray[np.float64]:
    """Share of the water within range that does not see a cell.

    Parameters
    ----------
    table : from :func:`sight_table`
    water_before : [nx + 1, ny, nz]
        Number of open cells in the row along x that come before x.
    xyz : [n, 3]
    reach : edges

    Returns
    -------
    [n] float64, 0 where all water within range sees the cell.
    """
    n = xyz.shape[0]
    nx = water_before.shape[0] - 1
    ny = water_before.shape[1]
    nz = water_before.shape[2]
    cover = np.empty(n, dtype=np.float64)
    span = int(reach)
    for cell in range(n):
        x = xyz[cell, 0]
        within = 0
        for y in range(max(0, xyz[cell, 1] - span), min(ny, xyz[cell, 1] + span + 1)):
            for z in range(max(0, xyz[cell, 2] - span), min(nz, xyz[cell, 2] + span + 1)):
                left = reach * reach - (y - xyz[cell, 1]) ** 2 - (z - xyz[cell, 2]) ** 2
                if left >= 0.0:
                    half = int(np.sqrt(left))
                    within += water_before[min(nx, x + half + 1), y, z] - water_before[max(0, x - half), y, z]
        seen = 0
        for byte in range(table.shape[1]):
            seen += BIT_COUNT[table[cell, byte]]
        cover[cell] = 1.0 - seen / within
    return cover
