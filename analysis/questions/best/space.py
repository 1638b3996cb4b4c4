"""Every stock and rock layout within a wish list's limits: counted, sampled evenly, varied a little.

A plan is a few whole numbers; whatever costs or counts follows from them, and so does its scenario. What is
over a limit is never tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from scipy.stats import qmc

from ....sim.fish.population import individuals
from ....sim.rules.support.random_numbers import generator
from ....sim.run.drawing import draw_trial_rock
from ....sim.run.set_ups import ROUND, draw_of
from ....sim.scenario import changes as sim
from ....sim.scenario.reading.limits import BELOW_SURFACE_CM, MOST_CELLS
from ....sim.scenario.scenario import Scenario, StockRow, TankSpec
from ....sim.scenario.timeline import RockAnew
from ....sim.scenario.wanted import ShopTank, Wanted
from ....sim.tank.tank import cell_counts
from ...statistics.intervals import Floats
from ..relief.costs import KgRange, kg_of
from ..rock.amount import heap_of

COVERS = tuple(round(0.1 * k, 1) for k in range(1, 9))
MOST_PILES = 4
MOST_ROCK = 0.6  # of the water under upright blocks of rock: more is not proposed, as in relief
POINTS = 4096  # of the low-discrepancy sample from which plans are taken
HEAPS = 2  # drawn for the kilograms of a layout

Pair = tuple[int, int]  # males, females


@dataclass(frozen=True, order=True)
class Layout:
    """Rock that is laid: share of the floor, height of the highest pile in cm, piles."""

    cover: float
    height_cm: float
    piles: int


@dataclass(frozen=True, order=True)
class Stocking:
    """A plan: males and females of each species liked, which tank, which rock."""

    fish: tuple[Pair, ...]
    tank: int
    layout: int


class Space:
    """All plans within the limits of a wish list.

    Parameters
    ----------
    scenario : the tank as it is; fish that are in it stay.
    wanted : the wish list.

    Attributes
    ----------
    tanks : sides of each tank to choose from; the one there is where the list names none.
    layouts : of each tank, the rock that can be laid in it.
    """

    def __init__(self, scenario: Scenario, wanted: Wanted) -> None:
        run = replace(scenario.run, watch=None, trials=max(scenario.run.trials, 3 * ROUND))
        self.base = replace(scenario, run=run, alternatives=())
        self.wanted = wanted
        stay = scenario.measured_fish if scenario.stock else frozenset()
        self.there = [one for one in individuals(scenario.stock) if one.label in stay]
        self.kinds_there = frozenset(one.species for one in self.there)
        self.shop = wanted.tanks
        self.tanks = [_tank(scenario.tank, one) for one in wanted.tanks] or [scenario.tank]
        self._kg: dict[tuple[int, Layout], KgRange] = {}
        self.layouts = [self._layouts(k) for k in range(len(self.tanks))]
        self._scenarios: dict[Stocking, Scenario] = {}

    # ---- what a plan comes to

    def count(self, plan: Stocking) -> int:
        """Fish in the tank, those that are there already counted."""
        return len(self.there) + sum(map(sum, plan.fish))

    def species(self, plan: Stocking) -> int:
        """Species in the tank."""
        new = {one.species for one, pair in zip(self.wanted.liked, plan.fish, strict=True) if sum(pair)}
        return len(new | self.kinds_there)

    def money(self, plan: Stocking) -> float:
        """What fish, rock and tank cost; nan where nothing has a price."""
        if not self.wanted.has_prices:
            return math.nan
        fish = sum(
            sum(pair) * (one.price or 0.0) for one, pair in zip(self.wanted.liked, plan.fish, strict=True)
        )
        tank = (self.shop[plan.tank].price or 0.0) if self.shop else 0.0
        per_kg = self.wanted.rock_price
        rock = self.kg(plan)[1] * per_kg if per_kg and self.is_laid else 0.0
        return fish + tank + rock

    def kg(self, plan: Stocking) -> KgRange:
        """Kilograms of limestone of its rock, lowest and highest."""
        return self._kg_of(plan.tank, self.layouts[plan.tank][plan.layout])

    @property
    def is_laid(self) -> bool:
        """Whether the rock is laid anew, and not the rock there is."""
        return self.wanted.rock_kg is not None

    def layout(self, plan: Stocking) -> Layout:
        """The rock of a plan."""
        return self.layouts[plan.tank][plan.layout]

    def scenario(self, plan: Stocking) -> Scenario:
        """The tank of a plan with its fish."""
        if plan not in self._scenarios:
            self._scenarios[plan] = sim.restocked(
                self._room(plan.tank, self.layout(plan)),
                (*self.base.stock, *self._rows(plan.fish)),
                species=self.wanted.kinds.values(),
            )
        return self._scenarios[plan]

    def fits(self, plan: Stocking) -> bool:
        """Whether it keeps to every limit."""
        wanted, fish, species = self.wanted, self.count(plan), self.species(plan)
        numbers = wanted.fish[0] <= fish <= wanted.fish[1]
        kinds = wanted.species[0] <= species <= wanted.species[1]
        return numbers and kinds and self._is_had(plan) and self._is_paid(plan)

    def _is_paid(self, plan: Stocking) -> bool:
        return self.wanted.spend is None or not self.money(plan) > self.wanted.spend

    def _is_had(self, plan: Stocking) -> bool:
        for one, (males, females) in zip(self.wanted.liked, plan.fish, strict=True):
            if males + females == 0:
                if one.must:
                    return False
            elif not (
                one.males[0] <= males <= one.males[1]
                and one.females[0] <= females <= one.females[1]
                and one.fish[0] <= males + females <= one.fish[1]
            ):
                return False
        return True

    def _rows(self, fish: Sequence[Pair]) -> list[StockRow]:
        return [
            StockRow(one.species, males, females, length_cm=one.length_cm, typed=one.typed)
            for one, (males, females) in zip(self.wanted.liked, fish, strict=True)
            if males + females
        ]

    @cached_property
    def yardstick(self) -> Scenario:
        """A male and a female of every species, to be simulated when nobody attacks."""
        rows = [
            StockRow(one.species, 1, 1, length_cm=one.length_cm, typed=one.typed) for one in self.wanted.liked
        ]
        here = {one.species for one in self.wanted.liked}
        rows += [StockRow(key, 1, 1) for key in sorted(self.kinds_there - here)]
        bare = replace(self.base, events=())
        return sim.restocked(bare, tuple(rows), species=self.wanted.kinds.values())

    # ---- tanks and rock

    def _room(self, tank: int, layout: Layout) -> Scenario:
        room = replace(self.base, tank=self.tanks[tank])
        if self.is_laid:
            room = sim.with_rock(
                room, cover=layout.cover, height_cm=layout.height_cm, piles=layout.piles, crevices=None
            )
            if not layout.cover:
                left = tuple(one for one in room.events if not isinstance(one, RockAnew))
                room = replace(room, events=left)
        return room

    def _layouts(self, tank: int) -> list[Layout]:
        """What can be laid in a tank with the stone that can be had, none at all where that is too little."""
        rock, spec = self.base.rock, self.tanks[tank]
        if not self.is_laid:
            return [Layout(rock.cover, rock.height_cm, rock.piles)]
        high = spec.water_cm - BELOW_SURFACE_CM
        heights = [max(rock.piece_cm, round(0.5 * high)), high]
        most = max(1, min(MOST_PILES, int(spec.length_cm // (2 * rock.piece_cm))))
        found = [
            Layout(cover, float(height), piles)
            for cover in COVERS
            for height in dict.fromkeys(heights)
            if cover * height / spec.water_cm <= MOST_ROCK
            and self._kg_of(tank, Layout(cover, float(height), 1))[1] <= (self.wanted.rock_kg or 0.0)
            for piles in range(1, most + 1)
        ]
        return found or [Layout(0.0, 0.0, 1)]

    def _kg_of(self, tank: int, layout: Layout) -> KgRange:
        """How it is heaped in piles hardly changes what it weighs; so it is drawn once for all of them."""
        key = tank, replace(layout, piles=1)
        if key not in self._kg:
            bare = layout.cover == 0 and (self.is_laid or self.base.rock.sketch is None)
            room = self._room(tank, key[1])
            self._kg[key] = (0.0, 0.0) if bare else kg_of(_bulk_l(room))
        return self._kg[key]

    def unfit_tank(self) -> str:
        """Why one of the shop's tanks will not do; "" when all will."""
        for k, tank in enumerate(self.tanks):
            x, y, z = cell_counts(tank)
            if x * y * z > MOST_CELLS:
                return f"tank {k + 1} has more than {MOST_CELLS} cells; use a smaller tank or a larger cell"
            rock = self.base.rock
            if any(
                one.x_cm + one.length_cm > tank.length_cm
                or one.y_cm + one.width_cm > tank.width_cm
                or one.z_cm + one.height_cm > tank.height_cm
                for one in rock.objects
            ):
                return f"tank {k + 1} is too small for the wood or filter of the file; use a larger tank"
            if not self.is_laid and rock.height_cm > tank.height_cm:
                return f"tank {k + 1} is lower than the rock of the file; use a higher tank, or say rock"
        return ""

    # ---- plans, many and near

    @cached_property
    def sample(self) -> list[Stocking]:
        """Plans spread evenly over everything that may vary, each once, in the order of the sequence.

        Source: Sobol IM (1967) Zh. Vychisl. Mat. Mat. Fiz. 7:784-802 (the sequence); Cranley R, Patterson
        TNL (1976) SIAM J. Numer. Anal. 13:904-914 (moved as a whole by the seed); both from memory.
        """
        sides = 3 * len(self.wanted.liked) + 6
        moved = generator(self.base.run.seed, "wish list").random(sides)
        found: dict[Stocking, None] = {}
        for point in qmc.Sobol(sides, scramble=False).random(POINTS):
            plan = self.plan_at((point + moved) % 1.0)
            if plan is not None and self.fits(plan):
                found.setdefault(plan)
        return list(found)

    def plan_at(self, point: Floats) -> Stocking | None:
        """The plan at a place of the unit cube."""
        tank, *rock, kinds, many = point[:6]
        first, share, sex = point[6:].reshape(3, -1)
        which = int(tank * len(self.tanks))
        layout = self._layout_at(which, rock)
        low, high = self.wanted.species
        chosen = self._chosen(first, low + int(kinds * (high - low + 1)))
        if chosen is None:
            return None
        least, most = self.wanted.fish
        wish = least + int(many * (most - least + 1)) - len(self.there)
        totals = self._totals(chosen, share, wish)
        pairs = tuple(self._pair(k, totals.get(k, 0), sex[k]) for k in range(len(first)))
        return Stocking(pairs, which, layout)

    def _layout_at(self, tank: int, rock: Sequence[float]) -> int:
        """Cover first, then height, then piles, each evenly over what is left."""
        left = list(enumerate(self.layouts[tank]))
        for at, part in zip(rock, ("cover", "height_cm", "piles"), strict=True):
            values = sorted({getattr(one, part) for _, one in left})
            value = values[int(at * len(values))]
            left = [(k, one) for k, one in left if getattr(one, part) == value]
        return left[0][0]

    def _chosen(self, first: Floats, kinds: int) -> list[int] | None:
        """Which species are taken: those that must, then by turns until there are enough."""
        liked = self.wanted.liked
        order = sorted(range(len(liked)), key=lambda k: (not liked[k].must, -first[k]))
        here, chosen = set(self.kinds_there), []
        for k in order:
            more = liked[k].species not in here
            wish = liked[k].must or (len(here) < kinds if more else first[k] > 0.5)
            if wish:
                chosen.append(k)
                here.add(liked[k].species)
        return chosen if len(here) <= self.wanted.species[1] else None

    def _totals(self, chosen: Sequence[int], share: Floats, wish: int) -> dict[int, int]:
        """Fish of each species that is taken: the least, then one by one to whoever is furthest behind."""
        liked = self.wanted.liked
        totals = {k: liked[k].fish[0] for k in chosen}
        while sum(totals.values()) < wish:
            room = [k for k in chosen if totals[k] < liked[k].fish[1]]
            if not room:
                break
            next_one = max(room, key=lambda k: (0.1 + share[k]) / (totals[k] + 1))
            totals[next_one] += 1
        return totals

    def _pair(self, k: int, total: int, at: float) -> Pair:
        """Males and females of a total."""
        one = self.wanted.liked[k]
        if not total:
            return 0, 0
        low, high = max(one.males[0], total - one.females[1]), min(one.males[1], total - one.females[0])
        males = low + int(at * (max(low, high) - low + 1))
        return males, total - males

    def near(self, plan: Stocking) -> Iterator[Stocking]:
        """Plans that differ from one by a fish, a species, or the rock, within the limits."""
        for other in dict.fromkeys(self._varied(plan)):
            if other != plan and self.fits(other):
                yield other

    def _varied(self, plan: Stocking) -> Iterator[Stocking]:
        for fish in self._fish_near(plan.fish):
            yield replace(plan, fish=fish)
        for tank, layouts in enumerate(self.layouts):
            mine = self.layout(plan)
            for k, one in enumerate(layouts):
                apart = sum(
                    getattr(one, part) != getattr(mine, part) for part in ("cover", "height_cm", "piles")
                )
                if apart <= 1:
                    yield replace(plan, tank=tank, layout=k)

    def _fish_near(self, fish: tuple[Pair, ...]) -> Iterator[tuple[Pair, ...]]:
        def put(now: tuple[Pair, ...], k: int, pair: Pair) -> tuple[Pair, ...]:
            return (*now[:k], pair, *now[k + 1 :])

        single = {k: list(self._pairs_near(k, pair)) for k, pair in enumerate(fish)}
        for k, pairs in single.items():
            for pair in pairs:
                changed = put(fish, k, pair)
                yield changed
                for j, others in single.items():
                    if j > k:
                        yield from (put(changed, j, other) for other in others)

    def _pairs_near(self, k: int, pair: Pair) -> Iterator[Pair]:
        """One fish more or less of a sex; all out, or the least in."""
        males, females = pair
        least = self._pair(k, self.wanted.liked[k].fish[0], 0.0)
        if males + females == 0:
            yield least
            return
        yield 0, 0
        for more in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            if min(males + more[0], females + more[1]) >= 0:
                yield males + more[0], females + more[1]


