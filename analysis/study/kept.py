"""Finished trials kept on disk: a long run that ends for whatever reason goes on where it was.

Every finished job is one row of ``work.sqlite`` in the folder of a command, written in one transaction
before it is handed on. So a kill or a power cut at any moment loses at most the trials that were just
being simulated, and the rest is never simulated again.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import sqlite3
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from ...sim.run.trials import Job, Outcome
from ...sim.scenario.scenario import Scenario
from .layout import RECIPE, WORK, StoreError
from .packing import pack, unpack
from .recipe import canonical, differences, digest, scenario_digest

FORMAT = "rockshy work 1"
_OWN = "use a new folder, an empty one, or the one in which this very run was begun"
_TABLES = """
    CREATE TABLE told (name TEXT PRIMARY KEY, value TEXT NOT NULL);
    CREATE TABLE scenario (which INTEGER PRIMARY KEY, digest TEXT NOT NULL);
    CREATE TABLE done (
        which INTEGER NOT NULL, trial INTEGER NOT NULL, arms TEXT NOT NULL,
        sum TEXT NOT NULL, outcomes BLOB NOT NULL, PRIMARY KEY (which, trial, arms)
    );
"""


class Kept:
    """The finished jobs of one folder, for one process at a time.

    Use it in a ``with`` statement; a folder in which nothing was finished is left as it was found.

    Parameters
    ----------
    folder : made when it does not exist.
    recipe : what the jobs depend on, see :func:`rockshy.analysis.study.recipe.recipe_of`. ``Job.which``
        must stand for the same scenario whenever the recipe is the same; :func:`each_kept_job` checks it.

    Raises
    ------
    StoreError
        On entering: the folder holds other files or work on something else (the message says what
        differs), another process works in it, it cannot be written, or its file is damaged beyond single
        jobs. Later: the disk is full or fails. What was finished before stays in the folder.

    Attributes
    ----------
    damaged : how many finished jobs were found damaged on entering; they are gone and count as not run.
    """

    def __init__(self, folder: str | os.PathLike[str], *, recipe: Mapping[str, Any]) -> None:
        self.folder = Path(folder)
        self.file = self.folder / WORK
        self.recipe = dict(recipe)
        self._made: list[Path] = []  # folders made by us, the deepest first
        self._checked: set[int] = set()
        self.damaged = 0
        self._is_sound = False  # open, locked, and nothing has gone wrong yet

    @property
    def digest(self) -> str:
        """Hash of the recipe (64 hexadecimal digits)."""
        return digest(self.recipe)

    # ---- opening and closing

    def __enter__(self) -> Self:
        check_work_folder(self.folder)
        try:
            self._make_folder()
            self._connect()
        except BaseException:
            self._leave_no_trace()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        is_empty = False
        with contextlib.suppress(StoreError):
            is_empty = len(self) == 0
        self._close(and_remove=is_empty)
        self._leave_no_trace()

    def _make_folder(self) -> None:
        self._made = [place for place in (self.folder, *self.folder.parents) if not place.exists()]
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise StoreError(f"{self.folder}: cannot be written ({problem.strerror or problem})") from problem

    def _connect(self) -> None:
        is_new = not self.file.exists()
        try:
            self._db = sqlite3.connect(self.file, timeout=0.0, isolation_level=None)
        except sqlite3.Error as problem:
            raise self._said(problem) from problem
        is_locked = False
        try:
            self._ask("PRAGMA locking_mode = EXCLUSIVE")  # the lock ends with the process, however it ends
            self._ask("PRAGMA synchronous = FULL")
            self._ask("BEGIN EXCLUSIVE")
            is_locked = True
            self._open()
            self._is_sound = True
        except BaseException:
            self._close(and_remove=is_new and is_locked)
            raise

    def _close(self, *, and_remove: bool) -> None:
        """Close the file. To be removed it goes while it is still locked, so that nobody begins in it.

        The journal that a killed process left has done its work once we have opened the file, and goes too.
        """
        with contextlib.suppress(OSError):
            if self._is_sound:
                self.file.with_name(f"{WORK}-journal").unlink(missing_ok=True)
        with contextlib.suppress(OSError):
            if and_remove:
                self.file.unlink()
        self._db.close()
        with contextlib.suppress(OSError):  # some systems keep an open file
            if and_remove and os.name == "nt":
                self.file.unlink()

    def _leave_no_trace(self) -> None:
        """Take away the folders that we made, where nothing came into them."""
        for place in self._made:
            with contextlib.suppress(OSError):
                place.rmdir()

    def _open(self) -> None:
        """In a transaction: make the tables of a new file, or see whether an old one is ours and whole."""
        if not self._ask("SELECT name FROM sqlite_master"):
            for statement in _TABLES.split(";"):
                self._ask(statement)
            told = {"format": FORMAT, "recipe": canonical(self.recipe), "sum": self.digest}
            for row in told.items():
                self._ask("INSERT INTO told VALUES (?, ?)", row)
        self._ask("COMMIT")
        self._check_recipe()
        self._check_rows()

    def _check_rows(self) -> None:
        """Make the index anew where it is damaged, and take out single jobs that are.

        A file that is damaged in another way is left as it is.
        """
        self._ask("BEGIN")
        try:
            if self._ask("PRAGMA integrity_check(1)") != [("ok",)]:
                self._ask("REINDEX")
                (told,) = self._ask("PRAGMA integrity_check(1)")[0]
                if told != "ok":
                    raise self._damaged(str(told).splitlines()[0])
            rows = self._ask("SELECT rowid FROM done")
            bad = [row for row in rows if not self._is_whole(row)]
            for row in bad:
                self._ask("DELETE FROM done WHERE rowid = ?", row)
            self._ask("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self._db.execute("ROLLBACK")
            raise
        self.damaged = len(bad)

    def _is_whole(self, rowid: tuple[int]) -> bool:
        """Whether a row is what was put in; a damaged one may hold anything."""
        ((which, trial, arms, wanted, packed),) = self._ask(
            "SELECT CAST(which AS INTEGER), CAST(trial AS INTEGER), CAST(arms AS BLOB), CAST(sum AS BLOB), "
            "CAST(outcomes AS BLOB) FROM done WHERE rowid = ?",
            rowid,
        )
        try:
            return _checksum((which, trial, arms.decode()), packed).encode() == wanted
        except (AttributeError, TypeError, ValueError):  # a column that is not there, or of another kind
            return False

    def _check_recipe(self) -> None:
        try:
            told = dict(self._ask("SELECT name, value FROM told"))
            if told.get("format") != FORMAT:
                raise StoreError(f'{self.file} is not of this version ("{FORMAT}"); use another folder')
            there = json.loads(told["recipe"])
            if digest(there) != told["sum"]:
                raise ValueError("its checksum differs")
        except (KeyError, ValueError, TypeError) as problem:
            raise self._damaged(f"what it was made from cannot be read: {problem}") from problem
        found = differences(there, self.recipe)
        if found:
            raise StoreError(f"{self.folder}: holds the finished trials of another run: {found}; {_OWN}")

    # ---- jobs

    def __contains__(self, job: Job) -> bool:
        return bool(self._ask("SELECT 1 FROM done WHERE which = ? AND trial = ? AND arms = ?", _key(job)))

    def __len__(self) -> int:
        return int(self._ask("SELECT count(*) FROM done")[0][0])

    def find(self, job: Job) -> tuple[Outcome, ...] | None:
        """The outcomes of a finished job; None when it is not finished.

        Raises
        ------
        StoreError
            When its row is damaged.
        """
        key = _key(job)
        what = "CAST(sum AS BLOB), CAST(outcomes AS BLOB)"  # a damaged row may hold anything
        rows = self._ask(f"SELECT {what} FROM done WHERE which = ? AND trial = ? AND arms = ?", key)
        if not rows:
            return None
        wanted, packed = rows[0]
        try:
            if _checksum(key, packed).encode() != wanted:
                raise ValueError("its checksum differs")
            return unpack(packed)
        except (ValueError, TypeError) as problem:
            raise self._damaged(f"trial {job.trial} of scenario {job.which}: {problem}") from problem

    def add(self, job: Job, outcomes: Sequence[Outcome]) -> None:
        """Put a finished job on disk; when this returns it is there, whatever happens next.

        Raises
        ------
        StoreError
            When the disk is full or fails.
        """
        key, packed = _key(job), pack(outcomes)
        row = (*key, _checksum(key, packed), packed)
        self._ask("INSERT OR IGNORE INTO done VALUES (?, ?, ?, ?, ?)", row)

    def hold_to(self, which: int, scenario: Scenario) -> None:
        """Make sure that a number in jobs stands for the scenario it has stood for from the start.

        Raises
        ------
        StoreError
            When it stood for another one.
        """
        if which in self._checked:
            return
        wanted = scenario_digest(scenario)
        self._ask("INSERT OR IGNORE INTO scenario VALUES (?, ?)", (which, wanted))
        there = self._ask("SELECT digest FROM scenario WHERE which = ?", (which,))[0][0]
        if there != wanted:
            raise StoreError(f"{self.folder} holds finished trials of another scenario {which}; {_OWN}")
        self._checked.add(which)

    def renew(self, which: int, scenario: Scenario) -> None:
        """Let a number in jobs stand for this scenario from here on; finished jobs of another one go."""
        wanted = scenario_digest(scenario)
        if self._ask("SELECT 1 FROM scenario WHERE which = ? AND digest = ?", (which, wanted)):
            return
        for table in ("done", "scenario"):
            self._ask(f"DELETE FROM {table} WHERE which = ?", (which,))
        self._checked.discard(which)

    # ---- the file

    def _ask(self, statement: str, values: Sequence[object] = ()) -> list[Any]:
        try:
            return self._db.execute(statement, values).fetchall()
        except (sqlite3.Error, UnicodeDecodeError) as problem:  # the latter where a header is damaged
            self._is_sound = False
            raise self._said(problem) from problem

    def _damaged(self, how: str) -> StoreError:
        return StoreError(f"{self.file} is damaged ({how}); use a sound copy of it, or another folder")

    def _said(self, problem: sqlite3.Error | UnicodeDecodeError) -> StoreError:
        if isinstance(problem, UnicodeDecodeError):
            return self._damaged("its text cannot be read")
        code = getattr(problem, "sqlite_errorcode", 0) & 0xFF
        if code in (0, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            return self._damaged(str(problem)[:80])  # 0: text that is none; it may be told in full
        told = {
            sqlite3.SQLITE_BUSY: "another rockshy is working in this folder; wait for it or use another",
            sqlite3.SQLITE_FULL: "the disk is full; what is finished is kept. Make room, then type the same "
            "command again",
            sqlite3.SQLITE_READONLY: "it cannot be written; use a folder of your own",
            sqlite3.SQLITE_CANTOPEN: "it cannot be opened or made; use a folder of your own",
        }
        return StoreError(f"{self.file}: {told.get(code, f'the disk or the file fails ({problem})')}")


def check_work_folder(folder: str | os.PathLike[str]) -> None:
    """Refuse a folder in which finished trials cannot be kept for what it is or holds; writes nothing.

    Raises
    ------
    StoreError
    """
    place = Path(folder)
    if place.exists() and not place.is_dir():
        raise StoreError(f"{place} is a file; {_OWN}")
    if (place / WORK).exists() or not place.is_dir() or not any(place.iterdir()):
        return
    if (place / RECIPE).exists():
        raise StoreError(
            f"{place} holds a result but not the finished trials it was made from ({WORK}); {_OWN}"
        )
    raise StoreError(f"{place} holds other files and is not a result folder; {_OWN}")


def _key(job: Job) -> tuple[int, int, str]:
    return job.which, job.trial, "" if job.arms is None else json.dumps(list(job.arms))


def _checksum(key: Sequence[object], packed: bytes) -> str:
    return hashlib.sha256(json.dumps(key).encode() + b"\0" + packed).hexdigest()
