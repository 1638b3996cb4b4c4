"""The sweep over amounts of rock, with made-up tanks whose pinned chances are known."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from fake_rock import (
    MILD,
    MILD_FISH,
    Sweep,
    always,
    answered,
    base,
    hollow,
    made_up,
    made_up_row,
    near,
    never,
    steep,
    swept,
)
from rockshy.analysis.document import as_text
from rockshy.analysis.measures.registry import PINNED, PINNED_FISH, Parts
from rockshy.analysis.measures.row import TankRow
from rockshy.analysis.questions.rock.answer import RockAnswer, answer_of, changes, least_of_use
from rockshy.analysis.questions.rock.brief import brief_of
from rockshy.analysis.questions.rock.design import Plan, plan_of
from rockshy.analysis.questions.rock.grid import grid_of, is_bare
from rockshy.analysis.questions.rock.least import CANNOT_TELL, FOUND, NONE_DOES, hinges
from rockshy.analysis.questions.rock.rows import SWEPT, Table
from rockshy.analysis.questions.rock.words import document_of, one_in, verdict_sentences
from rockshy.analysis.study.runner import Run
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.scenario import Scenario

Values = tuple[float, ...]


def lines(plan: Plan, answer: RockAnswer) -> str:
    return as_text(document_of(answer, plan.grid, None, place=None))


def flowing(plan: Plan, answer: RockAnswer) -> str:
    return " ".join(lines(plan, answer).split())


# --- which amounts ------------------------------------------------------------


def test_the_keepers_own_cover_is_tried_and_nothing_right_beside_it() -> None:
    grid = grid_of(base("cover = 0.35", "cover = 0.42"))
    assert grid.axes[0].values == (0.0, 0.1, 0.2, 0.3, 0.42, 0.5, 0.6, 0.7, 0.8)
    assert grid.own is not None and grid.points[grid.own].scenario.rock == base("0.35", "0.42").rock
    assert [is_bare(point.scenario.rock) for point in grid.points] == [True] + 8 * [False]


def test_only_the_rock_differs_between_points() -> None:
    tank = base()
    for point in grid_of(tank).points:
        assert replace(point.scenario, rock=tank.rock) == tank


def test_heights_and_piles_are_tried_within_the_tank() -> None:
    heights = grid_of(base(), names=("height",)).axes[0].values
    assert heights[0] == 0.0 and 20.0 in heights and max(heights) == 45.0
    piles = grid_of(base(), names=("piles",)).axes[0].values
    assert piles == (1.0, 2.0, 3.0, 4.0)  # 100 cm are room for four heaps of two stones of 12 cm and no more


def test_a_map_tries_a_bare_tank_once_for_all_its_lines() -> None:
    grid = grid_of(base(), names=("cover", "height"))
    assert sum(is_bare(point.scenario.rock) for point in grid.points) == 1
    assert len(grid.lines) == len(grid.axes[1].values)
    assert {line[0] for line in grid.lines} == {0}
    assert grid.say(0) == grid.short(0) == "no rock"
    own = grid.points[grid.own or 0]
    assert own.values == (0.35, 20.0)


def test_a_bare_tank_gets_a_height_and_is_told_so() -> None:
    tank = base("cover = 0.35\nheight = 20\npiles = 2", "cover = 0")
    grid = grid_of(tank)
    assert grid.own == 0
    assert grid.points[3].scenario.rock.height_cm == 40.0  # 5 cm below the surface
    assert "assumption" in grid.remarks[0]


def test_amounts_that_leave_no_water_are_left_out_and_told() -> None:
    grid = grid_of(base("height = 20", "height = 44"), fits=lambda scenario: scenario.rock.cover < 0.75)
    assert grid.axes[0].values[-1] == 0.8
    assert max(point.values[0] for point in grid.points) == 0.7
    assert "Left out: 1 amount" in grid.remarks[0]


# --- the sweep ----------------------------------------------------------------


def test_a_crossing_is_found_and_its_interval_holds_it() -> None:
    _, answer = answered(steep)
    line = answer.lines[0]
    assert line.least.verdict == FOUND
    places = [answer.amounts[k].values[0] for k in line.places]
    assert places[line.least.low] <= 0.6 <= places[line.least.high]  # 0.5 is pinned with a chance of 0.22
    assert line.trials_more == line.minutes_more == 0


def test_never_and_always_pinned_are_answered_after_one_round() -> None:
    for curve, verdict in ((never, FOUND), (always, NONE_DOES)):
        _, answer = answered(curve)
        assert answer.lines[0].least.verdict == verdict
        assert {one.run for one in answer.amounts} == {36}
        assert {one.pinned.hits for one in answer.amounts} == {0 if verdict == FOUND else 36}


def bordering(share: float) -> Callable[[Values], float]:
    """Pinned half the time, but with the largest amount so often."""
    return lambda values: 0.5 if values[0] < 0.75 else share


@pytest.mark.parametrize(
    ("curve", "verdict", "words"),
    [
        (never, FOUND, "Being pinned is not the question here: with your 35 % they are pinned in 0 of 36"),
        (always, NONE_DOES, "No amount tried is enough: with "),
        (steep, FOUND, "the least tried at which they are pinned in no more than 1 simulated tank in 10 ("),
        (bordering(0.05), CANNOT_TELL, "; that may still be luck."),
        (bordering(0.14), CANNOT_TELL, "So far no amount tried is clearly enough: with "),
    ],
)
def test_first_lines_of_every_verdict(curve: Callable[[Values], float], verdict: str, words: str) -> None:
    done = swept(curve)
    answer = answer_of(done, scenario=base())
    assert answer.lines[0].least.verdict == verdict
    told = brief_of(answer, done.plan.grid)
    assert words in told.verdict
    assert "Swimming about: " in told.beside and "Bites an hour" in told.then
    assert ("no amount" in told.verdict.lower()) == (answer.lines[0].found is None)


def test_beyond_a_day_no_answer_is_promised() -> None:
    """What can be told by now is said instead."""
    done = swept(bordering(0.05))
    answer = answer_of(done, scenario=base())
    line = replace(answer.lines[0], trials_more=1e5, ask_for=2000, minutes_more=2 * 24 * 60.0)
    said = " ".join(verdict_sentences(answer, done.plan.grid, line))
    count = answer.amounts[line.places[-1]].pinned
    assert "day" not in said and "--trials" not in said
    assert f"By now: at the largest amount it is pinned in {count.hits} of {count.of} simulated tanks" in said


def test_where_more_rock_hardly_adds_is_said() -> None:
    done = swept(steep)
    answer = answer_of(done, scenario=base())
    place = least_of_use(answer, answer.lines[0].places)
    assert brief_of(answer, done.plan.grid).beside.endswith(
        f"{done.plan.grid.along(place)}; more hardly adds."
    )


def test_more_rock_that_makes_it_worse_is_said_plainly() -> None:
    plan, answer = answered(hollow)
    line = answer.lines[0]
    assert line.least.verdict == NONE_DOES
    assert {0.35, 0.4} <= {answer.amounts[k].values[0] for k in line.within}
    rise = next(one for one in line.changes if one.measure == PINNED and one.rises)
    assert plan.grid.points[rise.less].values[0] in (0.3, 0.35, 0.4, 0.5)
    assert plan.grid.points[rise.more].values[0] == 0.8
    found = rise.difference
    assert rise.is_worse and found.low > 0 and found.worse > found.better and found.trials >= 36
    text = lines(plan, answer)
    assert "No amount does" in text
    assert "More rock makes it worse: it is pinned more often." in text
    assert f"worse in {found.worse} of {found.trials} simulated tanks" in " ".join(text.split())


def test_more_trials_go_to_the_points_that_decide() -> None:
    done = swept(steep)
    plan, table = done.plan, done.table
    runs = [table.run(k) for k in range(table.amounts)]
    assert (plan.a_round, plan.trials) == (36, 64)
    assert set(runs) == {36, 64}
    more = {plan.grid.points[k].values[0] for k, run in enumerate(runs) if run > 36}
    assert more <= {0.4, 0.5, 0.6} and 0.5 in more
    for k, run in enumerate(runs):
        told = sorted((row.trial, row.draw) for row in done.rows.values() if row.which == k)
        assert told == [(trial, trial) for trial in range(run)]  # the same fish and guesses everywhere
    assert done.undecided() == ()


@pytest.mark.parametrize(
    ("trials", "runs"), [(4, {4}), (36, {36}), (80, {36, 72, 80}), (150, {36, 72, 108, 144, 150})]
)
def test_as_many_trials_as_asked_for_at_most(trials: int, runs: set[int]) -> None:
    tank = base()
    plan = plan_of(tank, grid_of(tank), whom=MILD_FISH, trials=trials)
    done = Sweep(plan)
    done.carry_out(made_up(near, plan=plan))
    found = {done.table.run(k) for k in range(done.table.amounts)}
    assert found <= runs and max(found) == trials


def test_trials_keep_their_draw_when_more_are_asked_for() -> None:
    tank = base()
    few, many = (plan_of(tank, grid_of(tank), whom=MILD_FISH, trials=trials) for trials in (4, 400))
    assert few.scenarios == many.scenarios


def test_cannot_tell_says_how_many_more_minutes_would() -> None:
    plan, answer = answered(near)
    line = answer.lines[0]
    assert line.least.verdict == CANNOT_TELL
    each_s = 600 / answer.tanks  # the clock of the made-up run says ten minutes in all
    wanted = [max(0, line.ask_for - answer.amounts[line.places[k]].run) for k in hinges(line.least)]
    assert line.minutes_more == pytest.approx(sum(wanted) * each_s / 60)
    assert line.ask_for % plan.a_round == 0
    assert line.ask_for >= answer.amounts[line.places[-1]].run + line.trials_more
    text = lines(plan, answer)
    assert "Cannot tell yet" in text
    minutes = round(line.minutes_more)
    said = " ".join(text.split())
    assert f"About {minutes} more minutes on this computer would tell (--trials {line.ask_for};" in said


def test_what_was_there_already_says_nothing_about_speed() -> None:
    tank = base()
    plan = plan_of(tank, grid_of(tank), whom=MILD_FISH)
    ticks = iter((0.0, 5.0, 95.0))
    done = Sweep(plan, there=lambda job: job.trial >= 10, clock=lambda: next(ticks))
    told: list[str] = []
    done.carry_out(made_up(never, plan=plan), lambda what, _: told.append(what))
    assert done.seconds == 90.0 and told == ["Round 1: 100 simulated tanks, at all amounts."]
    assert done.fresh == 10 * len(plan.grid.points)
    assert len(done.rows) == 36 * len(plan.grid.points)


def test_ctrl_c_answers_from_what_is_done() -> None:
    tank = base()
    plan = plan_of(tank, grid_of(tank), whom=MILD_FISH)
    whole = made_up(steep, plan=plan)

    def broken(after: int) -> Run:
        def run(scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Any]:
            for k, row in enumerate(whole(scenarios, jobs)):
                if k == after:
                    raise KeyboardInterrupt
                yield row

        return run

    done = Sweep(plan)
    done.carry_out(broken(25))
    assert done.stopped and len(done.rows) == 25
    answer = answer_of(done, scenario=tank)
    assert {one.run for one in answer.amounts} == {2, 3}  # trial by trial: all amounts alike
    assert "stopped before it was done" in flowing(plan, answer)
    with pytest.raises(KeyboardInterrupt):
        Sweep(plan).carry_out(broken(0))


def test_the_keepers_tank_is_marked_and_compared_with_trial_by_trial() -> None:
    plan, answer = answered(steep)
    own = plan.grid.own
    assert own is not None
    assert answer.amounts[own].own and answer.amounts[own].against_own is None
    bare = answer.amounts[0].against_own
    assert bare is not None
    share = answer.amounts[own].pinned.share
    assert bare.value == pytest.approx(1.0 - share)  # a bare tank is always pinned here
    text = lines(plan, answer)
    assert text.count("35 % (your tank now)") >= 3


def test_amounts_that_change_nothing_differ_by_exactly_nothing() -> None:
    rows = [
        made_up_row(which, trial, trial, float(trial % 2), 1.5, 0.4, 0.5, 0.1)
        for which in (0, 1)
        for trial in range(8)
    ]
    table = Table(rows, species=MILD, amounts=2, fixed=False)
    for name in SWEPT:
        found = table.difference(0, 1, name=name)
        assert (found.value, found.better, found.worse, found.equal) == (0.0, 0, 0, 8)
    assert changes(table, (0, 1)) == []


def test_differences_are_taken_in_the_trials_that_both_amounts_have() -> None:
    rows = [made_up_row(0, trial, trial, 0.0, 4.0, 0.4, 0.5, 0.1) for trial in (0, 1, 2)]
    rows += [made_up_row(1, trial, trial, 1.0, 3.0 + trial, 0.4, 0.5, 0.1) for trial in (1, 2, 3)]
    table = Table(rows, species=MILD, amounts=2, fixed=False)
    found = table.difference(0, 1, name="received")
    assert (found.trials, found.value) == (2, 0.5)  # 4 - 4 and 5 - 4
    assert table.difference(0, 1, name=PINNED).value == 1.0


def test_more_rock_that_helps_is_told_with_its_trials() -> None:
    plan, answer = answered(steep)
    fall = next(one for one in answer.lines[0].changes if one.measure == PINNED)
    assert not fall.rises and not fall.is_worse and fall.difference.value == -1.0
    assert fall.p_value <= 0.05 and fall.pairs == 45
    text = flowing(plan, answer)
    assert "-100 % of the tanks" in text and "makes it worse" not in text


def _unjudged(row: TankRow) -> TankRow:
    nobody = Parts(np.zeros(1), np.zeros(1))
    return replace(row, parts={**row.parts, PINNED_FISH: nobody})


def test_tanks_that_do_not_judge_the_species_are_left_out() -> None:
    rows = [
        made_up_row(0, 0, 0, 1.0, 1.0, 0.5, 0.4, 0.0),
        made_up_row(0, 1, 1, float("nan"), 2.0, 0.5, 0.4, 0.0),
    ]
    table = Table(rows, species=MILD, amounts=1, fixed=False)
    assert (table.run(0), table.count(0).of, table.estimate(0, name="received").trials) == (2, 1, 2)
    done = swept(never)
    done.rows = {key: _unjudged(row) for key, row in done.rows.items()}
    with pytest.raises(ValueError, match="no simulated tank"):
        answer_of(done, scenario=base())


def test_nothing_drawn_makes_each_trial_stand_for_itself() -> None:
    tank = base("seed = 7", "seed = 7\nfixed = true")
    done = swept(steep, scenario=tank)
    assert {row.draw for row in done.rows.values()} == {0}
    answer = answer_of(done, scenario=tank)
    assert answer.lines[0].least.verdict == FOUND
    assert "no range over guesses" in lines(done.plan, answer)


# --- words --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("level", "said"),
    [(0.1, "1 simulated tank in 10"), (0.5, "1 simulated tank in 2"), (0.15, "15 % of the simulated tanks")],
)
def test_level_in_words(level: float, said: str) -> None:
    assert one_in(level) == said


@pytest.mark.parametrize("curve", [steep, hollow, never, always, near])
def test_words_keep_to_the_width_and_never_say_safe(curve: Callable[[Values], float]) -> None:
    plan, answer = answered(curve)
    text = lines(plan, answer)
    assert max(map(len, text.split("\n"))) <= 100
    assert "model scale" in text
    assert " of 36 simulated tanks" in text or " of 64 simulated tanks" in text
    assert not re.search(r"\bsafe|nan|inf\b", text, re.IGNORECASE)


def test_a_bare_tank_is_not_praised_for_having_no_place_to_be_pinned_to() -> None:
    plan, answer = answered(never)
    assert "no place to be pinned to" in flowing(plan, answer)


def test_a_monotone_fit_leaves_the_raw_points_and_says_what_it_hides() -> None:
    plan, answer = answered(hollow, monotone=True)
    assert answer.amounts[-1].pinned.hits > 10
    assert "hides any harm" in lines(plan, answer)
