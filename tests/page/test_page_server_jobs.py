"""Work and films of pages over a real socket: started, followed, stopped, superseded, shown."""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest
from fake_page import (
    AT_MOST_S,
    HEADERS,
    NASTY,
    OTHER_PAGE,
    PAGE,
    Bench,
    Patient,
    assert_goes_on,
    assert_headers,
    at_once,
    bench,
    draft,
    put_in_place,
    scenario_of,
    sent,
    wait_for,
    wait_for_end,
)
from rockshy.analysis.page.serving.jobs import ASKED_TO, UNSEEN, Times
from rockshy.sim.run.model import HaltedError


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    with bench(monkeypatch, works={"patient": Patient(), "at once": at_once}) as one:
        yield one


# ---- jobs


def test_work_is_started_followed_and_done(served: Bench) -> None:
    status, said = served.start("at once", which=1)
    assert status == 200
    wait_for_end(served.desk.jobs.find(PAGE, said["job"]))
    status, state = served.follow(said["job"])
    assert status == 200
    assert (state["state"], state["result"], state["told"]) == ("done", {"which": 1}, "all done")
    assert served.follow(said["job"], seen=state["version"])[1] == state  # what is over is told at once


def test_who_follows_hears_of_news_as_they_come(served: Bench) -> None:
    job = served.desk.jobs.find(PAGE, served.start()[1]["job"])
    wait_for(job, lambda: job.version > 1)
    with ThreadPoolExecutor(1) as other:
        seen = job.version
        waiting = other.submit(served.follow, job.name, seen)
        wait_until_followed(job)
        job.post({"second": True}, done=2, asked=4)
        assert waiting.result(AT_MOST_S)[1]["result"] == {"second": True}


def wait_until_followed(job: Any) -> None:
    """Wait until somebody watches a job."""
    there = threading.Event()
    for _ in range(2000):
        if job._watchers:
            return
        there.wait(0.01)
    raise AssertionError("nobody follows")


def test_who_follows_is_answered_in_time_when_nothing_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    with bench(monkeypatch, works={"patient": Patient()}, follow_s=0.05) as served:
        job = served.desk.jobs.find(PAGE, served.start()[1]["job"])
        wait_for(job, lambda: job.version > 1)
        assert served.follow(job.name, job.version)[1]["state"] == "running"


def test_work_is_stopped_within_a_second_even_if_it_does_not_obey(monkeypatch: pytest.MonkeyPatch) -> None:
    work = Patient(obeys=False)
    with bench(monkeypatch, works={"patient": work}) as served:
        job = served.desk.jobs.find(PAGE, served.start()[1]["job"])
        wait_for(job, lambda: job.version > 1)
        assert served.post("/stop", {"job": job.name}) == (200, {})
        state = served.follow(job.name, job.version)[1]
        assert (state["state"], state["told"], state["result"]) == ("stopped", ASKED_TO, {"first": True})
        work.let_go()


def test_a_second_start_is_refused_while_the_first_runs(served: Bench) -> None:
    first = served.start()[1]["job"]
    status, said = served.start("at once")
    assert (status, said) == (
        409,
        {"problems": ["Something is being tried on this page already; stop it first."]},
    )
    assert served.start("at once", page=OTHER_PAGE)[0] == 200
    assert served.follow(first)[1]["state"] == "running"


def test_a_hundred_starts_at_once_are_one_start_and_clear_refusals(served: Bench) -> None:
    body = json.dumps({"draft": sent(draft()), "what": {"kind": "patient"}})
    everybody = threading.Barrier(100)

    def start(_: int) -> tuple[int, Any]:
        everybody.wait(AT_MOST_S)
        answer = browser.post("/start", content=body, headers=HEADERS)
        return answer.status_code, answer.json()

    many = httpx.Limits(max_connections=100)
    address = f"http://127.0.0.1:{served.port}"
    with (
        httpx.Client(base_url=address, timeout=AT_MOST_S, limits=many) as browser,
        ThreadPoolExecutor(100) as crowd,
    ):
        answers = list(crowd.map(start, range(100)))
    assert sorted(status for status, _ in answers) == [200] + [409] * 99
    assert all(said["problems"] for status, said in answers if status != 200)
    assert len(served.desk.jobs.all()) == 1
    assert_goes_on(served)


def test_a_scenario_that_cannot_be_run_is_refused_with_its_problems(served: Bench) -> None:
    odd = {"text": "[tank]\nlenght = 5", "name": "x.toml", "stock_list": None}
    status, said = served.post("/start", {"draft": odd, "what": {"kind": "patient"}})
    assert status == 422
    assert any("tank.lenght" in one for one in said["problems"])
    assert served.desk.jobs.all() == []


def test_the_job_of_another_page_is_not_found(served: Bench) -> None:
    job = served.start()[1]["job"]
    assert served.follow(job, page=OTHER_PAGE)[0] == 404
    assert served.post("/stop", {"job": job}, x_rockshy_page=OTHER_PAGE)[0] == 404
    assert served.follow(job)[1]["state"] == "running"


