"""Line numbers of TOML keys, against values that carry the line they were written on."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rockshy.sim.scenario.reading.lines import line_numbers

TEXT = '''# a comment [with] "signs"
title = "one # no comment"
a.b = 3
"quoted key".'c d' = 4
many = [
  # inside
  "x", "y",

  ["]", { k = 1 }],
]
inline = { first = 1, second = { deep = "}" } }
long = """
[not.a.table]
x = 1
"""
raw = \'\'\'
[[nor]] this\'\'\'
after = 1979-05-27T07:32:00Z

[tank]   # the tank
length = 48

[[stock]]
species = "A b"
[[stock.note]]
text = "n"
[stock.extra]
k = true
[[stock]]
  species = 'C d'
[species."Own one"]
temper = 2
'''


LINES = {
    2: "title", 3: "a|a.b", 4: "quoted key.c d", 5: "many", 7: "many.0|many.1", 9: "many.2|many.2.1.k",
    11: "inline.second.deep", 12: "long", 16: "raw", 18: "after", 20: "tank", 21: "tank.length",
    23: "stock|stock.0", 24: "stock.0.species", 25: "stock.0.note.0", 26: "stock.0.note.0.text",
    28: "stock.0.extra.k", 29: "stock.1", 30: "stock.1.species", 31: "species.Own one",
    32: "species.Own one.temper",
}  # fmt: skip


@pytest.mark.parametrize(("line", "told"), LINES.items())
def test_lines(line: int, told: str) -> None:
    found = line_numbers(TEXT)
    on_it = {".".join(map(str, place)) for place, at in found.items() if at == line}
    assert set(told.split("|")) <= on_it


def test_windows_line_ends() -> None:
    lines = line_numbers(TEXT.replace("\n", "\r\n"))
    assert lines == line_numbers(TEXT)


def places(value: object, at: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    found = {at} if at else set()
    if isinstance(value, dict):
        return found.union(*(places(one, (*at, key)) for key, one in value.items()))
    if isinstance(value, list):
        return found.union(*(places(one, (*at, number)) for number, one in enumerate(value)))
    return found


PIECES = st.sampled_from(
    ["[t]", "[t.u]", "[[r]]", "[[r.s]]", "[r.v]", "a = 1", "b = [1, [2], {c = 3}]", "g = {}", "", "k = 0x1F"]
    + ['d."e f" = "x\\"]"', "h = '''a\n]b'''", 'i = """\\"""k"""', "# [no] = 1", "j = [\n1,\n # z\n]"]
    + ["l = -1.5e3"]
)


@settings(deadline=None)
@given(st.lists(PIECES, max_size=8))
def test_every_value_of_a_valid_text_has_a_line(pieces: list[str]) -> None:
    text = "\n".join(pieces)
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = line_numbers(text)
    assert places(values) <= set(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())
