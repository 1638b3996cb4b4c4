"""What helps and how much rock, on a page: the answers of the commands, filled in point by point."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from command_line import answered, work_in
from fake_relief import TALLER, TEXT, chief_matters, nothing_helps, taller_costs_others
from fake_work import made_up_everywhere
from page_tasks import FakeTask, done_by
from rockshy.analysis.measures.victim import TANKS
from rockshy.analysis.page.editing.copies import with_change
from rockshy.analysis.page.work.relieving import WATCHING, find_relief
from rockshy.analysis.page.work.sweeping import sweep_rock
from rockshy.analysis.questions.relief.changes import CHIEF
from rockshy.analysis.questions.rock import grid
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

MILD = "Tropheus duboisi"
WATCHED = TEXT.replace("trials = 32", f'trials = 32\nwatch = "{MILD}"')
COPY = '[[alternative]]\nname = "higher"\nrock = { height = 30 }\n'
Printed = Callable[..., str]


def taller_helps(scenario: Scenario, fish: Any, trial: int) -> float:
    """With taller rock the mild fish lose less, and nobody more."""
    helps = scenario.rock.height_cm > 20 and fish.species == MILD
    return nothing_helps(scenario, fish, trial) - 0.3 * helps


def rock_helps(scenario: Scenario, fish: Any, trial: int) -> float:
    """Mild fish are pinned (they lose more than 0.7) unless 30 % of the floor is under rock."""
    if fish.species == MILD and scenario.rock.cover < 0.3:
        return 0.9
    return nothing_helps(scenario, fish, trial) / 2


@pytest.fixture(autouse=True, scope="module")
def made_up() -> Iterator[pytest.MonkeyPatch]:
    """Tanks that are made up; of amounts of rock three beside the keeper's own 30 %."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(grid.COVERS, 1, (0.0, 0.2, 0.5))
        yield patch


@pytest.fixture
def printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Printed:
    """What a command prints of a file."""

    def of(command: str, text: str, *options: str) -> str:
        work_in(tmp_path, monkeypatch, tiny=text)
        return str(answered(capsys, command, "tiny.toml", *options, "--full").out)

    return of


def relieved(made_up: pytest.MonkeyPatch, loss: Any = taller_helps, **options: Any) -> FakeTask:
    made_up_everywhere(made_up, loss=loss)
    return done_by(find_relief, TEXT, kind="relief", **{"fish": None, **options})


def swept(made_up: pytest.MonkeyPatch, text: str = WATCHED, **options: Any) -> FakeTask:
    made_up_everywhere(made_up, loss=rock_helps)
    return done_by(sweep_rock, text, kind="rock", **options)


@pytest.fixture(scope="module")
def relief(made_up: pytest.MonkeyPatch) -> FakeTask:
    """What helps the worst off, searched to the end."""
    return relieved(made_up)


@pytest.fixture(scope="module")
def sweep(made_up: pytest.MonkeyPatch) -> FakeTask:
    """All amounts of rock, to the end."""
    return swept(made_up)


def test_the_changes_for_the_worst_off_are_those_of_the_command(
    relief: FakeTask, made_up: pytest.MonkeyPatch, printed: Printed
) -> None:
    made_up_everywhere(made_up, loss=taller_helps)
    (last,) = relief.results
    assert last["json"] == json.loads(printed("relief", TEXT, "--json"))
    words = " ".join(printed("relief", TEXT).split())
    best = last["changes"][0]
    assert (best["number"], best["text"], best["verdict"]) == (1, TALLER, "put forward")
    for text in (best["text"], *best["words"]):
        assert " ".join(text.split()) in words
    assert best["words"][0].startswith("They lose")
    assert "--json" in words
    assert "--json" not in str(last["pieces"]), "on a page nobody types options"


def test_the_changes_for_a_fish_that_is_named_are_those_of_the_command(
    made_up: pytest.MonkeyPatch, printed: Printed
) -> None:
    fish = f"{MILD} male 1"
    (last,) = relieved(made_up, fish=fish).results
    assert last["json"] == json.loads(printed("relief", TEXT, "--for", fish, "--json"))
    assert "T. duboisi male keeps" in last["headline"][0]


def test_it_says_what_it_does_and_how_far_it_is(relief: FakeTask) -> None:
    assert relief.told[0] == "The tank as it is, and the same fish when nobody attacks (32 simulated tanks)."
    assert relief.told[-2].startswith("Confirming on fresh trials")
    assert relief.told[-1] == WATCHING
    assert all(done <= asked for done, asked in relief.counts)
    done, asked = relief.counts[-1]
    assert done == asked > 32


