"""Work of a page without a server: a task that collects what is shown, and drafts of tiny tanks."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from concurrent.futures import Executor, ThreadPoolExecutor
from typing import Any

from rockshy.analysis.document.files import plain
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.read import scenario_of
from rockshy.analysis.page.work.kinds import READ
from rockshy.analysis.study.remembered import Remembered


class FakeTask:
    """A task that wants a newer result whenever it is asked, and ends after so many simulated tanks.

    Parameters
    ----------
    stop_after : it is to end once so many are done; never when None.
    """

    def __init__(
        self, draft: Draft, executor: Executor, *, stop_after: int | None = None, **what: Any
    ) -> None:
        self.draft, self.executor, self.what = draft, executor, what
        self.scenario = READ.get(what.get("kind", ""), scenario_of)(draft)
        self.kept: dict[str, Any] = {}
        self.remembered: Remembered | None = None
        self.results: list[dict[str, Any]] = []
        self.counts: list[tuple[int, int]] = []
        self.told: list[str] = []
        self.documents: list[str] = []
        self._stop_after = stop_after

    def halted(self) -> bool:
        return self._stop_after is not None and bool(self.counts) and self.counts[-1][0] >= self._stop_after

    def is_due(self) -> bool:
        return True

    def post(self, result: Mapping[str, Any] | None, *, done: int, asked: int, told: str = "") -> None:
        if result is not None:
            self.results.append(json.loads(json.dumps(plain(result), allow_nan=False)))
        self.counts.append((done, asked))
        self.told += [told] if told and told not in self.told else []

    def show(self, document: str) -> str:
        self.documents.append(document)
        return f"/shown/{len(self.documents)}"


def done_by(work: Callable[[Any], None], text: str, *, name: str = "tiny.toml", **options: Any) -> FakeTask:
    """A task with a piece of work carried out; ``options``: what is asked, and ``stop_after``."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        task = FakeTask(Draft(text, name), pool, **options)
        work(task)
    return task
