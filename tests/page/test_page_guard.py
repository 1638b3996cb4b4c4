"""How much and how often a page may ask, and what is read of it; each refusal says what is allowed."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

import pytest
from fake_page import PAGE, Clock, draft, refused, sent
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.measures.whom import FishGroupError
from rockshy.analysis.page.serving import guard, wire
from rockshy.analysis.page.serving.refusals import refusal_of
from rockshy.analysis.page.serving.shown import Shown, policy_of
from rockshy.analysis.page.task import Draft, StockList
from rockshy.sim.scenario.reading import parse


@pytest.mark.parametrize(
    ("said", "check", "odd"),
    [
        ("the one that the terminal", guard.check_host, [None, "", " 127.0.0.1:18426", "[::1]:18426"]),
        ("another site", guard.check_origin, ["null", "", "https://127.0.0.1:18426", "http://127.0.0.1"]),
        ("printed last", guard.check_token, [None, "", "secre", "secrets", "s\u00e9cret", "\ud800"]),
        ("32 hexadecimal", guard.check_page, [None, "", "abc", PAGE.upper(), PAGE + "0", PAGE + "\n"]),
        ("application/json", guard.check_kind, [None, "application/jsonp", "application/json, text/plain"]),
        ("application/json", guard.check_kind, ["multipart/form-data", "application/json; charset=utf-16"]),
        ("1000000 bytes", guard.check_length, ["1000001"]),
        ("no number", guard.check_length, ["-1", "", "1e3", "\u0661", "9" * 5000]),
    ],
)
def test_what_no_browser_of_this_page_sends_is_refused(said: str, check: Any, odd: list[Any]) -> None:
    more = {guard.check_token: {"token": "secret"}, guard.check_host: {"port": 18426}}
    named = more.get(check, {"port": 18426} if check is guard.check_origin else {})
    for one in odd:
        assert said in refused(None, check, one, **named)


def test_requests_have_a_rate_and_a_page_cannot_use_up_that_of_another() -> None:
    clock = Clock()
    rates = guard.Rates(page=(3, 1), all_pages=(5, 100), clock=clock)
    for _ in range(3):
        rates.check("a")
    assert "wait a second" in refused(429, rates.check, "a")
    rates.check("b")
    clock.now += 1.0
    rates.check("a")
    refused(429, rates.check, "a")


def test_all_pages_together_have_a_rate_too_and_few_are_remembered() -> None:
    rates = guard.Rates(page=(3, 1), all_pages=(100, 0), clock=Clock())
    for number in range(100):
        rates.check(f"{number}")
    assert len(rates._pages) == guard.MOST_PAGES
    assert "wait a second" in refused(429, rates.check, "new")


@pytest.mark.parametrize(
    ("said", "bodies"),
    [
        ("no JSON", [b"", b"{"]),
        ("is a list; use a table", [b"[]"]),
        ("is text", [b'"text"']),
        ("is a number", [b"1.5"]),
        ("is null", [b"null"]),
        ("not UTF-8", [b"\xff\xfe", b'{"a": "\\ud800"}', b'{"\\ud800": 1}']),
        ("is NaN", [b'{"a": NaN}']),
        ("is -Infinity", [b'{"a": -Infinity}']),
        ("is 1e999", [b'{"a": 1e999}']),
        ("is 9007199254740993", [b'{"a": 9007199254740993}']),
        ("ordinary size", [b'{"a": ' + b"9" * 100_000 + b"}"]),
        ("twice", [b'{"a": 1, "a": 2}']),
        (
            "nested too deep",
            [b"[" * 900_000, b'{"a":' * 150_000 + b"1" + b"}" * 150_000, b"[" * 13 + b"]" * 13],
        ),
    ],
)
def test_what_is_no_ordinary_table_is_refused(said: str, bodies: list[bytes]) -> None:
    for body in bodies:
        assert said in refused(400, wire.read, body)


def test_an_ordinary_table_and_a_draft_come_through_unchanged() -> None:
    told = {"a": [1, 2.5, None, True, {"b": "\u00e9 <b>&amp;</b> \U0001f41f"}], "ends": [2**53, -(2**53)]}
    assert wire.read(json.dumps(told).encode()) == told
    for one in (draft(), Draft("\ufeff# \r\n x", "mine.toml", StockList("list.csv", "a;b\r\n"))):
        assert wire.draft_of({"draft": asdict(one)}) == one


NO_NAME = "draft.name is a name that cannot be shown; use the name of a file without its folder"
DO = {"do": "bare"}
TRY = {"kind": "try", "which": 1}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"text": None}, "draft.text is null; use text"),
        ({"text": 5}, "draft.text is a whole number"),
        ({"text": ["a"]}, "draft.text is a list"),
        *(({"name": name}, NO_NAME) for name in ("", "../../etc/passwd", "..", "a\0b", "a\nb", "x" * 201)),
        ({"stock_list": "x.csv"}, "draft.stock_list is text; use a table"),
        ({"stock_list": {"name": "x.csv"}}, "draft.stock_list.text is nothing"),
        ({"stock_list": {"name": "a/b.csv", "text": ""}}, "draft.stock_list.name"),
        ({"path": "/etc/passwd"}, 'is "path"; use text, name, stock_list'),
    ],
)
def test_an_odd_draft_is_refused_with_its_place(change: dict[str, Any], said: str) -> None:
    assert said in refused(400, wire.draft_of, {"draft": {**sent(draft()), **change}})


@pytest.mark.parametrize(
    ("name", "read", "good", "odd"),
    [
        ("which", wire.which_of, [0, 7, 200], [None, "0", -1, 201, 1.0, True, [0], {}, 2**53]),
        ("changes", wire.changes_of, [[DO]], [None, [], [DO] * 2001, [5], [{}], [{"do": 1}]]),
        ("changes", wire.changes_of, [], [[{"do": "set", "field": [1]}]]),
        (
            "place",
            wire.place_of,
            [(1.0, 2.5, 3.0), None],
            [[1, 2], [1, 2, "3"], [1, 2, True], [0, 0, 1e300], "x"],
        ),
        ("minutes", lambda told: wire.amount_of(told, "minutes"), [None, 2.5], ["1", True, [1]]),
    ],
)
def test_each_part_of_a_question_has_its_kind(name: str, read: Any, good: list[Any], odd: list[Any]) -> None:
    for one in good:
        assert read({name: list(one) if isinstance(one, tuple) else one}) == one
    for one in odd:
        said = refused(400, read, {name: one})
        assert said.startswith(name) and " is " in said and "; use " in said


def test_only_known_work_is_begun() -> None:
    kinds = ("try", "compare")
    assert wire.what_of({"what": TRY}, kinds) == TRY
    for what, said in (
        ({"kind": "rm"}, 'is "rm"; use try, compare'),
        ({"kind": "try", "which": -1}, "which is -1"),
        ({"kind": "try", "x": "y" * 20_000}, "a long table"),
    ):
        assert said in refused(400, wire.what_of, {"what": what}, kinds)


def test_faults_of_what_was_asked_keep_their_words_and_those_of_ours_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(ValueError, match="problem") as end:
        parse("[tank]\nlenght = 5\n", name="odd.toml")
    several = refusal_of(end.value)
    assert several.status == 422 and len(several.problems) > 1
    assert any("tank.lenght" in one for one in several.problems)
    worded = ValueError("rock: none"), ValueError("1; use 2")
    for fault in (RefusedError("no"), FishGroupError("no", "some"), *worded):
        assert (refusal_of(fault).status, refusal_of(fault).problems) == (422, (str(fault),))
    assert "not enough memory" in refusal_of(MemoryError()).problems[0]
    assert capsys.readouterr().err == ""
    ours = refusal_of(ValueError("operands could not be broadcast"))
    assert ours.status == 500
    assert "rockshy has a fault: ValueError: operands" in ours.problems[0]
    monkeypatch.setenv("ROCKSHY_TRACEBACK", "1")
    refusal_of(KeyError("x"))
    assert "KeyError" in capsys.readouterr().err


def test_documents_have_names_nobody_guesses_and_the_oldest_go() -> None:
    shown = Shown(most=3, most_signs=100)
    paths = [shown.put(f"<p>{number}") for number in range(4)]
    assert all(len(path) == len("/shown/") + 32 for path in paths) and len(set(paths)) == 4
    names = [path.removeprefix("/shown/") for path in paths]
    assert "no longer kept" in refused(404, shown.get, names[0])
    assert shown.get(names[1]) == "<p>1"
    shown.put("x" * 96)
    assert shown.get(names[1]) == "<p>1"  # asked for last, so the others went
    refused(404, shown.get, names[3])
    whole = shown.put("y" * 1000)  # one is always kept
    assert shown.get(whole.removeprefix("/shown/")) == "y" * 1000


def test_a_document_keeps_its_own_policy_and_is_kept_apart() -> None:
    rules = "default-src 'none'; script-src 'sha256-x'"
    own = policy_of(f'<meta http-equiv="Content-Security-Policy" content="{rules}">')
    bare = policy_of("<p>no policy")
    assert own.startswith(f"{rules}; frame-ancestors 'self'") and "script-src" not in bare
    assert all("sandbox allow-scripts" in one and "allow-same-origin" not in one for one in (own, bare))
