"""Files with something knocked out of shape are read or refused; no other exception leaves a reader."""

from __future__ import annotations

import json
import random
import re
from argparse import ArgumentTypeError
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from reading_examples import FULL, read, read_or_answered
from rockshy import scenarios
from rockshy.analysis.asking.numbers import part, within
from rockshy.analysis.page.editing.text import Sheet
from rockshy.analysis.page.editing.written import EditError
from rockshy.analysis.page.serving import wire
from rockshy.analysis.page.serving.refusals import RefusalError
from rockshy.analysis.page.viewing.read import values_of
from rockshy.analysis.questions.watching.reading import parse_tally
from rockshy.analysis.questions.watching.scale import Scale, scale_text
from rockshy.analysis.questions.watching.scale_file import load_scale
from rockshy.sim.scenario.reading import ScenarioError, parse
from rockshy.sim.scenario.units import UnitError, length_range_cm, number, temperature_c, volume_l

TANK = 'stock_list = "list.csv"\n[tank]\nlength = 120\nfront_to_back = 50\nheight = 50\n'
LIST = """# of the club
Fish;Qty;Sex;Size (in);Day;Out
Tropheus duboisi;1m3f;;2-3;;
Petrochromis trewavasae;4;f;"4,5";2;day 9
Eretmodus cyanostictus;1.2.3;;9 cm;;-
"""
SCALE = scale_text(
    Scale(1.7, 1.1, 2.6, 40, 30.0, 3, 23.5, 64, 0.3, "Show tank", ("Tropheus: 4",), (120.0, 50.0, 50.0)),
    name="scale.toml",
)
REQUEST = json.dumps(
    {
        "draft": {"text": TANK, "name": "a.toml", "stock_list": {"name": "list.csv", "text": LIST}},
        "which": 1,
        "trial": 3,
        "place": [1.5, 2, 3e1],
        "changes": [{"do": "set", "field": "tank.length", "value": 120}],
        "what": {"kind": "try", "which": 0},
    }
)
NUMBERS = ("1" + "0" * 400, "-1e400", "nan", "-inf", "0x" + "f" * 500, "1e-400", "-0", "1_000", "9" * 5000)
PIECES = (
    *NUMBERS,
    *("1/0", "1/2", "12:30:00", "2024-01-01", "true", "null", "[]", "{}", "[[[[", "{a = {b = 1}}", "''"),
    *('"""', "\\", "\\ud800", "\x00", "\x1b[31m", "\x85", "\u202e", "\u2028", "\ufeff", "\ufffd"),
    *("½", "²", "٣"),
    *(",", ";", "\t", "|", "\r", "\n", "#", "=", ".", "a.b", "sep=;", '"', "'", "-", "%", "in", "cm", " to "),
    *("[tank]\n", "[[stock]]\n", "[[alternative]]\n", "title = 1\n", "x" * 200, "m" * 70_000, "1m3f" * 300),
)
ROUNDS = 60  # of each reader


def mutated(text: str, luck: random.Random) -> str:
    """The text with one to four things put in, cut out, said again, moved or written over."""
    for _ in range(luck.randint(1, 4)):
        text = luck.choice((_replaced, _repeated, _moved, _rewritten, _counted))(text, luck)
    return text


def _replaced(text: str, luck: random.Random) -> str:
    start, end = _span(text, luck)
    return text[:start] + luck.choice(("", *PIECES)) + text[end:]


def _repeated(text: str, luck: random.Random) -> str:
    start, end = _span(text, luck)
    return text[:end] + text[start:end] * luck.choice((1, 3, 200)) + text[end:]


