"""Finished trials of any tank, kept in the user's cache folder by what they are of: never simulated twice.

A trial is found again by a hash of all that it depends on: the simulator's sources, everything of the
scenario that matters to it (title, comments and how many trials are asked for do not), its number and its
set-up. So it does not matter for which file, page, question or start of the program it was run.

It is a cache and nothing else. What cannot be read is thrown away and simulated again, what was not used for
longest goes when there is too much, and where the folder or the disk fails nothing is kept and all goes on.
"""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from ...sim.rules.support.compiled import user_cache
from ...sim.run.identity import release, sources
from ...sim.run.set_ups import set_ups
from ...sim.run.trials import Job, Outcome
from ...sim.scenario.scenario import Scenario
from .packing import pack, unpack
from .recipe import canonical, scenario_digest

T = TypeVar("T")
Done = tuple[Job, tuple[Outcome, ...]]

FILE = "trials.sqlite"
FORMAT = 1  # of the file; one of another format is begun anew
MOST_BYTES = 300_000_000  # of packed trials: some 20,000 tanks of 24 fish with both controls
_LEAST_FREED = 0.1  # of MOST_BYTES, so that it is seldom done
_TABLE = """
    CREATE TABLE IF NOT EXISTS trial (
        key BLOB PRIMARY KEY, sum BLOB NOT NULL, used REAL NOT NULL, outcomes BLOB NOT NULL
    ) WITHOUT ROWID
"""


class Remembered:
    """The trials in one file, for all threads of a program and for several programs at a time.

    Parameters
    ----------
    folder : where the file lies, made when it does not exist; the user's cache folder when None.
    most_bytes : of packed trials.
    clock : seconds since 1970.
    """

    def __init__(
        self,
        folder: Path | None = None,
        *,
        most_bytes: int = MOST_BYTES,
        clock: Callable[[], float] = time.time,
    ) -> None:
        self.file = (user_cache() if folder is None else folder) / FILE
        self._most, self._clock = most_bytes, clock
        self._lock = threading.Lock()
        self._db: sqlite3.Connection | None = None
        self._size = 0
        with self._lock, contextlib.suppress(OSError, sqlite3.Error):
            self.file.parent.mkdir(parents=True, exist_ok=True)
            self._open()

    def close(self) -> None:
        """Keep nothing from here on."""
        with self._lock:
            self._leave()

    def find(self, scenario: str, trial: int, arm: str) -> Outcome | None:
        """A set-up of a trial of a scenario, by :func:`digest_of`; None where it is not there."""
        return self._tried(lambda db: self._found(db, _key(scenario, trial, arm)))

    def add(self, scenario: str, outcome: Outcome) -> None:
        """Keep a set-up of a trial of a scenario, as far as that can be done."""
        key, packed = _key(scenario, outcome.trial, outcome.name), pack([outcome])
        row = (key, _checksum(key, packed), self._clock(), packed)

        def put(db: sqlite3.Connection) -> None:
            db.execute("INSERT OR REPLACE INTO trial VALUES (?, ?, ?, ?)", row)
            self._size += len(packed)
            if self._size > self._most:
                self._make_room(db)

        self._tried(put)

    # ---- the file

    def _open(self) -> None:
        try:
            self._connect()
        except sqlite3.DatabaseError as problem:
            if isinstance(problem, sqlite3.OperationalError):  # locked, full, or not to be written
                self._leave()
                return
            self._begin_anew()

    def _begin_anew(self) -> None:
        """Throw a damaged file away."""
        self._leave()
        for ending in ("", "-wal", "-shm"):
            self.file.with_name(FILE + ending).unlink(missing_ok=True)
        self._connect()

    def _connect(self) -> None:
        self._db = db = sqlite3.connect(self.file, timeout=2.0, isolation_level=None, check_same_thread=False)
        db.execute("PRAGMA journal_mode = WAL")  # so that a note of its use waits for no disk
        db.execute("PRAGMA synchronous = NORMAL")
        if db.execute("PRAGMA user_version").fetchone()[0] not in (0, FORMAT):
            db.execute("DROP TABLE IF EXISTS trial")
        db.execute(_TABLE)
        db.execute(f"PRAGMA user_version = {FORMAT}")
        self._size = self._measured(db)

    def _measured(self, db: sqlite3.Connection) -> int:
        return int(db.execute("SELECT coalesce(sum(length(outcomes)), 0) FROM trial").fetchone()[0])

    def _tried(self, work: Callable[[sqlite3.Connection], T]) -> T | None:
        """What work on the file comes to; None where nothing is kept, or no more from here on."""
        with self._lock:
            if self._db is None:
                return None
            try:
                return work(self._db)
            except sqlite3.OperationalError:  # busy for long, or a full disk: this one is not kept
                return None
            except sqlite3.Error:
                with contextlib.suppress(OSError, sqlite3.Error):
                    self._begin_anew()
                return None

    def _found(self, db: sqlite3.Connection, key: bytes) -> Outcome | None:
        row = db.execute("SELECT sum, outcomes FROM trial WHERE key = ?", (key,)).fetchone()
        if row is None:
            return None
        try:
            if _checksum(key, row[1]) != row[0]:
                raise ValueError("its checksum differs")
            (found,) = unpack(row[1])
        except (ValueError, TypeError):
            db.execute("DELETE FROM trial WHERE key = ?", (key,))
            return None
        db.execute("UPDATE trial SET used = ? WHERE key = ?", (self._clock(), key))
        return found

    def _make_room(self, db: sqlite3.Connection) -> None:
        """Take out what was not used for longest, and a little more."""
        self._size = self._measured(db)
        wanted = self._size - (1.0 - _LEAST_FREED) * self._most
        rows = db.execute("SELECT key, length(outcomes) FROM trial ORDER BY used").fetchall()
        db.execute("BEGIN IMMEDIATE")
        for key, size in rows:
            if wanted <= 0:
                break
            db.execute("DELETE FROM trial WHERE key = ?", (key,))
            wanted, self._size = wanted - size, self._size - size
        db.execute("COMMIT")  # the file keeps its size; what comes next goes into the room

    def _leave(self) -> None:
        if self._db is not None:
            with contextlib.suppress(sqlite3.Error):
                self._db.close()
        self._db = None


