"""Files and requests that mean harm, made by the hundred; and how much work one of them makes."""

from __future__ import annotations

import itertools
import json
import random
import signal
from _lsprof import Profiler
from collections.abc import Callable, Iterator
from dataclasses import asdict
from typing import Any

from rockshy.analysis.page.task import Draft, StockList

TANK = '[tank]\nlength = "120 cm"\nfront_to_back = "45 cm"\nheight = "50 cm"\n\n[rock]\ncover = "40 %"\n\n'
STOCK = '[[stock]]\nspecies = "Tropheus moorii"\nmales = 1\nfemales = 2\n\n'
GOOD = TANK + STOCK
ODD = ("\u202e", "\u2066", "\u200b", "\u00ad", "\ufeff", "\x1b[31m", "\x9b", "\x07", "\u2028")  # unseen signs


LOOK_S = 0.5  # computing time after which the calls so far are looked at


class TooMuchWorkError(AssertionError):
    """More functions were called than a file or a request is worth."""


def calls_of(work: Callable[[], Any], *, most: int) -> tuple[Any, int]:
    """What work gives (or the fault it ends with), and how many functions it called, C's own as well.

    Raises TooMuchWorkError when there are more than ``most``; it is broken off then, so that nothing hangs.
    """
    counter = Profiler(builtins=True)

    def look(*_: object) -> None:
        if _counted(counter) > most:
            raise TooMuchWorkError(f"more than {most} calls")

    former = signal.signal(signal.SIGVTALRM, look)
    signal.setitimer(signal.ITIMER_VIRTUAL, LOOK_S, LOOK_S)
    counter.enable()
    try:
        found = work()
    except TooMuchWorkError as stop:
        raise TooMuchWorkError(str(stop)) from None  # broken off anywhere, it may stand on no line of its own
    except Exception as fault:
        found = fault
    finally:
        counter.disable()
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, former)
    look()
    return found, _counted(counter)


def _counted(counter: Profiler) -> int:
    return sum(one.callcount for one in counter.getstats())


# ---- files


def files() -> Iterator[tuple[str, str]]:
    """Scenario files, each with what it is; none of them describes a tank."""
    yield from _long_names()
    yield from _deep()
    yield from _many()
    yield from _long_values()
    yield from _broken()
    yield from _unseen()
    yield from _shuffled()


def _long_names() -> Iterator[tuple[str, str]]:
    for parts, part in itertools.product((13, 200, 8_000, 20_000, 300_000), ("a", "'a'", '"\\u0061"')):
        name = ".".join([part] * parts)
        forms = {
            "key": f"{name} = 1\n",
            "header": f"[{name}]\n",
            "row": f"[[{name}]]\n",
            "in braces": f"a = {{{name} = 1}}\n",
            "in a list": f"a = [{{{name} = 1}}]\n",
            "below a tank": f"{GOOD}[tank.{name}]\n",
        }
        for form, text in forms.items():
            yield f"name of {parts} parts {part}, {form}", text
    yield "name of 900,000 signs", f"{'a' * 900_000} = 1\n"


def _deep() -> Iterator[tuple[str, str]]:
    for depth in (13, 500, 100_000):
        yield f"lists, {depth} deep", f"a = {'[' * depth}{']' * depth}\n"
        yield f"lists without an end, {depth} deep", f"a = {'[' * depth}"
        yield f"tables, {depth} deep", f"a = {'{a = ' * depth}1{'}' * depth}\n"
        yield f"lists and tables, {depth} deep", f"a = {'[{a = ' * depth}1{'}]' * depth}\n"
        yield f"headers of {depth} brackets", f"{'[' * depth}a{']' * depth}\n"


