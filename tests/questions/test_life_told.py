"""A life month by month: made-up lives with known losses, what is told of them, and what is refused."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from command_line import Capsys, Patch, answered, assert_refused, four_fish, work_in
from fake_life import DATED, DAYS, Lives, lived, said, tank
from fake_trials import HOT, MILD
from reading_pictures import assert_legible, assert_page
from rockshy.analysis.document import as_text
from rockshy.analysis.document.brief import MOST_LINES
from rockshy.analysis.measures.plight import word
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.pictures.life import life_caption, life_picture, save_life
from rockshy.analysis.questions.life.answer import answer_of
from rockshy.analysis.questions.life.brief import brief_of
from rockshy.analysis.questions.life.design import LEAST_TRIALS, LifeError, plan_of
from rockshy.analysis.questions.life.files import COLUMNS, rows_text, whole_json
from rockshy.analysis.questions.life.lived import BETTER, STEADY, WORSE
from rockshy.analysis.questions.life.months import months_of, weights
from rockshy.analysis.questions.life.reach import MONTH_D
from rockshy.analysis.questions.life.trouble import OWNER, SHOWED
from rockshy.analysis.questions.life.words import document_of
from rockshy.sim.fish.population import Individual
from rockshy.sim.scenario.scenario import Scenario

FEMALES = f"{MILD} females"
KEPT = "of the swimming about they would do if left alone"


def luck(trial: int) -> float:
    return 0.02 * (trial % 5 - 2)


def steady(_: Scenario, fish: Individual, trial: int, __: int) -> float:
    return (0.5 if (fish.species, fish.sex) == (MILD, "female") else 0.1) + luck(trial)


def worse(scenario: Scenario, fish: Individual, trial: int, day: int) -> float:
    """From day 40 on the females lose as much again, and more than is pinned at."""
    return steady(scenario, fish, trial, day) * (1.6 if day >= 40 and fish.sex == "female" else 1.0)


def eases(scenario: Scenario, fish: Individual, trial: int, day: int) -> float:
    return steady(scenario, fish, trial, day) * (0.5 if day >= 40 else 1.0)


def helped(scenario: Scenario, fish: Individual, trial: int, day: int) -> float:
    """What is dated takes a tenth of all from day 30 on."""
    return steady(scenario, fish, trial, day) - (0.1 if scenario.events and day >= 30 else 0.0)


# ---- what days stand for


def test_each_day_of_a_life_is_counted_once_in_one_month() -> None:
    life = lived(steady).lives[0]
    starts, ends = months_of(3, days=91)
    weight = weights(life, starts, ends, days=91)
    assert weight.shape == (3, 10)
    assert weight.sum(axis=1) == pytest.approx([MONTH_D, MONTH_D, 91 - 2 * MONTH_D])
    assert weight.sum(axis=0) == pytest.approx(np.diff([*life.since, 91]))


# ---- what is told


def test_the_worst_off_kind_and_its_months_are_those_of_the_made_up_lives() -> None:
    found = lived(worse)
    assert (found.worst.name, found.way, found.first, found.turn) == (FEMALES, WORSE, 1, 3)
    mean = 0.5 + np.mean([luck(trial) for trial in range(16)])
    assert found.of(1).lost[FEMALES].value == pytest.approx(mean)
    assert found.of(3).lost[FEMALES].value == pytest.approx(1.6 * mean)
    share = (2 * MONTH_D - 39) / MONTH_D  # of the second month
    assert found.of(2).lost[FEMALES].value == pytest.approx(mean * (1 + 0.6 * share))
    assert found.of(3).pinned.value == 1.0 > found.of(1).pinned.value == 0.0
    assert found.turned.value == pytest.approx(0.6 * mean)


def test_a_life_that_goes_on_as_it_began_or_eases_is_said_to() -> None:
    assert lived(steady).way == STEADY
    found = lived(eases)
    assert (found.way, found.last) == (BETTER, 3)
    assert brief_of(found).verdict.startswith(
        "It eases: T. duboisi females (3) keep 50 % of the swimming about "
    )
    assert "no month stands out" in brief_of(lived(steady)).verdict


def test_a_change_that_luck_explains_is_no_change() -> None:
    def scattered(_: Scenario, fish: Individual, trial: int, day: int) -> float:
        return 0.5 + 0.2 * np.random.default_rng([trial, day]).standard_normal() * (fish.sex == "female")

    assert lived(scattered).way == STEADY


def test_other_fish_are_told_of_when_asked_about() -> None:
    scenario = tank()
    plan = plan_of(scenario, months=3, whom=asked_for(scenario, HOT))
    found = answer_of(plan, Lives(worse))
    assert (found.worst.name, found.way, len(plan.kinds)) == (HOT, STEADY, 5)
    assert found.of(1).lost[HOT].value == pytest.approx(found.of(1).lost[f"{HOT} males"].value)
    assert "all along: P. trewavasae (4) keep 89 %" in brief_of(found).verdict


def test_who_chases_the_worst_off_is_named_by_share() -> None:
    found = lived(steady)
    shares = {one.name: one.share.value for one in found.givers}
    assert sum(shares.values()) == pytest.approx(1.0)
    assert shares == pytest.approx({f"{MILD} female": 2 / 6, f"{HOT} male": 2 / 6, f"{HOT} female": 2 / 6})


def test_what_is_dated_is_held_against_the_same_lives_without_it() -> None:
    scenario = tank(more=DATED)
    plan = plan_of(scenario, months=3)
    assert plan.without is not None and not plan.without.events and plan.changed_day == 30
    found = lived(helped, scenario=scenario)
    assert found.dated is not None and found.dated.value == pytest.approx(-0.1)
    said_of_it = "What is done from day 30 on helps them: 10 % more kept (10 to 10 %)."
    assert brief_of(found).beside.endswith(said_of_it)
    assert f"day 30, {HOT} male 1 taken out" in said(found)
    assert lived(steady).dated is None and "What is done" not in brief_of(lived(steady)).beside


HOT_MALE = f"{HOT} male 1"


def out_helps(scenario: Scenario, fish: Individual, trial: int, day: int) -> float:
    """In three tanks of four the females are shut away from day 40 on, and not once a threadfin is out."""
    out = [one.day for one in scenario.events]
    bad = day >= 40 and trial % 4 != 3 and not (out and day >= out[0])
    return 0.1 if fish.species == HOT or fish.sex == "male" else (0.6 if bad else 0.2) + luck(trial)


def test_the_first_thing_to_do_is_whoever_chases_most_out_before_it_goes_wrong() -> None:
    found = lived(out_helps, scenario=tank(trials=24))
    first = found.to_do
    assert first is not None and first.helps and first.tanks == 16
    assert (first.deed.label, first.deed.day, first.deed.week) == (HOT_MALE, 35.0, 5), "wrong from day 40 on"
    bad = np.array([0.4 * (trial % 4 != 3) for trial in range(16)])  # on every day but the first that counts
    assert first.more.value == pytest.approx(-bad.mean() * (91 - 39) / (91 - 35))
    told = brief_of(found)
    kept = f"then they keep 80 % instead of {100 * (0.8 + first.more.value):.0f} %"
    assert f"First: one of the P. trewavasae males (2) out by week 5, {kept} (+" in told.beside
    assert len(as_text(told.section).splitlines()) <= MOST_LINES
    assert "taken out for good by week 5, on day 35: then they keep" in said(found)
    assert whole_json(found)["first_thing_to_do"]["deed"]["day"] == 35.0


def test_what_does_not_help_is_said_and_what_need_not_be_done_is_not_tried() -> None:
    useless = lived(worse)
    assert useless.to_do is not None and useless.to_do.deed.week == 0, "it goes wrong from the start"
    assert "out at once is not seen to help (+0 to +0 %)." in brief_of(useless).beside
    assert lived(lambda *_: 0.1).to_do is None, "it never goes wrong"
    assert lived(worse, scenario=tank(more=DATED)).to_do is None, "something is dated already"
    assert lived(late).to_do is None, "nobody chases the one it is about"


def test_a_date_within_the_life_may_be_later_than_a_run_of_days_would_want() -> None:
    late = DATED.replace("day = 30", "day = 500")
    assert plan_of(tank(more=late), months=18).changed_day == 500
    with pytest.raises(LifeError, match="on day 500, and the life ends on day 487"):
        plan_of(tank(more=late), months=16)


def test_the_first_lines_of_a_life() -> None:
    found = lived(worse, scenario=tank(more=DATED))
    told = brief_of(found)
    assert told.question == "What helps the duboisi?"
    assert f"keep 50 % {KEPT} in month 1, 20 % in month 3 ({word(0.8)})" in told.verdict
    assert " It goes wrong (hard pressed or worse) in 16 of 16 tanks by month 3 (" in told.verdict
    assert told.sure.startswith("How sure: 20 % is ")
    assert len(as_text(told.section).splitlines()) <= MOST_LINES


def test_the_whole_answer_names_every_kind_and_month_and_what_is_left_out() -> None:
    text = said(lived(worse))
    for kind in (FEMALES, f"{MILD} male", f"{HOT} males", f"{HOT} females"):
        assert kind in text
    assert f"{FEMALES}: 6.4 cm (2.5 in) to 8.4 cm (3.3 in)." in text and "Left out: age" in text


def test_ctrl_c_answers_from_the_lives_that_are_over() -> None:
    found = lived(worse, stop_after=6)
    assert found.stopped and len(found.lives) == 6
    assert "Stopped by Ctrl-C: of what was done so far." in said(found)
    with pytest.raises(KeyboardInterrupt):
        lived(worse, stop_after=LEAST_TRIALS - 1)


# ---- when it goes wrong, and who is who


def late(_: Scenario, fish: Individual, trial: int, day: int) -> float:
    """In three tanks of four the duboisi are shut away from day 40 on; in all on one day alone, day 12."""
    bad = day == 12 or (day >= 40 and trial % 4 != 3)
    return 0.1 if fish.species == HOT else 0.6 if bad else 0.2


def test_it_goes_wrong_on_the_first_bad_day_that_another_follows() -> None:
    trouble = lived(late).trouble
    assert [one.hits for one in trouble.by_month] == [0, 12, 12] and trouble.at_once == trouble.left == 0
    assert {one.day for one in trouble.onsets} == {None, 40} and trouble.half_d == 40
    low, high = trouble.by_month[-1].low, trouble.by_month[-1].high
    assert 0.4 < low < 0.75 < high < 0.95
    told = said(lived(late))
    assert "in 12 of 16 tanks by month 3 (" in told and ", in half by week 6." in told
    assert "The other 4 tanks did not as long as they were watched, 91 days" in told
    assert lived(steady).trouble.at_once == sum(0.5 + luck(trial) > 0.45 for trial in range(16))


def test_fish_that_are_taken_out_before_it_goes_wrong_are_not_counted_as_well_off() -> None:
    out = f'[[event]]\nday = 60\nout = ["{MILD} male 1", "{MILD} females"]\n'
    scenario = tank(more=out)
    plan = plan_of(scenario, months=3, whom=asked_for(scenario, MILD))

    def gone(scenario: Scenario, fish: Individual, trial: int, day: int) -> float:
        return late(scenario, fish, trial, day) if trial % 2 else 0.1

    trouble = answer_of(plan, Lives(gone, out_from=60)).trouble
    assert trouble.by_month[-1].hits == 4 and trouble.left == 12
    assert {one.watched for one in trouble.onsets} == {54}


def showed(fish: Individual, trial: int) -> tuple[bool, int]:
    """Of four young so many are male as the tank's number says; they mature before trouble, others later."""
    male = fish.sex == "male" or (fish.sex == "unsexed" and fish.number <= 1 + trial % 3)
    early = 35 if trial % 4 != 3 else 999
    return male, early if fish.sex == "unsexed" and male else 999 if fish.sex == "unsexed" else 0