def digest_of(scenario: Scenario) -> str:
    """What a trial depends on beside its number and set-ups: simulator, and what matters of a scenario."""
    return f"{release()} {sources()} {scenario_digest(scenario)}"


def each_remembered(
    scenarios: Sequence[Scenario],
    jobs: Iterable[Job],
    *,
    run: Callable[[Sequence[Scenario], Sequence[Job]], Iterable[Done]],
    remembered: Remembered | None,
    work: str = "",
) -> Iterator[Done]:
    """Each job with its outcomes: those that are kept first, then the others as ``run`` ends them.

    Parameters
    ----------
    scenarios : by the number in jobs.
    run : simulates jobs; called only where some are left.
    remembered : None keeps nothing.
    work : what is done in a trial, where it is more than to run it.
    """
    if remembered is None:
        yield from run(scenarios, list(jobs))
        return
    digests: dict[int, str] = {}
    left = []
    for job in jobs:
        scenario = scenarios[job.which]
        if job.which not in digests:
            digests[job.which] = f"{digest_of(scenario)} {work}".rstrip()
        digest = digests[job.which]
        arms = set_ups(scenario) if job.arms is None else job.arms
        found = [one for arm in arms if (one := remembered.find(digest, job.trial, arm)) is not None]
        if len(found) == len(arms):
            yield job, tuple(found)
        else:
            left.append(job)
    for job, outcomes in run(scenarios, left) if left else ():
        for one in outcomes:
            remembered.add(digests[job.which], one)
        yield job, outcomes


def _key(scenario: str, trial: int, arm: str) -> bytes:
    return hashlib.sha256(canonical([scenario, trial, arm]).encode()).digest()


def _checksum(key: bytes, packed: bytes) -> bytes:
    return hashlib.sha256(key + b"\0" + packed).digest()
