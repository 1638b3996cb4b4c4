"""A fish room before and after, for a projector: the tanks as on a rack, who is in each and how they fare.

How much of its day a group keeps is the length of a bar and a number; the worst off of each side has a dark
bar and a star, so that nothing hangs on colour.
"""

from __future__ import annotations

from matplotlib.figure import Figure

from ..document.plain import listed, many, percent
from ..questions.place.answer import Fare, Placed, Placing
from ..questions.place.brief import step_said
from .look import INK, MARGIN, ROOM
from .projector import NOT_YOURS, ProjectorPage
from .save import Place, SavedPicture, save_figure

WATER, GLASS, BAR, WORST = "#edf3f5", "#44525a", "#a9bcc4", "#1c3b4a"
GAP, HEADS = 50.0, 892.0  # pixels between the two sides; base line of their heads
TOP, ROW = 870.0, 40.0  # of the rack; from group to group
NAME, LEAST_ROW = 24.0, 28.0  # points of a tank's name; pixels below which groups are not shown apart
BARS = 150.0  # pixels of a bar that is full


def save_rack(found: Placing, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    return save_figure(rack_picture(found), path, title=_title(found), caption=rack_caption(found))


def rack_caption(found: Placing) -> str:
    """What the picture shows, in words."""
    said = [f"{head}: {'; '.join(_tank_said(found, one, t) for t in range(len(found.room.tanks)))}."
            for head, one in _sides(found)]  # fmt: skip
    return f"{_title(found)} {' '.join(said)} {NOT_YOURS}"


def rack_picture(found: Placing) -> Figure:
    """The picture."""
    page = ProjectorPage(found.room.question, _title(found), below=found.room.title, below_y=956)
    foot = page.foot(page.lines(_foot(found), room=ROOM, most=2)) + 10
    sides = _sides(found)
    width = (ROOM - GAP * (len(sides) - 1)) / len(sides)
    for k, (head, one) in enumerate(sides):
        left = MARGIN + k * (width + GAP)
        page.put(head, left, HEADS, room=width, bold=True)
        _rack(page, found, one, left, width, foot)
    return page.figure


def _sides(found: Placing) -> list[tuple[str, Placed]]:
    now = ("Now", found.now)
    if found.stays:
        return [("Now, and best left so", found.now)]
    return [now, (f"After {many(found.best.moves, 'move')}", found.best)]


def _title(found: Placing) -> str:
    return "Which fish belong in which tank?"


def _tank_said(found: Placing, one: Placed, tank: int) -> str:
    name = found.room.tanks[tank].name
    fares = [fare for fare in one.fares if fare.tank == name]
    if not fares:
        return f"{name} empty"
    return f"{name}: {listed([f'{fare.name} keep {percent(fare.kept.value)}' for fare in fares])}"


def _rack(page: ProjectorPage, found: Placing, one: Placed, left: float, width: float, low: float) -> None:
    """Shelves from the top down, each as high as its groups need."""
    tanks = found.room.tanks
    groups = [[fare for fare in one.fares if fare.tank == tank.name] for tank in tanks]
    needed = [1.4 + max(len(some), 1) for some in groups]
    unit = min(ROW, (TOP - low) / sum(needed))
    top = TOP
    for tank, some, rows in zip(tanks, groups, needed, strict=True):
        high = rows * unit
        page.rect(left, top - high + 6, width, high - 12, facecolor=WATER, edgecolor=GLASS, linewidth=3)
        size = min(NAME, 0.6 * unit)
        page.put(tank.name, left + 12, top - 0.75 * unit, size=size, room=width - 24, bold=True, level=True)
        if not some:
            page.put("empty", left + 12, top - 1.7 * unit, size=size, level=True)
        for k, fare in enumerate(some):
            is_worst = fare is one.worst
            _group(page, fare, left + 12, top - (1.7 + k) * unit, width - 24, size, is_worst, unit)
        top -= high


def _group(
    page: ProjectorPage, fare: Fare, x: float, y: float, width: float, size: float, worst: bool, unit: float
) -> None:
    """Name, bar and number of one group."""
    number = page.wide("100 %", size=size, bold=True) + 10
    bar = min(BARS, 0.3 * width)
    star = "\u2605 " if worst else ""
    page.put(f"{star}{fare.name}", x, y, size=size, room=width - bar - number - 20, bold=worst, level=True)
    start, high = x + width - bar - number, 0.5 * unit
    page.rect(start, y - high / 2, bar, high, facecolor="none", edgecolor=GLASS, linewidth=1.5)
    kept = max(0.0, min(1.0, fare.kept.value)) * bar
    page.rect(
        start, y - high / 2, kept, high, facecolor=WORST if worst else BAR, edgecolor=INK, linewidth=0.5
    )
    page.put(percent(fare.kept.value), start + bar + 10, y, size=size, bold=worst, level=True)


def _foot(found: Placing) -> str:
    steps = "" if found.stays else f"Moves: {'; '.join(step_said(one) for one in found.best.steps)}. "
    key = "Bars: what they keep of the swimming about they would do if left alone; \u2605 the worst off. "
    return f"{steps}{key}{NOT_YOURS}".replace(" %", "\u00a0%")
