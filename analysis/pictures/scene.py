"""What is in the tank: water, rock, crevices, territories, and a mark for some minutes of each fish."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PatchCollection
from matplotlib.patches import Circle, Ellipse, Rectangle
from numpy.typing import NDArray

from ...sim.tank.tank import cell_centres_cm
from ..film.colour import lightness
from ..film.ground import block_sides_cm
from ..film.stones import mouths_of
from . import relief
from .captions import Names
from .look import INK, PAPER, SpeciesLook
from .parts import FRONT, TrialParts, View, extent, ground_seen, wet_height

Floats = NDArray[np.float64]

WORST = "*"  # the mark of the worst-off fish, whatever its species
MARKS_WANTED = 1500  # in a picture; more blur, fewer hide the rare places
MINUTES = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240, 480)  # that a mark may stand for

WATER = "#e3eef3"
GLASS = "#2d4a57"
MOUTH = "#141414"
BOX = "#c8b79d"
WATER_LINE: dict[str, Any] = {"color": "#2a7fa0", "linewidth": 3, "linestyle": "-"}
_PALE = 0.75  # from which a half of a mark melts into the water without a dark rim
_TURNS = 6  # fish are drawn a sixth of their marks at a time
CENTRE_CM = 2.5  # radius of the ring round the crevice of an owner
_BEHIND_CM = 3.0  # rock this far before a mouth hides it


def draw_water_and_rock(axes: Axes, parts: TrialParts, view: View, stone: relief.Relief) -> None:
    """Water, rock, and wood or equipment before it."""
    width, height = extent(parts, view)
    wet = wet_height(parts, view)
    axes.add_patch(Rectangle((0, 0), width, wet, facecolor=WATER, zorder=0))
    axes.imshow(
        stone.rgba,
        origin="lower",
        extent=(0, width, 0, height),
        aspect="auto",
        interpolation="bilinear",
        zorder=1,
    )
    for it in parts.objects:
        low = (it.x_cm, it.y_cm, it.z_cm)
        size = (it.length_cm, it.width_cm, it.height_cm)
        corner = (low[view.across], low[view.up])
        box = Rectangle(corner, size[view.across], size[view.up], zorder=1.5)
        box.set(facecolor=BOX, edgecolor="#4b3a22", hatch="//", linewidth=2, alpha=0.9)
        axes.add_patch(box)


def stone_of(parts: TrialParts, view: View) -> relief.Relief:
    """The rock as it looks from there."""
    heights = relief.rock_heights(parts.rock, tank=parts.tank, spec=parts.spec)
    draw = relief.from_front if view is FRONT else relief.from_above
    return draw(heights, spec=parts.spec)


def draw_glass(axes: Axes, parts: TrialParts, view: View) -> None:
    """The glass, open above, and the water line; from above the four panes."""
    width, height = extent(parts, view)
    glass: dict[str, Any] = {
        "color": GLASS,
        "linewidth": 6,
        "solid_capstyle": "butt",
        "zorder": 6,
        "clip_on": False,
    }
    if view is FRONT:
        axes.plot([0, 0, width, width], [height, 0, 0, height], **glass)
        water = [parts.spec.water_cm] * 2
        axes.plot([0, width], water, zorder=2, **WATER_LINE)
    else:
        axes.plot([0, 0, width, width, 0], [0, height, height, 0, 0], **glass)


def refuge_places(parts: TrialParts) -> Floats:
    """Places of the refuges, [r, 3] cm: a crevice of known rock by its mouth, all others by their cell."""
    return mouths_of(parts.tank, parts.rock, spec=parts.spec)


def draw_mouths(axes: Axes, parts: TrialParts, view: View, stone: relief.Relief, places: Floats) -> None:
    """Crevices as wide as their mouth: dark where one sees them, a ring where rock hides them.

    From above a mouth is a slit across the way that it faces.
    """
    surface = stone.surface_cm
    size = extent(parts, view)
    turns = _turns_from_above(parts, len(places))
    for k in np.flatnonzero(~parts.tank.refuge_corner):
        place, mouth = places[k], parts.tank.refuge_mouth_cm[k]
        x, y = place[view.across], place[view.up]
        i = min(int(y / size[1] * surface.shape[0]), surface.shape[0] - 1)
        j = min(int(x / size[0] * surface.shape[1]), surface.shape[1] - 1)
        if view is FRONT:
            seen = surface[i, j] > place[1] - _BEHIND_CM
            hole = Ellipse((x, y), mouth, 0.62 * mouth)
        else:
            seen = surface[i, j] < place[2] + _BEHIND_CM
            hole = Ellipse((x, y), mouth, 0.4 * mouth, angle=turns[k])
        hole.set(facecolor=MOUTH if seen else "none", edgecolor=PAPER if seen else MOUTH)
        hole.set(zorder=2.2, linewidth=2, linestyle="-" if seen else (0, (2, 1.5)))
        axes.add_patch(hole)


def _turns_from_above(parts: TrialParts, refuges: int) -> Floats:
    """Degrees by which each mouth is turned, seen from above; 0 where its direction is not known."""
    turns = np.zeros(refuges)
    for k, hole in enumerate(parts.rock.crevices if parts.rock is not None else ()):
        if np.hypot(*hole.outward[:2]) > 0:
            turns[k] = np.degrees(np.arctan2(hole.outward[1], hole.outward[0])) + 90.0
    return turns


def draw_territories(
    axes: Axes, parts: TrialParts, names: Names, view: View, held: dict[int, int], places: Floats
) -> None:
    """A ring round the crevice of each owner, and the ground that it holds: its blocks tinted, its border."""
    width, height = extent(parts, view)
    water = Rectangle((0, 0), width, wet_height(parts, view), transform=axes.transData)
    for fish, refuge in held.items():
        look = names.looks[parts.species[fish]]
        wear = look.wear(parts.label[fish])
        x, y = places[refuge][view.across], places[refuge][view.up]
        blocks, border = ground_seen(parts, fish, view)
        wide, high = block_sides_cm(parts.tank, parts.spec)[[view.across, view.up]]
        squares = [Rectangle((float(low), float(up)), wide, high) for low, up in blocks]
        tint = PatchCollection(squares, facecolor=wear.body, edgecolor="none", alpha=0.15, zorder=2.4)
        axes.add_collection(tint, autolim=False)
        tint.set_clip_path(water)
        for colour, thick in ((wear.rim, 6.0), (wear.body, 3.0)):
            rim = LineCollection(list(border), colors=colour, linewidths=thick, zorder=2.5, capstyle="round")
            rim.set_alpha(0.6 if thick == 6.0 else 1.0)
            axes.add_collection(rim, autolim=False)
            rim.set_clip_path(water)
            ring = Circle((x, y), CENTRE_CM, fill=False, edgecolor=colour, linewidth=thick, zorder=2.5)
            axes.add_patch(ring)
            ring.set_clip_path(water)


def minutes_per_mark(parts: TrialParts) -> float:
    """Minutes of one fish that a mark stands for, so that a picture holds about MARKS_WANTED."""
    wanted = parts.lit_h.sum() * 60.0 / MARKS_WANTED
    return float(next((minutes for minutes in MINUTES if minutes >= wanted), MINUTES[-1]))


def marked_cells(visits: NDArray[np.int64], *, per_mark: float) -> NDArray[np.int64]:
    """Cells of the marks of one fish: one for every ``per_mark`` ticks, taken in the order of the cells."""
    total = int(visits.sum())
    count = round(total / per_mark)
    if count == 0:
        return np.empty(0, dtype=np.int64)
    at = (np.arange(count) + 0.5) * (total / count)
    return np.searchsorted(np.cumsum(visits), at, side="right").astype(np.int64)


def draw_marks(axes: Axes, parts: TrialParts, names: Names, view: View, minutes: float) -> None:
    """One mark for some minutes of a fish, strewn about its cell, no species on top; a star if worst off."""
    strew = np.random.default_rng(0)  # where about its cell a mark lies means nothing
    centres = cell_centres_cm(parts.spec, parts.tank.xyz)
    limits = np.array([parts.spec.length_cm, parts.spec.width_cm, parts.spec.water_cm])
    spots = {}
    for i in parts.here:
        cells = marked_cells(parts.ledger.visits[i], per_mark=minutes * 60.0 / parts.tick_s)
        spot = centres[cells] + strew.normal(0.0, 0.4, (len(cells), 3)) * parts.tank.edge_cm
        spots[i] = np.clip(strew.permutation(spot), 0.7, limits - 0.7)
    for turn in range(_TURNS):
        for i, spot in spots.items():
            some = spot[turn::_TURNS]
            mark = mark_of(names.looks[parts.species[i]], parts.label[i], i == names.worst)
            axes.plot(some[:, view.across], some[:, view.up], **mark)


def mark_of(look: SpeciesLook, label: str, worst: bool) -> dict[str, Any]:
    """The mark of a fish: its species' shape, half in each of its two colours."""
    wear = look.wear(label)
    return {
        "linestyle": "none",
        "marker": WORST if worst else look.marker,
        "markersize": 15.0 if worst else 8.0,
        "fillstyle": "full" if worst else "left",
        "markerfacecolor": wear.body,
        "markerfacecoloralt": wear.second,
        "markeredgecolor": INK if worst or lightness(wear.second) > _PALE else wear.rim,
        "markeredgewidth": 1.4 if worst else 0.7,
        "zorder": 3.5 if worst else 3.0,
    }
