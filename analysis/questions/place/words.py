"""Which fish belong in which tank, in words: what ``rockshy place`` prints in full."""

from __future__ import annotations

import math

from ...document import Bullets, Document, Item, Section, document, flush, section, table
from ...document.cautions import CAUTIONS, FIRST, has_rock
from ...document.plain import chance, many, percent, span
from ...measures.plight import IS_OWN
from ..orders_said import order_section
from ..relief.words import limits_said
from .answer import Placed, Placing
from .brief import MOST_STEPS, fare_said, gain_said, heading, money_said, step_said, watch_said
from .room import NEW_DAY

MOVING = (
    "Before you start: have every tank, bucket and lid ready. Water of one temperature and hardness on both "
    "sides, lights low, a net and a bucket for each tank, since wet hands and nets carry sickness. Fish that "
    "are new to the room wait in quarantine first, whatever the plan says.",
    "Re-lay some of the rock just before newcomers go in, the mildest first, and feed everybody. Nobody "
    "stays in a bucket longer than it takes; cover it and air it.",
    "Then watch: at lights on, at feeding and before lights out of the first three days. Torn fins, a fish "
    "in a corner or at the surface, one that does not feed: take it out again at once. Have a divider or a "
    "free tank ready before the first move.",
)
PRACTICE = "Common practice, no source."


def document_of(found: Placing) -> Document:
    """The whole answer."""
    return document(
        flush(heading(found)),
        flush(FIRST),
        _plans(found),
        _afternoon(found),
        order_section(found.order),
        _fares(found),
        _tried(found),
        _apart(found),
        _moving(),
        _how(found),
        _cautions(found),
    )


def plan_said(found: Placing, one: Placed) -> str:
    """What is done, in a line."""
    if one.homes == found.now.homes:
        return "leave everybody where they are"
    said = "; ".join(step_said(step) for step in one.steps[:MOST_STEPS])
    return said + ("; and more" if len(one.steps) > MOST_STEPS else "")


def _plans(found: Placing) -> Section:
    rows = []
    for k, one in enumerate(found.plans, 1):
        gain = one.gain
        span_said = "-" if not math.isfinite(gain.low) else gain_said(one)
        rows.append(
            (
                f"{k}. {plan_said(found, one)}",
                str(one.moves),
                percent(one.worst.kept.value),
                "-" if one.homes == found.now.homes else span_said,
                f"{gain.better} of {gain.trials}",
                chance(one.chance),
            )
        )
    now = ""
    if found.now.fares and not any(one.homes == found.now.homes for one in found.plans):
        worst = found.now.worst
        now = f"As it is, worst off: {worst.name} in {worst.tank}, {fare_said(worst)}."
    if found.now.fares and not found.now.allowed:
        now += " The room as it is does not keep every limit of the file."
    money = [f"plan {k} {said}" for k, one in enumerate(found.plans, 1) if (said := money_said(one))]
    return section(
        "The best plans, the one that was chosen first",
        table(
            ("plan", "moves", "worst off\nkeep", "more than now\n95 %", "better in", "chance to\nbe best"),
            rows,
            widths=(40, 6, 10, 14, 10, 10),
        ),
        now.strip(),
        f"Money: {'; '.join(money)}." if money else "",
        f"All figures here are of {found.fresh} fresh simulated tanks each, in which nothing was chosen. "
        "A move must win the worst off at least 2 %; where plans are equal in that, the better is the one in "
        "which all together keep more.",
    )


def _afternoon(found: Placing) -> Section | None:
    steps = found.best.steps
    if not steps:
        return None
    items = []
    for one in steps:
        beside = f" (until the next step: {one.breaks})" if one.breaks else ""
        items.append(Item(step_said(one) + beside))
    waiting = sum(one.waits for one in steps)
    bucket = (
        f"{many(waiting, 'group')} must wait in a bucket: no order spares that without bad company."
        if waiting
        else "Nobody has to wait in a bucket."
    )
    return section("In one afternoon", Bullets(tuple(items), numbered=True), bucket, watch_said(found))


def _fares(found: Placing) -> Section:
    rows = []
    for owner in range(found.room.owners):
        old, new = found.now.of(owner), found.best.of(owner)
        if old is None and new is None:
            continue
        rows.append(
            (
                found.room.names[owner],
                "-" if old is None else f"{old.tank}: {fare_said(old)}",
                "not in the room" if new is None else f"{new.tank}: {fare_said(new)}",
                "-" if new is None else span(new.kept.guess_low, new.kept.guess_high, percent),
            )
        )
    return section(
        "How everybody fares, now and by the plan",
        table(
            ("", "now", "by the plan", "unmeasured"),
            rows,
            widths=(34, 26, 26, 12),
            left=(1, 2),
        ),
        "Unmeasured: the range by what nobody has measured.",
        IS_OWN,
    )


def _tried(found: Placing) -> Section | None:
    if not found.tried:
        return None
    room = found.room
    known = {(one.group, one.tank): one for one in found.tried}
    rows = []
    for g, group in enumerate(room.groups):
        cells = []
        for t in range(len(room.tanks)):
            one = known.get((g, t))
            here = "*" if group.now == t else ""
            cells.append("-" if one is None else f"{percent(one.kept)}{here}")
        if any(cell != "-" for cell in cells):
            rows.append((group.name, *cells))
    heads = ("", *(one.name for one in room.tanks))
    return section(
        "What each group keeps if it alone is moved there",
        table(heads, rows),
        "* where it is now; -: not allowed, or not run. From the eight simulated tanks that only sift.",
    )


def _apart(found: Placing) -> Section | None:
    if not found.apart:
        return None
    items = tuple(
        Item(
            f"{one.who} keep {percent(-one.kept.value)} less beside {one.by} "
            f"({limits_said(-one.kept.high, -one.kept.low)}; {one.tank})"
        )
        for one in found.apart[:10]
    )
    return section(
        "Who should be kept apart",
        Bullets(items),
        "More than luck over all pairs that were tried (Holm), and 10 % or more.",
    )


def _moving() -> Section:
    return section("Moving fish", *MOVING, PRACTICE)


def _how(found: Placing) -> Section:
    error = f", amiss by {percent(found.errors[-1])} in tanks it had not seen" if found.errors else ""
    ended = (
        "It ended when the best plans consisted of tanks that were run."
        if found.settled
        else "It ended at the greatest number of rounds: a better plan may have been passed over."
    )
    new = ""
    if any(home.who & ~found.room.now[home.tank].who for one in found.plans for home in one.homes):
        new = f"Fish that are moved go in {NEW_DAY:g} of a lit day after the others are there."
    stopped = "It was stopped by Ctrl-C: of what was done so far." if found.stopped else ""
    moves = many(found.room.bounds.most_moves, "move")
    return section(
        "How it was found",
        f"The limits and at most {moves} allow {found.possible} sets of fish in the tanks; "
        f"{found.run} were run. Which ones, a regression said{error}. {ended} "
        "Every plan here consists of tanks that were run; "
        f"{found.tanks} simulated tanks in all.",
        new,
        stopped,
    )


def _cautions(found: Placing) -> Section:
    scenarios = [found.room.scenario(home) for home in found.best.homes]
    rock = any(one is not None and has_rock(one) for one in scenarios)
    told = [one.text for one in CAUTIONS if one.about != "rock" or rock]
    return section("Cautions", *told[1:])
