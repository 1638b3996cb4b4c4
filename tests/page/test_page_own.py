"""A tank of one's own: begun empty, freed of a demo's words, shown alive, watched in life."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest
from page_drafts import in_row
from rockshy import scenarios
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.editing.edits import EditError, edited_and_said
from rockshy.analysis.page.editing.owning import NAME, TITLE, empty_tank
from rockshy.analysis.page.serving.first import ready_draft
from rockshy.analysis.page.viewing.view import scenario_of, view_of
from rockshy.analysis.page.work.living import living
from rockshy.analysis.page.work.watching import watching_told
from rockshy.sim.run.model import HaltedError

SIDES = {"length": "60 cm", "front_to_back": "30 cm", "height": "30 cm"}


def test_an_empty_tank_has_its_sides_and_nothing_wrong() -> None:
    draft = empty_tank(SIDES)
    assert tomllib.loads(draft.text) == {"title": TITLE, "tank": SIDES} and draft.name == NAME
    view = view_of(draft, 0)
    assert view["empty"] and view["problems"] == [] and view["time"] is None
    row = {"do": "add row", "values": {"species": "Tropheus duboisi", "males": 1, "day": 2}}
    view = view_of(edited_and_said(draft, 0, [row])[0], 0)
    assert view["good"] and not view["empty"]
    assert view["time"] == {
        "days": 4,
        "months": None,
        "measured_from": 3.0,
        "events": [{"day": 2.0, "text": "Tropheus duboisi male 1 added"}],
    }


@pytest.mark.parametrize(
    ("sides", "said"),
    [
        ({**SIDES, "length": "4 f"}, '"4 f" is not valid'),
        ({**SIDES, "length": "48 in", "height": 21}, "21 is not valid; use a unit"),
        ({"length": "60 cm"}, "front to back is missing"),
    ],
)
def test_a_side_that_cannot_be_is_refused_in_words(sides: dict[str, Any], said: str) -> None:
    with pytest.raises(EditError, match=re.escape(said)):
        empty_tank(sides)


def test_what_is_true_of_a_demo_only_leaves_with_its_fish() -> None:
    demo = ready_draft(scenarios.DEMO)
    same, said = edited_and_said(demo, 0, [in_row(0, "males", 1)])
    assert tomllib.loads(same.text)["title"] != TITLE and said == [] and "#" in same.text
    own, said = edited_and_said(demo, 0, [{"do": "drop row", "row": 0}])
    told = tomllib.loads(own.text)
    assert told["title"] == TITLE and own.name == NAME and "#" not in own.text
    assert "question" not in told and "watch" not in told["run"]
    assert any("The fish you asked about are gone: Pseudosimochromis curvifrons" in one for one in said)
    assert scenario_of(own).stock[0].species == "Petrochromis trewavasae"


def test_alternatives_of_a_demo_leave_with_its_fish() -> None:
    demo = ready_draft("which-change")
    assert "alternative" in tomllib.loads(demo.text)
    row = {"do": "add row", "values": {"species": "acei", "unsexed": 2}}
    own, _ = edited_and_said(demo, 0, [row])
    told = tomllib.loads(own.text)
    assert "alternative" not in told and told["title"] == TITLE
    assert [one["species"] for one in told["stock"]][-1] == "acei"


FEW = """
title = "Ledgewater club, corner tank"
[tank]
length = "60 cm"
front_to_back = "30 cm"
height = "30 cm"
[[stock]]
species = "duboisi"
males = 1
females = 2
[run]
days = 0.2
settle = 0
trials = 2
[[alternative]]
name = "one female less"
recount = [{ species = "Tropheus duboisi", females = 1 }]
"""


def test_tanks_side_by_side_are_one_film_on_one_clock_and_the_day_is_held_within_the_run() -> None:
    from rockshy.sim.scenario.reading import parse

    scenario = parse(FEW, name="few.toml", folder=None)
    told = living(scenario, [0, 1], day=9)
    assert told["day"] == 1
    first, second = told["film"]["tanks"]
    assert (len(first["fish"]), len(second["fish"])) == (3, 2) and second["name"] == "one female less"
    assert 0 < told["film"]["seconds"] <= 480
    assert told["film"]["species"][0]["called"] == "duboisi"
    with pytest.raises(RefusedError, match="use 1 to 4"):
        living(scenario, [])
    with pytest.raises(RefusedError, match="use a whole number from 0"):
        living(scenario, [2])
    with pytest.raises(HaltedError):
        living(scenario, [0], halted=lambda: True)


def test_the_page_for_a_phone_asks_nobody_and_names_stand_in_it_as_data() -> None:
    from rockshy.sim.scenario.reading import parse

    nasty = FEW.replace("corner tank", "<img src=x onerror=alert(1)>")
    told = watching_told(parse(nasty, name="few.toml", folder=None))
    assert [one["fish"] for one in told["lines"]] == [1, 1, 1]
    assert "<img" not in told["page"] and "default-src 'none'" in told["page"]
    assert not re.search(r"(src|href)=\"?http", told["page"])
