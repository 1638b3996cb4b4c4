"""Runs the experiments one after the other and gathers the table; Ctrl-C keeps what is done."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from datetime import date
from time import monotonic
from typing import Any

from ...sim.run.identity import release
from ...sim.run.running import own_cores
from ..asking.progress import OF_A_RUN, say, say_if_preparing
from ..study.runner import Runner
from . import fingerprint
from .experiments import EXPERIMENTS
from .lab import SEED, Lab
from .lot import side_of
from .registered import Pattern, patterns, reasons, standing
from .table import NO_REASON, Row, headline, judged_anew, row_of, table_of
from .verdict import HOLDS


class _PatternProgress:
    """Progress on stderr: on a terminal a line that counts up, elsewhere a line a pattern."""

    def __init__(self, patterns: Sequence[Pattern]) -> None:
        self._ids = [pattern.id for pattern in patterns]
        self._now = ""
        self._started = monotonic()
        self._moving = bool(getattr(sys.stderr, "isatty", lambda: False)())

    def begin(self, id_: str) -> None:
        """A pattern begins."""
        self._now = f"{id_} ({self._ids.index(id_) + 1} of {len(self._ids)})"

    def count(self, done: int, asked: int) -> None:
        """So many simulated tanks of a set-up are done."""
        if self._moving:
            print(f"\r{self._now}: {done} of {asked} simulated tanks   ", end="", file=sys.stderr, flush=True)

    def end(self, verdict: str) -> None:
        """A pattern is done."""
        if self._moving:
            print("\r" + " " * 60 + "\r", end="", file=sys.stderr)
        say(f"{self._now}: {verdict}; {(monotonic() - self._started) / 60:.1f} min so far")


def make_table(asked: Sequence[Pattern], *, quick: bool) -> dict[str, Any]:
    """Run the experiments of some patterns and make the table.

    Parameters
    ----------
    asked : which, as registered.
    quick : with the smaller number of trials.

    Returns
    -------
    dict
        See :func:`rockshy.analysis.evidence.table.table_of`; ``stopped`` is true after Ctrl-C, and the
        rows are then those that were done.
    """
    written = reasons()
    told = _PatternProgress(asked)
    rows: list[Row] = []
    stopped = False
    say_if_preparing(last=OF_A_RUN)
    try:
        with own_cores() as pool:
            bench = Lab(Runner(None, pool, told.count))
            for pattern in asked:
                told.begin(pattern.id)
                trials = pattern.trials_quick if quick else pattern.trials
                found = EXPERIMENTS[pattern.id](bench, trials)
                rows.append(row_of(pattern, found, trials=trials, reason=written.get(pattern.id)))
                told.end(rows[-1]["verdict"])
    except KeyboardInterrupt:
        stopped = True
    complete = not quick and not stopped and len(rows) == len(standing())
    return table_of(
        rows,
        complete=complete,
        stopped=stopped,
        what=_what(rows, quick=quick, stopped=stopped, asked=len(asked), all_=len(standing())),
        version=release(),
        date=date.today().isoformat(),
        seed=SEED,
        numbers=fingerprint.of_numbers(),
        baseline=fingerprint.of_checkout(),
    )


def _what(rows: Sequence[Row], *, quick: bool, stopped: bool, asked: int, all_: int) -> str:
    """What was run, in words."""
    trials = "the smaller numbers of trials" if quick else "the full numbers of trials"
    if stopped:
        return f"{len(rows)} of {asked} patterns before it was stopped, with {trials}"
    if asked < all_:
        return f"{asked} of {all_} patterns, with {trials}"
    return f"all {all_} patterns, with {trials}"


def added_to(table: Mapping[str, Any], run: Mapping[str, Any]) -> dict[str, Any]:
    """The recorded table with rows that were run since by the same rules and numbers, in their order."""
    rows = {row["id"]: row for row in (*table["rows"], *run["rows"])}
    waiting = [id_ for id_ in standing() if id_ not in rows]
    made = {key: run[key] for key in ("stopped", "version", "date", "seed", "numbers", "baseline")}
    return table_of(
        [rows[id_] for id_ in standing() if id_ in rows],
        complete=not waiting,
        waiting=waiting,
        what=_what(
            (), quick=False, stopped=False, asked=len(standing()) - len(waiting), all_=len(standing())
        ),
        **made,
    )


def reworded(table: Mapping[str, Any]) -> dict[str, Any]:
    """A table with verdicts and reasons as they would be given now; the figures stay."""
    written = reasons()
    judged = [judged_anew(row) for row in table["rows"]]
    rows = [
        {
            **row,
            "restated": patterns()[row["id"]].restated,
            "lot": side_of(row["id"]),
            "reason": None if row["verdict"] == HOLDS else written.get(row["id"], NO_REASON),
        }
        for row in judged
    ]
    there = {row["id"] for row in rows}
    waiting = [id_ for id_ in standing() if id_ not in there]
    return {**table, "headline": headline(rows, waiting=waiting), "waiting": waiting, "rows": rows}
