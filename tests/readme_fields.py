"""Brings fields and species in README.md up to date: ``python -m tests.readme_fields`` in the checkout."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

from rockshy.sim.scenario.reading.limits import FIELDS
from rockshy.sim.species.species import LAKES, library

README = Path(__file__).resolve().parent.parent / "README.md"
BEGIN, END = "<!-- fields -->\n", "<!-- end of fields -->"
SPECIES, END_OF_SPECIES = "<!-- species -->\n", "<!-- end of species -->"


def table() -> str:
    """Every declared field of a scenario file: what it is, what is allowed, what holds without it."""
    rows = [f"| `{one.name}` | {one.meaning} | {one.say()} | {one.say_without()} |\n" for one in FIELDS]
    return "| name | what it is | allowed | without it |\n|---|---|---|---|\n" + "".join(rows)


def species() -> str:
    """Every species of the library by lake and genus."""
    told = (f"**Lake {lake}:** {'; '.join(_genera(lake))}." for lake in LAKES)
    return "\n".join(f"{textwrap.fill(one, 120)}\n" for one in told)


def _genera(lake: str) -> Iterator[str]:
    kinds = [one for one in library().values() if one.lake == lake]
    for genus in dict.fromkeys(one.genus for one in kinds):
        yield f"{genus} {', '.join(one.key.split(' ', 1)[1] for one in kinds if one.genus == genus)}"


def main() -> None:
    """Replace what stands between the marks."""
    text = README.read_text(encoding="utf-8")
    for begin, new, end in ((BEGIN, table(), END), (SPECIES, species(), END_OF_SPECIES)):
        before, rest = text.split(begin)
        text = before + begin + new + end + rest.split(end, 1)[1]
    README.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
