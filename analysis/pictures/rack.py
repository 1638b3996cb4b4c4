"""A fish room before and after, for a projector: the tanks as on a rack, who is in each and how they fare.

How much of its day a group keeps is the length of a bar and a number; the worst off of each side has a dark
bar and a star, so that nothing hangs on colour.
"""

from __future__ import annotations

from matplotlib.figure import Figure

from ..document.plain import listed, many, percent
from ..questions.place.answer import Fare, Placed, Placing
from ..questions.place.brief import step_said
from .look import INK, MARGIN, PAPER, ROOM
from .projector import NOT_YOURS, ProjectorPage
from .save import Place, SavedPicture, save_figure

WATER, GLASS, BAR, WORST = "#edf3f5", "#44525a", "#a9bcc4", "#1c3b4a"
STAR, ARROW = "\u2605 ", "\u2192 "
GAP, HEADS = 50.0, 892.0  # pixels between the two sides; base line of their heads
TOP, ROW, LINE = 870.0, 56.0, 50.0  # of the rack; from group to group at most; of a line below it
NAME, LEAST_ROW = 26.0, 46.0  # points of a name at most; pixels of a group at least
BARS = 190.0  # pixels of a bar that is full


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
    foot = page.foot(page.lines(_foot(found), room=ROOM, most=3)) + 10
    sides = _sides(found)
    width = (ROOM - GAP * (len(sides) - 1)) / len(sides)
    for k, (head, one) in enumerate(sides):
        left = MARGIN + k * (width + GAP)
        page.put(head, left, HEADS, room=width, bold=True)
        _rack(page, found, one, left, width, foot)
    return page.figure


def _sides(found: Placing) -> list[tuple[str, Placed]]:
    if found.stays:
        return [(f"Best left as it is{_worst(found.now)}", found.now)]
    after = f"After {many(found.best.moves, 'move')}"
    return [(f"Now{_worst(found.now)}", found.now), (f"{after}{_worst(found.best)}", found.best)]


def _worst(one: Placed) -> str:
    return f": the worst off {one.worst.plight}" if one.fares else ""


def _title(found: Placing) -> str:
    return "Which fish belong in which tank?"


def _tank_said(found: Placing, one: Placed, tank: int) -> str:
    name = found.room.tanks[tank].name
    fares = [fare for fare in one.fares if fare.tank == name]
    if not fares:
        return f"{name} empty"
    return f"{name}: {listed([f'{fare.name} keep {percent(fare.kept.value)}' for fare in fares])}"


def _rack(page: ProjectorPage, found: Placing, one: Placed, left: float, width: float, low: float) -> None:
    """Shelves from the top down, alike on both sides, each as high as its groups need."""
    shown = _shown(found, TOP - low)
    rows = [1.6 + max(1, *(len(_inside(found, side, t)) for _, side in _sides(found))) for t in shown]
    unit = min(ROW, (TOP - low - (LINE if len(shown) < len(found.room.tanks) else 0)) / sum(rows))
    size, top = min(NAME, 0.52 * unit), TOP
    for t, many_rows in zip(shown, rows, strict=True):
        high, some = many_rows * unit, _inside(found, one, t)
        page.rect(left, top - high + 6, width, high - 12, facecolor=WATER, edgecolor=GLASS, linewidth=3)
        name = f"{found.room.tanks[t].name}{_rock(found, one, t)}"
        page.put(name, left + 14, top - 0.75 * unit, size=size, room=width - 28, bold=True, level=True)
        if not some:
            page.put("empty", left + 14, top - 1.75 * unit, size=size, level=True)
        for k, fare in enumerate(some):
            _group(page, found, fare, (left + 14, top - (1.75 + k) * unit), width - 28, unit, one)
        top -= high
    if left_out := len(found.room.tanks) - len(shown):
        page.put(f"and {many(left_out, 'tank')} in which nobody is moved", left, top - LINE / 2, level=True)


def _shown(found: Placing, room: float) -> list[int]:
    """All tanks where there is room for them, else those that change and those of the worst off."""
    every = list(range(len(found.room.tanks)))
    sides = [side for _, side in _sides(found)]
    rows = sum(1.6 + max(1, *(len(_inside(found, side, t)) for side in sides)) for t in every)
    if rows * LEAST_ROW <= room:
        return every
    worst = {side.worst.tank for side in sides}
    return [
        t for t in every if found.now.homes[t] != found.best.homes[t] or found.room.tanks[t].name in worst
    ]


def _inside(found: Placing, one: Placed, tank: int) -> list[Fare]:
    return [fare for fare in one.fares if fare.tank == found.room.tanks[tank].name]


def _rock(found: Placing, one: Placed, tank: int) -> str:
    name = found.room.tanks[tank].layouts[one.homes[tank].layout].name
    return f" ({name})" if name else ""


def _group(
    page: ProjectorPage, found: Placing, fare: Fare, at: tuple[float, float], width: float, unit: float,
    side: Placed,
) -> None:  # fmt: skip
    """Name, bar and number of one group."""
    (x, y), size, worst = at, min(NAME, 0.52 * unit), fare is side.worst
    number = page.wide("100 %", size=size, bold=True) + 10
    bar = min(BARS, 0.3 * width)
    old = found.now.of(fare.owner)
    came = side is not found.now and (old is None or old.tank != fare.tank)
    name = f"{STAR if worst else ''}{ARROW if came else ''}{fare.name}"
    page.put(name, x, y, size=size, room=width - bar - number - 20, bold=worst, level=True)
    start, high = x + width - bar - number, 0.45 * unit
    page.rect(start, y - high / 2, bar, high, facecolor=PAPER, edgecolor=GLASS, linewidth=1.5)
    kept = max(0.0, min(1.0, fare.kept.value)) * bar
    page.rect(
        start, y - high / 2, kept, high, facecolor=WORST if worst else BAR, edgecolor=INK, linewidth=0.5
    )
    page.put(percent(fare.kept.value), start + bar + 10, y, size=size, bold=worst, level=True)


def _foot(found: Placing) -> str:
    steps = "" if found.stays else f"Moves: {'; '.join(step_said(one) for one in found.best.steps)}. "
    key = f"Bars: what they keep of the swimming about they would do if left alone; {STAR}the worst off"
    key += "" if found.stays else f"; {ARROW}moved"
    return f"{steps}{key}. {NOT_YOURS}".replace(" %", "\u00a0%")
