"""Who chased whom in one trial, as a table of shades and numbers."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Normalize, PowerNorm, to_rgba
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from .captions import Names, matrix_caption, names_of, subtitle
from .look import (
    FAINT,
    INK,
    KEY_SIGN,
    MARGIN,
    PAPER,
    RATE_MAP,
    SMALL,
    WIDTH,
    KeyEntry,
    axes_at,
    cut,
    draw_key,
    foot,
    head,
    ink_on,
    name_of,
    new_page,
    text_width,
    write,
)
from .parts import TrialParts, chase_rates

Floats = NDArray[np.float64]

NUMBERED = 30  # fish up to which numbers and signs are printed
KEY_SPECIES = 12
_KEY_ROOM = 480.0
_LEFT, _OVER = 118.0, 84.0  # pixels for the signs of rows and of columns
_CELL_MAX = 120.0  # pixels
_CELL_NARROW = 44.0  # pixels; too narrow for two digits and a point
_SUM_ROW = 34.0
_GAP = 10.0  # between the table and the sums below it
_ITSELF, _LINES = "#cfcfca", "#e2e2de"


class Grid(NamedTuple):
    """Where the cells of the table lie: lower left corner of the table, and size of a cell, pixels."""

    x: float
    y: float
    width: float
    height: float
    fish: int


def who_chased_whom(parts: TrialParts) -> Figure:
    """Chases per lit hour, chasers in rows and chased in columns, sorted by given less received.

    Up to NUMBERED fish every number stands in its cell, with sums and the hidden share; of more
    fish the species are kept together and named, and shades alone tell.
    """
    names = names_of(parts)
    rates = np.nan_to_num(chase_rates(parts))
    grouped = len(parts.here) > NUMBERED
    fish = in_order(parts, rates, grouped=grouped)
    figure, page = new_page()
    top = head(page, title="Who chased whom: chases per lit hour", below=subtitle(parts))
    bottom = foot(page, matrix_caption(parts, names, grouped=grouped))
    grid = _grid(len(fish), top=top, bottom=bottom, sums=not grouped)
    norm = PowerNorm(0.5, vmin=0.0, vmax=max(float(rates.max(initial=0.0)), 1.0))
    if fish:
        _shades(page, rates[np.ix_(fish, fish)], grid, norm)
    if grouped:
        _name_groups(page, parts, names, fish, grid)
    else:
        _name_fish(page, parts, names, fish, grid)
        _numbers(page, rates[np.ix_(fish, fish)], grid, norm)
        _sums(page, parts, rates, fish, grid)
    if names.worst is not None:
        _frame_column(page, grid, fish.index(names.worst), below=names.code[names.worst] if grouped else "")
    _beside(figure, page, parts, names, norm, top=top, bottom=bottom)
    return figure


def in_order(parts: TrialParts, rates: Floats, *, grouped: bool) -> list[int]:
    """Fish that were in the tank, those first that give more chases than they get.

    Grouped, the species stand together, in the order of their mean difference.
    """
    less = rates.sum(axis=1) - rates.sum(axis=0)
    here = [int(i) for i in parts.here]
    if not grouped:
        return sorted(here, key=lambda i: (-less[i], i))
    kinds = dict.fromkeys(parts.species[i] for i in here)
    mean = {kind: np.mean([less[i] for i in here if parts.species[i] == kind]) for kind in kinds}
    return sorted(here, key=lambda i: (-mean[parts.species[i]], parts.species[i], -less[i], i))


def rate_text(rate: float, *, narrow: bool = False) -> str:
    """A rate in few characters: "12", "3.4", "0.4"; narrow "12", "3", ".4"; "·" below 0.05, "" for none."""
    if rate <= 0.0:
        return ""
    if rate < 0.05:
        return "·"
    if narrow:
        return f"{rate:.0f}" if rate >= 0.95 else f"{rate:.1f}"[1:]
    return f"{rate:.1f}" if rate < 9.95 else f"{rate:.0f}"


# --- the table ----------------------------------------------------------------


def _grid(count: int, *, top: float, bottom: float, sums: bool) -> Grid:
    across = WIDTH - 2 * MARGIN - _KEY_ROOM - 40.0 - _LEFT - (70.0 if sums else 0.0)
    up = top - bottom - 12.0 - _OVER - (_GAP + 2 * _SUM_ROW if sums else _SUM_ROW)
    cells = max(count, 1)
    width, height = min(across / cells, _CELL_MAX), min(up / cells, _CELL_MAX)
    return Grid(MARGIN + _LEFT, top - _OVER - cells * height, width, height, count)


def _corner(grid: Grid, row: int, column: int) -> tuple[float, float]:
    """Lower left corner of a cell; row 0 is the uppermost."""
    return grid.x + column * grid.width, grid.y + (grid.fish - 1 - row) * grid.height


def _shades(page: Axes, rates: Floats, grid: Grid, norm: Normalize) -> None:
    colours = RATE_MAP(norm(rates))
    colours[rates <= 0] = to_rgba(PAPER)
    colours[np.eye(grid.fish, dtype=bool)] = to_rgba(_ITSELF)
    x = grid.x + grid.width * np.arange(grid.fish + 1)
    y = grid.y + grid.height * np.arange(grid.fish, -1, -1)
    width = 2.0 if grid.fish <= NUMBERED else 0.5
    page.pcolormesh(x, y, colours, edgecolor=_LINES, antialiased=True, linewidth=width)


def _numbers(page: Axes, rates: Floats, grid: Grid, norm: Normalize) -> None:
    for row in range(grid.fish):
        for column in range(grid.fish):
            rate = rates[row, column]
            if row != column and rate > 0:
                words = rate_text(rate, narrow=grid.width < _CELL_NARROW)
                _middle(page, words, _corner(grid, row, column), grid, ink_on(RATE_MAP(norm(rate))))


def _middle(page: Axes, text: str, corner: tuple[float, float], grid: Grid, ink: str) -> None:
    x, y = corner
    at = {"x": x + grid.width / 2, "y": y + grid.height / 2}
    write(page, text, **at, ha="center", va="center_baseline", color=ink)


def _name_fish(page: Axes, parts: TrialParts, names: Names, fish: list[int], grid: Grid) -> None:
    """A sign for each row and column on the colour of its species; wide signs of columns stand on end."""
    widest = max(text_width(names.code[i], bold=True) for i in fish) if fish else 0.0
    upright = widest + 6 > grid.width
    above = grid.y + grid.fish * grid.height + 4
    tall = 78.0 if upright else 34.0
    for k, i in enumerate(fish):
        colour = names.looks[parts.species[i]].colour
        x, y = _corner(grid, k, k)
        page.add_patch(Rectangle((grid.x - 104.0, y + 1), 96.0, grid.height - 2, facecolor=colour))
        page.add_patch(Rectangle((x + 1, above), grid.width - 2, tall, facecolor=colour))
        sign: dict[str, Any] = {"weight": "bold", "color": ink_on(colour), "ha": "center"}
        row = cut(names.code[i], room=92.0, bold=True)
        write(page, row, x=grid.x - 56.0, y=y + grid.height / 2, va="center_baseline", **sign)
        column = cut(names.code[i], room=74.0, bold=True)
        middle = {"x": x + grid.width / 2, "y": above + tall / 2}
        level: dict[str, Any] = {"rotation": 90, "va": "center"} if upright else {"va": "center_baseline"}
        write(page, column, **middle, **sign, **level)
    corner = _corner(grid, 0, 0)[1] + grid.height
    write(page, "chased →", x=grid.x - 10, y=corner + 46, ha="right", color=FAINT)
    write(page, "chases ↓", x=grid.x - 10, y=corner + 10, ha="right", color=FAINT)


def _name_groups(page: Axes, parts: TrialParts, names: Names, fish: list[int], grid: Grid) -> None:
    """The letter of each species beside and over its fish, and lines between the species."""
    kinds = [parts.species[i] for i in fish]
    start = 0
    for kind in dict.fromkeys(kinds):
        many = kinds.count(kind)
        look = names.looks[kind]
        x, y_low = _corner(grid, start + many - 1, start)
        y = y_low + many * grid.height
        side = (grid.x - 46.0, y_low + 1, 38.0, many * grid.height - 2)
        over = (x + 1, grid.y + grid.fish * grid.height + 6, many * grid.width - 2, 38.0)
        for left, low, width, height in (side, over):
            page.add_patch(Rectangle((left, low), width, height, facecolor=look.colour))
            if min(width, height) >= 26.0 and max(width, height) >= 26.0:
                at = {"x": left + width / 2, "y": low + height / 2}
                ink = ink_on(look.colour)
                write(page, look.letter, **at, weight="bold", color=ink, ha="center", va="center_baseline")
        if start:
            page.plot([grid.x, grid.x + grid.fish * grid.width], [y, y], color=INK, linewidth=2)
            page.plot([x, x], [grid.y, grid.y + grid.fish * grid.height], color=INK, linewidth=2)
        start += many


def _sums(page: Axes, parts: TrialParts, rates: Floats, fish: list[int], grid: Grid) -> None:
    """Chases given beside the rows; received, and the hidden share, under the columns."""
    hidden = parts.share("hidden")
    narrow = grid.width < _CELL_NARROW
    right = grid.x + grid.fish * grid.width + 12.0
    gets = grid.y - _GAP - 0.5 * _SUM_ROW
    hid = gets - _SUM_ROW
    for k, i in enumerate(fish):
        _, y = _corner(grid, k, 0)
        words = rate_text(rates[i].sum()) or "0"
        write(page, words, x=right, y=y + grid.height / 2, va="center_baseline")
        middle = grid.x + (k + 0.5) * grid.width
        words = rate_text(rates[:, i].sum(), narrow=narrow) or "0"
        write(page, words, x=middle, y=gets, ha="center", va="center_baseline")
        share = f"{100 * hidden[i]:.0f}"
        write(page, share, x=middle, y=hid, ha="center", va="center_baseline", color=FAINT)
    for words, y, ink in (("gets", gets, INK), ("hid, %", hid, FAINT)):
        write(page, words, x=grid.x - 12, y=y, ha="right", va="center_baseline", color=ink)
    write(page, "gives", x=right, y=_corner(grid, 0, 0)[1] + grid.height + 10)


def _frame_column(page: Axes, grid: Grid, column: int, *, below: str) -> None:
    """A black frame round a column; where columns are not named one by one, its fish below it."""
    x, y = _corner(grid, grid.fish - 1, column)
    frame = Rectangle(
        (x, y), grid.width, grid.fish * grid.height, fill=False, edgecolor="#000000", linewidth=4
    )
    page.add_patch(frame)
    write(page, below, x=x + grid.width / 2, y=y - 10, ha="center", va="top", weight="bold")


# --- beside it ----------------------------------------------------------------


def _beside(
    figure: Figure,
    page: Axes,
    parts: TrialParts,
    names: Names,
    norm: Normalize,
    *,
    top: float,
    bottom: float,
) -> None:
    """Which letter is which species, how much it hid, and the scale of the shades."""
    x = WIDTH - MARGIN - _KEY_ROOM
    looks = [look for name, look in names.looks.items() if names.many[name]]
    entries = []
    for look in looks[:KEY_SPECIES]:
        chip = {"color": look.colour, "linewidth": 22, "solid_capstyle": "butt"}
        entries.append(KeyEntry((chip,), name_of(look, room=_KEY_ROOM - KEY_SIGN)))
        entries.append(KeyEntry((), f"{names.many[look.name]} fish, hid {_hidden(parts, look.name)}"))
    if len(looks) > KEY_SPECIES:
        entries.append(KeyEntry((), f"and {len(looks) - KEY_SPECIES} species more"))
    if len(entries) > 14:
        entries = [entry for entry in entries if entry.marks or entry.text.startswith("and")]
    if names.worst is not None:
        frame = {"marker": "s", "markersize": 20, "markerfacecolor": "none", "markeredgecolor": "#000000"}
        entries.append(
            KeyEntry(
                (frame | {"markeredgewidth": 4, "linestyle": "none", "markevery": [1]},), "the worst-off fish"
            )
        )
    draw_key(page, entries, x=x, top=top - 20.0, room=_KEY_ROOM)
    _scale(figure, norm, x=x, y=bottom + 76.0)


def _hidden(parts: TrialParts, species: str) -> str:
    """Share of the lit time of a species that it hid."""
    own = np.array([name == species for name in parts.species])
    lit = parts.hours_of("lit")[own].sum()
    return f"{100 * parts.hours_of('hidden')[own].sum() / lit:.0f} %"


def _scale(figure: Figure, norm: Normalize, *, x: float, y: float) -> None:
    axes = axes_at(figure, x=x + 8, y=y, width=_KEY_ROOM - 40, height=34)
    top = float(norm.vmax or 1.0)
    rates = np.linspace(0.0, 1.0, 256) ** 2 * top  # even steps of the shade, as the norm takes the root
    axes.imshow(RATE_MAP(norm(rates))[None], extent=(0, 1, 0, 1), aspect="auto")
    at = [0.0, 0.5, 1.0]
    axes.set(yticks=[], xticks=at)
    axes.set_xticklabels([rate_text(share**2 * top) or "0" for share in at], fontsize=SMALL, color=INK)
    axes.tick_params(length=6, width=1.5)
    write(axes, "chases per lit hour", x=0.0, y=1.2, size=SMALL)
    for spine in axes.spines.values():
        spine.set(color=PAPER)
