"""A list pasted out of a spreadsheet: read as a stock list, every problem named with line and column."""

from __future__ import annotations

import tomllib

import pytest
from page_drafts import DRAFTS, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.editing.pasting import pasted
from rockshy.analysis.page.viewing.view import scenario_of, view_of

TABS = "Fish\tSex\tSize\tAdded\nrusty cichlid\t2m5f\t3-3.5 in\t\nyellow lab\t6 juv\t5-7 cm\t4\n"
PASTED = ["Iodotropheus sprengerae", "Labidochromis caeruleus"]


def test_rows_come_after_the_stock_or_in_its_place() -> None:
    draft = small()
    more, said = pasted(draft, 0, TABS, False)
    assert more.text.startswith(draft.text[: draft.text.index("[run]")])
    assert tomllib.loads(more.text)["stock"][2:] == [
        {"species": "Iodotropheus sprengerae", "males": 2, "females": 5, "length": [7.62, 8.89]},
        {"species": "Labidochromis caeruleus", "unsexed": 6, "length": [5, 7], "day": 4},
    ]
    first = "Iodotropheus sprengerae: 2 males, 5 females added, in on day 0, 7.6 cm (3 in) to"
    assert said[0].startswith(first)
    assert len(said) == 2 and view_of(more, 0)["good"]
    other, _ = pasted(draft, 0, TABS, True)
    assert [row["species"] for row in tomllib.loads(other.text)["stock"]] == PASTED
    assert view_of(other, 0)["good"]


def test_in_the_place_of_a_stock_list() -> None:
    draft = DRAFTS["listed"]
    other, _ = pasted(draft, 0, TABS, True)
    assert other.stock_list is None and "stock_list" not in other.text
    assert len(tomllib.loads(other.text)["stock"]) == 2 and view_of(other, 0)["good"]
    more, _ = pasted(draft, 0, TABS, False)
    assert len(tomllib.loads(more.text)["stock"]) == 4


def test_into_a_copy() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    more, said = pasted(draft, 1, TABS, False)
    assert tomllib.loads(more.text)["stock"] == tomllib.loads(draft.text)["stock"]
    assert [row["species"] for row in view_of(more, 1)["stock"]][2:] == PASTED
    assert len(said) == 2
    with pytest.raises(EditError, match="no Tropheus duboisi left"):
        pasted(draft, 1, TABS, True)


@pytest.mark.parametrize(
    ("text", "columns", "counts"),
    [
        ("rusty cichlid\t2\t5\nTropheus moorii\t1\t3\n", "species, males, females", (2, 5, 0)),
        ("rusty cichlid;2;5;1;8 cm\n", "species, males, females, unsexed, length", (2, 5, 1)),
        ("rusty cichlid,1m3f,3 in\n", "species, count, length", (1, 3, 0)),
        ("rusty cichlid\t2.5\n", "species, count", (2, 5, 0)),
        ("rusty cichlid\t7\n", "species, count", (0, 0, 7)),
    ],
)
def test_a_list_without_a_header_line(text: str, columns: str, counts: tuple[int, int, int]) -> None:
    draft, said = pasted(small(), 0, text, True)
    assert said[0] == f"There was no header line; the columns were read as: {columns}."
    row = scenario_of(draft).stock[0]
    assert (row.males, row.females, row.unsexed) == counts


RUSTY = "rusty cichlid"
NO_LISTS = ("", "\n\n", "hello", RUSTY, f"{RUSTY}\tlots\n", f"{RUSTY}\t1\t2\t3\t4\n", "a\0b", 'x,"y\n')


@pytest.mark.parametrize("text", NO_LISTS)
def test_what_is_no_list_is_refused(text: str) -> None:
    with pytest.raises(EditError, match="allowed"):
        pasted(small(), 0, text, False)


def test_every_problem_is_named_with_line_and_column() -> None:
    text = "Fish\tMales\tSize\nrusty cichlid\tmany\t3 in\nno such fish\t2\t\nrusty cichlid\t1\tbig\n"
    with pytest.raises(EditError) as caught:
        pasted(small(), 0, text, False)
    problems = caught.value.problems
    assert [one.split(": found")[0] for one in problems] == [
        'the pasted list, line 2, column 2 "Males"',
        'the pasted list, line 3, column 1 "Fish"',
        'the pasted list, line 4, column 3 "Size"',
    ]
    headless = "rusty cichlid\t2\t5\nno such fish\t1\t3\n"
    with pytest.raises(EditError, match='line 2, column 1 "species": found "no such fish"'):
        pasted(small(), 0, headless, False)


def test_a_list_of_any_size_is_bounded() -> None:
    with pytest.raises(EditError, match="at most 1000000"):
        pasted(small(), 0, "x" * 1_000_001, False)
    with pytest.raises(EditError) as caught:
        pasted(small(), 0, "Fish,Males\n" + "nobody,1\n" * 1000, False)
    assert len(caught.value.problems) == 21
    assert caught.value.problems[-1] == "and 980 more problems"
    with pytest.raises(EditError, match="at most 120"):
        pasted(small(), 0, "Fish,Males\n" + "rusty cichlid,1\n" * 1000, False)
