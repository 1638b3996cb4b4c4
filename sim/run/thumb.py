"""Rules of thumb at work: what the keeper sees of a simulated day, and what is then done.

The keeper looks in the evening of each day that is recorded, and acts before the next morning. Two models
of one trial go on together, as stocked and left alone, since a day is judged by what the same fish would
have swum if left alone; whatever is done is done in both, so that they stay a pair.

A fish is pinned, and keeps a share of its swimming, by the very measures of the answers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import BOXED as IN_A_BOX
from ..scenario.timeline import Event, FishBack, FishOut, OfFish
from ..scenario.timeline.box import BoxIn, BoxOut
from ..scenario.timeline.seen import CHIEF_CHASER, HOLDS, IT, PINNED, SHOWS_MALE, WhenSeen
from .broods import Brood
from .day_seen import Bools, Floats, kept_on, pinned_on
from .done import BOXED, BY_ITSELF, LET_OUT, PUT_BACK, TAKEN_OUT, Done
from .model import HaltedError, TankModel


@dataclass(frozen=True, kw_only=True)
class _BackByRule(FishBack):
    """A fish that a rule took out is put back, which is noted."""

    by: int

    def apply(self, model: Any) -> None:
        for one in model.let_in(self.fish):
            model.done.append(Done(self.day, PUT_BACK, one.label, self.by))


@dataclass(frozen=True, kw_only=True)
class _LetOutByRule(BoxOut):
    """A fish that a rule put into a box is let out, which is noted."""

    by: int

    def apply(self, model: Any) -> None:
        there = [one for one in self.fish if _is_boxed(model, one)]
        super().apply(model)
        model.done += [Done(self.day, LET_OUT, one, self.by) for one in there]


def _is_boxed(model: TankModel, label: str) -> bool:
    place = model.place_of(label)
    return place is not None and bool(model.shoal.fish.doing[place] == IN_A_BOX)


class Keeper:
    """The keeper of one trial, with all rules of thumb of its scenario.

    Attributes
    ----------
    looks_again : whether something was seen that must be seen on the next day as well.
    deeds : days on which something was done, from the first morning.
    """

    def __init__(self, stocked: TankModel, alone: TankModel) -> None:
        self.stocked, self.alone = stocked, alone
        found = stocked.scenario.timeline.of(WhenSeen)
        self.rules = tuple(one for one in found if isinstance(one, WhenSeen))
        self.looks_again = False
        self.deeds: set[float] = set()
        self._seen: list[dict[str, int]] = [{} for _ in self.rules]  # looks in a row, by label
        self._chases: list[NDArray[np.integer]] = []  # of the last looks in a row
        self._last = -1
        self._broods: set[tuple[int, str, Brood | None]] = set()

    def look(self, day: int) -> None:
        """See what a day was like that is recorded in the ledgers, and do what the rules say.

        Both models stand before the next morning.
        """
        hours, alone = self.stocked.ledger.hours, self.alone.ledger.hours
        self.look_at(day, hours, alone, self.stocked.ledger.pair.chases.copy())

    def look_at(self, day: int, hours: Any, alone: Any, chases: NDArray[np.integer]) -> None:
        """The same by records of that day, [n, h], and chases of it, [n, n], row chases column."""
        if day != self._last + 1:
            self._seen = [{} for _ in self.rules]
            self._chases = []
        self._last = day
        self._chases.append(chases)
        pinned, kept = pinned_on(hours, alone), kept_on(hours, alone)
        for number, rule in enumerate(self.rules):
            holds = rule.day <= day <= rule.until
            signs = self._signs(number, rule, pinned, kept) if holds else ()
            self._act(day + 1.0, number, rule, list(signs))
        self.looks_again = any(self._seen)

    def _signs(self, number: int, rule: WhenSeen, pinned: Bools, kept: Floats) -> Iterator[str]:
        """Labels of the fish of which the sign is seen, those of whom something is to be done first."""
        model = self.stocked
        fish, place = model.shoal.fish, model.place_of
        free = fish.present & (fish.doing != IN_A_BOX)
        here = [one for one in rule.fish if (i := place(one)) is not None and free[i]]
        index = {one: int(place(one) or 0) for one in here}
        if rule.sign == SHOWS_MALE:
            yield from self._extra_males(rule, sorted(here, key=lambda one: fish.length_cm[index[one]]))
            return
        for one in here:
            i = index[one]
            if rule.sign == HOLDS:
                brood = number, one, model.broods.now.get(i)
                is_seen = bool(fish.holding[i]) and brood not in self._broods
                self._broods |= {brood} if is_seen else set()
            elif rule.sign == PINNED:
                is_seen = bool(pinned[i]) and not (fish.holding[i] or model.ledger.fish.held[i])
            else:
                is_seen = bool(kept[i] < rule.share)
            if is_seen:
                yield one

    def _extra_males(self, rule: WhenSeen, here: Sequence[str]) -> Iterator[str]:
        """Mature males beyond those that are to stay, the shortest first."""
        fish = self.stocked.shoal.fish
        males = fish.present & (fish.doing != IN_A_BOX) & fish.male & fish.adult
        left = Counter(int(kind) for kind in fish.species[males])
        for one in here:
            i = int(self.stocked.place_of(one) or 0)
            kind = int(fish.species[i])
            if males[i] and left[kind] > rule.stay:
                left[kind] -= 1
                yield one

    def _act(self, now: float, number: int, rule: WhenSeen, signs: Sequence[str]) -> None:
        """Count looks in a row, and do what is to be done where there are enough."""
        before = self._seen[number]
        seen = {one: before.get(one, 0) + 1 for one in signs}
        for one in [one for one, times in seen.items() if times >= rule.in_a_row]:
            del seen[one]
            self._take_out(now, number, rule, self._whom(rule, one))
        self._seen[number] = seen

    def _whom(self, rule: WhenSeen, seen: str) -> tuple[str, ...]:
        if rule.out == IT:
            return (seen,)
        if rule.out != CHIEF_CHASER:
            return tuple(rule.out)
        i = int(self.stocked.place_of(seen) or 0)
        given = np.sum([one[:, i] for one in self._chases[-rule.in_a_row :]], axis=0)
        chief = int(np.argmax(given))
        return (self.stocked.people[chief].label,) if given[chief] > 0 else ()

    def _take_out(self, now: float, number: int, rule: WhenSeen, labels: Sequence[str]) -> None:
        """Take out, or put into boxes, in both models, those that are in; and put them back in time."""
        stocked = self.stocked
        present = {one.label for one in stocked.agents}
        here = tuple(one for one in labels if one in present and not _is_boxed(stocked, one))
        if not here:
            return
        self.deeds.add(now)
        away: type[OfFish] = BoxIn if rule.box else FishOut
        for model in (stocked, self.alone):
            away(day=now, fish=here).apply(model)
        if rule.days is not None:
            back, noted = (BoxOut, _LetOutByRule) if rule.box else (FishBack, _BackByRule)
            stocked.foresee(noted(day=now + rule.days, fish=here, by=number))
            self.alone.foresee(back(day=now + rule.days, fish=here))
        stocked.done += [Done(now, BOXED if rule.box else TAKEN_OUT, one, number) for one in here]


def go_by_rules(stocked: TankModel, alone: TankModel, *, halted: Callable[[], bool] | None = None) -> None:
    """Run both models to their end, with the keeper looking every evening; records as of a run without rules.

    Parameters
    ----------
    stocked, alone : of one trial, none of them run.
    halted : asked after each simulated day; HaltedError is raised once it says yes.
    """
    keeper, both, lit = Keeper(stocked, alone), (stocked, alone), stocked.lit_ticks
    begins, ends, hours = stocked.measured_from, stocked.last_tick, stocked.hours
    a_day = max(1, lit // stocked.hour_ticks)
    day = 0
    while (day + 1) * lit <= begins:
        for model in both:
            model.measure(day * lit, hours=a_day)
            _run_to(model, (day + 1) * lit, halted)
        keeper.look(day)
        day += 1
    for model in both:
        model.measure(begins, hours=hours)
        model.last_tick = ends
    first, chases = 0, stocked.ledger.pair.chases.copy()
    while stocked.tick < ends:
        for model in both:
            _run_to(model, min((day + 1) * lit, ends), halted)
        seen = slice(first, int(stocked.ledger.state.hour[0]))
        if seen.stop - first >= a_day:
            given = stocked.ledger.pair.chases - chases
            keeper.look_at(day, stocked.ledger.hours[:, seen], alone.ledger.hours[:, seen], given)
        first, chases = seen.stop, stocked.ledger.pair.chases.copy()
        day += 1
    for model in both:
        model.running = False


def _run_to(model: TankModel, tick: int, halted: Callable[[], bool] | None) -> None:
    if halted is not None and halted():
        raise HaltedError("the run was given up")
    while model.tick < tick:
        model.advance_to(min(model.next_stop(), tick))


def deeds_of(model: TankModel) -> tuple[Event, ...]:
    """What rules did in a run, as dated events for another set-up of its trial."""
    kinds: dict[int, type[OfFish]] = {TAKEN_OUT: FishOut, PUT_BACK: FishBack, BOXED: BoxIn, LET_OUT: BoxOut}
    return tuple(kinds[one.deed](day=one.day, fish=(one.label,)) for one in model.done if one.by != BY_ITSELF)
