"""Scenario: what a keeper asks, checked once and frozen. Lengths in cm, temperatures in C, times in days."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from ..rules.support.rule_set import Rules
from ..species.species import Species
from .given import GivenDraws
from .stock import StockRow as StockRow
from .timeline import Event, Timeline, TimelineError, lit_hours_after, timeline_of
from .wanted import Wanted


@dataclass(frozen=True)
class TankSpec:
    length_cm: float
    width_cm: float  # front to back
    height_cm: float
    water_cm: float  # depth of the water above the base
    temperature_c: float = 26.0
    cell_cm: float = 5.0
    temperature_effect: bool = False  # Q10 on activity; off unless switched on


@dataclass(frozen=True)
class CreviceSpec:
    """A crevice the keeper listed: place from the left, the front glass and the base."""

    x_cm: float
    y_cm: float
    z_cm: float
    mouth_cm: float
    depth_cm: float
    openings: int = 1


@dataclass(frozen=True)
class ObjectSpec:
    """Wood, filter or heater: a solid box fish can hide behind. ``z_cm`` is its underside."""

    kind: str  # "wood", "filter", "heater"
    x_cm: float
    y_cm: float
    z_cm: float
    length_cm: float
    width_cm: float
    height_cm: float


@dataclass(frozen=True)
class RockSpec:
    """Either ``cover`` (share of the floor, 0..1) with height, piles and piece size, or a sketch.

    ``sketch`` is rows of digits, the back of the tank first, the left end first in a row;
    a digit times ``sketch_step_cm`` is the height of the rock there.
    """

    cover: float = 0.0
    height_cm: float = 0.0
    piles: int = 1
    piece_cm: float = 15.0
    sketch: tuple[str, ...] | None = None
    sketch_step_cm: float = 5.0
    crevices: tuple[CreviceSpec, ...] | None = None  # None: drawn
    objects: tuple[ObjectSpec, ...] = ()


@dataclass(frozen=True)
class RunSpec:
    days: float = 2.0  # simulated after the last arrival
    settle_days: float = 1.0  # of these, the first that are not measured
    lit_hours: float = 10.0  # at first; see Scenario.lit_hours
    trials: int = 72
    guesses: int | None = None  # draws that the trials take turns over; None: mostly a draw each
    seed: int = 1
    fixed: bool = False  # True: nothing unmeasured is drawn
    wide: bool = False  # True: drawn over whole ranges, also where published work speaks against it
    controls: bool = True
    watch: str | None = None  # species key of the mild species; None: chosen and said


@dataclass(frozen=True)
class Scenario:
    """Everything that a trial depends on besides its number; checked, and never changed again.

    Attributes
    ----------
    title, question : as the keeper wrote them.
    tank, rock : sides and heights in cm, temperature in C.
    stock : rows of fish; lengths in cm, days from 0.
    run : what is simulated and measured: days, lit hours, trials, seed.
    species, parameters : what the fish are like, and numbers of the rules set in place of the project's.
    alternatives : what else the keeper thinks of, each with a scenario of its own.
    rules : how the fish behave; see :meth:`with_rules`.
    given : values of draws instead of drawn ones; see rockshy fit.
    wanted : a wish list; no trial depends on it.

    Source
    ------
    The keeper's file; each trait and parameter of the project's names its own.
    """

    title: str
    question: str
    tank: TankSpec
    rock: RockSpec
    stock: tuple[StockRow, ...]
    run: RunSpec
    species: Mapping[str, Species]  # every species in the stock, overrides applied
    parameters: Mapping[str, float] = field(default_factory=dict)  # overrides of parameters.toml
    text: str = ""  # the file as read, for the recipe
    stock_list_text: str = ""  # the stock list as read, when the scenario names one
    argument: tuple[str, str] | None = None  # what some keepers say of the question, and what others say
    events: tuple[Event, ...] = ()  # besides the days of the stock's rows
    alternatives: tuple[Alternative, ...] = ()  # what else the keeper thinks of; see rockshy compare
    rules: Rules = Rules()  # how the fish behave; no file sets it
    given: GivenDraws | None = None  # no file sets it either
    wanted: Wanted | None = None  # what the keeper would like to have; see rockshy best

    @cached_property
    def timeline(self) -> Timeline:
        """All that happens on a day of its own, in order.

        Raises TimelineError when something happens that cannot, such as a fish taken out twice.
        """
        made = timeline_of(self.stock, self.events)
        if made.faults:
            raise TimelineError(made.faults)
        return made

    @property
    def last_change_day(self) -> float:
        """Day of the last event that the fish settle after; see :class:`.timeline.Event`."""
        return self.timeline.last_change_day

    @property
    def lit_hours(self) -> float:
        """Lit hours of a day in the measured time."""
        return lit_hours_after(self.run.lit_hours, self.timeline.events)

    @property
    def measured_days(self) -> tuple[float, float]:
        """Day on which measuring begins and day on which the run ends."""
        last = self.last_change_day
        return last + self.run.settle_days, last + self.run.days

    def with_rules(self, rules: Rules) -> Scenario:
        """The same tank and fish, in the alternatives too, under another set of rules."""
        others = tuple(replace(one, scenario=one.scenario.with_rules(rules)) for one in self.alternatives)
        return replace(self, rules=rules, alternatives=others)

    def given_at(self, draw: int, species: str = "") -> Mapping[str, float]:
        """What is given for a draw, mostly nothing: parameters of the rules, or traits of a species."""
        return {} if self.given is None else self.given.at(draw, species)

    @property
    def measured_fish(self) -> frozenset[str]:
        """Labels of the fish that are in the tank for some of the measured time."""
        return self.timeline.in_between(*self.measured_days, lit_s=3600.0 * self.run.lit_hours)


@dataclass(frozen=True)
class Alternative:
    """A named set of changes to a scenario, and the scenario they make of it."""

    name: str
    changes: tuple[str, ...]  # each change in plain words: "2 of 3 males of Petrochromis trewavasae"
    scenario: Scenario  # the base with the changes applied; has no alternatives of its own
