"""Work and films of pages over a real socket: started, followed, stopped, superseded, shown."""

from __future__ import annotations

import json
import socket
import threading
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import fake_page as fake
import httpx
import pytest
from fake_page import Bench, draft, sent, served, site
from rockshy.analysis.page.serving.job import Job
from rockshy.analysis.page.serving.jobs import ASKED_TO, UNSEEN, Times
from rockshy.analysis.page.viewing.read import scenario_of
from rockshy.sim.run.model import HaltedError

__all__ = ["served", "site"]  # fixtures


def begun(served: Bench) -> Job:
    """A job of work that waits, once it has shown something."""
    job = served.desk.jobs.find(fake.PAGE, served.start()[1]["job"])
    fake.wait_for(job, lambda: job.version > 1)
    return job


def until(is_so: Any, otherwise: str) -> None:
    """Wait without being seen to."""
    patience = threading.Event()
    for _ in range(2000):
        if is_so():
            return
        patience.wait(0.01)
    raise AssertionError(otherwise)


def test_work_is_started_followed_and_done(served: Bench) -> None:
    status, said = served.start("at once", which=1)
    assert status == 200
    fake.wait_for_end(served.desk.jobs.find(fake.PAGE, said["job"]))
    status, state = served.follow(said["job"])
    assert status == 200
    assert (state["state"], state["result"], state["told"]) == ("done", {"which": 1}, "all done")
    assert served.follow(said["job"], seen=state["version"])[1] == state  # what is over is told at once


def test_who_follows_hears_of_news_as_they_come(served: Bench) -> None:
    job = begun(served)
    with ThreadPoolExecutor(1) as other:
        waiting = other.submit(served.follow, job.name, job.version)
        until(lambda: job._watchers, "nobody follows")
        job.post({"second": True}, done=2, asked=4)
        assert waiting.result(fake.AT_MOST_S)[1]["result"] == {"second": True}


def test_who_follows_is_answered_in_time_when_nothing_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    with fake.bench(monkeypatch, works={"patient": fake.Patient()}, follow_s=0.05) as served:
        job = begun(served)
        assert served.follow(job.name, job.version)[1]["state"] == "running"


def test_what_cannot_be_started_or_is_another_pages_is_refused(served: Bench) -> None:
    odd = {"text": "[tank]\nlenght = 5", "name": "x.toml", "stock_list": None}
    status, said = served.post("/start", {"draft": odd, "what": {"kind": "patient"}})
    assert status == 422 and any("tank.lenght" in one for one in said["problems"])
    assert served.desk.jobs.all() == []
    job = begun(served)
    first = job.name
    status, said = served.start("at once")
    assert status == 409 and "stop it first" in said["problems"][0]
    assert served.start("at once", page=fake.OTHER_PAGE)[0] == 200
    assert served.follow(first, page=fake.OTHER_PAGE)[0] == 404
    assert served.post("/stop", {"job": first}, x_rockshy_page=fake.OTHER_PAGE)[0] == 404
    assert served.follow(first)[1]["state"] == "running"
    assert served.post("/stop", {"job": first}) == (200, {})
    assert fake.wait_for_end(job)["told"] == ASKED_TO


def test_a_closed_tab_leaves_nothing_running(monkeypatch: pytest.MonkeyPatch) -> None:
    times = Times(unseen=0.2, obey=0.2, look=0.02, jump=60.0)
    with fake.bench(
        monkeypatch, works={"patient": fake.Patient()}, times=times, follow_s=fake.AT_MOST_S
    ) as served:
        body = json.dumps({"draft": sent(draft()), "what": {"kind": "patient"}})
        with httpx.Client(base_url=f"http://127.0.0.1:{served.port}", timeout=fake.AT_MOST_S) as line:
            answer = line.post("/start", content=body, headers=fake.HEADERS)
            job = served.desk.jobs.find(fake.PAGE, answer.json()["job"])
            fake.wait_for(job, lambda: job.version > 1)
            asked = json.dumps({"job": job.name, "seen": job.version}).encode()
            with socket.create_connection(("127.0.0.1", served.port), timeout=fake.AT_MOST_S) as tab:
                tab.sendall(as_http(served, "/follow", asked))
                until(lambda: job._watchers, "nobody follows")
                assert not job.halted()
            until(lambda: job.state != "running", "it goes on unseen")
        state = json.loads(job.state_text())
        assert (state["state"], state["told"]) == ("stopped", UNSEEN)


