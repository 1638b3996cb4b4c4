"""Fish on slides: small ones that are counted, and large ones in the looks of their species."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from numpy.typing import NDArray

from ..film.fish import FINS, OUTLINED, colours, dashes, marks_of, patterns, shapes
from ..film.wear import Wear
from .look import SpeciesLook
from .talk_look import Canvas

Floats = NDArray[np.float64]
DEPTH = 0.40  # of a counted fish, in its lengths


class Token(NamedTuple):
    """A fish that stands for one of something; filled or open."""

    x: float
    y: float
    filled: bool


@cache
def _silhouette() -> tuple[Floats, ...]:
    """Fins and body of a calm fish, the body last, [k, 2] in lengths; it swims to the left."""
    layers = [(what, np.array(flat).reshape(-1, 2)) for what, flat in shapes()["calm"]]
    wanted = [outline for what, outline in layers if what in FINS][:3]
    wanted += [outline for what, outline in layers if what == "body"]
    return tuple(outline * (-1.0, DEPTH) for outline in wanted)


def tokens(
    canvas: Canvas, some: Sequence[Token], *, long: float, fill: str = "", edge: str = "", width: float = 2.2,
    zorder: float = 3.0,
) -> None:  # fmt: skip
    """Draw fish that are counted, ``long`` pixels each."""
    ink = edge or canvas.ink
    faces = [(fill or ink) if one.filled else canvas.theme.paper for one in some]
    style: dict[str, Any] = {"facecolors": faces, "edgecolors": ink, "linewidths": width, "zorder": zorder}
    for outline in _silhouette():
        polygons = [outline * long + (one.x, one.y) for one in some]
        canvas.axes.add_collection(PolyCollection(polygons, **style), autolim=False)


def grid_of(
    hits: int, of: int, *, x: float, y: float, columns: int, step: tuple[float, float], upwards: bool = False
) -> list[Token]:
    """``of`` fish in rows of ``columns``, the first ``hits`` filled.

    Parameters
    ----------
    x, y : middle of the first one.
    step : to the next one, and to the next row.
    upwards : rows go up, not down.
    """
    turn = 1.0 if upwards else -1.0
    return [
        Token(x + (k % columns) * step[0], y + turn * (k // columns) * step[1], k < hits) for k in range(of)
    ]


def both_sexes(
    axes: Axes, look: SpeciesLook, *, x: float, y: float, room: float, long: float, zorder: float = 3.0
) -> None:
    """A male, and behind it a female where she wears something else; x is the middle of the room."""
    if look.male == look.female:
        species_fish(axes, look, look.male, x=x, y=y, long=min(long, room), zorder=zorder)
        return
    long = min(long, 0.62 * room)
    for wear, turn in ((look.female, 1.0), (look.male, -1.0)):
        aside, up = turn * (room - long) / 2, turn * 0.12 * long
        species_fish(axes, look, wear, x=x + aside, y=y + up, long=long, zorder=zorder - 0.1 * turn)


def species_fish(
    axes: Axes, look: SpeciesLook, wear: Wear, *, x: float, y: float, long: float, deep: float = 0.36,
    left: bool = False, zorder: float = 3.0, rasterized: bool = False,
) -> None:  # fmt: skip
    """A fish in what it wears, outlined as its species is, with a pale rim that shows on any ground."""
    own, thin = colours(wear), max(0.7, long / 150)
    scale = np.array([-long if left else long, long * deep])

    def placed(flat: list[float]) -> Floats:
        return np.array(flat).reshape(-1, 2) * scale + (x, y)

    layers = [(what, placed(flat)) for what, flat in shapes()["calm"] if what != "line"]
    rims = [outline for what, outline in layers if what in OUTLINED]
    line: Any = (0, [2 * part for part in dashes(look.line)]) if dashes(look.line) else "solid"
    drawn: list[Any] = [(rim, own["halo"], own["halo"], 5.5 * thin, "solid") for rim in rims]
    drawn += [(rim, "none", own["ink"], 3.0 * thin, line) for rim in rims]
    for what, outline in layers:
        face = own[{"eye": "halo", "pupil": "ink"}.get(what, what)]
        edge = own["ink"] if what in ("fin", "dorsal") else "none"
        drawn.append((outline, face, edge, 0.6 * thin, "solid"))
        for mark in marks_of(wear) if what == "belly" else ():
            drawn += [(placed(flat), own[mark], "none", 0.0, "solid") for flat in patterns()[mark]]
    polygons, faces, edges, widths, lines = zip(*drawn, strict=True)
    style: dict[str, Any] = {"facecolors": faces, "edgecolors": edges, "linewidths": widths}
    collection = PolyCollection(polygons, linestyles=lines, zorder=zorder, **style)
    collection.set_rasterized(rasterized)
    axes.add_collection(collection, autolim=False)
