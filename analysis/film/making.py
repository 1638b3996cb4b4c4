"""From a scenario and a wish to a film: what nobody said is chosen here and told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Any

from ...sim.run.days import TICK_S, clock_hours, lit_days
from ...sim.run.life import MOST_DAYS
from ...sim.run.set_ups import watched
from ...sim.run.trials import model_of_trial
from ...sim.scenario.clock import lights_on_s, say_time
from ...sim.scenario.scenario import Scenario
from ..document.plain import tank_name
from ..questions.life.reach import days_of, months_in, shown_days
from . import choosing
from .choosing import Window, busiest_window, fish_to_follow, say_window
from .data import FilmTexts, film_data
from .recording import Halted, Recording, WholeRun, WindowError, record, whole_run

BASE = "the tank as it is"
SPEED = 10.0  # times as fast as the tank: assumption, what a room can follow
MINUTES = 30.0
MINUTES_MOST = 120.0
MINUTES_LEAST = 0.5
_SETTLING = "It lies before measuring begins: the fish are still settling."
CAUTION = (
    "These are fish of a model, not yours. It is one simulated tank; the others turn out otherwise. Where "
    "one of your fish does not eat, hangs in a corner or at the surface, has torn fins or breathes fast, "
    "take it out first and test the water; the same signs come from bad water."
)


class WishError(ValueError):
    """What was wished for cannot be shown; the message says what was found and what is allowed."""


@dataclass(frozen=True)
class Wish:
    """What a film is to show; None is chosen."""

    trial: int | None = None
    name: str = BASE  # of the first tank
    alternative: tuple[str, Scenario] | None = None  # beside the base, on the same clock
    from_s: int | None = None  # seconds after midnight
    minutes: float = MINUTES
    day: int | None = None  # the first is 1
    speed: float | None = None
    follow: str | None = None  # label of a fish


def make_film(
    scenario: Scenario,
    wish: Wish | None = None,
    *,
    trial_counts: dict[int, int] | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    halted: Halted | None = None,
) -> dict[str, Any]:
    """The film of a scenario.

    Parameters
    ----------
    wish : what to show.
    trial_counts : trial -> chases on the watched species, where they are known already; without them and
        without a trial in the wish, every trial is run to find a typical one.
    executor, progress : for that; see :func:`rockshy.sim.run.trials.each_job`.
    halted : once it says yes, the film is given up; see :func:`rockshy.analysis.film.recording.record`.

    Returns
    -------
    Plain values; see :mod:`rockshy.analysis.film.data`. "lookedAt" is how many trials were looked at to
    find a typical one, fewer than there are after Ctrl-C; 0 when none was looked for.

    Raises
    ------
    WishError
        When the run has no such minutes, trial or fish.
    HaltedError
        When ``halted`` said yes.
    """
    wish = wish or Wish()
    check_wish(scenario, wish)
    day = shown_days(scenario) if wish.day is None else wish.day
    if day > days_of(scenario) or months_in(scenario) is not None:
        return _of_life(scenario, wish, day, halted)
    watch, why = watched(scenario)[0], []
    trial, looked_at = wish.trial, 0
    if trial is None:
        if trial_counts:
            found = choosing.middle_of(trial_counts)
        else:
            found = choosing.typical_trial(scenario, executor=executor, progress=progress)
        trial, looked_at = found.trial, found.done
        why.append(choosing.why_typical(found, watch))
    run = whole_run(scenario, trial=trial)
    window = _window(run, scenario, wish, watch)
    follow, said = wish.follow, ""
    if follow is None:
        i, said = fish_to_follow(run, watch=watch)
        follow = run.label[i] if run.label else ""
    lit: dict[str, Any] = {"lit_ticks": run.lit_ticks, "lit_hours": _clock_hours(scenario)}
    why = [
        f"Shown is {tank_name(trial)}, {say_window(window.start, window.ticks, **lit)}.",
        *why,
        _SETTLING if window.start < run.measured_from else "",
        window.why,
        said,
        CAUTION,
    ]
    shown = [(wish.name, _recorded(scenario, trial, window.start, window.ticks, halted))]
    if wish.alternative is not None:
        name, other = wish.alternative
        start = _same_clock(other, trial, window.start, run)
        shown.append((name, _recorded(other, trial, start, window.ticks, halted)))
        beside = "Beside it, on the same clock and with the same fish as far as they are in both"
        why.insert(1, f"{beside}: {name}.")
    return {**film_data(shown, _texts(scenario, wish, why, follow)), "lookedAt": looked_at}


def _texts(scenario: Scenario, wish: Wish, why: Sequence[str], follow: str) -> FilmTexts:
    return FilmTexts(
        title=scenario.title,
        question=scenario.question,
        why=tuple(text for text in why if text),
        of=scenario.run.trials,
        follow=follow,
        speed=SPEED if wish.speed is None else wish.speed,
    )


def _of_life(scenario: Scenario, wish: Wish, day: int, halted: Halted | None) -> dict[str, Any]:
    """The film of a day beyond those of a short run: the fish get there as in a life, in blocks of days."""
    trial, ticks = wish.trial or 0, round(wish.minutes * 60 / TICK_S)
    days = lit_days(scenario.run.lit_hours, scenario.timeline.events, tick_s=TICK_S)
    lit = days.lit(day - 1)
    into = max(0, lit - ticks) // 2
    if wish.from_s is not None:
        into = round((wish.from_s - lights_on_s(_clock_hours(scenario))) / TICK_S)
    if into + ticks > lit:
        raise WishError(
            f"--minutes is {wish.minutes:g}; use fewer, day {day} has {lit * TICK_S / 3600:g} lit hours"
        )
    start = days.dawn(day - 1) + into
    shown = []
    for name, one in ((wish.name, scenario), *([wish.alternative] if wish.alternative else [])):
        if _clock_hours(one) != _clock_hours(scenario):
            raise WishError("--alternative: its lit day is not as long as that of the tank; use one that is")
        try:
            shown.append(
                (name, record(one, trial=trial, start=start, ticks=ticks, lived=True, halted=halted))
            )
        except WindowError as problem:
            raise WishError(f"--from: {problem}") from problem
    first = shown[0][1]
    watch = watched(scenario)[0]
    there = [label for label, its in zip(first.label, first.species, strict=True) if its == watch]
    lit_day: dict[str, Any] = {"lit_ticks": days.ticks, "lit_hours": _clock_hours(scenario)}
    why = (
        f"Shown is {tank_name(trial)}, {say_window(start, ticks, **lit_day)}.",
        "The fish lived up to that day in blocks of days, as rockshy life has it, and grew meanwhile.",
        f"Beside it, on the same clock and with the same luck: {wish.alternative[0]}."
        if wish.alternative
        else "",
        CAUTION,
    )
    return {**film_data(shown, _texts(scenario, wish, why, wish.follow or there[0])), "lookedAt": 0}


def check_wish(scenario: Scenario, wish: Wish) -> None:
    """What can be refused before anything runs.

    Raises
    ------
    WishError
    """
    run = scenario.run
    if wish.trial is not None and not 0 <= wish.trial < run.trials:
        raise WishError(f"--trial is {wish.trial + 1}; use a whole number from 1 to {run.trials}")
    most = min(MINUTES_MOST, 60.0 * scenario.lit_hours)
    if not MINUTES_LEAST <= wish.minutes <= most:
        raise WishError(f"--minutes is {wish.minutes:g}; use {MINUTES_LEAST:g} to {most:g}")
    lit = lights_on_s(_clock_hours(scenario))
    dark = lit + round(3600 * scenario.lit_hours)
    lit_day = f"the lit day, {say_time(lit)} to {say_time(dark)}"
    if wish.from_s is not None:
        if not lit <= wish.from_s < dark:
            raise WishError(f"--from is {say_time(wish.from_s)}; use a time within {lit_day}")
        left = (dark - wish.from_s) / 60.0
        if wish.minutes > left + 1e-9:
            raise WishError(
                f"--minutes is {wish.minutes:g} from {say_time(wish.from_s)}; use at most {left:g}, as "
                f"{lit_day}, is over then"
            )
    if wish.day is not None:
        if not 1 <= wish.day <= MOST_DAYS:
            raise WishError(f"--day is {wish.day}; use 1 to {MOST_DAYS}")


def _clock_hours(scenario: Scenario) -> float:
    return clock_hours(scenario.run.lit_hours, scenario.timeline.events)


def _window(run: WholeRun, scenario: Scenario, wish: Wish, watch: str) -> Window:
    ticks = round(wish.minutes * 60 / TICK_S)
    if wish.from_s is None:
        try:
            return busiest_window(run, watch=watch, minutes=wish.minutes, day=wish.day)
        except ValueError as problem:
            raise WishError(
                f"--minutes is {wish.minutes:g}; use no more than the run has of that lit day"
            ) from problem
    day = wish.day if wish.day is not None else (run.last_tick - 1) // run.lit_ticks + 1
    into = round((wish.from_s - lights_on_s(_clock_hours(scenario))) / TICK_S)
    start = (day - 1) * run.lit_ticks + into
    if start + ticks > run.last_tick and wish.day is None and day > 1:
        start -= run.lit_ticks  # the last day is not a whole one
    if start + ticks > run.last_tick:
        end = say_window(run.last_tick - 1, 0, lit_ticks=run.lit_ticks, lit_hours=_clock_hours(scenario))
        raise WishError(
            f"--from is {say_time(wish.from_s)} on day {day} for {wish.minutes:g} minutes; use minutes "
            f"before the end of the run on {end.rpartition(' to ')[0]}"
        )
    return Window(start, ticks, "")


def _recorded(scenario: Scenario, trial: int, start: int, ticks: int, halted: Halted | None) -> Recording:
    try:
        return record(scenario, trial=trial, start=start, ticks=ticks, halted=halted)
    except WindowError as problem:
        raise WishError(f"--from: {problem}") from problem


def _same_clock(other: Scenario, trial: int, start: int, run: WholeRun) -> int:
    """The same time of day in another run, as many days after measuring began as in the base."""
    with model_of_trial(other, trial) as model:
        measured, last, lit = model.measured_from, model.last_tick, model.lit_ticks
    if lit != run.lit_ticks:
        raise WishError("--alternative: its lit day is not as long as that of the tank; use one that is")
    found = start + round((measured - run.measured_from) / lit) * lit
    return found if found < last else start
