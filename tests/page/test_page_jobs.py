"""Work of pages: one at a time, stopped when told or when nobody sees it, kept within bounds."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from fake_page import OTHER_PAGE, PAGE, Clock, Patient, at_once, draft, refused, told, wait_for_end
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.serving.guard import MOST_PAGES
from rockshy.analysis.page.serving.job import EVERY_S, Job
from rockshy.analysis.page.serving.jobs import MOST_KEPT, MOST_RUNNING, UNSEEN, Jobs, Times
from rockshy.analysis.page.serving.refusals import RefusalError
from rockshy.analysis.page.task import Task, Work
from rockshy.analysis.page.viewing.read import scenario_of
from rockshy.sim.run.model import HaltedError

TIMES = Times(unseen=8.0, obey=0.7, look=0.25, jump=3.0)

OF_FOUR: Any = {"draft": draft(), "scenario": scenario_of(draft())}


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def jobs(clock: Clock) -> Iterator[Jobs]:
    made = Jobs(times=TIMES, clock=clock)
    yield made
    made.close()


def start(jobs: Jobs, work: Work, *, page: str = PAGE, kind: str = "try", **what: Any) -> Job:
    options = {"at_first": what.pop("at_first")} if "at_first" in what else {}
    return jobs.start(page, work=work, **OF_FOUR, what={"kind": kind, **what}, **options)


def begun(jobs: Jobs, work: Patient, **how: Any) -> Job:
    job = start(jobs, work, **how)
    assert work.begun.acquire(timeout=20)
    return job


def pass_time(jobs: Jobs, clock: Clock, seconds: float, *, step: float = 0.25) -> None:
    """Let time pass, looked at as the server does."""
    for _ in range(round(seconds / step)):
        clock.now += step
        jobs.look()


def test_work_that_is_done_keeps_its_result_and_its_tables(jobs: Jobs) -> None:
    job = start(jobs, at_once, which=2)
    said = wait_for_end(job)
    assert said["state"] == "done"
    assert said["result"] == {"which": 2}
    assert (said["kind"], said["done"], said["asked"], said["told"]) == ("try", 4, 4, "all done")
    assert said["problems"] == []
    assert jobs.find(PAGE, job.name).kept == {"table": "try"}


def test_each_change_is_a_new_version_and_none_is_made_after_the_end(jobs: Jobs) -> None:
    work = Patient()
    job = begun(jobs, work)
    before = told(job)
    assert before["state"] == "running"
    assert before["result"] == {"first": True}
    job.post(None, done=2, asked=4, told="more")
    after = told(job)
    assert after["version"] == before["version"] + 1
    assert (after["result"], after["done"], after["told"]) == ({"first": True}, 2, "more")
    work.let_go()
    end = wait_for_end(job)
    assert end["version"] == after["version"] + 1
    job.post({"late": True}, done=4, asked=4)
    assert told(job) == end


def test_until_the_first_tank_is_done_a_job_may_say_why_it_takes_so_long(jobs: Jobs) -> None:
    job = begun(jobs, Patient(), at_first="Preparing, once.")
    said = []
    for done, words in ((0, ""), (0, "own words"), (1, "")):
        job.post(None, done=done, asked=4, told=words)
        said.append(told(job)["told"])
    assert said == ["Preparing, once.", "own words", ""]


def test_a_result_is_what_it_was_when_it_was_posted_and_holds_no_nan(jobs: Jobs) -> None:
    result: dict[str, Any] = {"numbers": [1.5, float("nan"), float("inf")], "pair": (1, 2), "word": "</b>"}

    def work(task: Task) -> None:
        task.post(result, done=1, asked=1)
        result["numbers"].append(7.0)

    said = wait_for_end(start(jobs, work))
    assert said["result"] == {"numbers": [1.5, None, None], "pair": [1, 2], "word": "</b>"}


def test_a_new_result_is_due_at_first_and_then_after_a_while(jobs: Jobs, clock: Clock) -> None:
    one, nobody = draft(), ThreadPoolExecutor(max_workers=1)
    job = Job(
        draft=one, scenario=scenario_of(one), what={"kind": "try"}, executor=nobody, show=str, clock=clock
    )
    assert job.is_due()
    job.post(None, done=0, asked=4, told="begins")
    assert job.is_due()
    job.post({}, done=1, asked=4)
    assert not job.is_due()
    clock.now += EVERY_S
    assert job.is_due()


@pytest.mark.parametrize(
    ("fault", "state", "said"),
    [
        (RefusedError("found a pike; use cichlids"), "failed", "found a pike"),
        (ValueError("rock: leaves no water"), "failed", "leaves no water"),
        (RuntimeError("a wheel came off"), "failed", "rockshy has a fault: RuntimeError: a wheel came off"),
        (HaltedError("given up"), "stopped", ""),
        (KeyboardInterrupt(), "stopped", ""),
    ],
)
def test_work_that_breaks_off_says_why_and_keeps_what_it_has(
    jobs: Jobs, fault: BaseException, state: str, said: str
) -> None:
    def work(task: Task) -> None:
        task.post({"half": True}, done=1, asked=2)
        raise fault

    end = wait_for_end(start(jobs, work))
    assert end["state"] == state
    assert end["result"] == {"half": True}
    assert said in " ".join(end["problems"])
    start(jobs, at_once)  # the page may begin anew


def test_the_last_result_after_being_told_to_stop_still_counts(jobs: Jobs) -> None:
    def work(task: Task) -> None:
        ready.set()
        assert go.wait(20)
        assert task.halted()
        task.post({"from": "what is done"}, done=1, asked=4)

    ready, go = threading.Event(), threading.Event()
    job = start(jobs, work)
    assert ready.wait(20)
    jobs.stop(PAGE, job.name)
    go.set()
    said = wait_for_end(job)
    assert (said["state"], said["result"]) == ("stopped", {"from": "what is done"})


def test_work_that_does_not_obey_counts_as_stopped_within_a_second(jobs: Jobs, clock: Clock) -> None:
    work = Patient(obeys=False)
    job = begun(jobs, work)
    jobs.stop(PAGE, job.name)
    pass_time(jobs, clock, 0.5)
    assert job.state == "running"
    pass_time(jobs, clock, 0.5)
    assert told(job)["state"] == "stopped"
    assert job.is_alive
    job.post({"late": True}, done=4, asked=4)
    assert told(job)["result"] == {"first": True}
    work.let_go()


def test_threads_that_do_not_end_count_among_those_that_run(jobs: Jobs, clock: Clock) -> None:
    works = [Patient(obeys=False) for _ in range(MOST_RUNNING)]
    for work in works:
        jobs.stop(PAGE, begun(jobs, work).name)
        pass_time(jobs, clock, 1.0)
    assert "stop one of them, or wait" in refused(429, start, jobs, at_once)
    for work in works:
        work.let_go()
    for thread in threading.enumerate():
        if thread.name == "job try":
            thread.join(20)
    start(jobs, at_once)


def test_a_job_that_somebody_sees_goes_on_and_is_stopped_when_nobody_does(jobs: Jobs, clock: Clock) -> None:
    job = begun(jobs, Patient())
    with job.watched(lambda: None):
        pass_time(jobs, clock, 60.0)
    pass_time(jobs, clock, 7.5)
    assert not job.halted()
    with job.watched(lambda: None):
        pass_time(jobs, clock, 1.0)
    pass_time(jobs, clock, 8.0)
    assert not job.halted()
    pass_time(jobs, clock, 0.5)
    said = wait_for_end(job)
    assert (said["state"], said["told"], said["result"]) == ("stopped", UNSEEN, {"first": True})


def test_a_computer_that_slept_is_forgiven(jobs: Jobs, clock: Clock) -> None:
    job = begun(jobs, Patient())
    pass_time(jobs, clock, 7.0)
    clock.now += 3600.0
    jobs.look()
    assert not job.halted()
    pass_time(jobs, clock, 0.75)
    assert not job.halted()
    pass_time(jobs, clock, 1.0)
    assert job.halted()


def test_a_hundred_starts_at_once_are_one_start(jobs: Jobs) -> None:
    work = Patient()
    everybody = threading.Barrier(100)

    def try_it(_: int) -> int:
        everybody.wait(20)
        try:
            start(jobs, work)
        except RefusalError as refusal:
            return refusal.status
        return 0

    with ThreadPoolExecutor(max_workers=100) as crowd:
        assert sorted(crowd.map(try_it, range(100))) == [0] + [409] * 99
    assert work.begun.acquire(timeout=20)
    assert not work.begun.acquire(blocking=False)


def test_finished_work_is_kept_until_another_of_its_kind_begins(jobs: Jobs) -> None:
    first = start(jobs, at_once)
    wait_for_end(first)
    other = start(jobs, at_once, kind="compare")
    wait_for_end(other)
    assert jobs.newest(PAGE, "try") is first
    second = start(jobs, at_once)
    wait_for_end(second)
    assert jobs.newest(PAGE, "try") is second
    assert jobs.newest(PAGE, "compare") is other
    assert jobs.newest(PAGE, "rock") is None
    refused(404, jobs.find, PAGE, first.name)


def test_what_is_kept_stays_within_bounds_and_a_page_whose_job_runs_is_not_forgotten(jobs: Jobs) -> None:
    for number in range(2 * MOST_KEPT):
        wait_for_end(start(jobs, at_once, kind=f"kind {number}"))
    assert len(jobs.all()) == MOST_KEPT
    job = begun(jobs, Patient(), page=OTHER_PAGE)
    for number in range(2 * MOST_PAGES):
        other = start(jobs, at_once, page=f"{number:032x}")
        wait_for_end(other)
        other.thread.join(20)  # type: ignore[union-attr]
    assert len(jobs.all()) <= MOST_PAGES
    refused(404, jobs.find, f"{0:032x}", "any")
    assert jobs.find(OTHER_PAGE, job.name) is job and job.state == "running"
