"""How many trials of what: shared out to where they decide, or until an interval is narrow enough.

Both are plans for :class:`rockshy.analysis.questions.compare.design.Design`: functions of the values so far.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ....sim.run.set_ups import a_round, draws_of
from ....sim.scenario.scenario import RunSpec
from ...measures.registry import PINNED, RECEIVED
from ...statistics.intervals import Floats, estimate
from ...statistics.sharing import Sharer
from ...statistics.stopping import Until, draws_needed, share_count
from .design import Sharing

METHOD = (
    "The trials went where they decide, by optimal computing budget allocation (source: Chen2000) on the "
    "differences from the best so far; chances to be the best on common seeds as in ChickInoue2001."
)


@dataclass(frozen=True)
class Shared:
    """How trials were shared out among scenarios, the base first."""

    names: tuple[str, ...]
    counts: tuple[int, ...]
    budget: int
    reason: str  # "clear", "spent", or "" when it was stopped
    clear: float

    @property
    def equal(self) -> int:
        """Trials in all, had each scenario been given as many as the one with the most."""
        return len(self.counts) * max(self.counts)

    @property
    def saved(self) -> int:
        """Trials fewer than with equal shares."""
        return self.equal - sum(self.counts)

    def sentences(self) -> list[str]:
        """The method, who got how many, why it ended and what it saved."""
        handed = ", ".join(f"{name} {count}" for name, count in zip(self.names, self.counts, strict=True))
        ended = {
            "clear": f"Ended as the best was clear, with {100 * self.clear:.0f} % or more twice running.",
            "spent": f"Ended because the {self.budget} simulated tanks allowed for were spent.",
        }.get(self.reason, "Stopped before it was done.")
        return [
            METHOD,
            f"Simulated tanks: {handed}; {sum(self.counts)} in all. {ended}",
            "Equal shares, with as many for each as for the one with the most, would have been "
            f"{self.equal}: {self.saved} saved.",
        ]


def shared_of(sharer: Sharer, *, names: Sequence[str], counts: Sequence[int]) -> Shared:
    """What a sharer did; ``counts`` are the trials that were run in the end."""
    reason = sharer.reason if sum(counts) == int(sharer.counts.sum()) else ""
    return Shared(tuple(names), tuple(counts), sharer.budget, reason, sharer.clear)


@dataclass(frozen=True)
class Stopped:
    """Where a run with a wanted half-width came to, scenario by scenario."""

    goal: str  # PINNED or RECEIVED
    wanted: float
    names: tuple[str, ...]
    half_widths: tuple[float, ...]  # of the shares of tanks, or of the rates as a share of them
    trials: int
    cap: int
    reached: bool
    guesses: int | None  # the number stated that trials take turns over

    def sentences(self) -> list[str]:
        """What was wanted, what was reached, and what stood in the way."""
        whose = "chance to be pinned" if self.goal == PINNED else "chase rate"
        unit = f"{self.wanted:g}" if self.goal == PINNED else f"{100 * self.wanted:g} % of it"
        widths = [_width(width, self.goal) for width in self.half_widths]
        each = ""
        if len(self.names) > 1:
            widths = [f"{name} {width}" for name, width in zip(self.names, widths, strict=True)]
            each = " of each"
        wanted = f"Wanted: the {whose} known to within {unit} (half the 95 % interval)."
        told = f"{wanted} Came to: {', '.join(widths)}."
        if self.reached:
            how = "at two looks in a row" if self.trials < self.cap else "the cap"
            return [f"{told} Enough after {self.trials} simulated tanks{each}, {how}."]
        end = f"the cap of {self.cap}" if self.trials >= self.cap else f"{self.trials} of at most {self.cap}"
        return [f"{told} Not reached with {end} simulated tanks{each} (--trials sets the cap).", *self._why()]

    def _why(self) -> list[str]:
        if self.goal != PINNED or self.guesses is None or self.guesses >= draws_needed(self.wanted):
            return []
        return [
            f"Where it is pinned in all simulated tanks or in none, {self.guesses} guesses are too few for "
            f"this whatever the number of tanks; {draws_needed(self.wanted)} would do (guesses in [run])."
        ]


def _width(width: float, goal: str) -> str:
    if not math.isfinite(width):
        return "-"
    return f"{width:.3f}" if goal == PINNED else f"{100 * width:.1f} %"


def until_plan(until: Until, run: RunSpec) -> Sharing:
    """A plan that gives all scenarios equally many trials, look by look, until each is known well enough.

    ``run`` says which draw each trial is of. Scenarios without a value in any trial are not waited for.
    """
    stated, draw = until.looks(a_round=a_round(run)), draws_of(run, until.cap)

    def enough(values: Floats) -> bool:
        found = until.done(values, draw=draw[: len(values)], a_round=a_round(run), fixed=run.fixed)
        return found or not np.isfinite(values).any()

    def plan(values: Sequence[Floats]) -> list[tuple[int, int]]:
        had = len(values[0])
        if had and all(enough(one) for one in values):
            return []
        then = next((look for look in stated if look > had), had)
        return [(which, trial) for trial in range(had, then) for which in range(len(values))]

    return plan


def stopped_of(until: Until, values: Sequence[Floats], *, names: Sequence[str], run: RunSpec) -> Stopped:
    """What came of it.

    Parameters
    ----------
    values : for each scenario its hits or rates, [t] by trial number.
    """
    goal = PINNED if until.half_width is not None else RECEIVED
    pairs = [(one, draws_of(run, len(one))) for one in values]
    there = [(one, of) for one, of in pairs if np.isfinite(one).any()]
    trials = len(values[0])
    looked = trials in until.looks(a_round=a_round(run))
    return Stopped(
        goal=goal,
        wanted=until.half_width or until.relative or 0.0,
        names=tuple(names),
        half_widths=tuple(_half_width(one, of, goal, run.fixed) for one, of in pairs),
        trials=trials,
        cap=until.cap,
        reached=looked and all(until.enough(one, draw=of, fixed=run.fixed) for one, of in there),
        guesses=None if run.fixed or run.guesses is None else a_round(run),
    )


def _half_width(values: Floats, draw: Floats | object, goal: str, fixed: bool) -> float:
    group = np.asarray(draw)
    if goal == PINNED:
        count = share_count(values, draw=group, fixed=fixed)
        return (count.high - count.low) / 2
    found = estimate(values, draw=group, bounds=(0.0, math.inf), fixed=fixed)
    return (found.high - found.low) / 2 / found.value if found.value > 0 else math.nan
