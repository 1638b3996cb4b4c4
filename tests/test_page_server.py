"""The server of the page on a real socket: what is answered, what is refused, and that it goes on."""

from __future__ import annotations

import hashlib
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
    OTHER_PAGE,
    PAGE,
    Bench,
    Patient,
    at_once,
    bench,
    draft,
    put_in_place,
    scenario_of,
    sent,
    wait_for,
    wait_for_end,
)
from rockshy import scenarios
from rockshy.analysis.page import guard
from rockshy.analysis.page.jobs import ASKED_TO, UNSEEN, Times
from rockshy.sim.model import HaltedError

NASTY = '<script>alert(1)</script> & "x" \u2028 \u05d0'


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    with bench(monkeypatch, works={"patient": Patient(), "at once": at_once}) as one:
        yield one


def assert_goes_on(served: Bench) -> None:
    assert served.post("/look", {"draft": sent(draft()), "which": 0}) == (200, {"view": {"which": 0}})


def assert_headers(answer: httpx.Response) -> None:
    for name, value in guard.HEADERS.items():
        assert answer.headers[name] == value
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert "server" not in answer.headers


# ---- what the browser loads


def test_the_page_loads_without_a_token_and_under_a_policy(served: Bench) -> None:
    answer = served.client.get("/")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["Content-Security-Policy"] == guard.PAGE_POLICY
    assert "unsafe" not in guard.PAGE_POLICY
    assert_headers(answer)
    script = served.client.get("/screen/ask.js")
    assert script.headers["content-type"] == "text/javascript; charset=utf-8"
    assert "X-Rockshy-Token" in script.text
    assert_headers(script)


NOWHERE = (
    "/screen/../server.py", "/screen/%2e%2e/server.py", "/screen/%2e%2e%2fserver.py", "/screen/__init__.py",
    "/screen/..%5cserver.py", "/screen/%2fetc%2fpasswd", "/screen//etc/passwd", "/screen/", "/screen/no.js",
    "/screen/index.html%00.js", "/../../etc/passwd", "/shown/", "/shown/..%2f..%2fpyproject.toml", "//",
    "/player.py", "/player.", "/index.html", "/nothing", "/%ff", "/begin/", "/shown/" + "0" * 32,
)  # fmt: skip


def test_no_address_leads_to_another_file(served: Bench) -> None:
    for path in NOWHERE:
        head = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nConnection: close\r\n\r\n"
        answer = raw(served, head)
        assert " 404 " in answer.partition("\r\n")[0], path
        assert json.loads(answer.rpartition("\r\n\r\n")[2])["problems"]
        assert "nosniff" in answer
    assert_goes_on(served)


def test_another_method_is_refused_in_words(served: Bench) -> None:
    asked = "GET /begin, GET /edit, PUT /look, DELETE /start, POST /, OPTIONS /edit"
    for method, path in (one.split() for one in asked.split(", ")):
        answer = served.client.request(method, path, headers=HEADERS)
        assert answer.status_code == 405
        assert answer.json() == {"problems": ["This address is not asked like that."]}
        assert "Access-Control-Allow-Origin" not in answer.headers
        assert_headers(answer)


# ---- hostile requests


FOREIGN = (
    ("Host", "evil.example", 403),
    ("Host", "127.0.0.1", 403),
    ("Host", "localhost:1", 403),
    ("Origin", "http://evil.example", 403),
    ("Origin", "null", 403),
    ("X-Rockshy-Token", "", 403),
    ("X-Rockshy-Token", "guess", 403),
    ("X-Rockshy-Page", "", 400),
    ("X-Rockshy-Page", "../../x", 400),
    ("Content-Type", "text/plain", 415),
    ("Content-Type", "application/x-www-form-urlencoded", 415),
)


def test_a_foreign_request_is_refused_and_nothing_is_begun(served: Bench) -> None:
    for path, body in (
        ("/start", {"draft": sent(draft()), "what": {"kind": "patient"}}),
        ("/look", {"draft": sent(draft()), "which": 0}),
        ("/stop", {"job": "0" * 32}),
        ("/film", {"draft": sent(draft()), "which": 0}),
    ):
        for name, value, status in FOREIGN:
            answer = served.client.post(path, content=json.dumps(body), headers={**HEADERS, name: value})
            assert answer.status_code == status, (path, name, value)
            assert answer.json()["problems"]
            assert_headers(answer)
    assert served.desk.jobs.held == 0
    assert_goes_on(served)


