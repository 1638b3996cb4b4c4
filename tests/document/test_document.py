"""Documents: the same blocks as text, as HTML and as plain values; nothing lost, nothing carried out."""

from __future__ import annotations

import json

import pytest
from fake_trials import random_trials
from reading_html import Reader
from rockshy.analysis.document import (
    WIDTH,
    Bullets,
    Code,
    Document,
    Figure,
    Item,
    Note,
    Paragraph,
    Section,
    as_html,
    as_json,
    as_text,
    deeper,
    document,
    flush,
    section,
    table,
)
from rockshy.analysis.questions.answer.answer import answer
from rockshy.analysis.questions.answer.words import words

NASTY = "<script>alert('x')</script> \"&amp; {{ 7 * 7 }} \u202egnihcaer"
LONG = "a sentence that goes on until it has to be wrapped at 100 cm or so, " * 4


def lines(*blocks: object) -> list[str]:
    return as_text(Section(tuple(blocks))).splitlines()  # type: ignore[arg-type]


EVERY = document(
    flush(f"{NASTY} on top", ""),
    section(f"{NASTY} heading", f"{NASTY} text", deeper(f"{NASTY} deeper"), Note(f"{NASTY} note")),
    None,
    section("A table", table(("", NASTY), [(f"{NASTY} group",), (f"{NASTY} row", "1 %")])),
    section("A list", Bullets((Item(f"{NASTY} item", (Code((NASTY,)), Paragraph("below"))),), numbered=True)),
    Section((Figure(b"png", f"{NASTY} caption"),)),
)


def test_a_section_is_a_heading_with_texts_one_step_in() -> None:
    told = as_text(document(flush("Title."), section("Heading", "One.", "", deeper("Two.")), None))
    assert told == "Title.\n\nHeading\n  One.\n    Two."


def test_what_is_long_goes_on_one_step_in_and_a_number_stays_with_its_unit() -> None:
    for depth in range(3):
        told = lines(Paragraph(LONG, depth=depth))
        assert max(map(len, told)) <= WIDTH
        assert [len(one) - len(one.lstrip()) for one in told] == [2 * depth] + [2 * depth + 2] * (
            len(told) - 1
        )
        assert " ".join(one.strip() for one in told) == LONG.strip()
    padding = "x" * (WIDTH - 4)
    assert lines(Paragraph(f"{padding} 100 cm")) == [padding, "  100 cm"]


def test_items_hang_below_their_marks_with_what_belongs_to_them() -> None:
    told = lines(
        Bullets((Item(LONG, (Paragraph("below"), Code(("[a]", "b = 1")))), Item("two")), numbered=True)
    )
    assert told[0].startswith("  1. a sentence") and told[1].startswith("     ")
    assert told[-4:] == ["     below", "       [a]", "       b = 1", "  2. two"]
    assert lines(Bullets((Item("one"),))) == ["  - one"]


def test_figures_stand_flush_right_under_their_heads() -> None:
    made = table(
        ("Of", "mean", "95 %"), [("all",), ("one", "1 %", "2 to 3 %"), ("two", "4 %")], widths=(10, 6, 12)
    )
    assert lines(made) == [
        "Of          mean        95 %",
        "  all",
        "    one      1 %    2 to 3 %",
        "    two      4 %",
    ]


def test_a_long_name_of_a_row_is_kept_whole() -> None:
    name = "a name far too long for its column"
    told = lines(table(("", "mean"), [(name, "1 %"), ("b", "2 %")], widths=(16, 6)))
    assert told[1] == "  a name far       1 %"
    assert told[-1] == "  b                2 %"
    assert " ".join(one.removesuffix("1 %").strip() for one in told[1:-1]) == name


@pytest.mark.parametrize("widths", [(38, 6, 6), (), (99, 4, 4)])
def test_figures_and_heads_never_run_into_each_other(widths: tuple[int, ...]) -> None:
    told = lines(table(("", "guesses", "left alone"), [("row", "12345678", "1234567890")], widths=widths))
    assert [one.split() for one in told] == [["guesses", "left", "alone"], ["row", "12345678", "1234567890"]]
    assert max(map(len, told)) <= WIDTH


def test_words_go_on_below_themselves_and_over_empty_cells() -> None:
    rows = [
        ("food", "algae and a very long rest", "", "Kohda1991 " * 12),
        ("depth", "12 cm", "1 to 3", "own"),
    ]
    told = lines(table(("",) * 4, rows, widths=(12, 10, 20), left=(1, 2, 3)))
    assert told[0] == "  food      algae and a very long rest    " + " ".join(["Kohda1991"] * 5)
    assert told[1] == " " * 42 + " ".join(["Kohda1991"] * 5)
    assert told[-1] == "  depth     12 cm     1 to 3              own"


def test_a_head_may_have_two_lines() -> None:
    assert lines(table(("", "water\nkg"), [("slate", "5")])) == [
        "             water",
        "                kg",
        "  slate          5",
    ]


def test_html_shows_everything_as_text() -> None:
    html = as_html(EVERY, level=4)
    read = Reader(html)
    assert not read.open
    names = [tag for tag, _ in read.tags]
    assert "script" not in names and names.count("h4") == 3 and "h3" not in names
    shown = "".join(read.texts)
    for word in ("on top", "heading", "text", "deeper", "note", "group", "row", "item"):
        assert f"{NASTY} {word}" in shown
    assert "caption" not in shown  # it is drawn in the picture
    (picture,) = [one for tag, one in read.tags if tag == "img"]
    assert picture == {"alt": f"{NASTY} caption", "src": "data:image/png;base64,cG5n"}


def test_html_says_what_names_rows_columns_and_groups() -> None:
    tags = Reader(as_html(EVERY)).tags
    assert [one.get("scope") for tag, one in tags if tag == "th"] == ["col", "rowgroup", "row"]
    assert [tag for tag, _ in tags if tag in ("ol", "li", "pre")] == ["ol", "li", "pre"]


def test_plain_values_hold_every_text() -> None:
    told = as_json(EVERY)
    assert json.loads(json.dumps(told)) == told
    assert [one["kind"] for one in told] == [
        *("text", "heading", "text", "text", "note"),
        *("heading", "table", "heading", "list", "figure"),
    ]
    assert [one["deeper"] for one in told if one["kind"] == "text"] == [False, False, True]
    assert told[6] == {
        "kind": "table",
        "head": True,
        "words": [],
        "rows": [["", NASTY], [f"{NASTY} group"], [f"{NASTY} row", "1 %"]],
    }


def test_an_empty_document_says_nothing() -> None:
    assert as_text(Document(())) == "" and as_json(document(None)) == [] and not as_html(document()).strip()


def test_no_word_of_an_answer_is_lost_in_any_form() -> None:
    told = words(answer(random_trials()))
    printed = as_text(told)
    assert max(map(len, printed.splitlines())) <= WIDTH
    wanted = set(printed.split())
    assert wanted <= set(" ".join(Reader(as_html(told)).texts).split())
    values = [one.get("text") or "\n".join(" ".join(row) for row in one["rows"]) for one in as_json(told)]
    assert wanted <= set(" ".join(values).split())
