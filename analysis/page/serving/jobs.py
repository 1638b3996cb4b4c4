"""Work for pages: started, followed, stopped, kept for a while; none goes on that nobody sees.

A job has a thread of its own for what it works out; all jobs together have threads that simulate, one a core.
A page follows its job by asking for the next version of its state; a job that nobody asks about for a while
is stopped, so that a closed tab leaves nothing running.
"""

from __future__ import annotations

import contextlib
import os
import sys
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ....sim.scenario.scenario import Scenario
from ..task import Draft, Show, Work
from .guard import MOST_PAGES
from .job import DONE, FAILED, RUNNING, STOPPED, Job
from .refusals import BUSY, MISSING, TOO_MANY, RefusalError, refusal_of
from .wire import PageRequest

if TYPE_CHECKING:
    from ...study.remembered import Remembered

MOST_RUNNING = 4  # jobs at a time, of all pages; those that were stopped and still end count
MOST_KEPT = 6  # finished jobs of a page

UNSEEN = "Nobody was watching this page any more, so it was stopped; what is done is kept."
ASKED_TO = "Stopped; what is done is kept."
ENDED = "Rockshy has ended."


@dataclass(frozen=True)
class Times:
    """How long things may take, in s."""

    unseen: float = 8.0  # without anybody who follows
    obey: float = 0.6  # from being told to stop until it counts as stopped, whatever its thread still does
    look: float = 0.1  # between two looks at all jobs
    jump: float = 3.0  # a longer time between two looks: the computer slept, or was too busy to answer


class Jobs:
    """All jobs of a server; ``clock``: seconds that do not run on while the computer sleeps, if it can."""

    def __init__(
        self,
        *,
        times: Times | None = None,
        clock: Callable[[], float] = time.monotonic,
        remember: Callable[[], Remembered | None] = lambda: None,
    ) -> None:
        self.times = times or Times()
        self.remember = remember
        self._clock = clock
        self.executor = ThreadPoolExecutor(
            max_workers=os.cpu_count() or 1, thread_name_prefix="simulated tank", initializer=step_back
        )
        self._pages: OrderedDict[str, dict[str, Job]] = OrderedDict()  # of each its jobs, the newest last
        self._lock = threading.RLock()
        self._looked = clock()
        self._ending: list[Job] = []  # their threads still run
        self._closed = False

    def start(
        self,
        page: str,
        *,
        work: Work,
        draft: Draft,
        scenario: Scenario,
        what: PageRequest,
        show: Show = lambda document: "",
        at_first: str = "",
    ) -> Job:
        """Begin a :class:`.job.Job` of a page; raises as :meth:`check_free`."""
        with self._lock:
            self.check_free(page)
            job = Job(draft, scenario, what, self.executor, show, self._clock, self.remember(), at_first)
            own = self._page(page)
            for name in [name for name, one in own.items() if one.kind == job.kind]:
                del own[name]
            while len(own) >= MOST_KEPT:
                del own[next(iter(own))]
            own[job.name] = job
            self._ending.append(job)
            job.begin(lambda: _carry_out(job, work))
            return job

    def check_free(self, page: str) -> None:
        """Raise RefusalError for a page that has a job that runs, for any while there are enough of them."""
        with self._lock:
            if _running(self._pages.get(page, {})):
                raise RefusalError(BUSY, "Something is being tried on this page already; stop it first.")
            self._ending = [job for job in self._ending if job.is_alive]
            if self._closed or len(self._ending) >= MOST_RUNNING:
                raise RefusalError(
                    TOO_MANY, f"{MOST_RUNNING} pages are trying something out; stop one of them, or wait."
                )

    def is_busy(self) -> bool:
        """Whether anything that a page asked for runs, or still ends."""
        with self._lock:
            return any(job.is_alive for job in self._ending)

    @property
    def is_closed(self) -> bool:
        """Whether the server ends."""
        return self._closed

    def _page(self, page: str) -> dict[str, Job]:
        """The jobs of a page; of too many, the one unused longest is forgotten unless a job of it runs."""
        own = self._pages.setdefault(page, {})
        self._pages.move_to_end(page)
        for name in list(self._pages):
            if len(self._pages) <= MOST_PAGES:
                break
            if name != page and not _running(self._pages[name]):
                del self._pages[name]
        return own

    def find(self, page: str, name: str) -> Job:
        """A job of a page; raises RefusalError when the page has no such job (any more)."""
        with self._lock:
            job = self._pages.get(page, {}).get(name)
            if job is None:
                raise RefusalError(MISSING, "This is no longer kept; try it again.")
            self._pages.move_to_end(page)
            return job

    def newest(self, page: str, kind: str) -> Job | None:
        """The job of a kind that a page has, running or finished."""
        with self._lock:
            return next((job for job in self._pages.get(page, {}).values() if job.kind == kind), None)

    def stop(self, page: str, name: str) -> None:
        """Tell a job to stop; it counts as stopped within a second."""
        self.find(page, name).halt(ASKED_TO)

    def look(self) -> None:
        """Stop what nobody sees, and count as stopped what was told to stop; called again and again."""
        with self._lock:
            now = self._clock()
            slept = now - self._looked
            self._looked = now
            self._ending = [job for job in self._ending if job.is_alive]
        for job in self.all():
            if slept > self.times.jump:
                job.forgive(slept)
            elif job.unseen_for(now) > self.times.unseen:
                job.halt(UNSEEN)
            if job.halted_for(now) > self.times.obey:
                job.end(STOPPED)

    def close(self) -> None:
        """The server ends: halt everything, and let nobody wait any longer."""
        with self._lock:
            self._closed = True
        for job in self.all():
            job.halt(ENDED)
            job.end(STOPPED)
        self.executor.shutdown(wait=False, cancel_futures=True)

    def all(self) -> list[Job]:
        """Every job that is remembered, running or finished."""
        with self._lock:
            return [job for own in self._pages.values() for job in own.values()]


def _running(jobs: Mapping[str, Job]) -> list[Job]:
    return [job for job in jobs.values() if job.state == RUNNING]


def _carry_out(job: Job, work: Work) -> None:
    """What the thread of a job does."""
    from ....sim.run.model import HaltedError

    try:
        work(job)
    except (HaltedError, KeyboardInterrupt):
        job.end(STOPPED)
    except BaseException as fault:  # the last resort: nobody would hear of it
        job.end(FAILED, problems=refusal_of(fault).problems)
    else:
        job.end(STOPPED if job.halted() else DONE)


def step_back() -> None:
    """Let the page and its film go before the trials on the same cores, where threads have a rank."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 5)
