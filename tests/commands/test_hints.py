"""What is printed below the first lines: that the question names other fish."""

from __future__ import annotations

import pytest
from rockshy.analysis.asking.question import hint_of
from rockshy.sim.scenario.reading import parse

TANK = """question = "{}"
[tank]
length = "4 ft"
front_to_back = "20 in"
height = "20 in"
[[stock]]
species = "yellow lab"
males = 1
[[stock]]
species = "Tropheus moorii"
males = 1
"""


@pytest.mark.parametrize(
    ("question", "first", "named"),
    [
        ("Do my moorii settle?", "yellow labs (4) keep 60 %", "Tropheus moorii"),
        ("Do my Labidochromis caeruleus settle?", "T. moorii females (4) keep 60 %", "yellow lab"),
        ("Will the electric yellows get shoved about?", "T. moorii males keep 60 %", "yellow lab"),
        ("Do my moorii settle?", "T. moorii females (4) keep 60 %", ""),
        ("Do the yellow labs get about?", "T. moorii females (4) keep 60 %", "yellow lab"),
        ("Do the moorii bully the labs?", "T. moorii females (4) keep 60 %", ""),
        ("Do the labs and the moorii get on?", "yellow labs (4) keep 60 %", ""),
        ("Who is worst off?", "T. moorii females (4) keep 60 %", ""),
    ],
)
def test_fish_that_the_question_names_and_the_answer_does_not_can_be_asked_for(
    question: str, first: str, named: str
) -> None:
    said = hint_of(parse(TANK.format(question), name="mine.toml"), f"{question}\n{first}")
    assert said.endswith(f'add --for "{named}".') if named else said == ""
    other = hint_of(parse(TANK.format(question), name="mine.toml"), f"{question}\n{first}", way="--full")
    assert other.endswith("add --full.") if named else other == ""
