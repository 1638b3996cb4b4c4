"""The tables of the model description, sim/MODEL.md, made from the code they describe.

``python -m rockshy.analysis.questions.sources.description`` in a checkout writes every table between its
marks anew, and the types of the parameters beside it (sim/rules/support/parameter_record.py), and says
which of them changed; with ``--check`` it writes nothing and ends with status 1 where one is out of date.
The text between the tables is written by hand.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import inspect
import io
import pkgutil
import re
import sys
import tokenize
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import FunctionType
from typing import Any

from .... import sim
from ....sim import rules as package
from ....sim.fish import shoal
from ....sim.fish.records import Column
from ....sim.rules.support.parameters import Parameter, load, names
from ....sim.run import day, ledger
from ....sim.run.slow import slow_parameters
from ....sim.species.species import TRAITS, WORDS
from ....sim.tank import tank, water
from ...document.writing import NotWrittenError, write_text
from .source_counts import ASSUMED, CODE, RULES, all_numbers

NAME = "MODEL.md"
PARAMETERS = "rules/support/parameter_record.py"
_LAST_BY_HAND = "def __getitem__(self, name: str) -> float: ...\n\n"
_BLOCK = re.compile(r"(<!-- made: ([a-z-]+) -->\n).*?(<!-- end -->)", re.DOTALL)
_SOURCE = re.compile(r"\s*Source: (.+?)(?:\n\s*\n|\Z)", re.DOTALL)


def table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table in Markdown; a bar within a cell is escaped."""
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(f"| {' | '.join(_cell(one) for one in line)} |" for line in lines) + "\n"


def _cell(value: object) -> str:
    return " ".join(str(value).replace("|", "\\|").split())


def code(text: object) -> str:
    """Text in code font."""
    return f"`{text}`"


# ---- state


def _columns(declared: Mapping[str, Column]) -> str:
    rows = (
        (code(name), column.dtype, column.unit or "-", f"{column.default:g}", column.meaning)
        for name, column in declared.items()
    )
    return table(("variable", "type", "unit", "default", "meaning"), rows)


def _fields(kind: type) -> str:
    """Fields of a NamedTuple with the comment that stands beside each."""
    return table(("array", "what it holds"), ((code(k), v) for k, v in field_comments(kind).items()))


def field_comments(kind: type) -> dict[str, str]:
    """Comment behind each field of a class, in the order of the class; "" where there is none."""
    text = inspect.getsource(kind)
    comments = {
        token.start[0]: token.string.lstrip("# ")
        for token in tokenize.generate_tokens(io.StringIO(text).readline)
        if token.type == tokenize.COMMENT
    }
    body = ast.parse(text).body[0]
    assert isinstance(body, ast.ClassDef)
    found = {}
    for node in body.body:
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            said = comments.get(node.end_lineno or node.lineno, "")
            found[node.target.id] = re.sub(r"^type: ignore\S*\s*#?\s*", "", said)
    return found


def _ledger() -> str:
    """Every declared table of the ledger, then its plain arrays."""
    parts = {"pair": ledger.PAIR, "fish": ledger.FISH, "hours": ledger.HOUR, "state": ledger.STATE}
    rows = [
        (code(f"{part}.{name}"), column.unit or "-", column.meaning)
        for part, declared in parts.items()
        for name, column in declared.items()
    ]
    plain = field_comments(ledger.Ledger)
    rows += [(code(name), "-", said) for name, said in plain.items() if name not in parts]
    return table(("record", "unit", "meaning"), rows)


def _doings() -> str:
    return table(("number", "state"), ((k, word) for k, word in enumerate(shoal.DOING)))


def _streams() -> str:
    return table(
        ("stream", "what is drawn from it, by the functions that name it"),
        ((code(word), ", ".join(map(code, _drawing(k)))) for k, word in enumerate(shoal.PURPOSES)),
    )


def _drawing(purpose: int) -> list[str]:
    """Rules that draw from the stream of a purpose."""
    name = next(name for name, value in vars(shoal).items() if name.startswith("FOR_") and value == purpose)
    return [fn.__name__ for fn in rules() if name in fn.__code__.co_names]


# ---- order of a tick


def _tick() -> str:
    """The numbered list at the top of sim/run/day.py."""
    text = inspect.getdoc(day) or ""
    return text[text.index("1. ") :] + "\n"


# ---- numbers


def _parameters(these: Mapping[str, Parameter]) -> str:
    rows = (
        (code(one.name), f"{one.value:g}", f"{one.low:g} to {one.high:g}")
        + (one.draw, one.unit, one.source, one.meaning)
        for one in these.values()
    )
    return table(("parameter", "value", "range", "drawn", "unit", "source", "meaning"), rows)


def _counts() -> str:
    """How many parameters are assumptions in size, in a sentence."""
    every = [one for one in all_numbers(species={}) if one.group == RULES and not one.owner]
    assumed = [one for one in every if one.kind == ASSUMED]
    helped = sum(one.is_helped for one in assumed)
    return (
        f"Of the {len(every)} parameters of behaviour {len(assumed)} are assumptions in size; for {helped} "
        f"of these a paper\nbacks the direction of the effect, for {len(assumed) - helped} nothing does. "
        "`rockshy sources` counts where all numbers come from.\n"
    )


def _traits() -> str:
    rows = (
        (code(rule.name), rule.unit, f"{rule.low:g} to {rule.high:g}", rule.drawn, rule.meaning)
        for rule in TRAITS.values()
    )
    return table(("trait", "unit", "allowed", "drawn", "meaning"), rows)


