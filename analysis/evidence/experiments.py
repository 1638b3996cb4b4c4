"""Which experiment answers which registered pattern."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from ...sim.species.species import library
from . import contests, crowds, found, groups, lives, places
from .lab import Lab
from .verdict import Finding

Experiment = Callable[[Lab, int], dict[str, Finding]]

ORDER = ("Maylandia aurora", "Maylandia benetos", "Maylandia zebra", "Maylandia callainos")


def tempers(lab: Lab, trials: int) -> dict[str, Finding]:
    """P15: an ordering in the library; nothing is run and there is no interval."""
    known = library()
    steps = -np.diff([known[name].traits["temper"].value for name in ORDER])
    least = float(steps.min())
    return {"ordering": Finding(least, least, least, len(steps)).counting(steps <= 0)}


EXPERIMENTS: Mapping[str, Experiment] = {
    "P1": groups.linearity,
    "P2": groups.consistency,
    "P4": groups.formed_twice,
    "P5": contests.size_and_residence,
    "P6": groups.effects,
    "P7": places.structure,
    "P8a": contests.bare_pairs,
    "P8b": contests.enriched_pairs,
    "P8c": contests.residents_win,
    "P9": groups.strangers,
    "P10a": places.intruders,
    "P10b": places.shrinking,
    "P11": places.own_kind_farther,
    "P12a": places.flight,
    "P12b": places.hiding,
    "P13": places.few_sites,
    "P14": contests.look_alikes,
    "P15": tempers,
    "F1": found.sizes,
    "F3": found.tanks_and_numbers,
    "F6": found.removals,
    "F8": found.stability,
    "F11": found.between_species,
    "F17": found.sex_ratio,
    "F18": found.harem,
    "N1": groups.shares,
    "N2": groups.evenly_downward,
    "N3a": contests.time_to_settle,
    "N3b": contests.time_away,
    "N4": places.crowded,
    "N5": places.farther_cover,
    "N6": crowds.on_another_species,
    "N7": crowds.competitors,
    "N8": contests.displays_by_size,
    "N9": crowds.forming,
    "N10": crowds.more_fish,
    "N11": crowds.two_males,
    "L1": lives.months,
    "L3": lives.vacated,
    "L4": lives.usurpers,
    "L5": lives.returned_to,
    "L6": lives.days_apart,
}
