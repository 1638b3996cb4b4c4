"""How every picture looks: one page size, text sizes, colours and marks of species, wrapped text.

A page is 1920 x 1080 pixels. No text is smaller than 18 points at 100 dots an inch (25 pixels, a
fortieth of the height), so that it can be read from the back of a club room.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any, NamedTuple, TypeAlias

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.colors import LinearSegmentedColormap, to_rgb
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D

WIDTH, HEIGHT, DPI = 1920, 1080, 100
SMALL, BODY, TITLE = 18, 20, 30  # points
Colour: TypeAlias = str | tuple[float, float, float] | tuple[float, float, float, float]

LINE = 1.28  # of a text's height, from line to line
MARGIN = 40  # pixels left free along the rim of a page
FONT = "DejaVu Sans"  # comes with matplotlib and has the signs for male and female

INK = "#1b1b1b"
FAINT = "#6a6a66"
PAPER = "#ffffff"

# Searched for in steps of equal lightness (CIE L* 20 to 72) so that they differ in grey too; neighbours
# in the list lie at least 17 steps of L* apart as far as the first four.
COLOURS = ("#b00441", "#a57c1e", "#0f3900", "#88bc9e", "#016ad9", "#a890bb", "#503969")
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
    short: str  # "T. duboisi"; the whole name where two species share the short one
    letter: str
    colour: str
    marker: str
    line: Any


class KeyEntry(NamedTuple):
    """A line of a key: marks drawn over one another, and what they mean."""

    marks: tuple[dict[str, Any], ...]  # keywords of Line2D
    text: str


def species_looks(species: Iterable[str]) -> dict[str, SpeciesLook]:
    """A look for each species, in order of first appearance.

    Beyond seven species colours come again, with another marker and line.
    """
    names = list(dict.fromkeys(species))
    letters = _letters(names)
    short = {name: _short(name) for name in names}
    shared = Counter(short.values())
    looks = {}
    for k, name in enumerate(names):
        turn = (k + k // len(COLOURS)) % len(MARKERS)
        looks[name] = SpeciesLook(
            name,
            short[name] if shared[short[name]] == 1 else name,
            letters[name],
            COLOURS[k % len(COLOURS)],
            MARKERS[turn],
            LINES[turn],
        )
    return looks


def _short(name: str) -> str:
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


# --- the page -----------------------------------------------------------------


def new_page() -> tuple[Figure, Axes]:
    """An empty page and axes over all of it whose units are pixels from the lower left corner."""
    figure = Figure(figsize=(WIDTH / DPI, HEIGHT / DPI), dpi=DPI, facecolor=PAPER)
    FigureCanvasAgg(figure)
    page = figure.add_axes((0, 0, 1, 1), zorder=-1)
    page.set(xlim=(0, WIDTH), ylim=(0, HEIGHT))
    page.set_axis_off()
    return figure, page


def axes_at(figure: Figure, *, x: float, y: float, width: float, height: float) -> Axes:
    """Axes with their lower left corner at a pixel of the page."""
    return figure.add_axes((x / WIDTH, y / HEIGHT, width / WIDTH, height / HEIGHT))


def write(axes: Axes, text: str, *, x: float, y: float, size: float = SMALL, **more: Any) -> Any:
    """Plain text; a dollar sign in a keeper's title is a dollar sign."""
    style: dict[str, Any] = {"fontsize": size, "family": FONT, "color": INK, "parse_math": False}
    return axes.text(x, y, text, **style | more)


def head(page: Axes, *, title: str, below: str) -> float:
    """Title and the line below it; returns the pixel where they end."""
    room = WIDTH - 2 * MARGIN
    write(page, cut(title, size=TITLE, room=room, bold=True), x=MARGIN, y=1024, size=TITLE, weight="bold")
    write(page, cut(below, size=BODY, room=room), x=MARGIN, y=984, size=BODY, color=FAINT)
    return 970.0


def foot(page: Axes, caption: str) -> float:
    """Caption along the bottom; returns the pixel where it begins."""
    lines = wrapped(caption, size=BODY, room=WIDTH - 2 * MARGIN)
    pitch = LINE * BODY * DPI / 72
    for k, line in enumerate(reversed(lines)):
        write(page, line, x=MARGIN, y=26 + k * pitch, size=BODY)
    return 26 + len(lines) * pitch


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
    """The text on one line, its end replaced by an ellipsis where it is wider than the room."""
    line = re.sub("[ \t\r\n]+", " ", text).strip(" ")
    if text_width(line, size=size, bold=bold) <= room:
        return line
    while line and text_width(line + "…", size=size, bold=bold) > room:
        line = line[:-1]
    return line.rstrip() + "…"


def wrapped(text: str, *, room: float, size: float = SMALL) -> list[str]:
    """Lines no wider than the room; a single word that is wider is cut."""
    lines: list[str] = []
    for word in text.split(" "):  # a no-break space keeps a number and its unit together
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size=size) <= room:
            lines[-1] = longer
        else:
            lines.append(cut(word, size=size, room=room))
    return lines


def name_of(look: SpeciesLook, *, room: float, tail: str = "") -> str:
    """Letter and name of a species, then ``tail``; the short name, or cut, where there is no room."""
    for name in (look.name, look.short):
        line = f"{look.letter}  {name}{tail}"
        if text_width(line) <= room:
            return line
    kept = room - text_width(tail)
    return cut(f"{look.letter} {look.short}", room=kept) + tail


# --- keys ---------------------------------------------------------------------

_KEY_PITCH = 36
KEY_SIGN = 62  # pixels for the mark before the words
_KEY_GAP = 36


def key_size(entries: Sequence[KeyEntry], *, room: float) -> tuple[int, float]:
    """How many columns of a key fit side by side, and how high it is, in pixels."""
    widest = max((text_width(entry.text) for entry in entries), default=0.0)
    columns = max(1, int((room + _KEY_GAP) // (min(widest + KEY_SIGN, room) + _KEY_GAP)))
    rows = -(-len(entries) // columns)
    columns = -(-len(entries) // rows) if rows else columns
    return columns, float(rows * _KEY_PITCH)


def draw_key(page: Axes, entries: Sequence[KeyEntry], *, x: float, top: float, room: float) -> None:
    """A key in as many columns as fit, read down the columns."""
    columns, height = key_size(entries, room=room)
    rows = round(height / _KEY_PITCH)
    pitch = (room + _KEY_GAP) / columns
    for k, entry in enumerate(entries):
        left = x + (k // rows) * pitch
        middle = top - (k % rows + 0.5) * _KEY_PITCH
        for mark in entry.marks:
            page.add_line(
                Line2D([left + 4, left + KEY_SIGN / 2 - 4, left + KEY_SIGN - 12], [middle] * 3, **mark)
            )
        words = cut(entry.text, room=pitch - _KEY_GAP - KEY_SIGN)
        write(page, words, x=left + KEY_SIGN, y=middle, va="center_baseline")
