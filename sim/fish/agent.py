"""Fish: a fish as seen from Python, a view of its place in the arrays of the shoal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import mesa

from .population import Individual
from .shoal import DOING, FISH

if TYPE_CHECKING:
    from ..run.model import TankModel


class Fish(mesa.Agent):
    """One fish of a :class:`rockshy.sim.run.model.TankModel`, as Mesa knows it.

    Every property of :class:`rockshy.sim.fish.shoal.Shoal` that has one value a fish can be read
    and set on it (``fish.fright``, ``fish.length_cm``, ...), units as declared there; what it is doing and
    its species are words.

    Attributes
    ----------
    label, species, doing : words.
    place_cm : where it is, cm.
    fright, hunger, length_cm, ... : its properties; help of this class says each, and its unit is in
        :data:`rockshy.sim.fish.shoal.FISH`.

    Source
    ------
    The model's state, sim/MODEL.md.
    """

    model: TankModel

    def __init__(self, model: TankModel, identity: Individual, index: int) -> None:
        super().__init__(model)
        self.identity = identity
        self.index = index

    @property
    def label(self) -> str:
        """Species, sex as stocked, and number: the same in every trial and set-up."""
        return self.identity.label

    @property
    def species(self) -> str:
        """Name of its species, as in the stock list."""
        return self.identity.species

    @property
    def doing(self) -> str:
        """What it is doing, in a word of :data:`rockshy.sim.fish.shoal.DOING`; it can be set to another."""
        return DOING[int(self.model.shoal.fish.doing[self.index])]

    @doing.setter
    def doing(self, word: str) -> None:
        if word not in DOING:
            raise ValueError(f"a fish is never {word!r}; it is one of: {', '.join(DOING)}")
        self.model.shoal.fish.doing[self.index] = DOING.index(word)

    @property
    def place_cm(self) -> tuple[float, float, float]:
        """Where it is: from the left, from the front glass, above the floor, cm."""
        tank = self.model.tank
        x, y, z = (float(v + 0.5) * tank.edge_cm for v in tank.xyz[self.model.shoal.fish.cell[self.index]])
        return x, y, z

    def take_out(self) -> None:
        """Take the fish out of the tank; its place in the arrays stays, marked out."""
        self.model.take_out(self)

    def __repr__(self) -> str:
        return f"<Fish {self.label}: {self.doing}>"


def _view(name: str) -> property:
    def read(self: Fish) -> Any:
        return self.model.shoal.fish[name][self.index].item()

    def write(self: Fish, value: Any) -> None:
        self.model.shoal.fish[name][self.index] = value

    return property(read, write, doc=FISH[name].meaning)


for _name in FISH.keys() - {"species", "doing"}:
    setattr(Fish, _name, _view(_name))
