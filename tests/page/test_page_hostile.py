"""Whatever is sent or opened: refused in a few lines that can be shown, with no more than so much work.

Work is counted in calls of functions, not in seconds, so that a busy computer changes nothing.
"""

from __future__ import annotations

import json
import socket
import time

import pytest
from fake_page import AT_MOST_S, HEADERS, PAGE, Bench, assert_goes_on, served, site
from hostile import GOOD, ODD, bodies, calls_of, files, lists, with_list
from rockshy.analysis.page.editing.edits import edited
from rockshy.analysis.page.editing.pasting import pasted
from rockshy.analysis.page.serving import door, wire
from rockshy.analysis.page.serving.answers import Desk
from rockshy.analysis.page.serving.refusals import OWN_FAULT, refusal_of
from rockshy.analysis.page.serving.server import _POSTS
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import view_of
from rockshy.sim.scenario.reading import ScenarioError, parse

__all__ = ["served", "site"]  # fixtures

MOST_CALLS = 6_000_000  # an ordinary file takes some ten thousand, one of 1,900 species 2.8 million
MOST_TO_EDIT = 6_000_000  # a file of 1,900 dotted names that is changed in one of them
LONGEST_ANSWER, LONGEST_LINE = 150_000, 600  # signs

FILES, BODIES, LISTS = dict(files()), dict(bodies()), dict(lists())
CHANGE = {"do": "set", "field": "tank.length", "value": 100}


@pytest.fixture(scope="module", autouse=True)
def loaded() -> None:
    """Libraries are loaded and species read once, which is no work of a hostile file."""
    edited(Draft(GOOD, "good.toml"), 0, [CHANGE])
    view_of(Draft(GOOD, "good.toml"), 0)


def test_there_are_hundreds() -> None:
    assert len(FILES) + len(BODIES) + len(LISTS) >= 500


def test_hostile_files_are_refused_by_what_reads_for_commands_and_page() -> None:
    for what, text in FILES.items():
        found, _ = calls_of(lambda text=text: parse(text, name="x.toml"), most=MOST_CALLS)
        assert isinstance(found, ScenarioError), what
        for line in found.sentences():
            assert len(line) <= LONGEST_LINE and line.isprintable(), what


def test_the_page_shows_what_is_wrong_with_them_and_is_not_filled_by_it() -> None:
    for what, text in list(FILES.items())[::3]:
        view, _ = calls_of(lambda text=text: view_of(Draft(text, "x.toml"), 0), most=MOST_CALLS)
        assert not view["good"] and len(json.dumps(view)) < LONGEST_ANSWER, what


def test_a_change_in_them_is_made_or_refused_in_words() -> None:
    for what, text in list(FILES.items())[::3]:
        new, _ = calls_of(lambda text=text: edited(Draft(text, "x.toml"), 0, [CHANGE]), most=MOST_TO_EDIT)
        assert isinstance(new, Draft) or refusal_of(new).status < OWN_FAULT, what


def test_hostile_lists_are_refused_pasted_and_as_files() -> None:
    for what, text in LISTS.items():
        found, _ = calls_of(lambda text=text: pasted(Draft(GOOD, "x.toml"), 0, text, False), most=MOST_CALLS)
        assert all(line.isprintable() for line in refusal_of(found).problems), what
        assert refusal_of(found).status < OWN_FAULT
        view, _ = calls_of(lambda text=text: view_of(with_list(text), 0), most=MOST_CALLS)
        assert not view["good"] and len(json.dumps(view)) < LONGEST_ANSWER, what


def test_hostile_requests_are_refused_by_every_address() -> None:
    desk = Desk(Draft(GOOD, "tank.toml"))
    try:
        for path, handler in _POSTS.items():
            for what, body in BODIES.items():
                found, _ = calls_of(lambda b=body, h=handler: h(desk, PAGE, wire.read(b)), most=MOST_CALLS)
                assert isinstance(found, Exception), (path, what)
                assert refusal_of(found).status < OWN_FAULT, (path, what)
        assert desk.jobs.all() == []
    finally:
        desk.jobs.close()


def test_some_of_them_over_the_line_and_the_server_goes_on(served: Bench) -> None:
    for what, body in list(BODIES.items())[::4]:
        answer = served.client.post("/look", content=body, headers=HEADERS)
        assert 400 <= answer.status_code < 500 and answer.json()["problems"], what
    assert_goes_on(served)


@pytest.mark.parametrize("odd", ODD)
def test_signs_that_are_not_seen_are_spelled_out_in_names(odd: str) -> None:
    said = odd.encode("unicode_escape").decode()
    text = f"title = {json.dumps(f'My{odd}tank')}\n{GOOD}[[alternative]]\nname = {json.dumps(f'a{odd}b')}\n"
    text += 'add = [{species = "Tropheus moorii", males = 1}]\n'
    scenario = parse(text, name="x.toml")
    view = view_of(Draft(text, "x.toml"), 0)
    for name in (scenario.title, scenario.alternatives[0].name, view["title"], view["names"][1]):
        assert name.isprintable() and (said in name or odd.isspace()), name


# ---- connections


def connected(served: Bench, sent: bytes = b"") -> socket.socket:
    line = socket.create_connection(("127.0.0.1", served.port), timeout=AT_MOST_S)
    line.sendall(sent)
    return line


HEAD = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"


@pytest.mark.parametrize(
    "sent", [b"", HEAD, HEAD + b"\r\n" + HEAD, b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 9\r\n\r\n1"]
)
def test_whoever_does_not_ask_to_the_end_is_shown_out(
    served: Bench, monkeypatch: pytest.MonkeyPatch, sent: bytes
) -> None:
    monkeypatch.setattr(door, "HEAD_S", 0.2)
    with connected(served, sent) as line:
        assert ended(line)
    assert_goes_on(served)


def ended(line: socket.socket) -> bool:
    """Whether the other end closes the line, whatever it says before."""
    try:
        while line.recv(65536):
            pass
    except ConnectionResetError:
        return True
    except TimeoutError:
        return False
    return True


def test_headers_that_trickle_are_not_waited_for(served: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "HEAD_S", 0.3)
    with connected(served, HEAD) as line, pytest.raises(OSError):
        for k in range(200):
            line.sendall(b"X-%d: y\r\n" % k)
            time.sleep(0.02)
    assert_goes_on(served)


def test_the_first_of_too_many_that_only_stand_there_go(served: Bench) -> None:
    lines = [connected(served) for _ in range(door.MOST_WAITING + 8)]
    try:
        assert all(ended(line) for line in lines[:6])
        assert_goes_on(served)
    finally:
        for line in lines:
            line.close()