def test_the_first_sign_is_what_came_before_trouble_and_not_at_other_times() -> None:
    found = lived(late, scenario=tank(young=True), grown=showed)
    sign = found.trouble.first_sign
    assert sign is not None and (sign.what, sign.before, sign.of, sign.otherwise) == (SHOWED, 12, 12, 0.0)
    assert (
        "First sign: a male had just shown (in 12 of 12 tanks; at other times 0 %)." in brief_of(found).beside
    )
    always = lived(late, scenario=tank(young=True), grown=showed, holder=lambda trial, day: f"{HOT} male 1")
    assert OWNER not in {one.what for one in always.trouble.signs}


def test_an_owner_that_changes_all_the_time_is_no_sign() -> None:
    def turns(trial: int, day: int) -> str:
        return f"{HOT} male {1 + (DAYS.index(day) + trial) // 2 % 2}"

    (sign,) = lived(late, holder=turns).trouble.signs
    assert sign.what == OWNER and sign.otherwise > 0.4 and not sign.told


def test_males_that_turned_up_are_counted_tank_by_tank() -> None:
    found = lived(late, scenario=tank(young=True), grown=showed)
    (kind,) = found.unsexed
    assert (kind.fish, kind.species) == (4, MILD)
    assert [(one.males, one.tanks) for one in kind.by_males] == [(1, 6), (2, 5), (3, 5)]
    assert sum(one.wrong for one in kind.by_males) == 12
    assert kind.showed == pytest.approx(np.mean([(1 + t % 3) * (t % 4 != 3) for t in range(16)]))
    assert "how many of 4 turned out male" in said(found)
    assert lived(late).unsexed == ()


