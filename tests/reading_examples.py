"""An invented library, scenarios and shortcuts shared by the tests of reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import pytest
from rockshy.sim.scenario.reading import Problem, ScenarioError, parse
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.species.species import Species
from staging import kind


def made_up(key: str, common: str, brood: str = "mouth") -> Species:
    middling = dict.fromkeys(("temper", "temper_female", "timidity", "company"), 0.5)
    return replace(kind(key, brood=brood, guild="A", maturity_cm=6.0, **middling), common=(common,))


LIBRARY = {
    one.key: one
    for one in (
        made_up("Algaphilus mildus", "mild grazer"),
        made_up("Algaphilus calidus", "hot grazer"),
        made_up("Cavicola calidus", "cave brooder", "cave"),
    )
}
PARAMETERS = {
    "attack_rate_s": SimpleNamespace(low=0.01, high=0.1, unit="1/s"),
    "slow_half_life_d": SimpleNamespace(low=0.5, high=2.0, unit="d"),
    "memory_step": SimpleNamespace(low=0.15, high=0.5, unit="1"),
}

TANK = '[tank]\nlength = "4 ft"\nfront_to_back = "18 in"\nheight = "50 cm"\n'
STOCK = '[[stock]]\nspecies = "mild grazer"\nmales = 1\nfemales = 3\n'
FULL = """title = "Show tank"
question = "Do the mild ones get pinned?"
[tank]
length = "4 ft"
front_to_back = "18 in"
height = "50,5 cm"
water_level = "18 in"
temperature = "78 F"
volume = "74 US gal"
cell = 4
temperature_effect = true
[rock]
cover = "40 %"
height = "1 ft"
piles = 3
piece_size = "6 in"
[[rock.crevice]]
from_left = 10
from_front = 20
above_base = 5
mouth = "2 in"
depth = 15
openings = 2
[[rock.object]]
kind = "Heater"
from_left = 100
from_front = 40
above_base = 10
length = 3
front_to_back = 3
height = 30
[[stock]]
species = "ALGAPHILUS  mildus"
males = 1
females = 3
holding = 1
length = "2-3 in"
[[stock]]
species = "Mine"
unsexed = 4
length = [8, 10]
day = 2
out = 3.5
[species.Mine]
like = "hot grazer"
length_max_male_cm = "6 in"
temper = { value = 1.2, low = 1, high = 2 }
mating = "Pair"
guild = "a+p"
[species."mild grazer"]
timidity = 2
[run]
days = 3
settle = 2
lit_hours = 12
trials = 8
guesses = 4
seed = 42
fixed = true
controls = false
watch = "A. mildus"
[parameters]
attack_rate_s = 0
"""


def read(text: str, **more: object) -> Scenario:
    return parse(text, name="my-tank.toml", library=LIBRARY, parameters=PARAMETERS, **more)  # type: ignore[arg-type]


def problems(text: str, **more: object) -> list[Problem]:
    with pytest.raises(ScenarioError) as caught:
        read(text, **more)
    return caught.value.problems


def problem(text: str, **more: object) -> Problem:
    found = problems(text, **more)
    assert len(found) == 1, found
    return found[0]


def read_or_answered(text: str, reading: Callable[[], object]) -> None:
    """A text is read, or every problem is told with its line, key, what was found and what is allowed."""
    try:
        assert isinstance(reading(), Scenario)
    except ScenarioError as error:
        assert error.problems
        assert str(error).count("\n") == len(error.sentences())
        for one in error.problems:
            assert one.key and one.found and one.allowed
            assert one.file or one.line is None or 1 <= one.line <= text.count("\n") + 1
