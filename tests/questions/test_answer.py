"""The answer in numbers, in words and for programs."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from fake_trials import HOT, MILD, blank_arm, bullied_tank, changed, fish_list, random_trials, with_arms
from rockshy.analysis.document import as_text
from rockshy.analysis.document.plain import called
from rockshy.analysis.measures import plight
from rockshy.analysis.measures.pinned import PinnedRule
from rockshy.analysis.measures.whom import Kind
from rockshy.analysis.questions.answer.answer import Answer, answer, to_json, words
from rockshy.analysis.questions.answer.brief import brief_of
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Trials


@cache
def found() -> Answer:
    return answer(bullied_tank())


def test_worst_off_first_and_the_most_chased_second() -> None:
    told = found()
    assert told.fish[0].label == f"{MILD} 1" and told.most_chased == f"{HOT} 2"
    assert told.fish[0].lost is not None and told.fish[0].lost.value == pytest.approx(0.75)
    assert told.worst_in_tank[MILD].hits == 8 and told.worst_in_tank[HOT].hits == 0
    text = as_text(words(told))
    assert "pinned as stocked: 5 of 8 simulated tanks (95 %:" in text
    assert re.search(rf"The worst-off fish belonged to {MILD} in 8 of 8 simulated tanks", text)
    assert text.index(f"Worst-off fish: {MILD} 1") < text.index(f"Most chased fish: {HOT} 2")
    assert text.index(f"Most chased fish: {HOT} 2") < text.index("Every fish, worst off first")


def test_the_most_chased_fish_is_named_once_when_it_is_the_worst_off() -> None:
    trials = bullied_tank()
    chases = trials.arms[AS_STOCKED].chases.copy()
    chases[:, 1, 0] = 90
    trials.arms[AS_STOCKED] = changed(trials.arms[AS_STOCKED], chases=chases)
    assert "Most chased fish" not in as_text(words(answer(trials)))


def test_figures_by_hand() -> None:
    """24 chases in 6 lit hours are 4 an hour, 24 of 54 chases; with its own kind 6 in 6 hours are 1."""
    mild = found().species[0]
    got = mild.figures[AS_STOCKED]
    assert got["received"].value == pytest.approx(4.0)
    assert got["share_received"].value == pytest.approx(24 / 54)
    assert got["pinned_hours"].value == pytest.approx(5 / 8)
    assert set(mild.pinned) == {AS_STOCKED, OWN_KIND}  # left alone is the yardstick itself
    assert mild.pinned[AS_STOCKED].hits == 5 and mild.pinned[AS_STOCKED].of == 8
    fish = found().fish[0]
    assert fish.ratio_own_kind is not None and fish.ratio_own_kind.value == pytest.approx(4.0)
    assert fish.figures[OWN_KIND]["received"].value == pytest.approx(1.0)
    assert found().measured_hours == 6.0 and found().guesses == 4
    told = found().hierarchy  # one hot fish chases the two others, which never meet; nothing goes upward
    assert told["linearity"].value == pytest.approx(1.0) and told["consistency"].value == 1.0


def test_of_a_single_species_nobody_says_whose_the_worst_off_are() -> None:
    trials = bullied_tank()
    told = answer(with_arms(blank_arm(AS_STOCKED, fish=fish_list(mild=3, hot=0), trials=4)))
    for found in (told, replace(answer(trials), species=answer(trials).species[:1])):
        assert "worst-off fish belonged" not in " ".join(as_text(words(found)).split())
    assert "worst-off fish belonged" in " ".join(as_text(words(answer(trials))).split())


HOT_ALIKE = Kind(f"{HOT} males", HOT, (f"{HOT} 1", f"{HOT} 2"))


def test_fish_that_are_the_same_to_the_model_are_ranked_and_named_together() -> None:
    """The hot ones give 54 chases in 6 hours, 4.5 an hour each, and only one of them gets 5 an hour."""
    trials = bullied_tank()
    single, told = answer(trials), answer(trials, alike=[HOT_ALIKE])
    assert [(one.label, one.labels) for one in told.alike] == [
        (f"{MILD} 1", (f"{MILD} 1",)),
        (HOT_ALIKE.name, HOT_ALIKE.labels),
    ]
    hot = told.alike[1]
    assert hot.figures[AS_STOCKED]["given"].value == pytest.approx(4.5)
    assert hot.figures[AS_STOCKED]["received"].value == pytest.approx(2.5)
    assert hot.lost is not None and hot.lost.value == pytest.approx(0.0)
    assert hot.pinned[AS_STOCKED].of == 8
    assert (told.fish, told.most_chased) == (single.fish, f"{HOT} 2")
    assert told.most_chased_alike == f"{MILD} 1"
    text = as_text(words(told))
    assert "Most chased fish" not in text and "P. trewavasae males (2)" in text
    assert "stand together, with how many they are" in " ".join(text.split())
    assert "stand together" not in as_text(words(single))


def test_unsexed_fish_are_split_by_what_they_turned_out_to_be() -> None:
    """Males keep a half and females nothing; one tank has two males, the others one of each."""
    fish = fish_list(mild=2, hot=1)
    arm, alone = (blank_arm(name, fish=fish, trials=8) for name in (AS_STOCKED, LEFT_ALONE))
    sex = np.array([[k % 2, (k + 1) % 2, 0] for k in range(8)], dtype=np.int8)
    sex[0, :2] = 0
    free = np.where(sex == 0, 0.5, 0.0) * arm.lit_s
    free[:, 2] = arm.lit_s[:, 2]
    trials = with_arms(changed(arm, free_s=free, sex=sex), changed(alone, sex=sex))
    labs = Kind(f"{MILD} unsexed fish", MILD, (f"{MILD} 1", f"{MILD} 2"))
    told = answer(trials, alike=[labs])
    (both,) = told.turned
    assert both.label == told.whom.name == labs.name and both.told
    assert both.male.lost is not None and both.male.lost.value == pytest.approx(0.5)
    assert both.female.lost is not None and both.female.lost.value == pytest.approx(1.0)
    assert both.male.fish == pytest.approx(9 / 8) and both.female.lost.trials == 7
    assert told.alike[0].single_fish == pytest.approx((0.5, 1.0))
    said = "Those that turn out male keep 50 %, those that turn out female 0 %."
    assert said in brief_of(told).verdict
    lines = as_text(words(told)).splitlines()
    row = next(k for k, line in enumerate(lines) if line.strip().startswith("T. duboisi unsexed fish"))
    turned = [line.split()[3:6] for line in lines[row:] if line.strip().startswith("- turned out")]
    assert turned == [["male", "50", "%"], ["female", "100", "%"]]
    assert to_json(told)["turned"][0]["female"]["lost"]["value"] == pytest.approx(1.0)  # type: ignore[index]
    same = with_arms(changed(arm, free_s=arm.lit_s / 2, sex=sex), changed(alone, sex=sex))
    assert "turn out" not in brief_of(answer(same, alike=[labs])).verdict


def test_the_verdict_names_all_that_are_alike_and_what_they_keep_on_the_mean() -> None:
    """One of two mild fish loses three quarters, the other nothing: 3/8 of what both would have."""
    fish = fish_list(mild=2, hot=1)
    arm, alone = (blank_arm(name, fish=fish, trials=4) for name in (AS_STOCKED, LEFT_ALONE))
    free = arm.free_s.copy()
    free[:, 1] /= 4
    trials = with_arms(changed(arm, free_s=free), alone)
    mild = Kind(f"{MILD} females", MILD, (f"{MILD} 1", f"{MILD} 2"))
    one = f"{called(f'{MILD} 2', MILD)} keeps 25 % of the swimming about it would do if left alone"
    assert one in brief_of(answer(trials)).verdict
    both = f"{called(mild.name, MILD, 2)} keep 62 % of the swimming about they would do if left alone"
    assert both in brief_of(answer(trials, alike=[mild])).verdict
    gone = changed(arm, free_s=free, lit_s=arm.lit_s * [0, 1, 1])
    assert one in brief_of(answer(with_arms(gone, alone), alike=[mild])).verdict


def line(text: str, start: str, block: str) -> str:
    """First line that begins so after the title of a block."""
    rest = text[text.index(block) :].splitlines()
    return next(one for one in rest if one.strip().startswith(start))


def test_both_controls_stand_beside_the_figures_of_the_mild_species() -> None:
    text = as_text(words(found()))
    title = f"{MILD}, 1 fish (mild species: named in the scenario)"
    assert line(text, "as stocked", title).split()[-4:] == ["own", "kind", "left", "alone"]
    assert line(text, "chased, times an hour (model scale)", title).split()[-2:] == ["0.50", "0"]
    assert line(text, "swims free", title).split()[-4:] == ["100", "%", "100", "%"]

    block = text[text.index("Worst-off fish") :]
    order = ["chased, times own kind only", "of all chases, received", "chased, times an hour (model scale)"]
    places = [block.index(label) for label in [*order, "hidden, of lit time", "pinned hours, of lit time"]]
    assert places == sorted(places)
    assert re.search(r"times own kind only +4\.0 x", block)

    for one in text.splitlines():
        if "an hour" in one and re.search(r"\d", one) and not one.startswith(("  num", '"')):
            assert "model scale" in one or "share of" in one or "within one place" in one, one


def test_whether_the_rate_is_still_moving() -> None:
    """The mild fish stays at 4; the hot one falls from 8 to 2.5 an hour; three fish: 4 to 2.17."""
    told = found()
    assert told.trends["received"].direction == "falling"
    assert told.trends["received"].change.value == pytest.approx((4 + 2.5) / 3 - (4 + 8) / 3)
    assert "still falling" in line(as_text(words(told)), "chased, times an hour", "Still moving?")
    assert "hidden, of lit time" in as_text(words(told))[as_text(words(told)).index("Still moving?") :]

    assert "too short to say" in as_text(words(answer(random_trials(hours=2))))


def test_without_controls_the_answer_says_what_it_cannot_tell() -> None:
    told = answer(with_arms(bullied_tank().arms[AS_STOCKED]))
    text = as_text(words(told))
    assert not told.freedom_checked and told.fish[0].lost is None and told.fish[0].label == f"{MILD} 1"
    for part in ("No controls were run", "swims free least stands first", "freedom could not be compared"):
        assert part in " ".join(text.split())
    said = " ".join(text.split()).replace(plight.IS_OWN, "").replace("times own kind", "")
    assert "own kind" not in said


def test_broken_off_runs_say_so() -> None:
    assert "6 of the 8 simulated tanks asked for" in as_text(words(answer(random_trials())))
    with pytest.raises(ValueError, match="no trial was finished"):
        answer(bullied_tank(tanks=0))
    arm = bullied_tank().arms[AS_STOCKED]
    with pytest.raises(ValueError, match="no fish was in the tank"):
        answer(with_arms(changed(arm, lit_s=0 * arm.lit_s)))


def test_fixed_runs_have_no_range_over_guesses() -> None:
    told = answer(bullied_tank(recipe={"fixed": True}))
    assert told.fixed and math.isnan(told.fish[0].figures[AS_STOCKED]["pinned_hours"].guess_low)
    assert "no range over guesses" in " ".join(as_text(words(told)).split())
    drawn = found()
    low = drawn.fish[0].figures[AS_STOCKED]["pinned_hours"].guess_low
    assert not drawn.fixed and low == pytest.approx(0.075)


def test_the_rule_is_a_setting_and_is_said() -> None:
    told = answer(bullied_tank(), rule=PinnedRule(place_share=0.95))
    assert told.species[0].pinned[AS_STOCKED].hits == 0 and told.cuts[0.8].hits == 5
    strict = answer(bullied_tank(), rule=PinnedRule(freedom_ratio=0.0))
    assert [count.hits for count in strict.cuts.values()] == [0, 0, 0]
    assert list(told.cuts) == [0.7, 0.8, 0.9, 0.95]
    assert "at least 95 % of it within one place" in " ".join(as_text(words(told)).split())


def hiding_tank(*, share: float, owner_s: float) -> Trials:
    """The mild fish hides 92 % of each hour, so much of it within one place and so long as an owner."""
    trials = bullied_tank()
    arm = trials.arms[AS_STOCKED]
    hidden, shares, owner = arm.hidden_s.copy(), arm.hour_share.copy(), arm.hour_owner_s.copy()
    hidden[:, 0], shares[:, 0], owner[:, 0] = 0.92 * arm.lit_s[:, 0], share, owner_s
    trials.arms[AS_STOCKED] = changed(arm, hidden_s=hidden, hour_share=shares, hour_owner_s=owner)
    return trials


@pytest.mark.parametrize(
    ("share", "owner_s", "said"),
    [
        (0.4, 0.0, "driven from one hiding place to the next, so not pinned to one place"),
        (0.95, 3000.0, "hides most of its time in a territory that it holds, which is not pinned"),
        (0.95, 0.0, ""),
    ],
)
def test_hiding_all_day_without_pinned_hours_is_explained(share: float, owner_s: float, said: str) -> None:
    found = answer(hiding_tank(share=share, owner_s=owner_s))
    got = found.fish[0].figures[AS_STOCKED]
    assert got["hidden"].value == pytest.approx(0.92)
    assert got["pinned_hours"].value == (0.0 if said else 1.0)
    text = " ".join(as_text(words(found)).split())
    assert said in text
    assert ("driven from" in text or "in a territory that it holds" in text) == bool(said)


@pytest.mark.parametrize(
    "trials", [random_trials(seed=s) for s in range(4)] + [bullied_tank(), bullied_tank(tanks=1)]
)
def test_words_keep_their_promises(trials: Trials) -> None:
    """At most 100 columns; never "safe"; no nan; ends with the caution; a fish is one of the model."""
    text = as_text(words(answer(trials)))
    assert max(len(one) for one in text.splitlines()) <= 100
    assert not re.search(r"\b(un)?safe|\bnan\b|\binf\b|-0 %|-0\.00", text, re.IGNORECASE)
    assert " ".join(text.split()).endswith("Follow the animal welfare law where you live.")
    assert "a fish of the model, not one of yours" in " ".join(text.split())


def test_many_fish_are_cut_and_counted() -> None:
    fish = fish_list(mild=2, hot=40)
    text = as_text(words(answer(with_arms(blank_arm(AS_STOCKED, fish=fish, trials=2)))))
    assert "and 18 more that are better off" in text


@pytest.mark.parametrize(
    "trials", [random_trials(), bullied_tank(), with_arms(bullied_tank().arms[AS_STOCKED])]
)
def test_json_is_strict_and_holds_every_number(trials: Trials) -> None:
    told = answer(trials)
    tree = json.loads(json.dumps(to_json(told), allow_nan=False))
    assert tree["confidence"] == 0.95 and tree["watch"] == MILD
    first = tree["fish"][0]["figures"][AS_STOCKED]["received"]
    assert first["value"] == told.fish[0].figures[AS_STOCKED]["received"].value
    assert {"low", "high", "guess_low", "guess_high", "ignorance", "trials"} <= set(first)
    assert set(tree["cuts"]) == {"0.7", "0.8", "0.9"}
    assert tree["trends"]["received"]["direction"] == told.trends["received"].direction
