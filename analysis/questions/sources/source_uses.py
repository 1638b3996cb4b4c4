"""What rests on each publication: numbers, rules and methods whose description names it, patterns."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.abc import Traversable
from importlib.resources import files

from ....sim.species.sources import bibliography
from .source_counts import Number, parts

PATTERNS = "patterns.toml"  # published patterns that running tanks are held to
_PACKAGES = ("sim", "analysis")
_NOTES = "sim/species/library"  # what sources of traits name is counted as numbers
_TOP = re.compile(r"(?:def|class) (\w+)")
_NO_RULE = "sim/species/sources.py"  # names keys as examples of how a source is written


@dataclass(frozen=True)
class Named:
    """A place in the sources that names a publication: file and the function or class, "" outside of any."""

    file: str
    function: str


@dataclass
class Uses:
    """Everything that rests on one publication."""

    numbers: list[Number] = field(default_factory=list)
    named: list[Named] = field(default_factory=list)
    patterns: list[str] = field(default_factory=list)  # number and statement


def all_uses(numbers: Iterable[Number]) -> dict[str, Uses]:
    """What rests on each key of the bibliography, in the order of the bibliography."""
    uses = {key: Uses() for key in bibliography()}
    for number in numbers:
        for key in {part.word for part in parts(number.source)} & uses.keys():
            uses[key].numbers.append(number)
    for key, place in _named(tuple(uses)):
        uses[key].named.append(place)
    for title, keys in pattern_keys().items():
        for key in uses:
            if key in keys:
                uses[key].patterns.append(title)
    return uses


@cache
def _named(keys: tuple[str, ...]) -> tuple[tuple[str, Named], ...]:
    """Every key that the text of a module names, with the function whose text it is, once each."""
    found: dict[tuple[str, Named], None] = {}
    wanted = re.compile(rf"\b({'|'.join(map(re.escape, keys))})\b")
    for package in _PACKAGES:
        for name, text in _modules(files(f"rockshy.{package}"), package):
            function = ""
            for line in text.splitlines() if name != _NO_RULE and wanted.search(text) else ():
                if line[:1].strip():  # a line without indent begins something new or stands by itself
                    top = _TOP.match(line)
                    function = top.group(1) if top else ""
                for key in wanted.findall(line):
                    found[key, Named(name, function)] = None
    return tuple(found)


def _modules(folder: Traversable, name: str) -> Iterator[tuple[str, str]]:
    """Python files below a folder and notes on species, path and text, in alphabetical order."""
    for entry in sorted(folder.iterdir(), key=lambda one: one.name):
        path = f"{name}/{entry.name}"
        if entry.is_dir() and not entry.name.startswith(("_", ".")):
            yield from _modules(entry, path)
        elif entry.name.endswith(".py"):
            yield path, entry.read_text(encoding="utf-8")
        elif name == _NOTES and entry.name.endswith(".toml"):
            text = entry.read_text(encoding="utf-8")
            yield path, "".join(line for line in text.splitlines() if line.startswith("note"))


def pattern_keys() -> dict[str, set[str]]:
    """Keys that each pattern rests on, by its number and what it states; none without the file."""
    place = files("rockshy.analysis.evidence").joinpath(PATTERNS)
    if not place.is_file():
        return {}
    entries = tomllib.loads(place.read_text(encoding="utf-8"))
    return {
        f"{name}: {entry['statement']}": {part.word for part in parts(entry["source"])}
        for name, entry in entries.items()
    }
