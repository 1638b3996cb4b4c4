"""Brings the table of fields in README.md up to date: ``python -m tests.readme_fields`` in the checkout."""

from __future__ import annotations

from pathlib import Path

from rockshy.sim.scenario.reading.limits import FIELDS

README = Path(__file__).resolve().parent.parent / "README.md"
BEGIN, END = "<!-- fields -->\n", "<!-- end of fields -->"


def table() -> str:
    """Every declared field of a scenario file: what it is, what is allowed, what holds without it."""
    rows = [f"| `{one.name}` | {one.meaning} | {one.say()} | {one.say_without()} |\n" for one in FIELDS]
    return "| name | what it is | allowed | without it |\n|---|---|---|---|\n" + "".join(rows)


def main() -> None:
    """Replace what stands between the marks."""
    before, rest = README.read_text(encoding="utf-8").split(BEGIN)
    after = rest.split(END, 1)[1]
    README.write_text(before + BEGIN + table() + END + after, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
