"""The plain words under each picture, and the names of fish that all pictures of a trial share."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

import numpy as np

from .look import BODY, FAINT, MARGIN, ROOM, TITLE, Page, SpeciesLook, species_looks
from .parts import TrialParts, codes, main_place, taken_out, worst_off

TAGGED = 30  # fish up to which each has a tag in a picture of the tank
_NAMED_OUT = 4  # of the fish taken out, so many are named


class Names(NamedTuple):
    """How species and fish of a trial are called and drawn in every picture of it."""

    looks: dict[str, SpeciesLook]  # by species
    many: Counter[str]  # fish that were in the tank, by species
    code: tuple[str, ...]  # by fish
    worst: int | None  # the worst-off fish


def names_of(parts: TrialParts) -> Names:
    looks = species_looks(parts.species, parts.kinds, parts.typed)
    letters = {name: look.letter for name, look in looks.items()}
    count = Counter(parts.species[i] for i in parts.here)
    return Names(looks, count, codes(parts, letters=letters), worst_off(parts))


def trial_page(parts: TrialParts, *, title: str, caption: str) -> tuple[Page, float, float]:
    """A page with title, tank and caption, and the pixels where the title ends and the caption begins."""
    page = Page()
    page.put(title, MARGIN, 1024, size=TITLE, room=ROOM, bold=True)
    page.put(subtitle(parts), MARGIN, 984, size=BODY, room=ROOM, color=FAINT)
    return page, 970.0, page.upwards(page.lines(caption, size=BODY, room=ROOM), 26, size=BODY)


def subtitle(parts: TrialParts) -> str:
    """Which tank this is, for the line below the title."""
    hours = parts.ledger.hours.shape[1]
    return f"{_one_of(parts)}, {hours} lit {_plural(hours, 'hour')} measured: {parts.title}"


def tank_caption(parts: TrialParts, names: Names, *, minutes: float, seen: str) -> str:
    """What a picture of the tank shows."""
    through = ", as if the rock were clear" if (parts.tank.index < 0).any() else ""
    spent = f"{minutes:g} {_plural(int(minutes), 'minute')}"
    if len(parts.here) > TAGGED:
        tags = "A tag stands at the crevice of an owner, or where the worst-off fish was most. "
    else:
        tags = "A tag stands where its fish was most, an owner's at its crevice. "
    return (
        f"Each mark is {spent} of one fish, seen {seen}{through}; "
        f"a heap of marks is a fish that hardly moved. {tags}"
        f"{_worst(parts, names)}{_out(parts, names)}{_one_tank(parts)}"
    )


def matrix_caption(parts: TrialParts, names: Names, *, grouped: bool) -> str:
    """What the table of chases shows."""
    if len(parts.here) == 0:
        return f"No fish was in the tank in the measured time. {_one_tank(parts)}"
    if len(parts.here) == 1:
        return f"A fish on its own: there is nobody to chase it. {_out(parts, names)}{_one_tank(parts)}"
    order = "Species by species, those" if grouped else "Those"
    worst = ""
    if names.worst is not None:
        hidden = _percent(parts.share("hidden")[names.worst])
        who = parts.called(names.worst)
        worst = f"Worst off (black frame) was {who}, which hid for {hidden} of its lit time. "
    return (
        "Rows chase, columns are chased; the darker, the more chases per lit hour (model scale). "
        f"{order} that give more than they get come first. {worst}{_out(parts, names)}{_one_tank(parts)}"
    )


def day_caption(parts: TrialParts, names: Names) -> str:
    """What the picture of chases over the day shows."""
    total = int(parts.ledger.pair["chases"].sum())
    told = "No chase was counted. " if total == 0 else ""
    return (
        f"{told}Left, how often a fish of each species was chased in each lit hour (model scale). "
        "Right, how much of that hour it hid. "
        "Read them together: a fish that no longer comes out is chased less, and is not better off. "
        f"{_out(parts, names)}{_one_tank(parts)}"
    )


def _one_of(parts: TrialParts) -> str:
    if parts.trials == 1:
        return "One simulated tank"
    return f"Simulated tank {parts.trial + 1} of {parts.trials}"


def _one_tank(parts: TrialParts) -> str:
    if parts.trials == 1:
        return "This is one simulated tank, of model fish; another would turn out otherwise."
    return f"This is one of {parts.trials} simulated tanks, of model fish; the others turn out otherwise."


def _worst(parts: TrialParts, names: Names) -> str:
    """The worst-off fish, why it is that, and how much of its time it hid."""
    if names.worst is None:
        return ""
    worst = names.worst
    free, hidden = parts.share("free")[worst], parts.share("hidden")[worst]
    place = main_place(parts, worst)[1]
    if parts.free_alone is not None:
        lost = 1.0 - free / parts.free_alone[worst]
        than = f"{_percent(lost)} less than the same fish left alone"
    else:
        than = "the least of all"
    return (
        f"Worst off (stars) was {names.code[worst]}, {parts.called(worst)}: "
        f"it swam free {_percent(free)} of its lit time, {than}; "
        f"it hid for {_percent(hidden)} and spent {_percent(place)} in one place. "
    )


def _out(parts: TrialParts, names: Names) -> str:
    """Who was taken out, and when."""
    gone = taken_out(parts)
    if not len(gone):
        return ""
    lit = parts.hours_of("lit")
    said = [f"{names.code[i]} in hour {int(np.flatnonzero(lit[i])[-1]) + 1}" for i in gone[:_NAMED_OUT]]
    more = f" and {len(gone) - _NAMED_OUT} more" if len(gone) > _NAMED_OUT else ""
    return f"Taken out: {', '.join(said)}{more}. "


def _percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%"


def _plural(count: int, word: str) -> str:
    return word if count == 1 else f"{word}s"
