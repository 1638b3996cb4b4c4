"""How every picture looks: one page size, text sizes, colours and marks of species, wrapped text.

A page is 1920 x 1080 pixels. No text is smaller than 18 points at 100 dots an inch (25 pixels, a
fortieth of the height), so that it can be read from the back of a club room.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple, TypeAlias

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.colors import LinearSegmentedColormap, to_rgb
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from ...sim.species.species import Species
from ..film.wear import Wear, wear_of_sexes

WIDTH, HEIGHT, DPI = 1920, 1080, 100
SMALL, BODY, TITLE = 18, 20, 30  # points
Colour: TypeAlias = str | tuple[float, float, float] | tuple[float, float, float, float]

MARGIN = 40  # pixels left free along the rim of a page
ROOM = WIDTH - 2 * MARGIN
FONT = "DejaVu Sans"  # comes with matplotlib and has the signs for male and female

INK = "#1b1b1b"
FAINT = "#6a6a66"
PAPER = "#ffffff"

BLUE = "#016ad9"  # of what is told in a chart
MARKERS = ("o", "^", "s", "D", "v", "P", "X")
LINES: tuple[Any, ...] = (
    "-",
    (0, (6, 2)),
    (0, (1.5, 1.5)),
    (0, (7, 2, 1.5, 2)),
    (0, (12, 3)),
    (0, (3, 1.5, 1, 1.5, 1, 1.5)),
    (0, (2, 4)),
)
RATE_MAP = LinearSegmentedColormap.from_list("chases", ["#f3f6f5", "#9bbcbd", "#3f7f86", "#033b45"])


class SpeciesLook(NamedTuple):
    """How a species is drawn. Letter, marker and line tell species apart where colours do not."""

    name: str
    short: str  # as the keeper typed it, else "T. duboisi"; whole where two species share the short one
    letter: str
    marker: str
    line: Any  # of its curve, and of the outline of its fish
    female: Wear
    male: Wear

    @property
    def colour(self) -> str:
        """Of what stands for the whole species: the body of a male."""
        return self.male.body

    @property
    def full(self) -> str:
        """The scientific name, beside the one that the keeper typed where it is another."""
        return self.name if self.short in (self.name, short_name(self.name)) else f"{self.short}, {self.name}"

    def wear(self, label: str) -> Wear:
        """What one fish wears, by its label; a fish of no sex in it as a male."""
        return self.female if "female" in label.removeprefix(self.name) else self.male


class KeyEntry(NamedTuple):
    """A line of a key: marks drawn over one another, and what they mean."""

    marks: tuple[dict[str, Any], ...]  # keywords of Line2D
    text: str


def species_looks(
    species: Iterable[str],
    kinds: Mapping[str, Species] | None = None,
    typed: Mapping[str, str] = MappingProxyType({}),
) -> dict[str, SpeciesLook]:
    """A look for each species, in order of first appearance.

    Beyond seven species markers come again, with another line.

    Parameters
    ----------
    kinds : what is known of them, as a scenario has it; the library without.
    typed : common names of some of them, which stand for the scientific ones.
    """
    names = list(dict.fromkeys(species))
    letters = _letters(names)
    shared = Counter(map(short_name, names))
    looks = {}
    for k, name in enumerate(names):
        marker, line = MARKERS[k % len(MARKERS)], LINES[(k + k // len(MARKERS)) % len(LINES)]
        short = typed.get(name) or (short_name(name) if shared[short_name(name)] == 1 else name)
        looks[name] = SpeciesLook(name, short, letters[name], marker, line, *wear_of_sexes(name, kinds))
    return looks


def short_name(name: str) -> str:
    """ "T. duboisi"."""
    genus, _, rest = name.partition(" ")
    return f"{genus[:1]}. {rest}" if rest else name


def _letters(names: Sequence[str]) -> dict[str, str]:
    """A letter a species: that of its genus, else of its epithet, else the first free one.

    Species that share the letter of their genus come second, so that they take nobody else's.
    """
    genus = Counter(name[:1].upper() for name in names)
    alphabet = [chr(ord("A") + k) for k in range(26)]
    spare = alphabet + [first + second for first in alphabet for second in alphabet]
    letters: dict[str, str] = {}
    for name in sorted(names, key=lambda name: genus[name[:1].upper()] > 1):
        own = [word[0].upper() for word in name.split() if word[0].isalpha()]
        letters[name] = next(letter for letter in own + spare if letter not in letters.values())
    return letters


def luminance(colour: Colour) -> float:
    """Relative luminance of an sRGB colour, 0 black to 1 white. Source: IEC 61966-2-1."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return float(0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])


