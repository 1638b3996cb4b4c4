"""In which order over weeks: which orders there are, that the better is found, and what is said of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from fake_best import World, wish_list
from fake_placing import FakeTanks
from fake_relief import FREE_ALONE, LIT_S, number_of
from fake_trials import quiet_columns
from rockshy.analysis.document import as_text, document
from rockshy.analysis.document.brief import MOST_LINES
from rockshy.analysis.document.files import json_text
from rockshy.analysis.questions.best import answer as wishing
from rockshy.analysis.questions.best import over_weeks as of_species
from rockshy.analysis.questions.best.design import plan_of as wish_plan
from rockshy.analysis.questions.orders import AT_ONCE, FRESH, GAP_D, SIFT, Asked, Ordered, order_of, ordered
from rockshy.analysis.questions.orders_said import order_said, order_section
from rockshy.analysis.questions.place.answer import Placing, answer_of
from rockshy.analysis.questions.place.brief import brief_of
from rockshy.analysis.questions.place.design import plan_of
from rockshy.analysis.questions.place.files import whole_json
from rockshy.analysis.questions.place.over_weeks import asked_of
from rockshy.analysis.questions.place.reading import parse
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import FishIn, FishOut

ROOM = """
title = "Reedmace club, two shelves"
[[tank]]
name = "A"
length = "120 cm"
front_to_back = "40 cm"
height = "40 cm"
rock = {{ cover = "40 %" }}
stock = [{{ species = "Petrochromis trewavasae", males = 1, females = 4 }},
         {{ species = "Pseudosimochromis curvifrons", males = 1, females = 2 }},
         {{ species = "Eretmodus cyanostictus", males = 1, females = 1 }}]