def test_ground_and_chases_are_told_by_week_and_sex() -> None:
    found = lived(late, holder=lambda trial, day: f"{HOT} male 1" if day < 40 else f"{MILD} male 1")
    ground = {one.part.name: one for one in found.weekly.ground}
    assert len(ground[f"{HOT} male"].holds) == 13 == len(found.lost_weekly[FEMALES])
    assert (ground[f"{HOT} male"].holds[0], ground[f"{HOT} male"].holds_most[0]) == (0.5, 1.0)
    assert (ground[f"{MILD} male"].holds[-1], ground[f"{HOT} male"].holds[-1]) == (1.0, 0.0)
    chased = {(one.by.name, one.of.name): one.an_hour for one in found.weekly.chased}
    assert chased[f"{HOT} male", f"{MILD} female"] == pytest.approx(
        [2 * 3 / 3 / 3] * 13
    )  # a day of three hours
    assert f"{MILD} female by {HOT} male" in said(found)
    dated = lived(late, scenario=tank(more=DATED), holder=lambda trial, day: f"{HOT} male 1")
    week = next(line for line in as_text(document_of(dated)).splitlines() if line.split()[:1] == ["5"])
    assert week.split()[1] == "80" and "P. trewavasae male" in week and "male 1 taken out" in said(dated)
    assert whole_json(dated)["dated"] == [{"day": 30.0, "what": f"{HOT} male 1 taken out"}]


