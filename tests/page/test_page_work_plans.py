"""A fish room and a wish list on a page: the answers of the commands, what is shown, what is refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from fake_best import FISH, LIKED, LIMITS, TANK, World
from fake_placing import FakeTanks
from page_tasks import FakeTask, done_by
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.editing.copies import with_change
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.read import scenario_of
from rockshy.analysis.page.work import simulating
from rockshy.analysis.page.work.placing import place_fish
from rockshy.analysis.page.work.wishing import find_best
from rockshy.scenarios import rooms
from rockshy.sim.scenario.reading import ScenarioError

ROOM = rooms.text("club-room").replace("[limits]", "[run]\ntrials = 32\n[limits]")
THERE = '[[stock]]\nspecies = "Tropheus moorii"\nmales = 1\nfemales = 2\n'
EMPTY = TANK.format(seed=1, limits=LIMITS) + "".join(FISH.format(species=one, price=10) for one in LIKED)
STOCKED = EMPTY.replace("[run]", f"{THERE}[run]")


def made_up(patch: pytest.MonkeyPatch, tanks: Callable[..., Iterator[Any]]) -> None:
    def run(self: simulating.Count, scenarios: Sequence[Any], jobs: Sequence[Any]) -> Iterator[Any]:
        for one in tanks(scenarios, jobs):
            self.done += 1
            yield one

    patch.setattr(simulating.Count, "run", run)


def placed(patch: pytest.MonkeyPatch, text: str = ROOM, name: str = "room.toml", **what: Any) -> FakeTask:
    made_up(patch, FakeTanks())
    return done_by(place_fish, text, name=name, kind="place", **what)


def wished(patch: pytest.MonkeyPatch, text: str = STOCKED, **what: Any) -> FakeTask:
    made_up(patch, World(seed=1))
    return done_by(find_best, text, kind="best", **{"minutes": 1, **what})


def test_a_room_is_shown_before_and_after_with_the_lines_of_the_command(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    task = placed(monkeypatch)
    (result,) = task.results
    now, after = result["rack"]["sides"]
    assert [one["name"] for one in now["shelves"]] == ["Show tank", "Long shelf", "Short shelf", "Bare tank"]
    moved = [row["name"] for shelf in after["shelves"] for row in shelf["rows"] if row["came"]]
    assert moved == [step["group"] for step in result["json"]["plans"][0]["steps"]]
    assert sum(row["is_worst"] for shelf in now["shelves"] for row in shelf["rows"]) == 1
    assert result["headline"] == result["json"]["lines"][1:] and result["pieces"]
    (again,) = placed(monkeypatch, take="the curvifrons trio").results
    assert again["json"]["lines"][0] == "Which of my tanks can take the curvifrons trio?"


def test_the_ready_room_needs_no_text(monkeypatch: pytest.MonkeyPatch) -> None:
    assert placed(monkeypatch, "", "club-room").results[0]["json"]["title"] == "Stonecomb club, the fish room"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ROOM.replace('now = "Show tank"', 'now = "Shaw tank"', 1), "Did you mean Show tank"),
        (ROOM.replace("most_moves = 3", "most_moves = 99"), "most_moves is 99; use"),
        (
            ROOM.replace("most_fish = 22\nstock = [", "most_fish = 1\nstock = ["),
            "at most 1 fish in Show tank (line 7)",
        ),
        ("", "it is empty"),
        (STOCKED, "it is one tank"),
    ],
)
def test_a_wrong_room_is_said_and_nothing_runs(monkeypatch: pytest.MonkeyPatch, text: str, said: str) -> None:
    with pytest.raises((ScenarioError, RefusedError)) as refused:
        placed(monkeypatch, text)
    assert said in str(refused.value)


def test_no_file_of_the_disk_is_read_for_a_room(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "upper.toml").write_text(STOCKED, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    text = f'[[tank]]\nname = "a"\nfile = "upper.toml"\n{ROOM[ROOM.index("[[tank]]") :]}'
    with pytest.raises(ScenarioError, match="no other file is read here"):
        placed(monkeypatch, text)


def test_plans_of_a_wish_list_can_be_taken_as_copies(monkeypatch: pytest.MonkeyPatch) -> None:
    task = wished(monkeypatch)
    (result,) = task.results
    numbered = [one for one in result["front"]["plans"] if one["number"]]
    assert (
        [one["number"] for one in numbered]
        == [one["number"] for one in result["plans"]]
        == [*range(1, len(numbered) + 1)]
    )
    for number, (name, tank) in task.kept["changes"].items():
        assert result["plans"][number - 1]["can_copy"]
        copy = scenario_of(with_change(task.draft, name, tank)).alternatives[-1]
        assert copy.scenario.stock == tank.stock and copy.scenario.rock == tank.rock


def test_an_empty_tank_has_plans_and_a_typed_list_counts_instead_of_the_file(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    want = "Tropheus duboisi 1m 3-6f; Tropheus moorii; at most 12 fish"
    (result,) = wished(monkeypatch, EMPTY, want=want).results
    assert all(one["fish"] <= 12 for one in result["front"]["plans"])
    assert not any(one["can_copy"] for one in result["plans"])


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ({"want": "duboisy 1m 3f"}, "Did you mean"),
        ({"want": "duboisi 1m 3f; at most 2 fish"}, "fish"),
        ({"want": 7}, "what.want is 7; use text"),
        ({"minutes": "long"}, 'what.minutes is "long"; use 1 to 60'),
        ({"minutes": 1e9}, "use 1 to 60"),
        ({"tanks": 5}, 'what has "tanks"; use kind, want, minutes'),
    ],
)
def test_a_wrong_wish_is_said_and_nothing_runs(
    monkeypatch: pytest.MonkeyPatch, what: dict[str, Any], said: str
) -> None:
    with pytest.raises((ScenarioError, RefusedError)) as refused:
        wished(monkeypatch, **what)
    assert said in str(refused.value)


def test_without_any_list_it_says_what_to_type(monkeypatch: pytest.MonkeyPatch) -> None:
    text = STOCKED[: STOCKED.index("[wanted]")]
    assert scenario_of(Draft(text, "a")).wanted is None
    with pytest.raises(RefusedError, match="the list is empty; use, for instance"):
        wished(monkeypatch, text)