[[tank]]
name = "B"
length = "120 cm"
front_to_back = "40 cm"
height = "40 cm"
rock = {{ cover = "50 %" }}
most_fish = 9
stock = [{{ species = "Tropheus duboisi", males = 1, females = 3 }}]
[[group]]
name = "the curvifrons"
now = "A"
fish = "curvifrons"
{curvifrons}
[[group]]
name = "the gobies"
now = "A"
fish = "Eretmodus cyanostictus"
must_leave = true
{rest}
[run]
trials = 32
"""
SWAP = '[[group]]\nname = "the duboisi"\nnow = "B"\nfish = "duboisi"\nmust_leave = true\n'


@cache
def placed(curvifrons: str = "must_leave = true", rest: str = "") -> Placing:
    text = ROOM.format(curvifrons=curvifrons, rest=rest)
    return answer_of(plan_of(parse(text, name="room")), FakeTanks())


def both(asked: Asked | str) -> Asked:
    assert isinstance(asked, Asked), asked
    return asked


class MadeUpLives:
    """Lives in which whoever comes into a tank late loses ``late`` of its swimming more."""

    def __init__(self, late: float, *, of: str = "", stop_after: int = 10**6) -> None:
        self.late, self.of, self.stop_after, self.jobs = late, of, stop_after, 0

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for job in jobs:
            if self.jobs >= self.stop_after:
                raise KeyboardInterrupt
            self.jobs += 1
            yield job, tuple(self.outcome(scenarios[job.which], job.trial, arm) for arm in job.arms or ())

    def outcome(self, scenario: Scenario, trial: int, arm: str) -> Outcome:
        rows = [(row, one) for row in scenario.stock for one in _people(row)]
        people = tuple(one for _, one in rows)
        lost = [0.0 if arm == LEFT_ALONE else self._lost(row.day, one, trial) for row, one in rows]
        free = FREE_ALONE * (1.0 - np.array(lost)) * LIT_S
        columns = quiet_columns(len(people), 3, hidden_s=LIT_S - free, free_s=free)
        return Outcome(arm, trial, draw_of(scenario, trial), people, columns)

    def _lost(self, day: float, one: object, trial: int) -> float:
        label: str = one.label  # type: ignore[attr-defined]
        rng = np.random.default_rng([trial, number_of(label)])
        is_late = day > 1 and label.startswith(self.of)
        return float(np.clip(0.3 + self.late * is_late + 0.03 * rng.standard_normal(), 0.0, 0.97))


def _people(row: object) -> list:  # type: ignore[type-arg]
    from rockshy.sim.fish.population import individuals

    return list(individuals([row]))  # type: ignore[list-item]


def test_every_order_of_the_moves_is_asked_with_its_days() -> None:
    asked = both(asked_of(placed(), 3))
    assert [way.said for way in asked.ways] == [
        "all in one afternoon",
        "the curvifrons first, then the gobies",
        "the gobies first, then the curvifrons",
    ]
    tank = asked.ways[1].tanks[-1]
    days = {label: event.day for event in tank.timeline.of(FishIn) for label in event.fish if event.day > 0}
    assert {label.split()[0]: day for label, day in days.items()} == {
        "Pseudosimochromis": 0.5,
        "Eretmodus": 14.5,
    }
    out = asked.ways[1].tanks[0].timeline.of(FishOut)
    assert {event.day for event in out} == {0.5, 0.5 + GAP_D}
    assert asked.lived.months == 3 and asked.lived.since == 0.5 + GAP_D
    names = {name for groups in asked.groups for name, _ in groups}
    assert names == {"the curvifrons", "the gobies", "the T. duboisi", "the P. trewavasae"}


def test_an_order_that_breaks_a_limit_on_the_way_is_not_asked() -> None:
    found = placed("must_leave = true", SWAP)
    whole = both(asked_of(found, 3))
    one, other = found.room.tanks
    room = replace(found.room, tanks=(one, replace(other, most_fish=6)))  # the duboisi leave it first
    fewer = both(asked_of(replace(found, plan=replace(found.plan, room=room)), 3))
    assert len(whole.ways) == 7
    assert {way.said for way in fewer.ways[1:]} == {
        way.said for way in whole.ways[1:] if way.said.index("duboisi") < way.said.index("curvifrons")
    }


@pytest.mark.parametrize(
    ("late", "of", "best", "told"),
    [
        (-0.2, "", None, True),  # late is better
        (0.2, "Eretmodus", "the gobies first, then the curvifrons", False),
        (0.2, "", None, True),
        (0.0, "", None, False),
    ],
)
def test_the_better_order_is_found_and_what_is_said_of_it_is_of_fresh_lives(
    late: float, of: str, best: str | None, told: bool
) -> None:
    asked = both(asked_of(placed(), 3))
    found = ordered(asked, MadeUpLives(late, of=of))
    assert found.difference is not None and found.difference.trials == len(FRESH)
    assert best is None or found.best == best
    assert found.best != asked.ways[AT_ONCE].said and len(found.tried) == len(asked.ways)
    said = order_said(found)
    if late > 0 and told:
        assert (
            found.difference.value == pytest.approx(-0.2, abs=0.03)
            and " does better: the worst off keep " in said
        )
    elif not told:
        assert said.startswith("Over 3 months no order was seen to do the worst off more good than all ")
    full = as_text(document(order_section(found)))
    assert "nan" not in full and all(way.said in full for way in asked.ways)


def test_it_has_room_in_the_first_lines_and_in_the_file() -> None:
    found = placed()
    with_order = replace(found, order=ordered(both(asked_of(found, 3)), MadeUpLives(0.2)))
    told = as_text(document(brief_of(with_order).section))
    assert (
        "Over 3 months all in one afternoon does better" in " ".join(told.split())
        and told.count("\n") < MOST_LINES
    )
    assert '"order_over_weeks": {' in json_text(whole_json(with_order))
    assert whole_json(found)["order_over_weeks"] is None


def test_lives_that_were_broken_off_say_nothing() -> None:
    asked = both(asked_of(placed(), 3))
    for after in (0, 5, 8 * len(SIFT) + 3):
        with pytest.raises(KeyboardInterrupt):
            ordered(asked, MadeUpLives(0.0, stop_after=after))


def test_where_there_is_no_order_to_choose_it_says_why() -> None:
    one = placed('may_go = "A"')
    assert one.best.moves == 1
    why = asked_of(one, 3)
    assert why == "one group is moved, so there is no order to choose"
    found = order_of(why, 3)
    assert order_said(found) == f"Over weeks: {why}." and order_section(found) is not None
    assert order_said(None) == "" and order_section(None) is None
    with pytest.raises(ValueError, match="months is 1; use 2 to 24"):
        order_of(why, 1)


def test_species_of_a_wish_list_go_in_first_or_last() -> None:
    limits = 'at_least = 8\nat_most = 16\nspecies_at_least = 3\nspecies_at_most = 3\nrock = "80 kg"'
    scenario = wish_list(limits=limits)
    best = wishing.answer_of(wish_plan(scenario, scenario.wanted, tanks=400), World(seed=1))
    asked = both(of_species.asked_of(best, 2))
    assert len(asked.ways) == 1 + 2 * 3
    for way in asked.ways[1:]:
        late = {row.species for row in way.tanks[0].stock if row.day == GAP_D}
        assert len(late) == (2 if " first" in way.said else 1)
    found = ordered(asked, MadeUpLives(0.3))
    assert isinstance(found, Ordered) and found.difference is not None and found.difference.value < -0.2
