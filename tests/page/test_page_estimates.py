"""Estimates that a page asks for: nothing before there are tanks, behind real runs, and refused in words."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np
import pytest
from fake_page import PAGE, Patient, draft, wait_for
from rockshy.analysis.page.serving import estimating
from rockshy.analysis.page.serving.answers import Desk, estimate
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.read import scenario_of
from rockshy.analysis.questions.estimate import training
from rockshy.sim.run import trials as simulator
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.trials import Outcome
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.stock import individuals

TANK = draft(days=2, settle=1)
MORE = Draft(TANK.text.replace("females = 2", "females = 4"), TANK.name)
OTHER = Draft(TANK.text.replace("Tropheus moorii", "Tropheus duboisi"), TANK.name)


def made_up(scenario: Scenario, trial: int, *, arms: Sequence[str], **_: Any) -> tuple[Outcome, ...]:
    """Fish that keep less the more there are of them."""
    people = tuple(individuals(scenario.stock))
    lit = np.full(len(people), 36_000.0)
    luck = np.random.default_rng(trial).normal(size=len(people)) * 0.02
    kept = np.clip(0.9 - 0.05 * len(people) + luck, 0.0, 1.0)
    return tuple(
        Outcome(name, trial, draw_of(scenario, trial), people, {"lit_s": lit, "free_s": lit * share})
        for name, share in zip(arms, (kept, 1.0), strict=False)
    )


@pytest.fixture
def desk(monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    monkeypatch.setattr(simulator, "run_trial", made_up)
    monkeypatch.setattr(training, "LEAST", 32)
    monkeypatch.setattr(training, "MOST", 48)
    monkeypatch.setattr(estimating, "REST_S", 0.01)
    one = Desk(TANK)
    yield one
    one.jobs.close()


def asked(desk: Desk, one: Draft, was: Draft | None = None, which: int = 0) -> dict[str, Any]:
    told = {"draft": asdict(one), "which": which, "was": None if was is None else asdict(was)}
    return estimate(desk, PAGE, told)


def until(there: Callable[[], bool]) -> None:
    patience = threading.Event()
    for _ in range(6000):
        if there():
            return
        patience.wait(0.02)
    raise AssertionError("it does not come")


def test_an_estimate_comes_once_enough_tanks_were_run(desk: Desk) -> None:
    first = asked(desk, TANK)
    assert first["estimate"] is None and "after 32 tanks" in first["why"]
    until(lambda: asked(desk, TANK)["estimate"] is not None)
    until(lambda: asked(desk, TANK)["tanks"] == 48)
    told = asked(desk, MORE, TANK)
    found = told["estimate"]
    assert told["why"] == "" and 0.4 < found["low"] <= found["kept"] <= found["high"] < 0.9
    assert found["difference"]["sign"] == -1 and found["difference"]["high"] < 0
    assert "perhaps" in found["said"][0] and found["said"][1].startswith("Worse than before")
    assert {one["who"] for one in found["groups"]} >= {"Tropheus moorii females"}
    began = time.process_time()
    asked(desk, MORE, TANK)
    assert time.process_time() - began < 1.0  # no tank is run for an answer


def test_with_sliders_it_says_what_each_does(desk: Desk) -> None:
    until(lambda: asked(desk, TANK)["estimate"] is not None)
    assert "amounts" not in asked(desk, TANK)
    told = estimate(desk, PAGE, {"draft": asdict(TANK), "which": 0, "was": None, "amounts": True})
    females = next(one for one in told["amounts"] if one["field"] == "females")
    assert females["rows"] == [0] and females["low"] <= females["now"] == 2 <= females["high"]
    kept = [one["kept"] for one in females["amounts"]]
    assert kept[0] > kept[-1] and females["said"].endswith(".")
    assert {"rock.cover", "tank.length"} <= {one["field"] for one in told["amounts"]}


def test_another_set_of_species_is_learnt_by_itself(desk: Desk) -> None:
    until(lambda: asked(desk, TANK)["estimate"] is not None)
    assert asked(desk, OTHER)["estimate"] is None
    assert asked(desk, TANK)["estimate"] is not None
    far = Draft(TANK.text.replace("females = 2", "females = 60"), TANK.name)
    assert "females is 60; use 0 to 6" in asked(desk, far, TANK)["why"]
    with pytest.raises(ValueError, match="lenght"):
        asked(desk, Draft(TANK.text.replace("length", "lenght", 1), TANK.name))


def test_it_gives_way_to_what_a_page_tries(desk: Desk) -> None:
    work = Patient()
    job = desk.jobs.start(PAGE, work=work, draft=TANK, scenario=scenario_of(TANK), what={"kind": "patient"})
    wait_for(job, lambda: job.version > 1)
    for _ in range(20):
        assert asked(desk, TANK)["tanks"] == 0
        time.sleep(0.01)
    work.let_go()
    until(lambda: asked(desk, TANK)["tanks"] > 0)


def test_nothing_is_run_when_nobody_asks(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(estimating, "SEEN_S", 0.0)
    asked(desk, TANK)
    thread = desk.estimates._thread
    assert thread is not None
    thread.join(20)
    assert not thread.is_alive() and asked(desk, TANK)["tanks"] == 0
