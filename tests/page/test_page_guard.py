"""Who may ask, how much and how often, and what is read of it; each refusal says what is allowed."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

import pytest
from fake_page import PAGE, Clock, draft, sent
from rockshy.analysis.page.serving import guard, wire
from rockshy.analysis.page.serving.refusals import RefusalError, refusal_of
from rockshy.analysis.page.serving.shown import Shown, policy_of
from rockshy.analysis.page.task import Draft, StockList

PORT = 18426


def refused(status: int, said: str, call: Any, *args: Any, **named: Any) -> None:
    with pytest.raises(RefusalError) as end:
        call(*args, **named)
    assert end.value.status == status
    assert said in " ".join(end.value.problems)


# ---- who


@pytest.mark.parametrize("host", ["127.0.0.1:18426", "localhost:18426"])
def test_the_host_of_this_computer_is_answered(host: str) -> None:
    guard.check_host(host, port=PORT)


@pytest.mark.parametrize(
    "host",
    [
        None,
        "",
        "127.0.0.1",
        "127.0.0.1:18427",
        "evil.example:18426",
        "127.0.0.1.evil.example:18426",
        "localhost.evil.example:18426",
        "0.0.0.0:18426",
        "[::1]:18426",
        "127.0.0.1:18426@evil.example",
        " 127.0.0.1:18426",
        "127.0.0.1:18426, evil.example",
    ],
)
def test_a_foreign_host_is_refused(host: str | None) -> None:
    refused(403, "the address that the terminal printed", guard.check_host, host, port=PORT)


@pytest.mark.parametrize("origin", [None, "http://127.0.0.1:18426", "http://localhost:18426"])
def test_the_page_itself_may_ask(origin: str | None) -> None:
    guard.check_origin(origin, port=PORT)


@pytest.mark.parametrize(
    "origin",
    ["null", "", "http://evil.example", "https://127.0.0.1:18426", "http://127.0.0.1", "http://127.0.0.1:1"],
)
def test_a_page_of_another_site_may_not(origin: str) -> None:
    refused(403, "another site", guard.check_origin, origin, port=PORT)


@pytest.mark.parametrize("given", [None, "", "secre", "secrets", "s\u00e9cret", "\ud800"])
def test_without_the_token_nothing_is_answered(given: str | None) -> None:
    guard.check_token("secret", token="secret")
    refused(403, "printed last", guard.check_token, given, token="secret")


@pytest.mark.parametrize("name", [None, "", "abc", PAGE.upper(), PAGE + "0", PAGE + "\n", "../" + PAGE[3:]])
def test_a_page_has_a_name_of_its_own(name: str | None) -> None:
    assert guard.check_page(PAGE) == PAGE
    refused(400, "32 hexadecimal digits", guard.check_page, name)


@pytest.mark.parametrize(
    "kind",
    [None, "", "text/plain", "application/x-www-form-urlencoded", "application/json, text/plain",
     "multipart/form-data", "application/jsonp", "application/json; charset=utf-16"],
)  # fmt: skip
def test_what_a_form_of_a_foreign_page_can_send_is_refused(kind: str | None) -> None:
    for good in ("application/json", "Application/JSON; charset=UTF-8"):
        guard.check_kind(good)
    refused(415, "application/json", guard.check_kind, kind)


def test_a_body_that_says_it_is_too_long_is_not_read() -> None:
    for good in (None, "0", "1000000"):
        guard.check_length(good)
    refused(413, "1000000 bytes", guard.check_length, "1000001")
    for odd in ("-1", "", "1e3", "\u0661", "9" * 5000):
        refused(400, "no number", guard.check_length, odd)


def test_requests_have_a_rate_and_a_page_cannot_use_up_that_of_another() -> None:
    clock = Clock()
    rates = guard.Rates(page=(3, 1), all_pages=(5, 100), clock=clock)
    for _ in range(3):
        rates.check("a")
    refused(429, "wait a second", rates.check, "a")
    rates.check("b")
    clock.now += 1.0
    rates.check("a")
    refused(429, "wait a second", rates.check, "a")


def test_all_pages_together_have_a_rate_too_and_few_are_remembered() -> None:
    clock = Clock()
    rates = guard.Rates(page=(3, 1), all_pages=(100, 0), clock=clock)
    for number in range(100):
        rates.check(f"{number}")
    assert len(rates._pages) == guard.MOST_PAGES
    refused(429, "wait a second", rates.check, "new")


# ---- what


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "no JSON"),
        (b"{", "no JSON"),
        (b"[]", "found a list; allowed: a table"),
        (b'"text"', "found text"),
        (b"1.5", "found a number"),
        (b"null", "found null"),
        (b"\xff\xfe", "not UTF-8"),
        (b'{"a": "\\ud800"}', "not UTF-8"),
        (b'{"\\ud800": 1}', "not UTF-8"),
        (b'{"a": NaN}', "found NaN"),
        (b'{"a": -Infinity}', "found -Infinity"),
        (b'{"a": 1e999}', "found 1e999"),
        (b'{"a": 9007199254740993}', "found 9007199254740993"),
        (b'{"a": ' + b"9" * 100_000 + b"}", "ordinary size"),
        (b'{"a": 1, "a": 2}', "twice"),
        (b"[" * 900_000, "nested too deep"),
        (b'{"a":' * 150_000 + b"1" + b"}" * 150_000, "nested too deep"),
        (b"[" * 13 + b"]" * 13, "nested too deep"),
    ],
)
def test_what_is_no_ordinary_table_is_refused(body: bytes, said: str) -> None:
    refused(400, said, wire.read, body)


def test_an_ordinary_table_is_read_as_it_is() -> None:
    told = {
        "a": [1, 2.5, None, True, {"b": "\u00e9 <b>&amp;</b> \U0001f41f"}],
        "most": 2**53,
        "least": -(2**53),
    }
    assert wire.read(json.dumps(told).encode()) == told


def test_a_draft_comes_through_and_back_unchanged() -> None:
    for one in (draft(), Draft("\ufeff# \r\n x", "mine.toml", StockList("list.csv", "a;b\r\n"))):
        assert wire.draft_of({"draft": asdict(one)}) == one


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"text": None}, "draft.text: found null; allowed: text"),
        ({"text": 5}, "draft.text: found a whole number"),
        ({"text": ["a"]}, "draft.text: found a list"),
        ({"name": ""}, "draft.name: found a name that cannot be shown"),
        ({"name": "../../etc/passwd"}, "without its folder"),
        ({"name": ".."}, "without its folder"),
        ({"name": "a\0b"}, "cannot be shown"),
        ({"name": "a\nb"}, "cannot be shown"),
        ({"name": "x" * 201}, "at most 200 signs"),
        (
            {"stock_list": "x.csv"},
            "draft.stock_list: found text; allowed: a table",
        ),
        ({"stock_list": {"name": "x.csv"}}, "draft.stock_list.text: found nothing"),
        ({"stock_list": {"name": "a/b.csv", "text": ""}}, "draft.stock_list.name"),
        ({"path": "/etc/passwd"}, 'found "path"; allowed: text, name, stock_list'),
    ],
)
def test_an_odd_draft_is_refused_with_its_place(change: dict[str, Any], said: str) -> None:
    refused(400, said, wire.draft_of, {"draft": {**sent(draft()), **change}})


@pytest.mark.parametrize("odd", [None, "0", -1, 201, 1.0, True, [0], {}, 2**53])
def test_a_copy_is_named_by_a_whole_number(odd: Any) -> None:
    assert [wire.which_of({"which": k}) for k in (0, 7, 200)] == [0, 7, 200]
    refused(400, "which: found", wire.which_of, {"which": odd})


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (None, "changes: found null; allowed: a list"),
        ([], "found 0 changes"),
        ([{"do": "bare"}] * 2001, "found 2001 changes"),
        ([5], "changes: found a whole number"),
        ([{}], "changes.do: found nothing; allowed: text"),
        ([{"do": 1}], "changes.do: found a whole number"),
        ([{"do": "set", "field": [1]}], "changes.field: found a list; allowed: text or null"),
    ],
)
def test_changes_are_a_list_of_tables_that_say_what_to_do(changes: Any, said: str) -> None:
    assert wire.changes_of({"changes": [{"do": "bare"}]}) == [{"do": "bare"}]
    refused(400, said, wire.changes_of, {"changes": changes})


def test_a_place_is_three_numbers_or_none() -> None:
    assert wire.place_of({"place": [1, 2.5, 3]}) == (1.0, 2.5, 3.0)
    assert wire.place_of({"place": None}) is None
    for odd in ([1, 2], [1, 2, "3"], [1, 2, True], [0, 0, 1e300], "here"):
        refused(400, "place: found", wire.place_of, {"place": odd})


def test_only_known_work_is_begun() -> None:
    kinds = ("try", "compare")
    assert wire.what_of({"what": {"kind": "try", "which": 1}}, kinds) == {"kind": "try", "which": 1}
    refused(400, 'found "rm"; allowed: try, compare', wire.what_of, {"what": {"kind": "rm"}}, kinds)
    refused(400, "which: found -1", wire.what_of, {"what": {"kind": "try", "which": -1}}, kinds)
    refused(400, "a long table", wire.what_of, {"what": {"kind": "try", "x": "y" * 20_000}}, kinds)


# ---- what goes wrong, and what is shown


def test_faults_of_what_was_asked_keep_their_words_and_those_of_ours_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from rockshy.analysis.asking.errors import RefusedError
    from rockshy.analysis.measures.whom import FishGroupError
    from rockshy.sim.scenario.reading import parse

    with pytest.raises(ValueError, match="problem") as end:
        parse("[tank]\nlenght = 5\n", name="odd.toml")
    several = refusal_of(end.value)
    assert several.status == 422
    assert len(several.problems) > 1
    assert any("tank.lenght" in one for one in several.problems)
    for fault in (
        RefusedError("no"),
        FishGroupError("no", "some"),
        ValueError("rock: none"),
        ValueError("1; allowed: 2"),
    ):
        assert refusal_of(fault).status == 422
        assert refusal_of(fault).problems == (str(fault),)
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
    assert all(len(path) == len("/shown/") + 32 for path in paths)
    assert len(set(paths)) == 4
    refused(404, "no longer kept", shown.get, paths[0].removeprefix("/shown/"))
    assert shown.get(paths[1].removeprefix("/shown/")) == "<p>1"
    shown.put("x" * 96)
    assert shown.get(paths[1].removeprefix("/shown/")) == "<p>1"  # asked for last, so the others went
    refused(404, "no longer kept", shown.get, paths[3].removeprefix("/shown/"))
    whole = shown.put("y" * 1000)  # one is always kept
    assert shown.get(whole.removeprefix("/shown/")) == "y" * 1000


def test_a_document_keeps_its_own_policy_and_is_kept_apart() -> None:
    own = (
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src 'sha256-x'\">"
    )
    assert policy_of(own).startswith("default-src 'none'; script-src 'sha256-x'; frame-ancestors 'self'")
    for policy in (policy_of(own), policy_of("<p>no policy")):
        assert "sandbox allow-scripts" in policy
        assert "allow-same-origin" not in policy
    assert "script-src" not in policy_of("<p>no policy")
