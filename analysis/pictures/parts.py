"""What the pictures of one trial are made from: plain arrays, taken from a finished model or made by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...sim.run.ledger import Ledger
from ...sim.scenario.called import typed_names
from ...sim.scenario.scenario import ObjectSpec, TankSpec
from ...sim.species.species import Species
from ...sim.tank.rockwork import Rock
from ...sim.tank.tank import Tank
from ..film.ground import block_sides_cm, held_by, outline

if TYPE_CHECKING:
    from ...sim.run.model import TankModel

Floats = NDArray[np.float64]

_SEX_SIGNS = {"male": "♂", "female": "♀", "unsexed": "u"}


@dataclass(frozen=True)
class TrialParts:
    """One simulated tank; n fish, h measured lit hours."""

    title: str  # of the scenario
    trial: int
    trials: int  # simulated tanks in all
    spec: TankSpec
    tank: Tank
    ledger: Ledger
    label: tuple[str, ...]  # [n] "Tropheus duboisi male 1"
    species: tuple[str, ...]  # [n]
    ground: NDArray[np.bool_]  # [n, x, y, z] blocks that it holds at the end
    rock: Rock | None = None  # None: drawn from the cells of the tank
    objects: tuple[ObjectSpec, ...] = ()
    kinds: Mapping[str, Species] | None = None  # what is known of its species; None: what the library knows
    typed: Mapping[str, str] = field(default_factory=dict)  # common names of species that the keeper typed so
    free_alone: Floats | None = None  # [n] share of lit time swimming free when left alone
    lit_hours: float = 10.0  # in a day
    tick_s: float = 1.0

    def __post_init__(self) -> None:
        n = len(self.ledger.hours)
        for name in ("label", "species", "ground"):
            if len(getattr(self, name)) != n:
                raise ValueError(f"{name} has {len(getattr(self, name))} entries; the ledger has {n} fish")
        if self.free_alone is not None and len(self.free_alone) != n:
            raise ValueError(f"free_alone has {len(self.free_alone)} entries; the ledger has {n} fish")

    def called(self, i: int) -> str:
        """A fish by the name of its species that the keeper typed: "yellow lab male 1"."""
        species = self.species[i]
        return self.typed.get(species, species) + self.label[i].removeprefix(species)

    @property
    def lit_h(self) -> Floats:
        """Measured lit hours in the tank, [n]."""
        return self.hours_of("lit").sum(axis=1)

    @property
    def here(self) -> NDArray[np.int64]:
        """Fish that were in the tank for some of the measured time."""
        return np.flatnonzero(self.lit_h > 0)

    def hours_of(self, what: str) -> Floats:
        """A time budget of the ledger ("lit", "hidden", "free") by measured hour, [n, h] hours."""
        return np.asarray(self.ledger.hours[what] * (self.tick_s / 3600.0))

    def share(self, what: str) -> Floats:
        """Share of lit time, [n]; nan for a fish that was never in."""
        return over(self.hours_of(what).sum(axis=1), self.lit_h)


def parts_of(
    model: TankModel,
    *,
    trial: int,
    trials: int | None = None,
    rock: Rock | None = None,
    free_alone: Floats | None = None,
) -> TrialParts:
    """The parts of a model that has run.

    Parameters
    ----------
    trial : number of the trial, as the reader asked for it.
    trials : how many simulated tanks there are in all; those the scenario asks for when left out.
    rock : the rock the tank was built from; without it the rock is drawn from the cells.
    free_alone : [n] share of lit time swimming free in the same trial left alone, for the worst-off fish.
    """
    scenario = model.scenario
    return TrialParts(
        title=scenario.title,
        trial=trial,
        trials=scenario.run.trials if trials is None else trials,
        spec=scenario.tank,
        tank=model.tank,
        ledger=model.ledger,
        label=tuple(fish.label for fish in model.people),
        species=tuple(fish.species for fish in model.people),
        ground=held_by(model),
        rock=rock,
        objects=scenario.rock.objects,
        kinds=scenario.species,
        typed=typed_names(scenario),
        free_alone=free_alone,
        lit_hours=scenario.lit_hours,
        tick_s=3600.0 / model.hour_ticks,
    )


def over(top: Floats, bottom: Floats) -> Floats:
    """Quotient, nan where the divisor is 0."""
    return np.divide(top, bottom, out=np.full(np.shape(top), np.nan), where=np.asarray(bottom) > 0)


def codes(parts: TrialParts, *, letters: dict[str, str]) -> tuple[str, ...]:
    """A short sign for each fish, [n]: "T♀3" is female 3 of the species with the letter T."""
    return tuple(
        _code(label, species, letters[species])
        for label, species in zip(parts.label, parts.species, strict=True)
    )


def _code(label: str, species: str, letter: str) -> str:
    rest = label.removeprefix(species).split()
    if not rest:
        return letter
    return letter + "".join(_SEX_SIGNS.get(word, word) for word in rest)


def worst_off(parts: TrialParts) -> int | None:
    """The fish that lost the most of its free-swimming time against the same fish left alone.

    Without the left-alone control: the one that swims free for the smallest share of its lit
    time, of equals the one that was chased more. None when nobody lost anything: nobody was chased.
    A fish on its own is the worst off of nobody.
    """
    if len(parts.here) < 2:
        return None
    free = parts.share("free")
    alone = parts.free_alone
    if alone is not None:
        lost = 1.0 - over(free, alone)
        known = np.flatnonzero(np.isfinite(lost))
        worst = max(known, key=lambda i: (lost[i], alone[i] - free[i], -i), default=None)
        return int(worst) if worst is not None and lost[worst] > 0 else None
    chased = parts.ledger.pair["chases"].sum(axis=0)
    if not chased.any():
        return None
    return int(min(parts.here, key=lambda i: (free[i], -chased[i], i)))


def main_place(parts: TrialParts, fish: int) -> tuple[NDArray[np.int32], float]:
    """Cells of the place where a fish was most (15 cm of swimming round one cell), and its share there."""
    visits = parts.ledger.visits[fish]
    tank: Any = parts.tank
    held = np.add.reduceat(visits[tank.ball], tank.ball_start[:-1])
    best = int(held.argmax())
    cells = tank.ball[tank.ball_start[best] : tank.ball_start[best + 1]]
    return cells, float(held[best] / max(visits.sum(), 1))


def territories(parts: TrialParts) -> dict[int, int]:
    """Refuge at the centre of the territory of each owner, fish -> refuge, at the end of the last hour."""
    centre = parts.ledger.hours["centre"][:, -1]
    return {int(i): int(centre[i]) for i in np.flatnonzero(centre >= 0)}


def ground_seen(parts: TrialParts, fish: int, view: View) -> tuple[Floats, Floats]:
    """The blocks that a fish holds as seen in a view: low corners, [k, 2], and border, [s, 2 ends, 2], cm."""
    (behind,) = {0, 1, 2} - {view.across, view.up}
    held = parts.ground[fish].any(axis=behind)
    sides = block_sides_cm(parts.tank, parts.spec)[[view.across, view.up]]
    return np.argwhere(held) * sides, outline(held) * sides


def chase_rates(parts: TrialParts) -> Floats:
    """Chases per lit hour, [n, n] row chases column; nan where the two were never in together.

    Per hour in which both were in the tank: the shorter of their lit times, hour by hour.
    """
    lit = parts.hours_of("lit")
    together = np.minimum(lit[:, None, :], lit[None, :, :]).sum(axis=2)
    return over(parts.ledger.pair["chases"].astype(float), together)


def taken_out(parts: TrialParts) -> NDArray[np.int64]:
    """Fish that were in the tank at first and not in the last measured hour."""
    lit = parts.hours_of("lit")
    return np.flatnonzero((lit.sum(axis=1) > 0) & (lit[:, -1] == 0))


# --- from where one looks -------------------------------------------------------


class View(NamedTuple):
    """The axes of the tank that run across and up the picture."""

    name: str
    across: int
    up: int
    up_label: str


FRONT = View("from the front", 0, 2, "height above the base")
ABOVE = View("from above", 0, 1, "from the front glass")


def extent(parts: TrialParts, view: View) -> tuple[float, float]:
    """Width and height of the tank in a view, cm."""
    sides = (parts.spec.length_cm, parts.spec.width_cm, parts.spec.height_cm)
    return sides[view.across], sides[view.up]


def wet_height(parts: TrialParts, view: View) -> float:
    """How far up the picture the water goes, cm."""
    return parts.spec.water_cm if view is FRONT else extent(parts, view)[1]
