"""Scenario files and stock lists on disk: read, or answered with one clear problem."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_examples import LIBRARY, PARAMETERS, STOCK, TANK, problem, problems, read
from rockshy.sim.scenario.reading import Problem, ScenarioError, load
from rockshy.sim.scenario.scenario import StockRow


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a = 1\nlength = 48 in\n", 2),
        ("a = 1\nb = 50,5\n", 2),
        ("a = 'x\n", 1),
        ("[tank\nlength = 1\n", 1),
        ("a = 1\na = 2\n", 2),
        ("a = [1,\n\n", 1),
        ("a = " + "9" * 5000 + "\n", 1),
        ("x = 1\na = " + "[" * 5000, 2),
        ("a\0b", 1),
        ("\n\n", None),
        ("", None),
        ("# nothing but a comment\n", None),
    ],
)
def test_not_toml_or_nothing(text: str, line: int | None) -> None:
    found = problem(text)
    assert found.line == line
    assert found.key in ("TOML", "file")


def test_a_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "tank one.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (TANK + STOCK).encode())
    scenario = load(path, library=LIBRARY, parameters=PARAMETERS)
    assert (scenario.title, scenario.stock_list_text) == ("tank one", "")


def file_problem(path: Path) -> Problem:
    with pytest.raises(ScenarioError) as caught:
        load(path, library=LIBRARY, parameters=PARAMETERS)
    assert len(caught.value.problems) == 1
    return caught.value.problems[0]


def test_files_that_are_none(tmp_path: Path) -> None:
    (tmp_path / "my-tank.toml").write_text(TANK + STOCK)
    missing = file_problem(tmp_path / "my-tnk.toml")
    assert "does not exist" in missing.found
    assert missing.nearest == "my-tank.toml"
    assert file_problem(tmp_path).found == "this is a folder"
    empty = tmp_path / "empty.toml"
    empty.touch()
    assert file_problem(empty).found == "it is empty"
    latin = tmp_path / "latin.toml"
    latin.write_bytes("a = 1\nb = 'Höhle'\n".encode("latin-1"))
    assert (file_problem(latin).line, file_problem(latin).found) == (2, "it is not saved as UTF-8")
    huge = tmp_path / "huge.toml"
    huge.write_bytes(b"#" * 1_000_001)
    assert file_problem(huge).found == "it has 1000001 bytes"
    assert file_problem(Path("a\0b")).key == "file"
    assert file_problem(tmp_path / ("x" * 5000)).key == "file"


# --- stock lists -------------------------------------------------------------------------

LISTED = 'stock_list = "my stock.csv"\n' + TANK
LIST = "fish;qty;size\nmild grazer;1m3f;2-3 in\nhot grazer;1/2;\n"


def test_a_stock_list_beside_the_file(tmp_path: Path) -> None:
    (tmp_path / "my stock.csv").write_text(LIST)
    (tmp_path / "tank.toml").write_text(LISTED)
    scenario = load(tmp_path / "tank.toml", library=LIBRARY, parameters=PARAMETERS)
    assert scenario.stock == (
        StockRow("Algaphilus mildus", 1, 3, 0, 0, (5.08, 7.62)),
        StockRow("Algaphilus calidus", 1, 2),
    )
    assert scenario.stock_list_text == LIST
    again = read(scenario.text, stock_list_text=scenario.stock_list_text)
    assert again.stock == scenario.stock


def test_problems_of_a_stock_list_name_line_and_column() -> None:
    text = "fish;qty;size\nmild grazr;1m3f;\nhot grazer;lots;60 in\n"
    first, second, third = problems(LISTED, stock_list_text=text)
    assert (first.file, first.line, first.key, first.nearest) == (
        "my stock.csv",
        2,
        'column 1 "fish"',
        "mild grazer (Algaphilus mildus)",
    )
    assert (second.line, second.key, second.found) == (3, 'column 2 "qty"', '"lots"')
    assert (third.line, third.key) == (3, 'column 3 "size"')
    assert str(second).startswith('my stock.csv, line 3, column 2 "qty" is "lots"; use ')


def test_problems_of_file_and_list_together() -> None:
    found = problems(LISTED + "[run]\ntrials = 0\n", stock_list_text="fish;qty\nmild grazer;10000\n")
    assert [(one.file, one.key) for one in found] == [("", "run.trials"), ("my stock.csv", 'column 2 "qty"')]


def test_stock_lists_that_are_none(tmp_path: Path) -> None:
    assert problem(LISTED).key == "stock_list"
    assert problem(LISTED, folder=tmp_path).found.endswith("does not exist")
    (tmp_path / "my stock.csv").mkdir()
    assert problem(LISTED, folder=tmp_path).found == "this is a folder"
    assert problem(LISTED + STOCK).allowed.endswith("not both")
    assert problem("stock_list = 3\n" + TANK).key == "stock_list"


def test_a_stock_list_in_an_unknown_encoding(tmp_path: Path) -> None:
    (tmp_path / "my stock.csv").write_bytes(b"fish;qty\nmild\x81;3\n")
    assert "Windows-1252" in problem(LISTED, folder=tmp_path).allowed
