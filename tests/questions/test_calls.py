"""Each question from Python and as a command: one run answers both, and what cannot be asked is refused."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import rockshy
from command_line import (
    QUICK,
    ROCK,
    Capsys,
    Patch,
    answered,
    assert_refused,
    forbid_running,
    four_fish,
    full_folder,
    stay_after_ctrl_c,
    work_in,
)
from csv_files import assert_told, rows
from PIL import Image
from rockshy.analysis.commands.giving import MORE
from rockshy.analysis.document.brief import MOST_LINES
from rockshy.analysis.questions.best import design as of_best
from rockshy.analysis.questions.guesses import design as of_guesses
from rockshy.analysis.questions.relief import design as of_relief
from rockshy.analysis.questions.rock import grid as of_rock
from rockshy.analysis.questions.why import answer as why_answer
from rockshy.analysis.questions.why import design as of_why
from rockshy.analysis.study.dictionary import RUN_COLUMNS
from rockshy.analysis.study.layout import WORK
from rockshy.sim.run.trials import Job, Outcome, each_job

MOORII, MILD = "Tropheus moorii", "Eretmodus cyanostictus"
TINY = four_fish(title="Tiny tank", question="What of so few?", **QUICK, trials=16, guesses=4, watch=MILD)
TANK = TINY + '\n[[alternative]]\nname = "less rock"\nrock = { cover = "10 %" }\n'
QUESTIONS: dict[str, dict[str, Any]] = {
    "run": {"trials": 2},
    "compare": {"trials": 2, "goal": "hidden", "fish": f"{MOORII} females"},
    "relief": {"trials": 8, "fish": f"{MILD} male 1"},
    "best": {"trials": 96, "want": "Tropheus duboisi 1m 1f; Eretmodus cyanostictus 1f; at most 6 fish"},
    "rock": {"trials": 2},
    "why": {"trials": 4, "fish": f"{MOORII} female 1"},
    "guesses": {"trials": 112, "fish": MOORII},
    "life": {"trials": 4, "months": 1, "fish": f"{MOORII} females"},
}
OPTIONS = {"fish": "--for", "goal": "--goal", "trials": "--trials", "months": "--months", "want": "--want"}
SAID = {
    "run": ["Tiny tank"],
    "compare": ["What if? Tiny tank", "as you asked"],
    "relief": [
        "Tiny tank: what helps First of all: The model does not see your fish.",
        f"For: {MILD} male (as you asked)",
        "The fish itself out",
        f"What to watch in the real tank: {MILD} male",
    ],
    "best": [
        "Tiny tank: the best that the wish list allows",
        "What to buy and lay",
        "beside the 4 that are there",
    ],
    "rock": [
        "Question: What of so few?",
        "6 simulated tanks: 3 amounts of rock, 2 tanks at each",
        "20 % (your tank now)",
        "the worst off in the tank as it is",
    ],
    "why": [
        "Tiny tank: why is this fish bullied? First of all: The model does not see",
        f"For: {MOORII} females (as you asked",
        'What "off" means size: every fish ',
        "4 tanks, each simulated with two orders",
    ],
    "guesses": [
        "Tiny tank: which guesses decide the answer",
        f"For: {MOORII} (as you asked; the figures are the means of 3 fish",
    ],
    "life": ["Tiny tank: 1 month", "4 tanks, each lived through 30 days"],
}


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: Patch) -> str:
    work_in(tmp_path, monkeypatch, tiny=TANK)
    return "tiny.toml"


@pytest.fixture
def few(monkeypatch: Patch) -> None:
    """A few tanks are enough for every question, and in all of them there is something to explain."""
    monkeypatch.setattr(of_relief, "LEAST_TRIALS", 8)
    monkeypatch.setattr(of_best, "LEAST_TANKS", 96)
    monkeypatch.setitem(of_rock.COVERS, 1, (0.0, 0.2, 0.4))
    monkeypatch.setattr(of_why, "LEAST_TRIALS", 4)
    monkeypatch.setattr(of_why, "MOST_TICKS", 0.0)
    for module in (of_why, why_answer):
        monkeypatch.setattr(module, "is_trouble", lambda *_: True)
    monkeypatch.setattr(of_guesses, "MOST", 2)


def untimed(result: object) -> str:
    """What is said, but how much longer it would take, which is of this computer and of what it ran."""
    words = " ".join(str(result).split())
    return re.sub(r"About \d+ more [^.]*? would[^(]*\(--trials \d+[^)]*\)", "About more", words)


TABLES = {"run": list(RUN_COLUMNS), "life": ["life.csv", "weeks.csv", "who.csv"]}


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_command_answers_as_the_call_whose_folder_it_goes_on_from(
    name: str, tiny: str, few: None, monkeypatch: Patch, capsys: Capsys
) -> None:
    how, counts = QUESTIONS[name], []
    call = getattr(rockshy, name)
    result = call(tiny, folder="kept", progress=lambda *of: counts.append(of), **how)
    assert result.question == name and result.is_whole
    assert counts[-1][0] == counts[-1][1]
    assert (Path("kept") / WORK).is_file()

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", None)  # whoever calls it fails
    again = call(rockshy.load(tiny), folder="kept", **how)
    assert untimed(again) == untimed(result)
    frame = result.to_frame()
    pd.testing.assert_frame_equal(again.to_frame(), frame)
    known = set(frame.measure) if name == "run" else set(frame.columns)
    assert set(frame.attrs["units"]) == set(frame.attrs["meanings"]) == known
    assert 2 <= len(repr(result).splitlines()) <= 5
    assert all(len(line) <= 110 for line in repr(result).splitlines())
    assert "<table" in result._repr_html_()

    line = [name, tiny, *(text for key, value in how.items() for text in (OPTIONS[key], str(value)))]
    told = json.loads(answered(capsys, *line, "--out", "kept", "--json").out)
    mine = json.loads(result.to_json())
    assert {key for key in told if told[key] != mine[key]} == {"options"}
    assert_told(Path("kept"), *TABLES.get(name, [f"{name}.csv"]))
    picture = ["--picture", "it.png"] if name not in ("run", "relief") else []
    words = " ".join(answered(capsys, *line, "--out", "kept", "--full", *picture).out.split())
    assert [part for part in SAID[name] if part not in words] == []
    brief, _, rest = answered(capsys, *line, "--out", "kept").out.partition("\n\n")
    assert 3 <= len(brief.splitlines()) <= MOST_LINES
    assert rest.splitlines()[-1] == MORE
    assert words.startswith(" ".join(brief.split()))
    if picture:
        assert Image.open("it.png").size == (1920, 1080)
    if name != "run":
        assert told["recipe"]["scenario"] == TANK
        assert json.loads((Path("kept") / f"{name}.json").read_text(encoding="utf-8")) == told
        assert_rows(name, told, rows(Path("kept") / f"{name}.csv"))


def assert_rows(name: str, told: dict[str, Any], found: list[dict[str, str]]) -> None:
    """The rows of the CSV file are those of the answer."""
    if name == "relief":
        assert (told["sifted_in"], told["fresh"]) == ([4, 2], 4)
        left_out = {one["name"]: one["reason"] for one in told["left_out"]}
        assert left_out[f"down to one male of {MOORII}"] == "one male only"
        for one in told["changes"]:
            trials = [int(row["trial"]) for row in found if row["change"] == one["name"]]
            assert trials == list(range(one["trials"]))
        alone = [row for row in found if row["change"] == f"{MILD} with its own kind only"]
        rates = {row["chases_received_per_fish_and_lit_hour_model_scale"] for row in alone}
        assert rates == {"0.0"}  # alone in its tank it is chased by nobody
    elif name == "best":
        plans = {int(row["plan"]) for row in found}
        assert {one["plan"] for one in told["front"]} <= plans == {one["plan"] for one in told["tried"]}
        assert {row["fish"] for row in found} == {"5", "6"}  # the four that are there, and more
    elif name == "rock":
        wanted = [(cover, str(trial)) for cover in ("0.0", "0.2", "0.4") for trial in range(2)]
        assert [(row["cover_share_of_floor"], row["trial"]) for row in found] == wanted
        assert [one["own"] for one in told["amounts"]] == [False, True, False]
    elif name == "why":
        assert told["behind"]["view"]["tanks"] == 4
        for one in told["shared_out"].values():
            whole = sum(share["value"]["value"] for share in one["shares"])
            assert whole == pytest.approx(one["whole"]["value"], abs=1e-12)
        assert len(found) == 4 * 2 * len(told["mechanisms"])
    elif name == "guesses":
        assert told["rows"] == 8
        assert told["answers"][0]["of"] == "lost" and 0.0 <= told["answers"][0]["mean"] <= 1.0
    elif name == "life":
        assert {row["day"] for row in found} >= {"1", "4", "11"} and told["days_lived"] == 30


def test_hours_and_days_of_a_run_are_there_for_the_asking(tiny: str) -> None:
    frame = rockshy.run(tiny, trials=1).to_frame(hours=True, days=True)
    assert set(frame.window) == {"whole", "hour 1", "day 1"}


@pytest.mark.parametrize("name", ["run", "compare"])
def test_rules_of_ones_own_are_run(name: str, tiny: str, monkeypatch: Patch) -> None:
    rules = rockshy.Rules().with_rule(attack_rate=peace)

    def seen(scenario: rockshy.Scenario, *_: object, **__: object) -> None:
        raise RuntimeError(f"own rules: {scenario.rules == rules}")

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", seen)
    with pytest.raises(RuntimeError, match="own rules: True"):
        getattr(rockshy, name)(tiny, trials=1, rules=rules)


def peace(fish: int, shoal: rockshy.Shoal, p: rockshy.Parameters) -> float:
    return 0.0


def test_help_of_every_call_is_whole() -> None:
    for name in QUESTIONS:
        told = getattr(rockshy, name).__doc__
        heads = [told.index(f"\n{head}\n---") for head in ("Parameters", "Returns", "Raises", "Source")]
        assert heads == sorted(heads), name
        for parameter in (*QUESTIONS[name], "scenario", "executor", "rules", "folder", "progress"):
            assert f"\n{parameter} : " in told, (name, parameter)
        assert "to_frame(" in told and "{" not in told


# ---- refused


@pytest.mark.parametrize(
    ("name", "how", "said"),
    [
        ("run", {"trials": 0}, "trials is 0; use a whole number from 1"),
        ("run", {"trials": 2.5}, "trials is 2.5; use a whole number from 1"),
        ("rock", {"trials": 0}, "trials is 0; use"),
        ("compare", {"goal": "peace"}, 'goal is "peace"; use lost, received'),
        ("compare", {"fish": "moorii femal 1"}, "Did you mean moorii"),
        ("relief", {"trials": 16, "fish": "moorii female 9"}, "use a fish of Tropheus moorii"),
        ("relief", {"trials": 4}, "4 simulated tanks are too few; use at least 16"),
        ("why", {"trials": 2}, "2 simulated tanks are too few; use at least 16"),
        ("guesses", {"trials": 16}, "16 simulated tanks are too few; use at least"),
        ("guesses", {"days": 0.05}, "days is 0.05; use at least"),
        ("rock", {"vary": ["depth"]}, "vary is depth; use one or two of"),
        ("rock", {"vary": []}, "vary is empty"),
        ("rock", {"level": 0}, "level is 0; use 0.01 to 0.9"),
        ("rock", {"species": "Tropheus duboisi"}, "use a species of this tank: Tropheus moorii"),
    ],
)
def test_what_cannot_be_asked_is_refused_before_anything_runs(
    name: str, how: dict[str, Any], said: str, tiny: str, monkeypatch: Patch
) -> None:
    forbid_running(monkeypatch)
    with pytest.raises(ValueError, match=said):
        getattr(rockshy, name)(tiny, folder="kept", **how)
    assert not Path("kept").exists()


def test_a_folder_of_something_else_is_refused(tiny: str) -> None:
    full_folder(Path())
    with pytest.raises(rockshy.StoreError, match="holds other files"):
        rockshy.run(tiny, folder="full", trials=1)
    with pytest.raises(ValueError, match="no alternative to compare"):
        rockshy.compare("mild-alone", trials=1)


ANY = (
    ("", "FILE"),
    ("tyni.toml", "Did you mean tiny.toml"),
    ("tiny.toml --trials 0", "a whole number from 1"),
    ("tiny.toml --out tiny.toml", "is a file"),
    ("tiny.toml --out full", "holds other files"),
    ("tiny.toml --cluster nowhere", "tcp://"),
    ("tiny.toml --for Tropheus_duboisi", "of this tank: Tropheus moorii"),
    ("tiny.toml --for eretmodus_cyanostictos", "Did you mean Eretmodus cyanostictus"),
)
DRAWN = (
    ("tiny.toml --picture it.jpg", "--picture is it.jpg; use a name that ends with .png"),
    ("tiny.toml --picture nowhere/it.png", "there is no folder nowhere"),
)
OF_A_FISH = (
    ("tiny.toml --for moorii_female_3", "Did you mean Tropheus moorii female"),
    ("gone.toml --for moorii", "all out before day 0.1, when measuring begins"),
)
REFUSED = {
    "compare": (*ANY, *DRAWN),
    "relief": (
        *ANY,
        *OF_A_FISH,
        ("tiny.toml --trials 15", "--trials: 15 simulated tanks are too few; use at least 16"),
    ),
    "why": (
        *ANY,
        *DRAWN,
        *OF_A_FISH,
        ("tiny.toml --trials 15", "--trials: 15 simulated tanks are too few; use at least 16"),
        ("one.toml", f"one.toml: there is one fish, {MOORII} male 1, and nobody to bully it"),
    ),
    "life": (
        *ANY,
        ("tiny.toml --trials 3", "--trials: 3 simulated tanks are too few; use at least 4"),
        ("tiny.toml --months 25", '--months is "25"; use 1 to 24 months'),
        ("one.toml", f"one.toml: there is one fish, {MOORII} male 1, and nobody to bully it"),
    ),
    "guesses": (
        *ANY,
        *DRAWN,
        *OF_A_FISH,
        ("tiny.toml --fixed", "--fixed: nothing is left open"),
        ("fixed.toml", "fixed.toml: nothing is left open"),
        ("tiny.toml --trials 191", "--trials: 191 simulated tanks are too few; use at least 192"),
    ),
    "rock": (
        *ANY,
        *DRAWN,
        ("tiny.toml --level 1", "a share from 0.01 to 0.9"),
        ("tiny.toml --level 150_%", "a share from 0.01 to 0.9"),
        ("tiny.toml --level often", '--level is "often"'),
        ("tiny.toml --cover --height --piles", "use at most two"),
        ("sketch.toml", 'cover = "50 %", height = "10 cm"'),
        ("listed.toml", "the file lists 1 crevice"),
        ("bare.toml --height", "a cover above 0"),
        ("holding.toml --for moorii", "only holding females"),
        ("gone.toml --for moorii", "out before day"),
    ),
}
CREVICE = "[[rock.crevice]]\nfrom_left = 9\nfrom_front = 9\nmouth = 4\ndepth = 9\n[[stock]]"
FILES = {
    "gone": TINY.replace("females = 2", "females = 2\nout = 0.05"),
    "fixed": TINY + "fixed = true\n",
    "one": TINY[: TINY.rindex("[[stock]]")].replace("females = 2\n", "")
    + TINY[TINY.index("[run]") :].replace(f'watch = "{MILD}"\n', ""),
    "sketch": TINY.replace(ROCK, 'sketch = ["0220", "0110"]'),
    "listed": TINY.replace("[[stock]]", CREVICE, 1),
    "bare": TINY.replace(ROCK, "cover = 0"),
    "holding": TINY.replace("males = 1\nfemales = 2", "females = 2\nholding = 2"),
}


@pytest.mark.parametrize(
    ("name", "line", "said"), [(name, *case) for name, cases in REFUSED.items() for case in cases]
)
def test_a_line_that_will_not_do_gets_one_message_and_leaves_nothing(
    name: str, line: str, said: str, tiny: str, tmp_path: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    full_folder(work_in(tmp_path, monkeypatch, **FILES))
    assert_refused(capsys, name, *(part.replace("_", " ") for part in line.split()), said=said)


# ---- stopped


def test_ctrl_c_returns_what_was_done(tiny: str) -> None:
    def stop(done: int, _: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    result = rockshy.run(tiny, trials=4, progress=stop)
    assert not result.is_whole and result.answer.done == 2
    assert "stopped early" in repr(result)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("relief", "Put forward: nothing. The run was stopped before it could be confirmed."),
        ("why", "Stopped by Ctrl-C: of what was done so far."),
        ("rock", "It was stopped before it was done."),
    ],
)
def test_ctrl_c_answers_from_what_is_done(
    name: str, said: str, tiny: str, few: None, monkeypatch: Patch, capsys: Any
) -> None:
    def broken_off(
        scenarios: Sequence[Any], jobs: Sequence[Job], **more: Any
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for done, one in enumerate(each_job(scenarios, jobs, executor=more["executor"])):
            if (name == "rock" or jobs[0].which != 0) and done > len(jobs) * 0.9:
                raise KeyboardInterrupt
            yield one

    monkeypatch.setattr("rockshy.analysis.study.runner.each_kept_job", broken_off)
    left = stay_after_ctrl_c(monkeypatch)
    whom = MOORII if name == "rock" else f"{MOORII} female 1"
    words = " ".join(
        answered(capsys, name, tiny, "--for", whom, "--trials", "8", "--full", ends=130).out.split()
    )
    assert left == [130]
    assert said in words
