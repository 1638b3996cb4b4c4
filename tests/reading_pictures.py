"""The words of a picture and where they stand; colours as eyes with other cones see them."""

from __future__ import annotations

import numpy as np
from matplotlib.axis import Axis
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from skimage.color import rgb2lab

# Matrices of linear RGB at full severity: Machado, Oliveira & Fernandes 2009, IEEE TVCG 15:1291-1298.
SIGHT = {
    "all cones": np.eye(3),
    "no L cones": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "no M cones": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no S cones": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}


def seen_with(colours: list[str], matrix: np.ndarray) -> np.ndarray:
    rgb = np.array([to_rgb(colour) for colour in colours])
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    seen = np.clip(linear @ matrix.T, 0, 1)
    return rgb2lab(np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055))


def written(figure: Figure) -> list[tuple[Text, Bbox]]:
    """All words of a picture with the box they fill, less the rim that letters seldom reach."""
    figure.draw_without_rendering()
    idle = idle_labels(figure)
    found = []
    for text in figure.findobj(Text):
        if text.get_visible() and text.get_text().strip() and id(text) not in idle:
            box = Text.get_window_extent(text)
            found.append((text, Bbox.from_extents(box.x0 + 1, box.y0 + 5, box.x1 - 1, box.y1 - 5)))
    return found


def idle_labels(figure: Figure) -> set[int]:
    """Labels of ticks that are not drawn: outside of their axis, or of axes without any."""
    idle = set()
    for axis in figure.findobj(Axis):
        drawn = {id(tick) for tick in axis._update_ticks()} if axis.axes.axison else set()
        for tick in [*axis.majorTicks, *axis.minorTicks]:
            if id(tick) not in drawn:
                idle |= {id(tick.label1), id(tick.label2)}
    return idle
