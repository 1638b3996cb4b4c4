"""Names of fish in a picture of the tank: each beside its place, none on another."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from ...sim.tank.tank import cell_centres_cm
from .captions import TAGGED, Names
from .look import INK, PAPER, ink_on, luminance, text_width, write
from .parts import TrialParts, View, extent, ground_seen, main_place, wet_height
from .placing import spread

Floats = NDArray[np.float64]

_TAG_HIGH = 34.0  # pixels


class Tag(NamedTuple):
    """A name in the picture and the place that it belongs to, cm across and up."""

    text: str
    anchor: Floats
    face: str
    edge: str


def tags_of(parts: TrialParts, names: Names, view: View, held: dict[int, int], places: Floats) -> list[Tag]:
    """Tags of fish, an owner's at its crevice, another's where it was most; and one for each ground.

    Of more than TAGGED fish only owners and the worst off have one.
    """
    tags = []
    everybody = len(parts.here) <= TAGGED
    for i in map(int, parts.here):
        if not everybody and i not in held and i != names.worst:
            continue
        colour = names.looks[parts.species[i]].wear(parts.label[i]).body
        spot = _anchor(parts, i, held, places)[[view.across, view.up]]
        tags.append(Tag(_tag_text(names, i, owner=i in held), spot, colour, colour))
    for i in held:
        colour = names.looks[parts.species[i]].wear(parts.label[i]).body
        on_border = _on_border(parts, i, view, [tag.anchor for tag in tags])
        if on_border is not None:
            tags.append(Tag(names.code[i], on_border, PAPER, colour))
    return tags


def _on_border(parts: TrialParts, fish: int, view: View, taken: list[Floats]) -> Floats | None:
    """The point of the border of its ground that is inside the picture and far from all that is named."""
    border = ground_seen(parts, fish, view)[1].mean(axis=1)
    across, _ = extent(parts, view)
    low, high = 2.0, np.array([across, wet_height(parts, view)]) - 2.0
    border = border[((border > low) & (border < high)).all(axis=1)]
    if not len(border):
        return None
    distance = np.linalg.norm(border[:, None, :] - np.array(taken)[None, :, :], axis=2).min(axis=1)
    return np.asarray(border[distance.argmax()])


def draw_tags(axes: Axes, tags: list[Tag], *, scale: float) -> None:
    """Tags beside their places, none on another; ``scale`` is pixels a cm."""
    if not tags:
        return
    anchors = np.array([tag.anchor for tag in tags])
    sizes = np.array([(text_width(tag.text, bold=True) + 12.0, _TAG_HIGH) for tag in tags])
    high = np.array([axes.get_xlim()[1], axes.get_ylim()[1]]) * scale
    middles = spread(anchors * scale, sizes=sizes, low=np.zeros(2), high=high) / scale
    for tag, middle in zip(tags, middles, strict=True):
        line = np.array([tag.anchor, middle]).T
        rim = INK if luminance(tag.edge) > 0.3 else PAPER
        axes.plot(*line, color=rim, linewidth=5, zorder=4)
        axes.plot(*line, color=tag.edge, linewidth=2.5, zorder=4.1)
        text = write(axes, tag.text, x=middle[0], y=middle[1], weight="bold", zorder=5)
        text.set(ha="center", va="center_baseline", color=ink_on(tag.face))
        rim = rim if tag.face == tag.edge else tag.edge
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
