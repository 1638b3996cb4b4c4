"""The tank of one trial from the front and from above: rock, crevices, territories and where each fish was."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Ellipse, Rectangle
from matplotlib.ticker import MultipleLocator
from numpy.typing import NDArray

from ...sim.tank import cell_centres_cm
from . import relief
from .captions import TAGGED, Names, names_of, subtitle, tank_caption
from .look import (
    FAINT,
    FONT,
    INK,
    KEY_SIGN,
    MARGIN,
    PAPER,
    SMALL,
    WIDTH,
    KeyEntry,
    SpeciesLook,
    axes_at,
    draw_key,
    foot,
    head,
    ink_on,
    key_size,
    luminance,
    name_of,
    new_page,
    text_width,
    write,
)
from .parts import TrialParts, main_place, territories
from .placing import spread

Floats = NDArray[np.float64]

CM_PER_INCH = 2.54
MARKS_WANTED = 1500  # in a picture; more blur, fewer hide the rare places
MINUTES = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240, 480)  # that a mark may stand for
KEY_SPECIES = 12  # of more, the key says how many are left out

_TURNS = 6  # fish are drawn a sixth of their marks at a time
_RING_POINTS = 72

WATER = "#e3eef3"
_WATER_LINE: dict[str, Any] = {"color": "#2a7fa0", "linewidth": 3, "linestyle": "-"}
GLASS = "#2d4a57"
MOUTH = "#141414"
_ROOM_LEFT, _ROOM_RIGHT, _ROOM_UNDER, _ROOM_OVER = 108.0, 108.0, 84.0, 84.0  # for ticks and their units
_KEY_BESIDE = 570.0


class View(NamedTuple):
    """From where one looks: the axes of the tank that run across and up the picture."""

    name: str
    across: int
    up: int
    up_label: str


FRONT = View("from the front", 0, 2, "height above the base")
ABOVE = View("from above", 0, 1, "from the front glass")


class Tag(NamedTuple):
    """A name in the picture and the place that it belongs to, cm across and up."""

    text: str
    anchor: Floats
    face: str
    edge: str


class Frame(NamedTuple):
    """Where tank and key lie on the page, pixels; scale in pixels a cm."""

    x: float
    y: float
    scale: float
    key_x: float
    key_top: float
    key_room: float


def tank_from_front(parts: TrialParts) -> Figure:
    """One trial through the front glass: water line, rock, crevices, territories, where each fish was."""
    return _tank(parts, FRONT)


def tank_from_above(parts: TrialParts) -> Figure:
    """The same looked down upon, the front glass at the bottom of the picture."""
    return _tank(parts, ABOVE)


def _tank(parts: TrialParts, view: View) -> Figure:
    names = names_of(parts)
    minutes = minutes_per_mark(parts)
    figure, page = new_page()
    top = head(page, title=f"Where the fish were, seen {view.name}", below=subtitle(parts))
    bottom = foot(page, tank_caption(parts, names, minutes=minutes, seen=view.name))
    entries = _key(parts, names, view, minutes)
    frame = _frame(parts, view, entries, top=top, bottom=bottom)
    width, height = _extent(parts, view)
    axes = axes_at(figure, x=frame.x, y=frame.y, width=width * frame.scale, height=height * frame.scale)
    axes.set(xlim=(0, width), ylim=(0, height), facecolor=PAPER)
    stone = _stone(parts, view)
    _draw_water_and_rock(axes, parts, view, stone)
    held = territories(parts)
    places = _refuge_places(parts)
    _draw_mouths(axes, parts, view, stone, places)
    _draw_territories(axes, parts, names, view, held, places)
    _draw_marks(axes, parts, names, view, minutes)
    _draw_glass(axes, parts, view)
    _draw_tags(axes, _tags(parts, names, view, held, places), scale=frame.scale)
    _rulers(axes, view, frame.scale)
    draw_key(page, entries, x=frame.key_x, top=frame.key_top, room=frame.key_room)
    return figure


# --- layout -------------------------------------------------------------------


def _extent(parts: TrialParts, view: View) -> tuple[float, float]:
    sides = (parts.spec.length_cm, parts.spec.width_cm, parts.spec.height_cm)
    return sides[view.across], sides[view.up]


def _frame(parts: TrialParts, view: View, entries: list[KeyEntry], *, top: float, bottom: float) -> Frame:
    """The key below a long tank, beside a square one: whichever leaves the tank larger."""
    width, height = _extent(parts, view)
    room = WIDTH - 2 * MARGIN
    frames = []
    for beside in (False, True):
        across = room - _ROOM_LEFT - _ROOM_RIGHT - (_KEY_BESIDE if beside else 0.0)
        key_room = _KEY_BESIDE if beside else room
        key_high = key_size(entries, room=key_room)[1]
        under = bottom + 20.0 + (0.0 if beside else key_high)
        up = top - under - _ROOM_UNDER - _ROOM_OVER
        scale = min(across / width, up / height)
        slack_x, slack_y = across - scale * width, up - scale * height
        x = MARGIN + _ROOM_LEFT + slack_x / 2
        y = under + _ROOM_UNDER + slack_y / 2
        if beside:
            frames.append(Frame(x, y, scale, WIDTH - MARGIN - _KEY_BESIDE, top - 40.0, key_room))
        else:
            frames.append(Frame(x, y, scale, float(MARGIN), under, key_room))
    below, side = frames
    return side if side.scale > below.scale else below


def _rulers(axes: Axes, view: View, scale: float) -> None:
    """Centimetres below and on the left, inches above and on the right."""
    cm = _step((1, 2, 5, 10, 20, 25, 50, 100), 80.0 / scale)
    inches = _step((1, 2, 3, 6, 12, 24, 48), 80.0 / scale / CM_PER_INCH)
    axes.xaxis.set_major_locator(MultipleLocator(cm))
    axes.yaxis.set_major_locator(MultipleLocator(cm))
    axes.set_xlabel("cm from the left end", fontsize=SMALL, family=FONT, color=INK)
    axes.set_ylabel(f"cm {view.up_label}", fontsize=SMALL, family=FONT, color=INK)
    conversion = (lambda x: x / CM_PER_INCH, lambda x: x * CM_PER_INCH)
    over = axes.secondary_xaxis("top", functions=conversion)
    right = axes.secondary_yaxis("right", functions=conversion)
    over.xaxis.set_major_locator(MultipleLocator(inches))
    right.yaxis.set_major_locator(MultipleLocator(inches))
    over.set_xlabel("inches", fontsize=SMALL, family=FONT, color=FAINT)
    right.set_ylabel("inches", fontsize=SMALL, family=FONT, color=FAINT)
    for each, colour in ((axes, INK), (over, FAINT), (right, FAINT)):
        each.tick_params(labelsize=SMALL, labelfontfamily=FONT, colors=colour, length=7, width=1.5)
        for spine in each.spines.values():
            spine.set_visible(False)


def _step(steps: tuple[int, ...], least: float) -> int:
    return next((step for step in steps if step >= least), steps[-1])


# --- tank, rock, crevices -----------------------------------------------------


def _draw_water_and_rock(axes: Axes, parts: TrialParts, view: View, stone: relief.Relief) -> None:
    width, height = _extent(parts, view)
    wet = parts.spec.water_cm if view is FRONT else height
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
        box.set(facecolor="#c8b79d", edgecolor="#4b3a22", hatch="//", linewidth=2, alpha=0.9)
        axes.add_patch(box)


def _stone(parts: TrialParts, view: View) -> relief.Relief:
    heights = relief.rock_heights(parts.rock, tank=parts.tank, spec=parts.spec)
    draw = relief.from_front if view is FRONT else relief.from_above
    return draw(heights, spec=parts.spec)


def _draw_glass(axes: Axes, parts: TrialParts, view: View) -> None:
    width, height = _extent(parts, view)
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
        axes.plot([0, width], water, zorder=2, **_WATER_LINE)
    else:
        axes.plot([0, 0, width, width, 0], [0, height, height, 0, 0], **glass)


def _refuge_places(parts: TrialParts) -> Floats:
    """Places of the refuges, [r, 3] cm: crevices where their mouth is, corners by their cell."""
    places = cell_centres_cm(parts.spec, parts.tank.xyz[parts.tank.refuge_cell])
    if parts.rock is not None and parts.rock.crevices:
        holes = parts.rock.crevices
        places[: len(holes)] = [(hole.x_cm, hole.y_cm, hole.z_cm) for hole in holes]
    return places


def _draw_mouths(axes: Axes, parts: TrialParts, view: View, stone: relief.Relief, places: Floats) -> None:
    """Crevices as wide as their mouth: dark where one sees them, a ring where rock stands before them."""
    surface = stone.surface_cm
    width, height = _extent(parts, view)
    for place, mouth, corner in zip(
        places, parts.tank.refuge_mouth_cm, parts.tank.refuge_corner, strict=True
    ):
        if corner:
            continue
        x, y = place[view.across], place[view.up]
        j = min(int(x / width * surface.shape[1]), surface.shape[1] - 1)
        i = min(int(y / height * surface.shape[0]), surface.shape[0] - 1)
        seen = surface[i, j] > place[1] - 3.0 if view is FRONT else surface[i, j] < place[2] + 3.0
        hole = Ellipse((x, y), mouth, 0.62 * mouth, zorder=2.2, linewidth=2)
        hole.set(facecolor=MOUTH if seen else "none", edgecolor=PAPER if seen else MOUTH)
        if not seen:
            hole.set_linestyle((0, (2, 1.5)))
        axes.add_patch(hole)


def _draw_territories(
    axes: Axes, parts: TrialParts, names: Names, view: View, held: dict[int, int], places: Floats
) -> None:
    width, height = _extent(parts, view)
    water = Rectangle(
        (0, 0), width, parts.spec.water_cm if view is FRONT else height, transform=axes.transData
    )
    for fish, refuge in held.items():
        look = names.looks[parts.species[fish]]
        x, y = places[refuge][view.across], places[refuge][view.up]
        for colour, width in ((PAPER, 6.0), (look.colour, 3.0)):
            ring = Circle(
                (x, y), parts.core_cm[fish], fill=False, edgecolor=colour, linewidth=width, zorder=2.5
            )
            ring.set_linestyle((0, (6, 3)) if width == 3.0 else "-")
            ring.set_alpha(0.6 if width == 6.0 else 1.0)
            axes.add_patch(ring)
            ring.set_clip_path(water)


# --- fish ---------------------------------------------------------------------


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


def _draw_marks(axes: Axes, parts: TrialParts, names: Names, view: View, minutes: float) -> None:
    """One mark for some minutes of a fish, strewn about its cell, no species on top; the worst-off fish black."""
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
            mark = _mark(names.looks[parts.species[i]], i == names.worst)
            axes.plot(some[:, view.across], some[:, view.up], **mark)


def _mark(look: SpeciesLook, worst: bool) -> dict[str, Any]:
    return {
        "linestyle": "none",
        "marker": look.marker,
        "markersize": 10.0 if worst else 7.0,
        "markerfacecolor": "#000000" if worst else look.colour,
        "markeredgecolor": PAPER,
        "markeredgewidth": 1.2 if worst else 0.7,
        "zorder": 3.5 if worst else 3.0,
    }


def _tags(parts: TrialParts, names: Names, view: View, held: dict[int, int], places: Floats) -> list[Tag]:
    """A tag for each fish, at its crevice when it holds a territory, else where it was most; one for each ring."""
    tags = []
    everybody = len(parts.here) <= TAGGED
    for i in map(int, parts.here):
        if not everybody and i not in held and i != names.worst:
            continue
        colour = "#000000" if i == names.worst else names.looks[parts.species[i]].colour
        spot = _anchor(parts, i, held, places)[[view.across, view.up]]
        tags.append(Tag(_tag_text(names, i, owner=i in held), spot, colour, colour))
    for i, refuge in held.items():
        colour = names.looks[parts.species[i]].colour
        spot = _on_ring(parts, view, places[refuge], parts.core_cm[i], [tag.anchor for tag in tags])
        if spot is not None:
            tags.append(Tag(names.code[i], spot, PAPER, colour))
    return tags


def _on_ring(
    parts: TrialParts, view: View, centre: Floats, radius: float, taken: list[Floats]
) -> Floats | None:
    """The point of a ring that is inside the picture and furthest from all that is named already."""
    angle = np.linspace(0.0, 2.0 * np.pi, _RING_POINTS, endpoint=False)
    ring = centre[[view.across, view.up]] + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    across, up = _extent(parts, view)
    low, high = 2.0, np.array([across, parts.spec.water_cm if view is FRONT else up]) - 2.0
    ring = ring[((ring > low) & (ring < high)).all(axis=1)]
    if not len(ring):
        return None
    distance = np.linalg.norm(ring[:, None, :] - np.array(taken)[None, :, :], axis=2).min(axis=1)
    return np.asarray(ring[distance.argmax()])


def _draw_tags(axes: Axes, tags: list[Tag], *, scale: float) -> None:
    """Tags beside their places, none on another; ``scale`` is pixels a cm."""
    if not tags:
        return
    anchors = np.array([tag.anchor for tag in tags])
    sizes = np.array([(text_width(tag.text, bold=True) + 12.0, 34.0) for tag in tags])
    high = np.array([axes.get_xlim()[1], axes.get_ylim()[1]]) * scale
    middles = spread(anchors * scale, sizes=sizes, low=np.zeros(2), high=high) / scale
    for tag, middle in zip(tags, middles, strict=True):
        line = np.array([tag.anchor, middle]).T
        axes.plot(*line, color=PAPER, linewidth=5, zorder=4)
        axes.plot(*line, color=tag.edge, linewidth=2.5, zorder=4.1)
        text = write(axes, tag.text, x=middle[0], y=middle[1], weight="bold", zorder=5)
        ink = tag.edge if tag.face == PAPER and luminance(tag.edge) < 0.18 else ink_on(tag.face)
        text.set(ha="center", va="center_baseline", color=ink)
        rim = tag.edge if tag.face == PAPER else PAPER
        text.set_bbox({"boxstyle": "round,pad=0.12", "facecolor": tag.face, "edgecolor": rim, "linewidth": 2})


def _tag_text(names: Names, fish: int, *, owner: bool) -> str:
    home = "⌂" if owner else ""
    return f"{home}{names.code[fish]}{' worst off' if fish == names.worst else ''}"


def _anchor(parts: TrialParts, fish: int, held: dict[int, int], places: Floats) -> Floats:
    if fish in held:
        return places[held[fish]]
    cells, _ = main_place(parts, fish)
    centres = cell_centres_cm(parts.spec, parts.tank.xyz[cells])
    return np.asarray(np.average(centres, axis=0, weights=parts.ledger.visits[fish][cells]))


# --- key ----------------------------------------------------------------------


def _key(parts: TrialParts, names: Names, view: View, minutes: float) -> list[KeyEntry]:
    """What every mark means, species first."""
    looks = list(names.looks.values())
    entries = [
        KeyEntry(
            (_mark(look, False) | {"markersize": 15.0, "markevery": [1]},),
            name_of(look, room=_KEY_BESIDE - KEY_SIGN, tail=f" ({names.count[look.name]})"),
        )
        for look in looks[:KEY_SPECIES]
    ]
    if len(looks) > KEY_SPECIES:
        entries.append(KeyEntry((), f"and {len(looks) - KEY_SPECIES} species more"))
    entries.append(KeyEntry((), f"one mark: {minutes:g} min of one fish"))
    if names.worst is not None:
        look = names.looks[parts.species[names.worst]]
        entries.append(
            KeyEntry(
                (_mark(look, True) | {"markersize": 15.0, "markevery": [1]},),
                f"{names.code[names.worst]}, the worst off",
            )
        )
    if territories(parts):
        ring = {"color": INK, "linewidth": 3, "linestyle": (0, (3, 1.5))}
        entries.append(KeyEntry((ring,), "⌂ holds a territory; its core"))
    if (~parts.tank.refuge_corner).any():
        hole = {
            "marker": "o",
            "markersize": 17,
            "markerfacecolor": MOUTH,
            "markeredgecolor": PAPER,
            "linestyle": "none",
            "markevery": [1],
        }
        entries.append(KeyEntry((hole,), "crevice (ring: behind rock)"))
    if view is FRONT:
        entries.append(KeyEntry((_WATER_LINE,), "water line"))
    if parts.objects:
        box = {"color": "#c8b79d", "linewidth": 16, "solid_capstyle": "butt"}
        entries.append(KeyEntry((box,), ", ".join(dict.fromkeys(it.kind for it in parts.objects))))
    return entries
