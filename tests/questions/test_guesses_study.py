"""The whole study on made-up tanks whose shares are known, and what is said of it."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest
from command_line import Patch
from fake_guesses import MILD, TINY, Tanks, plan, scenario, studied
from rockshy.analysis.document import as_text
from rockshy.analysis.document.files import json_text
from rockshy.analysis.measures.registry import LOST, PINNED_FISH, RECEIVED
from rockshy.analysis.measures.row import BOTH, STOCKED
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.questions.guesses.answer import Answer, Study, answer_of
from rockshy.analysis.questions.guesses.brief import brief_of
from rockshy.analysis.questions.guesses.design import MOST, REPEATS, plan_of
from rockshy.analysis.questions.guesses.files import rows_text, whole_json
from rockshy.analysis.questions.guesses.indices import Share
from rockshy.analysis.questions.guesses.inputs import GuessError, guesses_of
from rockshy.analysis.questions.guesses.words import document_of, parts_in_ten, sentences
from rockshy.sim.scenario.scenario import Scenario

RATE, TEMPER, OUT = (
    "how often a typical male attacks",
    "how hot-tempered Tropheus moorii is",
    "how soon an unfrightened fish comes out",
)


def share_of(found: Study, goal: str, name: str) -> Share:
    shares = next(one.shares for one in found.answers if one.goal == goal)
    assert shares is not None
    names = [one.name for one in found.kept]
    return shares.shares[names.index(name) if name in names else -1]


def test_the_few_that_act_are_found_with_their_shares() -> None:
    found = studied(rows=64)
    assert {one.name for one in found.kept} == {RATE, TEMPER, OUT}
    rest = "all others"
    for goal, truth in (
        (LOST, {RATE: 0.75, TEMPER: 0.25, OUT: 0.0, rest: 0.0}),
        (RECEIVED, {RATE: 1.0, TEMPER: 0.0, OUT: 0.0, rest: 0.0}),
        (PINNED_FISH, {RATE: 0.0, TEMPER: 0.0, OUT: 1.0, rest: 0.0}),
    ):
        for name, share in truth.items():
            one = share_of(found, goal, name)
            assert one.first == pytest.approx(share, abs=0.12), (goal, name)
            assert one.total == pytest.approx(share, abs=0.12), (goal, name)


def test_points_of_a_row_share_their_trials_and_controls_that_cannot_differ_are_run_once() -> None:
    tanks, asked = Tanks(), plan(rows=8, screened=128)
    found = answer_of(asked, tanks, whom=asked_for(scenario(), MILD))
    rows = [job for job in tanks.jobs if job.which >= asked.screened]
    slots = 2 + len(found.kept) + 1
    assert len(rows) == found.tanks - asked.screened == 8 * slots * REPEATS
    by_row: dict[int, set[int]] = {}
    for job in rows:
        by_row.setdefault((job.which - asked.screened) // asked.slots, set()).add(job.trial)
    assert all(len(trials) == REPEATS for trials in by_row.values())
    assert len(set.union(*by_row.values())) == 8 * REPEATS  # rows have trials of their own
    # left alone only how much fish are on the move shows, which is among all others
    assert set(found.same_alone) == {one.name for one in found.kept}
    alone = [job for job in rows if (job.which - asked.screened) // asked.slots >= 2]
    assert {job.arms for job in alone} == {BOTH, STOCKED}
    assert sum(job.arms == BOTH for job in alone) == 6 * REPEATS * 3  # A, B, and all others


def test_a_row_is_judged_the_same_with_a_control_of_its_own() -> None:
    asked = plan(rows=8, screened=64)
    one = answer_of(asked, Tanks(), whom=asked_for(scenario(), MILD))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rockshy.analysis.questions.guesses.design.PROBED", 8)
        other = answer_of(asked, Tanks(), whom=asked_for(scenario(), MILD))
    assert [a.shares for a in one.answers] == [a.shares for a in other.answers]


def test_broken_off_it_answers_from_the_rows_that_are_whole() -> None:
    asked = plan(rows=32, screened=64)

    class InOrder(Tanks):
        def __call__(self, scenarios, jobs):  # type: ignore[no-untyped-def]
            return super().__call__(scenarios, list(reversed(jobs)))

    tanks = InOrder(stop_after=asked.screened + 20 * 6 * REPEATS + 3)
    found = answer_of(asked, tanks, whom=asked_for(scenario(), MILD))
    assert found.stopped and found.rows == 16
    assert share_of(found, LOST, RATE).first == pytest.approx(0.75, abs=0.3)
    assert "Stopped by Ctrl-C" in as_text(document_of(found))
    for early in (10, asked.screened + 7 * 6 * REPEATS):
        with pytest.raises(KeyboardInterrupt):
            answer_of(asked, InOrder(stop_after=early), whom=asked_for(scenario(), MILD))


def test_without_many_guesses_nothing_is_screened_away() -> None:
    asked = plan(rows=8, most=60)
    few = replace(asked, guesses=tuple(one for one in asked.guesses if one.name in (RATE, TEMPER, OUT)))
    assert len(few.guesses) == 3

    class Settled(Tanks):
        def __call__(self, scenarios, jobs):  # type: ignore[no-untyped-def]
            settled = [replace(one, parameters={"activity": 0.5, **one.parameters}) for one in scenarios]
            return super().__call__(settled, jobs)

    found = answer_of(few, Settled(), whom=asked_for(scenario(), MILD))
    assert found.others == () and len(found.kept) == 3
    assert "together decide" not in as_text(document_of(found))


def test_an_answer_without_spread_is_left_out_with_the_reason() -> None:
    class Calm(Tanks):
        def __call__(self, scenarios, jobs):  # type: ignore[no-untyped-def]
            calm = [replace(one, parameters={**one.parameters, "out_rate_s": 0.16}) for one in scenarios]
            return super().__call__(calm, jobs)

    found = answer_of(plan(rows=8), Calm(), whom=asked_for(scenario(), MILD))
    pinned = found.answers[2]
    assert pinned.shares is None and pinned.why == "it is the same in every simulated tank"
    assert "The chance to be pinned: not shared out; it is the same" in as_text(document_of(found))
    assert found.screened_goals == (LOST, RECEIVED)


def test_when_nothing_varies_there_is_no_answer() -> None:
    class Dull(Tanks):
        def __call__(self, scenarios, jobs):  # type: ignore[no-untyped-def]
            point = scenarios[0]
            for job, outcomes in super().__call__([point] * len(scenarios), jobs):
                for one in outcomes:
                    one.columns["chases"][:] = 0
                    one.columns["free_s"][:] = one.columns["lit_s"]
                yield job, outcomes

    with pytest.raises(GuessError, match="no spread to share out"):
        answer_of(plan(rows=8), Dull(luck=0.0), whom=asked_for(scenario(), MILD))


# ---- plans


def test_the_number_of_tanks_decides_the_rows() -> None:
    asked = scenario()
    usual = plan_of(asked)
    assert (usual.rows, usual.screened) == (64, 256)
    assert usual.tanks == 256 + 64 * (2 + MOST + 1) * REPEATS
    assert plan_of(asked, tanks=usual.tanks - 1).rows == 32
    assert plan_of(asked, tanks=2 * usual.tanks).rows == 128
    least = plan_of(asked, tanks=usual.tanks // 8).tanks
    with pytest.raises(GuessError, match=f"{least - 1} simulated tanks are too few; use at least {least}"):
        plan_of(asked, tanks=least - 1)


def test_one_thing_left_open_needs_no_sharing_out(monkeypatch: Patch) -> None:
    def one_only(asked: Scenario) -> tuple[object, ...]:
        return guesses_of(asked)[:1]

    monkeypatch.setattr("rockshy.analysis.questions.guesses.design.guesses_of", one_only)
    with pytest.raises(GuessError, match="only one thing is left open"):
        plan_of(scenario(TINY))


# ---- words and files


def test_the_answer_is_said_in_plain_words_of_at_most_100_columns() -> None:
    text = as_text(document_of(studied()))
    assert max(map(len, text.splitlines())) <= 100
    for said in (
        "Tiny tank: which guesses decide the answer",
        f"For: {MILD} (as you asked; the figures are the means of 2 fish)",
        "Of the spread in free swimming lost, about",
        f"from {RATE}",
        "What to watch in your own tank, what tells most first",
        "Count the chases one grown male starts in ten minutes",
        "Then in the file:\n      [parameters]\n      attack_rate_s = 0.03",
        'Then in the file: [species."Tropheus moorii"]',
        "No effect could be seen",
        "Sobol indices (Saltelli2010)",
    ):
        assert said in text or said in " ".join(text.split()), said
    lost = text.index("Free swimming lost")
    assert lost < text.index("Chases received") < text.index("The chance to be pinned")
    assert "nan" not in text and "inf" not in text
    every = " ".join(text.split()).replace("- ", "-")
    for one in studied().others:
        assert one.name in every, one.name


def test_sentences_name_the_largest_first() -> None:
    found = studied()
    lost = next(one for one in found.answers if one.goal == LOST)
    first = sentences(found, lost)[0]
    assert first.index(RATE) < first.index(TEMPER)
    assert OUT not in first


def test_what_to_watch_is_said_only_where_luck_does_not_explain_the_largest() -> None:
    found = studied()
    assert brief_of(found).then.startswith("To narrow it, ")
    lost = next(one for one in found.answers if one.goal == LOST)
    assert lost.shares is not None
    unsure = tuple(replace(one, total_interval=(-0.1, 1.0)) for one in lost.shares.shares)
    answers = (replace(lost, shares=replace(lost.shares, shares=unsure)), *found.answers[1:])
    told = brief_of(replace(found, answers=answers))
    assert "No single guess" in told.verdict
    assert told.then.startswith(f"Most may come from {RATE}, or it is luck:")
    assert f"--trials {4 * found.plan.tanks}" in told.then


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "hardly any"),
        (0.049, "hardly any"),
        (0.05, "about 1 part in 10"),
        (0.52, "about 5 parts in 10"),
        (1.3, "about 10 parts in 10"),
        (-0.2, "hardly any"),
    ],
)
def test_parts_in_ten(share: float, said: str) -> None:
    assert parts_in_ten(share) == said


def test_programs_get_every_number_and_no_nan() -> None:
    found = studied()
    told = json.loads(json_text(whole_json(found)))
    lost = next(one for one in told["answers"] if one["of"] == LOST)
    assert [one["name"] for one in lost["shares"]] == [*(g.name for g in found.kept), told_rest(found)]
    assert lost["shares"][0]["total"] == share_of(found, LOST, found.kept[0].name).total
    assert len(told["kept"]) + len(told["others"]) == told["guesses"]
    assert all(one["watch"] and one["write"] for one in told["kept"] + told["others"])
    rows = list(csv.DictReader(io.StringIO(rows_text(found))))
    assert len(rows) == 3 * 4
    assert float(rows[0]["first_order"]) == lost["shares"][0]["first_order"]


def told_rest(found: Study) -> str:
    return f"the other {len(found.others)} guesses together"


def test_an_answer_that_was_not_shared_out_is_in_the_files_too() -> None:
    found = studied()
    without = replace(found, answers=(Answer(PINNED_FISH, None, "too seldom"), *found.answers[:2]))
    told = json.loads(json_text(whole_json(without)))
    assert told["answers"][0] == {
        "of": PINNED_FISH,
        "name": "the chance to be pinned",
        "why_not": "too seldom",
    }
    assert len(list(csv.DictReader(io.StringIO(rows_text(without))))) == 2 * 4
    assert np.isfinite(told["answers"][1]["mean"])
