"""Plans in words that a keeper can shop by."""

from __future__ import annotations

import math

from ....sim.scenario.units import say_length_cm
from ...document.plain import called, listed, many, percent, span
from .answer import Best, Tried, best_word_missed
from .fares import Group

_PLURAL = {"male": "males", "female": "females", "unsexed": "unsexed fish"}


def group_said(group: Group) -> str:
    """``"Tropheus moorii females"``."""
    return f"{group[0]} {_PLURAL[group[1]]}"


def stock_said(found: Best, one: Tried) -> str:
    """``"1 male and 4 females of Tropheus moorii, 1 male and 2 females of Eretmodus cyanostictus"``."""
    space = found.plan.space
    parts = [
        f"{pair_said(*pair)} of {liked.species}"
        for liked, pair in zip(space.wanted.liked, one.stocking.fish, strict=True)
        if sum(pair)
    ]
    there = f", beside the {len(space.there)} that are there" if space.there else ""
    return f"{', '.join(parts) or 'no fish more'}{there}"


def stock_briefly(found: Best, one: Tried) -> str:
    """``"T. moorii 1m 4f, E. cyanostictus 1m 2f"``, as stock lists say it (common practice, no source)."""
    parts = []
    for liked, pair in zip(found.plan.space.wanted.liked, one.stocking.fish, strict=True):
        counts = [f"{many}{sex}" for many, sex in zip(pair, "mf", strict=True) if many]
        if counts:
            parts.append(f"{called(liked.species, liked.species)} {' '.join(counts)}")
    return ", ".join(parts) or "no fish more"


def pair_said(males: int, females: int) -> str:
    """``"1 male and 4 females"``."""
    parts = [many(males, "male")] if males else []
    return " and ".join([*parts, *([many(females, "female")] if females else [])])


def laid(one: Tried) -> str:
    """``"rock on 40 % of the floor in 2 piles up to 45 cm (18 in)"``."""
    layout = one.layout
    if not layout.cover:
        return "no rock"
    high = say_length_cm(layout.height_cm)
    return f"rock on {percent(layout.cover)} of the floor in {many(layout.piles, 'pile')} up to {high}"


def ends(low: float, high: float) -> str:
    """``"54 to 69 %"``, or the one figure where both are said alike."""
    return percent(low) if percent(low) == percent(high) else span(low, high, percent)


def laid_briefly(one: Tried) -> str:
    """``"rock on 40 % of the floor, 2 piles 45 cm high"``."""
    layout = one.layout
    if not layout.cover:
        return "no rock"
    floor = f"rock on {percent(layout.cover)} of the floor"
    return f"{floor}, {many(layout.piles, 'pile')} {layout.height_cm:.0f} cm high"


def kilograms(one: Tried) -> str:
    """``"40 to 70 kg"``."""
    low, high = (round(kg / 5) * 5 if kg >= 20 else round(kg) for kg in one.rock_kg)
    return f"{low} to {high} kg" if low != high else f"{high} kg"


def money_said(money: float) -> str:
    """Money in whatever the keeper counts in; "" where nothing has a price."""
    return "" if math.isnan(money) else f"{money:.0f}"


def missed(found: Best) -> str:
    """What no plan reached, and which limit stands in the way."""
    short, asked = found.short, found.asked
    if short is None or asked is None:
        return ""
    least = found.work.levels[0]
    several = [f"{asked.fish} fish"] if asked.fish > least.fish else []
    several += [many(asked.species, "species", "species")] if asked.species > least.species else []
    such = f" with {listed(several)} or more" if several else ""
    text = f"None{such} kept all {best_word_missed(found)}"
    told = [one for one in found.loosened if one.difference.told and one.difference.value > 0]
    if told:
        one = told[0]
        return f"{text}; in the way: {one.limit} ({percent(one.kept)} {one.said})."
    if found.loosened:
        return f"{text}; no limit by itself was seen to be in the way."
    return f"{text}."
