"""Weeks and days: who holds ground, who takes an empty place, what a fish remembers that comes back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.life import Pace, each_day, run_life
from ...sim.run.model import TankModel
from ...sim.run.table import AS_STOCKED
from ...sim.run.trials import Outcome
from ...sim.scenario.scenario import RockSpec, Scenario, StockRow, TankSpec
from ...sim.scenario.timeline import DividerIn, DividerOut, Event, FishBack, FishOut, RockAnew
from ...sim.scenario.timeline.standing import Divider
from .contests import HOUR
from .lab import Lab, set_up, trials_of
from .measures import Meeting, meeting, owners
from .verdict import Finding, finite_rows, mean_of, share_of

AURORA, ZEBRA = "Maylandia aurora", "Maylandia zebra"
TANK = TankSpec(150.0, 50.0, 50.0, 47.0)
ROCK = RockSpec(cover=0.3, height_cm=30.0, piles=2)
WEEKS = 20
A_DAY_A_WEEK = Pace(quiet=1, blocks=(7,), alone=1)


@dataclass(frozen=True)
class LivedRun:
    """A tank lived through by blocks, and what to measure in its measured days."""

    scenario: Scenario
    trial: int
    measure: Callable[[Sequence[Outcome]], Any]

    def carry_out(self) -> Any:
        """Live through the weeks and return what was measured."""
        days = 7 * WEEKS
        (life,) = run_life(self.scenario, self.trial, days=days, arms=(AS_STOCKED,), pace=A_DAY_A_WEEK)
        return self.measure(each_day(life)[1])


def _territorial(days: Sequence[Outcome]) -> NDArray[np.bool_]:
    """Which males own a site for most of the last hour of each measured day, [d, males]."""
    return np.array([owners(day) for day in days])


def months(lab: Lab, trials: int) -> dict[str, Finding]:
    """L1."""
    stable = set_up(StockRow(ZEBRA, 8, 8, length_cm=(7.0, 9.0)), tank=TANK, rock=ROCK)
    fortnights = range(14, 7 * WEEKS, 14)
    disturbed = replace(stable, events=tuple(RockAnew(day=float(day)) for day in fortnights))
    calm, moved = (
        lab.run([LivedRun(tank, trial, _territorial) for trial in range(trials)])
        for tank in (stable, disturbed)
    )
    ever = np.array([weeks.any(axis=0).mean() for weeks in calm])
    at_once = np.array([weeks.mean() for weeks in calm])
    more = np.array([_changes(moved[k]) - _changes(calm[k]) for k in range(trials)])
    return {
        "ever territorial": mean_of(ever).counting((ever < 0.5) | (ever > 0.83)),
        "at a time": mean_of(at_once).counting((at_once < 0.25) | (at_once > 0.50)),
        "disturbed against stable": mean_of(more).counting(more < 0),
    }


def _changes(weeks: NDArray[np.bool_]) -> float:
    """Changes of status a male, of [d, males]."""
    return float((weeks[1:] != weeks[:-1]).sum() / weeks.shape[1])


# ---- L4


def usurped(*, out_day: float, back_day: float) -> Scenario:
    """A male alone; as he is taken out another comes in; an hour after the first is back."""
    male = StockRow(ZEBRA, 1, length_cm=(10.0, 10.0))
    pair = set_up(male, replace(male, day=out_day), settle=0.0, days=HOUR)
    who = (f"{ZEBRA} male 1",)
    return replace(pair, events=(FishOut(day=out_day, fish=who), FishBack(day=back_day, fish=who)))


def _return(model: TankModel) -> tuple[Meeting, int]:
    """The meeting, and the acts of the usurper, fish 1."""
    pair = model.ledger.pair
    return meeting(model), int(pair.chases[1, 0] + pair.bites[1, 0] + pair.displays[1, 0])


def usurpers(lab: Lab, trials: int) -> dict[str, Finding]:
    """L4: 4.5 of ten lit hours; 6 lit hours and a night of 14."""
    short, long = (
        lab.run(trials_of(usurped(out_day=out, back_day=back), trials, _return))
        for out, back in ((3.0, 3.45), (3.4, 4.0))
    )
    more = np.array([after[1] - before[1] for before, after in zip(short, long, strict=True)], float)
    winners = np.array([met.winner for met, _ in (*short, *long)])
    kept = winners[winners >= 0] == 1
    return {
        "acts of the usurper": mean_of(more).counting(more < 0),
        "usurper wins": share_of(kept).counting(~kept),
    }


# ---- L3


def _crevice_of_the_first(model: TankModel) -> tuple[int, int]:
    """The first male M. aurora that holds a crevice, and which; -1 for either when none does."""
    for i, one in enumerate(model.people):
        centre = int(model.shoal.fish.centre[i])
        if one.species == AURORA and model.shoal.fish.male[i] and centre >= 0:
            return i, centre
    return -1, -1


@dataclass(frozen=True)
class _KindIn:
    """Whether the owner of a crevice is an M. aurora; None when nobody owns it."""

    crevice: int

    def __call__(self, model: TankModel) -> bool | None:
        fish = model.shoal.fish
        here = np.flatnonzero(fish.present & (fish.centre == self.crevice))
        return model.people[here[0]].species == AURORA if len(here) else None


def vacated(lab: Lab, trials: int) -> dict[str, Finding]:
    """L3: each trial is run to day 4, then again with the owner taken out, to day 7."""
    rows = [StockRow(kind, 4, 4, length_cm=(8.0, 10.0)) for kind in (AURORA, ZEBRA)]
    whole = set_up(*rows, tank=TANK, rock=ROCK, days=4.0, settle=3.0)
    first = lab.run(trials_of(whole, trials, _crevice_of_the_first))
    after = []
    for run, (who, crevice) in zip(trials_of(whole, trials, _KindIn(-1)), first, strict=True):
        if who >= 0:
            out = FishOut(day=4.0, fish=(f"{AURORA} male {who + 1}",))
            longer = replace(whole.run, days=7.0, settle_days=6.0)
            emptied = replace(whole, events=(out,), run=longer)
            after.append(replace(run, scenario=emptied, measure=_KindIn(crevice)))
    taken = np.array([own for own in lab.run(after) if own is not None], bool)
    return {"own kind": share_of(taken).counting(~taken)}


# ---- L5, L6

BOTH = (f"{ZEBRA} male 1", f"{ZEBRA} male 2")
HALVES = TankSpec(200.0, 40.0, 45.0, 42.0)


def met_at_home(*, again: bool) -> Scenario:
    """Each of two males for two days in its own half, then both in that of the first; with ``again`` each in
    its own for a day more, then both in that of the second. The last hour is measured.
    """
    apart = Divider(HALVES.length_cm / 2)
    first, second = BOTH

    def put(day: float, left: tuple[str, ...], right: tuple[str, ...]) -> tuple[Event, ...]:
        anew = DividerIn(day=day, divider=apart, left=left, right=right)
        return (DividerOut(day=day), anew) if day else (anew,)

    events = [*put(0.0, (first,), (second,)), *put(2.0, BOTH, ())]
    if again:
        events += [*put(2.0 + HOUR, (first,), (second,)), *put(3.0 + HOUR, (), BOTH)]
    pair = set_up(StockRow(ZEBRA, 2, length_cm=(10.0, 10.0)), tank=HALVES, settle=0.0, days=HOUR)
    return replace(pair, events=tuple(events))


def met_on_strange_ground(*, away: float) -> Scenario:
    """Two males come at once, for an hour; with ``away`` they are out for so many days and come back at once.

    The last hour is measured.
    """
    pair = set_up(StockRow(ZEBRA, 2, length_cm=(10.0, 10.0)), settle=0.0, days=HOUR)
    if not away:
        return pair
    events = FishOut(day=HOUR, fish=BOTH), FishBack(day=HOUR + away, fish=BOTH)
    return replace(pair, events=events)


def _hour(lab: Lab, trials: int, scenario: Scenario) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """[t] the winner of the measured hour, -1 without one, and [t, 2] the acts of each on the other."""
    key = scenario.tank, scenario.events, trials
    met = lab.once(key, lambda: lab.run(trials_of(scenario, trials, _met)))
    return np.array([winner for winner, _ in met]), np.array([acts for _, acts in met])


def _met(model: TankModel) -> tuple[int, tuple[int, int]]:
    pair = model.ledger.pair
    acts = pair.chases + pair.bites + pair.displays
    return meeting(model).winner, (int(acts[0, 1]), int(acts[1, 0]))


def _turned(first: NDArray[np.int64], second: NDArray[np.int64]) -> NDArray[np.float64]:
    """[t] whether another fish won the second hour, 1 or 0; nan without a winner in both."""
    return np.where((first >= 0) & (second >= 0), first != second, np.nan)


def returned_to(lab: Lab, trials: int) -> dict[str, Finding]:
    """L5."""
    at_home, at_others = (_hour(lab, trials, met_at_home(again=again))[0] for again in (False, True))
    met, again = (_hour(lab, trials, met_on_strange_ground(away=away))[0] for away in (0.0, 1.0))
    home, strange = _turned(at_home, at_others), _turned(met, again)
    resident = at_home[at_home >= 0] == 0
    turned = home[np.isfinite(home)] == 1
    more = np.subtract(*finite_rows(home, strange))
    return {
        "resident on the first day": share_of(resident).counting(~resident),
        "turned round at the other's home": share_of(turned).counting(turned),
        "at home against strange ground": mean_of(more).counting(more < 0),
    }


def days_apart(lab: Lab, trials: int) -> dict[str, Finding]:
    """L6."""
    won, _ = _hour(lab, trials, met_on_strange_ground(away=0.0))
    short, long = (_hour(lab, trials, met_on_strange_ground(away=away))[1] for away in (1.0, 7.0))
    lost = np.flatnonzero(won >= 0), 1 - won[won >= 0]
    more = (long[lost] - short[lost]).astype(float)
    return {"acts of the loser": mean_of(more).counting(more < 0)}
