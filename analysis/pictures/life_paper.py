"""A life on paper: one printed page in black on white, which a copier does not spoil."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.ticker import MaxNLocator

from ..document.cautions import FIRST
from ..document.plain import percent, span
from ..questions.life.answer import Answer
from ..questions.life.brief import brief_of
from ..questions.life.reach import MONTH_D
from .life import LINES as _INKS
from .life import marks_of, short_names, shown
from .look import FONT, INK, LINES, MARKERS, short_name
from .paper import BODY, EDGE, HEAD, LEAST, TITLE, Sheet, save_pdf
from .projector import NOT_YOURS

_HIGH = 190.0  # points of the curves
_GREYS = ("#000000", "#595959", "#8c8c8c", "#404040", "#737373", "#a6a6a6")
_ROWS = 24  # of the table: two years
assert len(_GREYS) == len(_INKS)


def save_life_paper(found: Answer, path: str | Path, *, paper: str) -> None:
    """Write the page as a PDF, "a4" or "letter"; raises OSError when it cannot be written."""
    save_pdf([life_page(found, paper=paper)], path, title=_title(found), subject=brief_of(found).verdict)


def _title(found: Answer) -> str:
    return f"Month by month: {found.plan.scenario.title}"


def life_page(found: Answer, *, paper: str) -> Sheet:
    """The page."""
    page = Sheet(paper)
    top = page.height - EDGE
    page.put(_title(found), EDGE, top - TITLE, size=TITLE, bold=True, room=page.room)
    y = top - TITLE - 14
    told = brief_of(found)
    for text in (told.question, told.verdict, told.beside, told.sure, told.flaw, NOT_YOURS):
        if text:
            y = page.block(text.replace(" %", "\u00a0%"), EDGE, y, room=page.room, most=6) - 4
    y = _curves(page, found, y - 18)
    y = _key(page, found, y)
    y = _table(page, found, y - 6)
    page.block(FIRST, EDGE, max(y - 4, EDGE + 40), room=page.room, size=LEAST, most=4)
    return page


def _curves(page: Sheet, found: Answer, top: float) -> float:
    page.put("Free swimming kept, of what they would do if left alone", EDGE, top, size=HEAD, bold=True)
    low = top - 10 - _HIGH
    axes = page.axes_at(x=EDGE + 34, y=low, width=page.room - 40, height=_HIGH)
    x = np.array([month.number for month in found.months], dtype=float)
    for k, name in enumerate(shown(found)):
        lost = [month.lost[name] for month in found.months]
        style = {"color": _GREYS[k], "marker": MARKERS[k], "markersize": 4.5, "linestyle": LINES[k]}
        axes.plot(x, 1.0 - np.array([one.value for one in lost]), linewidth=2 if k == 0 else 1, **style)
        if k == 0:
            axes.vlines(
                x, [1 - one.high for one in lost], [1 - one.low for one in lost], color=INK, linewidth=1
            )
    box = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}
    for mark in marks_of(found):
        for day in mark.days:
            axes.axvline(day / MONTH_D + 0.5, color="#8c8c8c", linewidth=0.8, linestyle=(0, (2, 2)), zorder=0)
        where = mark.days[0] / MONTH_D + 0.5
        axes.text(
            where, 0.02, str(mark.number), fontsize=LEAST, fontfamily=FONT, color=INK, ha="center", bbox=box
        )
    axes.set(xlim=(0.4, found.plan.months + 0.6), ylim=(0.0, 1.05))
    axes.xaxis.set_major_locator(MaxNLocator(12, integer=True))
    axes.set_yticks([0.0, 0.5, 1.0], ["0 %", "50 %", "100 %"])
    axes.tick_params(labelsize=LEAST, labelfontfamily=FONT, colors=INK)
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_xlabel("month", fontsize=LEAST, fontfamily=FONT, color=INK)
    return low - 34


def _key(page: Sheet, found: Answer, top: float) -> float:
    """Marks and names, then what is dated."""
    y = top
    for k, name in enumerate(shown(found)):
        page.axes.plot([EDGE + 2, EDGE + 26], [y + 3] * 2, color=_GREYS[k], linestyle=LINES[k], linewidth=1.5)
        page.axes.plot([EDGE + 14], [y + 3], color=_GREYS[k], marker=MARKERS[k], markersize=4.5)
        page.put(short_name(name), EDGE + 34, y, room=page.room - 34)
        y -= page.pitch() + 1
    for mark in marks_of(found):
        if y < EDGE + 150:
            page.put("Further changes are in the file.", EDGE, y)
            return y - page.pitch()
        page.put(f"{mark.number}  {short_names(mark.text, found)}", EDGE, y, room=page.room)
        y -= page.pitch()
    return y


def _table(page: Sheet, found: Answer, top: float) -> float:
    """Month by month, in as many rows as fit: every so many months, the last always."""
    room = int((top - EDGE - 60) // (page.pitch() + 0.5)) - 1
    months = found.months[:_ROWS]
    step = -(-len(months) // max(1, room))
    kept = [one for k, one in enumerate(months) if (len(months) - 1 - k) % step == 0]
    stops = (EDGE, EDGE + 50, EDGE + 110, EDGE + 210, EDGE + 340)
    heads = ("month", "kept", "95 %", "gone wrong, tanks", "with a fish pinned")
    y = top
    for x, text in zip(stops, heads, strict=True):
        page.put(text, x, y, bold=True)
    page.rule((EDGE, page.width - EDGE), y - 4)
    for one in kept:
        y -= page.pitch() + 0.5
        lost, wrong = one.lost[found.worst.name], found.trouble.by_month[one.number - 1]
        cells = (
            str(one.number),
            percent(1 - lost.value),
            span(1 - lost.high, 1 - lost.low, percent),
            f"{wrong.hits} of {wrong.of}",
            percent(one.pinned.value),
        )
        for x, text in zip(stops, cells, strict=True):
            page.put(text, x, y, size=BODY)
    return y - page.pitch()
