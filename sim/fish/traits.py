"""What a fish's state makes of it: here alone traits are worked out from species, sex, size and eggs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from ..species.species import Species


class Derived(NamedTuple):
    """Properties of a fish that follow from its state; units as in :data:`rockshy.sim.fish.shoal.FISH`."""

    adult: bool
    depth_cm: float
    cruise_cm_s: float
    burst_cm_s: float
    temper: float
    timidity: float
    core_cm: float
    company: float
    grazer: float
    capable: bool
    provokes: float


STATE = ("species", "male", "holding", "length_cm", "vigour", "guard")
"""Properties of a fish that the others are derived from."""


def derived(
    kind: Species,
    own: Mapping[str, float],
    p: Any,
    *,
    male: bool,
    holding: bool,
    length_cm: float,
    vigour: float = 1.0,
    guard: float = 1.0,
    warm: float = 1.0,
) -> Derived:
    """What a fish is by its state.

    Parameters
    ----------
    kind, own : its species, and the species' numeric traits as they were drawn.
    p : parameters of the rules.
    male, holding, length_cm : its state; total length.
    vigour : share of its strength that it has, below 1 while it is injured.
    guard : while it holds, how its temper has changed since the eggs were laid.
    warm : factor on speed and temper by the temperature.

    Returns
    -------
    Derived
        Lengths in cm, speeds in cm/s; temper and timidity against a typical fish's.
    """
    adult = length_cm >= own["maturity_cm"]
    standard_cm = own["sl_per_tl"] * length_cm
    temper = own["temper"] * warm * vigour
    temper *= 1.0 if male else own["temper_female"]
    temper *= p.holding_weight * guard if holding else 1.0
    temper *= 1.0 if adult else p.juvenile_weight
    defends = kind.words["defends"].value
    return Derived(
        adult=adult,
        depth_cm=own["depth_ratio"] * length_cm,
        cruise_cm_s=own["cruise_sl_s"] * standard_cm * warm,
        burst_cm_s=own["burst_sl_s"] * standard_cm * vigour,
        temper=temper,
        timidity=own["timidity"] / vigour,
        core_cm=own["radius_cm"] * length_cm / 10.0,
        company=own["company"],
        grazer={0: 1.0, 1: 0.5}.get(kind.words["guild"].value.find("A"), 0.0),
        capable=adult and not holding and defends in ("both", "male" if male else "female"),
        provokes=(p.holding_weight if holding else 1.0) * (1.0 if adult else p.juvenile_weight),
    )
