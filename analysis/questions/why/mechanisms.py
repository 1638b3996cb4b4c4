"""The mechanisms by which a fish may come to be bullied, and what "off" means for each.

The one table of them: it is printed with every answer. A mechanism that cannot act in a tank, or that the
scenario holds off already, is left out with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from ....sim.fish.population import individuals
from ....sim.scenario import changes as sim
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.units import say_length_cm
from ....sim.species.species import Species
from ...document.cautions import has_rock
from ...document.plain import many
from ...measures.whom import FishGroup
from ..check.drawn import DrawnTanks, draw_few
from . import off, stock_off

SIZE, LOOKS, SIGHT, SHELTER = "size", "looks", "sight", "shelter"
GROUND, TEMPER, CROWDING, SEXES = "ground", "temper", "crowding", "sexes"
TURN = (SEXES, CROWDING, SIZE, TEMPER, LOOKS, SIGHT, GROUND, SHELTER)  # in which several are switched off


@dataclass(frozen=True)
class Mechanism:
    """A player of the game."""

    code: str
    name: str  # "size"
    shown: str  # "different sizes": on a picture
    because: str  # "because of the differences in size"
    off: str  # what it means to switch it off, said in full


@dataclass(frozen=True)
class LeftOut:
    """A mechanism that does not apply to a tank, and why."""

    name: str
    reason: str


class _NotHereError(Exception):
    """The message is the reason."""


class Switches:
    """All mechanisms of one tank, for some fish, and the scenarios with some of them off.

    Parameters
    ----------
    scenario : the tank as it is.
    whom : the fish whose trouble is explained.

    Attributes
    ----------
    mechanisms, left_out : those that apply, and those that do not.
    fish : labels of the fish that are measured: those of ``whom`` that are in the tank whatever is off.
    drawn : crevices of a few tanks, as they are.
    """

    def __init__(self, scenario: Scenario, whom: FishGroup) -> None:
        self.base = base_of(scenario)
        self.whom = whom
        self.people = individuals(self.base.stock)
        self.known = frozenset(one.label for one in self.people)
        self.gone = stock_off.going(self.base, whom.labels)
        self.length_cm = off.common_cm(self.base)
        self.drawn: DrawnTanks = draw_few(self.base)
        self.crevices = float(np.mean([len(mouths) for mouths in self.drawn.mouths_cm]))
        self._do: dict[str, Callable[[Scenario], Scenario]] = {}
        found: list[Mechanism] = []
        left_out: list[LeftOut] = []
        for name, make in self._all():
            try:
                found.append(make())
            except _NotHereError as reason:
                left_out.append(LeftOut(name, str(reason)))
        self.mechanisms = tuple(found)
        self.left_out = tuple(left_out)
        self.fish = self._always_there()

    def without(self, codes: Iterable[str]) -> Scenario:
        """The scenario with some mechanisms off; with none, the tank as it is."""
        wanted = set(codes)
        scenario = self.base
        for code in TURN:
            if code in wanted:
                scenario = self._do[code](scenario)
        return scenario

    def clear_view(self) -> Scenario | None:
        """The other way round for sight: no rock in the way of any view; None where there is none."""
        if not has_rock(self.base):
            return None
        mouths = np.concatenate([np.array(one) for one in self.drawn.mouths_cm])
        number = max(1, round(self.crevices))
        spread = np.quantile(mouths, (np.arange(number) + 0.5) / number) if len(mouths) else np.zeros(0)
        return off.clear_view(self.base, mouths_cm=[float(mouth) for mouth in spread])

    def _always_there(self) -> tuple[str, ...]:
        here = set(self.whom.labels)
        codes = [one.code for one in self.mechanisms if one.code in (SEXES, CROWDING)]
        for some in ([], codes[:1], codes[1:], codes):
            here &= {one.label for one in individuals(self.without(some).stock)}
        return tuple(label for label in self.whom.labels if label in here)

    # ---- the table

    def _all(self) -> tuple[tuple[str, Callable[[], Mechanism]], ...]:
        return (
            ("size", self._size),
            ("looks", self._looks),
            ("sight", self._sight),
            ("ground", self._ground),
            ("shelter", self._shelter),
            ("temper", self._temper),
            ("crowding", self._crowding),
            ("sex ratio", self._sexes),
        )

    def _size(self) -> Mechanism:
        lengths = {off.length_range(self.base, one) for one in self.people}
        if len(lengths) == 1 and next(iter(lengths))[0] == next(iter(lengths))[1]:
            raise _NotHereError("all fish are of one length")
        young = [off.is_young(self.base, one) for one in self.people]
        kinds = {one.species for one in self.people}
        both = any(
            len({y for y, one in zip(young, self.people, strict=True) if one.species == key}) == 2
            for key in kinds
        )
        self._do[SIZE] = partial(off.one_size, length_cm=self.length_cm)
        status = (
            "those of a species that also has grown ones count as grown"
            if both
            else ("whoever is grown stays grown")
        )
        return Mechanism(
            SIZE,
            "size",
            "different sizes",
            "because of the differences in size",
            f"every fish {say_length_cm(self.length_cm)} long, the mean of all: as many cm of fish as "
            "before, none larger than another in a contest, in speed or in how far off it minds others. "
            f"Bodies stay as deep as before, so that the same crevices fit; {status}",
        )

    def _looks(self) -> Mechanism:
        if not off.looks_differ(self.base):
            raise _NotHereError("no fish can choose between one that looks like it and one that does not")
        if self.base.parameters.get("look_alike") == off.FLAT:
            raise _NotHereError("the scenario has look-alikes weigh no more than others")
        self._do[LOOKS] = off.flat_looks
        return Mechanism(
            LOOKS,
            "looks",
            "look-alikes",
            "because of who looks like whom",
            "a look-alike is chosen as a target no sooner than any other fish",
        )

    def _sight(self) -> Mechanism:
        tank = self.base.tank
        reach = (tank.length_cm**2 + tank.width_cm**2 + tank.water_cm**2) ** 0.5
        if min(reach, self.base.parameters.get("sight_cm", reach)) <= off.SIGHT_CM:
            raise _NotHereError(f"nobody sees farther than {say_length_cm(off.SIGHT_CM)} as it is")
        self._do[SIGHT] = off.short_sight
        return Mechanism(
            SIGHT,
            "sight",
            "seen from afar",
            "because of being seen from afar",
            f"no fish is seen from farther than {say_length_cm(off.SIGHT_CM)}, as if rock blocked every "
            "longer view; it blocks no way",
        )

    def _ground(self) -> Mechanism:
        if not off.anybody_defends(self.base):
            raise _NotHereError("no fish of this tank defends any ground")
        self._do[GROUND] = off.no_ground
        return Mechanism(
            GROUND,
            "ground",
            "claimed ground",
            "because others claim ground",
            "no fish claims any ground: none has the upper hand anywhere for being at home, none owns a "
            "crevice, and a fish minds others only when they are close to it",
        )

    def _shelter(self) -> Mechanism:
        self._do[SHELTER] = partial(off.own_crevices, drawn=self.crevices)
        return Mechanism(
            SHELTER,
            "shelter",
            "no own crevice",
            "because safe crevices are few",
            "every fish gets a crevice of its own instead of those the rock happens to have: its mouth "
            "just admits that fish, no larger one. About as many in all as before "
            f"({round(self.crevices)} on the average), at least one for each fish, spread over "
            "the tank",
        )

    def _temper(self) -> Mechanism:
        own = self.base.species[self.whom.species]
        others = [kind for key, kind in self.base.species.items() if key != self.whom.species]
        if not others:
            raise _NotHereError("there is one species only")
        if all(_tempers(kind) == _tempers(own) for kind in others):
            raise _NotHereError("the others have the temper of its own kind")
        self._do[TEMPER] = partial(off.one_temper, species=self.whom.species)
        return Mechanism(
            TEMPER,
            "temper",
            "others' temper",
            "because of the others' temper",
            f"males and females of the other species have the temper of those of {self.whom.species}, with "
            "the same range to draw from",
        )

    def _crowding(self) -> Mechanism:
        if len(self.people) < 3:
            raise _NotHereError("of two fish none can be taken out")
        self._do[CROWDING] = partial(stock_off.thinned, gone=self.gone, known=self.known)
        left = len(self.people) - len(self.gone)
        return Mechanism(
            CROWDING,
            "crowding",
            "so many fish",
            "because there are so many fish",
            f"{left} of the {len(self.people)} fish: every second of the stock list is left out, its own "
            "kind too, so that each species and sex is halved alike",
        )

    def _sexes(self) -> Mechanism:
        more = {
            key: stock_off.surplus(self.base, key)
            for key in dict.fromkeys(one.species for one in self.people)
        }
        said = [f"{many(count, 'male')} of {key}" for key, count in more.items() if count]
        if not said:
            raise _NotHereError(
                "no species has a surplus of males: more than one to two females, of those that live in "
                "pairs or groups more than one to one female"
            )
        staying = self.known - self.gone
        self._do[SEXES] = partial(stock_off.balanced, staying=staying, whom=self.whom.labels)
        one = sum(more.values()) == 1
        return Mechanism(
            SEXES,
            "sex ratio",
            "surplus males",
            "because there are too many males",
            f"{' and '.join(said)} {'is' if one else 'are'} replaced by as many females, so that there is "
            "one male to at least two females, of species that live in pairs or groups one to one, as nearly "
            "as their number allows; no fish more or fewer",
        )


def _tempers(kind: Species) -> list[tuple[float, float, float]]:
    traits = kind.traits
    return [(traits[name].value, traits[name].low, traits[name].high) for name in off.TEMPERS]


def base_of(scenario: Scenario) -> Scenario:
    """The tank as it is, without alternatives; whom to watch changes no trial."""
    return stock_off.apart(sim.with_run(replace(scenario, alternatives=()), watch=None))
