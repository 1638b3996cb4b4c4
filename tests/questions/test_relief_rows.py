"""What helps: the rows of single tanks, other fish, what to watch, and the words, in made-up tanks."""

from __future__ import annotations

import numpy as np
import pytest
from command_line import QUICK, ROCK, four_fish
from fake_relief import (
    HOT,
    MILD,
    TALLER,
    World,
    base,
    chief_matters,
    in_words,
    named,
    plan,
    taller_costs_others,
    tried,
)
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.rates import values_of
from rockshy.analysis.measures.registry import FREE, LOST, PINNED_FISH
from rockshy.analysis.measures.row import BOTH, row_of, value_of, worst_loss, yardstick_of
from rockshy.analysis.measures.whom import FishGroup, asked_for
from rockshy.analysis.questions.relief.answer import UNTOLD, answer_of
from rockshy.analysis.questions.relief.changes import CHIEF
from rockshy.analysis.questions.relief.others import on_others
from rockshy.analysis.questions.relief.watch import out_range, places_of, watch_of
from rockshy.analysis.statistics.multiple import holm
from rockshy.sim.run.trials import Job, table_of
from rockshy.sim.scenario.reading import parse

# ---- the rows


def test_the_goals_are_those_of_every_other_comparison() -> None:
    scenario, world = base(), World(loss=chief_matters, shared=0.4)
    for trial in range(4):
        job = Job(0, trial, BOTH)
        outcomes = world.outcomes(scenario, job)
        alone = yardstick_of(scenario, outcomes)
        row, table = row_of(scenario, job, outcomes, alone=alone), table_of(scenario, [outcomes])
        for labels in (row.labels, row.labels[1:4], row.labels[:1]):
            group = Group(labels=frozenset(labels), title="some")
            for goal in ("lost", "received", "hidden"):
                wanted = values_of(table, measure=goal, group=group)[0]
                assert value_of(row, measure=goal, labels=labels) == pytest.approx(wanted)
        single = [
            values_of(table, measure="pinned", group=Group(labels=frozenset([one]), title="one"))[0]
            for one in row.labels
        ]
        assert [value_of(row, measure=PINNED_FISH, labels=[one]) for one in row.labels] == single
        losses = [value_of(row, measure=LOST, labels=[one]) for one in row.labels]
        assert worst_loss(row, labels=row.labels) == pytest.approx(max(losses))
    assert np.isnan(value_of(row, measure=LOST, labels=["nobody"]))
    with pytest.raises(ValueError, match="use one of"):
        value_of(row, measure="calm", labels=row.labels)


def test_a_change_that_changes_nothing_differs_by_exactly_nothing() -> None:
    world = World(noise=0.0)
    found = answer_of(plan(), world)
    again = named(found, "the same rock re-arranged")
    lost = again.figures[LOST].difference
    assert (lost.value, lost.low, lost.high) == (0.0, 0.0, 0.0)
    assert again.verdict == UNTOLD
    assert all(one.difference.value == 0 and not one.is_worse for one in again.others)


def test_questions_about_others_are_corrected_together() -> None:
    _, found = tried(taller_costs_others)
    others = named(found, TALLER).others
    raw = [one.difference.p_value for one in others]
    assert [one.p_corrected for one in others] == holm(raw).tolist()
    whom = FishGroup("all", tuple(label for kind in found.kinds for label in kind.labels), MILD, "")
    names = {one.name for one in on_others([], kinds=found.kinds, whom=whom, fixed=False)}
    assert names == set()


# ---- what to watch, in numbers and in words


def test_what_to_watch_is_read_from_the_tank_as_it_is() -> None:
    _, found = tried(chief_matters)
    seen = watch_of(found.plan.scenario, found.seen, whom=found.whom, kinds=found.kinds)
    assert seen.chasers[0].name == f"{HOT} males" and seen.chasers[0].share == 1.0
    assert seen.chasers[0].chief_in == seen.chased_tanks == 32
    assert seen.chief_share == 1.0
    assert seen.busiest is not None
    assert (seen.busiest.hour, seen.busiest.told) == (1, True)  # of a day of 10 h, measured from its first
    assert seen.busiest.times == pytest.approx(3.0)
    low, high = out_range(found.seen, found.whom.labels)
    shares = [
        row.parts[FREE].top[i] / row.lit_s[i]
        for row in found.seen
        for i, label in enumerate(row.labels)
        if label in found.whom.labels
    ]
    assert np.mean([low <= one <= high for one in shares]) == pytest.approx(0.9, abs=0.02)
    assert seen.out == pytest.approx(np.mean(shares))


def test_words_begin_with_the_fish_itself_and_end_with_what_to_watch() -> None:
    _, found = tried(chief_matters)
    text = in_words(found)
    order = [
        "what helps",
        "move it out at once",
        f"For: {MILD} females",
        "Put forward: it helps them",
        "better in 16 of 16 simulated",
        "Takes: ",
        "Too close to call",
        "How it was found",
        "What to watch in the real tank",
        "What would prove the model wrong about your tank",
        "animal welfare law",
    ]
    flowing = " ".join(text.split())
    places = [flowing.index(one) for one in order]
    assert places == sorted(places)
    chief = flowing[flowing.index(f" {CHIEF} They lose") :]
    assert chief.index("Takes: 1 fish to catch and house elsewhere") < chief.index("in that very tank")
    assert all(len(line) <= 100 for line in text.splitlines())
    assert "nan" not in text and "inf " not in text
    assert "safe" not in text.lower()
    for one in found.tried:  # every change that was tried is told
        assert one.change.name[:40] in flowing


def test_places_of_fish_are_shares_of_their_time() -> None:
    tiny = four_fish(title="Tiny tank", **QUICK, trials=16, guesses=4)
    scenario = parse(tiny, name="tiny.toml")
    whom = asked_for(scenario, "moorii")
    places = places_of(scenario, labels=whom.labels, tanks=2)
    assert places.tanks == 2
    assert len(places.thirds) == 6  # without a sketch no end of the tank differs from the other
    for names in (("front", "middle, front", "back"), ("lowest", "half way", "uppermost")):
        three = [one for one in places.thirds if any(name in one.name for name in names)]
        assert sum(one.share for one in three) == pytest.approx(1.0)
        assert sum(one.water for one in three) == pytest.approx(1.0)
    crowding = [one.share - one.water for one in places.thirds]
    assert crowding == sorted(crowding, reverse=True)
    assert 0 <= places.crevices <= 1 and 0 <= places.corners <= 1 - places.crevices
    sketched = parse(tiny.replace(ROCK, 'sketch = ["3000", "2000"]'), name="tiny.toml")
    named = {one.name: one for one in places_of(sketched, labels=whom.labels, tanks=1).thirds}
    assert len(named) == 9
    assert named["in the left third"].water < named["in the right third"].water  # rock stands there
    assert np.isclose(sum(one.water for name, one in named.items() if "left" in name or "right" in name), 1.0)
