"""How slides look: dark and light, few words, none smaller than a thirtieth of the height."""

from __future__ import annotations

from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import FancyBboxPatch

from .look import FONT, MARGIN, ROOM, WIDTH, Page

SMALL, BODY, HEAD, LARGE = 26.0, 31.0, 40.0, 54.0  # points; 26 are 36 pixels, a thirtieth of the height
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


class Canvas(Page):
    """A slide of 1920 x 1080 pixels that is being drawn."""

    small, leading = SMALL, 1.27

    def __init__(self, theme: Theme) -> None:
        super().__init__(paper=theme.paper)
        self.theme, self.ink, self.faint = theme, theme.ink, theme.faint

    def axes_at(self, *, x: float, y: float, width: float, height: float) -> Axes:
        """Axes in the colours of the slide, without a frame but along the bottom."""
        axes = super().axes_at(x=x, y=y, width=width, height=height)
        axes.set_facecolor("none")
        axes.tick_params(colors=self.ink, labelsize=SMALL, labelfontfamily=FONT, length=9, width=2.5)
        axes.spines[["top", "right", "left"]].set_visible(False)
        axes.spines["bottom"].set(color=self.ink, linewidth=2.5)
        return axes

    def heading(self, title: str) -> None:
        """The title of a slide, with a bar before it."""
        self.rect(MARGIN, 972, 14, 66, facecolor=self.theme.accent, edgecolor="none")
        how = self.fitting(title, sizes=(HEAD, BODY, SMALL), room=ROOM - 34, height=100, bold=True)
        high = len(self.lines(title, **how)) * self.pitch(how["size"])
        self.block(title, MARGIN + 34, 1005 + high / 2, **how)

    def footing(self, words: str, *, number: int, of: int) -> None:
        """What holds for the whole slide, and its number."""
        told = f"{number} / {of}"
        self.put(words, MARGIN, FOOT, room=ROOM - self.wide(told) - 40, color=self.faint)
        self.put(told, WIDTH - MARGIN, FOOT, ha="right", color=self.faint)

    def box(self, x: float, y: float, width: float, height: float, *, face: str = "") -> None:
        """A panel with round corners from its lower left corner."""
        style: dict[str, Any] = {"facecolor": face or self.theme.panel, "edgecolor": "none", "linewidth": 0}
        round_corners = "round,pad=0,rounding_size=16"
        self.axes.add_patch(FancyBboxPatch((x, y), width, height, boxstyle=round_corners, **style))
