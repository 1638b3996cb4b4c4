"""Rules of thumb: what a keeper does when something is seen, on whatever day that is."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self

from ..stock import say_labels
from ..units import say_time_d
from .again import END
from .event import Fault
from .fish import OfFish

if TYPE_CHECKING:
    from .so_far import SoFar

PINNED, KEEPS_LESS, SHOWS_MALE, HOLDS = "pinned", "keeps less than", "shows male", "holds"
SIGNS = (PINNED, KEEPS_LESS, SHOWS_MALE, HOLDS)
ALL_DAY = (PINNED, KEEPS_LESS)  # seen of a whole day, and so of days in a row
IT, CHIEF_CHASER = "it", "chief chaser"


@dataclass(frozen=True, kw_only=True)
class WhenSeen(OfFish):
    """A rule of thumb: whenever a sign is seen of one of some fish, a fish is taken out, or put into a box.

    The keeper looks on simulated days, in the evening, and acts before the next morning; see
    :mod:`rockshy.sim.run.thumb`. ``day`` is the day from which on the rule holds, ``fish`` whom it looks at.

    Attributes
    ----------
    sign : one of :data:`SIGNS`.
    share : of the free swimming that it would have if left alone, for KEEPS_LESS.
    in_a_row : days on which the sign must be seen, one after the other.
    out : who is taken out: IT, CHIEF_CHASER, or labels.
    days : for how long; for good when None.
    until : the last day on which the rule holds.
    box : it is put into a box in the tank, and not taken out; ``out`` is who, all the same.
    stay : of a kind so many mature males stay in, the longest, for SHOWS_MALE.
    """

    sign: str
    share: float = 0.0
    in_a_row: int = 1
    out: tuple[str, ...] | str = IT
    days: float | None = None
    until: float = END
    stay: int = 1
    box: bool = False

    key: ClassVar[str] = "when"
    order: ClassVar[int] = 9
    dated: ClassVar[bool] = False

    @property
    def about(self) -> str:
        return self.words()

    def words(self) -> str:
        seen = {
            PINNED: "is pinned",
            KEEPS_LESS: f"keeps less than {100 * self.share:g} % of its free swimming",
            SHOWS_MALE: f"shows that it is a male, and {self.stay} of its kind are there already",
            HOLDS: "holds eggs",
        }[self.sign]
        often = f" {self.in_a_row} days in a row" if self.in_a_row > 1 else ""
        one = f"one of {say_labels(self.fish)}" if len(self.fish) > 1 else self.fish[0]
        who = {IT: "it is", CHIEF_CHASER: "its chief chaser is"}.get(str(self.out))
        who = who or f"{say_labels(self.out)} {'are' if len(self.out) > 1 else 'is'}"
        done = "put into a box in the tank" if self.box else "taken out"
        long = "for good" if self.days is None else f"for {say_time_d(self.days)}"
        return f"when {one} {seen}{often}, {who} {done} {long}{self._span()}"

    def _span(self) -> str:
        """When it holds, where it does not hold all along."""
        if self.until < END:
            start = f"from day {self.day:g} to" if self.day > 0 else "until"
            return f" ({start} day {self.until:g})"
        return f" (from day {self.day:g} on)" if self.day > 0 else ""

    def among(self, labels: Collection[str]) -> Self | None:
        fish = tuple(one for one in self.fish if one in labels)
        out = self.out if isinstance(self.out, str) else tuple(one for one in self.out if one in labels)
        return replace(self, fish=fish, out=out) if fish and out else None

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        if self.sign == SHOWS_MALE and self.days is not None:
            yield Fault(
                f"a male that shows would be out {say_time_d(self.days)}, show again when it is back, be out "
                "again, and so on without end",
                'when = "shows male" without for: out for good',
                self.place,
            )
        for other in so_far.rules:
            if both := self._contradicts(other):
                yield Fault(
                    f'two rules of when = "{self.sign}" for {say_labels(both)}, and they do not say the same',
                    "one rule for each fish and sign at a time",
                    self.place,
                )

    def _contradicts(self, other: WhenSeen) -> tuple[str, ...]:
        """The fish for which both tell the keeper what to do at the same sign and time."""
        apart = self.sign != other.sign or self.until < other.day or other.until < self.day
        return () if apart else tuple(one for one in self.fish if one in other.fish)

    def pass_by(self, so_far: SoFar) -> None:
        so_far.rules.append(self)

    def apply(self, model: Any) -> None:
        """Nothing: what is done is decided when it is seen."""
