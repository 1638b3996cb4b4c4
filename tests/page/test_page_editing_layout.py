"""What a change leaves alone: rows that stand apart, comments, spelling, line ends of every kind."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from page_drafts import SMALL, in_row, lines_gone_and_new, one, setting, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.editing.text import Sheet
from rockshy.analysis.page.task import Draft

APART = SMALL.replace(
    "[run]",
    """[run]   # in between
trials = 8

# last, since it was forgotten
[[stock]] # a pair
species = 'Simochromis diagramma'
males = 1_0

[ parameters ] # nothing yet

# end of the file""",
    1,
).replace("\ntrials = 8\nguesses = 4\n", "\n")
APART = APART[: APART.index("# end of the file")] + "# end of the file\n"
COPY = """
[[alternative]]
name = "fewer" # as agreed
recount = [{species = 'Petrochromis trewavasae', males = 1}]  # of both
add = [
  # from a friend
  { species = 'Simochromis diagramma', females = 2 }, # two
  { species = "Simochromis diagramma", females = 3 } # and three
]
"""


def test_rows_that_stand_apart_stay_where_they_are() -> None:
    draft = Draft(APART, "apart.toml")
    assert lines_gone_and_new(APART, one(in_row(2, "males", 9), draft)) == (["males = 1_0"], ["males = 9"])
    assert lines_gone_and_new(APART, one(in_row(2, "length", "8 cm"), draft))[0] == []
    gone = one({"do": "drop row", "row": 2}, draft)
    left = ["# last, since it was forgotten", "[[stock]] # a pair", "species = 'Simochromis diagramma'"]
    assert lines_gone_and_new(APART, gone) == ([*left, "males = 1_0"], [])
    assert gone.endswith("trials = 8\n\n[ parameters ] # nothing yet\n\n# end of the file\n")
    more = one({"do": "add row", "values": {"species": "rusty cichlid", "males": 1}}, draft)
    assert 'males = 1_0\n\n[[stock]]\nspecies = "rusty cichlid"\nmales = 1\n\n[ parameters ]' in more


def test_a_row_beside_rows_with_headers_gets_one() -> None:
    draft = small(
        '\n[[alternative]]\nname = "a"\n\n[[alternative.add]] # one\nspecies = "Simochromis diagramma"\n'
        'males = 1\n\n[alternative.tank]\nlength = 150\n\n[[alternative]]\nname = "b"\n'
    )
    more = one({"do": "add row", "values": {"species": "Tropheus moorii", "males": 2}}, draft, 1)
    assert (
        'males = 1\n\n[[alternative.add]]\nspecies = "Tropheus moorii"\nmales = 2\n\n[alternative.t' in more
    )
    assert one({"do": "drop row", "row": 3}, Draft(more, "a.toml"), 1) == draft.text


def test_of_two_rows_that_say_the_same_the_one_that_is_meant_leaves() -> None:
    twice = SMALL.replace("[run]", "# from a friend\n[[stock]]\n" + "species = 'rusty'\nmales = 1\n\n[run]")
    twice = twice.replace(
        "# from a friend", "# my own\n[[stock]]\nspecies = 'rusty'\nmales = 1\n\n# from a friend"
    )
    fewer = one({"do": "drop row", "row": 2}, Draft(twice, "twice.toml"))
    assert lines_gone_and_new(twice, fewer) == (["# my own"], [])


def test_rows_that_stay_keep_their_comments_when_one_above_them_leaves() -> None:
    gone = 'remove = [{ species = "Tropheus duboisi" }]\nrun = { watch = "Petrochromis trewavasae" }\n'
    draft = small(f'\n[[alternative]]\nname = "a"\n{gone}')
    kept = one({"do": "keep copy"}, draft, 1)
    assert "# and the others\n[[stock]]" in kept and "# the mild ones" not in kept
    first = '  { species = "Tropheus duboisi", fish = "female 3" }, # old'
    second = '  { species = "Petrochromis trewavasae", fish = "male 2" }, # wild'
    lists = small(f'\n[[alternative]]\nname = "a"\nremove = [\n{first}\n{second}\n]\n')
    assert lines_gone_and_new(lists.text, one(in_row(0, "females", 3), lists, 1)) == ([first], [])


def test_changes_of_a_copy_keep_their_comments_and_spelling() -> None:
    draft = small(COPY)
    changed = one(in_row(1, "males", 2), draft, 1)
    assert "recount" not in changed
    changed = one(in_row(1, "females", 3), draft, 1)
    assert lines_gone_and_new(draft.text, changed) == (
        ["recount = [{species = 'Petrochromis trewavasae', males = 1}]  # of both"],
        ["recount = [{ species = 'Petrochromis trewavasae', males = 1, females = 3 }]  # of both"],
    )
    more = one({"do": "add row", "values": {"species": "rusty cichlid", "males": 1}}, draft, 1)
    gone, new = lines_gone_and_new(draft.text, more)
    assert len(gone) == 1 and "# and three" in gone[0]
    assert any("# and three" in line for line in new) and len(new) == 2
    copy = tomllib.loads(more)["alternative"][0]
    assert [row["species"] for row in copy["add"]] == ["Simochromis diagramma"] * 2 + [
        "Iodotropheus sprengerae"
    ]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_line_ends_of_two_kinds_stay_as_they_are(line_end: str) -> None:
    mixed = line_end.join(SMALL.split("\n")[:12]) + "\r\n" + "\n".join(SMALL.split("\n")[12:])
    assert Sheet(mixed).text == mixed
    changed = one(setting("run.days", 3), Draft(mixed, "mixed.toml"))
    assert changed == mixed.replace("days = 2", "days = 3")


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ("tank = 3\n", setting("tank.length", 60)),
        ("rock = [1]\n", setting("rock.cover", 0.2)),
        ("species = 1\n", {"do": "trait", "species": "duboisi", "name": "temper", "value": 1}),
        ("stock = [1, 2]\n", in_row(0, "males", 2)),
    ],
)
def test_what_stands_in_the_place_of_a_table_is_left_and_said(text: str, change: dict[str, Any]) -> None:
    with pytest.raises(EditError, match="change the file as text"):
        edited(Draft(text, "odd.toml"), 0, [change])


def test_long_lists_go_on_over_several_lines() -> None:
    recount = 'recount = [{ species = "Tropheus duboisi", males = 2, females = 5 }] # one'
    draft = small(f'\n[[alternative]]\nname = "a"\n{recount}\n')
    changed = one(in_row(1, "females", 3), draft, 1)
    assert (
        'recount = [\n  { species = "Tropheus duboisi", males = 2, females = 5 },\n'
        '  { species = "Petrochromis trewavasae", females = 3 },\n] # one\n'
    ) in changed
    again = one(in_row(0, "males", 1), Draft(changed, "a.toml"), 1)
    assert tomllib.loads(again)["alternative"][0]["recount"] == [
        {"species": "Tropheus duboisi", "females": 5},
        {"species": "Petrochromis trewavasae", "females": 3},
    ]