def test_a_change_can_be_taken_where_it_can_be_written_down(relief: FakeTask) -> None:
    told = {one["number"]: one for one in relief.results[-1]["changes"]}
    assert relief.kept["changes"].keys() == told.keys()
    for number, (name, scenario) in relief.kept["changes"].items():
        one = told[number]
        assert one["text"] == name
        assert one["can_film"] == (scenario is not None) == (name != CHIEF)
        if one["can_copy"]:
            draft = with_change(relief.draft, name, scenario)
            (copy,) = parse(draft.text, name=draft.name).alternatives
            assert (copy.scenario.rock, copy.scenario.tank) == (scenario.rock, scenario.tank)
    (chief,) = [one for one in told.values() if one["text"] == CHIEF]
    assert not chief["can_copy"]
    assert told[1]["can_copy"], "taller rock can be written down"


def test_who_is_harmed_is_told(made_up: pytest.MonkeyPatch) -> None:
    changes = relieved(made_up, taller_costs_others).results[-1]["changes"]
    (taller,) = [one for one in changes if one["text"] == TALLER]
    assert taller["verdict"] == "helps, but others are worse off"
    assert any(text.startswith("Worse off: Petrochromis trewavasae") for text in taller["words"])


def test_a_search_that_is_halted_answers_from_what_is_done(made_up: pytest.MonkeyPatch) -> None:
    task = relieved(made_up, chief_matters, stop_after=80)
    (last,) = task.results
    assert last["json"]["stopped"] and last["changes"]
    assert last["json"]["watch"]["places"] is None
    assert WATCHING not in task.told
    with pytest.raises(KeyboardInterrupt):
        relieved(made_up, chief_matters, stop_after=5)


@pytest.mark.parametrize(
    ("asked", "options"),
    [
        ({}, []),
        ({"vary": ["cover"], "level": 0.2}, ["--cover", "--level", "0.2"]),
        ({"vary": ["height"]}, ["--height"]),
    ],
)
def test_a_sweep_ends_as_the_command_prints_it(
    made_up: pytest.MonkeyPatch, printed: Printed, asked: dict[str, Any], options: list[str]
) -> None:
    last = swept(made_up, **asked).results[-1]
    assert last["final"] and last["headline"]
    assert last["json"] == json.loads(printed("rock", WATCHED, *options, "--json"))
    if not asked:
        words = " ".join(printed("rock", WATCHED).split())
        assert [text for text in last["headline"] if " ".join(text.split()) not in words] == []


def test_points_are_the_amounts_and_what_to_do_for_each(sweep: FakeTask) -> None:
    last = sweep.results[-1]
    assert last["axis"] == "share of the floor under rock"
    points = last["points"]
    assert [one["amount"] for one in points] == [0.0, 0.2, 0.3, 0.5]
    assert [one["text"] for one in points][:2] == ["no rock", "20 % of the floor"]
    assert [one["own"] for one in points] == [False, False, True, False]
    for one, told in zip(points, last["json"]["amounts"], strict=True):
        count = told["pinned"]
        assert (one["hits"], one["tanks"], one["low"]) == (count["hits"], count["of"], count["low"])
        assert (one["high"], one["free"]) == (count["high"], told["free"]["value"])
    assert [one["share"] for one in points] == [1.0, 1.0, 0.0, 0.0]
    assert points[0]["changes"] == [{"do": "bare"}]
    assert points[3]["changes"] == [{"do": "cover", "cover": 0.5, "height": 20.0, "piles": 1}]
    name, scenario = sweep.kept["changes"][3]
    assert (name, scenario.rock.cover, scenario.run) == ("50 % of the floor", 0.5, sweep.scenario.run)


def test_it_fills_in_point_by_point(sweep: FakeTask) -> None:
    results = sweep.results
    tanks = [[one["tanks"] for one in told["points"]] for told in results]
    assert tanks[0] == [1, 0, 0, 0] and tanks[-1] == [36, 36, 36, 36]
    assert results[0]["points"][1]["share"] is None
    assert [one["final"] for one in results] == [*[False] * (len(results) - 1), True]


def test_a_tank_of_the_sweep_is_the_tank_of_the_film(sweep: FakeTask) -> None:
    run = sweep.kept["run"]
    assert (run.trials, run.seed) == (36, 7)
    assert run.guesses >= 36, "each simulated tank has a guess of its own"
    trials = [one["trial"] for one in sweep.results[-1]["points"]]
    assert all(0 <= trial < run.trials for trial in trials)
    assert sweep.kept["telling"] == {0: {"middle": trials[2]}}


def test_a_copy_is_swept_and_halted_it_answers_from_what_is_done(made_up: pytest.MonkeyPatch) -> None:
    last = swept(made_up, WATCHED + COPY, which=1, stop_after=50 + TANKS).results[-1]
    assert last["points"][3]["changes"][0]["height"] == 30.0
    assert last["json"]["stopped"] and not last["final"]
    assert 50 <= sum(one["tanks"] for one in last["points"]) < 144
