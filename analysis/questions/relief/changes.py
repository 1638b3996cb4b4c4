"""The ordinary changes a keeper could make to a tank, each with what it costs.

Which changes there are is common practice, no source; how large each is made here is an assumption. A change
that breaks a limit of scenario files, or does not apply to this tank, is left out with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from ....sim.fish.population import individuals
from ....sim.run.drawing import check_water
from ....sim.scenario import changes as sim
from ....sim.scenario.reading.limits import BELOW_SURFACE_CM, LIMITS, MOST_CELLS, MOST_FISH
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.stock_changes import ChangeError, numbers
from ....sim.scenario.timeline import RockAnew, TimelineError
from ....sim.scenario.units import say_length_cm
from ....sim.tank.tank import WaterError, cell_counts
from ...document.plain import percent
from ...measures.whom import FishGroup, Kind, kinds_of
from ..rock.amount import amount_of
from .change import Change, LeftOut, NotApplicableError
from .costs import Cost, KgRange, added, fish_out, kg_of, rock_lifted
from .policies import Policies

CHIEF = "chief chaser out"  # has no scenario: the fish differs from trial to trial

MORE_FEMALES = 2  # at least, or one for each male
FEW = 4  # of fewer fish half is not taken out
TALLER = 1.5  # times the height
MORE_COVER = 0.2  # of the floor
MOST_ROCK = 0.6  # of the water under upright blocks of rock: more is not proposed
NEW_COVER = 0.3  # share of the floor, where there was no rock; it is piled nearly to the surface
LONGER = 1.5  # times the length
LATER_DAYS = 1.0


Found = tuple[tuple[Change, ...], tuple[LeftOut, ...]]


def ordinary_changes(scenario: Scenario, *, whom: FishGroup, months: int | None = None) -> Found:
    """Every ordinary change for some fish of a tank, and those that do not apply.

    Parameters
    ----------
    scenario : the tank as it is.
    whom : the fish that are to be helped; decides who is "other", and who comes in first.
    months : that each tank lives through; then what a keeper does over weeks is tried, too.

    Returns
    -------
    (changes, left out) : no two changes come to the same.
    """
    maker = _Maker(replace(scenario, alternatives=()), whom)
    changes: list[Change] = []
    left_out: list[LeftOut] = []
    policies = Policies(maker.base, whom, months).all() if months else ()
    for name, make in (*maker.all(), *policies):
        try:
            change = make()
            new = change.scenario
            if new is not None and (new.rock, new.tank) != (scenario.rock, scenario.tank):
                check_water(new)
            changes.append(change)
        except (NotApplicableError, ChangeError) as problem:
            left_out.append(LeftOut(name, str(problem)))
        except TimelineError as problem:
            left_out.append(LeftOut(name, problem.faults[0].found))
        except WaterError as problem:
            left_out.append(LeftOut(name, problem.found))
    return tuple(changes), tuple(left_out)


def without_each(scenario: Scenario) -> dict[str, Scenario]:
    """The scenario without each single fish, by label; a fish that must not be missing is not in it."""
    found = {}
    base = sim.with_run(scenario, watch=None)
    for one in individuals(scenario.stock):
        try:
            out = sim.without_fish(base, one.species, f"{one.sex} {one.number}")
        except ChangeError:
            continue
        found[one.label] = sim.measured_like(out, base)
    return found


class _Maker:
    """Makes the changes to one scenario."""

    def __init__(self, scenario: Scenario, whom: FishGroup) -> None:
        self.base = sim.with_run(scenario, watch=None)  # whom to watch changes no trial
        self.whom = whom
        self.people = individuals(scenario.stock)
        self.bulk_l: float | None = None
        self.kinds = kinds_of(scenario)
        self.species = list(dict.fromkeys(one.species for one in self.people))

    def all(self) -> Iterator[tuple[str, Callable[[], Change]]]:
        """Name and maker of every change, the least trouble first."""
        yield CHIEF, self.chief_out
        for kind in self.kinds:
            yield self._out_name(kind), partial(self.one_out, kind)
        for key in self.species:
            yield f"more females of {key}", partial(self.more_females, key)
        for key in self.species:
            yield f"down to one male of {key}", partial(self.one_male, key)
        for key in self.species:
            yield f"half of {key} out", partial(self.half_out, key)
        for key in self.species:
            yield f"all {key} out", partial(self.all_out, key)
        yield "rock in one more pile", self.another_pile
        yield "taller rock", self.taller
        yield "more cover", self.more_cover
        yield "rock re-arranged", self.rearranged
        yield f"{self.whom.species} in first", self.in_first
        yield "the hottest species in last", self.hottest_last
        yield "longer tank", self.longer
        yield "own kind only", self.own_kind

    # ---- fish

    def chief_out(self) -> Change:
        if len(self.people) < 2:
            raise NotApplicableError("there is one fish only")
        note = "in each simulated tank it is the fish that chased one of them most in that very tank"
        return Change(CHIEF, None, fish_out(1), note=note)

    def _out_name(self, kind: Kind) -> str:
        if len(kind.labels) == 1:
            return f"{kind.labels[0]} out"
        described = kind.name.removeprefix(kind.species).strip().replace("males", "male")
        return f"one {kind.species} {described} out"

    def one_out(self, kind: Kind) -> Change:
        """One fish stands for all that are described alike: the last, so that the first are still there."""
        label = kind.labels[-1]
        out = without_each(self.base).get(label)
        if out is None:
            raise NotApplicableError("no fish would be left")
        alike = len(kind.labels)
        note = f"stands for any one of {alike} described alike" if alike > 1 else ""
        return Change(self._out_name(kind), out, fish_out(1), (label,), note)

    def more_females(self, key: str) -> Change:
        self._only_harems(key)
        count = numbers(self.base.stock, key)
        if count["males"] == 0:
            raise NotApplicableError("no male of known sex to give females to")
        more = max(MORE_FEMALES, count["males"])
        if len(self.people) + more > MOST_FISH:
            raise NotApplicableError(f"more than {MOST_FISH} fish, the most a tank here may hold")
        new = sim.recounted(self.base, key, females=count["females"] + more)
        cost = Cost(bought=more, undone="undone by catching them again")
        return Change(f"{more} more females of {key}", new, cost)

    def one_male(self, key: str) -> Change:
        self._only_harems(key)
        males = numbers(self.base.stock, key)["males"]
        if males < 2:
            raise NotApplicableError("one male only" if males else "no male of known sex")
        if males == 2:
            raise NotApplicableError("comes to the same as one male out")
        new = sim.measured_like(sim.recounted(self.base, key, males=1), self.base)
        return Change(f"down to one male of {key}", new, fish_out(males - 1), self._gone(new))

    def half_out(self, key: str) -> Change:
        self._only_others(key)
        count = numbers(self.base.stock, key)
        sexes = ("males", "females", "unsexed")
        if sum(count[sex] for sex in sexes) < FEW:
            raise NotApplicableError(f"there are fewer than {FEW} of them")
        half = {sex: (count[sex] + 1) // 2 for sex in sexes}
        new = sim.measured_like(sim.recounted(self.base, key, **half), self.base)
        gone = self._gone(new)
        return Change(
            f"{len(gone)} of the {len(gone) + sum(half.values())} {key} out", new, fish_out(len(gone)), gone
        )

    def all_out(self, key: str) -> Change:
        self._only_others(key)
        if len(self.species) == 2:
            raise NotApplicableError("comes to the same as own kind only")
        new = sim.measured_like(sim.without_species(self.base, key), self.base)
        gone = self._gone(new)
        return Change(f"all {len(gone)} {key} out", new, fish_out(len(gone)), gone)

    def _only_others(self, key: str) -> None:
        if key == self.whom.species:
            raise NotApplicableError("it is the species that is to be helped")

    def _only_harems(self, key: str) -> None:
        if self.base.species[key].words["mating"].value != "harem":
            raise NotApplicableError("it does not live as a male with several females")

    def own_kind(self) -> Change:
        if len(self.species) == 1:
            raise NotApplicableError("it is with its own kind only already")
        new = self.base
        for key in self.species:
            if key != self.whom.species:
                new = sim.without_species(new, key)
        new = sim.measured_like(new, self.base)
        gone = self._gone(new)
        return Change(f"{self.whom.species} with its own kind only", new, fish_out(len(gone)), gone)

    def _gone(self, new: Scenario) -> tuple[str, ...]:
        here = {one.label for one in individuals(new.stock)}
        return tuple(one.label for one in self.people if one.label not in here)

    # ---- order

    def in_first(self) -> Change:
        if len(self.species) == 1:
            raise NotApplicableError("there is one species only")
        own = self._days_in(lambda species: species == self.whom.species)
        others = [key for key in self.species if key != self.whom.species]
        name = f"{self.whom.species} in {LATER_DAYS:g} day before all others"
        return self._later(name, others, after=max(own))

    def hottest_last(self) -> Change:
        if len(self.species) < 3:
            raise NotApplicableError("needs three species; with two it is the other one in first")
        others = [key for key in self.species if key != self.whom.species]
        hottest = max(others, key=lambda key: self.base.species[key].traits["temper"].value)
        rest = self._days_in(lambda species: species != hottest)
        return self._later(f"{hottest} in {LATER_DAYS:g} day after all others", [hottest], after=max(rest))

    def _days_in(self, is_meant: Callable[[str], bool]) -> list[float]:
        """The days on which fish of some species come in."""
        stays = self.base.timeline.stays
        return [stays[one.label][0][0] for one in self.people if is_meant(one.species)]

    def _later(self, name: str, keys: list[str], *, after: float) -> Change:
        day = after + LATER_DAYS
        stays = self.base.timeline.stays
        people = [one for one in self.people if one.species in keys and stays[one.label][0][0] < day]
        late = [row for row in self.base.stock if any(one.row is row for one in people)]
        if not late:
            raise NotApplicableError("they come in so already")
        if day > LIMITS["stock.day"].high:
            raise NotApplicableError(f"day {day:g} is later than a scenario may say")
        if any(stays[one.label][0][1] <= day for one in people):
            raise NotApplicableError(f"some of them are taken out before day {day:g}")
        rows = [replace(row, day=day) if row in late else row for row in self.base.stock]
        new = replace(self.base, stock=tuple(rows))
        cost = Cost(nets=len(people), undone="cannot be undone, and needs a tank to keep them in meanwhile")
        note = "for a tank that is set up anew: here all fish begin as newcomers"
        return Change(name, new, cost, note=note)

    # ---- rock and tank

    def _needs_cover(self) -> None:
        """Only rock that is drawn can be drawn otherwise."""
        rock = self.base.rock
        if rock.sketch is not None:
            raise NotApplicableError("the rock stands as sketched; sketch the change and compare")
        if rock.crevices is not None:
            raise NotApplicableError("the crevices are listed one by one and would not move with the rock")

    def _needs_rock(self) -> None:
        self._needs_cover()
        if self.base.rock.cover == 0:
            raise NotApplicableError("there is no rock")

    def _fits(self, new: Scenario) -> Scenario:
        rock, water = new.rock, new.tank.water_cm
        if rock.cover * min(rock.height_cm, water) / water > MOST_ROCK:
            raise NotApplicableError(f"rock would fill more than {percent(MOST_ROCK)} of the water")
        return new

    def another_pile(self) -> Change:
        self._needs_rock()
        piles = self.base.rock.piles
        if (
            piles + 1 > LIMITS["rock.piles"].high
            or self.base.tank.length_cm < (piles + 1) * self.base.rock.piece_cm
        ):
            raise NotApplicableError("no room for another pile and a gap")
        name = "a second pile with a gap" if piles == 1 else f"{piles + 1} piles with gaps"
        new = sim.with_rock(self.base, piles=piles + 1)
        return Change(f"{name}, of the same rock", new, rock_lifted(self._kg()))

    def taller(self) -> Change:
        self._needs_rock()
        tank, height = self.base.tank, self.base.rock.height_cm
        new_cm = min(TALLER * height, tank.water_cm - BELOW_SURFACE_CM)
        if new_cm <= 1.05 * height:
            raise NotApplicableError(
                f"it reaches to {say_length_cm(BELOW_SURFACE_CM)} below the surface already"
            )
        new = self._fits(sim.with_rock(self.base, height_cm=new_cm))
        name = f"rock up to {say_length_cm(new_cm)} instead of {say_length_cm(height)}"
        return Change(name, new, rock_lifted(self._more_kg(new)))

    def more_cover(self) -> Change:
        self._needs_cover()
        rock, tank = self.base.rock, self.base.tank
        if rock.cover == 0:
            high_cm = tank.water_cm - BELOW_SURFACE_CM
            new = sim.with_rock(self.base, cover=NEW_COVER, height_cm=high_cm, piles=1)
            name = f"rock on {percent(NEW_COVER)} of the floor, up to {say_length_cm(high_cm)} high"
            return Change(name, new, rock_lifted(self._more_kg(new)))
        cover = rock.cover + MORE_COVER
        if cover > LIMITS["rock.cover"].high:
            raise NotApplicableError(f"rock is on {percent(rock.cover)} of the floor already")
        new = self._fits(sim.with_rock(self.base, cover=cover))
        name = f"rock on {percent(cover)} of the floor instead of {percent(rock.cover)}"
        return Change(name, new, rock_lifted(self._more_kg(new)))

    def rearranged(self) -> Change:
        self._needs_rock()
        if self.base.rock.sketch is not None or self.base.rock.crevices:
            raise NotApplicableError("a sketch, or crevices listed, cannot be laid anew by chance")
        day = self.base.measured_days[0]
        if self.base.timeline.of(RockAnew) or day <= 0:
            raise NotApplicableError("it is laid anew already, or nothing settles before it is measured")
        new = sim.measured_like(sim.with_events(self.base, RockAnew(day=day)), self.base)
        note = "laid anew as measuring begins: what is left of it days later is another question"
        return Change("the same rock re-arranged", new, rock_lifted(self._kg()), note=note)

    def longer(self) -> Change:
        tank = self.base.tank
        length = LONGER * tank.length_cm
        new = sim.with_tank(self.base, length_cm=length)
        cells = cell_counts(new.tank)
        litres = length * tank.width_cm * tank.height_cm / 1000.0
        if not LIMITS["tank.length"].holds(length) or not LIMITS["tank.volume"].holds(litres):
            raise NotApplicableError(
                f"{say_length_cm(length)} is longer, or holds more, than a tank here may"
            )
        if cells[0] * cells[1] * cells[2] > MOST_CELLS:
            raise NotApplicableError(f"more than {MOST_CELLS} cells; larger cells would make room")
        fish = len(self.people)
        kg = None if self._bare() else added(self._kg(), self._more_kg(new))
        cost = Cost(nets=fish, rock_kg=kg, new_tank=True, undone="undone only with the old tank")
        share = "" if self._bare() else ", rock on the same share of the floor"
        name = f"a tank {say_length_cm(length)} long instead of {say_length_cm(tank.length_cm)}{share}"
        return Change(name, new, cost)

    def _bare(self) -> bool:
        return self.base.rock.cover == 0 and self.base.rock.sketch is None

    def _bulk_l(self) -> float:
        if self.bulk_l is None:
            self.bulk_l = 0.0 if self._bare() else amount_of(self.base).bulk_l.middle
        return self.bulk_l

    def _kg(self) -> KgRange:
        return kg_of(self._bulk_l())

    def _more_kg(self, new: Scenario) -> KgRange:
        return kg_of(max(0.0, amount_of(new).bulk_l.middle - self._bulk_l()))
