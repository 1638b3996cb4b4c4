"""The report of a tank and its copies: the very page that ``rockshy report`` writes."""

from __future__ import annotations

import threading
from pathlib import Path

from ...asking.found import check_water, command_line
from ...report.making import report_jobs, report_of, report_tables
from ..task import Task
from .asked import found_of, only
from .simulating import Count, each_done

_DRAWING = threading.Lock()  # pictures of two reports are not drawn at the same time


def make_report(task: Task) -> None:
    """Simulate, draw and write; a task that is to end earlier leaves no report."""
    only(task)
    check_water(found_of(task, task.scenario))
    scenarios, jobs = report_jobs(task.scenario)
    count, done = Count(task, len(jobs)), []
    count.post()
    for one in each_done(task, scenarios, jobs):
        done.append(one)
        count.done += 1
        count.post()
    tables = report_tables(scenarios, done)
    command = command_line("rockshy", "report", task.draft.name)
    with _DRAWING:
        page = report_of(
            task.scenario,
            tables,
            command=command,
            told=lambda what: count.post(told=what),
            halted=task.halted,
        )
    name = f"{Path(task.draft.name).name.removesuffix('.toml')}-report.html"
    count.post({"shown": task.show(page), "name": name})
