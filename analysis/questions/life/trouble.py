"""When it goes wrong: the first bad day of each simulated tank, and what changed shortly before it.

It *goes wrong* for some fish on the first day looked at on which they are hard pressed or shut away
(:mod:`rockshy.analysis.measures.plight`) and are so on the next day looked at as well: one bad day alone is
luck. A tank in which that does not happen while they are in it is one of which only so much is known.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...measures.plight import WORDS, word
from ...statistics.intervals import CONFIDENCE, Count, Floats, count_estimate, wilson_interval
from .design import Life, Plan
from .months import daily_loss, months_of

WRONG = WORDS[2:]  # from which word on it goes wrong
BEFORE_D = 28.0  # what changed in so many days before, at least, may be the first sign (assumption)
LEAST = 4  # tanks that went wrong later than on the first day, before a sign is looked for
SHOWED, MATURED, OWNER = "a male had just shown", "a female had just matured", "another fish held most ground"
DEFINED = (
    f"It goes wrong on the first day looked at on which they are {' or '.join(WRONG)}, and are so on the "
    "next day looked at as well."
)


@dataclass(frozen=True)
class Onset:
    """One tank.

    Attributes
    ----------
    day : when it went wrong; None when it did not until ``watched``.
    watched : the last day on which any of the fish were in; ``left`` when that is not the last of the life.
    at_once : it was so from their first day on.
    signs : what changed before.
    """

    trial: int
    day: int | None
    watched: int
    left: bool
    at_once: bool
    signs: tuple[str, ...]


@dataclass(frozen=True)
class Sign:
    """A change: in how many of the tanks that went wrong later on it came in the weeks before, and in what
    share of all other times of the lives it did; ``told``: more often, beyond luck.
    """

    what: str
    before: int
    of: int
    otherwise: float
    told: bool


@dataclass(frozen=True)
class Trouble:
    """When it goes wrong, over all tanks.

    Attributes
    ----------
    by_month : tanks in which it had gone wrong by the end of each month.
    half_d : the day by which it had in half of the tanks; None when it had not.
    left : tanks out of which the fish were before the end, with nothing wrong yet.
    signs : the largest excess first.
    """

    onsets: tuple[Onset, ...]
    by_month: tuple[Count, ...]
    half_d: int | None
    left: int
    signs: tuple[Sign, ...]

    @property
    def at_once(self) -> int:
        """Tanks in which it was wrong from the first day on."""
        return sum(one.at_once for one in self.onsets)

    @property
    def later(self) -> tuple[Onset, ...]:
        """Those of tanks in which it went wrong later on."""
        return tuple(one for one in self.onsets if one.day is not None and not one.at_once)

    @property
    def first_sign(self) -> Sign | None:
        """What came before more often than at other times, beyond luck."""
        return next((one for one in self.signs if one.told), None)


def trouble_of(plan: Plan, lives: Sequence[Life], labels: Collection[str]) -> Trouble:
    """When it goes wrong for some fish."""
    found = [_Watched(plan, life, labels) for life in lives]
    onsets = tuple(one.onset for one in found)
    _, ends = months_of(plan.months, days=plan.days)
    days = np.array([np.inf if one.day is None else one.day for one in onsets])
    draw = np.array([life.draw for life in lives])
    middle = np.sort(days)[(len(days) - 1) // 2] if len(days) else np.inf
    return Trouble(
        onsets=onsets,
        by_month=tuple(count_estimate(days < end, draw=draw, fixed=plan.fixed) for end in ends),
        half_d=int(middle) if np.isfinite(middle) else None,
        left=sum(one.day is None and one.left for one in onsets),
        signs=_signs(found),
    )


class _Watched:
    """One life as the fish asked about have it: b days, on some of which they are in."""

    def __init__(self, plan: Plan, life: Life, labels: Collection[str]) -> None:
        self._plan, self._life = plan, life
        lost = daily_loss(life, labels)
        self._in = np.flatnonzero(np.isfinite(lost))
        self._at = _first_wrong(lost[self._in])
        k, days = self._at, life.day[self._in]
        self.onset = Onset(
            trial=life.trial,
            day=None if k is None else int(days[k]),
            watched=int(days[-1]) if len(days) else 0,
            left=bool(not len(days) or days[-1] < life.day[-1]),
            at_once=k == 0,
            signs=tuple(self.changes(k)) if k else (),
        )

    def otherwise(self) -> Iterator[set[str]]:
        """What had changed shortly before each day until which nothing was wrong."""
        end = len(self._in) if self._at is None else self._at
        yield from (set(self.changes(k)) for k in range(1, end))

    def changes(self, k: int) -> Iterator[str]:
        """What happened in the weeks before the k-th day that the fish are in."""
        life, now = self._life, int(self._in[k])
        early = life.day[:now] <= life.day[now] - BEFORE_D
        then = int(np.flatnonzero(early)[-1]) if early.any() else 0
        grew_up = life.adult[now] & ~life.adult[then]
        if (grew_up & life.male & life.unsexed).any():
            yield SHOWED
        if (grew_up & ~life.male).any():
            yield MATURED
        if life.owner[now].argmax() != life.owner[then].argmax():
            yield OWNER
        for one in self._plan.scenario.timeline.events:
            if one.key and life.day[then] < one.day <= life.day[now] + 1:
                yield one.words()


def _first_wrong(lost: Floats) -> int | None:
    """Number of the first bad day that another one follows; None without."""
    bad = np.array([word(one) in WRONG for one in lost], dtype=bool)
    twice = np.flatnonzero(bad[:-1] & bad[1:])
    return int(twice[0]) if len(twice) else None


def _signs(found: Sequence[_Watched]) -> tuple[Sign, ...]:
    """Each change by how much more often it came before trouble than at other times, the largest first.

    Tanks are independent; the chance that one of several signs stands out by luck is shared out (Bonferroni).
    """
    before = [set(one.onset.signs) for one in found if one.onset.day is not None and not one.onset.at_once]
    others = [signs for one in found for signs in one.otherwise()]
    names = sorted(set().union(*before))
    if len(before) < LEAST or not others:
        return ()

    def sign(name: str) -> Sign:
        hits, usual = sum(name in one for one in before), float(np.mean([name in one for one in others]))
        confidence = 1.0 - (1.0 - CONFIDENCE) / len(names)
        least, _ = wilson_interval(hits, trials=len(before), confidence=confidence)
        return Sign(name, hits, len(before), usual, least > usual)

    return tuple(sorted(map(sign, names), key=lambda one: one.otherwise - one.before / one.of))
