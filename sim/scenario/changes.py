"""Changes a keeper could make to a scenario, each a pure function from Scenario to Scenario.

Every fish that a change leaves alone is the same individual in the same trial before and after, with
the same number and the same draws (see :mod:`rockshy.sim.scenario.stock_changes`); fish added to a stocked
species are numbered after those that are there.

What is measured begins after the last event that the fish have to settle after: the last arrival of the
stock, or rock laid anew. A change that takes the last arrivals away therefore moves it forward;
:func:`measured_like` holds it where it was.

Limits of scenario files are tested where files are read (:mod:`rockshy.sim.scenario.reading`), not here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from ..fish.population import individuals
from ..species.species import Species, library
from .hints import Shown
from .scenario import Scenario, StockRow, TankSpec
from .stock_changes import ChangeError, Stock, Which, counted, exchanged, taken_out
from .timeline import Event, OfRock


def without_fish(scenario: Scenario, species: str, fish: str) -> Scenario:
    """Without one fish, such as "male 2"; raises ChangeError when it is not there."""
    return restocked(scenario, taken_out(scenario.stock, Which(species, fish=fish)))


def without_species(scenario: Scenario, species: str) -> Scenario:
    """Without any fish of a species; raises ChangeError when it is not there, or nobody else is."""
    return restocked(scenario, taken_out(scenario.stock, Which(species)))


def with_stock(scenario: Scenario, rows: Iterable[StockRow], *, species: Iterable[Species] = ()) -> Scenario:
    """With rows added after those that are there; fish of a stocked species are numbered on.

    ``species``: what is new and not of the library. Raises ChangeError when a species is known to nobody.
    """
    return restocked(scenario, (*scenario.stock, *rows), species=species)


def recounted(
    scenario: Scenario,
    species: str,
    *,
    males: int | None = None,
    females: int | None = None,
    unsexed: int | None = None,
    holding: int | None = None,
) -> Scenario:
    """With other numbers of a species; see :func:`counted`."""
    stock = counted(scenario.stock, species, males=males, females=females, unsexed=unsexed, holding=holding)
    return restocked(scenario, stock)


def replaced(scenario: Scenario, species: str, *, by: Species) -> Scenario:
    """With as many fish of another species instead of one; see :func:`exchanged`."""
    return restocked(scenario, exchanged(scenario.stock, Which(species), by=by), species=[by])


def with_tank(scenario: Scenario, **fields: Any) -> Scenario:
    """With other fields of TankSpec. Unless given, the water stands as far below the rim as before.

    Raises ChangeError when the rock would be higher than the tank.
    """
    if "height_cm" in fields and "water_cm" not in fields:
        fields["water_cm"] = water_level_cm(scenario.tank, fields["height_cm"])
    return _built(replace(scenario, tank=replace(scenario.tank, **fields)))


def water_level_cm(tank: TankSpec, height_cm: float) -> float:
    """Water level in a tank of another height that is filled as far below the rim."""
    return height_cm - (tank.height_cm - tank.water_cm)


def with_rock(scenario: Scenario, **fields: Any) -> Scenario:
    """With other fields of RockSpec.

    A cover takes the place of a sketch, a sketch that of a cover; the crevices listed for it go with it.
    A sketch is not laid anew either, nor added to.

    Raises ChangeError when the rock would be higher than the tank.
    """
    sketched = scenario.rock.sketch is not None
    gone: dict[str, Any] = {}
    events = scenario.events
    if not sketched and fields.get("sketch") is not None:
        gone = {"cover": 0.0, "height_cm": 0.0, "piles": 1, "crevices": None}
        events = tuple(one for one in events if not isinstance(one, OfRock))
    if sketched and "cover" in fields:
        gone = {"sketch": None, "crevices": None}
    rock = replace(scenario.rock, **{**gone, **fields})
    return _built(replace(scenario, rock=rock, events=events))


def with_events(scenario: Scenario, *events: Event) -> Scenario:
    """With more events.

    Raises TimelineError when one of them cannot happen, such as a fish taken out twice.
    """
    new = replace(scenario, events=(*scenario.events, *events), alternatives=())
    _ = new.timeline  # checks them
    return new


def _built(scenario: Scenario) -> Scenario:
    """Rock that stands in its tank."""
    highest, rim = scenario.rock.height_cm, scenario.tank.height_cm
    if highest > rim:
        raise ChangeError(
            "height", f"the rock is {highest:g} cm high", f"at most {rim:g} cm, the tank's height"
        )
    return replace(scenario, alternatives=())


def with_run(scenario: Scenario, **fields: Any) -> Scenario:
    """With other fields of RunSpec; raises ChangeError when the species to watch is not stocked."""
    return restocked(replace(scenario, run=replace(scenario.run, **fields)), scenario.stock)


def measured_like(scenario: Scenario, base: Scenario) -> Scenario:
    """Measured on the days of the base, where that can be.

    Where the last arrival is earlier it has as much longer to settle; where the rock is laid anew later, as
    much shorter. A later arrival is measured later: it needs its time to settle.
    """
    earlier = base.last_change_day - scenario.last_change_day
    run = scenario.run
    if (
        earlier == 0
        or (earlier < 0 and scenario.timeline.needs_all_settling)
        or run.settle_days + earlier < 0
    ):
        return scenario
    return replace(scenario, run=replace(run, days=run.days + earlier, settle_days=run.settle_days + earlier))


def everywhere(scenario: Scenario, change: Callable[[Scenario], Scenario]) -> Scenario:
    """The scenario and each of its alternatives changed alike, as by the options of a command."""
    others = tuple(replace(one, scenario=change(one.scenario)) for one in scenario.alternatives)
    return replace(change(scenario), alternatives=others)


def restocked(scenario: Scenario, stock: Stock, *, species: Iterable[Species] = ()) -> Scenario:
    """With another stock, and exactly its species; ``species`` are those that are new.

    Raises ChangeError when nobody is left, or not the species that is watched.
    """
    here = dict.fromkeys(one.species for one in individuals(stock))
    stock = tuple(row for row in stock if row.species in here)
    if not stock:
        raise ChangeError("", "no fish are left", "a stock of at least one")
    watch = scenario.run.watch
    if watch is not None and watch not in here:
        raise ChangeError(
            "watch",
            f"no {watch} are left, the species that is watched",
            "a species of the stock: " + ", ".join(here),
        )
    known = {**scenario.species, **{one.key: one for one in species}}
    if missing := [key for key in here if key not in known]:
        known |= {key: one for key, one in library().items() if key in missing}
    for key in here:
        if key not in known:
            raise ChangeError(
                "species", Shown(f'"{key}"'), "a species of the scenario or the library, or hand it in"
            )
    return replace(scenario, stock=stock, species={key: known[key] for key in here}, alternatives=())
