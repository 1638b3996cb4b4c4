"""The server of the page on a real socket: what is answered, what is refused, and that it goes on."""

from __future__ import annotations

import json
import re
import socket
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest
from fake_page import (
    AT_MOST_S,
    HEADERS,
    OTHER_PAGE,
    Bench,
    assert_goes_on,
    assert_headers,
    bench,
    draft,
    put_in_place,
    sent,
    served,
    site,
)
from rockshy import scenarios
from rockshy.analysis.page import screen
from rockshy.analysis.page.serving import guard

__all__ = ["served", "site"]  # fixtures


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
    "/player.py", "/player.css", "/index.html", "/nothing", "/%ff", "/begin/", "/shown/" + "0" * 32,
)  # fmt: skip


def test_the_page_names_every_module_so_that_none_is_waited_for_in_turn(served: Bench) -> None:
    page = served.client.get("/").text
    loaded = set(re.findall(r'(?:href|src)="/screen/([\w.]+\.js)"', page))
    assert loaded == {one.name for one in files(screen).iterdir() if one.name.endswith(".js")}


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


FOREIGN = {
    ("Host", 403): (
        *("127.0.0.1", "127.0.0.1:18427", "evil.example:18426", "127.0.0.1.evil.example", "0.0.0.0:18426"),
        *("localhost:1", "localhost.evil.example", "127.0.0.1:18426@evil.example", "127.0.0.1, evil.example"),
    ),
    ("Origin", 403): ("http://evil.example", "null", "http://127.0.0.1", "http://127.0.0.1:1"),
    ("X-Rockshy-Token", 403): ("", "guess"),
    ("X-Rockshy-Page", 400): ("", "../../x"),
    ("Content-Type", 415): ("text/plain", "application/x-www-form-urlencoded"),
}


def test_a_foreign_request_is_refused_and_nothing_is_begun(served: Bench) -> None:
    start = {"draft": sent(draft()), "what": {"kind": "patient"}}
    look = {"draft": sent(draft()), "which": 0}
    for path, body in (("/start", start), ("/look", look), ("/stop", {"job": "0" * 32}), ("/film", look)):
        for (name, status), values in FOREIGN.items():
            for value in values:
                answer = served.client.post(path, content=json.dumps(body), headers={**HEADERS, name: value})
                assert answer.status_code == status, (path, name, value)
                assert answer.json()["problems"]
                assert_headers(answer)
    assert served.desk.jobs.all() == []
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
    b"", b"[]", b"\xff", b'{"a": 1e999}', b"[" * 900_000, b'{"draft": "x", "which": 0}', b'{"which": 0}',
    b'{"draft": {"text": 1, "name": "x"}, "which": 0}', b'{"unknown": 1}', b"\x00" * 1000,
)  # fmt: skip


def test_a_malformed_body_is_refused_in_words(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    put_in_place(monkeypatch, "editing.edits", edited_and_said=None)
    put_in_place(monkeypatch, "rock.view", rock_view=None)
    put_in_place(monkeypatch, "editing.pasting", pasted_and_left=None)
    put_in_place(monkeypatch, "work.filming", film_of=None)
    for path in ("/look", "/edit", "/start", "/film", "/follow", "/stop", "/rock", "/paste", "/open"):
        for body in MALFORMED:
            answer = served.client.post(path, content=body, headers=HEADERS)
            assert answer.status_code == 400, (path, body[:40], answer.text)
            assert len(answer.text) < 1000
            assert all("; use " in one for one in answer.json()["problems"])
    assert_goes_on(served)


def test_what_is_no_http_at_all_does_no_harm(served: Bench) -> None:
    assert " 400 " in raw(served, "\x16\x03\x01 hello\r\n\r\n")
    assert " 400 " in raw(served, "GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\nConnection: close\r\n\r\n")
    head = f"POST /look HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nContent-Length: 50\r\n\r\n"
    raw(served, head, leave=True)
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


def test_a_page_begins_with_the_file_given(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    put_in_place(monkeypatch, "viewing.species", species_list=lambda: [{"key": "Tropheus moorii"}])
    status, said = served.post("/begin")
    assert (status, said["draft"], said["view"]) == (200, sent(draft()), {"which": 0})
    assert said["species"] == [{"key": "Tropheus moorii"}]
    assert [one["name"] for one in said["scenarios"]] == scenarios.names()
    assert all(one["question"] for one in said["scenarios"])
    assert said["fields"]["tank.length"]["kind"] == "length"


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


def test_an_edit_is_answered_with_the_new_text_and_its_view(
    served: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def edited_and_said(one: Any, which: int, changes: list[Any]) -> Any:
        assert (which, changes) == (2, [{"do": "bare"}])
        return draft("Bare"), ["It is bare now."]

    put_in_place(monkeypatch, "editing.edits", edited_and_said=edited_and_said)
    status, said = served.post("/edit", {"draft": sent(draft()), "which": 2, "changes": [{"do": "bare"}]})
    assert status == 200
    assert said == {"draft": sent(draft("Bare")), "view": {"which": 2}, "said": ["It is bare now."]}


def test_a_fault_of_ours_is_one_sentence_and_the_next_question_is_answered(
    served: Bench, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def break_down(*_: object, **__: object) -> None:
        raise RuntimeError("a wheel came off")

    put_in_place(monkeypatch, "rock.view", rock_view=break_down)
    status, said = served.post("/rock", {"draft": sent(draft()), "which": 0, "place": None})
    assert status == 500
    assert len(said["problems"]) == 1
    assert "rockshy has a fault: RuntimeError: a wheel came off" in said["problems"][0]
    assert_goes_on(served)
    assert capfd.readouterr().err == ""
