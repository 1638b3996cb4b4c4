"""TankModel: builds a tank and its fish from a scenario and a seed, and runs them.

A run is a list of stretches. Each event of the timeline (:mod:`rockshy.sim.scenario.timeline`) and each
nightfall ends one; within a stretch tank and fish are fixed and the compiled loop of
:mod:`rockshy.sim.run.day` runs. The order of a tick is written there.
"""

from __future__ import annotations

import bisect
import contextlib
import math
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cached_property
from typing import Any, Self

import mesa
import numpy as np

from ..fish.agent import Fish
from ..fish.population import bind, derive, fill, individuals
from ..fish.shoal import Shoal, empty_shoal, grown
from ..fish.traits import STATE
from ..rules.support.random_numbers import generator, stream_key
from ..rules.support.rule_set import Rules
from ..scenario.scenario import Scenario, StockRow
from ..scenario.timeline import Event, events_of
from ..tank.tank import Tank
from ..tank.water import water_of
from . import keeper, tank_changes
from .broods import Broods
from .days import TICK_S, lit_days
from .done import Done
from .drawing import draw_tank, draw_tanks_before, parameters_of, traits_of
from .keeper import dimmed
from .ledger import Ledger, new_ledger
from .slow import Slow, slow_laws
from .table import AS_STOCKED, LEFT_ALONE, OWN_KIND

MOVES_KEPT = 2_000_000  # moves of a kept run held at a time; about 16 hours of 24 fish
EVENTS_KEPT = 400_000


class HaltedError(Exception):
    """A run was given up before its end, as it was asked to be; nothing of it counts."""


