"""Water to swim in: a tenth of it must be left, in every tank of a run, and it is found out beforehand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from command_line import answered, forbid_running, work_in
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.questions.relief.changes import ordinary_changes
from rockshy.analysis.questions.rock.design import watered_grid
from rockshy.analysis.questions.rock.grid import grid_of
from rockshy.sim.run.drawing import check_water, draw_trial_rock
from rockshy.sim.scenario.changes import with_rock
from rockshy.sim.scenario.reading import ScenarioError, parse
from rockshy.sim.scenario.scenario import ObjectSpec, Scenario
from rockshy.sim.scenario.timeline import RockAnew
from rockshy.sim.tank.rockwork import full_rock
from rockshy.sim.tank.tank import CELLS_MIN, WaterError, cell_counts, open_water

SMALL = """title = "full"
[tank]
length = 30
front_to_back = 20
height = 20
[rock]
cover = {cover}
height = {height}
[[stock]]
species = "Simochromis diagramma"
males = 1
females = 2
[run]
trials = {trials}
days = 0.2
settle = 0.1
"""
FULL = {"cover": 0.8, "height": 19}
DRY = 58  # the only one of the first 64 tanks of FULL with less water than it takes
ROOMY = {"cover": 0.3, "height": 8}


def text(*, trials: int = 64, **rock: float) -> str:
    return SMALL.format(trials=trials, **rock)


def small(*, trials: int = 64, **rock: float) -> Scenario:
    return parse(text(trials=trials, **rock), name="full.toml")


def test_the_one_tank_of_many_that_is_full_is_found() -> None:
    check_water(small(**FULL, trials=DRY))
    with pytest.raises(
        WaterError, match=rf"^rock: hardly any water in simulated tank {DRY + 1}: \d+ .* 5 cm"
    ):
        check_water(small(**FULL, trials=DRY + 1))


def test_rock_before_it_is_laid_anew_is_looked_at_too() -> None:
    again = replace(small(**FULL, trials=DRY + 1), events=(RockAnew(day=0.1),))
    with pytest.raises(WaterError, match=f"simulated tank {DRY + 1}"):
        check_water(again)


def test_rock_is_drawn_only_where_a_full_layer_would_leave_too_little(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def draw(*_: object, **__: object) -> None:
        raise AssertionError("rock was drawn")

    monkeypatch.setattr("rockshy.sim.run.drawing.draw_trial_rock", draw)
    check_water(small(**ROOMY, trials=10_000))
    with pytest.raises(AssertionError, match="was drawn"):
        check_water(small(**FULL))


@pytest.mark.parametrize("rock", [FULL, ROOMY])
def test_no_drawn_rock_stands_where_a_full_layer_does_not(rock: dict[str, float]) -> None:
    scenario = small(**rock)
    most = full_rock(scenario.tank, scenario.rock).top_cm.max()
    for trial in range(4):
        assert draw_trial_rock(scenario, trial=trial).top_cm.max() <= most


@pytest.mark.parametrize(
    "command", ["check", "run", "compare", "report", "relief", "why", "guesses", "rock", "life"]
)
def test_every_command_refuses_before_the_first_tank(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    other = '[[alternative]]\nname = "less"\n[alternative.rock]\ncover = 0.3\nheight = 10\n'
    species = 'species = "Tropheus duboisi"\nmales = 1\nfemales = 1\n[[stock]]\n'
    more = text(**FULL).replace("[[stock]]\n", f"[[stock]]\n{species}", 1)
    work_in(tmp_path, monkeypatch, full=more + other)
    forbid_running(monkeypatch)
    told = answered(capsys, command, "full.toml", ends=2)
    line = more[: more.index("[rock]")].count("\n") + 1
    assert f"full.toml, line {line}, rock: hardly any water in simulated tank {DRY + 1}" in told.err
    assert f"at least {CELLS_MIN} such cells are left" in told.err and told.out == ""


def test_an_alternative_is_named_with_its_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    other = '[[alternative]]\nname = "full"\n[alternative.rock]\ncover = 0.8\nheight = 19\n'
    whole = text(**ROOMY) + other
    work_in(tmp_path, monkeypatch, tanks=whole)
    forbid_running(monkeypatch)
    line = whole[: whole.index("[alternative.rock]")].count("\n") + 1
    for command in ("check", "compare", "report"):
        told = answered(capsys, command, "tanks.toml", ends=2)
        assert f'tanks.toml: alternative "full", line {line}, rock: hardly any water' in told.err


def test_amounts_of_rock_that_fill_one_of_the_tanks_are_skipped_and_told() -> None:
    base = small(cover=0.3, height=19)
    grid = watered_grid(base, ["cover"])
    tried = [point.values[0] for point in grid.points]
    assert 0.3 in tried and 0.8 not in tried
    assert any("hardly any water in some simulated tank" in remark for remark in grid.remarks)
    for point in grid.points:
        check_water(replace(point.scenario, run=base.run))


def test_a_change_that_fills_one_of_the_tanks_is_skipped_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    base = small(**ROOMY)

    def full(scenario: Scenario) -> None:
        if scenario.rock.cover > base.rock.cover:
            raise WaterError(3, cell_cm=5.0, trial=7)

    monkeypatch.setattr("rockshy.analysis.questions.relief.changes.check_water", full)
    changes, left_out = ordinary_changes(base, whom=asked_for(base, "diagramma females"))
    assert "hardly any water in simulated tank 8: 3 connected cells of 5 cm" in [
        one.reason for one in left_out
    ]
    covers = [one.scenario.rock.cover for one in changes if one.scenario is not None]
    assert covers and max(covers) == base.rock.cover


# ---- the tenth that must be left


def with_filter(kind: str, *, width: int) -> str:
    """Rock that leaves a fifth of the water, and a box over the whole length that takes a share of it."""
    box = f'[[rock.object]]\nkind = "{kind}"\nfrom_left = 0\nfrom_front = 0\nlength = 100\nheight = 50\n'
    tank = "[tank]\nlength = 100\nfront_to_back = 50\nheight = 53\n[rock]\ncover = 0.8\nheight = 50\n"
    stock = '[[stock]]\nspecies = "Tropheus duboisi"\nmales = 1\n'
    return f"{tank}{box}front_to_back = {width}\n{stock}"


@pytest.mark.parametrize("kind", ["wood", "filter"])
def test_wood_and_filter_count_in_the_tenth_of_the_water_that_must_be_left(kind: str) -> None:
    parse(with_filter(kind, width=4), name="x")  # 8 % of the water, 12 % are left
    with pytest.raises(ScenarioError, match=r"rock, wood and filter leave 8 % of the water"):
        parse(with_filter(kind, width=6), name="x")


def test_a_sweep_over_rock_counts_them_too() -> None:
    bare = parse(with_filter("filter", width=4).replace("cover = 0.8", "cover = 0.3"), name="x")
    box = replace(bare.rock.objects[0], width_cm=20.0)
    crowded = replace(bare, rock=replace(bare.rock, objects=(box,)))
    most = [max(point.values[0] for point in grid_of(one).points) for one in (bare, crowded)]
    assert most[1] <= 0.5 < most[0]  # the box takes 40 %


def test_a_side_has_three_cells_however_long_their_edge() -> None:
    shallow = text(**ROOMY).replace("height = 20\n", "height = 20\nwater_level = 15\ncell = {}\n", 1)
    assert cell_counts(parse(shallow.format(7.5), name="x").tank) == (4, 3, 3)
    with pytest.raises(ScenarioError, match="at most 7.5 cm"):
        parse(shallow.format(7.6), name="x")


def test_objects_alone_can_leave_too_little() -> None:
    scenario = small(**ROOMY)
    block = ObjectSpec("wood", 0.0, 0.0, 0.0, 30.0, 20.0, 14.0)
    with pytest.raises(WaterError, match="at least 30 such"):
        check_water(with_rock(scenario, objects=(block,)))
    assert np.count_nonzero(open_water(scenario.tank, full_rock(scenario.tank, scenario.rock))) >= CELLS_MIN
