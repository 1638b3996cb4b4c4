"""A life for a projector: what each kind of fish keeps month by month, tanks gone wrong, what is dated."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from ...sim.scenario.timeline.again import say_days
from ..document.plain import many, percent
from ..questions.life.answer import Answer
from ..questions.life.brief import brief_of
from ..questions.life.reach import MONTH_D
from .look import BLUE, FAINT, FONT, INK, MARGIN, MARKERS, ROOM, short_name
from .projector import NOT_YOURS, PITCH, SIZE, ProjectorPage
from .save import Place, SavedPicture, save_figure

LEFT = 190.0  # pixels for the numbers beside the panels
KEY = 560.0  # pixels for the names of the kinds
TOP, MIDDLE, GAP = 880.0, 0.34, 110.0
LINES = (INK, BLUE, "#b35806", "#5e3c99", "#1b7837", "#7a8f94")  # by kind, each with a mark of its own
NUMBERS_MOST, LOWEST = 24, 220.0
BESIDE_DATES = 3  # kinds at most where dated changes want room too
SHOWN = len(LINES)  # kinds at most, the worst off first


def save_life(found: Answer, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    title = f"Month by month: {found.plan.scenario.title}"
    return save_figure(life_picture(found), path, title=title, caption=life_caption(found))


def life_caption(found: Answer) -> str:
    """What the picture shows, in words."""
    told = brief_of(found)
    kept = ", ".join(percent(1 - one.lost[found.worst.name].value) for one in found.months)
    return (
        f"Above, what each kind of fish keeps of its free swimming, month by month; {found.worst.name}: "
        f"{kept}. Below, the share of tanks in which it has gone wrong by then. {told.verdict} {told.beside} "
        f"{' '.join(f'{mark.number}: {mark.text}.' for mark in marks_of(found))} {NOT_YOURS}"
    )


def life_picture(found: Answer) -> Figure:
    """The picture."""
    months = many(found.plan.months, "month")
    below = f"{len(found.lives)} simulated tanks; bars: 95 % by the luck of the runs"
    page = ProjectorPage(f"{months}: {found.plan.scenario.title}", f"{months} of a tank", below=below)
    bottom = page.foot_of(f"{brief_of(found).verdict} {NOT_YOURS}") + 84.0
    low = (TOP - bottom - GAP) * MIDDLE
    wide = ROOM - (LEFT - MARGIN) - KEY
    upper = page.axes_at(x=LEFT, y=bottom + low + GAP, width=wide, height=TOP - bottom - low - GAP)
    lower = page.axes_at(x=LEFT, y=bottom, width=wide, height=low)
    _kept(upper, found)
    _gone_wrong(lower, found)
    for axes in (upper, lower):
        _frame(axes, found)
    _number_marks(upper, found)
    lower.set_xlabel("month", fontsize=SIZE, fontfamily=FONT, color=INK)
    page.put("free swimming kept", LEFT, TOP + 26.0, bold=True)
    page.put("tanks gone wrong by then", LEFT, bottom + low + 26.0, bold=True)
    _key(page, found, x=LEFT + wide + 40.0)
    return page.figure


def shown(found: Answer) -> list[str]:
    """Names of the kinds that are drawn, the worst off first."""
    others = [kind.name for kind in found.plan.kinds if kind.name != found.worst.name]
    return [found.worst.name, *others][: BESIDE_DATES if marks_of(found) else SHOWN]


def _kept(axes: Axes, found: Answer) -> None:
    for k, name in enumerate(shown(found)):
        lost = [month.lost[name] for month in found.months]
        x = np.array([month.number for month in found.months], dtype=float)
        y = 1.0 - np.array([one.value for one in lost])
        ends = np.array([[1.0 - one.high, 1.0 - one.low] for one in lost])
        colour = LINES[k]
        if k == 0:
            axes.vlines(x, ends[:, 0], ends[:, 1], color=colour, linewidth=5, alpha=0.5)
        axes.plot(x, y, color=colour, marker=MARKERS[k], markersize=16, linewidth=6 if k == 0 else 3)
    axes.set_ylim(0.0, 1.05)


def _gone_wrong(axes: Axes, found: Answer) -> None:
    x = [month.number for month in found.months]
    wrong = found.trouble.by_month
    axes.bar(x, [one.share for one in wrong], color="#7a8f94", edgecolor=INK, width=0.7)
    axes.vlines(x, [one.low for one in wrong], [one.high for one in wrong], color=INK, linewidth=4)
    axes.set_ylim(0.0, 1.0)


@dataclass(frozen=True)
class Mark:
    """Dated changes that are said alike: their number in the picture, their days, and words."""

    number: int
    days: tuple[float, ...]
    what: str

    @property
    def text(self) -> str:
        """``"day 30: male 1 taken out"``."""
        return f"{say_days(self.days)}: {self.what}"


def marks_of(found: Answer) -> list[Mark]:
    """What is dated later than the first morning, in the order of the first days."""
    days: dict[str, list[float]] = {}
    for one in found.dates:
        days.setdefault(one.words(), []).append(one.day)
    return [Mark(k, tuple(own), what) for k, (what, own) in enumerate(days.items(), start=1)]


def _number_marks(axes: Axes, found: Answer) -> None:
    """Numbers at the lines of dated changes, those of one day side by side; crowded ones are left out."""
    numbers: dict[float, list[str]] = {}
    for mark in marks_of(found):
        for day in mark.days:
            numbers.setdefault(day, []).append(str(mark.number))
    last, least = -np.inf, found.plan.days / NUMBERS_MOST
    for day in sorted(numbers):
        if day - last >= least:
            last, text = day, " ".join(numbers[day])
            axes.text(
                _across(day),
                0.09,
                text,
                fontsize=SIZE,
                fontfamily=FONT,
                color=INK,
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 2.0},
                ha="center",
            )


def _across(day: float) -> float:
    """Where a day stands among months, whose figures stand in their middle."""
    return day / MONTH_D + 0.5


def _frame(axes: Axes, found: Answer) -> None:
    """Shares up, months across, a line at each dated change."""
    axes.set_xlim(0.4, found.plan.months + 0.6)
    axes.xaxis.set_major_locator(MaxNLocator(min(12, found.plan.months), integer=True))
    axes.set_yticks([0.0, 0.5, 1.0], ["0 %", "50 %", "100 %"])
    axes.tick_params(labelsize=SIZE, labelfontfamily=FONT, colors=INK, length=6, width=2)
    axes.grid(axis="y", color="#d5d5d0", linewidth=2)
    axes.set_axisbelow(True)
    for day in {day for mark in marks_of(found) for day in mark.days}:
        axes.axvline(_across(day), color=FAINT, linewidth=4, linestyle=(0, (2, 2)))


def _key(page: ProjectorPage, found: Answer, *, x: float) -> None:
    """Marks and names of the kinds, and what the broken line is."""
    y = TOP - 20.0
    for k, name in enumerate(shown(found)):
        colour = LINES[k]
        page.axes.plot([x + 16.0], [y + 2.0], marker=MARKERS[k], markersize=16, color=colour)
        lines = page.lines(short_name(name), room=KEY - 100.0, most=2)
        for line in lines:
            page.put(line, x + 48.0, y, level=True)
            y -= PITCH
    y -= PITCH / 2
    for mark in marks_of(found):
        lines = page.lines(f"{mark.number}  {short_names(mark.text, found)}", room=KEY - 40.0, most=3)
        if y - PITCH * len(lines) < LOWEST:
            page.put("further changes are in the file", x, y, level=True, color=FAINT, room=KEY)
            return
        for line in lines:
            page.put(line, x, y, level=True, color=FAINT)
            y -= PITCH


def short_names(text: str, found: Answer) -> str:
    """With genera cut to their first letter."""
    for species in found.plan.scenario.species:
        text = text.replace(species, short_name(species))
    return text
