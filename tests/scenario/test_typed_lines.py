"""Stock lists without columns, as keepers type them; a bare number beside inches."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading_examples import STOCK, TANK, problem, read
from rockshy.sim.scenario.called import shown_name
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.reading.problems import Problem
from rockshy.sim.scenario.reading.stock import Asked
from rockshy.sim.scenario.reading.stocklist import read_list

Row = tuple[str, int, int, int]
SIDES = '[tank]\nlength = "4 ft"\nfront_to_back = "18 in"\nheight = "21 in"\n'


def typed(text: str) -> tuple[list[Asked], list[Problem]]:
    problems: list[Problem] = []
    return read_list(text, file="list.csv", problems=problems), problems


def rows(text: str) -> list[Row]:
    read_rows, problems = typed(text)
    assert not problems, problems
    return [(one.species, one.males, one.females, one.unsexed) for one in read_rows]


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("1m3f yellow lab", ("yellow lab", 1, 3, 0)),
        ("1 m 3 f yellow labs", ("yellow labs", 1, 3, 0)),
        ("6 acei", ("acei", 0, 0, 6)),
        ("demasoni x 12", ("demasoni", 0, 0, 12)),
        ("12x demasoni", ("demasoni", 0, 0, 12)),
        ("demasoni ×12", ("demasoni", 0, 0, 12)),
        ("- demasoni (12)", ("demasoni", 0, 0, 12)),
        ("3 yellow labs (1 male)", ("yellow labs", 1, 0, 2)),
        ("12 unsexed demasoni juveniles 2 in", ("demasoni", 0, 0, 12)),
        ("12 F1 demasoni", ("demasoni", 0, 0, 12)),
        ("4 female acei", ("acei", 0, 4, 0)),
        ("acei females x 4", ("acei", 0, 4, 0)),
        ("yellow labs: 1 male, 3 females", ("yellow labs", 1, 3, 0)),
        ("1 male and 3 female yellow labs", ("yellow labs", 1, 3, 0)),
        ("Labidochromis caeruleus, 1m3f, 8 cm", ("Labidochromis caeruleus", 1, 3, 0)),
        ("4\tTropheus duboisi", ("Tropheus duboisi", 0, 0, 4)),
        ("1.3.4 Tropheus duboisi", ("Tropheus duboisi", 1, 3, 4)),
        ("a pair of Julidochromis ornatus", ("Julidochromis ornatus", 1, 1, 0)),
        ("2 trios of calvus", ("calvus", 2, 4, 0)),
        ("group of 6 acei", ("acei", 0, 0, 6)),
        ('Tropheus sp. "ikola" x 12', ('Tropheus sp. "ikola"', 0, 0, 12)),
        ("6 cynotilapia afra (cobue)", ("cynotilapia afra", 0, 0, 6)),
    ],
)
def test_a_line(line: str, row: Row) -> None:
    assert rows(line) == [row]


def test_several_in_a_line_and_titles() -> None:
    text = "My tank:\n6 yellow labs, 4 red zebras\n# sold\n\n3 rusties and 2 pairs saulosi\n"
    assert rows(text) == [
        ("yellow labs", 0, 0, 6),
        ("red zebras", 0, 0, 4),
        ("rusties", 0, 0, 3),
        ("saulosi", 2, 2, 0),
    ]


@pytest.mark.parametrize(
    ("line", "cm"),
    [
        ("6 acei 3 in", (7.62, 7.62)),
        ('6 acei 3-4"', (7.62, 10.16)),
        ('6 acei 3"-4"', (7.62, 10.16)),
        ("6 acei @ 2.5 in", (6.35, 6.35)),
        ("6 acei at 1 1/2 in", (3.81, 3.81)),
        ("2 to 3 cm acei x 6", (2.0, 3.0)),
        ("6 acei 9,5 cm TL", (9.5, 9.5)),
        ("6 acei", None),
    ],
)
def test_a_length(line: str, cm: tuple[float, float] | None) -> None:
    (row,), problems = typed(line)
    assert not problems and (row.species, row.unsexed) == ("acei", 6)
    assert row.length_cm == (None if cm is None else pytest.approx(cm))


@pytest.mark.parametrize(
    ("line", "key", "found"),
    [
        ("6 acei 3", "row", "2 numbers without a unit"),
        ("6-8 acei", "row", "no number of fish"),
        ("acei", "row", "no number of fish"),
        ("6", "row", "no name"),
        ("500 acei", "row", "too many"),
        ("3 acei (2 males 2 females)", "row", "do not agree"),
        ("6 acei male female", "row", "males and females"),
        ("6 acei 3 in 8 cm", "length", "two lengths"),
        ("6 acei 8 cm SL", "length", "a standard length"),
        ("6 acei 99 in", "length", "99 in"),
        ("6 " + "acei " * 60, "row", "acei"),
    ],
)
def test_a_line_that_cannot_be_read_is_named_and_hides_no_other(line: str, key: str, found: str) -> None:
    read_rows, problems = typed(f"4 kenyi\n{line}\n5 auratus\n")
    assert [(one.file, one.line, one.key) for one in problems] == [("list.csv", 2, key)]
    assert found in problems[0].found
    assert {"kenyi", "auratus"} <= {one.species for one in read_rows if one.good}


def test_names_of_a_typed_list_are_held_against_the_library() -> None:
    text = '[tank]\nlength = "150 cm"\nfront_to_back = "50 cm"\nheight = "50 cm"\n'
    text = f'stock_list = "list.csv"\n{text}'
    with pytest.raises(ValueError, match='line 2, species is "OB peacock", and peacocks are not rock'):
        parse(text, name="a", stock_list_text="6 labs\n1 OB peacock\n4 kenyi\n")
    stock = parse(text, name="a", stock_list_text="1m3f yellow labs\n12 demasoni 2 in\n").stock
    assert [(one.species, one.typed) for one in stock] == [
        ("Labidochromis caeruleus", "yellow labs"),
        ("Chindongo demasoni", "demasoni"),
    ]


WORDS = st.sampled_from(
    ["6", "acei", "1m3f", "x", "3 in", ",", "and", "pair", "male", '"', "(", ")", "1/3", "-", "٣"]
)


@settings(deadline=None)
@given(st.lists(WORDS, max_size=8).map(" ".join) | st.text(max_size=80))
def test_whatever_is_typed_is_read_or_named(line: str) -> None:
    read_rows, problems = typed(f"{line}\n1 kenyi")
    assert read_rows or problems
    assert all(one.species.strip() for one in read_rows if one.good)


# ---- a bare number beside inches


@pytest.mark.parametrize("bare", ["21", '"21"', "21.5"])
def test_a_bare_side_beside_inches_is_asked_about(bare: str) -> None:
    found = problem(SIDES.replace('"21 in"', bare) + STOCK)
    assert (found.line, found.key) == (4, "tank.height")
    assert found.allowed.endswith(f'"{bare.strip(chr(34))} cm": another side is "4 ft"')


def test_bare_sides_are_in_cm() -> None:
    bare = SIDES.replace('"4 ft"', "120").replace('"18 in"', "45").replace('"21 in"', '"50 cm"')
    assert read(bare + STOCK).tank.length_cm == 120.0


def test_a_bare_end_of_a_length_beside_inches() -> None:
    assert problem(f"{TANK}{STOCK}length = ['2 in', 3]\n").key == "stock.length"


def test_a_bare_length_beside_inches_in_a_stock_list() -> None:
    read_rows, problems = typed("fish,qty,size\nlabs,3,3 in\nkenyi,2,4\nacei,1,?\nauratus,1,2-3\n")
    assert [(one.line, one.key) for one in problems] == [(3, 'column 3 "size"'), (5, 'column 3 "size"')]
    assert '"4 in" or "4 cm"' in problems[0].allowed
    assert typed("fish,qty,size (in)\nlabs,3,3 in\nkenyi,2,4\n")[1] == []


# ---- what a species is called


@pytest.mark.parametrize(
    ("name", "short", "full"),
    [
        ("yellow labs", "yellow lab", "yellow lab (Labidochromis caeruleus)"),
        ("LABS", "lab", "lab (Labidochromis caeruleus)"),
        ("caeruleus", "caeruleus", "caeruleus (Labidochromis caeruleus)"),
        ("L. caeruleus", "Labidochromis caeruleus", "Labidochromis caeruleus"),
        ("Labidochromis caeruleus", "Labidochromis caeruleus", "Labidochromis caeruleus"),
    ],
)
def test_a_species_is_called_as_it_was_typed(name: str, short: str, full: str) -> None:
    scenario = parse(f'{SIDES}[[stock]]\nspecies = "{name}"\nmales = 1\n', name="a")
    assert shown_name(scenario, "Labidochromis caeruleus") == short
    assert shown_name(scenario, "Labidochromis caeruleus", in_full=True) == full
