"""Made-up outcomes of jobs, a function of seed and trial alone, and folders with such jobs in them."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor, Future
from pathlib import Path

import numpy as np
import pytest
from fake_trials import MILD
from rockshy.analysis.study.kept import Kept
from rockshy.analysis.study.recipe import recipe_of
from rockshy.sim.fish.population import individuals
from rockshy.sim.run import trials as simulator
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.scenario import Scenario
from staging import ROCKY, kind, row, scene

FISH, HOURS = 3, 2


def scenario(*, trials: int = 6, **run: object) -> Scenario:
    """Three fish; never simulated here."""
    settings = {"trials": trials, "fixed": False, "guesses": 3, **run}
    rows = (row(MILD, males=1, females=2, holding=1),)
    return scene(*rows, kinds=(kind(MILD),), rock=ROCKY, **settings)


def made_up(asked: Scenario, trial: int, *, arms: Sequence[str] | None = None) -> tuple[Outcome, ...]:
    """Instead of ``run_trial``: every column of an outcome, with awkward numbers among them."""
    people = tuple(individuals(asked.stock))
    names = (AS_STOCKED, LEFT_ALONE) if arms is None else arms
    return tuple(
        Outcome(name, trial, draw_of(asked, trial), people, _columns(asked.run.seed, trial, k))
        for k, name in enumerate(names)
    )


def _columns(*seed: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    by_fish = ("length_cm", "lit_s", "hidden_s", "free_s", "meals", "meals_missed", "food")
    by_hour = ("hour_share", "hour_outside_s", "hour_owner_s", "hour_hidden_s", "hour_lit_s")
    columns: dict[str, np.ndarray] = {
        "sex": np.array([0, 1, 1], np.int8),
        "adult": np.array([True, True, False]),
    }
    columns |= {name: rng.uniform(0.0, 3600.0, FISH) for name in by_fish}
    columns |= {name: rng.poisson(2.0, (FISH, FISH)) for name in ("chases", "bites", "displays", "wins")}
    columns |= {name: rng.uniform(0.0, 1.0, (FISH, HOURS)) for name in by_hour}
    columns["hour_chased"] = rng.poisson(2.0, (FISH, HOURS))
    columns["food"][:2] = np.nan, -0.0
    columns["hour_share"][0, 0] = np.nextafter(0.3, 1.0)
    return columns


def simulated_as(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Put made-up outcomes instead of the simulator; the list fills with the trials run, in turn."""
    numbers: list[int] = []

    def run_trial(
        asked: Scenario, trial: int, *, arms: Sequence[str] | None = None, **_: object
    ) -> tuple[Outcome, ...]:
        numbers.append(trial)
        return made_up(asked, trial, arms=arms)

    monkeypatch.setattr(simulator, "run_trial", run_trial)
    return numbers


class AtOnce(Executor):
    """Runs every job when it is handed in."""

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        future.set_result(fn(*args, **kwargs))
        return future


def opened(folder: Path, asked: Scenario | None = None, command: str = "run") -> Kept:
    return Kept(folder / "out", recipe=recipe_of(command, asked or scenario()))


def fill(folder: Path, *, trials: int, asked: Scenario | None = None) -> None:
    whole = asked or scenario()
    with opened(folder, whole) as kept:
        kept.hold_to(0, whole)
        for trial in range(trials):
            kept.add(Job(0, trial), made_up(whole, trial))


def assert_same(one: tuple[Outcome, ...] | None, two: tuple[Outcome, ...]) -> None:
    assert one is not None
    for a, b in zip(one, two, strict=True):
        assert (a.name, a.trial, a.draw, a.people) == (b.name, b.trial, b.draw, b.people)
        assert list(a.columns) == list(b.columns)
        for name, column in a.columns.items():
            other = b.columns[name]
            assert (column.dtype, column.shape) == (other.dtype, other.shape), name
            assert column.tobytes() == other.tobytes(), name
            assert column.flags.writeable