def test_a_closed_tab_leaves_nothing_running(monkeypatch: pytest.MonkeyPatch) -> None:
    times = Times(unseen=0.2, obey=0.2, look=0.02, jump=60.0)
    with bench(monkeypatch, works={"patient": Patient()}, times=times, follow_s=AT_MOST_S) as served:
        body = json.dumps({"draft": sent(draft()), "what": {"kind": "patient"}})
        line = httpx.Client(base_url=f"http://127.0.0.1:{served.port}", timeout=AT_MOST_S)
        answer = line.post("/start", content=body, headers=HEADERS)
        job = served.desk.jobs.find(PAGE, answer.json()["job"])
        follow = json.dumps({"job": job.name, "seen": 10**6}).encode()  # to be answered at once, and then
        line.post("/follow", content=follow, headers=HEADERS)
        wait_for(job, lambda: job.version > 1)
        asked = json.dumps({"job": job.name, "seen": job.version}).encode()
        with socket.create_connection(("127.0.0.1", served.port), timeout=AT_MOST_S) as tab:
            tab.sendall(as_http(served, "/follow", asked))
            wait_until_followed(job)
            assert not job.halted()
        state = wait_for_end_unwatched(job)
        assert (state["state"], state["told"]) == ("stopped", UNSEEN)
        line.close()


def as_http(served: Bench, path: str, body: bytes) -> bytes:
    head = [f"POST {path} HTTP/1.1", f"Host: 127.0.0.1:{served.port}", f"Content-Length: {len(body)}"]
    head += [f"{name}: {value}" for name, value in HEADERS.items()]
    return "\r\n".join(head).encode() + b"\r\n\r\n" + body


def wait_for_end_unwatched(job: Any) -> Any:
    """Wait for the end of a job without being seen to."""
    patience = threading.Event()
    for _ in range(2000):
        if job.state != "running":
            return json.loads(job.state_text())
        patience.wait(0.01)
    raise AssertionError("it goes on unseen")


# ---- films


def film_body(**change: Any) -> dict[str, Any]:
    return {
        "draft": sent(draft()),
        "which": 0,
        "trial": None,
        "beside": None,
        "change": None,
        "minutes": None,
        **change,
    }


def test_a_film_is_made_out_of_what_was_tried_and_shown_apart_from_the_page(
    served: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []

    def film_of(scenario: Any, **asked: Any) -> tuple[str, dict[str, Any]]:
        seen.append(asked)
        return f"<p>{NASTY}", {"why": ["Because."], "trial": 3}

    put_in_place(monkeypatch, "work.filming", film_of=film_of)
    served.works["try"] = at_once
    job = served.start("try")[1]["job"]
    wait_for_end(served.desk.jobs.find(PAGE, job))
    status, said = served.post("/film", film_body(trial=3, minutes=10))
    assert (status, said["trial"], said["why"]) == (200, 3, ["Because."])
    assert (seen[0]["trial"], seen[0]["minutes"], seen[0]["kept"]) == (3, 10.0, {"table": "try"})
    shown = served.client.get(said["shown"])
    assert shown.text == f"<p>{NASTY}"
    assert "sandbox allow-scripts" in shown.headers["Content-Security-Policy"]
    assert "allow-same-origin" not in shown.headers["Content-Security-Policy"]
    assert "script-src" not in shown.headers["Content-Security-Policy"]
    assert_headers(shown)
    other = sent(draft("Another"))
    assert served.post("/film", film_body(draft=other))[0] == 200
    assert seen[1]["kept"] == {}  # nothing of this draft was tried
    assert served.client.get(said["shown"], headers={"Host": "evil.example"}).status_code == 403


def test_a_newer_wish_ends_the_film_that_is_being_made(
    served: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = threading.Event()

    def film_of(scenario: Any, *, trial: int, halted: Any, **_: Any) -> tuple[str, dict[str, Any]]:
        if trial == 1:
            begun.set()
            patience = threading.Event()
            for _ in range(2000):
                if halted():
                    raise HaltedError("given up")
                patience.wait(0.01)
        return "<p>", {"why": [], "trial": trial}

    put_in_place(monkeypatch, "work.filming", film_of=film_of)
    with ThreadPoolExecutor(1) as other:
        first = other.submit(served.post, "/film", film_body(trial=1))
        assert begun.wait(AT_MOST_S)
        assert served.post("/film", film_body(trial=2))[1]["trial"] == 2
        assert first.result(AT_MOST_S) == (
            409, {"problems": ["Another film was asked for in the meantime."]}
        )  # fmt: skip


def test_a_change_that_helps_becomes_a_copy(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    def work(task: Any) -> None:
        task.kept["changes"] = {3: ("two females more", scenario_of(draft("With two")))}

    def with_change(one: Any, name: str, scenario: Any) -> Any:
        return draft(f"{name}: {scenario.title}")

    put_in_place(monkeypatch, "editing.edits", edited_and_said=None, with_change=with_change)
    served.works["relief"] = work
    job = served.start("relief")[1]["job"]
    wait_for_end(served.desk.jobs.find(PAGE, job))
    take = {"do": "take change", "job": job, "number": 3}
    body = {"draft": sent(draft()), "which": 0, "changes": [take]}
    assert served.post("/edit", body)[1]["draft"] == sent(draft("two females more: With two"))
    assert served.post("/edit", {**body, "changes": [{**take, "number": 4}]})[0] == 404
    assert served.post("/edit", {**body, "changes": [{**take, "job": "0" * 32}]})[0] == 404
    assert served.post("/edit", {**body, "changes": [take, {"do": "bare"}]})[0] == 422
    assert served.post("/edit", body, x_rockshy_page=OTHER_PAGE)[0] == 404
