"""Drafts shared by the tests of the page: the big example of REFERENCE.md, copies, a stock list."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from rockshy import scenarios
from rockshy.analysis.page.editing.bench import alike
from rockshy.analysis.page.editing.edits import edited
from rockshy.analysis.page.task import Draft, StockList
from rockshy.analysis.page.viewing.view import scenario_of

REFERENCE = Path(scenarios.__file__).with_name("REFERENCE.md")


def whole_example() -> str:
    """The example that uses almost every name."""
    blocks = re.findall(r"```toml\n(.*?)```", REFERENCE.read_text(encoding="utf-8"), re.DOTALL)
    return next(block for block in blocks if block.startswith('title = "Long tank'))


def listed_alternatives() -> str:
    """The alternatives of REFERENCE.md, beside the stock that they are changes of."""
    blocks = re.findall(r"```text\n(\[\[alternative.*?)```", REFERENCE.read_text(encoding="utf-8"), re.DOTALL)
    return scenarios.text("mild-with-hot") + "\n" + blocks[0]


def drafts() -> dict[str, Draft]:
    """Every ready scenario and the examples of REFERENCE.md."""
    found = {name: Draft(scenarios.text(name), f"{name}.toml") for name in scenarios.names()}
    found["whole"] = Draft(whole_example(), "long.toml")
    found["alternatives"] = Draft(listed_alternatives(), "others.toml")
    listed = whole_example()
    listed = listed[: listed.index("[[stock]]")] + listed[listed.index('[species."stair mbuna"]') :]
    rows = "Fish;Sex;Size;Added\nrusty cichlid;2m5f;3-3.5 in;\nLabidochromis caeruleus;6 juv;5-7 cm;4\n"
    found["listed"] = Draft(
        'stock_list = "stock.csv"\n' + listed, "listed.toml", StockList("stock.csv", rows)
    )
    return found


DRAFTS = drafts()
SMALL = """# A tank to try things in.
title = "Small"

[tank]
length = "48 in"   # a comment that stays
front_to_back = "45 cm"
height = "50 cm"

[rock]
cover = "40 %"
height = "30 cm"

# the mild ones
[[stock]]
species = "Tropheus duboisi"
males = 1
females = 3
length = "3-3.5 in"

# and the others
[[stock]]
species = "Petrochromis trewavasae"
males = 2
females = 4

[run]
days = 2
trials = 8
guesses = 4
"""


def small(more: str = "") -> Draft:
    return Draft(SMALL + more, "small.toml")


def same(one: Draft, other: Draft) -> bool:
    """Whether two drafts read alike: tank, rock, stock, run, species, and each alternative."""
    a, b = scenario_of(one), scenario_of(other)
    heads = [(of.title, of.question, of.argument, of.run.watch) for of in (a, b)]
    copies = zip(a.alternatives, b.alternatives, strict=True)
    alternatives = all(c.name == d.name and alike(c.scenario, d.scenario) for c, d in copies)
    return heads[0] == heads[1] and alike(a, b) and alternatives


def one(change: dict[str, Any], draft: Draft | None = None, which: int = 0) -> str:
    """The text after one change."""
    return edited(draft or small(), which, [change]).text


def setting(field: str, value: object) -> dict[str, Any]:
    """The change that sets a field."""
    return {"do": "set", "field": field, "value": value}


def in_row(row: object, field: str, value: object) -> dict[str, Any]:
    """The change that sets a field of a row of the stock."""
    return {"do": "row", "row": row, "field": field, "value": value}


def lines_gone_and_new(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines of one text that the other lacks, both ways."""
    old, new = before.split("\n"), after.split("\n")
    return [line for line in old if line not in new], [line for line in new if line not in old]