def ink_on(colour: Colour) -> str:
    """Black or white, whichever stands out more from a colour (0.179: where both contrasts are equal)."""
    return INK if luminance(colour) > 0.179 else PAPER


# --- text of known width ------------------------------------------------------


@cache
def _renderer() -> RendererAgg:
    return RendererAgg(WIDTH, HEIGHT, DPI)


@cache
def text_width(text: str, *, size: float = SMALL, bold: bool = False) -> float:
    """Width in pixels."""
    font = FontProperties(family=FONT, size=size, weight="bold" if bold else "normal")
    return float(_renderer().get_text_width_height_descent(text, font, False)[0])


def cut(text: str, *, room: float, size: float = SMALL, bold: bool = False) -> str:
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
        fits = text_width(line[:middle].rstrip() + "…", size=size, bold=bold) <= room
        low, high = (middle, high) if fits else (low, middle - 1)
    return line[:low].rstrip() + "…"


def wrapped(text: str, *, room: float, size: float = SMALL, bold: bool = False, most: int = 0) -> list[str]:
    """Lines no wider than the room; a single word that is wider is cut, as is the last of ``most`` lines."""
    lines: list[str] = []
    for word in text.replace(" %", "\u00a0%").split(" "):  # a no-break space keeps a number and its unit
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size=size, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(cut(word, size=size, room=room, bold=bold))
    if not most or len(lines) <= most:
        return lines
    return [*lines[: most - 1], cut(" ".join(lines[most - 1 :]), size=size, room=room, bold=bold)]


def key_names(looks: Sequence[SpeciesLook], *, room: float, tails: Sequence[str]) -> list[str]:
    """Letter and name of some species, then their tails; all short names, or cut, where one lacks room."""
    told = list(zip(looks, tails, strict=True))
    whole = [f"{look.letter}: {look.full}{tail}" for look, tail in told]
    if all(text_width(line) <= room for line in whole):
        return whole
    return [cut(f"{look.letter}: {look.short}", room=room - text_width(tail)) + tail for look, tail in told]


def write(axes: Axes, text: str, *, x: float, y: float, size: float = SMALL, **more: Any) -> Any:
    """Plain text; a dollar sign in a keeper's title is a dollar sign."""
    style: dict[str, Any] = {"fontsize": size, "family": FONT, "color": INK, "parse_math": False}
    return axes.text(x, y, text, **style | more)


def casing(axes: Axes, x: Any, y: Any, *, colour: str, wide: float, width: float, **how: Any) -> None:
    """A line with a pale rim of its own that shows on any ground."""
    for shade, points in ((PAPER, wide), (colour, width)):
        axes.plot(x, y, color=shade, linewidth=points, **how)


# --- keys ---------------------------------------------------------------------

_KEY_PITCH, _KEY_GAP = 36, 36
KEY_SIGN = 74  # pixels for the marks before the words, two beside each other at most


