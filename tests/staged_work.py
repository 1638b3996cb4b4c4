"""Work of a page that a test drives step by step, and small results of each kind as the server posts them."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from rockshy.analysis.page.task import Task

MILD = "Tropheus duboisi"
LABELS = (f"{MILD} female 2", f"{MILD} female 1", f"{MILD} male 1")
READING = '"95 %" says how precisely these runs measure this model.'
NASTY = '<img src=x onerror="window.hit=1"> & "x"'


class Staged:
    """Work that does what a test says: posts, and ends when it is told to or halted."""

    def __init__(self) -> None:
        self.orders: queue.Queue[dict[str, Any] | None] = queue.Queue()
        self.tasks: list[Task] = []

    def __call__(self, task: Task) -> None:
        self.tasks.append(task)
        while not task.halted():
            try:
                order = self.orders.get(timeout=0.02)
            except queue.Empty:
                continue
            if order is None:
                return
            task.post(order["result"], done=order["done"], asked=order["asked"], told=order["told"])

    def post(self, result: Mapping[str, Any] | None, done: int, asked: int, told: str = "") -> None:
        self.orders.put({"result": result, "done": done, "asked": asked, "told": told})

    def end(self) -> None:
        self.orders.put(None)

    def finish(self, result: Mapping[str, Any], tanks: int = 8) -> None:
        self.post(result, tanks, tanks)
        self.end()

    def wait_for_task(self, number: int = 1) -> Task:
        """The task of the n-th start."""
        until = time.monotonic() + 15
        while len(self.tasks) < number:
            assert time.monotonic() < until, "it was never started"
            time.sleep(0.01)
        return self.tasks[number - 1]


Works = dict[str, Staged]  # by kind


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> Works:
    """Staged work of every kind instead of the real one."""
    staged = {kind: Staged() for kind in ("try", "compare", "relief", "rock")}
    monkeypatch.setattr("rockshy.analysis.page.work.kinds.WORK", staged)
    return staged


@pytest.fixture
def nothing_runs_on(served: Any) -> Iterator[None]:
    """No work goes on after its test."""
    yield
    for job in served.jobs:
        job.halt("the test is over")


def _figure(value: float, said: str, *, low: float = 0.3, high: float = 0.7) -> dict[str, Any]:
    ends = {"low": low, "high": high, "guess_low": low - 0.2, "guess_high": high + 0.2}
    return {"value": value, **ends, "said": said}


def pieces(*tables: list[list[str]]) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = [{"kind": "text", "text": READING, "deeper": False}]
    return told + [{"kind": "table", "rows": rows, "head": True} for rows in tables]


def tried(tanks: int, *, headline: str = "It comes off worst.") -> dict[str, Any]:
    """The answer of a try after some simulated tanks."""
    fish = [
        {
            "label": label,
            "labels": [label],
            "lost": _figure(0.6 - 0.1 * k, f"{60 - 10 * k} %"),
            "chased": _figure(12, "12 an hour", low=8, high=16),
            "given": _figure(1, "1 an hour"),
            "hidden": _figure(0.5, "50 %"),
            "pinned": _figure(0.1, "10 %"),
        }
        for k, label in enumerate(LABELS)
    ]
    dots = [
        {"trial": k, "free": (7 * k % tanks) / tanks, "pinned": k % 4 == 3, "chases": 10 * k}
        for k in range(tanks)
    ]
    return {
        "pieces": pieces([["", "as stocked"], ["lost of its free swimming", f"{tanks} %"]]),
        "fish": fish,
        "reading": [READING],
        "watch": MILD,
        "worst": LABELS[0],
        "headline": [headline, f"It rests on {tanks} simulated tanks."],
        "tanks": dots,
        "telling": {"middle": 1, "worst": 0, "pinned": 3 if tanks > 3 else None, "unpinned": 0},
        "json": {},
    }


def _difference(value: float, low: float, high: float) -> dict[str, Any]:
    return {"value": value, "low": low, "high": high, "trials": 8}


def compared(name: str, sentence: str) -> dict[str, Any]:
    """A comparison with one copy."""
    goals = {"lost": -0.2, "received": -3.0, "hidden": -0.1, "pinned": 0.0}
    numbers = {
        goal: {"difference": _difference(value, value - 0.05, value + 0.05), "told": value != 0}
        for goal, value in goals.items()
    }
    figures = [
        {"goal": goal, "role": role, "label": f"{goal} label", "before": "60 %", "after": "40 %"}
        | {"difference": "-20", "interval": "-25 to -15", "better": "7 of 8"}
        for role in ("worst", "chosen")
        for goal in goals
    ]
    against = {"name": name, "changes": ["one male fewer"]}
    groups = [
        {"role": "worst", "name": "worst-off fish of each tank", "figures": numbers},
        {"role": "chosen", "name": MILD, "figures": numbers},
    ]
    return {
        "pieces": pieces(),
        "headline": [f"Best: {name}."],
        "json": {"against": [{**against, "groups": groups}]},
        "against": [{**against, "sentence": sentence, "figures": figures}],
        "telling": {"middle": 1, "worst": 0, "pinned": None},
    }


def relieved() -> dict[str, Any]:
    """What helps: one change put forward, one that does not help, its name made to do harm."""
    common = {"cost": "1 fish to catch", "can_copy": True, "can_film": True}
    lost = {"figures": {"lost": {"difference": _difference(-0.2, -0.3, -0.1)}}}
    return {
        "pieces": pieces(),
        "json": {"changes": [{"name": "one male out", **lost}]},
        "headline": [f"Held back now: {MILD} females. Best: one male out."],
        "changes": [
            {"number": 4, "text": "one male out", "verdict": "put forward", **common}
            | {"words": ["They lose 40 % instead of 60 %.", "Others: none worse off beyond doubt."]},
            {"number": 7, "text": NASTY, "verdict": "makes it worse", "words": ["Worse."]}
            | {"cost": "a lot", "can_copy": False},
        ],
    }


def swept(points: int, *, headline: tuple[str, ...] = ()) -> dict[str, Any]:
    """A sweep over rock after some amounts."""
    return {
        "pieces": pieces(),
        "json": {},
        "species": MILD,
        "level": 0.1,
        "axis": "share of the floor under rock",
        "points": [
            {"number": k, "amount": 0.1 * k, "text": f"{10 * k} % of the floor", "short": f"{10 * k} %"}
            | {"share": 0.5 - 0.1 * k, "low": max(0.0, 0.4 - 0.1 * k), "high": 0.6 - 0.1 * k}
            | {"hits": 15 - 3 * k}
            | {"tanks": 30, "run": 30, "free": 0.4, "own": k == 2, "trial": k}
            | {"changes": [{"do": "cover", "cover": 0.1 * k, "height": "20 cm", "piles": 2}]}
            for k in range(points)
        ],
        "headline": list(headline),
        "final": bool(headline),
    }
