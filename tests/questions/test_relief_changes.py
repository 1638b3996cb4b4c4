"""The ordinary changes to a tank: what they are, what they take, and which do not apply."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_relief import HOT, MILD, base, there
from rockshy.analysis.measures.whom import FishGroupError, asked_for, kinds_of
from rockshy.analysis.questions.relief.change import Change, LeftOut
from rockshy.analysis.questions.relief.changes import CHIEF, ordinary_changes, without_each
from rockshy.analysis.questions.relief.costs import Cost, cost_words, kg_of
from rockshy.analysis.questions.rock.amount import amount_of
from rockshy.sim.run.drawing import draw_trial_rock
from rockshy.sim.scenario.scenario import CreviceSpec, Scenario
from rockshy.sim.scenario.timeline import RockAnew

THIRD = "Eretmodus cyanostictus"
WITH_THIRD = f'[[stock]]\nspecies = "{THIRD}"\nmales = 1\nfemales = 1\n[run]'


def tried(scenario: Scenario, whom: str = "duboisi females") -> tuple[dict[str, Change], dict[str, str]]:
    changes, left_out = ordinary_changes(scenario, whom=asked_for(scenario, whom))
    assert len({one.name for one in changes}) == len(changes)
    assert all(isinstance(one, LeftOut) for one in left_out)
    return {one.name: one for one in changes}, {one.name: one.reason for one in left_out}


def made(name: str, scenario: Scenario | None = None, whom: str = "duboisi females") -> Scenario:
    change = tried(base() if scenario is None else scenario, whom)[0][name]
    assert change.scenario is not None
    return change.scenario


def test_every_ordinary_change_is_there() -> None:
    changes, left_out = tried(base())
    assert list(changes) == [
        CHIEF,
        f"{MILD} male 1 out",
        f"one {MILD} female out",
        f"one {HOT} male out",
        f"one {HOT} female out",
        f"2 more females of {MILD}",
        f"2 more females of {HOT}",
        f"2 of the 4 {HOT} out",
        "a second pile with a gap, of the same rock",
        "rock up to 30 cm (12 in) instead of 20 cm (7.9 in)",
        "rock on 50 % of the floor instead of 30 %",
        "the same rock re-arranged",
        f"{MILD} in 1 day before all others",
        "a tank 150 cm (59 in) long instead of 100 cm (39 in), rock on the same share of the floor",
        f"{MILD} with its own kind only",
    ]
    assert left_out == {
        f"down to one male of {MILD}": "one male only",
        f"down to one male of {HOT}": "comes to the same as one male out",
        f"half of {MILD} out": "it is the species that is to be helped",
        f"all {MILD} out": "it is the species that is to be helped",
        f"all {HOT} out": "comes to the same as own kind only",
        "the hottest species in last": "needs three species; with two it is the other one in first",
    }


def test_fish_changes_take_out_those_they_say() -> None:
    changes, _ = tried(base())
    everybody = there(base())
    for name, gone in (
        (f"one {HOT} male out", {f"{HOT} male 2"}),
        (f"2 of the 4 {HOT} out", {f"{HOT} male 2", f"{HOT} female 2"}),
        (f"{MILD} with its own kind only", {one for one in everybody if one.startswith(HOT)}),
    ):
        change = changes[name]
        assert change.scenario is not None
        assert everybody - there(change.scenario) == set(change.out) == gone
        assert (change.cost.nets, change.cost.homes) == (len(gone), len(gone))
    more = changes[f"2 more females of {HOT}"]
    assert more.scenario is not None
    assert there(more.scenario) - everybody == {f"{HOT} female 3", f"{HOT} female 4"}
    assert more.cost == Cost(bought=2, undone="undone by catching them again")
    assert "any one of 3 described alike" in changes[f"one {MILD} female out"].note
    assert changes[f"{MILD} male 1 out"].note == ""


def test_down_to_one_male_from_many() -> None:
    many = base("males = 2\nfemales = 2", "males = 5\nfemales = 2")
    new = made(f"down to one male of {HOT}", many)
    assert there(many) - there(new) == {f"{HOT} male {k}" for k in (2, 3, 4, 5)}
    assert len(there(made(f"5 more females of {HOT}", many))) == len(there(many)) + 5


def test_pairs_get_no_females_and_keep_their_males() -> None:
    _, left_out = tried(base("[run]", WITH_THIRD))
    for name in (f"more females of {THIRD}", f"down to one male of {THIRD}"):
        assert left_out[name] == "it does not live as a male with several females"


def test_three_species_can_come_in_order_and_go_one_by_one() -> None:
    three = base("[run]", WITH_THIRD)
    last = made(f"{HOT} in 1 day after all others", three)
    days = {row.species: row.day for row in last.stock}
    assert days == {MILD: 0, HOT: 1, THIRD: 0}
    first = made(f"{MILD} in 1 day before all others", three)
    assert {row.species: row.day for row in first.stock} == {MILD: 0, HOT: 1, THIRD: 1}
    assert there(first) == there(three)
    gone = made(f"all 4 {HOT} out", three)
    assert there(three) - there(gone) == {one for one in there(three) if one.startswith(HOT)}
    already = base('species = "Petrochromis trewavasae"', 'species = "Petrochromis trewavasae"\nday = 2')
    assert tried(already)[1][f"{MILD} in first"] == "they come in so already"


def test_what_is_measured_stays_where_it_was() -> None:
    late = base('species = "Petrochromis trewavasae"', 'species = "Petrochromis trewavasae"\nday = 2')
    alone = made(f"{MILD} with its own kind only", late)
    for scenario in (late, alone):
        assert scenario.last_change_day + scenario.run.settle_days == 3
        assert scenario.last_change_day + scenario.run.days == 4


def test_rock_changes_do_what_they_say() -> None:
    rock = base().rock
    assert made("a second pile with a gap, of the same rock").rock == replace(rock, piles=2)
    assert made("rock up to 30 cm (12 in) instead of 20 cm (7.9 in)").rock == replace(rock, height_cm=30)
    assert made("rock on 50 % of the floor instead of 30 %").rock == replace(rock, cover=0.5)
    longer = made("a tank 150 cm (59 in) long instead of 100 cm (39 in), rock on the same share of the floor")
    assert longer.tank == replace(base().tank, length_cm=150.0) and longer.rock == rock
    high = base("height = 20", "height = 39")
    assert "rock up to 40 cm" not in "".join(tried(high)[0])
    assert "below the surface already" in tried(high)[1]["taller rock"]
    crowded = base("cover = 0.3\nheight = 20", "cover = 0.7\nheight = 40")
    assert tried(crowded)[1]["more cover"] == "rock would fill more than 60 % of the water"
    full = base("cover = 0.3", "cover = 0.85")
    assert tried(full)[1]["more cover"] == "rock is on 85 % of the floor already"


def test_rearranged_rock_is_another_draw_of_the_same_rock() -> None:
    was, new = base(), made("the same rock re-arranged")
    assert new.timeline.of(RockAnew)[0].day == was.last_change_day + was.run.settle_days
    assert new.run.settle_days == 0 and new.run.days == was.run.days - was.run.settle_days
    one, other = (draw_trial_rock(scenario, trial=3, draw=2) for scenario in (was, new))
    assert not np.array_equal(one.top_cm, other.top_cm)
    assert (one.top_cm > 0).mean() == pytest.approx((other.top_cm > 0).mean(), abs=0.01)
    same = draw_trial_rock(replace(new, events=()), trial=3, draw=2)
    np.testing.assert_array_equal(one.top_cm, same.top_cm)
    assert one.crevices == same.crevices


def test_a_bare_tank_has_no_rock_to_change_but_can_be_given_some() -> None:
    changes, left_out = tried(base("cover = 0.3\nheight = 20\npiles = 1\npiece_size = 12", "cover = 0"))
    for name in ("rock in one more pile", "taller rock", "rock re-arranged"):
        assert left_out[name] == "there is no rock"
    new = changes["rock on 30 % of the floor, up to 40 cm (16 in) high"]
    assert new.scenario is not None
    assert (new.scenario.rock.cover, new.scenario.rock.height_cm) == (0.3, 40)
    longer = changes["a tank 150 cm (59 in) long instead of 100 cm (39 in)"]
    assert longer.cost.rock_kg is None and longer.cost.new_tank


def test_sketched_rock_and_listed_crevices_stay_as_they_are() -> None:
    sketch = base("cover = 0.3\nheight = 20\npiles = 1\n", 'sketch = ["0220", "0110"]\n')
    listed = base()
    listed = replace(listed, rock=replace(listed.rock, crevices=(CreviceSpec(10, 10, 1, 4, 10),)))
    for scenario, reason in ((sketch, "stands as sketched"), (listed, "listed one by one")):
        changes, left_out = tried(scenario)
        for name in ("rock in one more pile", "taller rock", "more cover", "rock re-arranged"):
            assert reason in left_out[name]
        assert any(name.startswith("a tank 150 cm") for name in changes)


def test_limits_leave_changes_out() -> None:
    long = base("length = 100", "length = 280")
    assert "is longer, or holds more, than a tank here may" in tried(long)[1]["longer tank"]
    full = base("males = 2\nfemales = 2", "males = 2\nfemales = 114")
    assert "more than 120 fish" in tried(full)[1][f"more females of {MILD}"]
    one_pile = base("piece_size = 12", "piece_size = 60")
    assert tried(one_pile)[1]["rock in one more pile"] == "no room for another pile and a gap"
    late = base('species = "Petrochromis trewavasae"', 'species = "Petrochromis trewavasae"\nout = 0.8')
    assert "taken out before day 1" in tried(late)[1][f"{MILD} in first"]


def test_a_single_fish_leaves_little_to_try() -> None:
    text = 'males = 1\nfemales = 3\n[[stock]]\nspecies = "Petrochromis trewavasae"\nmales = 2\nfemales = 2'
    changes, left_out = tried(base(text, "males = 1"), "male 1")
    assert CHIEF not in changes and left_out[CHIEF] == "there is one fish only"
    assert left_out[f"{MILD} male 1 out"] == "no fish would be left"
    assert left_out["own kind only"] == "it is with its own kind only already"
    assert f"2 more females of {MILD}" in changes


def test_without_each_leaves_out_one_fish_and_renumbers_nobody() -> None:
    found = without_each(base())
    assert set(found) == there(base())
    for label, scenario in found.items():
        assert there(base()) - there(scenario) == {label}
        assert there(scenario) < there(base())


# ---- what they take


def test_kilograms_by_hand() -> None:
    low, high = kg_of(100.0)  # litres, half to seven tenths of it limestone of 2.2 to 2.7 kg/L
    assert (low, high) == pytest.approx((110.0, 189.0))
    changes, _ = tried(base())
    all_of_it = kg_of(amount_of(base()).bulk_l.middle)
    assert changes["the same rock re-arranged"].cost.rock_kg == pytest.approx(all_of_it)
    more = changes["rock on 50 % of the floor instead of 30 %"]
    assert more.scenario is not None and more.cost.rock_kg is not None
    added = kg_of(amount_of(more.scenario).bulk_l.middle - amount_of(base()).bulk_l.middle)
    assert more.cost.rock_kg == pytest.approx(added)
    longer = changes[
        "a tank 150 cm (59 in) long instead of 100 cm (39 in), rock on the same share of the floor"
    ]
    assert longer.scenario is not None and longer.cost.rock_kg is not None
    assert longer.cost.rock_kg == pytest.approx(kg_of(amount_of(longer.scenario).bulk_l.middle))
    assert longer.cost.nets == 8 and longer.cost.homes == 0


def test_costs_in_words() -> None:
    assert (
        cost_words(Cost(nets=1, homes=1, undone="can go back"))
        == "1 fish to catch and house elsewhere; can go back"
    )
    told = cost_words(Cost(nets=24, rock_kg=(84.6, 1234.0), new_tank=True, undone="no way back"))
    assert (
        told == "a new tank; 24 fish to catch; 85 to 1,200 kg of rock to lift (limestone, dry); no way back"
    )
    assert cost_words(Cost(rock_kg=(0.2, 4.4), undone="x")).startswith("1 to 4 kg")


# ---- whom


def test_fish_are_known_by_how_they_are_described() -> None:
    assert [(kind.name, len(kind.labels)) for kind in kinds_of(base())] == [
        (f"{MILD} male", 1),
        (f"{MILD} females", 3),
        (f"{HOT} males", 2),
        (f"{HOT} females", 2),
    ]
    apart = base(
        "females = 3",
        "females = 3\nholding = 1\n"
        '[[stock]]\nspecies = "Tropheus duboisi"\nfemales = 2\nlength = [8, 9]\nday = 1',
    )
    assert [kind.name for kind in kinds_of(apart) if "female" in kind.name and MILD in kind.name] == [
        f"{MILD} female (holding, length not given, in on day 0)",
        f"{MILD} females (not holding, length not given, in on day 0)",
        f"{MILD} females (not holding, 8 to 9 cm, in on day 1)",
    ]


@pytest.mark.parametrize(
    ("text", "name", "fish"),
    [
        ("Tropheus duboisi female 2", f"{MILD} females", 3),
        ("duboisi Female 2", f"{MILD} females", 3),
        ("trewavasae males", f"{HOT} males", 2),
        ("Tropheus duboisi", MILD, 4),
        ("duboisi male 1", f"{MILD} male", 1),
    ],
)
def test_fish_can_be_named_in_several_ways(text: str, name: str, fish: int) -> None:
    whom = asked_for(base(), text)
    assert (whom.name, len(whom.labels), whom.why) == (name, fish, "as you asked")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("duboisi female 4", f"Did you mean {MILD} female"),
        ("female 2", f"use a fish or a species of this tank: {MILD} male 1, {MILD} female 1 to 3"),
        ("trewavasai", "Did you mean trewavasae"),
        ("duboisi unsexed", f"use a fish of {MILD} in this tank"),
        ("", "use a fish or a species of this tank"),
        ("the big one", "use a fish or a species of this tank"),
        ("male", "use a fish or a species of this tank"),
    ],
)
def test_a_fish_that_is_not_there_is_refused(text: str, said: str) -> None:
    with pytest.raises(FishGroupError, match=said.replace("(", r"\(")):
        asked_for(base(), text)
