"""All pictures of one trial as PNG files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from matplotlib.figure import Figure

from .captions import day_caption, matrix_caption, names_of, subtitle, tank_caption
from .chase_table import NUMBERED, who_chased_whom
from .day import chases_over_the_day
from .look import DPI
from .parts import TrialParts
from .scene import minutes_per_mark
from .tank import tank_from_above, tank_from_front


class SavedPicture(NamedTuple):
    """A picture file and the words under the picture, which also are its alternative text."""

    path: Path
    caption: str


def save_trial(parts: TrialParts, folder: Path | str) -> list[SavedPicture]:
    """Write the four pictures of a trial, 1920 x 1080 pixels each, replacing files of the same name.

    Parameters
    ----------
    parts : see :func:`rockshy.analysis.pictures.parts_of`.
    folder : made when it is not there.

    Returns
    -------
    The files in the order in which a speaker shows them. The caption stands in each file's
    ``Description`` too, for those who have the picture read to them.

    Raises
    ------
    OSError
        When the folder cannot be made or written to.
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    names = names_of(parts)
    minutes = minutes_per_mark(parts)
    grouped = len(parts.here) > NUMBERED
    pictures: list[tuple[str, Callable[[TrialParts], Figure], str]] = [
        ("front", tank_from_front, tank_caption(parts, names, minutes=minutes, seen="from the front")),
        ("above", tank_from_above, tank_caption(parts, names, minutes=minutes, seen="from above")),
        ("who-chased-whom", who_chased_whom, matrix_caption(parts, names, grouped=grouped)),
        ("chases-over-the-day", chases_over_the_day, day_caption(parts, names)),
    ]
    saved = []
    for name, draw, caption in pictures:
        path = folder / f"trial-{parts.trial}-{name}.png"
        title = f"{name.replace('-', ' ')}: {subtitle(parts)}"
        draw(parts).savefig(path, dpi=DPI, metadata={"Title": title, "Description": caption})
        saved.append(SavedPicture(path, caption))
    return saved
