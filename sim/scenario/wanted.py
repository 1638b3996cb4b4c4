"""A wish list: which species a keeper likes, within which limits, from which shop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..species.species import Species

Span = tuple[int, int]  # the least and the most


@dataclass(frozen=True)
class Liked:
    """A species that is liked. Numbers are of fish to be added, and hold where it is taken.

    Attributes
    ----------
    males, females : the least and the most.
    fish : the same of both together.
    must : it is taken in any case.
    price : of one fish; None where money does not matter.
    length_cm : total length, low and high; None: drawn.
    typed : the species as the keeper wrote it.
    """

    species: str
    males: Span
    females: Span
    fish: Span
    must: bool = False
    price: float | None = None
    length_cm: tuple[float, float] | None = None
    typed: str = ""


@dataclass(frozen=True)
class ShopTank:
    """A tank to choose from; sides in cm. ``price`` is None where money does not matter."""

    length_cm: float
    width_cm: float
    height_cm: float
    price: float | None = None


@dataclass(frozen=True)
class Wanted:
    """What a keeper would like to have.

    Attributes
    ----------
    liked : at least one.
    kinds : the species of ``liked`` by key.
    fish, species : the least and the most in the tank, those that are in it already counted.
    rock_kg : limestone that can be had; None: the rock stays as it is.
    rock_price : of a kilogram.
    spend : money at most; None: no limit.
    tanks : to choose from; empty: the tank there is.
    """

    liked: tuple[Liked, ...]
    kinds: Mapping[str, Species]
    fish: Span
    species: Span
    rock_kg: float | None = None
    rock_price: float | None = None
    spend: float | None = None
    tanks: tuple[ShopTank, ...] = ()

    @property
    def has_prices(self) -> bool:
        """Whether anything costs money."""
        fish, tanks = (one.price for one in self.liked), (one.price for one in self.tanks)
        prices = (self.rock_price, *fish, *tanks)
        return any(price is not None for price in prices)
