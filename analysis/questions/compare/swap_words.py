"""Species instead of one, in words: three lists in alphabetical order, no ranks and no scores."""

from __future__ import annotations

from ...document import Document, Section, document, flush, section
from ...document.plain import many, percent
from ...measures.registry import HIDDEN, LOST, PINNED
from ...statistics.multiple import CALMER, UNTOLD, WORSE
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
HEADS = {CALMER: "Calmer for them", UNTOLD: "No difference seen", WORSE: "Worse for them"}


def swap_words(found: Swap) -> Document:
    """The whole answer."""
    lists = (_list(found, verdict) for verdict in VERDICTS)
    closing = (flush(f"{ASSUMED} {UNSEEN}"), flush(ALL_CAUTIONS))
    return document(_opening(found), *lists, _left_out(found), *closing)


def _opening(found: Swap) -> Section:
    drawn = "nothing unmeasured was drawn" if found.fixed else many(found.guesses, "guess", "guesses")
    count = len(found.verdicts)
    return flush(
        f"What if another species stood in place of {found.out} ({found.count})? {found.title}",
        f"Judged for {found.whose}, by {BY[found.goal]}: beside each of {count} species against the tank as "
        f"it is, in {found.trials} simulated tanks each ({drawn}), on the same seeds: the same other fish, "
        f"guesses and rock. Told where a difference stands out from luck after Holm's correction for {count} "
        f"comparisons: the chance that any is told wrongly is at most {percent(found.level)}.",
    )


def _list(found: Swap, verdict: str) -> Section:
    names = found.of(verdict)
    return section(f"{HEADS[verdict]} ({len(names)} species)", ", ".join(names) or "none")


def _left_out(found: Swap) -> Section | None:
    if not found.left_out:
        return None
    return section("Not tried", *(f"{name}: {why}" for name, why in found.left_out.items()))
