"""What a change leaves alone, in any layout and after any run of changes: nothing is half made."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_drafts import DRAFTS, SMALL, in_row, lines_gone_and_new, one, setting, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.editing.owning import TITLE
from rockshy.analysis.page.editing.text import Sheet
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import view_of

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


SLOW = settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
NAMES = sorted(DRAFTS)
TEMPER = {"do": "trait", "species": "Tropheus duboisi", "name": "temper"}


TANK = "length = 100\nfront_to_back = 40\nheight = 45 # rim\n"
ROCK = "[rock]\ncover = 0.3\nheight = 20\n"
ODD = {
    "dotted": """tank.length = 100
tank.front_to_back = 40
tank.height = 45 # rim
rock.cover = 0.3
rock.height = 20
[[stock]]
species = "duboisi"
males = 2
""",
    "inline": """rock = { cover = 0.3, height = 20 } # in braces
tank = {length = 100, front_to_back = 40, height = 45}
stock = [{species = "duboisi", males = 2}]
alternative = [{name = "a", tank = {length = 120}}]
""",
    "lists": f"""stock = [
  {{ species = 'duboisi', males = 2 }}, # two
]
[tank]
{TANK}{ROCK}object = [
]
""",
    "headers": f"""[run]
[[stock]]
species = "duboisi"
males = 2
[[rock.object]]
kind = "wood"
from_left = 1
from_front = 1
length = 4
front_to_back = 4
height = 4
  [tank]
  {TANK.strip().replace(chr(10), chr(10) + "  ")}
{ROCK}[[alternative]]
name = "a"
[alternative.tank]
length = 120
[[alternative.add]]
species = "duboisi"
males = 1
[species]
""",
    "quoted": f"""["tank"]
"length" = 100
front_to_back = 40
'height' = 45
{ROCK}[['stock']]
species = \"\"\"duboisi\"\"\"
males = 2
[parameters]
chase.rate = 1
""",
}


@pytest.mark.parametrize("layout", ODD)
def test_a_side_in_inches_writes_cm_beside_the_bare_ones(layout: str) -> None:
    draft = edited(Draft(ODD[layout], "odd.toml"), 0, [setting("tank.length", "48 in")])
    tank = tomllib.loads(draft.text)["tank"]
    assert (tank["length"], tank["front_to_back"], tank["height"]) == ("48 in", "40 cm", "45 cm")


def test_a_bare_number_that_may_be_inches_is_asked_about_beside_inches() -> None:
    text = "[tank]\nlength = 120\nfront_to_back = 21\nheight = 50\n"
    draft = edited(Draft(text, "tank.toml"), 0, [setting("tank.length", "48 in")])
    tank = tomllib.loads(draft.text)["tank"]
    assert (tank["front_to_back"], tank["height"]) == (21, "50 cm")
    (asked,) = view_of(draft, 0)["fields"]["tank.front_to_back"]["problems"]
    assert '"21 in" or "21 cm"' in asked


@pytest.mark.parametrize("layout", sorted(ODD))
def test_any_layout_can_be_changed_and_changed_back(layout: str) -> None:
    draft = Draft(ODD[layout], "odd.toml")
    comments = {line.split("#")[1] for line in draft.text.split("\n") if "#" in line}
    changes = [
        (setting("tank.temperature", "78 F"), setting("tank.temperature", None)),
        (setting("tank.length", "122 cm"), setting("tank.length", 100)),
        (setting("run.seed", 7), setting("run.seed", None)),
        (setting("question", "Why?"), setting("question", None)),
        (in_row(0, "females", 4), in_row(0, "females", None)),
        ({"do": "add row", "values": {"species": "rusty cichlid", "males": 1}}, {"do": "drop row", "row": 1}),
        ({"do": "sketch", "rows": ["01", "10"], "step": 4}, {"do": "cover", "cover": 0.3, "height": 20}),
        ({**TEMPER, "species": "duboisi", "value": {"value": 1, "low": 0.5}}, {**TEMPER, "value": None}),
    ]
    for there, back in changes:
        changed = edited(draft, 0, [there])
        assert tomllib.loads(changed.text) != tomllib.loads(draft.text)
        again = tomllib.loads(edited(changed, 0, [back]).text)
        before = tomllib.loads(draft.text)
        assert {k: v for k, v in again.items() if v} == {k: v for k, v in before.items() if v}
        assert {line.split("#")[1] for line in changed.text.split("\n") if "#" in line} == comments
    copy = edited(draft, 0, [{"do": "copy"}])
    which = len(tomllib.loads(copy.text)["alternative"])
    longer = edited(copy, which, [setting("tank.length", 140)])
    assert tomllib.loads(longer.text)["alternative"][-1]["tank"] == {"length": 140}
    assert tomllib.loads(edited(longer, which, [{"do": "drop copy"}]).text) == tomllib.loads(draft.text)


SET = (
    ("tank.length", "60 in"), ("tank.height", 55), ("tank.height", None), ("tank.water_level", "16 in"),
    ("tank.temperature", "25 C"), ("tank.volume", None), ("rock.piles", 2), ("rock.rescape_day", 1),
    ("rock.rescape_day", None), ("run.days", 4), ("run.settle", None), ("run.watch", None),
)  # fmt: skip
ROWS = (
    (0, "males", 3), (0, "females", 0), (1, "length", "3 in"), (1, "day", 2), (1, "out", None),
    (0, "species", "Tropheus moorii"),
)  # fmt: skip
CHANGES = [
    *(setting(*one) for one in SET),
    *(in_row(*one) for one in ROWS),
    *({"do": do} for do in ("bare", "copy", "drop copy", "keep copy")),
    *({**TEMPER, "value": value} for value in (0.5, None)),
    {"do": "sketch", "rows": ["0123", "0010"], "step": "3 in"},
    {"do": "cover", "cover": "25 %", "height": "10 in", "piles": 2},
    {"do": "objects", "objects": []},
    {"do": "add row", "values": {"species": "Eretmodus cyanostictus", "males": 1, "females": 1}},
    {"do": "drop row", "row": 1},
    {"do": "rename", "name": "another"},
]


@SLOW
@given(st.sampled_from(NAMES), st.lists(st.sampled_from(CHANGES), min_size=1, max_size=6), st.integers(0, 3))
def test_any_changes_one_after_another(name: str, changes: list[dict[str, Any]], which: int) -> None:
    """Each is made or refused in words; the text stays TOML with all comments of what stays."""
    draft = DRAFTS[name]
    for change in changes:
        try:
            draft = edited(draft, which, [change])
        except EditError as error:
            assert str(error)
        values = tomllib.loads(draft.text)
        view = view_of(draft, which)
        assert view["which"] <= len(values.get("alternative", []))
        assert Sheet(draft.text).text == draft.text
        top = DRAFTS[name].text.split("\n")[0]
        is_own = values.get("title") == TITLE  # a demo with other fish, of which its comments do not hold
        assert not top.startswith("#") or top in draft.text or is_own
