"""Why a fish is bullied, in words: what ``rockshy why`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math

from ...document import Document, Section, document, flush, section, table
from ...document.cautions import CAUTIONS, FIRST, has_rock
from ...document.plain import Form, percent
from ...measures.registry import LOST, RECEIVED
from ...statistics.intervals import Estimate
from .answer import LEFT, Share, Shared, ShareEstimate, Why
from .behind import Behind
from .design import GOALS
from .mechanisms import Mechanism
from .reasons import because, number

_WIDTHS = (34, 7, 14, 20, 12)
UNIT = {LOST: "ten parts of the free swimming it loses", RECEIVED: "ten chases it gets"}
IT_WOULD = {LOST: "lose more of its free swimming", RECEIVED: "be chased more"}
NONE_LOST, NONE_CHASED = "It loses none to speak of.", "It is hardly chased."


def document_of(found: Why, behind: Behind) -> Document:
    """The whole answer."""
    opening = (flush(f"{found.plan.scenario.title}: why is this fish bullied?"), flush(FIRST), _whom(found))
    if found.nothing:
        return document(*opening, _not_bullied(found), _cautions(found))
    return document(
        *opening,
        *(_goal(found, goal, behind) for goal in GOALS if found.shared[goal].explained),
        _disagreement(found),
        _table(found, LOST, "Of its free swimming it loses", "loses"),
        _table(found, RECEIVED, "Of its chases", "chased"),
        _clear_view(found),
        _meaning(found),
        _how(found),
        _cautions(found),
    )


def _whom(found: Why) -> Section:
    whom, alike = found.whom, len(found.whom.labels)
    those = ""
    if alike > 1:
        measured = (
            "their means"
            if len(found.fish) == alike
            else (f"means of the {len(found.fish)} of them that stay in the tank whatever is switched off")
        )
        those = f"; {alike} fish, the figures are {measured}"
    lost, chased = (found.shared[goal].whole for goal in GOALS)
    they = (
        f"It loses {_with_range(lost, percent)} of the free swimming it would have if left alone, and is "
        f"chased {_with_range(chased, number)} times an hour (model scale)."
    )
    return section(f"For: {whom.name} ({whom.why}{those})", they)


def _not_bullied(found: Why) -> Section:
    return flush(
        f"There is nothing to explain: {found.whom.name} loses next to none of its free swimming here and is "
        "hardly chased, or the simulated tanks cannot tell it from none. No mechanism was switched off."
    )


# ---- sentences


def _goal(found: Why, goal: str, behind: Behind) -> Section:
    shared = found.shared[goal]
    untold = "; ".join(_untold(found, one, behind) for one in shared.ranked if not one.told)
    return section(
        f"Of {UNIT[goal]}:",
        *(share_sentence(found, goal, one, behind) for one in shared.ranked if one.told),
        left_sentence(shared),
        f"Too close to call: {untold}." if untold else "",
    )


def share_sentence(found: Why, goal: str, one: Share, behind: Behind) -> str:
    """ "about 4 (3 to 5) because it can be seen from afar: ...", as honest as the interval."""
    mechanism, reason = named(found, one.code), because(one.code, found.switches, behind)
    ten = one.of_ten
    if not one.told:
        return f"{_untold(found, one, behind)}: too close to call."
    if ten.value < 0:
        much = about(ten, turned=True)
        return f"{mechanism.name}: it would {IT_WOULD[goal]} without, by {much}: {reason}."
    return f"{about(ten)} {mechanism.because}: {reason}."


def _untold(found: Why, one: Share, behind: Behind) -> str:
    ten = one.of_ten
    return f"{named(found, one.code).name}, {_tenth(ten.low)} to {_tenth(ten.high)}"


def left_sentence(shared: Shared) -> str:
    """What no mechanism explains."""
    left = shared.of(LEFT)
    ten = left.of_ten
    if not left.told:
        return (
            "What is left whatever is changed is too close to call "
            f"({_tenth(ten.low)} to {_tenth(ten.high)})."
        )
    verb = "is" if ten.tokens <= 1 else "are"
    return (
        f"{about(ten)} {verb} left whatever is changed: fish of one size and temper, few, well hidden and "
        "without ground of their own, still chase each other."
    )


def named(found: Why, code: str) -> Mechanism:
    """The mechanism of a code."""
    return next(one for one in found.mechanisms if one.code == code)


def _disagreement(found: Why) -> Section | None:
    shared = found.shared
    if not shared[LOST].explained:
        return flush("Only its chases are shared out: it loses next to none of its free swimming.")
    if not shared[RECEIVED].explained:
        return flush(
            "Only its free swimming is shared out: it is hardly chased. A fish that hides at the sight of "
            "others loses its freedom without a chase."
        )
    names = {one.code: one.name for one in found.mechanisms} | {LEFT: "what is left"}
    reason = "A fish that has given up coming out is met, and chased, less; one that comes out again, more."
    if found.disagreeing:
        told = ", ".join(names[code] for code in found.disagreeing)
        return flush(f"The two disagree, beyond doubt, on: {told}. {reason}")
    first = [shared[goal].ranked[0].code for goal in GOALS if shared[goal].ranked]
    if len(set(first)) > 1:
        return flush(
            f"The two do not agree on what weighs most: {names[first[0]]} for the free swimming, "
            f"{names[first[1]]} for the chases. {reason}"
        )
    return None


# ---- tables


def _table(found: Why, goal: str, title: str, verb: str) -> Section | None:
    shared = found.shared[goal]
    if not shared.explained:
        return None
    names = {one.code: one.name for one in found.mechanisms} | {LEFT: "left whatever is changed"}
    rows = []
    for one in shared.shares:
        ten = one.of_ten
        limits = f"{_tenth(ten.low)} to {_tenth(ten.high)}"
        ends = ("", "") if one.code == LEFT else (_alone(one, goal), f"{one.largest} of {len(found.rows)}")
        rows.append((names[one.code], _tenth(ten.value), limits, *ends))
    whole = percent(shared.whole.value) if goal == LOST else f"{number(shared.whole.value)} an hour"
    rows.append(("in all", "10.0", "", f"{verb} {whole}", ""))
    heads = (title, "of ten", "95 %", "off on its own", "most in")
    return Section((table(heads, rows, widths=_WIDTHS),))


def _alone(one: Share, goal: str) -> str:
    """What changes when one mechanism alone is off."""
    if not one.alone.trials:
        return "-"
    if goal == LOST:
        percents = -round(100 * one.alone.value)
        return f"{percents:+d} %" if percents else "0 %"
    change = round(-one.alone.value, 1)
    return f"{change:+.1f} an hour" if change else "0 an hour"


def _clear_view(found: Why) -> Section | None:
    views = {goal: found.shared[goal].clear_view for goal in GOALS}
    if not all(one.trials for one in views.values()):
        return None
    lost, chased = views[LOST], views[RECEIVED]
    texts = [
        f"it would lose {_more(lost, percent, 'of its free swimming')}"
        if _is_told(lost)
        else "what it loses could not be told from what it loses now",
        f"it would be chased {_more(chased, number, 'times an hour')}"
        if _is_told(chased)
        else "its chases could not be told from what they are now",
    ]
    said = (
        f"If rock blocked no view at all: {texts[0]}, and {texts[1]}. (Rock cannot be made of glass here: "
        "it was taken out, and its crevices, as many and as wide, stand in the open; so it blocks no way "
        "either.)"
    )
    return section("The other way round, outside the sum", said)


def _is_told(one: Estimate) -> bool:
    return bool(one.low > 0 or one.high < 0)


def _more(one: Estimate, say: Form, of: str) -> str:
    return f"{say(abs(one.value))} {'more' if one.value > 0 else 'less'} {of}"


def _meaning(found: Why) -> Section:
    return section(
        'What "off" means',
        *(f"{one.name}: {one.off}." for one in found.mechanisms),
        *(f"{one.name}: left out, as {one.reason}." for one in found.left_out),
    )


def _how(found: Why) -> Section:
    players = len(found.mechanisms)
    ways = (
        f"all {2**players} ways to have them on or off"
        if found.exact
        else f"two orders, one the other's reverse, in which the {players} are switched on one by one"
    )
    stopped = "Stopped by Ctrl-C: of what was done so far. " if found.stopped else ""
    asked = (
        f" {found.plan.trials} tanks were cut to {found.trials} so as to take about four minutes on two "
        "cores; --trials asks for another number."
        if found.trials < found.plan.trials
        else ""
    )
    unjudged = f" {found.unjudged} more could not be judged." if found.unjudged else ""
    return section(
        "How it was found",
        f"{stopped}{len(found.rows)} tanks, each simulated with {ways}, on the same fish, rock, guesses and "
        f"luck: {found.tanks} simulated tanks.{asked}{unjudged}",
        "A share is what a mechanism adds on the average, whichever of the others are on (Shapley value: "
        "Shapley1953, 2nd hand"
        + ("" if found.exact else "; sampled orders: Castro2009, abstract")
        + "). The shares and what is left add up to the whole, exactly, in every tank. Two mechanisms "
        "that only work together share what they do half and half.",
        'In brackets: 95 % intervals, each for itself, the guess as the unit. "Too close to call": '
        'the interval holds 0. "Off on its own": with that one off and all others on, in those of the tanks '
        'that were simulated so; these do not add up. "Most in": tanks in which none added more.',
        "Causes in the model, not in your tank: they are as good as its rules. Every way is run from the "
        "first day, all fish being newcomers.",
    )


def _cautions(found: Why) -> Section:
    said = {"law": True, "rock": has_rock(found.plan.scenario), "power": True}
    return flush(" ".join(one.text for one in CAUTIONS if said.get(one.about, False)))


# ---- numbers


def _with_range(one: Estimate, say: Form) -> str:
    if not math.isfinite(one.low):
        return say(one.value)
    return f"{say(one.value)} (95 %: {say(one.low)} to {say(one.high)})"


def about(ten: ShareEstimate, *, turned: bool = False) -> str:
    """``"about 4 (3 to 5)"``; with tenths where whole numbers would hide what is meant.

    Parameters
    ----------
    turned : say how much a share below 0 takes away.
    """
    if turned:
        ten = ShareEstimate(-ten.value, -ten.high, -ten.low, -ten.tokens)
    if math.isfinite(ten.low) and (abs(ten.tokens) <= 1 or round(ten.low) == round(ten.high)):
        return f"about {_tenth(ten.value)} ({_tenth(ten.low)} to {_tenth(ten.high)})"
    return f"about {in_wholes(ten)}"


def in_wholes(ten: ShareEstimate) -> str:
    """``"4 (3 to 5)"``, in whole numbers that add up to ten with those of the other shares."""
    if not math.isfinite(ten.low):
        return str(ten.tokens)
    return f"{ten.tokens} ({min(round(ten.low), ten.tokens)} to {max(round(ten.high), ten.tokens)})"


def _tenth(value: float) -> str:
    return f"{round(value, 1) + 0.0:.1f}" if math.isfinite(value) else "-"
