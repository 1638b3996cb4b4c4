"""A server of the page for the tests: what a browser sends, work that waits, a clock set by hand."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict
from types import ModuleType, SimpleNamespace
from typing import Any

import httpx
import pytest
from command_line import four_fish, started
from rockshy.analysis.page.serving.answers import Desk
from rockshy.analysis.page.serving.guard import HEADERS as GUARD_HEADERS
from rockshy.analysis.page.serving.guard import Rates
from rockshy.analysis.page.serving.job import Job
from rockshy.analysis.page.serving.jobs import Jobs, Times
from rockshy.analysis.page.serving.listening import listen, server_of
from rockshy.analysis.page.serving.refusals import RefusalError
from rockshy.analysis.page.serving.server import make_app
from rockshy.analysis.page.task import Draft, Task, Work
from rockshy.analysis.page.viewing.read import scenario_of

TOKEN = "a-token-that-the-terminal-printed"
PAGE, OTHER_PAGE = "0123456789abcdef" * 2, "fedcba9876543210" * 2
HEADERS = {"X-Rockshy-Token": TOKEN, "X-Rockshy-Page": PAGE, "Content-Type": "application/json"}
NASTY = '<script>alert(1)</script> & "x" \u2028 \u05d0'
AT_MOST_S = 20.0  # a condition that is not there by then will not come


def draft(title: str = "Four fish", **run: Any) -> Draft:
    """A scenario file of four fish, one lit hour measured."""
    settings = {"days": 0.2, "settle": 0.1, "lit_hours": 10, "trials": 4, **run}
    return Draft(four_fish(title=title, **settings), "four.toml")


def sent(one: Draft) -> dict[str, Any]:
    """A draft as a page sends it."""
    return asdict(one)


class Patient:
    """Work that shows one result and then waits until it is halted, or let go."""

    def __init__(self, *, obeys: bool = True) -> None:
        self._obeys, self._go, self.begun = obeys, threading.Event(), threading.Semaphore(0)

    def __call__(self, task: Task) -> None:
        task.kept["table"] = task.what.get("which", 0)
        task.post({"first": True}, done=1, asked=4, told="waiting")
        self.begun.release()
        while not self._go.wait(0.01):
            if self._obeys and task.halted():
                return

    def let_go(self) -> None:
        self._go.set()


def at_once(task: Task) -> None:
    """Work that is done as soon as it begins."""
    task.kept["table"] = task.what["kind"]
    task.post({"which": task.what.get("which", 0)}, done=4, asked=4, told="all done")


def wait_for(job: Job, there: Callable[[], bool]) -> None:
    """Wait until a job shows something."""
    news = threading.Event()
    with job.watched(news.set):
        while not there():
            assert news.wait(AT_MOST_S), job.state_text()
            news.clear()


def wait_for_end(job: Job) -> dict[str, Any]:
    """What a job says once it is over."""
    wait_for(job, lambda: job.state != "running")
    return told(job)


def told(job: Job) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(job.state_text())
    return answer


def refused(status: int | None, call: Callable[..., Any], *args: Any, **named: Any) -> str:
    """What is said where something is refused, with that status where one is given."""
    with pytest.raises(RefusalError) as end:
        call(*args, **named)
    assert status in (None, end.value.status)
    return " ".join(end.value.problems)


class Clock:
    """Seconds that pass when the test says so."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@contextmanager
def command(*argv: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """``rockshy page`` in a process of its own, and the address it prints."""
    with started("page", "--no-browser", "--keep-nothing", *argv) as process:
        try:
            assert process.stdout is not None
            said = process.stdout.readline() + process.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+/#[\w-]{20,}\n", said)
            assert found, said
            yield process, found[0].strip()
        finally:
            process.kill()


class Bench(SimpleNamespace):
    """A server on a socket of this computer, a browser that asks it, and what lies behind it."""

    client: httpx.Client
    port: int
    desk: Desk
    works: dict[str, Work]

    def post(self, path: str, body: Mapping[str, Any] | None = None, **headers: str) -> Any:
        """What a page is answered, with the status beside it."""
        own = {name.replace("_", "-").title(): value for name, value in headers.items()}
        answer = self.client.post(path, content=json.dumps(body or {}), headers={**HEADERS, **own})
        return answer.status_code, answer.json()

    def start(self, kind: str = "patient", page: str = PAGE, **what: Any) -> Any:
        body = {"draft": sent(draft()), "what": {"kind": kind, **what}}
        return self.post("/start", body, x_rockshy_page=page)

    def follow(self, job: str, seen: int = 0, page: str = PAGE) -> Any:
        return self.post("/follow", {"job": job, "seen": seen}, x_rockshy_page=page)


@pytest.fixture(scope="module")
def site() -> Iterator[Bench]:
    """A server for all tests of a file, which counts no requests."""
    rates = Rates(page=(1e6, 1e6), all_pages=(1e6, 1e6))
    with pytest.MonkeyPatch.context() as patch, bench(patch, rates=rates) as one:
        yield one


@pytest.fixture
def served(site: Bench) -> Iterator[Bench]:
    """The server with work that waits, work that is done at once, and no job yet."""
    site.desk.jobs = Jobs()
    site.works.clear()
    site.works.update({"patient": Patient(), "at once": at_once})
    yield site
    site.desk.jobs.close()


@contextmanager
def bench(
    monkeypatch: pytest.MonkeyPatch,
    *,
    works: Mapping[str, Work] | None = None,
    times: Times | None = None,
    rates: Rates | None = None,
    follow_s: float = 5.0,
) -> Iterator[Bench]:
    """A server with work of its own; it reads drafts as any file is read and shows nothing of them."""
    made = dict(works or {})
    monkeypatch.setattr("rockshy.analysis.page.work.kinds.WORK", made)
    put_in_place(
        monkeypatch, "viewing.view", scenario_of=scenario_of, view_of=lambda one, which: {"which": which}
    )
    desk = Desk(draft(), jobs=Jobs(times=times))
    listener = listen(0)
    port = listener.getsockname()[1]
    app = make_app(desk, port=port, token=TOKEN, rates=rates, follow_s=follow_s)
    server = server_of(app, desk.jobs)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=AT_MOST_S) as client:
            yield Bench(client=client, port=port, desk=desk, works=made)
    finally:
        server.should_exit = True
        thread.join(AT_MOST_S)
        assert not thread.is_alive(), "the server did not end"


def put_in_place(monkeypatch: pytest.MonkeyPatch, name: str, **functions: Any) -> None:
    """Functions instead of those of a module of the page."""
    whole = f"rockshy.analysis.page.{name}"
    made = ModuleType(whole)
    vars(made).update(functions)
    monkeypatch.setitem(sys.modules, whole, made)


def assert_goes_on(served: Bench) -> None:
    assert served.post("/look", {"draft": sent(draft()), "which": 0}) == (200, {"view": {"which": 0}})


def assert_headers(answer: httpx.Response) -> None:
    for name, value in GUARD_HEADERS.items():
        assert answer.headers[name] == value
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert "server" not in answer.headers
