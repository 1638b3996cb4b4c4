"""Stock lists as keepers write them. 1.3.4 is males.females.unsexed: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rockshy.sim.scenario.reading.problems import Problem
from rockshy.sim.scenario.reading.stock import Asked
from rockshy.sim.scenario.reading.stocklist import decode, read_list


def read(text: str) -> tuple[list[Asked], list[Problem]]:
    problems: list[Problem] = []
    return read_list(text, file="list.csv", problems=problems), problems


def only(text: str) -> Asked:
    rows, problems = read(text)
    assert not problems, problems
    assert len(rows) == 1
    return rows[0]


def sexes(row: Asked) -> tuple[int, int, int]:
    return row.males, row.females, row.unsexed


def complaint(text: str) -> Problem:
    _, problems = read(text)
    assert len(problems) == 1, problems
    return problems[0]


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("1m3f", (1, 3, 0)),
        ("1M 3F", (1, 3, 0)),
        ("1m/3f", (1, 3, 0)),
        ("3f1m", (1, 3, 0)),
        ("1 male and 3 females", (1, 3, 0)),
        ("1m3f4j", (1, 3, 4)),
        ("2♂ 5♀", (2, 5, 0)),
        ("4 juv", (0, 0, 4)),
        ("1/3", (1, 3, 0)),
        ("1:3", (1, 3, 0)),
        ("1.3", (1, 3, 0)),
        ("1.3.4", (1, 3, 4)),
        ("0.0.6", (0, 0, 6)),
        ("7", (0, 0, 7)),
        ("x7", (0, 0, 7)),
        ("trio", (1, 2, 0)),
        ("Pair", (1, 1, 0)),
    ],
)
def test_counts(cell: str, expected: tuple[int, int, int]) -> None:
    assert sexes(only(f"fish;qty\nTropheus duboisi;{cell}\n")) == expected


@pytest.mark.parametrize(
    "cell", ["many", "1-3", "1m3", "m3", "1 medium", "1.3.4.5", "-2", "1e3", "3.5m", "٣"]
)
def test_counts_that_cannot_be_read(cell: str) -> None:
    problem = complaint(f"fish;qty\nTropheus duboisi;{cell}\n")
    assert (problem.line, problem.key, problem.file) == (2, 'column 2 "qty"', "list.csv")
    assert problem.found == f'"{cell}"'
    assert "1m3f" in problem.allowed


@pytest.mark.parametrize(
    ("header", "row", "expected"),
    [
        ("species,m,f,?", "A b,1,3,2", (1, 3, 2)),
        ("Species,Males,Females,Juveniles", "A b,1,,", (1, 0, 0)),
        ("name,♂,♀", "A b,1,3", (1, 3, 0)),
        ("species,qty,sex", "A b,4,F", (0, 4, 0)),
        ("species,qty,sex", "A b,4,", (0, 0, 4)),
        ("species,qty,sex", "A b,,male", (1, 0, 0)),
        ("species,qty,sex", "A b,4,1/3", (1, 3, 0)),
        ("species,qty,m,f", "A b,4,1,3", (1, 3, 0)),
        ("species,m,f", "A b,1.0,3.0", (1, 3, 0)),  # as spreadsheets write whole numbers
    ],
)
def test_headers_and_columns(header: str, row: str, expected: tuple[int, int, int]) -> None:
    assert sexes(only(f"{header}\n{row}\n")) == expected


@pytest.mark.parametrize(
    ("header", "row"),
    [("species,qty,m,f", "A b,5,1,3"), ("species,qty,sex", "A b,1/3,male"), ("species,qty,sex", "A b,5,1/3")],
)
def test_columns_that_contradict_each_other(header: str, row: str) -> None:
    assert "do not agree" in complaint(f"{header}\n{row}\n").found


@pytest.mark.parametrize(
    ("header", "cell", "cm"),
    [
        ("size", "2-3 in", (5.08, 7.62)),
        ("TL", "9 cm", (9.0, 9.0)),
        ("length", "9,5", (9.5, 9.5)),
        ("Size (in)", "2-3", (5.08, 7.62)),
        ("size in inches", "3", (7.62, 7.62)),
        ("TL cm", "8 cm TL", (8.0, 8.0)),
        ("size (mm)", "80", (8.0, 8.0)),
        ("size", '2-3"', (5.08, 7.62)),
    ],
)
def test_sizes(header: str, cell: str, cm: tuple[float, float]) -> None:
    assert only(f"species;m;{header}\nA b;1;{cell}\n").length_cm == pytest.approx(cm)


@pytest.mark.parametrize("cell", ["", "-", "?", "n/a"])
def test_a_size_nobody_knows_is_left_open(cell: str) -> None:
    assert only(f"species;m;size\nA b;1;{cell}\n").length_cm is None


def test_days() -> None:
    row = only("species;m;added;removed\nA b;1;day 2;3,5\n")
    assert (row.day, row.out_day) == (2.0, 3.5)
    row = only("species;m;added;removed\nA b;1;;\n")
    assert (row.day, row.out_day) == (0.0, None)
    problem = complaint("species;m;added\nA b;1;2024-03-01\n")
    assert problem.key == 'column 3 "added"'


def test_holding() -> None:
    assert only("species;m;f;holding\nA b;1;3;2\n").holding == 2
    assert only("species;m;f;holding\nA b;1;1;yes\n").holding == 1
    assert complaint("species;m;f;holding\nA b;1;3;yes\n").key == 'column 4 "holding"'


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends(separator: str, ending: str) -> None:
    text = ending.join(
        separator.join(cells) for cells in (("species", "m", "f"), ("A b", "1", "3"), ("", "", ""))
    )
    assert sexes(only(text)) == (1, 3, 0)


def test_what_spreadsheets_add() -> None:
    text = "\ufeffsep=;\n;;\nMy fish room;;\n\nspecies;count;notes\n# sold;;\nA b;4;from a friend, blue\n;;\n"
    assert sexes(only(text)) == (0, 0, 4)


def test_lines_are_those_of_the_file() -> None:
    _, problems = read('species,count,notes\nA b,1,"two\nlines"\n\nC d,many,\n')
    assert [problem.line for problem in problems] == [5]


def test_a_row_of_zero_is_left_out() -> None:
    rows, problems = read("species,count\nA b,0\nC d,2\n")
    assert [row.species for row in rows] == ["C d"]
    assert not problems


def test_the_scientific_name_counts_and_the_common_one_fills_in() -> None:
    rows, _ = read("common name,scientific name,count\nblue one,A b,1\nred one,,1\n")
    assert [row.species for row in rows] == ["A b", "red one"]


@pytest.mark.parametrize(
    ("text", "key", "word"),
    [
        ("species,femals\nA b,1\n", "header", "header"),
        ("species,m,femals\nA b,1,3\n", 'column 3 "femals"', "females"),
        ("species,m,SL\nA b,1,8\n", 'column 3 "SL"', "total length"),
        ("species,m,male\nA b,1,1\n", 'column 3 "male"', "one column"),
        ("species,m,size\nA b,1,2,5\n", "column 4", "semicolons"),
        ("species,m\n,1\n", 'column 1 "species"', "name"),
        ("species,m\nA b,\n", "count", "1m3f"),
        ('species,m\n"A b,1\n', "row", "quotation mark"),
        ("", "header", "header line"),
        ("\n\n", "header", "header line"),
        ("A b,1,3\n", "row", "header line"),
        ("species,m\nA b,500\n", 'column 2 "m"', "120"),
        ("species,m\n", "rows", "at least one"),
        ("species,m\0\n", "file", "choose CSV"),
        ("species,m,size\nA b,1,huge\n", 'column 3 "size"', "2-3 in"),
        ("species,m,size\nA b,1,900\n", 'column 3 "size"', "60 cm"),
    ],
)
def test_bad_lists(text: str, key: str, word: str) -> None:
    problem = complaint(text)
    assert problem.key == key
    assert word in problem.allowed


def test_every_problem_is_reported() -> None:
    _, problems = read("species;m;size\nA b;x;big\n;2;3\nC d;1;5\nE f;y;\n")
    assert [problem.line for problem in problems] == [2, 2, 3, 5]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings(encoding: str) -> None:
    text = "species,m\nBuntbarsch für Öl,1\n"
    assert decode(text.encode(encoding)) == text


def test_an_encoding_nobody_knows() -> None:
    with pytest.raises(UnicodeError):
        decode(b"species,m\n\x81\x8d,1\n")  # undefined in Windows-1252


CELLS = st.sampled_from(
    ["", "A b", "1", "3f", "1m3f", "1.2.3", '"', "2-3 in", "-", "?", "x", "9" * 20, "nan", "\x85", "1,5"]
)


@settings(deadline=None)
@given(st.text(max_size=200) | st.lists(st.lists(CELLS, max_size=6).map(",".join), max_size=6).map("\n".join))
def test_anything_is_read_or_reported(text: str) -> None:
    for head in ("", "species,count,sex,m,size,day\n"):
        rows, problems = read(head + text)
        assert rows or problems
        for row in rows:
            assert min(row.males, row.females, row.unsexed, row.holding) >= 0