def test_not_even_the_page_is_shown_to_a_foreign_host(served: Bench) -> None:
    for path in ("/", "/screen/ask.js", "/shown/x", "/nothing"):
        answer = served.client.get(path, headers={"Host": "evil.example"})
        assert answer.status_code == 403
        assert "the terminal printed" in answer.json()["problems"][0]
        assert_headers(answer)


def test_a_request_from_the_page_itself_is_answered_under_both_names(served: Bench) -> None:
    for name in ("127.0.0.1", "localhost"):
        host = f"{name}:{served.port}"
        body = json.dumps({"draft": sent(draft()), "which": 0})
        headers = {**HEADERS, "Host": host, "Origin": f"http://{host}"}
        assert served.client.post("/look", content=body, headers=headers).status_code == 200


def test_a_body_that_is_too_long_is_refused_however_it_is_sent(served: Bench) -> None:
    def in_parts(size: int) -> Iterator[bytes]:
        for _ in range(0, size, 50_000):
            yield b" " * 50_000
        yield b" "

    for content in (b" " * 1_000_001, b" " * 2_000_000, in_parts(1_000_000), in_parts(20_000_000)):
        answer = served.client.post("/look", content=content, headers=HEADERS)
        assert answer.status_code == 413
        assert "1000000 bytes" in answer.json()["problems"][0]
    assert_goes_on(served)


MALFORMED = (
    b"", b"{", b"[]", b"null", b"\xff", b'{"draft": NaN}', b'{"a": 1e999}', b"[" * 900_000,
    b'{"a":' * 100_000, b'{"a": ' + b"9" * 900_000 + b"}", b'{"draft": {}, "draft": {}}',
    b'{"draft": "x", "which": 0}', b'{"draft": {"text": 1, "name": "x"}, "which": 0}', b'{"which": 0}',
    b'{"unknown": 1}', b"\x00" * 1000,
)  # fmt: skip