class TankModel(mesa.Model):
    """One tank run once.

    Parameters
    ----------
    scenario : what to run.
    trial : number of the trial; with the scenario's seed it decides rock, fish and luck.
    draw : which draw of what nobody has measured; 0 in a fixed scenario takes the defaults.
    arm : AS_STOCKED, OWN_KIND (only the watched species) or LEFT_ALONE (nobody attacks).
    watch : species key for OWN_KIND.
    rules : instead of the scenario's; names of rules with plain functions of your own do as well
        (see :meth:`rockshy.sim.rules.support.rule_set.Rules.with_rule`).
    tank : tables to share between arms of a trial; drawn when None. Where rock or a divider changes during
        the run, those of the tank that is measured; ``tanks_before`` are the ones until then, in order.
    keep : keep every move and event in ``ledger.moves`` and ``ledger.events``.
    tick_s : length of a tick, s.

    Attributes
    ----------
    agents : mesa.agent.AgentSet of :class:`Fish` in the tank.
    tank, shoal, ledger, parameters : the state; see their modules.
    tick : lit ticks run so far; a day begins every ``lit_ticks``, whatever the lights do (see ``days``).
    laying : how many events have changed what stands in the tank so far.
    dead : labels of the fish that died.
    broods, done : of females that hold since an event; what was done, or came to be, that no file dates.

    Raises
    ------
    ValueError
        When the rock leaves too little water, or a rule handed in does not fit.

    Source
    ------
    The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
    """

    def __init__(
        self,
        scenario: Scenario,
        *,
        trial: int = 0,
        draw: int = 0,
        arm: str = AS_STOCKED,
        watch: str | None = None,
        rules: Rules | Mapping[str, Callable[..., Any]] | None = None,
        tank: Tank | None = None,
        tanks_before: Sequence[Tank] | None = None,
        keep: bool = False,
        tick_s: float = TICK_S,
    ) -> None:
        run = scenario.run
        self.draw = draw
        self.trial_seed = stream_key(run.seed, "trial", trial)
        super().__init__(rng=self.trial_seed % 2**32)
        self.scenario = scenario
        if rules is None:
            rules = scenario.rules
        self._loop = (rules if isinstance(rules, Rules) else Rules().with_rule(**rules)).loop()
        instead = {"attack_rate_s": 0.0} if arm == LEFT_ALONE else None
        self.parameters = parameters_of(scenario, draw, tick_s=tick_s, instead=instead)
        self.traits = traits_of(scenario, draw)
        stock = tuple(row for row in scenario.stock if arm != OWN_KIND or row.species == watch)
        if tank is None:
            tank = draw_tank(scenario, trial=trial, draw=draw)
        if tanks_before is None:
            tanks_before = draw_tanks_before(scenario, trial=trial, draw=draw)
        self.meal_at = np.zeros(0, np.int64)
        self.tank, *self._to_come = *tanks_before, tank
        self.laying = 0
        self.water = water_of(self.tank)
        self.food = np.zeros(len(self.tank.feed_source))
        self._lay_out_time(tick_s)
        self.people = individuals(stock)
        self.shoal: Shoal = empty_shoal(
            len(self.people), refuges=len(self.tank.refuge_cell), blocks=len(self.water.beside)
        )
        fill(self.shoal, self.people, self.traits, scenario, self.parameters, trial_seed=self.trial_seed)
        self.ledger: Ledger = self._new_ledger(keep)
        self.tick = 0
        self.running: bool = True
        self._ahead: list[tuple[int, Event]] = [
            (self._tick_of(one.day), one)
            for one in scenario.timeline.among({one.label for one in self.people})
            if one.dated
        ]
        self._places: dict[str, int] = {one.label: i for i, one in enumerate(self.people)}
        self._stays: Counter[str] = Counter()
        self.dead: set[str] = set()
        self.done: list[Done] = []
        self.broods = Broods(self)
        self._derived_from = self._state()
        self._meet_events()
        if self.days.lit(0) == 0:
            self._pass_night(0)

    def _lay_out_time(self, tick_s: float) -> None:
        """The same hours are measured in every arm, by the events of the whole stock."""
        scenario, run = self.scenario, self.scenario.run
        self.hour_ticks = round(3600 / tick_s)
        self.days = lit_days(run.lit_hours, scenario.timeline.events, tick_s=tick_s)
        self.lit_ticks = self.days.ticks
        self.measured_from = self._tick_of(scenario.measured_days[0])
        hours = math.floor((run.days - run.settle_days) * scenario.lit_hours + 1e-9)
        self.hours = max(1, hours)
        self.last_tick = self.days.after(self.measured_from, self.hours * self.hour_ticks)

    def _tick_of(self, day: float) -> int:
        return self.days.tick_of(day)

    def _new_ledger(self, keep: bool) -> Ledger:
        return new_ledger(
            len(self.people),
            cells=len(self.tank.xyz),
            hours=self.hours,
            measured_from=self.measured_from,
            moves=MOVES_KEPT if keep else 0,
            events=EVENTS_KEPT if keep else 0,
        )

    # ---- fish

    def _meet_events(self) -> None:
        """Make happen what is due, in order."""
        while self._ahead and self._ahead[0][0] <= self.tick:
            self._ahead.pop(0)[1].apply(self)
            self._derive()

    def _state(self) -> Any:
        return self.shoal.fish[list(STATE)].copy()

    def _derive(self) -> None:
        """Work out traits again where the state they follow from changed; else what was set by hand stays."""
        state = self._state()
        new = np.flatnonzero(state != self._derived_from)
        if len(new):
            derive(self.shoal, new, self.traits, self.scenario, self.parameters)
            self._derived_from = state

    def place_of(self, label: str) -> int | None:
        """The place of a fish in the arrays; None when it is not of this set-up."""
        return self._places.get(label)

    def let_in(self, labels: Collection[str]) -> list[Fish]:
        """Put fish into the tank that are not in it, each into a cell that is drawn.

        A fish that was in before is the same: it has its body, its hunger, its trust in shelters and what
        is left of its fright and of what it learnt of others. It has no territory.
        """
        alive = [label for label in labels if label not in self.dead]
        here = [self._places[label] for label in alive if label in self._places]
        return [self._let_in(i) for i in here if not self.shoal.fish.present[i]]

    def _let_in(self, i: int) -> Fish:
        one, fish = self.people[i], self.shoal.fish
        again = (self._stays[one.label],) if self._stays[one.label] else ()
        self._stays[one.label] += 1
        rng = generator(self.trial_seed, one.label, "place", *again)
        cells = tank_changes.open_cells(self.tank)
        fish.cell[i] = int(cells[rng.integers(len(cells))])
        fish.part[i] = self.tank.part[fish.cell[i]]
        fish.heading[i] = int(rng.integers(26))
        fish.present[i] = True
        bind(self.shoal, self.scenario)
        return Fish(self, one, i)

    def take_out(self, fish: Fish) -> None:
        """Take a fish out now. Whoever chased or fought it turns to something else."""
        self.shoal.fish.present[fish.index] = False
        tank_changes.drop_all(self, fish.index)
        bind(self.shoal, self.scenario)
        fish.remove()

    def weaken(self, labels: Collection[str], *, by: float) -> None:
        """Leave fish, in the tank or out, a share of their strength; 1 makes them well."""
        for label in labels:
            self.shoal.fish.vigour[self._places[label]] = by

    @cached_property
    def slow(self) -> Slow:
        """What nobody has measured of all that passes slowly, in this draw."""
        return slow_laws(self.scenario, self.draw)

    def add_fish(self, row: StockRow) -> list[Fish]:
        """Add fish during a run. They come in now, whatever day the row says, and are out when it says.

        Raises ValueError when the species is not one of the scenario.
        """
        if row.species not in self.scenario.species:
            raise ValueError(
                f"{row.species!r} is not a species of this scenario: {sorted(self.scenario.species)}"
            )
        new = individuals([row], after=self.people)
        first = len(self.people)
        self.people.extend(new)
        self._places |= {one.label: i for i, one in enumerate(new, first)}
        self.shoal = grown(self.shoal, extra=len(new))
        fill(
            self.shoal,
            new,
            self.traits,
            self.scenario,
            self.parameters,
            trial_seed=self.trial_seed,
            first=first,
        )
        self._derived_from = self._state()
        self.ledger = _grown_ledger(self.ledger, self._new_ledger(bool(self.ledger.state.keeps[0])), first)
        labels = tuple(one.label for one in new)
        for one in events_of(row, labels):
            if not one.newcomers:
                self.foresee(one)
        return self.let_in(labels)

    # ---- what a keeper does to the tank, its meals and its water

    lay_rock_anew = tank_changes.lay_anew
    change_tank = tank_changes.change
    put_beside = tank_changes.put_beside
    put_in_box = tank_changes.put_in_box
    let_out_of_box = tank_changes.let_out_of_box
    feed = keeper.feed
    startle = keeper.startle

    # ---- time

    def foresee(self, *events: Event) -> None:
        """Let further events happen, each on its day, which is still to come."""
        for one in events:
            bisect.insort(self._ahead, (self._tick_of(one.day), one), key=lambda due: due[0])

    def due(self) -> list[int]:
        """Ticks of the events that are still to come, in order."""
        return [tick for tick, _ in self._ahead]

    def next_stop(self) -> int:
        """The tick of the next event, dusk, nightfall or the end, whichever comes first."""
        day = self.days.of(self.tick)
        ends = self.last_tick, self.days.dim(day), self.days.nightfall(day)
        return min(tick for tick in (*ends, *(due for due, _ in self._ahead)) if tick > self.tick)

    def advance_to(self, stop: int) -> None:
        """Go on to a tick no later than :meth:`next_stop`; a kept run may end sooner, when it is full."""
        day = self.days.of(self.tick)
        with _plain_overflow():
            self.tick = self._loop.advance(
                self.tick,
                stop,
                self.days.dawn(day),
                self.days.planned(day),
                self.meal_at,
                self.hour_ticks,
                self.water,
                self.shoal,
                dimmed(self) if self.tick >= self.days.dim(day) else self.parameters,
                self.ledger,
                self.food,
            )
        if self.tick >= self.days.nightfall(day):
            self._pass_night(day)
        else:
            self._meet_events()

    def _pass_night(self, day: int) -> None:
        """From nightfall to the next dawn; a day on which the lights stay off passes with it."""
        while True:
            dark = self.days.dawn(day + 1) - self.tick
            if dark:
                self._meet_events()  # what happens before the lights go off early
            dark_s = (24.0 - self.days.hours_of(self.days.lit(day))) * 3600.0
            with _plain_overflow():
                self._loop.night(self.water, self.shoal, self.parameters, dark_s)
            self.broods.pass_days(1.0, until=day + 1.0)
            self._derive()
            if self.tick >= self.ledger.state.measured_from[0]:
                self.ledger.state.measured_from[0] += dark  # hours are counted in lit ticks
            self.tick += dark
            self._meet_events()
            day += 1
            if self.days.lit(day) > 0:
                return

    def skip_to(self, tick: int) -> None:
        """Let lit time pass in which nothing is simulated; what is due by its end happens, in order.

        Traits are worked out anew where the state they follow from was changed meanwhile.
        """
        self.tick = tick
        self._derive()
        self._meet_events()
        if self.days.lit(self.days.of(tick)) == 0:
            self._pass_night(self.days.of(tick))

    def measure(self, first: int, *, hours: int) -> None:
        """Begin a new record of so many lit hours from a tick on; what was recorded before is let go."""
        self.measured_from, self.hours = first, hours
        self.last_tick = first + hours * self.hour_ticks
        self.ledger = self._new_ledger(bool(self.ledger.state.keeps[0]))
        self.ledger.fish.held[:] = self.shoal.fish.holding

    def step(self) -> None:
        """One tick; does nothing once the run is over."""
        if self.running:
            self.advance_to(self.tick + 1)
            self.running = self.tick < self.last_tick

    def run(self, *, halted: Callable[[], bool] | None = None) -> Ledger:
        """Run to the end and return the ledger.

        ``halted``: asked after each simulated lit hour; once it says yes, the run is given up. Raises
        HaltedError when it was given up.
        """
        while self.tick < self.last_tick:
            before = self.tick
            if halted is None:
                self.advance_to(self.next_stop())
            elif halted():
                raise HaltedError("the run was given up")
            else:
                self.advance_to(min(self.next_stop(), self.tick + self.hour_ticks))
            if self.tick == before:
                break  # a kept run whose ledger is full
        self.running = False
        return self.ledger

    def close(self) -> None:
        """Let go of the model: Mesa keeps a counter for every model it ever saw."""
        mesa.Agent._ids.pop(self, None)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()


@contextlib.contextmanager
def _plain_overflow() -> Any:
    """Uncompiled, NumPy warns where 64-bit numbers are meant to wrap."""
    with np.errstate(over="ignore"):
        yield


def _grown_ledger(old: Ledger, new: Ledger, n: int) -> Ledger:
    """``new``, larger by some fish, with everything that ``old`` of n fish holds."""
    for name in Ledger._fields:
        kept, place = getattr(old, name), getattr(new, name)
        place[tuple(slice(0, size) for size in kept.shape)] = kept
    return new
