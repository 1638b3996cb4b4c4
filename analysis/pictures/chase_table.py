"""Who chased whom in one trial, as a table of shades and numbers."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.colors import Normalize, PowerNorm, to_rgba
from matplotlib.figure import Figure
from numpy.typing import NDArray

from .captions import Names, matrix_caption, names_of, trial_page
from .look import KEY_SIGN, MARGIN, PAPER, RATE_MAP, WIDTH, KeyEntry, Page, ink_on, key_names, write
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

    @property
    def top(self) -> float:
        return self.y + self.fish * self.height

    @property
    def right(self) -> float:
        return self.x + self.fish * self.width

    def corner(self, row: int, column: int) -> tuple[float, float]:
        """Lower left corner of a cell; row 0 is the uppermost."""
        return self.x + column * self.width, self.y + (self.fish - 1 - row) * self.height


def who_chased_whom(parts: TrialParts) -> Figure:
    """Chases per lit hour, chasers in rows and chased in columns, sorted by given less received.

    Up to NUMBERED fish every number stands in its cell, with sums and the hidden share; of more
    fish the species are kept together and named, and shades alone tell.
    """
    names = names_of(parts)
    rates = np.nan_to_num(chase_rates(parts))
    grouped = len(parts.here) > NUMBERED
    fish = in_order(parts, rates, grouped=grouped)
    caption = matrix_caption(parts, names, grouped=grouped)
    page, top, bottom = trial_page(parts, title="Who chased whom: chases per lit hour", caption=caption)
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
    if names.worst is not None:  # a black frame; where columns are not named one by one, its fish below it
        x, y = grid.corner(grid.fish - 1, fish.index(names.worst))
        page.rect(x, y, grid.width, grid.top - grid.y, fill=False, edgecolor="#000000", linewidth=4)
        if grouped:
            below = names.code[names.worst]
            page.put(below, x + grid.width / 2, y - 10, ha="center", va="top", bold=True)
    _beside(page, parts, names, norm, top=top, bottom=bottom)
    return page.figure


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


def _shades(page: Page, rates: Floats, grid: Grid, norm: Normalize) -> None:
    colours = RATE_MAP(norm(rates))
    colours[rates <= 0] = to_rgba(PAPER)
    colours[np.eye(grid.fish, dtype=bool)] = to_rgba(_ITSELF)
    x = grid.x + grid.width * np.arange(grid.fish + 1)
    y = grid.y + grid.height * np.arange(grid.fish, -1, -1)
    width = 2.0 if grid.fish <= NUMBERED else 0.5
    page.axes.pcolormesh(x, y, colours, edgecolor=_LINES, antialiased=True, linewidth=width)


def _numbers(page: Page, rates: Floats, grid: Grid, norm: Normalize) -> None:
    for row, column in zip(*np.nonzero(rates), strict=True):
        if row != column:
            words = rate_text(rates[row, column], narrow=grid.width < _CELL_NARROW)
            x, y = grid.corner(row, column)
            ink = ink_on(RATE_MAP(norm(rates[row, column])))
            page.put(words, x + grid.width / 2, y + grid.height / 2, color=ink, centred=True)


def _name_fish(page: Page, parts: TrialParts, names: Names, fish: list[int], grid: Grid) -> None:
    """A sign for each row and column on what its fish wears; wide signs of columns stand on end."""
    upright = max((page.wide(names.code[i], bold=True) for i in fish), default=0.0) + 6 > grid.width
    above, tall = grid.top + 4, 78.0 if upright else 34.0
    level: dict[str, Any] = {"rotation": 90, "va": "center"} if upright else {}
    for k, i in enumerate(fish):
        wear = names.looks[parts.species[i]].wear(parts.label[i])
        colour = wear.body
        x, y = grid.corner(k, k)
        edged: dict[str, Any] = {"facecolor": colour, "edgecolor": page.faint, "linewidth": 1.5}
        page.rect(grid.x - 104.0, y + 1, 96.0, grid.height - 2, **edged)
        page.rect(x + 1, above, grid.width - 2, tall, **edged)
        edged["facecolor"] = wear.second
        page.rect(grid.x - 114.0, y + 1, 10.0, grid.height - 2, **edged)
        page.rect(x + 1, above + tall, grid.width - 2, 6.0, **edged)
        sign: dict[str, Any] = {"bold": True, "color": ink_on(colour), "centred": True}
        page.put(names.code[i], grid.x - 56.0, y + grid.height / 2, room=92.0, **sign)
        page.put(names.code[i], x + grid.width / 2, above + tall / 2, room=74.0, **sign | level)
    for words, y in (("chased →", 46), ("chases ↓", 10)):
        page.put(words, grid.x - 10, grid.top + y, ha="right", color=page.faint)


def _name_groups(page: Page, parts: TrialParts, names: Names, fish: list[int], grid: Grid) -> None:
    """The letter of each species beside and over its fish, and lines between the species."""
    kinds = [parts.species[i] for i in fish]
    start = 0
    for kind in dict.fromkeys(kinds):
        many = kinds.count(kind)
        look = names.looks[kind]
        x, y = grid.corner(start + many - 1, start)
        side = (grid.x - 46.0, y + 1, 38.0, many * grid.height - 2)
        over = (x + 1, grid.top + 6, many * grid.width - 2, 38.0)
        for left, low, width, height in (side, over):
            page.rect(left, low, width, height, facecolor=look.colour, edgecolor=page.faint, linewidth=1.5)
            if min(width, height) >= 26.0:
                ink = ink_on(look.colour)
                page.put(look.letter, left + width / 2, low + height / 2, bold=True, color=ink, centred=True)
        if start:
            y += many * grid.height
            page.axes.plot([grid.x, grid.right], [y, y], color=page.ink, linewidth=2)
            page.axes.plot([x, x], [grid.y, grid.top], color=page.ink, linewidth=2)
        start += many


def _sums(page: Page, parts: TrialParts, rates: Floats, fish: list[int], grid: Grid) -> None:
    """Chases given beside the rows; received, and the hidden share, under the columns."""
    hidden = parts.share("hidden")
    narrow = grid.width < _CELL_NARROW
    right = grid.right + 12.0
    gets = grid.y - _GAP - 0.5 * _SUM_ROW
    hid = gets - _SUM_ROW
    for k, i in enumerate(fish):
        x, y = grid.corner(k, k)
        page.put(rate_text(rates[i].sum()) or "0", right, y + grid.height / 2, level=True)
        received = rate_text(rates[:, i].sum(), narrow=narrow) or "0"
        for words, low, ink in ((received, gets, page.ink), (f"{100 * hidden[i]:.0f}", hid, page.faint)):
            page.put(words, x + 0.5 * grid.width, low, color=ink, centred=True)
    for words, y, ink in (("gets", gets, page.ink), ("hid, %", hid, page.faint)):
        page.put(words, grid.x - 12, y, ha="right", color=ink, level=True)
    page.put("gives", right, grid.top + 10)


# --- beside it ----------------------------------------------------------------


def _beside(
    page: Page, parts: TrialParts, names: Names, norm: Normalize, *, top: float, bottom: float
) -> None:
    """Which letter is which species, how much it hid, and the scale of the shades."""
    x = WIDTH - MARGIN - _KEY_ROOM
    looks = [look for name, look in names.looks.items() if names.many[name]]
    entries = []
    told = key_names(looks[:KEY_SPECIES], room=_KEY_ROOM - KEY_SIGN, tails=[""] * len(looks[:KEY_SPECIES]))
    for look, said in zip(looks, told, strict=False):
        layers = ((page.faint, 25.0), (look.colour, 22.0), (look.male.second, 7.0))
        chips = [{"color": c, "linewidth": wide, "solid_capstyle": "butt"} for c, wide in layers]
        entries.append(KeyEntry(tuple(chips), said))
        entries.append(KeyEntry((), f"{names.many[look.name]} fish, hid {_hidden(parts, look.name)}"))
    if len(looks) > KEY_SPECIES:
        entries.append(KeyEntry((), f"and {len(looks) - KEY_SPECIES} species more"))
    if len(entries) > 14:
        entries = [entry for entry in entries if entry.marks or entry.text.startswith("and")]
    if names.worst is not None:
        frame: dict[str, Any] = {"marker": "s", "markersize": 20, "markerfacecolor": "none"}
        frame |= {"markeredgecolor": "#000000", "markeredgewidth": 4, "linestyle": "none", "markevery": [1]}
        entries.append(KeyEntry((frame,), "the worst-off fish"))
    page.key(entries, x=x, top=top - 20.0, room=_KEY_ROOM)
    _scale(page, norm, x=x, y=bottom + 76.0)


def _hidden(parts: TrialParts, species: str) -> str:
    """Share of the lit time of a species that it hid."""
    own = np.array([name == species for name in parts.species])
    lit = parts.hours_of("lit")[own].sum()
    return f"{100 * parts.hours_of('hidden')[own].sum() / lit:.0f} %"


def _scale(page: Page, norm: Normalize, *, x: float, y: float) -> None:
    axes = page.axes_at(x=x + 8, y=y, width=_KEY_ROOM - 40, height=34)
    top = float(norm.vmax or 1.0)
    rates = np.linspace(0.0, 1.0, 256) ** 2 * top  # even steps of the shade, as the norm takes the root
    axes.imshow(RATE_MAP(norm(rates))[None], extent=(0, 1, 0, 1), aspect="auto")
    at = [0.0, 0.5, 1.0]
    axes.set(yticks=[], xticks=at)
    axes.set_xticklabels(
        [rate_text(share**2 * top) or "0" for share in at], fontsize=page.small, color=page.ink
    )
    axes.tick_params(length=6, width=1.5)
    write(axes, "chases per lit hour", x=0.0, y=1.2)
    for spine in axes.spines.values():
        spine.set(color=PAPER)
