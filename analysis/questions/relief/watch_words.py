"""What to watch in the real tank and what would prove the model wrong, in words."""

from __future__ import annotations

import math

from ...document import Bullets, Item, Section, section
from ...document.plain import many, percent
from ...measures.registry import LOST
from .answer import HELPS, Relief
from .watch import Chasers, Places, Watch

# From where on something is worth a word: wording alone, set by what reads well (assumption).
OFTEN = 0.1  # share of the tanks in which a kind gives the chief chaser, from which on it is named
LITTLE = 0.05  # of all chases: kinds that give less are not named
CROWDED = 1.15  # times its share of the water, from which on a third of the tank is named
SEEN_AT = 0.15  # share of the time at crevices or in corners, from which on they are named


def watch_sections(found: Relief, watch: Watch) -> tuple[Section, Section]:
    """What to watch for, and what would prove the model wrong."""
    wrong = [_other_chief(watch), _other_share(watch), _no_help(found)]
    return (
        section(
            f"What to watch in the real tank: {found.whom.name}",
            *(_who(watch), _when(watch), _where(watch.places), _how_much(watch)),
        ),
        section(
            "What would prove the model wrong about your tank",
            Bullets(tuple(Item(text) for text in wrong if text)),
        ),
    )


def _who(watch: Watch) -> str:
    if not watch.chasers:
        return "Which fish: in the model nobody chases them."
    parts = [f"{_described(one)} {percent(one.share)}" for one in watch.chasers if one.share >= LITTLE]
    text = f"Which fish: of all chases on them {', '.join(parts)}."
    if math.isfinite(watch.chief_share):
        text += (
            f" Look for the one that chases one of them most: it gives {percent(watch.chief_share)} of all "
            f"chases on it, and is {_chiefs(watch)} simulated tanks."
        )
    return text


def _described(one: Chasers) -> str:
    return f"the {one.fish} {one.name} give" if one.fish > 1 else f"the {one.name} gives"


def _often(watch: Watch) -> list[Chasers]:
    """The kinds that the chief chaser is one of in many tanks, the most frequent first."""
    ranked = sorted((one for one in watch.chasers if one.chief_in), key=lambda one: -one.chief_in)
    return [one for one in ranked if one.chief_in >= OFTEN * watch.chased_tanks] or ranked[:1]


def _chiefs(watch: Watch) -> str:
    parts = [f"one of the {one.name} in {one.chief_in}" for one in _often(watch)]
    return f"{', '.join(parts)} of {watch.chased_tanks}"


def _when(watch: Watch) -> str:
    if watch.busiest is None:
        return ""
    if not watch.busiest.told:
        return "When: no hour of light stands out, so watch at several."
    times = f"{watch.busiest.times:.1f} times the mean"
    return f"When: most in hour {watch.busiest.hour} after the light comes on, {times}."


def _where(places: Places | None) -> str:
    if places is None:
        return ""
    named = [one for one in places.thirds if one.share > CROWDED * one.water][:2]
    parts = [f"{one.name} {percent(one.share)} (of the water {percent(one.water)})" for one in named]
    if places.crevices >= SEEN_AT:
        parts.append(f"at or in a crevice {percent(places.crevices)}")
    if places.corners >= SEEN_AT:
        parts.append(f"in a corner of the glass or under the surface {percent(places.corners)}")
    if not parts:
        return "Where: all over the tank, no part of it much more than another."
    tanks = many(places.tanks, "simulated tank")
    return f"Where, of their time in {tanks}: {'; '.join(parts)}."


def _how_much(watch: Watch) -> str:
    low, high = watch.out_range
    return (
        f"How much: one of them is out, swimming free, {percent(watch.out)} of the lit time on the average; "
        f"for nine of ten it is between {percent(low)} and {percent(high)}."
    )


def _other_chief(watch: Watch) -> str:
    if not watch.chased_tanks:
        return "One of them is chased, time and again."
    often = _often(watch)
    rare = watch.chased_tanks - sum(one.chief_in for one in often)
    if len(often) == len(watch.chasers):
        return ""
    named = " nor ".join(f"one of the {one.name}" for one in often)
    neither = "neither " if len(often) > 1 else "not "
    return (
        f"Over several watches the fish that chases one of them most is {neither}{named} (as in {rare} of "
        f"{watch.chased_tanks} simulated tanks)."
    )


def _other_share(watch: Watch) -> str:
    low, high = watch.out_range
    bounds = [f"more than {percent(high)}"] if round(100 * high) < 100 else []
    bounds += [f"less than {percent(low)}"] if round(100 * low) > 0 else []
    if not bounds:
        return ""
    return (
        "In ten-minute watches at several hours of several days, counted together, one of them is out "
        f"{' or '.join(bounds)} of the time."
    )


def _no_help(found: Relief) -> str:
    helps = found.of(HELPS)
    if not helps:
        return ""
    best = helps[0]
    (low, high), lost = best.out_range, best.figures[LOST]
    plan = found.plan
    later = f"over {many(plan.months, 'month')}" if plan.months else f"{plan.scenario.run.days:g} days later"
    return (
        f"Number 1 of what is put forward is done and {later} they are "
        f"out no more than before: by the model they then lose {percent(lost.after)} and no longer "
        f"{percent(lost.before)}, and nine of ten are out between {percent(low)} and {percent(high)} of "
        "the time."
    )
