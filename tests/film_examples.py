"""Small films for the tests: a staged tank, recorded for a minute or two, with names of any kind."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from rockshy.analysis.film.data import FilmTexts, film_data
from rockshy.analysis.film.recording import Recording, record
from rockshy.sim.scenario.scenario import RockSpec, Scenario, TankSpec
from staging import ROCKY, kind, row, scene

MILD, HOT = "Scena mitis", "Scena fera"
TANK = TankSpec(length_cm=80.0, width_cm=40.0, height_cm=45.0, water_cm=40.0)
SECONDS = 240
NASTY = '<b onclick="x">Scena</b> & "malus" \u05d0\u05d1\u05d2 \u2028 ' + "longissima " * 27


def two_kinds(mild: str = MILD, hot: str = HOT, **run: Any) -> Scenario:
    """Six mild fish among four that chase them, from the first minute."""
    kinds = (kind(mild, temper=0.2, timidity=2.0), kind(hot, temper=4.0, length_max_male_cm=16.0))
    rows = (
        row(mild, males=2, females=4, length=7.0),
        row(hot, males=2, females=1, length=13.0),
        replace(row(hot, males=1, length=12.0), day=0.05),
    )
    settings = {"lit_hours": 1.0, "days": 2.0, "trials": 20, "watch": mild, **run}
    made = scene(*rows, kinds=kinds, tank=TANK, rock=ROCKY, **settings)
    return replace(made, title="A staged tank", question="Will they get about?")


def lonely(rock: RockSpec) -> Scenario:
    """One fish by itself."""
    return scene(row(MILD, males=1, length=7.0), tank=TANK, rock=rock, lit_hours=1.0, days=2.0, trials=1)


@cache
def recorded(trial: int = 1, start: int = 120, ticks: int = SECONDS) -> Recording:
    """Some minutes of the staged tank; a fish comes in after a minute."""
    return record(two_kinds(), trial=trial, start=start, ticks=ticks)


def told(one: Recording, **changes: Any) -> FilmTexts:
    texts = {
        "title": one.scenario.title,
        "question": one.scenario.question,
        "why": ("Because it is staged.",),
        "of": one.scenario.run.trials,
        "follow": f"{one.species[0]} female 1",
        "speed": 10.0,
    }
    return FilmTexts(**{**texts, **changes})


@cache
def film() -> dict[str, Any]:
    """The film of the staged tank."""
    return film_data([("the tank as it is", recorded())], told(recorded()))


@cache
def nasty() -> Recording:
    """The staged tank with a species name made to do harm."""
    return record(two_kinds(NASTY), trial=1, start=120, ticks=60)