def _words() -> str:
    rows = ((code(rule.name), rule.allowed, rule.meaning) for rule in WORDS.values())
    return table(("trait", "allowed", "meaning"), rows)


def _constants() -> str:
    every = [one for one in all_numbers(species={}) if one.group == CODE]
    rows = ((code(f"{one.owner}: {one.name}"), one.value, one.unit, one.source, one.meaning) for one in every)
    return table(("where", "value", "unit", "source", "meaning"), rows)


def parameter_record(text: str) -> str:
    """The text of sim/rules/support/parameter_record.py with its fields made anew."""
    units = {one.name: one.unit for one in load().values()} | {"tick_s": "s"}
    fields = "".join(f"    {name}: float  # {units[name]}\n" for name in names())
    return text[: text.index(_LAST_BY_HAND) + len(_LAST_BY_HAND)] + fields


# ---- rules


def rules() -> list[FunctionType]:
    """Every public function of sim/rules as it is written, by file and in the order of the file."""
    found = []
    names = sorted(one.name for one in pkgutil.iter_modules(package.__path__) if not one.ispkg)
    for module in (importlib.import_module(f"{package.__name__}.{name}") for name in names):
        for name, value in vars(module).items():
            fn = getattr(value, "py_func", value)
            if isinstance(fn, FunctionType) and fn.__module__ == module.__name__ and name[0] != "_":
                found.append(fn)
    return found


def _rules() -> str:
    return table(("rule", "what it states", "source"), (_rule_row(fn) for fn in rules()))


def _rule_row(fn: FunctionType) -> tuple[str, str, str]:
    doc = inspect.getdoc(fn) or ""
    source = _SOURCE.search(doc)
    first = _SOURCE.sub("", doc).split("\n\n")[0]
    file = fn.__module__.rsplit(".", 1)[1]
    return code(f"{file}: {fn.__name__}"), first, source.group(1).rstrip(".") if source else ""


BLOCKS: Mapping[str, Callable[[], str]] = {
    "counts": _counts,
    "state-fish": lambda: _columns(shoal.FISH),
    "state-pair": lambda: _columns(shoal.PAIR),
    "state-shoal": lambda: _fields(shoal.Shoal),
    "state-doing": _doings,
    "state-tank": lambda: _fields(tank.Tank),
    "state-cell": lambda: _columns(water.CELL),
    "state-refuge": lambda: _columns(water.REFUGE),
    "state-ledger": _ledger,
    "tick": _tick,
    "streams": _streams,
    "parameters": lambda: _parameters(load()),
    "slow": lambda: _parameters(slow_parameters()),
    "traits": _traits,
    "words": _words,
    "constants": _constants,
    "rules": _rules,
}
"""Name of a block -> what makes it."""


# ---- the file


def made(text: str) -> tuple[str, list[str]]:
    """The text with every block made anew, and the names of those that changed.

    Raises ValueError when a block is unknown, or one of :data:`BLOCKS` does not stand in it exactly once.
    """
    there = [name for _, name, _ in _BLOCK.findall(text)]
    wrong = sorted({name for name in there if name not in BLOCKS or there.count(name) > 1})
    missing = [name for name in BLOCKS if name not in there]
    if wrong or missing:
        told = [f"block {name!r} is unknown or stands twice" for name in wrong]
        told += [f"block {name!r} is missing" for name in missing]
        raise ValueError("; ".join(told))
    changed: list[str] = []

    def anew(found: re.Match[str]) -> str:
        block = found.group(1) + BLOCKS[found.group(2)]() + found.group(3)
        if block != found.group(0):
            changed.append(found.group(2))
        return block

    return _BLOCK.sub(anew, text), changed


def by_hand(text: str) -> str:
    """The text without the tables."""
    return _BLOCK.sub("", text)


def main(argv: Sequence[str] | None = None) -> int:
    """Bring the tables up to date; returns the exit status (0 done, 1 out of date, 2 refused)."""
    parser = argparse.ArgumentParser(
        prog="python -m rockshy.analysis.questions.sources.description",
        description="Writes the tables of the model description anew and says what changed.",
    )
    parser.add_argument("--file", help="the description; sim/MODEL.md of the checkout when left out")
    parser.add_argument("--out", help="write the result here and leave the description as it is")
    parser.add_argument("--check", action="store_true", help="write nothing; status 1 when out of date")
    line: Any = parser.parse_args(argv)
    place = Path(line.file) if line.file else Path(sim.__file__).with_name(NAME)
    if not place.is_file():
        print(
            f"{place}: no such file. The description belongs to the checkout and is not installed with the "
            f"package; type --file and the path of its sim/{NAME}",
            file=sys.stderr,
        )
        return 2
    try:
        text, changed = made(place.read_text(encoding="utf-8"))
    except (ValueError, OSError) as problem:
        print(f"{place}: {problem}", file=sys.stderr)
        return 2
    types = place.parent / PARAMETERS
    declared = types.read_text(encoding="utf-8") if types.is_file() else ""
    if declared and declared != parameter_record(declared):
        changed.append(PARAMETERS)
    told = ", ".join(changed) if changed else "nothing"
    if line.check:
        print(f"Out of date: {told}.")
        return 1 if changed else 0
    out = Path(line.out) if line.out else place
    try:
        write_text(out, text)
        if PARAMETERS in changed and not line.out:
            write_text(types, parameter_record(declared))
    except NotWrittenError as problem:
        print(problem, file=sys.stderr)
        return 2
    print(f"{out}: written. Changed: {told}.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
