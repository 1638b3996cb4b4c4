"""A tank tried, copies compared and a report made on a page: what the commands print, sooner and again."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from command_line import answered, four_fish, work_in
from fake_relief import TEXT
from page_tasks import FakeTask, done_by
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.document import Figure
from rockshy.analysis.document.plain import called, percent
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.work import simulating
from rockshy.analysis.page.work.kinds import WORK
from rockshy.analysis.page.work.simulating import REST, Pace
from rockshy.analysis.report.parts import Film
from rockshy.sim.run.model import HaltedError
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND

SHORT = {"piece_size": 10, "days": 0.2, "settle": 0.1, "seed": 5, "watch": "Eretmodus cyanostictus"}
TINY = four_fish(title="Tiny <b>tank</b>", question="Well?", trials=6, guesses=3, wide=True, **SHORT)
FEWER = 'name = "one <i>fewer</i>"\nrecount = [{ species = "Tropheus moorii", females = 1 }]\n'
ROCK = '[[alternative]]\nname = "more <i>rock</i>"\nrock = { cover = 0.4 }\n'
ONE_COPY = TINY + "[[alternative]]\n" + FEWER
COPIES = four_fish(title="Tiny tank", question="Fewer?", trials=4, guesses=2, **SHORT)
COPIES += "[[alternative]]\n" + FEWER + ROCK
REPORTED = four_fish(title="Tiny <b>tank</b>", trials=2, guesses=2, **SHORT) + ROCK
WALL = '"8888888888", "8088088088"'
ROCK_OF_WALL = f"{{ sketch_step = 3.75, sketch = [{WALL}, {WALL}, {WALL[:12]}] }}"
WALLED = f'[[alternative]]\nname = "walled"\nrock = {ROCK_OF_WALL}\n'


def done(kind: str, text: str, **options: Any) -> FakeTask:
    return done_by(WORK[kind], text, kind=kind, **options)


@pytest.fixture(scope="module")
def tried() -> FakeTask:
    """The tiny tank, tried to the end."""
    return done("try", TINY)


@pytest.fixture(scope="module")
def compared() -> FakeTask:
    """Both copies beside the base, to the end."""
    return done("compare", COPIES)


@pytest.fixture
def printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """What a command prints of a file: its JSON, and its words with single spaces."""

    def of(command: str, text: str) -> tuple[Any, str]:
        work_in(tmp_path, monkeypatch, tiny=text)
        told = json.loads(answered(capsys, command, "tiny.toml", "--json").out)
        return told, " ".join(answered(capsys, command, "tiny.toml", "--full").out.split())

    return of


def test_a_tank_tried_ends_as_the_command_prints_it(tried: FakeTask, printed: Any) -> None:
    told, words = printed("run", TINY)
    assert tried.results[-1]["json"] == told
    said = [one["text"] for one in tried.results[-1]["pieces"] if one["kind"] != "table"]
    assert [text for text in said if " ".join(text.split()) not in words] == []


def test_a_copy_is_tried_as_the_file_with_its_changes_made() -> None:
    copy = done("try", ONE_COPY, which=1)
    alone = done("try", TINY.replace("females = 2", "females = 1"))
    assert copy.results[-1] == alone.results[-1]
    assert list(copy.kept["tables"]) == [1]


def test_numbers_come_with_the_first_tank_and_get_sharper(tried: FakeTask) -> None:
    counts = [one["json"]["done"] for one in tried.results]
    assert counts[0] == 1 and counts[-1] == 6 and counts == sorted(set(counts))
    assert sorted(set(tried.counts)) == [(k, 6) for k in range(7)]
    first = tried.results[0]
    assert "1 of the 6 simulated tanks asked for" in str(first["pieces"])
    assert first["fish"][0]["lost"]["low"] is None  # one tank has no interval
    assert first["fish"][0]["lost"]["said"].endswith("%")


def test_the_headline_is_of_the_numbers(tried: FakeTask) -> None:
    last = tried.results[-1]
    worst = last["json"]["alike"][0]
    assert last["worst"] == worst["labels"][0]
    assert last["fish"][0]["labels"] == worst["labels"]
    assert called(worst["label"], worst["species"], len(worst["labels"])) in last["headline"][0]
    assert f"{percent(1 - worst['lost']['value'])} of the swimming about" in last["headline"][0]
    assert any(f"by the luck of {last['json']['done']} simulated tanks" in one for one in last["headline"])


def test_tanks_and_those_worth_a_look(tried: FakeTask) -> None:
    last = tried.results[-1]
    tanks, telling = {one["trial"]: one for one in last["tanks"]}, last["telling"]
    assert sorted(tanks) == list(range(6))
    hits = last["json"]["species"][0]["pinned"]["as stocked"]["hits"]
    assert sum(one["pinned"] for one in tanks.values()) == hits
    assert tanks[telling["worst"]]["free"] == min(one["free"] for one in tanks.values())
    assert sum(one["free"] < tanks[telling["middle"]]["free"] for one in tanks.values()) <= 3
    assert 0 < hits < 6, "else the next line tests nothing"
    assert tanks[telling["pinned"]]["pinned"] and not tanks[telling["unpinned"]]["pinned"]
    arm = tried.kept["tables"][0].arms[AS_STOCKED]
    mild = arm.fish.species.index("Eretmodus cyanostictus")
    assert [tanks[trial]["chases"] for trial in arm.trial] == arm.chases[:, :, mild].sum(axis=1).tolist()


def test_the_set_ups_of_the_first_tank_run_side_by_side(monkeypatch: pytest.MonkeyPatch) -> None:
    handed: list[tuple[int, tuple[str, ...] | None]] = []
    each = simulating.each_job

    def noted(scenarios: Any, jobs: Any, **options: Any) -> Any:
        handed.extend((job.trial, job.arms) for job in jobs)
        return each(scenarios, jobs, **options)

    monkeypatch.setattr(simulating, "each_job", noted)
    monkeypatch.setattr(FakeTask, "is_due", lambda _: False)
    task = done("try", TINY.replace("trials = 6", "trials = 3"))
    assert handed == [(0, (AS_STOCKED,)), (0, (OWN_KIND,)), (0, (LEFT_ALONE,)), (1, None), (2, None)]
    assert [one["json"]["done"] for one in task.results] == [3], "nobody wanted any other"


def test_working_out_results_leaves_most_of_the_time_to_the_trials(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    with ThreadPoolExecutor() as pool:
        pace = Pace(FakeTask(Draft(TINY, "tiny.toml"), pool), clock=lambda: now[0])
    assert pace.is_due()
    pace.made(lambda: now.append(now.pop() + 2.0))
    now[0] += 2.0 * REST - 0.1
    assert not pace.is_due()
    now[0] += 0.2
    assert pace.is_due()
    monkeypatch.setattr(FakeTask, "is_due", lambda _: False)
    assert not pace.is_due()


def test_copies_compared_end_as_the_command_prints_them(compared: FakeTask, printed: Any) -> None:
    told, words = printed("compare", COPIES)
    last = compared.results[-1]
    assert last["json"] == told
    for one in last["against"]:
        assert f"In a sentence: {one['sentence']}" in words
        for figure in (one for one in one["figures"] if one["role"] in ("worst", "chosen")):
            assert f"{figure['before']} {figure['after']} {figure['difference']}" in words
    fewer, rock = last["against"]
    assert (fewer["name"], rock["name"]) == ("one <i>fewer</i>", "more <i>rock</i>")
    assert fewer["changes"] == ["Tropheus moorii: 1 female instead of 2"]
    goals = ("lost", "received", "hidden", "pinned")
    told = {(one["role"], one["goal"]) for one in fewer["figures"]}
    assert told >= {(role, goal) for role in ("worst", "chosen", "others") for goal in goals}


def test_differences_appear_early_and_on_the_same_trials(compared: FakeTask) -> None:
    trials = [one["json"]["trials"] for one in compared.results]
    assert trials[0] == [1, 1, 1] and trials[-1] == [4, 4, 4]
    assert all(len(set(one)) == 1 for one in trials)
    assert sorted(set(compared.counts)) == [(k, 12) for k in range(13)]
    assert sorted(compared.kept["tables"]) == sorted(compared.kept["telling"]) == [0, 1, 2]
    assert compared.results[-1]["telling"] == compared.kept["telling"][0]


def test_the_report_is_the_page_that_the_command_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    undrawn(monkeypatch)
    work_in(tmp_path, monkeypatch, tiny=REPORTED)
    task = done("report", REPORTED)
    (written,) = answered(capsys, "report", "tiny.toml").out.split()
    assert task.documents == [Path(written).read_text(encoding="utf-8")]
    assert task.results == [{"shown": "/shown/1", "name": written}]
    assert task.counts[-1] == (4, 4)
    assert task.told[-1].startswith("Drawing simulated tank")
    assert "more &lt;i&gt;rock" in task.documents[0]


def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Instead of pictures and film, which take long, what they are of."""
    making = "rockshy.analysis.report.making"
    monkeypatch.setattr(
        f"{making}._pictures", lambda scenario, trial, halted: [Figure(b"png", f"Picture of tank {trial}")]
    )
    monkeypatch.setattr(f"{making}._film", lambda *_: Film("<p>film", "Film of a tank"))