def _many() -> Iterator[tuple[str, str]]:
    rows = (
        "stock",
        "event",
        "alternative",
        "alternative.add",
        "rock.object",
        "rock.crevice",
        "nothing",
        "a.b",
    )
    for number, row in itertools.product((1_900, 50_000), rows):
        yield (
            f"{number} rows of {row}",
            f"{TANK}{'[alternative]' if '.add' in row else ''}\n" + f"[[{row}]]\n" * number,
        )
        yield f"{number} rows of {row} with a species", TANK + f'[[{row}]]\nspecies = "x"\n' * number
    for number in (1_900, 50_000):
        each = range(number)
        quoted = '"1", ' * number
        yield f"{number} species", GOOD + "".join(f'[species."G s{k}"]\nlike = "x"\n' for k in each)
        yield (
            f"{number} tables",
            GOOD + "".join(f"[{'.'.join(f'a{k}b{n}' for n in range(12))}]\n" for k in each),
        )
        yield f"{number} parameters", f"{GOOD}[parameters]\n" + "".join(f"p{k} = 1\n" for k in each)
        yield f"{number} fields", "".join(f"k{k} = 1\n" for k in each)
        yield f"{number} dotted fields", "".join(f"k{k}.a.b.c.d.e = 1\n" for k in each)
        yield f"{number} quoted fields", "".join(f'"k{k}" = 1\n' for k in each)
        yield f"{number} fields of a row", GOOD + "".join(f"k{k} = 1\n" for k in each)
        yield f"{number} fish", f"{GOOD}[[event]]\nday = 1\nout = [{quoted}]\n"
        yield f"{number} in braces", f"{GOOD}stock_list = {{{', '.join(f'k{k} = 1' for k in each)}}}\n"
        yield f"{number} blank lines", f"{GOOD}x = 1\n" + "\n" * number
        yield f"{number} rows of a sketch", f"{GOOD}[rock]\nsketch = [{quoted}]\n"


def _long_values() -> Iterator[tuple[str, str]]:
    for field in ("title", "question", "stock_list", "nothing"):
        for sign in ("x", "\u202e", "\\u0041"):
            yield f"{field} of many {sign}", f'{field} = "{sign * (900_000 // len(sign) // 4)}"\n{GOOD}'
    for digits in (400, 5_000, 900_000):
        for number in ("9", "0x" + "f", "-", "1_", "1979-05-27T07:32:00.", "0.", "1e"):
            yield f"number {number} of {digits} digits", f"[tank]\nlength = {number}{'9' * digits}\n"
    for limit in ("1e308", "-1e308", "inf", "nan", "-0.0", "true", "[]", "{}", "1979-05-27"):
        for place in ("length", "front_to_back", "height", "cell"):
            yield f"{place} of {limit}", TANK.replace("[tank]", f"[tank]\n{place} = {limit}") + STOCK


