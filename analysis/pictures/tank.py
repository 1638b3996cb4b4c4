"""The tank of one trial from the front and from above: rock, crevices, territories, where each fish was."""

from __future__ import annotations

from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from . import scene
from .captions import Names, names_of, tank_caption, trial_page
from .look import (
    FAINT,
    FONT,
    INK,
    KEY_SIGN,
    MARGIN,
    PAPER,
    ROOM,
    SMALL,
    WIDTH,
    KeyEntry,
    SpeciesLook,
    key_names,
    key_size,
)
from .parts import ABOVE, FRONT, TrialParts, View, extent, territories
from .tags import draw_tags, tags_of

CM_PER_INCH = 2.54
KEY_SPECIES = 12  # of more, the key says how many are left out

_LEFT, _RIGHT, _UNDER, _OVER = 108.0, 108.0, 84.0, 84.0  # pixels round the tank for ticks and their units
_KEY_BESIDE = 570.0  # pixels


# marks of the key, as keywords of Line2D
_ONCE = {"markersize": 15.0, "markevery": [1]}
_BORDER = {"color": INK, "linewidth": 3}
_BOX = {"color": scene.BOX, "linewidth": 16, "solid_capstyle": "butt"}
_HOLE: dict[str, Any] = {"marker": "o", "markerfacecolor": scene.MOUTH, "markeredgecolor": PAPER}
_HOLE |= _ONCE | {"linestyle": "none"}


class Frame(NamedTuple):
    """Where tank and key lie on the page, pixels; scale in pixels a cm."""

    x: float
    y: float
    scale: float
    key_x: float
    key_top: float
    key_room: float


def tank_from_front(parts: TrialParts) -> Figure:
    """One trial through the front glass: water line, rock, crevices, territories, where each fish was."""
    return _tank(parts, FRONT)


def tank_from_above(parts: TrialParts) -> Figure:
    """The same looked down upon, the front glass at the bottom of the picture."""
    return _tank(parts, ABOVE)


def _tank(parts: TrialParts, view: View) -> Figure:
    names = names_of(parts)
    minutes = scene.minutes_per_mark(parts)
    caption = tank_caption(parts, names, minutes=minutes, seen=view.name)
    title = f"Where the fish were, seen {view.name}"
    page, top, bottom = trial_page(parts, title=title, caption=caption)
    entries = _key(parts, names, view, minutes)
    frame = _frame(parts, view, entries, top=top, bottom=bottom)
    width, height = extent(parts, view)
    axes = page.axes_at(x=frame.x, y=frame.y, width=width * frame.scale, height=height * frame.scale)
    axes.set(xlim=(0, width), ylim=(0, height), facecolor=PAPER)
    stone = scene.stone_of(parts, view)
    places = scene.refuge_places(parts)
    held = territories(parts)
    scene.draw_water_and_rock(axes, parts, view, stone)
    scene.draw_mouths(axes, parts, view, stone, places)
    scene.draw_territories(axes, parts, names, view, held, places)
    scene.draw_marks(axes, parts, names, view, minutes)
    scene.draw_glass(axes, parts, view)
    draw_tags(axes, tags_of(parts, names, view, held, places), scale=frame.scale)
    _rulers(axes, view, frame.scale)
    page.key(entries, x=frame.key_x, top=frame.key_top, room=frame.key_room)
    return page.figure


def _frame(parts: TrialParts, view: View, entries: list[KeyEntry], *, top: float, bottom: float) -> Frame:
    """The key below a long tank, beside a square one: whichever leaves the tank larger."""
    width, height = extent(parts, view)
    frames = []
    for beside in (False, True):
        across = ROOM - _LEFT - _RIGHT - (_KEY_BESIDE if beside else 0.0)
        key_room = _KEY_BESIDE if beside else ROOM
        key_high = key_size(entries, room=key_room)[1]
        under = bottom + 20.0 + (0.0 if beside else key_high)
        up = top - under - _UNDER - _OVER
        scale = min(across / width, up / height)
        slack_x, slack_y = across - scale * width, up - scale * height
        x = MARGIN + _LEFT + slack_x / 2
        y = under + _UNDER + slack_y / 2
        corner = (WIDTH - MARGIN - _KEY_BESIDE, top - 40.0) if beside else (float(MARGIN), under)
        frames.append(Frame(x, y, scale, *corner, key_room))
    return max(frames, key=lambda frame: frame.scale)


