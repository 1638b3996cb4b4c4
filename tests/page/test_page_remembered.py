"""A page whose server was killed and begun again: the same answer, and not a tick of it simulated anew."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest
from command_line import four_fish
from fake_page import PAGE
from page_tasks import FakeTask
from rockshy.analysis.page.serving.jobs import Jobs
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.work.trying import try_out
from rockshy.analysis.study.remembered import FILE, Remembered
from rockshy.sim.run import trials as simulator

PROGRAM = """
import sys
from pathlib import Path
from rockshy.analysis.study import remembered
from rockshy.sim.run import trials
from rockshy.analysis.commands import main

def never(*_, **__):
    raise AssertionError("simulated")

remembered.user_cache = lambda: Path(sys.argv[1])
if "never" in sys.argv:
    trials.run_trial = never
main(["page", "tank.toml", "--port", "0", "--no-browser"])
"""
FOUR = four_fish(title="Four", piece_size=10, days=0.2, settle=0.1, trials=6, seed=5)


@contextmanager
def page(folder: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command, keeping its tanks in a folder; killed at the end, so that nothing is put in order."""
    line = [sys.executable, "-c", PROGRAM, str(folder / "cache"), *more]
    process = subprocess.Popen(line, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        assert process.stdout is not None
        said = process.stdout.readline() + process.stdout.readline()
        found = re.search(r"http://\S+", said)
        assert found, said
        yield process, found[0]
    finally:
        process.kill()
        process.wait()


def tried(address: str, text: str) -> dict[str, Any]:
    """The last state of a try of a tank."""
    base, _, token = address.partition("/#")
    headers = {"X-Rockshy-Token": token, "X-Rockshy-Page": PAGE, "Content-Type": "application/json"}
    draft = {"text": text, "name": "tank.toml", "stock_list": None}
    with httpx.Client(base_url=base, timeout=300, headers=headers) as client:

        def post(path: str, body: Any) -> dict[str, Any]:
            answer: dict[str, Any] = client.post(path, content=json.dumps(body)).json()
            return answer

        job = post("/start", {"draft": draft, "what": {"kind": "try", "which": 0}})["job"]
        state = post("/follow", {"job": job, "seen": 0})
        while state["state"] == "running":
            state = post("/follow", {"job": job, "seen": state["version"]})
        return state


def test_a_server_that_was_killed_answers_the_same_without_a_tick(tmp_path: Path) -> None:
    (tmp_path / "tank.toml").write_text(FOUR)
    with page(tmp_path) as (_, address):
        first = tried(address, FOUR)
    assert first["state"] == "done" and first["done"] == 6
    with page(tmp_path, "never") as (_, address):
        assert tried(address, FOUR)["result"] == first["result"]
        retitled = tried(address, FOUR.replace('"Four"', '"Another name"'))
        assert retitled["result"]["fish"] == first["result"]["fish"]
        other = tried(address, FOUR.replace("seed = 5", "seed = 6"))
    assert other["state"] == "failed"  # another seed is another tank, which had to be simulated


def test_a_longer_run_goes_on_from_a_shorter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store, numbers = Remembered(tmp_path), []
    real = simulator.run_trial

    def counted(scenario: Any, trial: int, **more: Any) -> Any:
        numbers.append(trial)
        return real(scenario, trial, **more)

    monkeypatch.setattr(simulator, "run_trial", counted)
    for trials in (3, 5):
        with Jobs().executor as pool:
            task = FakeTask(Draft(FOUR.replace("trials = 6", f"trials = {trials}"), "four.toml"), pool)
            task.remembered = store
            try_out(task)
    assert sorted(set(numbers)) == [0, 1, 2, 3, 4]
    assert numbers.count(1) == numbers.count(2) == 1
    store.close()
    assert (tmp_path / FILE).exists()
