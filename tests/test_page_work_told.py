"""Texts of the command line as the browser is given them."""

from __future__ import annotations

import json

from fake_trials import random_trials
from rockshy.analysis.answer import answer
from rockshy.analysis.page.told import pieces_json
from rockshy.analysis.report.html import html_of, pieces
from rockshy.analysis.words import laid_out, words

TEXT = laid_out(answer(random_trials()))


def test_every_word_of_the_answer_is_among_the_pieces() -> None:
    told = pieces_json(TEXT)
    shown = " ".join(
        one["text"] if "text" in one else " ".join(cell for row in one["rows"] for cell in row)
        for one in told
    )
    printed = {word for word in words(answer(random_trials())).split() if not word.endswith("~")}
    assert printed - set(shown.split()) == set()
    assert len(told) == len(pieces(TEXT))


def test_a_table_has_rows_of_one_length_and_a_head_where_the_report_has_one() -> None:
    tables = [one for one in pieces_json(TEXT) if one["kind"] == "table"]
    assert tables
    for one in tables:
        assert len({len(row) for row in one["rows"]}) == 1
        assert all(cell == cell.strip() for row in one["rows"] for cell in row)
    assert sum(one["head"] for one in tables) == html_of(TEXT).count("<thead>") > 0


def test_the_pieces_are_plain_values() -> None:
    told = pieces_json(TEXT)
    assert json.loads(json.dumps(told)) == told
    kinds = {one["kind"]: set(one) for one in told}
    assert kinds == {
        "heading": {"kind", "text"},
        "text": {"kind", "text", "deeper"},
        "table": {"kind", "rows", "head"},
    }
