"""Which camp of an argument the simulated tanks support: the rules, in one place.

A scenario's ``[argument]`` has two claims in words. Both are taken to be about the first alternative of
the file and the fish that is watched: the first camp (``some_say``) says that the change helps it, the second
(``others_say``) that it does not. Further alternatives are told beside, and decide nothing.

A fish is helped when it loses less of its free swimming. The verdict is

- the first camp: surely less is lost, and it is not surely pinned in more tanks;
- the second camp: surely more is lost, and it is not surely pinned in fewer; or the change surely moves
  the loss by no more than LITTLE either way, and pinning not surely at all;
- neither: free swimming and pinning surely go opposite ways;
- unresolved: everything else, most often that the difference is too close to call; and where
  nothing at all was different in any tank, so that the claim was not put to the test.

"Surely" is the 95 % interval of the difference in the same simulated tanks; LITTLE is this project's own
choice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..statistics.paired import Difference

LITTLE = 0.05  # of the free swimming: half a part of ten
FIRST, SECOND, NEITHER, UNRESOLVED = "the first camp", "the second camp", "neither camp", "unresolved"
BETTER, WORSE, SAME, OPEN = "better", "worse", "hardly different", "cannot tell"


@dataclass(frozen=True)
class Verdict:
    """What the simulated tanks say of an argument."""

    word: str  # FIRST, SECOND, NEITHER or UNRESOLVED
    because: str  # one sentence in keepers' words


def moved(lost: Difference, *, little: float = LITTLE) -> str:
    """BETTER, WORSE, SAME or OPEN: which way the loss of free swimming went; all of its interval counts."""
    if not lost.trials or not (lost.low == lost.low and lost.high == lost.high):
        return OPEN
    if -little <= lost.low and lost.high <= little:
        return SAME
    if lost.high < 0:
        return BETTER
    return WORSE if lost.low > 0 else OPEN


def judge(
    lost: Difference, pinned: Difference, *, change: str, same: bool = False, little: float = LITTLE
) -> Verdict:
    """The verdict from the differences of the first alternative less the tank as it is.

    Parameters
    ----------
    lost : of the share of free swimming that the watched fish lose.
    pinned : of the share of simulated tanks in which they are pinned.
    change : name of the alternative.
    same : nothing at all differed in any tank, so that the claim was not put to the test.
    """
    if same:
        return Verdict(
            UNRESOLVED, f"With {change} nothing at all was different, so neither was put to the test."
        )
    way, held = moved(lost, little=little), _held(pinned)
    if (way, held) in ((BETTER, WORSE), (WORSE, BETTER)):
        free = "more" if way == BETTER else "less"
        often = "more" if held == WORSE else "less"
        return Verdict(NEITHER, f"With {change} they swim free {free}, yet are pinned {often} often.")
    if way == BETTER:
        return Verdict(FIRST, f"With {change} they get about more, beyond what luck alone would do.")
    if way == WORSE:
        return Verdict(SECOND, f"With {change} they get about less, beyond what luck alone would do.")
    if way == SAME and held == OPEN:
        return Verdict(SECOND, f"With {change} they get about as before: the difference is next to nothing.")
    return Verdict(UNRESOLVED, f"With {change} the difference cannot be told from luck.")


def _held(pinned: Difference) -> str:
    if not pinned.trials or not pinned.told:
        return OPEN
    return BETTER if pinned.value < 0 else WORSE
