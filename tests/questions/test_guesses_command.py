"""``rockshy guesses``: whom and how long it means, where nothing varies, and its picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from command_line import Capsys, Patch, answered, assert_refused, stay_after_ctrl_c, work_in
from fake_guesses import MILD, TINY, studied
from reading_pictures import assert_legible, assert_page
from rockshy.analysis.commands import main
from rockshy.analysis.measures.victim import WORST_OFF
from rockshy.analysis.measures.whom import FishGroup
from rockshy.analysis.pictures.guesses import guesses_caption, guesses_picture, save_guesses
from rockshy.analysis.questions.guesses.design import Plan
from rockshy.sim.scenario.scenario import Scenario


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: Patch) -> str:
    """A tank of five fish in an empty folder."""
    work_in(tmp_path, monkeypatch, tiny=TINY)
    return "tiny.toml"


def test_the_victim_of_the_whole_run_is_meant_and_a_day_is_enough_unless_said(
    tiny: str, tmp_path: Path, capsys: Capsys, monkeypatch: Patch
) -> None:
    asked: list[Scenario] = []
    seen: list[float] = []
    victim = FishGroup(MILD, (f"{MILD} male 1",), MILD, WORST_OFF)

    def made_up(plan: Plan, *_: object, whom: Any, **__: object) -> Any:
        asked.append(plan.scenario)
        assert whom is victim
        return studied()

    def choose(scenario: Scenario, *_: object, **__: object) -> Any:
        seen.append(scenario.run.days)
        return victim, {}

    (tmp_path / "long.toml").write_text(TINY.replace("days = 0.2", "days = 3"), encoding="utf-8")
    monkeypatch.setattr("rockshy.analysis.questions.guesses.answer.answer_of", made_up)
    monkeypatch.setattr("rockshy.analysis.study.choosing.choose_victim", choose)
    for line in (["long.toml"], ["long.toml", "--days", "2"], [tiny]):
        assert main(["guesses", *line]) == 0
    assert [one.run.days for one in asked] == [1.0, 2.0, 0.2]
    assert seen == [3.0, 2.0, 0.2]
    assert "each is run for 1 day; for longer, set --days" in capsys.readouterr().err


def test_ctrl_c_answers_from_the_rows_that_are_done(tiny: str, capsys: Capsys, monkeypatch: Patch) -> None:
    monkeypatch.setattr(
        "rockshy.analysis.questions.guesses.answer.answer_of",
        lambda *_, **__: replace(studied(), stopped=True),
    )
    left = stay_after_ctrl_c(monkeypatch)
    assert (
        "Stopped by Ctrl-C: this is what was done so far."
        in answered(capsys, "guesses", tiny, "--full", ends=130).out
    )
    assert left == [130]


def test_where_nothing_varies_it_says_so(tiny: str, capsys: Capsys, tmp_path: Path) -> None:
    single = TINY.replace("females = 2", "females = 0").replace("males = 1\nfemales = 1", "males = 1")
    lonely = single[: single.index("[[stock]]")] + single[single.rindex("[[stock]]") :]
    (tmp_path / "lonely.toml").write_text(lonely, encoding="utf-8")
    said = "lonely.toml: there is no spread to share out"
    assert_refused(capsys, "guesses", "lonely.toml", "--trials", "192", "--days", "0.2", said=said)


# ---- the picture


def test_every_word_of_the_picture_can_be_read_from_the_back_of_the_room() -> None:
    found = studied()
    assert len(assert_legible(guesses_picture(found), least=1080 / 30)) > 10


def test_bars_are_as_long_as_the_shares() -> None:
    found = studied()
    figure = guesses_picture(found)
    patches = [one for axes in figure.axes for one in axes.patches]
    lost = found.answers[0].shares
    assert lost is not None
    widths = sorted(one.get_width() for one in patches if one.get_x() < 600)
    unit = max(widths) / max(max(one.first, one.total) for one in lost.shares)
    wanted = sorted(unit * max(share, 0.0) for one in lost.shares for share in (one.first, one.total))
    assert widths == pytest.approx(wanted, abs=1.0)
    assert len(patches) == 2 * len(lost.shares) * 3


def test_the_picture_carries_its_words(tmp_path: Path) -> None:
    saved = save_guesses(studied(), tmp_path / "shares.png")
    assert_page(saved.path, guesses_caption(studied()))
    assert "Of the spread in free swimming lost" in saved.caption
