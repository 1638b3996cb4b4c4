"""Films for a page: which tank, beside what, why, and what is refused."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from film_examples import MILD, NASTY, two_kinds
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.film.making import BASE, Wish, make_film
from rockshy.analysis.page.work.filming import FIRST, MIDDLE, film_of
from rockshy.analysis.questions.answer.telling import tanks_of, telling_of
from rockshy.sim.run.model import HaltedError
from rockshy.sim.run.table import Trials
from rockshy.sim.run.trials import run_trials
from rockshy.sim.scenario.scenario import Alternative, Scenario

MINUTES = 1.0


@cache
def scenario() -> Scenario:
    """The staged tank with two copies: no rock, and a name made to do harm."""
    base = replace(two_kinds(), alternatives=())
    bare = replace(base, rock=replace(base.rock, cover=0.0, height_cm=0.0, piles=1))
    copies = (Alternative("no rock", (), bare), Alternative(NASTY, (), base))
    return replace(base, alternatives=copies)


@cache
def tables() -> dict[int, Trials]:
    """Five of the twenty trials of the base, and of the bare copy."""
    base = scenario()
    return {0: run_trials(base, trials=5), 1: run_trials(base.alternatives[0].scenario, trials=3)}


def kept() -> dict[str, Any]:
    telling = {which: {"middle": telling_of(tanks_of(one)).middle} for which, one in tables().items()}
    return {"tables": tables(), "telling": telling}


def filmed(**how: Any) -> tuple[dict[str, Any], dict[str, Any], str]:
    """The data inside the page of a film, what is told of it, and the page."""
    document, told = film_of(scenario(), **{"minutes": MINUTES, "kept": {}, **how})
    found = re.search(r'id="film-data">(.*?)</script>', document, re.DOTALL)
    assert found is not None
    return json.loads(found[1]), told, document


def test_the_trial_asked_for_is_shown_as_the_command_shows_it() -> None:
    data, told, _ = filmed(trial=3, halted=lambda: False)
    plain = json.loads(json.dumps(make_film(scenario(), Wish(trial=3, minutes=MINUTES))))
    assert data == {**plain, "answer": [], "file": None}
    assert told == {"trial": 3, "why": data["why"]}
    assert [one["name"] for one in data["tanks"]] == [BASE]
    assert data["of"] == 20


def test_of_what_was_not_tried_the_first_is_shown_or_the_one_that_is_known_as_the_middle() -> None:
    for known, trial, said in (({}, 0, FIRST), ({"telling": {0: {"middle": 7}}}, 7, MIDDLE)):
        data, told, _ = filmed(kept=known)
        assert data["trial"] == told["trial"] == trial
        assert told["why"][1] == said


@pytest.mark.parametrize("which", [0, 1])
def test_a_middling_one_of_those_tried_is_shown_and_it_is_said_how_it_fared(which: int) -> None:
    data, told, _ = filmed(which=which, kept=kept())
    trials = tables()[which]
    tanks = {one.trial: one for one in tanks_of(trials)}
    middle = sorted(tanks.values(), key=lambda one: one.free)[trials.done // 2]
    assert tanks[told["trial"]].free == middle.free
    assert data["trial"] == told["trial"]
    free = f"{round(100 * middle.free)} %"
    assert told["why"][1].startswith(
        f"In it {MILD} swam free {free} of the lit time, about average for {trials.done} simulated tanks; "
    )
    assert data["tanks"][0]["name"] == (BASE, "no rock")[which]


def test_any_tank_that_was_tried_is_told_of() -> None:
    tanks = tanks_of(tables()[0])
    worst = telling_of(tanks).worst
    _, told, _ = filmed(trial=worst, kept=kept())
    assert "the least of 5 simulated tanks" in told["why"][1]
    _, told, _ = filmed(trial=19, kept=kept())
    assert not any("In it" in text for text in told["why"])


def test_two_tanks_in_step() -> None:
    data, told, _ = filmed(trial=2, beside=1)
    assert [one["name"] for one in data["tanks"]] == [BASE, "no rock"]
    one, other = ([fish["label"] for fish in tank["fish"]] for tank in data["tanks"])
    assert one == other
    assert any("on the same clock" in text and "no rock" in text for text in told["why"])
    data, _, _ = filmed(trial=2, which=1, beside=0)
    assert [one["name"] for one in data["tanks"]] == ["no rock", BASE]


def test_a_tank_of_a_sweep_has_the_guess_it_had_there() -> None:
    """A sweep draws a guess for each tank; elsewhere tank 17 has the guess of tank 1."""
    base = replace(scenario(), run=replace(scenario().run, fixed=False, guesses=16))
    run = replace(base.run, guesses=30, trials=30)
    data, _, _ = filmed(trial=17, change=("no rock", base.alternatives[0].scenario), kept={"run": run})
    there = make_film(replace(base, run=run), Wish(trial=17, minutes=MINUTES))
    elsewhere = make_film(base, Wish(trial=17, minutes=MINUTES))
    assert [one["name"] for one in data["tanks"]] == [BASE, "no rock"]
    ways = [film["tanks"][0]["ways"] for film in (data, there, elsewhere)]
    assert ways[0] == ways[1] != ways[2]


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ({"trial": 20}, "trial is 21; use a whole number from 1 to 20"),
        ({"which": 3}, "which is 3; use a whole number from 0 (the tank as it is) to 2 (its last"),
        ({"beside": 3}, "beside is 3; use a whole number from 0"),
        ({"beside": 0}, "beside is 0, the tank that is shown already; use another one, or null"),
        ({"beside": 1, "change": ("x", None)}, "both beside and change are given; use one of them"),
        ({"change": ("chief out", None)}, "chief out: that is a different fish in each simulated tank"),
        ({"minutes": 0.1}, "minutes is 0.1; use 0.5 to 60"),
    ],
)
def test_what_cannot_be_shown_is_refused(how: dict[str, Any], said: str) -> None:
    with pytest.raises(RefusedError) as refused:
        film_of(scenario(), kept={}, **how)
    assert str(refused.value).startswith(said)
    assert "--" not in str(refused.value)


def test_a_film_that_nobody_waits_for_is_given_up() -> None:
    asked: Iterator[bool] = iter([False, False])
    with pytest.raises(HaltedError):
        film_of(scenario(), trial=0, kept={}, halted=lambda: next(asked, True))