def test_whom_it_is_about_follows_the_one_rule_and_is_said_where_it_is_not_the_watched() -> None:
    def hot_ones(_: Scenario, fish: Individual, trial: int, __: int) -> float:
        hot = fish.species == HOT and fish.sex == "female"
        return 0.6 if hot and trial < 16 else 0.5 if trial >= 16 and fish.species == MILD else 0.1

    silent = tank(trials=80)
    found = lived(hot_ones, scenario=replace(silent, run=replace(silent.run, watch=MILD)))
    assert found.worst.name == f"{HOT} females"
    assert "The file watches T. duboisi; they fare better." in brief_of(found).verdict
    assert "file watches" not in brief_of(lived(hot_ones, scenario=silent)).verdict


def test_no_interval_goes_beyond_what_a_figure_can_be() -> None:
    found = lived(lambda _, fish, trial, __: 0.5 if trial else -0.1, scenario=tank(trials=4))
    lost = found.of(1).lost[found.worst.name]
    assert 1 - lost.low <= 1 / 0.9 + 1e-9 and 1 - lost.high >= 0.0
    assert found.lost.low >= 1 - 1 / 0.9 - 1e-9


# ---- files and picture


def test_files_hold_the_months_and_a_row_a_tank_day_and_kind() -> None:
    found = lived(worse)
    rows = list(csv.DictReader(io.StringIO(rows_text(found))))
    assert list(rows[0]) == list(COLUMNS) and len(rows) == 16 * 10 * 4
    last = next(row for row in rows if (row["trial"], row["day"], row["fish"]) == ("0", "88", FEMALES))
    assert float(last["lost_share_of_free_swimming_if_left_alone"]) == pytest.approx(1.6 * 0.46)
    assert (last["there"], last["pinned"], last["from_day"]) == ("3", "3", "87")
    told = json.loads(json.dumps(whole_json(found), allow_nan=False))
    assert [one["month"] for one in told["months"]] == [1, 2, 3] and told["way"] == WORSE


