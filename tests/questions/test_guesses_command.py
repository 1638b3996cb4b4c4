"""``rockshy guesses``: what it refuses, what it writes, and that it runs real tanks."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from fake_guesses import MILD, TINY, studied
from PIL import Image
from reading_pictures import written
from rockshy.analysis.commands import main
from rockshy.analysis.pictures.guesses import guesses_caption, guesses_picture, save_guesses
from rockshy.analysis.questions.guesses.design import Plan
from rockshy.sim.scenario.scenario import Scenario


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A tank of five fish in an empty folder."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tiny.toml").write_text(TINY, encoding="utf-8")
    return "tiny.toml"


def refused(*argv: str) -> int:
    """Exit status of a line that is refused either by the parser or by the command."""
    try:
        return main(argv)
    except SystemExit as end:
        return int(end.code or 0)


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "FILE"),
        (["tiny.toml", "--fixed"], "--fixed: nothing is drawn when everything nobody has measured is fixed"),
        (["fixed.toml"], "fixed.toml: nothing is drawn"),
        (["tiny.toml", "--trials", "191"], "--trials: found 191 simulated tanks; allowed: at least 192"),
        (["tiny.toml", "--trials", "0"], "a whole number from 1"),
        (["tiny.toml", "--for", "Tropheus duboisi"], "allowed: a fish or a species of this tank: Tropheus"),
        (["tiny.toml", "--for", "moorii female 3"], "nearest: Tropheus moorii female"),
        (["tiny.toml", "--picture", "shares.jpg"], "--picture: found shares.jpg"),
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
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine", encoding="utf-8")
    gone = TINY.replace("females = 2", "females = 2\nout = 0.05")
    (tmp_path / "gone.toml").write_text(gone, encoding="utf-8")
    (tmp_path / "fixed.toml").write_text(TINY + "fixed = true\n", encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    assert refused("guesses", *argv) == 2
    out, err = capsys.readouterr()
    assert said in err
    assert out == ""
    assert "Traceback" not in err
    assert sorted(tmp_path.rglob("*")) == before


def test_a_real_run_answers_draws_and_goes_on_from_what_is_kept(
    tiny: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("rockshy.analysis.questions.guesses.design.MOST", 2)
    asked = ("guesses", tiny, "--trials", "112", "--for", "moorii", "--out", "kept", "--picture", "it.png")
    assert main(asked) == 0
    words, err = capsys.readouterr()
    assert words.startswith("Tiny tank: which guesses decide the answer")
    assert "For: Tropheus moorii (as you asked; 3 fish" in words
    assert "Screening: every guess moved at once (32 simulated tanks)." in err
    told = json.loads((tmp_path / "kept" / "guesses.json").read_text(encoding="utf-8"))
    assert told["rows"] == 8 and told["options"] == ["--trials", "112"]
    assert told["recipe"]["scenario"] == TINY
    lost = told["answers"][0]
    assert lost["of"] == "lost" and 0.0 <= lost["mean"] <= 1.0
    assert Image.open(tmp_path / "it.png").size == (1920, 1080)
    assert (tmp_path / "kept" / "guesses.csv").read_text(encoding="utf-8").startswith("answer,guess,first")

    def simulate_again(*_: object, **__: object) -> None:
        raise AssertionError("a finished tank was simulated again")

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", simulate_again)
    assert main([*asked[:-2], "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == told


def test_the_mild_species_is_meant_and_a_day_is_enough_unless_said(
    tiny: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Scenario] = []

    def made_up(plan: Plan, *_: object, whom: Any, **__: object) -> Any:
        asked.append(plan.scenario)
        assert (whom.species, whom.why) == (MILD, "named in the scenario")
        return studied()

    (tmp_path / "long.toml").write_text(TINY.replace("days = 0.2", "days = 3"), encoding="utf-8")
    monkeypatch.setattr("rockshy.analysis.questions.guesses.answer.answer_of", made_up)
    for line in (["long.toml"], ["long.toml", "--days", "2"], [tiny]):
        assert main(["guesses", *line]) == 0
    assert [one.run.days for one in asked] == [1.0, 2.0, 0.2]
    assert "each is run for 1 day; --days says otherwise" in capsys.readouterr().err


def test_ctrl_c_answers_from_the_rows_that_are_done(
    tiny: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    left: list[int] = []
    monkeypatch.setattr(
        "rockshy.analysis.questions.guesses.answer.answer_of",
        lambda *_, **__: replace(studied(), stopped=True),
    )
    monkeypatch.setattr("rockshy.analysis.commands._leave_at_once", left.append)
    assert main(["guesses", tiny]) == 130
    assert left == [130]
    assert "Stopped by Ctrl-C: of what was done so far." in capsys.readouterr().out


def test_where_nothing_varies_it_says_so(
    tiny: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    single = TINY.replace("females = 2", "females = 0").replace("males = 1\nfemales = 1", "males = 1")
    lonely = single[: single.index("[[stock]]")] + single[single.rindex("[[stock]]") :]
    (tmp_path / "lonely.toml").write_text(lonely, encoding="utf-8")
    assert refused("guesses", "lonely.toml", "--trials", "192", "--days", "0.2") == 2
    err = capsys.readouterr().err
    assert "lonely.toml: nothing varies that could be shared out" in err and "Traceback" not in err


# ---- the picture


def test_every_word_of_the_picture_can_be_read_from_the_back_of_the_room() -> None:
    found = studied()
    words = written(guesses_picture(found))
    assert len(words) > 10
    for text, box in words:
        assert text.get_fontsize() * 100 / 72 >= 1080 / 30, text.get_text()
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= 1920 and box.y1 <= 1080, text.get_text()
    for (one, first), (other, second) in combinations(words, 2):
        assert not first.overlaps(second), f"{one.get_text()!r} lies on {other.get_text()!r}"


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
    with Image.open(saved.path) as image:
        assert image.size == (1920, 1080)
        assert image.text["Description"] == saved.caption == guesses_caption(studied())  # type: ignore[attr-defined]
    assert "Of the spread in free swimming lost" in saved.caption