def _moved(text: str, luck: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(luck.randrange(len(lines)), lines.pop(luck.randrange(len(lines))))
    return "\n".join(lines)


def _rewritten(text: str, luck: random.Random) -> str:
    """One key, value or cell of a line written over."""
    lines = text.split("\n")
    k = luck.randrange(len(lines))
    sign = next((sign for sign in ("=", ";", "\t", ",", ":") if sign in lines[k]), "=")
    cells = lines[k].split(sign)
    cells[luck.randrange(len(cells))] = f" {luck.choice(PIECES)}"
    lines[k] = sign.join(cells)
    return "\n".join(lines)


def _counted(text: str, luck: random.Random) -> str:
    """Another number instead of one."""
    numbers = list(re.finditer(r"[0-9.]+", text))
    if not numbers:
        return text
    old = luck.choice(numbers)
    return text[: old.start()] + luck.choice(NUMBERS) + text[old.end() :]


def _span(text: str, luck: random.Random) -> tuple[int, int]:
    start = luck.randrange(len(text) + 1)
    return start, min(len(text), start + luck.choice((0, 1, 3, 10, 60)))


def a_scenario(text: str) -> None:
    read_or_answered(text, lambda: parse(text, name="tank.toml"))


def an_invented_scenario(text: str) -> None:
    read_or_answered(text, lambda: read(text, stock_list_text="fish,qty\nmild grazer,2\n"))


def a_stock_list(text: str) -> None:
    with suppress(ScenarioError):
        parse(TANK, name="tank.toml", stock_list_text=text)


def a_draft(text: str) -> None:
    values_of(text)
    with suppress(EditError):
        Sheet(text)


def a_tally(text: str) -> None:
    with suppress(ScenarioError):
        parse_tally(text, scenarios.read("mild-with-hot"), name="watch.csv")


def a_request(text: str) -> None:
    with suppress(RefusalError):
        told = wire.read(text.encode("utf-8", "surrogatepass"))
        plain = (wire.draft_of, wire.which_of, wire.trial_of, wire.place_of, wire.changes_of)
        for reader in (*plain, lambda told: wire.what_of(told, ("try",))):
            with suppress(RefusalError):
                reader(told)


def an_option(text: str) -> None:
    for reader in (within("run.trials"), within("run.days"), part(0.01, 0.4)):
        with suppress(ArgumentTypeError):
            reader(text)
    for quantity in (length_range_cm, volume_l, temperature_c, number):
        with suppress(UnitError):
            quantity(text)


READERS: dict[str, tuple[Callable[[str], None], list[str]]] = {
    "scenario": (a_scenario, [scenarios.text(name) for name in scenarios.names()]),
    "invented scenario": (an_invented_scenario, [FULL]),
    "draft": (a_draft, [scenarios.text(name) for name in scenarios.names()]),
    "stock list": (a_stock_list, [LIST, LIST.replace(";", "\t"), "species,males,females\nduboisi,1,3\n"]),
    "tally": (a_tally, [(Path(__file__).parents[1] / "stonecomb-watch.csv").read_text(encoding="utf-8")]),
    "request": (a_request, [REQUEST]),
    "option": (an_option, ["48", "4 ft 6 in", "2-3 in", "25.5 %", "78 F", "20 imperial gal"]),
}


@pytest.mark.parametrize("name", READERS)
def test_a_mutated_text_is_read_or_refused(name: str) -> None:
    reader, texts = READERS[name]
    for seed in range(ROUNDS):
        luck = random.Random(seed)
        text = mutated(luck.choice(texts), luck)
        try:
            reader(text)
        except Exception as fault:
            fault.add_note(f"seed {seed}: {text[:5000]!r}")
            raise


def test_a_mutated_scale_file_is_read_or_refused(tmp_path: Path) -> None:
    path = tmp_path / "scale.toml"
    for seed in range(ROUNDS):
        text = mutated(SCALE, random.Random(seed))
        path.write_text(text, encoding="utf-8", newline="")
        try:
            with suppress(ScenarioError):
                load_scale(path)
        except Exception as fault:
            fault.add_note(f"seed {seed}: {text[:5000]!r}")
            raise
