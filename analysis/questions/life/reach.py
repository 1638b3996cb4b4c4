"""How far a file reaches, and whether that is days or months. Loads no simulator."""

from __future__ import annotations

import math

from ....sim.run.days import TICK_S, lit_days
from ....sim.scenario.scenario import Scenario
from ...document.plain import many

MONTH_D = 365.0 / 12.0
FULL_DAYS = 28.0  # a file that reaches further is lived in blocks by ``run`` too (assumption)
LATEST_D = 2.0  # days before the end that the last change must come


def end_of(scenario: Scenario) -> float:
    """The day that a file reaches: its days after the last arrival, or two after whatever else it dates."""
    dated = (one.day for one in scenario.timeline.events if not one.endless)
    return max([scenario.measured_days[1], *(day + LATEST_D for day in dated)])


def months_in(scenario: Scenario) -> int | None:
    """How many months a file reaches that is lived in blocks; None for a shorter one, second by second."""
    end = end_of(scenario)
    return math.ceil(end / MONTH_D) if end > FULL_DAYS else None


def part_said(scenario: Scenario) -> str:
    """What a question that is asked of days alone is about where a file reaches over months; "" else."""
    months = months_in(scenario)
    if months is None:
        return ""
    first, last = (f"{day:g}" for day in scenario.measured_days)
    return (
        f"Of days {first} to {last} alone, not of the {many(months, 'month')} that the file reaches over: "
        "nothing that is dated later is in it. Ask rockshy run of all of them."
    )


def days_of(scenario: Scenario) -> int:
    """Lit days of the run, begun ones too; as the model lays them out, without running it."""
    run = scenario.run
    days = lit_days(run.lit_hours, scenario.timeline.events, tick_s=TICK_S)
    hours = max(1, int((run.days - run.settle_days) * scenario.lit_hours + 1e-9))
    last = days.after(days.tick_of(scenario.measured_days[0]), hours * round(3600 / TICK_S))
    return -(-last // days.ticks)


def shown_days(scenario: Scenario) -> int:
    """Days that can be looked at: those of the run, or of the life where a file is lived in blocks."""
    months = months_in(scenario)
    return days_of(scenario) if months is None else round(months * MONTH_D)