def as_http(served: Bench, path: str, body: bytes) -> bytes:
    head = [f"POST {path} HTTP/1.1", f"Host: 127.0.0.1:{served.port}", f"Content-Length: {len(body)}"]
    head += [f"{name}: {value}" for name, value in fake.HEADERS.items()]
    return "\r\n".join(head).encode() + b"\r\n\r\n" + body


def film_body(**change: Any) -> dict[str, Any]:
    nothing = dict.fromkeys(("trial", "beside", "change", "minutes"))
    return {"draft": sent(draft()), "which": 0, **nothing, **change}


def test_a_film_is_made_out_of_what_was_tried_and_shown_apart_from_the_page(
    served: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []

    def film_of(scenario: Any, **asked: Any) -> tuple[str, dict[str, Any]]:
        seen.append(asked)
        return f"<p>{fake.NASTY}", {"why": ["Because."], "trial": 3}

    fake.put_in_place(monkeypatch, "work.filming", film_of=film_of)
    served.works["try"] = fake.at_once
    job = served.start("try")[1]["job"]
    fake.wait_for_end(served.desk.jobs.find(fake.PAGE, job))
    status, said = served.post("/film", film_body(trial=3, minutes=10))
    assert (status, said["trial"], said["why"]) == (200, 3, ["Because."])
    assert (seen[0]["trial"], seen[0]["minutes"], seen[0]["kept"]) == (3, 10.0, {"table": "try"})
    shown = served.client.get(said["shown"])
    assert shown.text == f"<p>{fake.NASTY}"
    policy = shown.headers["Content-Security-Policy"]
    assert "sandbox allow-scripts" in policy
    assert "allow-same-origin" not in policy and "script-src" not in policy
    fake.assert_headers(shown)
    other = sent(draft("Another"))
    assert served.post("/film", film_body(draft=other))[0] == 200
    assert seen[1]["kept"] == {}  # nothing of this draft was tried
    assert served.client.get(said["shown"], headers={"Host": "evil.example"}).status_code == 403


def test_a_newer_wish_ends_the_film_that_is_being_made(
    served: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    going = threading.Event()

    def film_of(scenario: Any, *, trial: int, halted: Any, **_: Any) -> tuple[str, dict[str, Any]]:
        if trial == 1:
            going.set()
            until(halted, "nobody ended it")
            raise HaltedError("given up")
        return "<p>", {"why": [], "trial": trial}

    fake.put_in_place(monkeypatch, "work.filming", film_of=film_of)
    with ThreadPoolExecutor(1) as other:
        first = other.submit(served.post, "/film", film_body(trial=1))
        assert going.wait(fake.AT_MOST_S)
        assert served.post("/film", film_body(trial=2))[1]["trial"] == 2
        assert first.result(fake.AT_MOST_S) == (200, {})  # no fault: the browser would call it one


def test_a_change_that_helps_becomes_a_copy(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    def work(task: Any) -> None:
        task.kept["changes"] = {3: ("two females more", scenario_of(draft("With two")))}

    def with_change(one: Any, name: str, scenario: Any) -> Any:
        return draft(f"{name}: {scenario.title}")

    fake.put_in_place(monkeypatch, "editing.edits", edited_and_said=None, with_change=with_change)
    served.works["relief"] = work
    job = served.start("relief")[1]["job"]
    fake.wait_for_end(served.desk.jobs.find(fake.PAGE, job))
    take = {"do": "take change", "job": job, "number": 3}
    body = {"draft": sent(draft()), "which": 0, "changes": [take]}
    assert served.post("/edit", body)[1]["draft"] == sent(draft("two females more: With two"))
    assert served.post("/edit", {**body, "changes": [{**take, "number": 4}]})[0] == 404
    assert served.post("/edit", {**body, "changes": [{**take, "job": "0" * 32}]})[0] == 404
    assert served.post("/edit", {**body, "changes": [take, {"do": "bare"}]})[0] == 422
    assert served.post("/edit", body, x_rockshy_page=fake.OTHER_PAGE)[0] == 404