def _bulk_l(room: Scenario) -> float:
    """Litres of the rock of a tank, water between the stones counted: the mean of a few that are drawn."""
    drawn = [draw_trial_rock(room, trial=k, draw=draw_of(room, k)) for k in range(HEAPS)]
    return sum(heap_of(room.tank, rock).bulk_l for rock in drawn) / HEAPS


def _tank(spec: TankSpec, one: ShopTank) -> TankSpec:
    """A tank of the shop, filled as far below the rim."""
    water = one.height_cm - (spec.height_cm - spec.water_cm)
    return replace(
        spec, length_cm=one.length_cm, width_cm=one.width_cm, height_cm=one.height_cm, water_cm=water
    )


def loosened(wanted: Wanted) -> Iterable[tuple[str, Wanted]]:
    """The wish list with one limit taken away at a time, and what that limit is called."""
    liked = tuple(replace(one, must=False) for one in wanted.liked)
    most = sum(one.fish[1] for one in wanted.liked)
    if wanted.spend is not None:
        yield "the money", replace(wanted, spend=None)
    yield "the most fish there may be", replace(wanted, fish=(wanted.fish[0], 120))
    yield "the fewest fish there must be", replace(wanted, fish=(min(1, most), wanted.fish[1]))
    yield "the fewest species there must be", replace(wanted, species=(1, wanted.species[1]))
    yield "the most species there may be", replace(wanted, species=(wanted.species[0], 99))
    yield "what must be taken", replace(wanted, liked=liked)