def test_every_word_of_the_picture_can_be_read_and_it_carries_its_words(tmp_path: Path) -> None:
    found = lived(worse, scenario=tank(more=DATED))
    assert len(assert_legible(life_picture(found), least=1080 / 30)) > 10
    saved = save_life(found, tmp_path / "life.png")
    assert_page(saved.path, life_caption(found))
    assert f"{FEMALES}: 50" in saved.caption


# ---- what is refused, and the command


@pytest.mark.parametrize(
    ("scenario", "months", "said"),
    [
        (tank(), 0, "0 months are lived; use 1 to 24"),
        (tank(), 25, "25 months are lived; use 1 to 24"),
        (tank(trials=LEAST_TRIALS - 1), 3, "3 simulated tanks are too few; use at least 4"),
        (tank(more=DATED), 1, "taken out on day 30, and the life ends on day 30; let changes come two days"),
    ],
)
def test_a_life_that_cannot_be_lived_is_refused(scenario: Scenario, months: int, said: str) -> None:
    with pytest.raises(LifeError, match=said):
        plan_of(scenario, months=months)


def test_the_command_lives_a_month_and_goes_on_from_its_folder(
    tmp_path: Path, capsys: Capsys, monkeypatch: Patch
) -> None:
    work_in(tmp_path, monkeypatch, tiny=four_fish(title="Tiny", days=2, lit_hours=1, trials=4, seed=5))
    line = ("life", "tiny.toml", "--months", "1", "--out", "result")
    first = answered(capsys, *line)
    assert first.out.startswith("How do the fish fare over 1 month?")
    again = answered(capsys, *line, "--json")
    assert "holds 8 finished simulated tanks" in again.err, "as they are, and with the first thing to do"
    assert json.loads(again.out)["days_lived"] == 30
    assert {one.name for one in (tmp_path / "result").iterdir()} >= {"life.csv", "life.json", "life.png"}
    other = (*line[:3], "2", *line[4:])
    assert_refused(capsys, *other, said="option months is 1 there and 2 here")
    assert_refused(capsys, "life", "tiny.toml", "--months", "900", said="use 1 to 24 months")
    assert_refused(capsys, "life", "tiny.toml", "--days", "9", said="--days is 9; use --months")


def test_a_design_answers_alike_however_often_it_is_asked() -> None:
    plan = plan_of(tank(), months=3)
    assert whole_json(answer_of(plan, Lives(worse))) == whole_json(answer_of(plan, Lives(worse)))
