"""How long simulating takes is said beforehand, the same way in every command that simulates."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from command_line import Capsys, Patch, answered, four_fish, work_in
from rockshy.analysis.commands.lasting import about, core_seconds, how_long
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.changes import with_run
from rockshy.sim.scenario.reading import parse


class TenPlaces:
    """An executor as far as it matters here."""

    places = 10


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.2, "a few seconds"),
        (9.9, "a few seconds"),
        (17.0, "about 20 seconds"),
        (89.0, "about 90 seconds"),
        (120.0, "about 2 minutes"),
        (5000.0, "about 83 minutes"),
        (3 * 3600.0, "about 3 hours"),
    ],
)
def test_a_time_is_said_no_more_exactly_than_it_is_known(seconds: float, said: str) -> None:
    assert about(seconds) == said


def test_it_grows_with_days_set_ups_and_trials_and_shrinks_with_places() -> None:
    asked = parse(four_fish(title="x", days=2.0, trials=4), name="x")
    once = core_seconds(asked, set_ups=1, trials=1)
    assert core_seconds(asked, set_ups=3, trials=1) > once
    assert core_seconds(asked, set_ups=1, trials=8) == pytest.approx(8 * once)
    assert core_seconds(with_run(asked, days=20.0), set_ups=1, trials=1) > 5 * once
    later = replace(asked, stock=(*asked.stock[1:], replace(asked.stock[0], day=2.0)))
    assert core_seconds(later, set_ups=1, trials=1) > once
    jobs = [Job(0, trial, (AS_STOCKED,)) for trial in range(round(200 / once))]
    assert how_long([asked], jobs, executor=TenPlaces()) == "about 20 seconds"  # type: ignore[arg-type]


def test_check_and_run_say_it_before_the_first_tank(
    tmp_path: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    work_in(tmp_path, monkeypatch, small=four_fish(title="x", days=0.2, settle=0.1, trials=2))
    said = "2 simulated tanks to run: a few seconds here."
    assert said in answered(capsys, "check", "small.toml").err
    assert "1 simulated tank to run:" in answered(capsys, "run", "small.toml", "--trials", "1").err
    told = answered(capsys, "run", "small.toml").err
    assert told.index(said) < told.index("of 2 simulated tanks")


def test_finished_tanks_are_not_counted(tmp_path: Path, monkeypatch: Patch, capsys: Capsys) -> None:
    work_in(tmp_path, monkeypatch, small=four_fish(title="x", days=0.2, settle=0.1, trials=2))
    answered(capsys, "run", "small.toml", "--out", "kept")
    assert "to run" not in answered(capsys, "run", "small.toml", "--out", "kept").err
