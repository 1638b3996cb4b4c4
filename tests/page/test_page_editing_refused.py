"""Changes that mean nothing are refused in words, all or none."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from page_drafts import SMALL, in_row, setting, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import view_of
from rockshy.sim.scenario.reading.limits import MOST_BYTES, MOST_SKETCH

DUBOISI = "Tropheus duboisi"


# ---- refusals


ROW, OBJECTS, SKETCH = {"do": "add row"}, {"do": "objects"}, {"do": "sketch"}
TRAIT = {"do": "trait", "species": DUBOISI, "name": "temper", "value": 1}
NOTHING: tuple[tuple[dict[str, Any], str], ...] = (
    ({"do": "jump"}, 'do: found "jump"; allowed: set, sketch'),
    ({}, "do: found None"),
    (setting("tank.lenght", 3), 'field: found "tank.lenght"; allowed: title'),
    (setting("tank.length", [1]), "tank.length: found"),
    (setting("copy.name", "x"), "allowed: one of its copies"),
    *(
        ({"do": do, "name": "x"}, f"{do}: found the tank as it is")
        for do in ("rename", "drop copy", "keep copy")
    ),
    (in_row(7, "males", 1), "row: found 7; allowed: 0 to 1"),
    (in_row(True, "males", 1), "row: found true"),
    (in_row(0, "colour", 1), 'field: found "colour"; allowed: species, males'),
    ({**ROW, "values": {"colour": 1}}, 'field: found "colour"'),
    ({**ROW, "values": {}}, "values: found nothing"),
    ({"do": "drop row", "row": None}, "row: found None"),
    ({**SKETCH, "rows": "0012"}, "rows: found"),
    ({**SKETCH, "rows": []}, "rows: found 0"),
    ({**SKETCH, "rows": ["0" * (MOST_SKETCH + 1)]}, "rows of at most 200 digits"),
    ({**OBJECTS, "objects": [{"shape": 1}]}, 'unknown name "shape"'),
    ({**OBJECTS, "objects": [{"kind": "wood"}] * 51}, "objects: found 51; allowed: at most 50"),
    ({**TRAIT, "species": "no fish"}, 'species: found "no fish"'),
    ({**TRAIT, "name": "tempr"}, "did you mean temper"),
    ({**TRAIT, "value": {"middle": 1}}, 'unknown name "middle"'),
    ({"do": "text", "text": "x" * (MOST_BYTES + 1)}, "the file: found 1000001 bytes"),
    ({"do": "copy", "of": 3}, "which: found copy 3; allowed: 0"),
    ({"do": "copy", "name": ""}, "name: found"),
)


@pytest.mark.parametrize(("change", "said"), NOTHING)
def test_what_means_nothing_is_refused_in_words(change: dict[str, Any], said: str) -> None:
    with pytest.raises(EditError) as caught:
        edited(small(), 0, [setting("tank.length", 99), change])
    assert said in str(caught.value) and "allowed" in str(caught.value)


def test_a_copy_that_is_not_there_and_a_text_that_is_no_toml() -> None:
    with pytest.raises(EditError, match="found copy 2"):
        edited(small(), 2, [setting("tank.length", 99)])
    broken = Draft(SMALL + "[tank\n", "x.toml")
    with pytest.raises(EditError, match="line 30"):
        edited(broken, 0, [setting("tank.length", 99)])
    assert edited(broken, 0, [{"do": "text", "text": SMALL}]).text == SMALL
    with pytest.raises(EditError, match="at most 200 in one go"):
        edited(small(), 0, [setting("tank.length", 99)] * 201)


def test_what_a_copy_cannot_be_is_refused_with_the_readers_words() -> None:
    draft = edited(small('watch = "Tropheus duboisi"\n'), 0, [{"do": "copy"}])
    with pytest.raises(EditError, match="no Tropheus duboisi left, the mild species that is watched"):
        edited(draft, 1, [{"do": "drop row", "row": 0}])
    with pytest.raises(EditError, match="121 fish in all; allowed: at most 120"):
        edited(draft, 1, [in_row(0, "males", 112)])
    with pytest.raises(EditError, match="take the row out"):
        edited(draft, 1, [in_row(0, "females", 0), in_row(0, "males", 0)])
    with pytest.raises(EditError, match=r'^species: found "Tropheus morii".*nearest: Tropheus moorii$'):
        edited(draft, 1, [in_row(1, "species", "Tropheus morii")])
    with pytest.raises(EditError, match=r"^length: found .*allowed: a length from 1 cm"):
        edited(draft, 1, [{"do": "add row", "values": {"species": DUBOISI, "males": 1, "length": "90 m"}}])
    bad = edited(draft, 0, [setting("tank.length", "wide")])
    with pytest.raises(EditError, match="put these right first"):
        edited(bad, 1, [in_row(0, "males", 2)])


def test_what_tank_and_copies_share_is_set_for_all() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    after = edited(draft, 1, [setting("run.seed", 9), setting("title", "Both")])
    values = tomllib.loads(after.text)
    assert (values["run"]["seed"], values["title"]) == (9, "Both")
    assert set(values["alternative"][0]) == {"name"}
    assert view_of(after, 1)["fields"]["run.seed"]["shared"]
