"""What an answer says against itself: read from the recorded tables, and gone when they say otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from rockshy.analysis.document import as_text, document
from rockshy.analysis.evidence import doubts as asked
from rockshy.analysis.evidence.doubts import doubts
from rockshy.analysis.evidence.levers_list import LEVERS
from rockshy.analysis.evidence.registered import patterns

P7 = {"id": "P7", "statement": "More rock, less of it.", "source": "Church2022 (abstract); Imre2002 (2nd)"}
ROCK = {"name": "rock, from none to 80 %", "topics": ["rock", "relief"]}
ORDER = {"name": "who goes in first", "topics": ["relief"]}


def said(topic: str) -> str:
    return " ".join(as_text(document(doubts(topic))).split())


def records(monkeypatch: pytest.MonkeyPatch, *, p7: str, rock: str, order: str = "alive") -> None:
    """Recorded tables with these verdicts."""
    made: Mapping[str, list[Mapping[str, Any]]] = {
        "table.json": [{**P7, "verdict": p7}],
        "levers.json": [{**ROCK, "verdict": rock}, {**ORDER, "verdict": order}],
    }
    monkeypatch.setattr(asked, "_rows", lambda name: made[name])


def test_an_answer_says_what_the_tables_say_against_it(monkeypatch: pytest.MonkeyPatch) -> None:
    records(monkeypatch, p7="does not hold", rock="dead", order="the other way")
    assert said("rock") == (
        'Doubts: By its own evidence, P7 ("More rock, less of it"; Church2022; Imre2002) does not hold in '
        "the model. Levers of keepers that do nothing in the model: rock, from none to 80 %. "
        "Do not take this answer for what rock does in a living tank."
    )
    assert "P7" not in said("relief")
    assert "do nothing in the model: rock, from none to 80 %. Levers" in said("relief")
    assert "work the other way round in the model: who goes in first." in said("relief")


def test_nothing_is_said_of_what_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    records(monkeypatch, p7="holds", rock="alive")
    assert doubts("rock") is None and doubts("relief") is None
    records(monkeypatch, p7="cannot tell", rock="alive")
    assert "cannot be told in the model." in said("rock") and doubts("relief") is None


def test_topics_name_patterns_and_levers_that_there_are() -> None:
    assert all(id_ in patterns() for ids in asked.PATTERNS.values() for id_ in ids)
    topics = {topic for lever in LEVERS for topic in lever.topics}
    assert topics == {"rock", "compare", "relief"} == set(asked._SO) >= set(asked.PATTERNS)
