"""Room files: what is understood, every problem at once with its line, and limits that stand in the way."""

from __future__ import annotations

from pathlib import Path

import pytest
from rockshy.analysis.questions.place.choices import RoomError
from rockshy.analysis.questions.place.design import Design, plan_of
from rockshy.analysis.questions.place.order import in_order
from rockshy.analysis.questions.place.reading import load, parse
from rockshy.analysis.questions.place.room import Home, Room
from rockshy.analysis.questions.place.search import Moves, Search, Shares
from rockshy.scenarios import rooms
from rockshy.sim.fish.population import individuals
from rockshy.sim.scenario.reading import ScenarioError

TEXT = """
title = "Stonecomb club, two shelves"
[[tank]]
name = "Upper"
length = "120 cm"
front_to_back = "40 cm"
height = "40 cm"
rock = { cover = "40 %" }
stock = [
    { species = "duboisi", males = 2, females = 4, length = "9-12 cm" },
    { species = "Petrochromis trewavasae", males = 1, females = 4 },
]
[[tank]]
name = "Lower"
length = "100 cm"
front_to_back = "40 cm"
height = "40 cm"
most_fish = 9
[[group]]
name = "the trio"
now = "Upper"
fish = ["duboisi male 2", "duboisi female 3", "duboisi female 4"]
[[group]]
name = "new gobies"
stock = [{ species = "Eretmodus cyanostictus", males = 1, females = 2 }]
price = 45
[limits]
apart = [["the trio", "duboisi"]]
most_money = 50
"""


def room(old: str = "", new: str = "") -> Room:
    assert old in TEXT
    return parse(TEXT.replace(old, new, 1) if old else TEXT, name="room.toml")


def test_every_fish_is_the_same_individual_wherever_it_lives() -> None:
    found = room()
    assert found.names == ("the trio", "new gobies", "the other T. duboisi", "the P. trewavasae")
    assert found.sizes == (3, 3, 3, 5)
    trio = set(found.labels[0])
    assert trio == {f"Tropheus duboisi {fish}" for fish in ("male 2", "female 3", "female 4")}
    for home in (Home(0, 0, 1), Home(1, 0, 1), Home(1, 0, 3)):
        scenario = found.scenario(home)
        assert scenario is not None
        there = {one.label: one for one in individuals(scenario.stock)}
        assert trio <= set(there)
        assert sorted(there) == sorted(label for k in found.inside(home) for label in found.labels[k])
        assert {there[label].row.length_cm for label in trio} == {(9.0, 12.0)}
    assert found.scenario(Home(1, 0, 0)) is None


def test_who_is_moved_comes_in_after_those_who_are_there() -> None:
    scenario = room().scenario(Home(0, 0, 3))
    assert scenario is not None
    days = {one.species: one.row.day for one in individuals(scenario.stock)}
    assert days["Eretmodus cyanostictus"] > 0 == days["Tropheus duboisi"]


PROBLEMS = {
    (
        'now = "Upper"',
        'now = "Uper"',
    ): 'line 21, group 1, now is "Uper"; use a tank of the room: Upper, Lower. Did you mean Upper?',
    ("duboisi male 2", "duboisi male 3"): 'group 1, fish is "duboisi male 3"; use a fish of Tropheus duboisi',
    ("price = 45", "price = -1"): "group 2, price is -1; use a whole number from 0 to 1000000",
    ("most_fish = 9", 'most_fish = "9"'): 'tank 2, most_fish is "9"; use a whole number from 0 to 120',
    ('"duboisi"]]', '"dubosi"]]'): "Did you mean duboisi?",
    ("most_money = 50", "most_monney = 50"): "there is no such field; use",
    ('name = "Lower"', 'name = "upper"'): "another name: two are called so",
    ("males = 2, females", "males = 2, day = 3, females"): "day",
}


@pytest.mark.parametrize(("change", "said"), PROBLEMS.items())
def test_a_problem_is_told_with_its_place(change: tuple[str, str], said: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        room(*change)
    assert said in str(caught.value)


def test_all_problems_are_told_at_once() -> None:
    text = TEXT
    for old, new in PROBLEMS:
        text = text.replace(old, new, 1)
    with pytest.raises(ScenarioError) as caught:
        parse(text, name="room.toml")
    assert len(caught.value.problems) >= 5
    assert all(one.line for one in caught.value.problems)


def test_a_tank_may_stand_in_a_file_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "upper.toml").write_text(
        '[tank]\nlength = 120\nfront_to_back = 40\nheight = 40\n[[stock]]\nspecies = "duboisi"\n'
        'males = 2\nfemales = 4\n[[stock]]\nspecies = "Petrochromis trewavasae"\nmales = 1\nfemales = 4\n',
        encoding="utf-8",
    )
    own = TEXT[TEXT.index("length") : TEXT.index('[[tank]]\nname = "Lower"')]
    (tmp_path / "room.toml").write_text(TEXT.replace(own, 'file = "upper.toml"\n'), encoding="utf-8")
    assert load(tmp_path / "room.toml").labels == room().labels
    (tmp_path / "room.toml").write_text(TEXT.replace(own, 'file = "uper.toml"\n'), encoding="utf-8")
    with pytest.raises(ScenarioError, match=r"line 5, tank 1, file.*Did you mean .*upper.toml"):
        load(tmp_path / "room.toml")


STUCK = {
    ("most_fish = 9", "most_fish = 2"): "at most 2 fish in Lower (line 13)",
    ("most_fish = 9", "may_be_empty = false\nmost_fish = 2"): "at most 2 fish in Lower",
}


@pytest.mark.parametrize(("change", "said"), STUCK.items())
def test_a_room_that_nobody_can_satisfy_says_which_limit_stands_in_the_way(
    change: tuple[str, str], said: str
) -> None:
    with pytest.raises(RoomError) as caught:
        Design(plan_of(room(*change)))
    assert said in str(caught.value)
    assert "no plan keeps every limit" in str(caught.value)


def test_an_exchange_needs_one_bucket_and_keeps_enemies_apart_on_the_way() -> None:
    text = TEXT.replace("most_money = 50", "most_moves = 2").replace("most_fish = 9", "most_fish = 3")
    text = text.replace("price = 45", 'now = "Lower"').replace('"duboisi"]]', '"new gobies"]]')
    found = parse(text, name="room.toml")
    search = Search(found, Shares(range(8), range(8, 16), range(16, 32)))
    homes = (Home(0, 0, 2), Home(1, 0, 1))
    assert homes[0] in search.homes[0] and homes[1] in search.homes[1]
    plan = Moves(homes, 0, None)  # type: ignore[arg-type]
    steps = in_order(found, plan, (0, 1))
    assert [(one.group, one.end, one.waits) for one in steps] == [
        ("the trio", "", True),
        ("new gobies", "Upper", False),
        ("the trio", "Lower", False),
    ]
    assert not any(one.breaks for one in steps)


@pytest.mark.parametrize("name", rooms.names())
def test_the_ready_rooms_can_be_planned(name: str) -> None:
    found = parse(rooms.text(name), name=name)
    assert found.question
    assert Design(plan_of(found)).search.homes