def _broken() -> Iterator[tuple[str, str]]:
    for start in (
        '"',
        "'",
        '"""',
        "'''",
        'a = "',
        "a = '''",
        "a = [",
        "a = {",
        "[",
        "[[",
        "#",
        "\\",
        "=",
        ".",
        ",",
    ):
        for size in (3_000, 900_000):
            yield f"{size} of {start!r}", (start * (size // len(start) + 1))[:size]
    for odd in ("\0", "\x01", "\x7f", "\x85", "\r", "\ufffe"):
        yield f"{odd!r} in a table", f"{GOOD}a{odd} = 1\n"
        yield f"{odd!r} alone", odd * 100


def _unseen() -> Iterator[tuple[str, str]]:
    for odd in ODD:
        said = json.dumps(odd)
        yield f"{said} in a species", TANK + STOCK.replace("moorii", f"moorii{said[1:-1]}x")
        yield f"{said} in a field", f"{GOOD}[run]\n{said} = 1\n"
        yield f"{said} in a table", f"{GOOD}[{said}]\n"
        yield f"{said} in a word", f"{GOOD}[[rock.object]]\nkind = {said}\n"
        yield f"{said} bare", f"{GOOD}{odd}\n"


def _shuffled() -> Iterator[tuple[str, str]]:
    """A good file with a lump of what breaks parsers somewhere in it."""
    chance = random.Random(17)
    lumps = (
        "[" * 40,
        "a." * 400,
        '"' * 7,
        "'" * 5,
        "{a=" * 30,
        "=" * 9,
        "\x1b]0;x\x07",
        "9" * 6_000,
        "\u202e[",
        "]]",
    )
    for k in range(60):
        lump, at = lumps[k % len(lumps)], chance.randrange(len(GOOD))
        yield f"lump {k}", f"{GOOD[:at]}\n{lump} {GOOD[at:]}\n{lump}"


# ---- requests


def bodies() -> Iterator[tuple[str, bytes]]:
    """What a page never sends: bodies that are no table of the kind any question has."""
    good = asdict(Draft(GOOD, "tank.toml"))
    for depth in (13, 1_000, 150_000):
        yield f"lists, {depth} deep", b"[" * depth
        yield f"tables, {depth} deep", b'{"a":' * depth + b"1" + b"}" * depth
        yield f"a draft, {depth} deep", b'{"draft":' + b"[" * depth + b"]" * depth + b"}"
    for odd in (b"", b"null", b"1", b'"x"', b"[]", b"\xff", b"\x00", b"{", b'{"a": NaN}', b'{"a": 1e999}'):
        yield f"{odd!r}", odd
    yield "many names", json.dumps({f"k{k}": 1 for k in range(60_000)}).encode()
    yield "long name", json.dumps({"k" * 900_000: 1}).encode()
    yield "digits", b'{"which": ' + b"9" * 900_000 + b"}"
    for name, values in _ODD_PARTS.items():
        for value in values:
            told = {
                "draft": good,
                "which": 0,
                "changes": [{"do": "bare"}],
                "what": {"kind": "try"},
                name: value,
            }
            yield f"{name} of {str(value)[:40]!r}", json.dumps(told).encode()
    for name, value in itertools.product(
        ("text", "name", "stock_list"), (None, 1, [], {}, True, ["x"] * 10_000)
    ):
        if (name, value) != ("stock_list", None):
            yield (
                f"draft.{name} of {str(value)[:40]}",
                json.dumps({"draft": {**good, name: value}, "which": 0}).encode(),
            )
    for name in ("../x", "a/b", "", "..", "x" * 300, *(f"a{odd}b" for odd in ODD)):
        yield f"file called {name[:20]!r}", json.dumps({"draft": {**good, "name": name}, "which": 0}).encode()


_ODD_PARTS: dict[str, list[Any]] = {
    "draft": [None, 1, "x", [], {}, {"text": "x"}, {"path": "/etc/passwd"}],
    "which": [-1, 201, 1.5, "0", None, True, [0], 2**53],
    "changes": [None, {}, "x", [], [1], [{}], [{"do": 1}], [{"do": "bare"}] * 2_001],
    "what": [None, [], "try", {}, {"kind": 1}, {"kind": "rm -rf"}, {"kind": "try", "x": "y" * 20_000}],
    "job": ["x" * 100_000, None],
    "__proto__": [{"x": 1}],
    "\u202e": [1],
}


def lists() -> Iterator[tuple[str, str]]:
    """Stock lists that hold no fish that could be read."""
    for line in (
        "nobody,1",
        "1m3f x",
        "a;b;c;d",
        '"',
        '"a""',
        "1m" * 60,
        "9" * 300,
        "\x00",
        "=cmd|'/c calc'!A1",
    ):
        for number in (1, 1_500, 60_000):
            yield f"{number} of {line[:20]!r}", f"{line}\n" * min(number, 900_000 // len(line))
    for odd in ODD:
        yield f"{odd!r}", f"species,males\nmild{odd}grazer,1\n"
    yield "wide", f"species,count{',species' * 100_000}\nx,1\n"


def with_list(text: str) -> Draft:
    """A draft whose stock is in a list."""
    return Draft(f'stock_list = "list.csv"\n{TANK}', "tank.toml", StockList("list.csv", text))
