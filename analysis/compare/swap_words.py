"""Species in the place of one, in words: three lists in alphabetical order, no ranks and no scores."""

from __future__ import annotations

from ..multiple import CALMER, UNTOLD, WORSE
from ..plain import many, paragraph, percent, section
from .side_by_side import HIDDEN, LOST, PINNED
from .swap import VERDICTS, Swap
from .words import ALL_CAUTIONS

BY = {
    LOST: "the share they lose of the free swimming they would have if left alone",
    HIDDEN: "the share of lit time they hide",
    PINNED: "the share of simulated tanks in which they are pinned",
}
ASSUMED = (
    "The temperaments of all species are assumptions, drawn from wide ranges, so there is no rank and no "
    "score, and within a list the order is that of the alphabet. Whether a species suits this tank at all "
    "(its size, its food, its water, its own kind) is not judged here, nor how it would fare itself."
)
UNSEEN = (
    '"No difference seen" is not "no difference": with more simulated tanks (--trials) more would be told.'
)
HEADS = {
    CALMER: "Calmer for them",
    UNTOLD: "No difference seen",
    WORSE: "Worse for them",
}


def swap_words(found: Swap) -> str:
    """The whole answer as text of at most 100 columns."""
    parts = [_opening(found)]
    parts += [_list(found, verdict) for verdict in VERDICTS]
    parts.append(_left_out(found))
    parts += [paragraph(f"{ASSUMED} {UNSEEN}"), paragraph(ALL_CAUTIONS)]
    return "\n\n".join(part for part in parts if part) + "\n"


def _opening(found: Swap) -> str:
    drawn = "nothing unmeasured was drawn" if found.fixed else many(found.guesses, "guess", "guesses")
    count = len(found.verdicts)
    lines = [
        f"What if another species stood in the place of {found.out} ({found.count})? {found.title}",
        f"Judged for {found.whose}, by {BY[found.goal]}: beside each of {count} species against the tank as "
        f"it is, in {found.trials} simulated tanks each ({drawn}), on the same seeds: the same other fish, "
        f"guesses and rock. Told where a difference stands out from luck after Holm's correction for {count} "
        f"comparisons: the chance that any is told wrongly is at most {percent(found.level)}.",
    ]
    return "\n".join(paragraph(text) for text in lines)


def _list(found: Swap, verdict: str) -> str:
    names = found.of(verdict)
    return section(f"{HEADS[verdict]} ({len(names)} species)", [", ".join(names) or "none"])


def _left_out(found: Swap) -> str:
    if not found.left_out:
        return ""
    return section("Not tried", [f"{name}: {why}" for name, why in found.left_out.items()])
