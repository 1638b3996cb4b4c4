"""One job: what its work is given, what it shows, and who watches it."""

from __future__ import annotations

import contextlib
import json
import secrets
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ....sim.scenario.scenario import Scenario
from ..task import Draft, Show
from .wire import PageRequest

if TYPE_CHECKING:
    from ...study.remembered import Remembered

RUNNING, DONE, STOPPED, FAILED = "running", "done", "stopped", "failed"

EVERY_S = 0.6  # between two results that are made anew


@dataclass(eq=False)
class Job:
    """Work of a page; a :class:`rockshy.analysis.page.task.Task` to its thread.

    Its state has a version that grows with each change. A result is written down as JSON when it is posted,
    in the thread that made it, so that nothing changes it later and answering a page costs nothing.
    """

    draft: Draft
    scenario: Scenario
    what: PageRequest
    executor: Executor
    show: Show  # keeps a document that the work makes
    clock: Callable[[], float] = time.monotonic
    remembered: Remembered | None = None
    at_first: str = ""  # told until the first simulated tank is done, where the work has nothing to tell

    def __post_init__(self) -> None:
        self.kept: dict[str, Any] = {}
        self.name, self.kind = secrets.token_hex(16), str(self.what["kind"])
        self.version, self.state = 1, RUNNING
        self._done = self._asked = 0
        self._told, self._result = self.at_first, "null"
        self._problems: tuple[str, ...] = ()
        self._posted: float | None = None
        self._seen = self.clock()
        self._halt_at: float | None = None
        self._why_halted = ""
        self._watchers: list[Callable[[], None]] = []
        self._lock = threading.RLock()
        self.thread: threading.Thread | None = None

    # ---- for the work

    def halted(self) -> bool:
        """Whether the work is to end now."""
        return self._halt_at is not None

    def is_due(self) -> bool:
        """Whether somebody wants a newer result by now."""
        return self._posted is None or self.clock() - self._posted >= EVERY_S

    def post(self, result: Mapping[str, Any] | None, *, done: int, asked: int, told: str = "") -> None:
        """Show a result, plain values; None leaves the last one. ``told``: what is done now."""
        from ...document.files import plain

        text = None if result is None else json.dumps(plain(result), ensure_ascii=False, allow_nan=False)
        with self._lock:
            if self.state != RUNNING:
                return
            self._done, self._asked = done, asked
            self._told = told or (self.at_first if done == 0 else "")
            if text is not None:
                self._result, self._posted = text, self.clock()
            self._changed()

    # ---- for the server

    def begin(self, carry_out: Callable[[], None]) -> None:
        """Start its thread; a thread of this kind does not keep the program from ending."""
        self.thread = threading.Thread(target=carry_out, name=f"job {self.kind}", daemon=True)
        self.thread.start()

    @property
    def is_alive(self) -> bool:
        """Whether its thread still works, even where it counts as stopped."""
        return self.thread is not None and self.thread.is_alive()

    def halt(self, why: str) -> None:
        """Tell the work to end; the first reason counts."""
        with self._lock:
            if self.state == RUNNING and self._halt_at is None:
                self._halt_at, self._why_halted = self.clock(), why

    def end(self, state: str, *, problems: tuple[str, ...] = ()) -> None:
        """It is over; what was posted last stays. The first end counts."""
        with self._lock:
            if self.state != RUNNING:
                return
            self.state, self._problems = state, problems
            if state == STOPPED:
                self._told = self._why_halted
            if self._halt_at is None:
                self._halt_at = self.clock()  # what it started elsewhere is to end as well
            self._changed()

    def _changed(self) -> None:
        self.version += 1
        for wake in self._watchers:
            wake()

    @contextlib.contextmanager
    def watched(self, wake: Callable[[], None]) -> Iterator[None]:
        """Somebody watches inside the block; ``wake`` is called at each change, from any thread."""
        with self._lock:
            self._watchers.append(wake)
        try:
            yield
        finally:
            with self._lock:
                self._watchers.remove(wake)
                self._seen = self.clock()

    def unseen_for(self, now: float) -> float:
        """Seconds since somebody last watched."""
        with self._lock:
            return 0.0 if self._watchers else now - self._seen

    def forgive(self, seconds: float) -> None:
        """Leave a time out of account in which nobody could have watched."""
        with self._lock:
            self._seen += seconds

    def halted_for(self, now: float) -> float:
        """Seconds since it was told to stop; below 0 when it was not."""
        return -1.0 if self._halt_at is None else now - self._halt_at

    def state_text(self) -> str:
        """What a page is told, as JSON."""
        with self._lock:
            state = {
                "version": self.version,
                "kind": self.kind,
                "state": self.state,
                "done": self._done,
                "asked": self._asked,
                "told": self._told,
                "problems": self._problems,
            }
            result = self._result
        return f'{json.dumps(state, ensure_ascii=False)[:-1]}, "result": {result}}}'
