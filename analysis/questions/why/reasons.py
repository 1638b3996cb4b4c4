"""The number behind each mechanism, in words: "while it is out, 3 of 4 owners have it in view"."""

from __future__ import annotations

import math
from collections.abc import Callable

from ....sim.scenario.stock_changes import numbers
from ...document.plain import many
from . import stock_off
from .behind import Behind
from .mechanisms import CROWDING, GROUND, LOOKS, SEXES, SHELTER, SIGHT, SIZE, TEMPER, Switches


def because(code: str, switches: Switches, behind: Behind) -> str:
    """What stands behind a mechanism; "it" is the fish that is explained."""
    return _REASONS[code](switches, behind)


def number(value: float) -> str:
    """``"12"``, ``"3.4"``; "-" for what is not known."""
    if not math.isfinite(value):
        return "-"
    return f"{value:.0f}" if abs(value) >= 9.95 else f"{value:.1f}"


def _size(_: Switches, behind: Behind) -> str:
    return f"it is about {behind.length_cm:.0f} cm long, the others {behind.others_cm:.0f} cm"


def _looks(_: Switches, behind: Behind) -> str:
    return f"{behind.alike} of the {behind.others} other fish look like it"


def _sight(_: Switches, behind: Behind) -> str:
    view = behind.view
    if view is None or not math.isfinite(view.seeing):
        return "it is in view of whoever no rock hides it from"
    owners = f"{number(view.seeing)} of {number(view.owners)} owners of a territory"
    return f"while it is out, {owners} have it in view at a time"


def _ground(_: Switches, behind: Behind) -> str:
    view = behind.view
    if view is None or not math.isfinite(view.owners):
        return "a fish that defends learns a place as its own by being there"
    return f"while it is out, {number(view.owners)} others own a territory at a time"


def _shelter(_: Switches, behind: Behind) -> str:
    if behind.crevices < 0.5:
        return "there is no crevice"
    fitting, own = round(behind.fitting), round(behind.its_own)
    return f"of about {behind.crevices:.0f} crevices {fitting} fit it, {own} of them it and no larger fish"


def _temper(switches: Switches, behind: Behind) -> str:
    own = switches.whom.species
    if not math.isfinite(behind.temper):
        return f"{own} attacks nobody of its own accord"
    return f"males of {behind.hottest} attack {number(behind.temper)} times as readily as those of {own}"


def _crowding(switches: Switches, _: Behind) -> str:
    return f"there are {many(len(switches.people), 'fish', 'fish')}"


def _sexes(switches: Switches, _: Behind) -> str:
    said = []
    for key in switches.base.species:
        if stock_off.surplus(switches.base, key):
            count = numbers(switches.base.stock, key)
            sexes = f"{many(count['males'], 'male')} to {many(count['females'], 'female')}"
            said.append(f"{sexes} of {key}")
    return f"there are {' and '.join(said)}"


_REASONS: dict[str, Callable[[Switches, Behind], str]] = {
    SIZE: _size,
    LOOKS: _looks,
    SIGHT: _sight,
    GROUND: _ground,
    SHELTER: _shelter,
    TEMPER: _temper,
    CROWDING: _crowding,
    SEXES: _sexes,
}
