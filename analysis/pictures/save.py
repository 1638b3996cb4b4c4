"""Pictures as PNG, with the words for those who have them read to them inside."""

from __future__ import annotations

import io
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from matplotlib.figure import Figure

from ..document.writing import write_bytes
from .captions import day_caption, matrix_caption, names_of, subtitle, tank_caption
from .chase_table import NUMBERED, who_chased_whom
from .day import chases_over_the_day
from .look import DPI
from .parts import TrialParts
from .scene import minutes_per_mark
from .tank import tank_from_above, tank_from_front

Place = str | os.PathLike[str]


class SavedPicture(NamedTuple):
    """A picture file and the words under the picture, which also are its alternative text."""

    path: Path
    caption: str


class Picture(NamedTuple):
    """A picture that is drawn: the name of its file, the PNG and its caption."""

    name: str
    png: bytes
    caption: str


def png_of(figure: Figure, *, title: str, caption: str) -> bytes:
    """A PNG of 1920 x 1080 pixels; title and caption stand in it as ``Title`` and ``Description``."""
    told = io.BytesIO()
    figure.savefig(told, format="png", dpi=DPI, metadata={"Title": title, "Description": caption})
    return told.getvalue()


def save_figure(figure: Figure, path: Place, *, title: str, caption: str) -> SavedPicture:
    """Write a picture as a PNG of 1920 x 1080 pixels, replacing a file of that name.

    The caption stands in the file's ``Description`` too, for those who have the picture read to them.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    return SavedPicture(write_bytes(path, png_of(figure, title=title, caption=caption)), caption)


def trial_pictures(parts: TrialParts) -> Iterator[Picture]:
    """The four pictures of a trial, in the order in which a speaker shows them.

    Parameters
    ----------
    parts : see :func:`rockshy.analysis.pictures.parts_of`.
    """
    names = names_of(parts)
    minutes = minutes_per_mark(parts)
    grouped = len(parts.here) > NUMBERED
    pictures: list[tuple[str, Callable[[TrialParts], Figure], str]] = [
        ("front", tank_from_front, tank_caption(parts, names, minutes=minutes, seen="from the front")),
        ("above", tank_from_above, tank_caption(parts, names, minutes=minutes, seen="from above")),
        ("who-chased-whom", who_chased_whom, matrix_caption(parts, names, grouped=grouped)),
        ("chases-over-the-day", chases_over_the_day, day_caption(parts, names)),
    ]
    for name, draw, caption in pictures:
        title = f"{name.replace('-', ' ')}: {subtitle(parts)}"
        png = png_of(draw(parts), title=title, caption=caption)
        yield Picture(f"tank-{parts.trial + 1}-{name}.png", png, caption)
