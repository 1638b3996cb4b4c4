"""The CSV files of a folder, read back and held against their data dictionary."""

from __future__ import annotations

import csv
from pathlib import Path

from rockshy.analysis.study.dictionary import DICTIONARY


def rows(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))


def assert_told(folder: Path, *names: str) -> None:
    """The dictionary tells the columns of these files and of no others, in their order."""
    assert {one.name for one in folder.glob("*.csv")} == {*names, DICTIONARY}
    told = rows(folder / DICTIONARY)
    assert all(one["meaning"] for one in told)
    for name in names:
        with (folder / name).open(encoding="utf-8", newline="") as text:
            head = next(csv.reader(text))
        assert [one["column"] for one in told if one["file"] == name] == head, name
    assert {one["file"] for one in told} == set(names)
