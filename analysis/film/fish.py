"""How a fish is drawn: outline, fins in three postures, and the marks that it wears, as polygons.

x runs from -0.5 (end of the tail) to 0.5 (snout) in lengths of the fish, y upwards in depths of its body. The
player and the frames of a clip draw these same polygons.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from .colour import lightness, mixed
from .wear import HALO, INK, Wear

POSTURES = ("calm", "spread", "clamped")
FINS = ("tail", "dorsal", "fin")  # layers; "fin" is all others
OUTLINED = (*FINS, "body")
_PALE = "#dfe3da"

Floats = NDArray[np.float64]
Layer = tuple[str, list[float]]  # what it is, and x, y, x, y, ... of its outline

_X = np.array([-0.30, -0.22, -0.10, 0.04, 0.17, 0.29, 0.39, 0.46, 0.495])
_BACK = np.array([0.16, 0.20, 0.35, 0.47, 0.50, 0.44, 0.31, 0.17, 0.04])
_BELLY = np.array([-0.14, -0.17, -0.31, -0.44, -0.50, -0.46, -0.34, -0.21, -0.07])
_ALONG = np.linspace(-0.29, 0.24, 12)
_back, _belly = PchipInterpolator(_X, _BACK), PchipInterpolator(_X, _BELLY)


def shapes() -> dict[str, list[Layer]]:
    """The layers of a fish in each posture, the first drawn first; its marks come over the belly."""
    return {posture: _layers(posture) for posture in POSTURES}


def patterns() -> dict[str, list[list[float]]]:
    """The polygons of each mark that is painted over the body."""
    return {name: [_flat(one) for one in make()] for name, make in _PATTERN.items()}


def colours(wear: Wear) -> dict[str, str]:
    """Colours of a fish by layer and mark, well and frightened (pale)."""
    fin = mixed(wear.body, "#ffffff" if lightness(wear.body) < 0.42 else "#000000", 0.2)
    own = {"body": wear.body, "belly": mixed(wear.body, "#ffffff", 0.22)} | dict.fromkeys(FINS, fin)
    for mark, colour in wear.marks:
        own |= dict.fromkeys(FINS, colour) if mark == "fins" else {mark: colour}
    pale = {f"pale {name}": mixed(shade, _PALE, 0.4) for name, shade in own.items()}
    return own | pale | {"ink": INK, "halo": HALO}


def marks_of(wear: Wear) -> list[str]:
    """The marks that are painted over the body, in order."""
    return [mark for mark, _ in wear.marks if mark in _PATTERN]


def dashes(line: Any) -> list[float]:
    """A line of the charts as dashes and gaps, in widths of the line; none for a whole one."""
    return [] if isinstance(line, str) else [float(part) for part in line[1]]


def _layers(posture: str) -> list[Layer]:
    spread = {"calm": 0.55, "spread": 1.0, "clamped": 0.12}[posture]
    found: list[tuple[str, Floats]] = [
        ("tail", _tail(spread)),
        ("dorsal", _along_back(spread)),
        ("fin", _under(spread)),
        ("fin", _pelvic(spread)),
        ("body", _body()),
        ("belly", _under_side()),
        ("fin", _pectoral(spread)),
        ("line", np.array([[0.27, 0.27], [0.245, 0.08], [0.25, -0.12], [0.285, -0.3]])),
        ("line", np.array([[0.497, -0.05], [0.455, -0.1]])),
        ("eye", _disc(0.385, 0.12, 0.034)),
        ("pupil", _disc(0.39, 0.12, 0.018)),
    ]
    return [(name, _flat(outline)) for name, outline in found]


@cache
def _body() -> Floats:
    x = np.linspace(-0.30, 0.495, 20)
    upper = np.column_stack([x, _back(x)])
    lower = np.column_stack([x, _belly(x)])
    return np.concatenate([upper, [[0.5, -0.02]], lower[::-1]])


def _band(x: Floats, one: Floats, other: Floats) -> Floats:
    """What lies between two lines."""
    return np.concatenate([np.column_stack([x, one]), np.column_stack([x, other])[::-1]])


def _under_side() -> Floats:
    x = np.linspace(-0.12, 0.42, 12)
    return _band(x, 0.96 * _belly(x), 0.55 * _belly(x))


def _tail(spread: float) -> Floats:
    wide = 0.17 + 0.32 * spread
    return np.array(
        [[-0.27, 0.16], [-0.36, 0.6 * wide + 0.05], [-0.5, wide], [-0.475, 0.3 * wide], [-0.465, 0.0],
         [-0.475, -0.3 * wide], [-0.5, -wide], [-0.36, -0.6 * wide - 0.05], [-0.27, -0.16]]
    )  # fmt: skip


def _along_back(spread: float) -> Floats:
    x = np.linspace(0.26, -0.22, 9)
    rise = np.array([0.0, 0.13, 0.17, 0.18, 0.18, 0.18, 0.2, 0.24, 0.1]) * spread
    tip = [[-0.3, float(_back(-0.22)) + 0.22 * spread]]
    return np.concatenate(
        [np.column_stack([x, _back(x) + rise])[:8], tip, np.column_stack([x, _back(x) - 0.04])[::-1]]
    )


def _under(spread: float) -> Floats:
    low = 0.26 * spread
    base = [[0.0, float(_belly(0.0)) + 0.04], [-0.2, float(_belly(-0.2)) + 0.04]]
    return np.array([base[0], [-0.04, base[0][1] - low], [-0.17, base[1][1] - 1.05 * low - 0.04], base[1]])


def _pelvic(spread: float) -> Floats:
    y = float(_belly(0.17)) + 0.03
    return np.array([[0.19, y], [0.1, y - 0.1 - 0.24 * spread], [0.08, y - 0.02]])


def _pectoral(spread: float) -> Floats:
    out = 0.06 + 0.12 * spread
    return np.array(
        [[0.22, -0.06], [0.12, -0.06 + 0.5 * out], [0.07, -0.1], [0.12, -0.12 - out], [0.2, -0.16]]
    )


def _disc(x: float, y: float, radius: float) -> Floats:
    """A round disc on a fish three times as long as deep."""
    turn = np.linspace(0, 2 * np.pi, 11)[:-1]
    return np.column_stack([x + radius * np.cos(turn), y + 3.0 * radius * np.sin(turn)])


def _bars() -> list[Floats]:
    ends = [np.array([middle - 0.024, middle + 0.024]) for middle in (-0.24, -0.14, -0.04, 0.06, 0.16)]
    return [_band(x, 0.95 * _back(x), 0.95 * _belly(x)) for x in ends]


def _stripe(low: float, high: float, *, x: Floats = _ALONG) -> Floats:
    """Between two shares of its height, along the body."""
    tall = _back(x) - _belly(x)
    return _band(x, _belly(x) + high * tall, _belly(x) + low * tall)


def _spots() -> list[Floats]:
    return [
        _disc(x, y, 0.019)
        for row, y in enumerate((0.26, 0.06, -0.14))
        for x in np.arange(-0.2 + 0.04 * (row % 2), 0.22, 0.085)
        if float(_belly(x)) + 0.1 < y < float(_back(x)) - 0.08
    ]


def _whole_back() -> list[Floats]:
    x = np.linspace(-0.29, 0.4, 16)
    return [_band(x, 0.97 * _back(x), _back(x) - 0.3 * (_back(x) - _belly(x)))]


def _across(low: float, high: float) -> list[Floats]:
    """The body between two distances from its middle."""
    x = np.linspace(low, high, 8)
    return [_band(x, 0.98 * _back(x), 0.98 * _belly(x))]


def _chequers() -> list[Floats]:
    """Squares by turns in three rows."""
    rows = ((0.08, 0.36), (0.36, 0.64), (0.64, 0.92))
    return [
        _stripe(*rows[row], x=np.linspace(left, left + 0.06, 3))
        for row in range(3)
        for left in np.arange(-0.28 + 0.06 * (row % 2), 0.22, 0.12)
    ]


def _blotches() -> list[Floats]:
    return [_disc(-0.17, 0.03, 0.05), _disc(0.0, 0.05, 0.06), _disc(0.17, 0.05, 0.05)]


_PATTERN = {
    "bars": _bars,
    "stripes": lambda: [_stripe(0.3, 0.42), _stripe(0.64, 0.76)],
    "spots": _spots,
    "blotches": _blotches,
    "chequers": _chequers,
    "band": lambda: _across(-0.02, 0.14),
    "back": _whole_back,
    "head": lambda: _across(0.275, 0.495),
    "mask": lambda: [np.array([[0.3, -0.02], [0.32, 0.16], [0.485, 0.06], [0.492, -0.02], [0.4, 0.0]])],
}


def _flat(outline: Floats) -> list[float]:
    return [round(float(value), 4) for value in outline.ravel()]
