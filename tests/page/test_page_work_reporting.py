"""The report, on a page: the very file that ``rockshy report`` writes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from command_line import answered, four_fish, work_in
from page_tasks import FakeTask, done_by
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.document import Figure
from rockshy.analysis.page.work.reporting import make_report
from rockshy.analysis.report.parts import Film
from rockshy.sim.run.model import HaltedError

TEXT = (
    four_fish(title="Tiny <b>tank</b>", piece_size=10, days=0.2, settle=0.1, trials=2, guesses=2, seed=5)
    + '[[alternative]]\nname = "more <i>rock</i>"\nrock = { cover = 0.4 }\n'
)


@pytest.fixture(autouse=True)
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """In the place of pictures and film, which take long, what they are of."""
    making = "rockshy.analysis.report.making"
    monkeypatch.setattr(
        f"{making}._pictures", lambda scenario, trial, halted: [Figure(b"png", f"Picture of tank {trial}")]
    )
    monkeypatch.setattr(f"{making}._film", lambda *_: Film("<p>film", "Film of a tank"))


def reported(**options: Any) -> FakeTask:
    return done_by(make_report, TEXT, kind="report", **options)


def test_it_is_the_page_that_the_command_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work_in(tmp_path, monkeypatch, tiny=TEXT)
    task = reported()
    (written,) = answered(capsys, "report", "tiny.toml").out.split()
    assert task.documents == [Path(written).read_text(encoding="utf-8")]
    assert task.results == [{"shown": "/shown/1", "name": written}]
    assert task.counts[-1] == (4, 4)
    assert task.told[-1].startswith("Drawing simulated tank")
    assert "more &lt;i&gt;rock" in task.documents[0]


@pytest.mark.parametrize("done", [0, 2, 4])
def test_halted_there_is_no_report(done: int) -> None:
    with pytest.raises(HaltedError):
        reported(stop_after=done)


def test_what_means_nothing_is_refused() -> None:
    with pytest.raises(RefusedError, match='found "which"; allowed: kind'):
        reported(which=0)
