"""What a room is told: counts, verdicts, questions, notes; nothing is simulated or drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from fake_compare import FEWER, GONE, NOTHING, table
from fake_talk import argued, crowded, deck, facts, one_fish, spots, whole
from fake_trials import HOT, MILD, blank_arm, fish_list
from rockshy.analysis.document.plain import called
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.rates import values_of
from rockshy.analysis.measures.registry import PINNED
from rockshy.analysis.questions.sources.source_names import name_and_year
from rockshy.analysis.statistics.paired import Difference
from rockshy.analysis.talk import hands, plain, verdicts
from rockshy.analysis.talk.facts import MOST_GROUPS, REST, chasers_of, facts_of
from rockshy.analysis.talk.kinds import HANDS
from rockshy.analysis.talk.lines import caveats, rests_on
from rockshy.analysis.talk.notes import notes_text, text_as
from rockshy.analysis.talk.slides import deck_of
from rockshy.analysis.talk.spots import apart, outline_of, sat_most
from rockshy.analysis.talk.timing import QUESTIONS, TALK_MINUTES
from rockshy.sim.species.sources import bibliography


def moved(low: float, high: float, *, trials: int = 20) -> Difference:
    return Difference((low + high) / 2, low, high, 0, 0, 0, trials, 1.0, 0.5)


# ---- counts


def test_every_chance_is_a_count_out_of_twenty() -> None:
    counted = {(14, 20): "14 of 20", (0, 20): "0 of 20", (7, 13): "7 of 13", (28, 40): "about 14 of 20"}
    counted |= {(39, 40): "about 19 of 20", (40, 40): "about 20 of 20"}  # not all of them, and all
    counted |= {(1, 100): "about 1 of 20", (0, 100): "about 0 of 20"}  # not none of them, and none
    assert {one: plain.of_twenty(*one) for one in counted} == counted
    assert all(plain.scaled(hits, tanks) <= plain.shown(tanks) for hits, tanks in counted)


def test_numbers_are_said_as_keepers_say_them() -> None:
    assert plain.in_tanks(0, 20) == "in none of 20 simulated tanks"
    assert plain.give_or_take(0.618, 0.08) == "6.2 of 10, give or take 0.8"
    assert plain.give_or_take(0.618, math.nan) == "6.2 of 10"
    assert plain.give_or_take(math.nan, 0.1) == "not known"
    assert plain.tenths(-0.001) == "0.0"
    assert [plain.times(rate) for rate in (0.0, 0.04, 3.44, 12.4)] == ["0", "less than 0.1", "3.4", "12"]

    assert plain.jargon_in("its 95 % Interval, a percentile and one guess") == [
        "95 %", "Interval", "percentile", "guess",
    ]  # fmt: skip
    assert plain.jargon_in("in 14 of 20 simulated tanks, give or take 2; a harmless arming") == []


# ---- verdicts


@pytest.mark.parametrize(
    ("lost", "held", "word"),
    [
        ((-0.3, -0.1), (-0.2, 0.2), verdicts.FIRST),
        ((-0.3, -0.1), (-0.4, -0.1), verdicts.FIRST),
        ((0.1, 0.3), (-0.2, 0.2), verdicts.SECOND),
        ((-0.04, 0.04), (-0.2, 0.2), verdicts.SECOND),  # surely next to nothing
        ((-0.049, -0.001), (-0.2, 0.2), verdicts.SECOND),  # surely something, and surely little
        ((-0.04, 0.04), (-0.4, -0.1), verdicts.UNRESOLVED),
        ((-0.3, -0.1), (0.1, 0.4), verdicts.NEITHER),
        ((0.1, 0.3), (-0.4, -0.1), verdicts.NEITHER),
        ((-0.3, 0.1), (-0.2, 0.2), verdicts.UNRESOLVED),
        ((-0.06, 0.02), (-0.2, 0.2), verdicts.UNRESOLVED),  # may be little, may be more
        ((math.nan, math.nan), (-0.2, 0.2), verdicts.UNRESOLVED),
    ],
)
def test_the_verdict_says_no_more_than_the_tanks_tell(
    lost: tuple[float, float], held: tuple[float, float], word: str
) -> None:
    found = verdicts.judge(moved(*lost), moved(*held), change="more rock")
    assert found.word == word
    assert found.because.startswith("With more rock ")
    assert not plain.jargon_in(found.because)


def test_what_was_not_put_to_the_test_stays_unresolved() -> None:
    nothing = moved(0.0, 0.0)
    assert verdicts.judge(nothing, nothing, change="x").word == verdicts.SECOND
    same = verdicts.judge(nothing, nothing, change="x", same=True)
    assert same.word == verdicts.UNRESOLVED and "nothing at all" in same.because
    none = verdicts.judge(moved(-0.3, -0.1, trials=0), moved(0, 0, trials=0), change="x")
    assert none.word == verdicts.UNRESOLVED


def test_the_first_alternative_decides_an_argument() -> None:
    helped = facts(argued(FEWER, NOTHING))
    assert helped.verdict is not None and helped.verdict.word == verdicts.FIRST
    assert "one hot male" in helped.verdict.because
    as_before = facts(argued(NOTHING, FEWER))
    assert as_before.verdict is not None and as_before.verdict.word == verdicts.UNRESOLVED  # the same rock
    assert facts(argued()).verdict is None
    long = facts(replace(crowded(name="x" * 300)))
    assert long.verdict is not None and len(long.verdict.because) < 160


# ---- numbers


def test_facts_are_those_of_the_tables() -> None:
    found = facts(argued(FEWER))
    base, fewer = found.setups
    assert base.lost == pytest.approx(0.6, abs=0.03)  # three hot males at 0.2 each
    assert fewer.lost == pytest.approx(0.2, abs=0.03)
    assert (base.pinned, base.tanks, fewer.pinned) == (20, 20, 0)
    assert fewer.way == verdicts.BETTER and fewer.held_told
    assert len(base.by_tank) == 20 and base.half > 0
    assert found.best == 1
    assert all(one.pinned for one in found.strips[0]) and not any(one.pinned for one in found.strips[1])
    shown = sorted(base.by_tank)
    assert base.by_tank[found.typical] == shown[9]


def test_where_others_are_worse_off_the_answer_in_short_says_of_whom_the_changes_are_told() -> None:
    follow = f"What the changes do is told of {called(MILD, MILD)}, which the file asks about."
    assert follow not in facts(argued()).lines
    hot = facts(argued(), lost=lambda _, fish: 0.1 if fish.species == MILD else 0.6)
    assert hot.lines[1] == follow


def test_a_tank_is_marked_pinned_by_its_own_trial() -> None:
    scenario = argued()
    some = table(scenario, trials=20, lost=lambda *_: 0.5, luck=0.3)
    strip = [spots(scenario, trial) for trial in (19, 3, 7)]
    found = facts_of(scenario, [some], {0: strip})
    held = values_of(some, measure=PINNED, group=Group(species=MILD))
    assert [one.trial for one in found.strips[0]] == [3, 7, 19]
    assert [one.pinned for one in found.strips[0]] == [bool(held[trial]) for trial in (3, 7, 19)]
    assert 0 < held.sum() < 20


def test_who_chases_whom_is_per_chased_fish_and_hour() -> None:
    fish = fish_list(mild=2, hot=1)
    arm = blank_arm("as stocked", fish=fish, trials=2, hours=4)
    chases = np.zeros((2, 3, 3), dtype=np.int64)
    chases[0, 2, 0], chases[1, 2, 1], chases[1, 0, 1] = 12, 4, 8
    found = chasers_of(replace(arm, chases=chases, hidden_s=arm.lit_s * [0.5, 0.0, 0.25]))
    assert found is not None and found.groups == (MILD, HOT) and not found.by_sex
    # two mild fish, two tanks, four hours
    np.testing.assert_allclose(found.rates, [[8 / 16, 0], [16 / 16, 0]])
    assert found.hidden == pytest.approx((0.25, 0.25))
    assert chasers_of(blank_arm("as stocked", fish=fish_list(mild=1, hot=0))) is None


def test_one_species_is_told_by_sex_and_many_together() -> None:
    arm = blank_arm("as stocked", fish=fish_list(mild=3, hot=0))
    both = chasers_of(replace(arm, sex=np.array([[0, 1, 1]], dtype=np.int8)))
    assert both is not None and both.by_sex and both.groups == ("males", "females")
    names = tuple(f"Kind {chr(97 + k)}" for k in range(9))
    many = replace(fish_list(mild=9, hot=0), species=names, label=names)
    found = chasers_of(blank_arm("as stocked", fish=many))
    assert found is not None and len(found.groups) == MOST_GROUPS and found.groups[-1] == REST
    assert sum(found.fish) == 9


def test_fish_at_one_spot_are_moved_apart_inside_the_tank() -> None:
    found = apart([(1.0, 5.0)] * 4 + [(50.0, 5.0)], step=8.0, width=60.0)
    xs = sorted(x for x, _ in found)
    assert all(0 <= x <= 60 for x in xs) and np.diff(xs).min() >= 7.6
    assert all(z == 5.0 for _, z in found)
    assert apart([(10.0, 5.0), (10.0, 30.0)], step=8.0, width=60.0) == [(10.0, 5.0), (10.0, 30.0)]


def test_the_outline_is_the_highest_rock_at_each_place() -> None:
    top = np.zeros((60, 20))
    top[20:40, 3], top[20:40, 9] = 10.0, 25.0
    x, z = np.array(outline_of(top, length_cm=90.0)).T
    assert z[(x > 33) & (x < 57)] == pytest.approx(25.0)
    assert z[(x < 25) | (x > 65)] == pytest.approx(0.0)


def test_a_fish_sat_most_where_most_of_its_time_lies_near() -> None:
    from types import SimpleNamespace

    tank = SimpleNamespace(ball=np.array([0, 1, 1, 2, 2, 1]), ball_start=np.array([0, 2, 4, 6]))
    place, share = sat_most(tank, np.array([1, 2, 5]))  # type: ignore[arg-type]
    assert (place, share) == (1, pytest.approx(7 / 8))


# ---- questions and slides


def test_a_question_stands_before_each_reveal_and_nowhere_else() -> None:
    assert [one.name for one in whole().slides] == [
        *("title", "in-short", "two-camps", "hands-change", "before-after", "who-is-right", "hands-luck"),
        *("luck", "luck-after", "hands-who", "who-chases-whom", "hands-film", "film", "hands-why", "why"),
        *("hands-rock", "how-much-rock", "three-caveats", "sources", "sources-2"),
    ]
    assert {one.kind for one in whole().slides if one.question is not None} == {HANDS, "camps"}


def test_choices_are_two_to_four_in_an_order_that_gives_no_hint() -> None:
    for built in (whole(), deck(crowded()), deck(argued())):
        for slide in built.slides:
            if slide.question is not None:
                assert 2 <= len(slide.question.choices) <= 4
    for scenario in (argued(FEWER, NOTHING), argued(FEWER, NOTHING, GONE)):
        first = hands.about_change(facts(scenario, trials=4), "x").choices
        names = [one.name for one in scenario.alternatives]
        assert list(first) == [*names, "none of them"]  # as in the file, whichever is best
        assert first == hands.about_change(facts(scenario, trials=4, lost=lambda *_: 0.1), "x").choices
    with pytest.raises(ValueError, match="1 choices"):
        hands.Question("Well?", ("yes",))


def test_no_slide_nor_note_uses_words_of_statistics_and_all_fill_the_minutes() -> None:
    for built in (whole(), deck(crowded()), deck(argued()), deck_of(facts(argued(FEWER), trials=40))):
        for slide in built.slides:
            said = " ".join([slide.title, slide.alt, *slide.say, slide.never])
            assert plain.jargon_in(said) == [], slide.name
            if slide.question is not None:
                assert plain.jargon_in(" ".join([slide.question.text, *slide.question.choices])) == []
        assert sum(one.minutes for one in built.slides) <= TALK_MINUTES - QUESTIONS
        assert all(one.minutes >= 0.5 for one in built.slides)
        notes = notes_text(built, command="rockshy talk x")
        assert plain.jargon_in(notes[: notes.index("## Sources")]) == []


def test_counts_of_more_than_twenty_tanks_say_about() -> None:
    built = deck_of(facts(argued(FEWER), trials=40))
    change = next(one for one in built.slides if one.kind == "change")
    assert "about 20 of 20 simulated tanks" in change.alt
    assert "40 were run" in notes_text(built, command="x")


def test_what_does_not_apply_is_left_out_and_said() -> None:
    lonely = one_fish()
    built = deck_of(facts(lonely, trials=3), left_out=["No film: none was asked for."])
    names = [one.name for one in built.slides]
    assert "who-chases-whom" not in names and "before-after" not in names and "film" not in names
    said = notes_text(built, command="x")
    for part in ("one fish, and nobody to chase it", "no [[alternative]]", "No film: none was asked for."):
        assert any(part in one for one in built.left_out)
        assert text_as(part) in said
    one = deck_of(facts(lonely, trials=1))
    assert not any(slide.kind == "luck" for slide in one.slides)
    assert any("one simulated tank shows none" in text for text in one.left_out)


def test_a_full_talk_fills_its_minutes_and_a_short_one_stretches_no_slide() -> None:
    assert sum(one.minutes for one in whole().slides) == TALK_MINUTES - QUESTIONS
    short = deck_of(facts(one_fish(), trials=3))
    minutes = {one.kind: one.minutes for one in short.slides}
    assert sum(minutes.values()) < 20
    assert minutes["sources"] <= 1 and minutes["title"] <= 2.5 and minutes["caveats"] <= 3


def test_a_slide_that_would_show_nothing_is_left_out_and_said() -> None:
    calm = facts(argued(FEWER), lost=lambda *_: 0.01, luck=0.0)
    assert not any(spots.pinned for some in calm.strips.values() for spots in some)
    assert calm.chasers is not None
    quiet = replace(calm, chasers=replace(calm.chasers, rates=np.zeros_like(calm.chasers.rates)))
    built = deck_of(quiet)
    assert not {"luck", "who"} & {one.kind for one in built.slides}
    assert not {"hands-luck", "hands-who"} & {one.name for one in built.slides}
    for part in ("pinned in none of 20 simulated tanks", "nobody chased anybody"):
        assert any(part in text for text in built.left_out)


def test_publications_are_said_by_names_and_year() -> None:
    said = {"YanagisawaNishida1991": "Yanagisawa & Nishida 1991", "Egger2006": "Egger et al. 2006"}
    said |= {"Kohda1998": "Kohda 1998", "deVries1998": "de Vries 1998", "Reddon2011": "Reddon et al. 2011"}
    said |= {"FroesePauly": "Froese & Pauly, no year", "CIRIA2007": "CIRIA 2007"}
    said |= {"SpeciesTable": "A published table of greatest lengths"}
    assert {key: name_and_year(key) for key in said} == said
    for key in bibliography():
        assert name_and_year(key) != key
    shown = [name for slide in whole().slides for name in slide.names]
    assert shown == sorted({name_and_year(key) for key in whole().rests.keys}, key=str.lower)


# ---- caveats, sources, notes


def test_caveats_are_three_and_count_what_nobody_published() -> None:
    scenario = argued(FEWER)
    rests = rests_on(scenario)
    assert len(caveats(scenario, rests)) == 3
    assert 0 < rests.published < rests.numbers
    assert str(rests.unmeasured) in caveats(scenario, rests)[0]
    assert set(rests.keys) <= bibliography().keys() and len(set(rests.keys)) == len(rests.keys)
    swap = f'replace = [{{ species = "{HOT}", by = "Ophthalmotilapia ventralis" }}]'
    assert rests_on(argued(f'[[alternative]]\nname = "o"\n{swap}\n')).numbers > rests.numbers


def test_notes_hold_every_slide_and_how_to_make_it_again() -> None:
    text = notes_text(whole(), command="rockshy talk club.toml --out 'my talk'")
    for k, slide in enumerate(whole().slides, 1):
        assert f"## {k}. " in text and text_as(slide.alt) in text
        assert text_as(slide.never) in text
    assert "rockshy talk club.toml --out 'my talk'" in text
    assert "Test the water first" in text  # the cautions
    for key in whole().rests.keys:
        assert f"- {text_as(bibliography()[key])}" in text
    built = deck(replace(argued(), title='<img src=x onerror="alert(1)"> [a](b) `c` $d$'), trials=2)
    text = notes_text(built, command="x")
    assert "<img" not in text.replace("\\<img", "") and "\\[a\\](b) \\`c\\` \\$d\\$" in text
