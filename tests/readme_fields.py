"""Brings the tables in scenarios/REFERENCE.md up to date: ``python -m tests.readme_fields``."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

from rockshy.sim.scenario.reading.limits import FIELDS
from rockshy.sim.species.species import LAKES, TRAITS, WORDS, library

REFERENCE = Path(__file__).resolve().parent.parent / "scenarios" / "REFERENCE.md"


def fields() -> str:
    """Every declared field of a scenario file: what it is, what is allowed, what holds without it."""
    rows = [f"| `{one.name}` | {one.meaning} | {one.say()} | {one.say_without()} |\n" for one in FIELDS]
    return "| name | what it is | allowed | without it |\n|---|---|---|---|\n" + "".join(rows)


def traits() -> str:
    """Every trait that a file can set for a species."""
    told = {name: (one.meaning, f"{one.low:g} to {one.high:g} ({one.unit})") for name, one in TRAITS.items()}
    told |= {name: (one.meaning, str(one.allowed)) for name, one in WORDS.items()}
    rows = [f"| `{name}` | {meaning} | {allowed} |\n" for name, (meaning, allowed) in told.items()]
    return "| trait | what it is | allowed |\n|---|---|---|\n" + "".join(rows)


def species() -> str:
    """Every species of the library by lake and genus."""
    told = (f"**Lake {lake}:** {'; '.join(_genera(lake))}." for lake in LAKES)
    return "\n".join(f"{textwrap.fill(one, 120)}\n" for one in told)


def _genera(lake: str) -> Iterator[str]:
    kinds = [one for one in library().values() if one.lake == lake]
    for genus in dict.fromkeys(one.genus for one in kinds):
        yield f"{genus} {', '.join(one.key.split(' ', 1)[1] for one in kinds if one.genus == genus)}"


MADE = {"fields": fields, "traits": traits, "species": species}  # what stands between which marks


def main() -> None:
    """Replace what stands between the marks."""
    text = REFERENCE.read_text(encoding="utf-8")
    for mark, make in MADE.items():
        before, rest = text.split(f"<!-- {mark} -->\n")
        after = rest.split(f"<!-- end of {mark} -->", 1)[1]
        text = f"{before}<!-- {mark} -->\n{make()}<!-- end of {mark} -->{after}"
    REFERENCE.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
