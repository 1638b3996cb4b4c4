"""What a keeper does over weeks, as changes to try in a life: rules of thumb, and dated deeds that end.

Which there are is common practice, no source; how long and at what sign is an assumption. What a rule of
thumb takes is known once it was lived: it is counted in each simulated tank (``netted`` of a row).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from ....sim.fish.population import individuals
from ....sim.scenario import changes as sim
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import DividerIn, FishIn, Holding, Spawning, TimelineError, WhenSeen
from ....sim.scenario.timeline.seen import CHIEF_CHASER, HOLDS, IT, KEEPS_LESS, PINNED, SHOWS_MALE
from ....sim.scenario.timeline.standing import Divider
from ....sim.scenario.units import say_time_d
from ...document.plain import percent
from ...measures.whom import FishGroup
from ..life.reach import LATEST_D, MONTH_D
from .change import Change, NotApplicableError
from .costs import Cost

WEEK_D = 7.0
FIRST_D = 28.0  # own kind first by
FIRST_MONTHS = 3  # shorter lives would hardly see what comes of it
TIME_OUTS_D = (WEEK_D, 2 * WEEK_D)
DIVIDER_D = 2 * WEEK_D
APART_D = 3 * WEEK_D
TOO_LITTLE = 0.5  # share of its free swimming below which a keeper acts
IN_A_ROW = 2  # looks
TEACHES_NOT = "while the fish is away, its days do not count and the others' do"


@dataclass(frozen=True)
class Policies:
    """Those for some fish of a tank that lives through so many months."""

    base: Scenario
    whom: FishGroup
    months: int

    def all(self) -> Iterator[tuple[str, Callable[[], Change]]]:
        """Name and maker of each, the least trouble first."""
        for days in TIME_OUTS_D:
            yield f"chief chaser out for {say_time_d(days)}", partial(self.time_out, days)
        yield "a pinned fish out and back", self.pinned_out
        yield "extra males out as they show", self.males_out
        yield "a holding female apart", self.holding_apart
        yield "a divider for two weeks", self.divider
        yield f"{self.whom.species} in first by weeks", self.first_by_weeks

    def time_out(self, days: float) -> Change:
        """The chief chaser of a fish that keeps too little."""
        if len(individuals(self.base.stock)) < 2:
            raise NotApplicableError("there is one fish only")
        seen = f"when one of them keeps less than {percent(TOO_LITTLE)} {IN_A_ROW} looks in a row"
        name = f"{seen}, its chief chaser out for {say_time_d(days)}"
        rule = self._rule(
            KEEPS_LESS, self.whom.labels, share=TOO_LITTLE, in_a_row=IN_A_ROW, out=CHIEF_CHASER, days=days
        )
        return self._by_rule(name, rule, TEACHES_NOT)

    def pinned_out(self) -> Change:
        everybody = tuple(one.label for one in individuals(self.base.stock))
        name = f"any fish that is pinned {IN_A_ROW} looks in a row out for {say_time_d(WEEK_D)} and back"
        rule = self._rule(PINNED, everybody, in_a_row=IN_A_ROW, days=WEEK_D)
        return self._by_rule(name, rule, TEACHES_NOT)

    def males_out(self) -> Change:
        young = tuple(one.label for one in individuals(self.base.stock) if one.sex == "unsexed")
        if not young:
            raise NotApplicableError("no fish of unknown sex could turn out a male")
        rule = self._rule(SHOWS_MALE, young)
        return self._by_rule("young males beyond one of a kind out for good as they show", rule, "")

    def holding_apart(self) -> Change:
        events = self.base.timeline
        if not (events.of(Spawning) or events.of(Holding)):
            raise NotApplicableError(
                "no female holds eggs in this file; an event with spawning = true lets them"
            )
        females = tuple(one.label for one in individuals(self.base.stock) if one.sex != "male")
        name = f"a holding female apart for {say_time_d(APART_D)} and back"
        return self._by_rule(name, self._rule(HOLDS, females, days=APART_D), TEACHES_NOT)

    def divider(self) -> Change:
        """They on one side, all others on the other."""
        people = individuals(self.base.stock)
        others = tuple(one.label for one in people if one.label not in self.whom.labels)
        if not others:
            raise NotApplicableError("there is nobody else to keep from them")
        day, half_cm = self._all_in(), self.base.tank.length_cm / 2
        if day + DIVIDER_D > self.months * MONTH_D - LATEST_D:
            raise NotApplicableError("the life ends before it would be out again; ask for more months")
        inside = self.base.timeline.in_on(day)
        left, right = (tuple(one for one in side if one in inside) for side in (self.whom.labels, others))
        put = DividerIn(day=day, divider=Divider(half_cm, True), left=left, right=right)
        new = sim.with_events(self.base, *put.lasting(DIVIDER_D))
        name = f"a clear divider between them and all others for {say_time_d(DIVIDER_D)}, from day {day:g} on"
        cost = Cost(nets=len(inside), divider=True, undone="undone by taking it out")
        return Change(name, new, cost, note="the weeks it stands count, too")

    def first_by_weeks(self) -> Change:
        if self.months < FIRST_MONTHS:
            raise NotApplicableError(f"needs {FIRST_MONTHS} months or more to see what comes of it")
        new = own_kind_first(self.base, self.whom.species)
        if new is None:
            raise NotApplicableError("there is one species only, or they come in so already")
        name = f"{self.whom.species} in {say_time_d(FIRST_D)} before all others"
        late = [one for one in individuals(self.base.stock) if one.species != self.whom.species]
        undone = "cannot be undone, and needs a tank to keep them in meanwhile"
        note = "for a tank that is set up anew: here all fish begin as newcomers"
        return Change(name, new, Cost(nets=len(late), undone=undone), note=note)

    def _rule(self, sign: str, fish: tuple[str, ...], *, out: str = IT, **how: float | int) -> WhenSeen:
        return WhenSeen(day=self._all_in(), fish=fish, sign=sign, out=out, **how)  # type: ignore[arg-type]

    def _by_rule(self, name: str, rule: WhenSeen, note: str) -> Change:
        back = rule.days is not None
        undone = "they go back by the same rule" if back else "can go back later, as newcomers"
        new = sim.with_events(self.base, rule)
        return Change(name, new, Cost(by_rule=True, undone=undone), note=note)

    def _all_in(self) -> float:
        """The day on which the last fish is in."""
        return max(one.day for one in self.base.timeline.of(FishIn))


def own_kind_first(base: Scenario, species: str) -> Scenario | None:
    """All others some weeks after a species; None where there are none, or they come so late already."""
    people, stays = individuals(base.stock), base.timeline.stays
    own = [stays[one.label][0][0] for one in people if one.species == species]
    day = max(own) + FIRST_D
    rows = tuple(
        replace(row, day=day) if row.species != species and row.day < day else row for row in base.stock
    )
    if rows == base.stock or any(row.out_day is not None and row.out_day <= row.day for row in rows):
        return None
    new = replace(base, stock=rows, alternatives=())
    try:
        _ = new.timeline
    except TimelineError:
        return None
    return new


def latest_arrivals(base: Scenario, months: int) -> tuple[Scenario, ...]:
    """The tank with each species in first by weeks, where that is tried: weeks count once all are in."""
    if months < FIRST_MONTHS:
        return ()
    species = dict.fromkeys(one.species for one in individuals(base.stock))
    found = (own_kind_first(base, key) for key in species)
    return tuple(one for one in found if one is not None)
