"""``rockshy rock``: what its options ask for, and that the keeper's own amount is the run of his tank."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest
from command_line import QUICK, Patch, four_fish, work_in
from rockshy.analysis.commands.finding import changed
from rockshy.analysis.commands.parser import build_parser
from rockshy.analysis.commands.rock import plan_for
from rockshy.analysis.measures.row import BOTH, row_of, species_value
from rockshy.analysis.questions.rock import grid as rock_grid
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.run.trials import Job, run_trial, run_trials

TINY = four_fish(
    title="Tiny tank", question="How much rock?", **QUICK, trials=4, watch="Eretmodus cyanostictus"
)


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: Patch) -> str:
    """A tank of four fish, of which three covers are tried, in an empty folder."""
    monkeypatch.setitem(rock_grid.COVERS, 1, (0.0, 0.2, 0.4))
    work_in(tmp_path, monkeypatch, tiny=TINY)
    return "tiny.toml"


def options(*argv: str) -> argparse.Namespace:
    return build_parser().parse_args(["rock", *argv])


def test_options_say_what_is_varied(tiny: str) -> None:
    for argv, names in (
        ([], ["cover"]),
        (["--height"], ["height"]),
        (["--piles"], ["piles"]),
        (["--cover", "--height"], ["cover", "height"]),
        (["--piles", "--cover"], ["cover", "piles"]),
    ):
        line = options(tiny, *argv)
        plan = plan_for(changed(tiny, line), line, "Eretmodus cyanostictus")
        assert [axis.name for axis in plan.grid.axes] == names
        assert plan.level == 0.1
    line = options(tiny, "--level", "20 %", "--monotone")
    plan = plan_for(changed(tiny, line), line, "Eretmodus cyanostictus")
    assert (plan.level, plan.monotone) == (0.2, True)


def test_without_trials_asked_for_there_is_a_round_that_can_tell(tiny: str) -> None:
    line = options(tiny)
    assert plan_for(changed(tiny, line), line, "Tropheus moorii").trials == 36  # the file says 4
    line = options(tiny, "--trials", "4")
    assert plan_for(changed(tiny, line), line, "Tropheus moorii").trials == 4


def test_the_keepers_own_amount_is_the_very_run_of_his_tank(tiny: str) -> None:
    line = options(tiny, "--trials", "2")
    found = changed(tiny, line)
    plan = plan_for(found, line, "Tropheus moorii")
    own = plan.grid.own
    assert own is not None
    arm = run_trials(found.scenario).arms[AS_STOCKED]
    moorii = [name == "Tropheus moorii" for name in arm.fish.species]
    for trial in range(2):
        outcomes = run_trial(plan.scenarios[own], trial, arms=BOTH)
        row = row_of(plan.scenarios[own], Job(own, trial, BOTH), outcomes)
        chases = arm.chases[trial].sum(axis=0)[moorii].sum()
        assert species_value(row, measure="received", species="Tropheus moorii") == pytest.approx(
            chases / (arm.lit_s[trial, moorii].sum() / 3600)
        )
        assert species_value(row, measure="hidden", species="Tropheus moorii") == pytest.approx(
            arm.hidden_s[trial, moorii].sum() / arm.lit_s[trial, moorii].sum()
        )
