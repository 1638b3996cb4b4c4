"""``rockshy why``: what it refuses, what it writes, and that it runs real tanks."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from rockshy.analysis.commands import main
from rockshy.analysis.questions.why import answer, design
from rockshy.sim.run.trials import Job, Outcome, each_job

TINY = """title = "Tiny tank"
question = "Why is the smallest bullied?"
[tank]
length = 60
front_to_back = 30
height = 30
[rock]
cover = 0.2
height = 15
piece_size = 10
[[stock]]
species = "Tropheus moorii"
males = 1
females = 2
[[stock]]
species = "Tropheus moorii"
females = 1
length = 7
[run]
days = 0.2
settle = 0.1
trials = 16
guesses = 4
seed = 5
"""


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A tank of four fish in an empty folder."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tiny.toml").write_text(TINY, encoding="utf-8")
    return "tiny.toml"


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four tanks are enough, in all of them there is something to explain, and orders are sampled."""
    monkeypatch.setattr(design, "LEAST_TRIALS", 4)
    monkeypatch.setattr(design, "MOST_TICKS", 0.0)
    for module in (design, answer):
        monkeypatch.setattr(module, "is_trouble", lambda *_: True)


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
        (["tiny.toml", "--for", "Tropheus duboisi"], "allowed: a fish or a species of this tank: Tropheus"),
        (["tiny.toml", "--for", "moorii female 4"], "nearest: Tropheus moorii female"),
        (["tiny.toml", "--trials", "15"], "--trials: found 15 simulated tanks; allowed: at least 16"),
        (["tiny.toml", "--out", "tiny.toml"], "is a file"),
        (["tiny.toml", "--out", "full"], "holds other files"),
        (["tiny.toml", "--picture", "why.jpg"], "allowed: a file name that ends with .png"),
        (["tiny.toml", "--picture", "nowhere/why.png"], "there is no folder nowhere"),
        (["tiny.toml", "--cluster", "nowhere"], "tcp://"),
        (["one.toml"], "one.toml: found one fish, Tropheus moorii male 1, that nobody can bully"),
        (["gone.toml", "--for", "female 3"], "all out before day 0.1, when measuring begins"),
        (["tyni.toml"], "nearest: tiny.toml"),
    ],
)
def test_bad_input_gets_one_message_and_leaves_nothing(
    tiny: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], argv: list[str], said: str
) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine", encoding="utf-8")
    gone = TINY.replace("length = 7", "length = 7\nout = 0.05")
    (tmp_path / "gone.toml").write_text(gone, encoding="utf-8")
    one = TINY.replace("males = 1\nfemales = 2", "males = 1").replace(
        '[[stock]]\nspecies = "Tropheus moorii"\nfemales = 1\nlength = 7\n', ""
    )
    (tmp_path / "one.toml").write_text(one, encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    assert refused("why", *argv) == 2
    out, err = capsys.readouterr()
    assert said in err
    assert out == ""
    assert "Traceback" not in err
    assert sorted(tmp_path.rglob("*")) == before


def test_a_tiny_real_run_answers_and_goes_on_from_what_is_kept(
    tiny: str,
    few: None,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = ("why", tiny, "--for", "female 3", "--trials", "4", "--out", "why")
    assert main([*asked, "--picture", "why.png"]) == 0
    words = " ".join(capsys.readouterr().out.split())
    assert words.startswith("Tiny tank: why is this fish bullied? First of all: The model does not see")
    for said in (
        "For: Tropheus moorii female (7 cm) (as you asked)",
        'What "off" means size: every fish ',
        "4 tanks, each simulated with two orders",
        "temper: left out, as there is one species only.",
    ):
        assert said in words
    assert (tmp_path / "why.png").stat().st_size > 10_000
    told = json.loads((tmp_path / "why" / "why.json").read_text(encoding="utf-8"))
    assert told["recipe"]["scenario"] == TINY and told["behind"]["view"]["tanks"] == 4
    assert told["behind"]["length_cm"] == 7
    for one in told["shared_out"].values():
        whole = sum(share["value"]["value"] for share in one["shares"])
        assert whole == pytest.approx(one["whole"]["value"], abs=1e-12)
    with (tmp_path / "why" / "why.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    players = len(told["mechanisms"])
    assert len(rows) == 4 * 2 * players

    def simulate_again(*_: object, **__: object) -> None:
        raise AssertionError("a finished tank was simulated again")

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", simulate_again)
    assert main([*asked, "--json"]) == 0
    again: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert again == told


def test_ctrl_c_answers_from_the_tanks_that_are_done(
    tiny: str, few: None, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken_off(
        scenarios: Sequence[Any], jobs: Sequence[Job], **more: Any
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for done, one in enumerate(each_job(scenarios, jobs, executor=more["executor"])):
            if jobs[0].which != 0 and done >= len(jobs) - 2:
                raise KeyboardInterrupt
            yield one

    left: list[int] = []
    monkeypatch.setattr("rockshy.analysis.study.runner.each_kept_job", broken_off)
    monkeypatch.setattr("rockshy.analysis.commands._leave_at_once", left.append)
    assert main(["why", tiny, "--for", "female 3", "--trials", "4"]) == 130
    words = capsys.readouterr().out
    assert left == [130]
    assert "Stopped by Ctrl-C: of what was done so far." in words