def _rulers(axes: Axes, view: View, scale: float) -> None:
    """Centimetres below and on the left, inches above and on the right."""
    cm = _step((1, 2, 5, 10, 20, 25, 50, 100), 80.0 / scale)
    inches = _step((1, 2, 3, 6, 12, 24, 48), 80.0 / scale / CM_PER_INCH)
    conversion = (lambda x: x / CM_PER_INCH, lambda x: x * CM_PER_INCH)
    sides = (
        axes.secondary_xaxis("top", functions=conversion),
        axes.secondary_yaxis("right", functions=conversion),
    )
    for x, y, step, colour, words in (
        (axes, axes, cm, INK, ("cm from the left end", f"cm {view.up_label}")),
        (*sides, inches, FAINT, ("inches", "inches")),
    ):
        x.set_xlabel(words[0], fontsize=SMALL, family=FONT, color=colour)
        y.set_ylabel(words[1], fontsize=SMALL, family=FONT, color=colour)
        for axis in (x.xaxis, y.yaxis):
            axis.set_major_locator(MultipleLocator(step))
    for each, colour in ((axes, INK), *((side, FAINT) for side in sides)):
        each.tick_params(labelsize=SMALL, labelfontfamily=FONT, colors=colour, length=7, width=1.5)
        each.spines[:].set_visible(False)


def _step(steps: tuple[int, ...], least: float) -> int:
    return next((step for step in steps if step >= least), steps[-1])


def _marks(look: SpeciesLook) -> tuple[dict[str, Any], ...]:
    """A mark in what males wear, and one for females where they wear something else."""
    sexes = ("male",) if look.male == look.female else ("male", "female")
    places = ([1],) if len(sexes) == 1 else ([0], [2])
    marks = zip(sexes, places, strict=True)
    return tuple(scene.mark_of(look, sex, False) | _ONCE | {"markevery": at} for sex, at in marks)


def _key(parts: TrialParts, names: Names, view: View, minutes: float) -> list[KeyEntry]:
    """What every mark means, species first."""
    looks = [look for look in names.looks.values() if names.many[look.name]]
    shown = looks[:KEY_SPECIES]
    tails = [f" ({names.many[look.name]})" for look in shown]
    told = key_names(shown, room=_KEY_BESIDE - KEY_SIGN, tails=tails)
    entries = [KeyEntry(_marks(look), said) for look, said in zip(shown, told, strict=True)]
    if len(looks) > KEY_SPECIES:
        entries.append(KeyEntry((), f"and {len(looks) - KEY_SPECIES} species more"))
    entries.append(KeyEntry((), f"one mark: {minutes:g} min of one fish"))
    if names.worst is not None:
        worst = names.looks[parts.species[names.worst]]
        mark = scene.mark_of(worst, parts.label[names.worst], True) | _ONCE
        entries.append(KeyEntry((mark,), f"{names.code[names.worst]}, the worst off"))
    if territories(parts):
        entries.append(KeyEntry((_BORDER,), "⌂ holds a territory; its ground at the end"))
    if (~parts.tank.refuge_corner).any():
        behind = "behind" if view is FRONT else "under"
        entries.append(KeyEntry((_HOLE,), f"crevice (ring: {behind} rock)"))
    if view is FRONT:
        entries.append(KeyEntry((scene.WATER_LINE,), "water line"))
    if parts.objects:
        entries.append(KeyEntry((_BOX,), ", ".join(dict.fromkeys(it.kind for it in parts.objects))))
    return entries
