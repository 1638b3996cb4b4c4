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


@pytest.mark.parametrize(
    ("place", "line"),
    [
        (("title",), 2),
        (("a",), 3),
        (("a", "b"), 3),
        (("quoted key", "c d"), 4),
        (("many",), 5),
        (("many", 0), 7),
        (("many", 1), 7),
        (("many", 2), 9),
        (("many", 2, 1, "k"), 9),
        (("inline", "second", "deep"), 11),
        (("long",), 12),
        (("raw",), 16),
        (("after",), 18),
        (("tank",), 20),
        (("tank", "length"), 21),
        (("stock",), 23),
        (("stock", 0), 23),
        (("stock", 0, "species"), 24),
        (("stock", 0, "note", 0), 25),
        (("stock", 0, "note", 0, "text"), 26),
        (("stock", 0, "extra", "k"), 28),
        (("stock", 1), 29),
        (("stock", 1, "species"), 30),
        (("species", "Own one"), 31),
        (("species", "Own one", "temper"), 32),
    ],
)
def test_lines(place: tuple[str | int, ...], line: int) -> None:
    assert line_numbers(TEXT)[place] == line


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
    [
        "[t]",
        "[t.u]",
        "[[r]]",
        "[[r.s]]",
        "[r.v]",
        "a = 1",
        "b = [1, [2], {c = 3}]",
        'd."e f" = "x\\"]"',
        "g = {}",
    ]
    + [
        "h = '''a\n]b'''",
        'i = """\\"""k"""',
        "# [no] = 1",
        "",
        "j = [\n1,\n # z\n]",
        "k = 0x1F",
        "l = -1.5e3",
    ]
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
