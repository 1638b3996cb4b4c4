"""``rockshy relief``: what it refuses, what it writes, and that it runs real tanks."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line import (
    ROCK,
    answered,
    assert_refused,
    forbid_running,
    four_fish,
    full_folder,
    stay_after_ctrl_c,
    work_in,
)
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.questions.relief.watch import places_of
from rockshy.sim.run.trials import Job, Outcome, each_job
from rockshy.sim.scenario.reading import parse

TINY = four_fish(
    title="Tiny tank",
    question="What would help so few?",
    piece_size=10,
    days=0.2,
    settle=0.1,
    trials=16,
    guesses=4,
    seed=5,
    watch="Eretmodus cyanostictus",
)


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A tank of four fish, and one that a species has left, in a folder of its own."""
    gone = TINY.replace("females = 2", "females = 2\nout = 0.05")
    work_in(tmp_path, monkeypatch, tiny=TINY, gone=gone)
    return "tiny.toml"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "FILE"),
        (["tiny.toml", "--for", "Tropheus duboisi"], "allowed: a fish or a species of this tank: Tropheus"),
        (["tiny.toml", "--for", "moorii female 3"], "nearest: Tropheus moorii female"),
        (["tiny.toml", "--for", "eretmodus cyanostictos"], "nearest: Eretmodus cyanostictus"),
        (["tiny.toml", "--trials", "15"], "--trials: found 15 simulated tanks; allowed: at least 16"),
        (["tiny.toml", "--trials", "0"], "a whole number from 1"),
        (["tiny.toml", "--out", "tiny.toml"], "is a file"),
        (["tiny.toml", "--out", "full"], "holds other files"),
        (["gone.toml", "--for", "moorii"], "all out before day 0.1, when measuring begins"),
        (["tyni.toml"], "nearest: tiny.toml"),
        (["tiny.toml", "--cluster", "nowhere"], "tcp://"),
    ],
)
def test_bad_input_gets_one_message_and_leaves_nothing(
    tiny: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], argv: list[str], said: str
) -> None:
    full_folder(tmp_path)
    assert_refused(capsys, "relief", *argv, said=said)


def test_a_tiny_real_run_answers_and_goes_on_from_what_is_kept(
    tiny: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("relief", tiny, "--for", "cyanostictus male 1", "--out", "help")
    words = answered(capsys, *asked).out
    assert words.startswith("Tiny tank: what helps\n\nFirst of all: The model does not see your fish.")
    for said in (
        "For: Eretmodus cyanostictus male (as you asked)",
        "The fish itself out",
        "What to watch in the real tank: Eretmodus cyanostictus male",
        "What would prove the model wrong",
    ):
        assert said in words
    told = json.loads((tmp_path / "help" / "relief.json").read_text(encoding="utf-8"))
    assert told["recipe"]["seed"] == 5 and told["recipe"]["scenario"] == TINY
    assert {one["name"]: one["reason"] for one in told["left_out"]}[
        "down to one male of Tropheus moorii"
    ] == ("one male only")
    names = [one["name"] for one in told["changes"]]
    assert "chief chaser out" in names and "Eretmodus cyanostictus with its own kind only" in names
    assert (told["sifted_in"], told["fresh"]) == ([8, 4], 8)
    with (tmp_path / "help" / "relief.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for one in told["changes"]:
        trials = [int(row["trial"]) for row in rows if row["change"] == one["name"]]
        assert trials == list(range(one["trials"]))
    own = [row for row in rows if row["change"] == "Eretmodus cyanostictus with its own kind only"]
    for row in own:  # alone in its tank it is chased by nobody
        assert row["chases_received_per_fish_and_lit_hour_model_scale"] == "0.0"

    forbid_running(monkeypatch)
    assert json.loads(answered(capsys, *asked, "--json").out) == told


def test_ctrl_c_answers_from_what_is_done(
    tiny: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken_off(
        scenarios: Sequence[Any], jobs: Sequence[Job], **more: Any
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for done, one in enumerate(each_job(scenarios, jobs, executor=more["executor"])):
            if jobs[0].which != 0 and done > len(jobs) * 0.9:
                raise KeyboardInterrupt
            yield one

    monkeypatch.setattr("rockshy.analysis.study.runner.each_kept_job", broken_off)
    left = stay_after_ctrl_c(monkeypatch)
    words = answered(capsys, "relief", tiny, "--days", "0.2", ends=130).out
    assert left == [130]
    assert "Stopped by Ctrl-C: of what was done so far." in words
    assert "Put forward: nothing. The run was stopped before it could be confirmed." in words


def test_places_of_fish_are_shares_of_their_time(tiny: str) -> None:
    scenario = parse(TINY, name=tiny)
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
    sketched = parse(TINY.replace(ROCK, 'sketch = ["3000", "2000"]'), name=tiny)
    named = {one.name: one for one in places_of(sketched, labels=whom.labels, tanks=1).thirds}
    assert len(named) == 9
    assert named["in the left third"].water < named["in the right third"].water  # rock stands there
    assert np.isclose(sum(one.water for name, one in named.items() if "left" in name or "right" in name), 1.0)
