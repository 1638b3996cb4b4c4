"""Any layout and any run of changes: nothing is half made."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_drafts import DRAFTS, in_row, setting
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.editing.text import Sheet
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import view_of

SLOW = settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
NAMES = sorted(DRAFTS)
TEMPER = {"do": "trait", "species": "Tropheus duboisi", "name": "temper"}


# ---- any layout


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


@pytest.mark.parametrize("layout", sorted(ODD))
def test_any_layout_can_be_changed_and_changed_back(layout: str) -> None:
    draft = Draft(ODD[layout], "odd.toml")
    comments = {line.split("#")[1] for line in draft.text.split("\n") if "#" in line}
    changes = [
        (setting("tank.temperature", "78 F"), setting("tank.temperature", None)),
        (setting("tank.length", "48 in"), setting("tank.length", 100)),
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


# ---- any change


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
        assert not top.startswith("#") or top in draft.text
