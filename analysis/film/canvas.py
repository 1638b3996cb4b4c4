"""Pillow drawings with soft edges: polygons and lines drawn larger and shrunk, text in a known font."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

Floats = NDArray[np.float64]

FINE = 3  # drawn so many times larger


@cache
def font(size: int, *, bold: bool = False) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """A font that comes with the package for plots; Pillow's own where it is not there."""
    spec = find_spec("matplotlib")
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    for place in (spec.submodule_search_locations or ()) if spec else ():
        path = Path(place) / "mpl-data" / "fonts" / "ttf" / name
        if path.is_file():
            return ImageFont.truetype(str(path), size)
    return ImageFont.load_default(size)


def cut(text: str, *, size: int, room: float, bold: bool = False) -> str:
    """The text on one line, its end replaced by an ellipsis where it is wider than the room."""
    line, face = " ".join(text.split()), font(size, bold=bold)
    if face.getlength(line) <= room:
        return line
    low, high = 0, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if face.getlength(line[:middle] + "…") <= room else (low, middle - 1)
    return line[:low].rstrip() + "…"


@lru_cache(maxsize=200)
def _lettered(text: str, size: int, bold: bool) -> tuple[Image.Image, tuple[int, int]]:
    """One line as a mask, and where its left end and middle line lie in it."""
    face = font(size, bold=bold)
    left, top, right, bottom = (int(edge) for edge in face.getbbox(text or " ", anchor="lm"))
    mask = Image.new("L", (right - left + 2, bottom - top + 2))
    ImageDraw.Draw(mask).text((1 - left, 1 - top), text, font=face, fill=255, anchor="lm")
    return mask, (1 - left, 1 - top)


def write(
    image: Image.Image,
    text: str,
    x: float,
    y: float,
    *,
    size: int,
    colour: str,
    bold: bool = False,
    anchor: str = "l",
    room: float = math.inf,
) -> None:
    """One line of text, its left end ("l"), middle ("m") or right end ("r") at x, its middle line at y."""
    text = cut(text, size=size, room=room, bold=bold)
    mask, (left, middle) = _lettered(text, size, bold)
    back = {"l": 0.0, "m": 0.5, "r": 1.0}[anchor] * font(size, bold=bold).getlength(text)
    image.paste(colour, (round(x - back) - left, round(y) - middle), mask)


def fill(image: Image.Image, colour: str, x: float, y: float, wide: float, tall: float) -> None:
    """A rectangle about a middle, from there so far to each side."""
    image.paste(colour, (round(x - wide), round(y - tall), round(x + wide), round(y + tall)))


def soft(
    image: Image.Image, outlines: Sequence[Floats], colour: str, *, width: float = 0.0, alpha: float = 1.0
) -> None:
    """Polygons [k, 2], or lines of a width, in one colour with soft edges."""
    every = np.concatenate(list(outlines))
    low = np.maximum(np.floor(every.min(axis=0) - width - 1), 0).astype(int)
    high = np.minimum(np.ceil(every.max(axis=0) + width + 1), image.size).astype(int)
    if (high <= low).any():
        return
    wide, tall = (int(side) for side in high - low)
    mask = Image.new("L", (wide * FINE, tall * FINE))
    ink = ImageDraw.Draw(mask)
    for outline in outlines:
        points = [(float(x), float(y)) for x, y in (outline - low) * FINE]
        if width > 0:
            ink.line(points, fill=round(255 * alpha), width=max(1, round(width * FINE)), joint="curve")
        else:
            ink.polygon(points, fill=round(255 * alpha))
    image.paste(colour, (int(low[0]), int(low[1])), mask.reduce(FINE))


def ellipse(x: float, y: float, wide: float, tall: float) -> Floats:
    """An ellipse as a polygon."""
    turn = np.linspace(0, 2 * np.pi, 37)[:-1]
    return np.column_stack([x + wide * np.cos(turn), y + tall * np.sin(turn)])
