"""Draws that are given instead of drawn ones, such as those that a tally of a tank has narrowed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class GivenDraws:
    """A table of values of what nobody has measured; draw k takes row k, and they come round again.

    Attributes
    ----------
    names : of the numbers: a parameter's own, a trait's after its species, see :func:`name_of`.
    rows : a row a draw, a value a name, in the units of parameters and traits.
    """

    names: tuple[str, ...]
    rows: tuple[tuple[float, ...], ...]

    def at(self, draw: int, species: str = "") -> Mapping[str, float]:
        """The values of one draw by name, of the rules' parameters or of one species' traits."""
        before = name_of("", species)
        row = self.rows[draw % len(self.rows)]
        pairs = zip(self.names, row, strict=True)
        return {name.removeprefix(before): value for name, value in pairs if name.startswith(before)}


def name_of(number: str, species: str = "") -> str:
    """What a number is called in the table: "attack_rate_s", "Tropheus duboisi: temper"."""
    return f"{species}: {number}" if species else number
