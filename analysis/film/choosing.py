"""Which trial, which minutes and which fish a film shows when nobody says, and why, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...sim.run.days import TICK_S
from ...sim.run.ledger import CHASE
from ...sim.run.set_ups import watched
from ...sim.run.table import AS_STOCKED
from ...sim.run.trials import Job, each_job
from ...sim.scenario.clock import lights_on_s, say_time
from ...sim.scenario.scenario import Scenario
from .recording import WholeRun

_STEP_S = 600  # windows begin at whole tens of minutes


class Typical(NamedTuple):
    """The simulated tank in which the watched species was chased a middling number of times."""

    trial: int
    chases: int  # received by the watched species in the measured time
    done: int  # simulated tanks looked at
    least: int
    most: int


class Window(NamedTuple):
    """Minutes of a run."""

    start: int  # lit tick from the first morning
    ticks: int
    why: str


def typical_trial(
    scenario: Scenario,
    *,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Typical:
    """Run every trial as stocked and take the one in the middle by chases on the watched species.

    Ctrl-C ends it early: of those done so far, at least one.
    """
    species, asked = watched(scenario)[0], scenario.run.trials
    jobs = (Job(0, trial, (AS_STOCKED,)) for trial in range(asked))
    found: dict[int, int] = {}
    try:
        for job, (outcome,) in each_job([scenario], jobs, executor=executor):
            mine = np.array([one.species == species for one in outcome.people])
            found[job.trial] = int(outcome.columns["chases"][:, mine].sum())
            if progress is not None:
                progress(len(found), asked)
    except KeyboardInterrupt:
        if not found:
            raise
    return middle_of(found)


def middle_of(chases: dict[int, int]) -> Typical:
    """The trial in the middle of these, trial -> chases; of equals the one with the lower number."""
    order = sorted(chases, key=lambda trial: (chases[trial], trial))
    trial = order[(len(order) - 1) // 2]
    return Typical(trial, chases[trial], len(order), chases[order[0]], chases[order[-1]])


def why_typical(typical: Typical, species: str) -> str:
    """Why this tank is shown."""
    if typical.done == 1:
        return "There is one simulated tank."
    return (
        f"It is a typical one of {typical.done} simulated tanks: {species} was chased {typical.chases:,} "
        f"times in it, which is the middle of all (the fewest were {typical.least:,}, the most "
        f"{typical.most:,})."
    )


def busiest_window(run: WholeRun, *, watch: str, minutes: float, day: int | None = None) -> Window:
    """The minutes of the measured time in which the watched species was chased most often.

    Parameters
    ----------
    minutes : length of the window; it lies within one lit day and begins at a whole ten minutes of it.
    day : look at this day alone, measured or not; the first is 1.

    Raises
    ------
    ValueError
        When no such window fits.
    """
    ticks = round(minutes * 60 / TICK_S)
    low, high = run.measured_from, run.last_tick
    if day is not None:
        low, high = (day - 1) * run.lit_ticks, min(day * run.lit_ticks, run.last_tick)
    starts = starts_of(run, low=low, high=high, ticks=ticks)
    counts = chases_in(run, watch, starts, ticks)
    if not len(starts):
        raise ValueError("no window of that length fits")
    best = int(counts.argmax())
    return Window(int(starts[best]), ticks, _why(watch, counts, minutes))


def starts_of(run: WholeRun, *, low: int, high: int, ticks: int) -> NDArray[np.int64]:
    """First ticks of the windows that lie within a span and within a day."""
    step = round(_STEP_S / TICK_S)
    starts = np.arange(-(-low // step) * step, high - ticks + 1, step)
    if not len(starts) and high - low >= ticks:
        starts = np.array([low])
    ends = run.lit_ticks if run.nightfall is None else run.nightfall
    return starts[starts % run.lit_ticks + ticks <= ends]


def chases_in(run: WholeRun, watch: str, starts: NDArray[np.int64], ticks: int) -> NDArray[np.int64]:
    """Chases that the watched species received in each window."""
    mine = np.array([species == watch for species in run.species])
    when = np.sort(run.events[(run.events[:, 1] == CHASE) & mine[run.events[:, 3]], 0])
    return np.searchsorted(when, starts + ticks) - np.searchsorted(when, starts)


def _why(watch: str, counts: NDArray[np.int64], minutes: float) -> str:
    middle, most = int(np.sort(counts)[(len(counts) - 1) // 2]), int(counts.max())
    if most == 0:
        return f"Nobody chased {watch} in all that could be shown, so these are the first minutes of it."
    return (
        f"The {minutes:g} minutes are those in which {watch} was chased most often, {most} times; "
        f"in an average {minutes:g} minutes of this tank it was {middle}. So this is a busy time, not a "
        "usual one."
    )


def fish_to_follow(run: WholeRun, *, watch: str, among: Iterable[str] | None = None) -> tuple[int, str]:
    """The fish of the watched species that swam free least in the measured time, and why it is that one."""
    allowed = set(run.label if among is None else among)
    mine = [i for i, species in enumerate(run.species) if species == watch and run.label[i] in allowed]
    known = [i for i in mine if np.isfinite(run.free_share[i])]
    if not known:
        return (mine or [0])[0], ""
    worst = min(known, key=lambda i: (run.free_share[i], -run.chased[i], i))
    return worst, (
        f"The fish followed at first is {run.label[worst]}: of its kind it swam free least, "
        f"{100 * run.free_share[worst]:.0f} % of the measured time."
    )


def clock_of(start: int, *, lit_ticks: int, lit_hours: float) -> tuple[int, float]:
    """Day (the first is 1) and seconds after midnight of a lit tick."""
    tick_s = lit_hours * 3600.0 / lit_ticks
    return start // lit_ticks + 1, lights_on_s(lit_hours) + (start % lit_ticks) * tick_s


def say_window(start: int, ticks: int, *, lit_ticks: int, lit_hours: float) -> str:
    """Such as "day 2, 09:00 to 09:30"."""
    day, begin = clock_of(start, lit_ticks=lit_ticks, lit_hours=lit_hours)
    end = begin + ticks * lit_hours * 3600.0 / lit_ticks
    return f"day {day}, {say_time(begin)} to {say_time(end)}"
