"""The data dictionary, the draws and the events of a result folder are those of its files and runs."""

from __future__ import annotations

from pathlib import Path

import fake_compare
from command_line import Capsys, Patch, answered, four_fish, work_in
from csv_files import assert_told, rows
from rockshy.analysis.study import store
from rockshy.analysis.study.dictionary import DICTIONARY
from rockshy.analysis.study.layout import DRAWS, EVENTS
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.trials import run_trials
from rockshy.sim.scenario.reading import parse

SHORT = {"piece_size": 10, "days": 0.2, "settle": 0.1, "guesses": 2, "seed": 5}
TANK = four_fish(title="Tiny tank", trials=2, **SHORT)
OUT = '\n[[event]]\nday = 0.15\nout = "Tropheus moorii female 2"\n'


def test_columns_of_a_run_are_told_and_files_taken_away_are_made_again(
    tmp_path: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    work_in(tmp_path, monkeypatch, tiny=TANK)
    line = ("run", "tiny.toml", "--out", "out")
    answered(capsys, *line)
    out = tmp_path / "out"
    files = ("summary.csv", "fish.csv", "chases.csv", "hours.csv", DRAWS, EVENTS)
    assert_told(out, *files)
    before = {name: (out / name).read_bytes() for name in (*files, DICTIONARY)}
    (out / DICTIONARY).unlink()
    (out / DRAWS).write_text("guess\n", encoding="utf-8")
    answered(capsys, *line)
    assert {name: (out / name).read_bytes() for name in before} == before
    assert "as it was" in answered(capsys, *line).err


def test_draws_are_what_the_models_were_run_with(tmp_path: Path) -> None:
    scenario = parse(TANK, name="tiny.toml")
    store.write(run_trials(scenario), tmp_path, scenario=scenario)
    told = {
        (int(one["guess"]), one["species"], one["name"]): float(one["value"])
        for one in rows(tmp_path / DRAWS)
    }
    assert {draw for draw, _, _ in told} == {0, 1}
    for draw in (0, 1):
        with TankModel(scenario, trial=draw, draw=draw) as model:
            for (of, species, name), value in told.items():
                if of != draw:
                    continue
                meant = model.traits[species][name] if species else model.parameters[name]
                assert value == float(meant), (species, name)
    assert told[0, "", "attack_rate_s"] != told[1, "", "attack_rate_s"]


def test_a_fixed_run_has_one_draw(tmp_path: Path) -> None:
    scenario = parse(four_fish(title="Tiny", trials=2, fixed=True, **SHORT), name="tiny.toml")
    store.write(run_trials(scenario), tmp_path, scenario=scenario)
    assert {one["guess"] for one in rows(tmp_path / DRAWS)} == {"0"}


def test_events_say_the_day_and_each_fish(tmp_path: Path) -> None:
    scenario = parse(TANK + OUT, name="tiny.toml")
    store.write(fake_compare.table(scenario, trials=2), tmp_path, scenario=scenario)
    told = [tuple(one.values()) for one in rows(tmp_path / EVENTS)]
    assert told[:3] == [
        ("0.0", "added", f"Tropheus moorii {fish}") for fish in ("male 1", "female 1", "female 2")
    ]
    assert told[-1] == ("0.15", "taken out", "Tropheus moorii female 2")
    assert len(told) == 5


def test_an_older_list_of_draws_goes_with_the_result_it_was_of(tmp_path: Path) -> None:
    scenario = parse(TANK, name="tiny.toml")
    trials = fake_compare.table(scenario, trials=2)
    store.write(trials, tmp_path, scenario=scenario)
    assert store.holds(tmp_path, trials, scenario=scenario)
    store.write(trials, tmp_path)
    assert not (tmp_path / DRAWS).exists() and not (tmp_path / EVENTS).exists()
    assert store.holds(tmp_path, trials) and not store.holds(tmp_path, trials, scenario=scenario)
    assert_told(tmp_path, "summary.csv", "fish.csv", "chases.csv", "hours.csv")
