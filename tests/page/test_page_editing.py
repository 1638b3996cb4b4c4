"""Changes to a draft: text and layout stay, every change can be taken back; values and rock."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_drafts import DRAFTS, SMALL, in_row, lines_gone_and_new, one, same, setting, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.editing.written import number, written
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.fields import as_written
from rockshy.analysis.page.viewing.view import scenario_of, view_of

SLOW = settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
NAMES = sorted(DRAFTS)


FIELDS = {
    "tank.length": "100 in",
    "tank.temperature": "75 F",
    "tank.cell": 6,
    "run.seed": 1234567,
    "run.trials": 40,
    "run.fixed": True,
    "title": 'A "new" name\\',
    "rock.piece_size": "5 in",
}


@pytest.mark.parametrize("name", NAMES)
def test_a_field_set_and_set_back_is_the_same_file(name: str) -> None:
    draft = DRAFTS[name]
    for field, value in FIELDS.items():
        before = as_written(tomllib.loads(draft.text), field)
        changed = edited(draft, 0, [setting(field, value)])
        assert as_written(tomllib.loads(changed.text), field) == value
        again = edited(changed, 0, [setting(field, before)])
        assert again.text == draft.text and same(again, draft)


@pytest.mark.parametrize(
    ("change", "above", "line"),
    [
        (setting("tank.water_level", "18 in"), 'height = "50 cm"', 'water_level = "18 in"'),
        (setting("question", "Why?"), 'title = "Small"', 'question = "Why?"'),
        (setting("rock.piles", 3), 'height = "30 cm"', "piles = 3"),
        (setting("run.settle", 0.5), "days = 2", "settle = 0.5"),
        (in_row(1, "length", [8, 10]), "females = 4", "length = [8, 10]"),
        (in_row(0, "holding", 1), "females = 3", "holding = 1"),
        (in_row(0, "out", 0.1 + 0.2), 'length = "3-3.5 in"', "out = 0.3"),
    ],
)
def test_a_new_key_stands_in_its_order(change: dict[str, Any], above: str, line: str) -> None:
    after = one(change)
    assert f"{above}\n{line}\n" in after
    assert lines_gone_and_new(SMALL, after) == ([], [line])


def test_new_tables_stand_in_their_order() -> None:
    after = one({"do": "trait", "species": "duboisi", "name": "temper", "value": 0.7})
    assert 'females = 4\n\n[species."Tropheus duboisi"]\ntemper = 0.7\n\n[run]\n' in after
    bare = SMALL[: SMALL.index("[rock]")] + SMALL[SMALL.index("# the mild ones") :]
    after = one({"do": "cover", "cover": "30 %", "height": 20}, Draft(bare, "bare.toml"))
    assert 'height = "50 cm"\n\n[rock]\ncover = "30 %"\nheight = 20\n\n# the mild ones\n[[stock]]' in after
    headless = "# of the club\n" + SMALL[SMALL.index("[tank]") :]
    assert one(setting("title", "T"), Draft(headless, "h.toml")).startswith(
        'title = "T"\n\n# of the club\n[tank]'
    )


def test_rock_is_piled_nearly_to_the_surface_where_no_height_is_typed() -> None:
    draft = Draft(SMALL, "small.toml")
    for changes in ([{"do": "bare"}, {"do": "cover", "cover": "30 %"}], [setting("rock.height", None)]):
        new = edited(draft, 0, changes)
        assert "height" not in new.text[new.text.index("[rock]") : new.text.index("[[stock]]")]
        assert view_of(new, 0)["fields"]["rock.height"]["value"] == 42
    assert 'height = "30 cm"' not in one({"do": "cover", "height": "42 cm"}), "which holds without it"


def test_line_ends_and_the_byte_order_mark_stay() -> None:
    windows = "\ufeff" + SMALL.replace("\n", "\r\n")
    draft = Draft(windows, "w.toml")
    changes = [
        setting("tank.water_level", "18 in"),
        {"do": "sketch", "rows": ["01", "10"], "step": "4 in"},
        {"do": "add row", "values": {"species": "afra cichlid", "males": 1}},
        {"do": "drop row", "row": 0},
        {"do": "copy"},
    ]
    after = edited(draft, 0, changes).text
    assert after.startswith("\ufeff#") and "\n" not in after.replace("\r\n", "")
    assert view_of(Draft(after, "w.toml"), 1)["good"]


def test_a_file_without_a_last_line_end() -> None:
    draft = Draft(SMALL.rstrip("\n"), "s.toml")
    assert one(setting("run.seed", 3), draft).endswith("guesses = 4\nseed = 3\n")
    assert one({"do": "copy", "name": "x"}, draft).endswith('guesses = 4\n\n[[alternative]]\nname = "x"\n')


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.1 + 0.2, "0.3"), (122.0, "122"), (3, "3"), (True, "true"), (1 / 3, "0.333333333333"),
        (2**53, "9007199254740992"), ("4 ft 6 in", '"4 ft 6 in"'), ([8, 10.5], "[8, 10.5]"),
        ({"value": 1.5, "low": 1}, "{ value = 1.5, low = 1 }"),
    ],
)  # fmt: skip
def test_values_are_written_short(value: object, text: str) -> None:
    assert written(value) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 10**30, "x" * 5000, "\ud800", object(), None])
def test_what_no_file_can_hold_is_refused(value: object) -> None:
    with pytest.raises(EditError, match="; use "):
        written(value)


@given(st.one_of(st.text(), st.floats(-1e15, 1e15), st.integers(-(2**53), 2**53)))
@SLOW
def test_any_value_is_read_back(value: object) -> None:
    if isinstance(value, float):
        got = float(tomllib.loads(f"a = {number(value)}")["a"])
        assert got == pytest.approx(value, rel=1e-11, abs=1e-300)
    else:
        assert tomllib.loads(f"a = {written(value)}")["a"] == value


@given(st.text(min_size=1, max_size=60))
@SLOW
def test_any_text_is_a_title_and_the_name_of_a_copy(text: str) -> None:
    """Markup, quotes, right-to-left signs and control characters are text and nothing else."""
    draft = edited(small(), 0, [setting("title", text), {"do": "copy", "name": text + "x"}])
    values = tomllib.loads(draft.text)
    assert values["title"] == text and values["alternative"][0]["name"] == text + "x"
    assert view_of(draft, 1)["fields"]["title"]["written"] == text


def test_a_sketch_takes_the_place_of_a_cover_and_the_other_way_round() -> None:
    sketched = edited(small(), 0, [{"do": "sketch", "rows": ["0012", "0010"], "step": "4 in"}])
    values = tomllib.loads(sketched.text)
    assert values["rock"] == {"sketch": ["0012", "0010"], "sketch_step": "4 in"}
    assert '[rock]\nsketch = [\n  "0012",\n  "0010",\n]\nsketch_step = "4 in"\n' in sketched.text
    again = edited(sketched, 0, [{"do": "cover", "cover": "40 %", "height": "30 cm", "piles": None}])
    assert again.text == SMALL
    bare = edited(sketched, 0, [{"do": "bare"}])
    assert "rock" not in tomllib.loads(bare.text)
    assert scenario_of(bare).rock.sketch is None and scenario_of(bare).rock.cover == 0


def test_what_hangs_on_a_cover_leaves_with_it() -> None:
    draft = DRAFTS["whole"]
    after = tomllib.loads(one({"do": "sketch", "rows": ["01"], "step": None}, draft))["rock"]
    assert set(after) == {"sketch", "piece_size", "object"}
    bare = tomllib.loads(one({"do": "bare"}, draft))["rock"]
    assert set(bare) == {"piece_size", "object"}


def test_objects_that_stay_are_left_as_they_are_written() -> None:
    draft = DRAFTS["whole"]
    objects = view_of(draft, 0)["rock"]["objects"]
    assert one({"do": "objects", "objects": objects}, draft) == draft.text
    heater = {
        "kind": "heater",
        "from_left": 1,
        "from_front": 2,
        "above_base": 0,
        "length": 3,
        "front_to_back": 3,
    }
    more = one({"do": "objects", "objects": [*objects, {**heater, "height": "8 in"}]}, draft)
    assert more.count("[[rock.object]]") == 2 and "above_base = 0" not in more
    assert lines_gone_and_new(draft.text, more)[0] == []
    moved = one({"do": "objects", "objects": [{**objects[0], "from_left": "60 in"}]}, draft)
    assert lines_gone_and_new(draft.text, moved)[1] == ['from_left = "60 in"             # its left end']
    assert "object" not in tomllib.loads(one({"do": "objects", "objects": []}, draft))["rock"]


def test_rock_of_a_copy_is_what_differs() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    covered = edited(draft, 1, [{"do": "cover", "cover": "60 %", "height": "30 cm"}])
    assert 'rock = { cover = "60 %" }' in covered.text
    assert edited(covered, 1, [{"do": "cover", "cover": 0.4, "height": 30}]).text == draft.text
    sketched = edited(covered, 1, [{"do": "sketch", "rows": ["01", "10"], "step": 5}])
    copy = tomllib.loads(sketched.text)["alternative"][0]
    assert copy["rock"] == {"sketch": ["01", "10"]}
    assert [view_of(sketched, k)["rock"]["kind"] for k in (0, 1)] == ["drawn", "sketch"]
    bare = edited(sketched, 1, [{"do": "bare"}])
    assert view_of(bare, 1)["rock"]["kind"] == "none" and "rock = { cover = 0 }" in bare.text
    assert edited(bare, 1, [{"do": "cover", "cover": "40 %"}]).text == draft.text


def test_a_sketched_tank_has_bare_and_covered_copies() -> None:
    draft = edited(small(), 0, [{"do": "sketch", "rows": ["01", "10"], "step": None}, {"do": "copy"}])
    for change, kind in (({"do": "bare"}, "none"), ({"do": "cover", "cover": 0.3, "height": 20}, "drawn")):
        after = edited(draft, 1, [change])
        assert view_of(after, 1)["good"] and view_of(after, 1)["rock"]["kind"] == kind
        assert view_of(after, 0)["rock"]["sketch"] == ["01", "10"]
    same_sketch = edited(draft, 1, [{"do": "sketch", "rows": ["01", "10"], "step": None}])
    assert same_sketch.text == draft.text
