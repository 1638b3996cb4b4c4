"""The first lines of answers: the verdict, who does it, how sure; and the words for how bad it is."""

from __future__ import annotations

import json
from importlib import resources

import numpy as np
import pytest
from fake_trials import HOT, MILD, bullied_tank, random_trials
from rockshy.analysis.document import as_text
from rockshy.analysis.document.brief import MOST_LINES, Brief
from rockshy.analysis.document.plain import called
from rockshy.analysis.evidence import doubts, fingerprint
from rockshy.analysis.evidence.plights import bounds_of
from rockshy.analysis.measures import plight
from rockshy.analysis.measures.givers import givers
from rockshy.analysis.questions.answer.answer import answer, words
from rockshy.analysis.questions.answer.brief import brief_of
from rockshy.sim.run.table import AS_STOCKED


def test_the_first_lines_of_a_tank_in_which_everything_is_known() -> None:
    """Left alone the mild fish swims about all the time, here a quarter of it, chased by hot fish alone."""
    told = brief_of(answer(bullied_tank()), question="Will it get about?")
    mild = called(f"{MILD} 1", MILD)
    assert told.question == "Will it get about?"
    assert told.verdict == (
        f"{plight.word(0.75).capitalize()}: {mild} keeps 25 % of the swimming about it would do if left "
        "alone, pinned to one place in 5 of 8 simulated tanks."
    )
    assert told.beside == f"Who does it: of the chases they get, {called(HOT, HOT)} males 100 %."
    assert told.then == f"Without the other species, {called(MILD, MILD)} would keep 100 %."
    assert "8 simulated tanks" in told.sure
    assert len(as_text(told.section).splitlines()) <= MOST_LINES


def test_without_a_control_there_is_no_verdict_and_without_a_question_one_is_asked() -> None:
    trials = bullied_tank()
    told = brief_of(answer(type(trials)(**{**vars(trials), "arms": {AS_STOCKED: trials.arms[AS_STOCKED]}})))
    assert told.question == f"How do the fish fare in {trials.title}?"
    assert told.verdict.startswith("No verdict without the left-alone control.")
    assert told.then == told.sure == ""


def test_parts_that_are_empty_leave_no_line() -> None:
    assert as_text(Brief("Why?", "Because.", sure="Quite.").section) == "Why?\nBecause.\nQuite."


def test_the_shares_of_those_that_chase_add_up_to_one() -> None:
    """And each is the ratio of sums over the trials, worked out here fish by fish."""
    arm = random_trials().arms[AS_STOCKED]
    chased = arm.fish.label[:2]
    found = givers(arm, labels=chased)
    assert sum(one.share.value for one in found) == pytest.approx(1.0)
    assert [one.share.value for one in found] == sorted((one.share.value for one in found), reverse=True)
    table = arm.chases[:, :, :2].sum(axis=2)
    first = found[0]
    mine = (np.array(arm.fish.species) == first.species) & (arm.sex == (first.sex == "female"))
    assert first.share.value == pytest.approx(table[mine].sum() / table.sum())


def test_nobody_is_named_where_nobody_chases() -> None:
    arm = random_trials().arms[AS_STOCKED]
    assert givers(arm, labels=()) == ()


# ---- words for how bad it is


def test_a_word_holds_from_its_bound_on() -> None:
    high, middle, low = plight.bounds()
    assert 1 > high > middle > low > 0
    for kept, name in zip((1.2, high, middle, low, low - 0.01), (0, 0, 1, 2, 3), strict=True):
        assert plight.word(1 - kept - 1e-9 * (kept >= low)) == plight.WORDS[name]
    assert plight.word(float("nan")) == ""


def test_the_bounds_are_those_of_the_recorded_tanks() -> None:
    record = json.loads(
        resources.files("rockshy.analysis.measures").joinpath(plight.RECORD).read_text("utf-8")
    )
    worst, own = zip(*record["kept"].values(), strict=True)
    assert list(plight.bounds()) == bounds_of(worst, own)
    assert record["draws"] == fingerprint.of_draws(), "run plights with --record"


def test_the_whole_answer_says_that_the_words_are_no_judgement_of_welfare() -> None:
    assert plight.IS_OWN in " ".join(as_text(words(answer(bullied_tank()))).split())


def test_bounds_are_quartiles_in_twentieths() -> None:
    assert bounds_of([0.2, 0.4, 0.6, 0.8, 0.9], [0.8, 0.9, 0.94, 1.0, 1.0]) == [0.9, 0.8, 0.4]


# ---- what the model is known to get wrong


@pytest.mark.parametrize("topic", doubts.FLAWS)
def test_a_fault_is_named_only_while_its_pattern_does_not_hold(
    topic: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = [{"id": id_, "verdict": "does not hold"} for id_ in doubts.FLAWS[topic]]
    monkeypatch.setattr(doubts, "_rows", lambda _: rows)
    assert doubts.flaw(topic).startswith("Known fault: ")
    monkeypatch.setattr(doubts, "_rows", lambda _: [{**one, "verdict": "holds"} for one in rows])
    assert doubts.flaw(topic) == ""
