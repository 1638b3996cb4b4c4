"""How slides look: dark and light, few words, none smaller than a thirtieth of the height."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Rectangle

from .look import DPI, HEIGHT, MARGIN, WIDTH, axes_at, text_width, write

SMALL, BODY, HEAD, LARGE = 26.0, 31.0, 40.0, 54.0  # points; 26 are 36 pixels, a thirtieth of the height
ROOM = WIDTH - 2 * MARGIN
FOOT = 30.0  # pixel of the line along the bottom
FLOOR = 88.0  # pixel above which a slide may draw
CEILING = 948.0  # below its title


class Theme(NamedTuple):
    """Colours of a slide. Marks differ by filling and shape; colours only help."""

    name: str
    paper: str
    ink: str
    faint: str
    panel: str  # of boxes
    accent: str
    water: str
    stone: str

    @property
    def shades(self) -> LinearSegmentedColormap:
        """From none to much, even in grey."""
        return LinearSegmentedColormap.from_list(self.name, [self.panel, self.accent])


LIGHT = Theme("light", "#fbfaf6", "#15201f", "#4d5755", "#e8e6dd", "#0d5561", "#d9e9ee", "#8a8072")
DARK = Theme("dark", "#0f181b", "#f5f2e9", "#b9c1be", "#243136", "#93dbe2", "#1d3d48", "#8f8779")
THEMES = {theme.name: theme for theme in (DARK, LIGHT)}


class Canvas(NamedTuple):
    """A slide that is being drawn; units of ``page`` are pixels from the lower left corner."""

    figure: Figure
    page: Axes
    theme: Theme


def new_canvas(theme: Theme) -> Canvas:
    """An empty slide of 1920 x 1080 pixels."""
    figure = Figure(figsize=(WIDTH / DPI, HEIGHT / DPI), dpi=DPI, facecolor=theme.paper)
    FigureCanvasAgg(figure)
    page = figure.add_axes((0, 0, 1, 1), zorder=-1)
    page.set(xlim=(0, WIDTH), ylim=(0, HEIGHT))
    page.set_axis_off()
    return Canvas(figure, page, theme)


def axes_on(canvas: Canvas, *, x: float, y: float, width: float, height: float) -> Axes:
    """Axes at pixels of the slide, in its colours, without a frame but along the bottom."""
    theme = canvas.theme
    axes = axes_at(canvas.figure, x=x, y=y, width=width, height=height)
    axes.set_facecolor("none")
    axes.tick_params(colors=theme.ink, labelsize=SMALL, labelfontfamily="DejaVu Sans", length=9, width=2.5)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set(color=theme.ink, linewidth=2.5)
    return axes


def put(
    canvas: Canvas,
    text: str,
    *,
    x: float,
    y: float,
    size: float = SMALL,
    room: float | None = None,
    bold: bool = False,
    **more: Any,
) -> None:
    """One line of text; with ``room`` its end is cut where it is wider."""
    shown = text if room is None else cut(text, size=size, room=room, bold=bold)
    style: dict[str, Any] = {"color": canvas.theme.ink, "weight": "bold" if bold else "normal"}
    write(canvas.page, shown, x=x, y=y, size=size, **style | more)


def cut(text: str, *, size: float, room: float, bold: bool = False) -> str:
    """The text on one line, its end replaced by an ellipsis where it is wider than the room.

    Halves where to cut, since a slide measures many long names; letters that need more room as part of
    a longer word are not worth a search.
    """
    line = re.sub("[ \t\r\n]+", " ", text).strip(" ")
    if text_width(line, size=size, bold=bold) <= room:
        return line
    low, high = 0, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        fits = text_width(line[:middle].rstrip() + "\u2026", size=size, bold=bold) <= room
        low, high = (middle, high) if fits else (low, middle - 1)
    return line[:low].rstrip() + "\u2026"


def lines_in(text: str, *, size: float, room: float, most: int, bold: bool = False) -> list[str]:
    """At most so many lines no wider than the room; the last one cut where there would be more."""
    lines = wrapped_in(text, size=size, room=room, bold=bold)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], cut(" ".join(lines[most - 1 :]), size=size, room=room, bold=bold)]


def wrapped_in(text: str, *, size: float, room: float, bold: bool = False) -> list[str]:
    """Lines no wider than the room; a single word that is wider is cut."""
    lines: list[str] = []
    for word in text.split(" "):  # a no-break space keeps a number and its unit together
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size=size, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(cut(word, size=size, room=room, bold=bold))
    return lines


def block(
    canvas: Canvas,
    text: str,
    *,
    x: float,
    top: float,
    size: float,
    room: float,
    most: int,
    bold: bool = False,
    **more: Any,
) -> float:
    """A paragraph from ``top`` down; returns the pixel where it ends."""
    lines = lines_in(text, size=size, room=room, most=most, bold=bold)
    pitch = line_pitch(size)
    for k, line in enumerate(lines):
        put(canvas, line, x=x, y=top - (k + 0.8) * pitch, size=size, bold=bold, **more)
    return top - len(lines) * pitch


def line_pitch(size: float) -> float:
    """Pixels from line to line."""
    return 1.27 * size * DPI / 72


def fitting(
    text: str, *, sizes: Sequence[float], room: float, height: float, bold: bool = False
) -> tuple[float, int]:
    """The largest of these sizes in which a paragraph fits, and how many lines fit at it."""
    for size in sizes:
        most = int(height // line_pitch(size))
        if len(wrapped_in(text, size=size, room=room, bold=bold)) <= most:
            return size, most
    return sizes[-1], max(1, int(height // line_pitch(sizes[-1])))


def heading(canvas: Canvas, title: str) -> None:
    """The title of a slide, with a bar before it."""
    bar = Rectangle((MARGIN, 972), 14, 66, facecolor=canvas.theme.accent, edgecolor="none")
    canvas.page.add_patch(bar)
    put(canvas, title, x=MARGIN + 34, y=986, size=HEAD, room=ROOM - 34, bold=True)


def footing(canvas: Canvas, words: str, *, number: int, of: int) -> None:
    """What holds for the whole slide, and its number."""
    told = f"{number} / {of}"
    wide = text_width(told, size=SMALL)
    put(canvas, words, x=MARGIN, y=FOOT, room=ROOM - wide - 40, color=canvas.theme.faint)
    put(canvas, told, x=WIDTH - MARGIN, y=FOOT, ha="right", color=canvas.theme.faint)


def box(canvas: Canvas, *, x: float, y: float, width: float, height: float, **how: Any) -> None:
    """A panel with round corners from its lower left corner."""
    style: dict[str, Any] = {"facecolor": canvas.theme.panel, "edgecolor": "none", "linewidth": 0}
    shape = FancyBboxPatch((x, y), width, height, boxstyle="round,pad=0,rounding_size=16", **style | how)
    canvas.page.add_patch(shape)