def test_a_malformed_body_is_refused_in_words(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    put_in_place(monkeypatch, "editing", edited_and_said=None)
    for name, function in (("rock_view", "rock_view"), ("pasting", "pasted"), ("filming", "film_of")):
        put_in_place(monkeypatch, name, **{function: None})
    for path in ("/look", "/edit", "/start", "/film", "/follow", "/stop", "/rock", "/paste", "/open"):
        for body in MALFORMED:
            page = hashlib.md5(path.encode() + body[:100]).hexdigest()  # so that no rate ends it
            answer = served.client.post(path, content=body, headers={**HEADERS, "X-Rockshy-Page": page})
            assert answer.status_code == 400, (path, body[:40], answer.text)
            assert len(answer.text) < 1000
            assert all("found" in one and "allowed" in one for one in answer.json()["problems"])
    assert_goes_on(served)


def test_what_is_no_http_at_all_does_no_harm(served: Bench) -> None:
    assert " 400 " in raw(served, "\x16\x03\x01 hello\r\n\r\n")
    assert " 400 " in raw(served, "GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\nConnection: close\r\n\r\n")
    raw(
        served,
        f"POST /look HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nContent-Length: 50\r\n\r\n",
        leave=True,
    )
    assert_goes_on(served)


def raw(served: Bench, text: str, *, leave: bool = False) -> str:
    """Bytes as no browser would send them; what comes back."""
    with socket.create_connection(("127.0.0.1", served.port), timeout=AT_MOST_S) as line:
        line.sendall(text.encode("latin-1"))
        if leave:
            return ""
        parts = []
        while part := line.recv(65536):
            parts.append(part)
    return b"".join(parts).decode("utf-8", "replace")


def test_it_listens_on_loopback_alone(served: Bench) -> None:
    own = socket.gethostbyname(socket.gethostname())
    others = {own, "127.0.0.2"} - {"127.0.0.1"}
    for address in others:
        with pytest.raises(OSError), socket.create_connection((address, served.port), timeout=2):
            pass


def test_too_many_requests_are_refused_and_the_page_goes_on_later(monkeypatch: pytest.MonkeyPatch) -> None:
    with bench(monkeypatch, rates=guard.Rates(page=(5, 0), all_pages=(100, 100))) as served:
        body = {"draft": sent(draft()), "which": 0}
        statuses = [served.post("/look", body)[0] for _ in range(8)]
        assert statuses == [200] * 5 + [429] * 3
        assert served.post("/look", body, x_rockshy_page=OTHER_PAGE)[0] == 200


# ---- drafts


def test_a_page_begins_with_the_file_given(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    put_in_place(monkeypatch, "species", species_list=lambda: [{"key": "Tropheus moorii"}])
    status, said = served.post("/begin")
    assert status == 200
    assert said["draft"] == sent(draft())
    assert said["view"] == {"which": 0}
    assert said["species"] == [{"key": "Tropheus moorii"}]
    assert [one["name"] for one in said["scenarios"]] == scenarios.names()
    assert all(one["question"] for one in said["scenarios"])
    assert said["limits"]["tank.length"]["low"] == 30
    assert "30 cm" in said["limits"]["tank.length"]["allowed"]


def test_a_ready_scenario_is_opened_by_its_name(served: Bench) -> None:
    status, said = served.post("/open", {"scenario": scenarios.DEMO})
    assert status == 200
    assert said["draft"] == {
        "text": scenarios.text(scenarios.DEMO), "name": f"{scenarios.DEMO}.toml", "stock_list": None
    }  # fmt: skip
    for odd in ("nothing", "../../pyproject", "", "/etc/passwd"):
        status, said = served.post("/open", {"scenario": odd})
        assert status == 422
        assert scenarios.DEMO in said["problems"][0]


def test_a_file_that_is_no_toml_is_refused_with_its_line_and_one_with_problems_is_shown(
    served: Bench,
) -> None:
    status, said = served.post("/open", {"draft": {"text": "a = \n[", "name": "x.toml", "stock_list": None}})
    assert status == 422
    assert "line 1" in said["problems"][0]
    odd = {"text": "[tank]\nlenght = 5", "name": "x.toml", "stock_list": None}
    assert served.post("/open", {"draft": odd}) == (200, {"draft": odd, "view": {"which": 0}})


def test_markup_in_names_stays_text(served: Bench) -> None:
    odd = {"text": f"title = '{NASTY}'", "name": "<img src=x onerror=alert(1)>.toml", "stock_list": None}
    answer = served.client.post("/open", content=json.dumps({"draft": odd}), headers=HEADERS)
    assert answer.headers["content-type"] == "application/json"
    assert answer.json()["draft"] == odd
    status, said = served.post("/open", {"scenario": NASTY})
    assert status == 422
    status, said = served.start(NASTY)
    assert status == 400
    assert NASTY[:20] in said["problems"][0]


def test_an_edit_is_answered_with_the_new_text_and_its_view(
    served: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def edited_and_said(one: Any, which: int, changes: list[Any]) -> Any:
        assert (which, changes) == (2, [{"do": "bare"}])
        return draft("Bare"), ["It is bare now."]

    put_in_place(monkeypatch, "editing", edited_and_said=edited_and_said)
    status, said = served.post("/edit", {"draft": sent(draft()), "which": 2, "changes": [{"do": "bare"}]})
    assert status == 200
    assert said == {"draft": sent(draft("Bare")), "view": {"which": 2}, "said": ["It is bare now."]}


def test_a_fault_of_ours_is_one_sentence_and_the_next_question_is_answered(
    served: Bench, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def break_down(*_: object, **__: object) -> None:
        raise RuntimeError("a wheel came off")

    put_in_place(monkeypatch, "rock_view", rock_view=break_down)
    status, said = served.post("/rock", {"draft": sent(draft()), "which": 0, "place": None})
    assert status == 500
    assert len(said["problems"]) == 1
    assert "rockshy has a fault: RuntimeError: a wheel came off" in said["problems"][0]
    assert_goes_on(served)
    assert capfd.readouterr().err == ""


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
    assert served.desk.jobs.held == 1
    assert_goes_on(served)


def test_a_scenario_that_cannot_be_run_is_refused_with_its_problems(served: Bench) -> None:
    odd = {"text": "[tank]\nlenght = 5", "name": "x.toml", "stock_list": None}
    status, said = served.post("/start", {"draft": odd, "what": {"kind": "patient"}})
    assert status == 422
    assert any("tank.lenght" in one for one in said["problems"])
    assert served.desk.jobs.held == 0


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

    put_in_place(monkeypatch, "filming", film_of=film_of)
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

    put_in_place(monkeypatch, "filming", film_of=film_of)
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

    put_in_place(monkeypatch, "editing", edited_and_said=None, with_change=with_change)
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
