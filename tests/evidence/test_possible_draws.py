"""Which draws published work rules out: the waves on made experiments, one real set, and what is recorded."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
from rockshy.analysis.evidence import fingerprint, possible, ruling_out, sets
from rockshy.analysis.evidence.lab import Lab, set_up
from rockshy.analysis.evidence.lot import TEST, TRAINING
from rockshy.analysis.evidence.possible import Amounts, draws_of, file_of, waves_in
from rockshy.analysis.evidence.possible_table import as_markdown, table_of
from rockshy.analysis.evidence.registered import chosen, patterns
from rockshy.analysis.evidence.ruling_out import excess_of, first_places, target_of
from rockshy.analysis.evidence.sets import drawn, figures, parts, read_sets, run_sets
from rockshy.analysis.evidence.verdict import Finding
from rockshy.analysis.statistics import spread
from rockshy.analysis.statistics.implausible import CUT
from rockshy.sim.rules.support.possible import table as shipped
from rockshy.sim.run.drawing import parameters_of

STEEP = "N11, dominant"  # the made figure that rules out: from 30 to 270 acts over the range of attack_rate_s
LUCK = 0.1


def made(pattern: str) -> Callable[[Lab, int], dict[str, Finding]]:
    """An experiment whose figures lie within their margins, but for one that follows a parameter."""

    def run(lab: Lab, trials: int) -> dict[str, Finding]:
        scenario = lab._under(set_up())
        rate = parameters_of(scenario, 0)["attack_rate_s"]
        one = next(p for p in drawn() if p.name == "attack_rate_s")
        place = math.log(rate / one.low) / math.log(one.high / one.low)
        rng = np.random.default_rng(scenario.run.seed)
        found = {}
        for part in patterns()[pattern].parts:
            low, high = max(part.low, -0.5), min(part.high, part.low + 1.0 if part.low > -9 else 0.5)
            value = (low + high) / 2 * math.exp(LUCK * rng.standard_normal())
            if f"{pattern}, {part.name}" == STEEP:
                value = 30 * math.exp(math.log(9) * place + LUCK * rng.standard_normal())
            found[part.name] = Finding(value, value, value, trials)
        return found

    return run


@pytest.fixture
def made_world(monkeypatch: pytest.MonkeyPatch) -> None:
    few = [one for k, one in enumerate(chosen(TRAINING)) if k % 4 == 0 or STEEP.startswith(f"{one.id},")]
    monkeypatch.setattr(sets, "chosen", lambda side: few if side == TRAINING else chosen(side))
    monkeypatch.setattr(sets, "EXPERIMENTS", {one.id: made(one.id) for one in few})
    monkeypatch.setattr(spread, "EXCHANGES", 10)  # hardly any block of this world needs more


@pytest.mark.thorough
def test_waves_leave_what_the_figure_leaves_and_go_on_from_what_was_run(
    made_world: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    amounts = Amounts(first=160, later=(32,), repeated=16, blocks=6)
    found = waves_in(tmp_path, amounts, executor=None)
    names = [one.name for one in drawn()]
    at = found.left[:, names.index("attack_rate_s")]
    # margin from 93 acts on, less the cut times a fifth and the emulator's own error
    steep = next(k for k, part in enumerate(parts()) if str(part) == STEEP)
    unknown = math.hypot(found.whole.emulators[steep].error, math.log(1.2))
    end = math.log(93 / 30) / math.log(9) - found.cut * unknown / math.log(9)
    assert np.quantile(at, 0.02) == pytest.approx(end, abs=0.08) and at.max() > 0.95 and not found.aside
    assert found.share == pytest.approx(1 - end, abs=0.05)

    draws = draws_of(found, blocks=amounts.blocks)
    assert len(draws) == 8 * amounts.blocks and excess_of(found, draws).max() == 0
    head, *rows = file_of(draws).splitlines()
    assert head.split(",") == names and len(rows) == len(draws)

    page = as_markdown(table_of(found, draws=draws))
    assert "| attack_rate_s |" in page and STEEP in page

    def never(*_: object, **__: object) -> None:
        raise AssertionError("it was run already")

    monkeypatch.setattr(sets, "figures", never)
    again = waves_in(tmp_path, amounts, executor=None)
    assert np.array_equal(again.left, found.left)


def test_a_figure_out_of_everybodys_reach_is_set_aside_and_said(
    made_world: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = ruling_out.target_of
    far = ruling_out.Target(math.log(5000), math.log(6000), 0.01)
    monkeypatch.setattr(ruling_out, "target_of", lambda part: far if str(part) == STEEP else real(part))
    found = waves_in(tmp_path, Amounts(first=160, later=(), repeated=16), executor=None)
    assert [str(part) for part in found.aside] == [STEEP]
    assert f"Set aside, since no set of values comes near them, which speaks against the rules: {STEEP}" in (
        as_markdown(table_of(found, draws=found.left))
    )


def test_a_line_cut_short_is_run_again(made_world: None, tmp_path: Path) -> None:
    file = tmp_path / "wave.jsonl"
    asked = [(k, first_places(k)) for k in range(3)]
    assert sorted(run_sets(asked, file=file, executor=None)) == [0, 1, 2]
    whole = read_sets(file)
    file.write_text(file.read_text()[:-20])
    assert len(read_sets(file)) == 2
    assert len(list(run_sets(asked, file=file, executor=None))) == 1
    assert sorted(read_sets(file), key=lambda row: row[0]) == sorted(whole, key=lambda row: row[0])


def test_targets_are_the_registered_margins() -> None:
    by_name = {str(part): target_of(part) for part in parts()}
    assert by_name["P13, territorial males"].low == 0.25 and by_name["P13, territorial males"].high == 0.5
    rise = by_name["F17, rise"]  # above 1, compared by its logarithm
    assert rise.low == 0.0 and rise.high == math.inf and rise.allowance == pytest.approx(math.log(1.2))
    assert not {part.pattern for part in parts()} & {one.id for one in chosen(TEST)}


def test_one_real_set_gives_every_figure_and_its_own_tanks() -> None:
    """All experiments of the training patterns run under a set that is not the defaults."""
    one, again = (figures(first_places(1), number=1, trials=1) for _ in range(2))
    assert len(one) == len(parts()) and np.array_equal(one, again, equal_nan=True)
    assert np.isfinite(one).mean() > 0.8
    assert not np.array_equal(one, figures(first_places(2), number=1, trials=1), equal_nan=True)


def test_the_record_is_of_the_draws_that_are_shipped() -> None:
    text = resources.files("rockshy.analysis.evidence").joinpath("possible.json").read_text(encoding="utf-8")
    record = json.loads(text)
    names, rows = shipped()
    assert record["draws"] == len(rows) and list(names) == [one.name for one in drawn()]
    assert record["numbers"] == fingerprint.of_numbers(), "run it with --record"
    assert record["own_survives"] >= 0.95
    assert {row["figure"] for row in record["figures"]} == {str(part) for part in parts()}
    assert {row["figure"] for row in record["tested"]} == {str(part) for part in parts(TEST)}
    assert len(record["headlines"]) >= 18
    assert record["share_left"] > 0 and record["cut"] >= CUT


def test_a_folder_that_is_a_file_is_refused_and_ctrl_c_keeps_what_was_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "taken").write_text("mine")
    with pytest.raises(SystemExit) as left:
        possible.main(["--work", str(tmp_path / "taken"), "--quick"])
    assert left.value.code == 2 and "taken: " in capsys.readouterr().err

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(possible, "waves_in", stopped)
    assert possible.main(["--work", str(tmp_path / "new"), "--quick"]) == 130
    assert "the same command goes on from there" in capsys.readouterr().err
