"""What simulating costs in seconds of one core: worked out from fish and lit hours, not timed."""

from __future__ import annotations

from ...sim.fish.population import individuals
from ...sim.scenario.scenario import Scenario

# Rough: one kind of tank (ten fish in 49 L) on one shared server. Its processor time was measured for
# both numbers together and the part of each was judged, so a time here can be wrong by a factor of two,
# and by more on another computer or in a much fuller tank.
FISH_SECONDS = 3.0e6  # fish-seconds that one core simulates in a second
TANK_S = 0.05  # to draw the rock of a tank and to look up its ways and lines of sight


def core_seconds(scenario: Scenario, *, set_ups: int, trials: int, days: float | None = None) -> float:
    """How long one core simulates some set-ups of so many trials, s.

    ``days``: simulated of each set-up; those of the scenario when None.
    """
    days = scenario.last_change_day + scenario.run.days if days is None else days
    lit_s = days * scenario.lit_hours * 3600.0
    a_run = len(individuals(scenario.stock)) * lit_s / FISH_SECONDS
    return trials * (TANK_S + set_ups * a_run)