def key_size(entries: Sequence[KeyEntry], *, room: float) -> tuple[int, float]:
    """How many columns of a key fit side by side, and how high it is, in pixels."""
    widest = max((text_width(entry.text) for entry in entries), default=0.0)
    columns = max(1, int((room + _KEY_GAP) // (min(widest + KEY_SIGN, room) + _KEY_GAP)))
    rows = -(-len(entries) // columns)
    columns = -(-len(entries) // rows) if rows else columns
    return columns, float(rows * _KEY_PITCH)


# --- the page -----------------------------------------------------------------


class Page:
    """A page that is being drawn: x, y and room in its unit from the lower left corner, text in points."""

    unit = 1.0  # pixels
    small: float = SMALL  # size of text of which nothing else is said
    leading = 1.28  # of a text's height, from line to line
    ink, faint = INK, FAINT

    def __init__(self, width: float = WIDTH, height: float = HEIGHT, *, paper: str = PAPER) -> None:
        self.width, self.height = width, height
        self.paragraphs = 0  # that were set; the lines of one share their number as gid
        size = (width * self.unit / DPI, height * self.unit / DPI)
        self.figure = Figure(figsize=size, dpi=DPI, facecolor=paper)
        FigureCanvasAgg(self.figure)
        self.axes = self.figure.add_axes((0, 0, 1, 1), zorder=-1)
        self.axes.set(xlim=(0, width), ylim=(0, height))
        self.axes.set_axis_off()

    def put(
        self, text: str, x: float, y: float, *, size: float = 0, room: float = 0, bold: bool = False,
        level: bool = False, centred: bool = False, **more: Any,
    ) -> Any:  # fmt: skip
        """One line of text; with ``room`` its end is cut where it is wider.

        Its base line lies at y, with ``level`` its middle; with ``centred`` x and y are its middle.
        """
        size = size or self.small
        shown = cut(text, size=size, room=room * self.unit, bold=bold) if room else text
        style: dict[str, Any] = {"color": self.ink, "weight": "bold" if bold else "normal"}
        style |= {"va": "center_baseline"} if level or centred else {}
        style |= {"ha": "center"} if centred else {}
        return write(self.axes, shown, x=x, y=y, size=size, **style | more)

    def wide(self, text: str, *, size: float = 0, bold: bool = False) -> float:
        """Width of a text."""
        return text_width(text, size=size or self.small, bold=bold) / self.unit

    def lines(
        self, text: str, *, room: float, size: float = 0, bold: bool = False, most: int = 0
    ) -> list[str]:
        """See :func:`wrapped`."""
        return wrapped(text, size=size or self.small, room=room * self.unit, bold=bold, most=most)

    def pitch(self, size: float = 0) -> float:
        """From line to line."""
        return self.leading * (size or self.small) * DPI / 72 / self.unit

    def heights(self, count: int, middle: float, *, size: float = 0) -> list[float]:
        """Where so many lines stand one below the other about a middle."""
        return [middle + (count / 2 - k - 0.5) * self.pitch(size) for k in range(count)]

    def block(
        self, text: str, x: float, top: float, *, room: float, size: float = 0, most: int = 0,
        bold: bool = False, **more: Any,
    ) -> float:  # fmt: skip
        """A paragraph from ``top`` down; returns where it ends."""
        lines, pitch = self.lines(text, size=size, room=room, most=most, bold=bold), self.pitch(size)
        self.paragraphs += 1
        for k, line in enumerate(lines):
            self.put(
                line, x, top - (k + 0.8) * pitch, size=size, bold=bold, gid=f"p{self.paragraphs}", **more
            )
        return top - len(lines) * pitch

    def upwards(self, lines: Sequence[str], low: float, *, size: float = 0, pitch: float = 0) -> float:
        """Lines along the bottom, the last one at ``low``; returns where they begin."""
        pitch = pitch or self.pitch(size)
        for k, line in enumerate(reversed(lines)):
            self.put(line, MARGIN, low + k * pitch, size=size)
        return low + len(lines) * pitch

    def fitting(
        self, text: str, *, sizes: Sequence[float], room: float, height: float, bold: bool = False
    ) -> dict[str, Any]:
        """Keywords of :meth:`block`: the largest of these sizes in which all of a paragraph fits."""
        for size in sizes:
            most = int(height // self.pitch(size))
            if len(self.lines(text, size=size, room=room, bold=bold)) <= most:
                break
        return {"size": size, "most": max(1, most), "room": room, "bold": bold}

    def rect(self, x: float, y: float, width: float, height: float, **how: Any) -> Rectangle:
        """A rectangle from its lower left corner."""
        self.axes.add_patch(one := Rectangle((x, y), width, height, **how))
        return one

    def axes_at(self, *, x: float, y: float, width: float, height: float) -> Axes:
        """Axes with their lower left corner at a place of the page."""
        box = (x / self.width, y / self.height, width / self.width, height / self.height)
        return self.figure.add_axes(box)

    def key(self, entries: Sequence[KeyEntry], *, x: float, top: float, room: float) -> None:
        """A key in as many columns as fit, read down the columns."""
        columns, height = key_size(entries, room=room)
        rows, pitch = round(height / _KEY_PITCH), (room + _KEY_GAP) / columns
        for k, entry in enumerate(entries):
            left = x + (k // rows) * pitch
            middle = top - (k % rows + 0.5) * _KEY_PITCH
            ends = [left + 14, left + 32, left + 50]  # so that two marks keep off each other and the words
            for mark in entry.marks:
                self.axes.add_line(Line2D(ends, [middle] * 3, **mark))
            self.put(entry.text, left + KEY_SIGN, middle, room=pitch - _KEY_GAP - KEY_SIGN, level=True)