@pytest.mark.parametrize(("kind", "text"), [("try", TINY), ("compare", COPIES)])
def test_halted_it_keeps_what_is_done(kind: str, text: str) -> None:
    task = done(kind, text, stop_after={"try": 2, "compare": 6}[kind])
    tables = task.kept["tables"]
    counts = {one.done for one in tables.values()}
    assert len(counts) == 1 and 0 < counts.pop() < {"try": 6, "compare": 4}[kind]
    assert task.results[-1]["json"][{"try": "done", "compare": "trials"}[kind]] in (
        tables[0].done,
        [one.done for one in tables.values()],
    )


@pytest.mark.parametrize(
    ("kind", "text", "after"),
    [("try", TINY, 0), ("compare", COPIES, 1), ("report", REPORTED, 2), ("report", REPORTED, 4)],
)
def test_halted_before_there_is_anything_to_show_there_is_no_answer(
    kind: str, text: str, after: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    undrawn(monkeypatch)
    with pytest.raises(HaltedError):
        done(kind, text, stop_after=after)


ONE_OR_TWO = "use a list of one or two of cover, height, piles"
SHARE = "use a share from 0.01 to 0.9"
SKETCHED, BARE = (
    TEXT.replace("cover = 0.3\nheight = 20\npiles = 1", rock)
    for rock in ('sketch = ["0022", "0011"]', "cover = 0")
)


@pytest.mark.parametrize(
    ("kind", "text", "what", "said"),
    [
        *(("try", TINY, {"which": odd}, "use 0") for odd in (-1, True, "0", None, 0.0)),
        ("try", TINY, {"which": 1}, "what.which is 1; use 0"),
        ("try", TINY, {"trials": 3}, 'what has "trials"; use kind, which'),
        ("try", ONE_COPY, {"which": 2}, "is 2; use a whole number from 0 (the tank as it is) to 1"),
        ("compare", TINY, {}, "there is no copy of the tank to compare with; make one or more"),
        ("compare", COPIES, {"which": 1}, 'what has "which"; use kind'),
        ("compare", COPIES + WALLED, {}, 'tiny.toml: alternative "walled", line 33, rock: '),
        ("report", REPORTED, {"which": 0}, 'has "which"; use kind'),
        ("relief", TEXT, {"fish": 3}, "what.fish is 3; use the name of a fish, or null"),
        ("relief", TEXT, {"fish": "Tropheus duboisi female 9"}, 'what.fish: "Tropheus'),
        ("relief", TEXT, {"fish": "Tropheus dubiosi male 1"}, "use a fish or a species of this tank"),
        ("relief", TEXT, {"which": 0}, 'what has "which"; use kind, fish'),
        (
            "relief",
            TEXT.replace("trials = 32", "trials = 8"),
            {},
            "run.trials: 8 simulated tanks are too few; use at",
        ),
        ("rock", TEXT, {"vary": "cover"}, f'is "cover"; {ONE_OR_TWO}'),
        *(
            ("rock", TEXT, {"vary": odd}, ONE_OR_TWO)
            for odd in ([], ["cover"] * 2, ["cover", "height", "piles"], [["cover"]])
        ),
        ("rock", TEXT, {"level": 0.95}, f"what.level is 0.95; {SHARE}"),
        *(("rock", TEXT, {"level": odd}, SHARE) for odd in (True, "0.1")),
        ("rock", TEXT, {"species": "x"}, 'what has "species"; use kind, which, vary, level'),
        ("rock", SKETCHED, {}, "rock.sketch says where each stone stands"),
        ("rock", BARE, {"vary": ["height"]}, "height: this tank has no rock"),
    ],
)
def test_what_cannot_be_done_is_refused(kind: str, text: str, what: dict[str, Any], said: str) -> None:
    with pytest.raises(RefusedError) as refused:
        done(kind, text, **what)
    assert said in str(refused.value)
