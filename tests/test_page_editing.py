"""Changes to a draft: text and layout stay, every change can be taken back, nothing is half made."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_drafts import DRAFTS, SMALL, same, small
from rockshy.analysis.page.editing import EditError, edited
from rockshy.analysis.page.editing_text import Sheet
from rockshy.analysis.page.editing_written import number, written
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.view import scenario_of, view_of
from rockshy.sim.reading.limits import MOST_BYTES, MOST_SKETCH

SLOW = settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
NAMES = sorted(DRAFTS)
DUBOISI, TREWAVASAE = "Tropheus duboisi", "Petrochromis trewavasae"


def one(change: dict[str, Any], draft: Draft | None = None, which: int = 0) -> str:
    """The text after one change."""
    return edited(draft or small(), which, [change]).text


def setting(field: str, value: object) -> dict[str, Any]:
    return {"do": "set", "field": field, "value": value}


def in_row(row: int, field: str, value: object) -> dict[str, Any]:
    return {"do": "row", "row": row, "field": field, "value": value}


def lines_gone_and_new(before: str, after: str) -> tuple[list[str], list[str]]:
    old, new = before.split("\n"), after.split("\n")
    return [line for line in old if line not in new], [line for line in new if line not in old]


# ---- the text stays as it is


@pytest.mark.parametrize("name", NAMES)
def test_an_untouched_file_stays_byte_for_byte(name: str) -> None:
    draft = DRAFTS[name]
    assert Sheet(draft.text).text == draft.text
    assert edited(draft, 0, []).text == draft.text
    assert edited(draft, 0, [{"do": "text", "text": draft.text}]) == draft


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("there", "back"),
    [
        ("tank.length", "100 in"),
        ("tank.temperature", "75 F"),
        ("tank.cell", 6),
        ("run.seed", 1234567),
        ("run.trials", 40),
        ("run.fixed", True),
        ("title", 'A "new" name\\'),
        ("rock.piece_size", "5 in"),
    ],
)
def test_a_field_set_and_set_back_is_the_same_file(name: str, there: str, back: object) -> None:
    draft = DRAFTS[name]
    before = view_of(draft, 0)["fields"][there]["written"]
    changed = edited(draft, 0, [setting(there, back)])
    assert view_of(changed, 0)["fields"][there]["written"] == back
    again = edited(changed, 0, [setting(there, before)])
    assert again.text == draft.text
    assert same(again, draft)


def test_one_value_is_one_cut() -> None:
    after = one(setting("tank.length", "5 ft"))
    assert lines_gone_and_new(SMALL, after) == (
        ['length = "48 in"   # a comment that stays'],
        ['length = "5 ft"   # a comment that stays'],
    )


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


# ---- numbers and text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.1 + 0.2, "0.3"),
        (122.0, "122"),
        (3, "3"),
        (True, "true"),
        (1 / 3, "0.333333333333"),
        (2**53, "9007199254740992"),
        ("4 ft 6 in", '"4 ft 6 in"'),
        ([8, 10.5], "[8, 10.5]"),
        ({"value": 1.5, "low": 1}, "{ value = 1.5, low = 1 }"),
    ],
)
def test_values_are_written_short(value: object, text: str) -> None:
    assert written(value) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 10**30, "x" * 5000, "\ud800", object(), None])
def test_what_no_file_can_hold_is_refused(value: object) -> None:
    with pytest.raises(EditError, match="allowed"):
        written(value)


@given(
    st.one_of(
        st.text(), st.floats(allow_nan=False, allow_infinity=False, width=32), st.integers(-(2**53), 2**53)
    )
)
@SLOW
def test_any_value_is_read_back(value: object) -> None:
    if isinstance(value, float):
        assert float(tomllib.loads(f"a = {number(value)}")["a"]) == pytest.approx(value, rel=1e-11)
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


# ---- rock


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
    draft = DRAFTS["readme"]
    after = tomllib.loads(one({"do": "sketch", "rows": ["01"], "step": None}, draft))["rock"]
    assert set(after) == {"sketch", "piece_size", "object"}
    bare = tomllib.loads(one({"do": "bare"}, draft))["rock"]
    assert set(bare) == {"piece_size", "object"}


def test_objects_that_stay_are_left_as_they_are_written() -> None:
    draft = DRAFTS["readme"]
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
    assert (
        view_of(sketched, 1)["rock"]["kind"] == "sketch" and view_of(sketched, 0)["rock"]["kind"] == "drawn"
    )
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


# ---- stock


def test_rows_come_change_and_go() -> None:
    draft = small()
    more = edited(
        draft, 0, [{"do": "add row", "values": {"males": 2, "species": "rusty cichlid", "day": None}}]
    )
    assert 'females = 4\n\n[[stock]]\nspecies = "rusty cichlid"\nmales = 2\n\n[run]' in more.text
    assert edited(more, 0, [{"do": "drop row", "row": 2}]).text == draft.text
    fewer = one({"do": "drop row", "row": 0}, draft)
    assert "# and the others\n[[stock]]" in fewer and "duboisi" not in fewer and "the mild ones" not in fewer
    assert one(in_row(0, "length", None), draft) == SMALL.replace('length = "3-3.5 in"\n', "")
    none = edited(draft, 0, [{"do": "drop row", "row": 0}, {"do": "drop row", "row": 0}])
    assert view_of(none, 0)["stock"] == [] and not view_of(none, 0)["good"]
    again = edited(none, 0, [{"do": "add row", "values": {"species": DUBOISI, "males": 1}}])
    assert view_of(again, 0)["good"]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("males", "three"),
        ("males", 2.5),
        ("species", "no such fish"),
        ("length", "long"),
        ("day", -1),
        ("males", True),
    ],
)
def test_a_bad_value_is_written_as_typed_and_shown_at_its_place(field: str, value: object) -> None:
    draft = edited(small(), 0, [in_row(1, field, value)])
    view = view_of(draft, 0)
    assert not view["good"] and view["problems"] == []
    assert "allowed" in view["stock"][1]["problems"][field][0]
    shown = view["stock"][1]["written" if field == "species" else field]
    assert (shown["written"] if field == "length" else shown) == value
    with pytest.raises(EditError, match="allowed"):  # a copy has no rows of its own to write it into
        edited(edited(small(), 0, [{"do": "copy"}]), 1, [in_row(1, field, value)])


def test_a_stock_list_is_written_into_the_file_once_it_is_edited() -> None:
    draft = DRAFTS["listed"]
    assert view_of(draft, 0)["stock_from_list"] and view_of(draft, 0)["stock"][0]["females"] == 5
    after = edited(draft, 0, [in_row(1, "day", 3)])
    assert after.stock_list is None and "stock_list" not in after.text
    assert tomllib.loads(after.text)["stock"] == [
        {"species": "rusty cichlid", "males": 2, "females": 5, "length": [7.62, 8.89]},
        {"species": "Labidochromis caeruleus", "unsexed": 6, "length": [5, 7], "day": 3},
    ]
    assert scenario_of(edited(after, 0, [in_row(1, "day", 4)])).stock == scenario_of(draft).stock
    lost = Draft(draft.text, draft.name)
    with pytest.raises(EditError, match='"stock.csv" is not here'):
        edited(lost, 0, [in_row(1, "day", 3)])


def test_stock_of_a_copy_is_the_changes_that_lead_to_it() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    fewer = edited(draft, 1, [in_row(1, "males", 1)])
    assert f'recount = [{{ species = "{TREWAVASAE}", males = 1 }}]' in fewer.text
    assert edited(fewer, 1, [in_row(1, "males", 2)]).text == draft.text
    later = edited(draft, 1, [in_row(1, "day", 2)])
    assert f'when = [{{ species = "{TREWAVASAE}", day = 2 }}]' in later.text
    other = edited(draft, 1, [in_row(1, "species", "blue featherfin")])
    assert f'replace = [{{ species = "{TREWAVASAE}", by = "Ophthalmotilapia ventralis" }}]' in other.text
    more = edited(
        draft,
        1,
        [{"do": "add row", "values": {"species": "julidochromis ornatus", "males": 1, "length": "2 in"}}],
    )
    assert 'add = [{ species = "Julidochromis ornatus", males = 1, length = "2 in" }]' in more.text
    assert view_of(more, 1)["stock"][2]["length"] == {"written": "2 in", "low": 5.08, "high": 5.08}
    gone = edited(more, 1, [{"do": "drop row", "row": 2}])
    assert gone.text == draft.text


def test_nobody_is_renumbered_in_a_copy() -> None:
    """A fish that leaves an early row keeps its number; those of later rows keep theirs."""
    text = SMALL.replace(
        "males = 2\nfemales = 4\n", 'males = 2\n\n[[stock]]\nspecies = "Petrochromis trewavasae"\nmales = 3\n'
    )
    draft = edited(Draft(text, "s.toml"), 0, [{"do": "copy"}])
    after = edited(draft, 1, [in_row(1, "males", 1)])
    assert f'remove = [{{ species = "{TREWAVASAE}", fish = "male 2" }}]' in after.text
    assert [row["males"] for row in view_of(after, 1)["stock"]] == [1, 1, 3]
    assert edited(after, 1, [in_row(1, "males", 2)]).text == draft.text
    gone = edited(draft, 1, [{"do": "drop row", "row": 1}])
    assert [(row["row"], row["males"]) for row in view_of(gone, 1)["stock"]] == [(0, 1), (2, 3)]
    assert edited(gone, 1, [in_row(2, "day", 1)]) and view_of(gone, 1)["good"]


# ---- traits


def test_traits_are_set_and_taken_back() -> None:
    draft = DRAFTS["readme"]
    own = {"value": 1.1, "low": 0.9, "high": 1.4}
    after = edited(
        draft, 0, [{"do": "trait", "species": "Iodotropheus sprengerae", "name": "temper", "value": own}]
    )
    assert '[species."rusty cichlid"]       # or change a species that the library has\n' in after.text
    assert view_of(after, 0)["traits"]["Iodotropheus sprengerae"] == {
        "timidity": {"value": 1.4},
        "temper": own,
    }
    back = edited(after, 0, [{"do": "trait", "species": "rusty cichlid", "name": "temper", "value": None}])
    assert back.text == draft.text
    lighter = edited(small(), 0, [{"do": "trait", "species": DUBOISI, "name": "mating", "value": "pair"}])
    assert scenario_of(lighter).species[DUBOISI].words["mating"].value == "pair"
    assert (
        edited(lighter, 0, [{"do": "trait", "species": DUBOISI, "name": "mating", "value": None}]).text
        == SMALL
    )
    mine = one({"do": "trait", "species": "stair mbuna", "name": "timidity", "value": 2}, draft)
    assert tomllib.loads(mine)["species"]["stair mbuna"]["timidity"] == 2


# ---- refusals


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"do": "jump"}, 'do: found "jump"; allowed: set, sketch'),
        ({}, "do: found None"),
        (setting("tank.lenght", 3), 'field: found "tank.lenght"; allowed: title'),
        (setting("tank.length", [1]), "tank.length: found"),
        (setting("copy.name", "x"), "allowed: one of its copies"),
        ({"do": "rename", "name": "x"}, "rename: found the tank as it is"),
        ({"do": "drop copy"}, "drop copy: found the tank as it is"),
        ({"do": "keep copy"}, "keep copy: found the tank as it is"),
        (in_row(7, "males", 1), "row: found 7; allowed: 0 to 1"),
        (in_row(True, "males", 1), "row: found true"),  # type: ignore[arg-type]
        (in_row(0, "colour", 1), 'field: found "colour"; allowed: species, males'),
        ({"do": "add row", "values": {"colour": 1}}, 'field: found "colour"'),
        ({"do": "add row", "values": {}}, "values: found nothing"),
        ({"do": "drop row", "row": None}, "row: found None"),
        ({"do": "sketch", "rows": "0012"}, "rows: found"),
        ({"do": "sketch", "rows": []}, "rows: found 0"),
        ({"do": "sketch", "rows": ["0" * (MOST_SKETCH + 1)]}, "rows of at most 200 digits"),
        ({"do": "objects", "objects": [{"shape": 1}]}, 'unknown name "shape"'),
        ({"do": "objects", "objects": [{"kind": "wood"}] * 51}, "objects: found 51; allowed: at most 50"),
        ({"do": "trait", "species": "no fish", "name": "temper", "value": 1}, 'species: found "no fish"'),
        ({"do": "trait", "species": DUBOISI, "name": "tempr", "value": 1}, "did you mean temper"),
        (
            {"do": "trait", "species": DUBOISI, "name": "temper", "value": {"middle": 1}},
            'unknown name "middle"',
        ),
        ({"do": "text", "text": "x" * (MOST_BYTES + 1)}, "the file: found 1000001 bytes"),
        ({"do": "copy", "of": 3}, "which: found copy 3; allowed: 0"),
        ({"do": "copy", "name": ""}, "name: found"),
    ],
)
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
    bad = edited(draft, 0, [setting("tank.length", "wide")])
    with pytest.raises(EditError, match="put these right first"):
        edited(bad, 1, [in_row(0, "males", 2)])


def test_what_tank_and_copies_share_is_set_for_all() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    after = edited(draft, 1, [setting("run.seed", 9), setting("title", "Both")])
    values = tomllib.loads(after.text)
    assert (
        values["run"]["seed"] == 9 and values["title"] == "Both" and set(values["alternative"][0]) == {"name"}
    )
    assert view_of(after, 1)["fields"]["run.seed"]["shared"]


# ---- any layout


ODD = {
    "dotted": "tank.length = 100\ntank.front_to_back = 40\ntank.height = 45 # rim\nrock.cover = 0.3\n"
    'rock.height = 20\n[[stock]]\nspecies = "duboisi"\nmales = 2\n',
    "inline": "rock = { cover = 0.3, height = 20 } # in braces\ntank = {length = 100, front_to_back = 40, height = 45}\n"
    'stock = [{species = "duboisi", males = 2}]\nalternative = [{name = "a", tank = {length = 120}}]\n',
    "lists": "stock = [\n  { species = 'duboisi', males = 2 }, # two\n]\n[tank]\nlength = 100\nfront_to_back = 40\n"
    "height = 45\n[rock]\ncover = 0.3\nheight = 20\nobject = [\n]\n",
    "headers": '[run]\n[[stock]]\nspecies = "duboisi"\nmales = 2\n[[rock.object]]\nkind = "wood"\nfrom_left = 1\n'
    "from_front = 1\nlength = 4\nfront_to_back = 4\nheight = 4\n  [tank]\n  length = 100 # in\n  front_to_back = 40\n"
    '  height = 45\n[rock]\ncover = 0.3\nheight = 20\n[[alternative]]\nname = "a"\n[alternative.tank]\n'
    'length = 120\n[[alternative.add]]\nspecies = "duboisi"\nmales = 1\n[species]\n',
    "quoted": '"title" = "x"\n["tank"]\n"length" = 100\nfront_to_back = 40\n\'height\' = 45\n[rock]\ncover = 0.3\nheight = 20\n'
    '[[\'stock\']]\nspecies = """duboisi"""\nmales = 2\n[parameters]\nchase.rate = 1\n',
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
        (
            {"do": "trait", "species": "duboisi", "name": "temper", "value": {"value": 1, "low": 0.5}},
            {"do": "trait", "species": "duboisi", "name": "temper", "value": None},
        ),
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


FIELD_VALUES = st.sampled_from(
    [
        setting("tank.length", "60 in"),
        setting("tank.height", 55),
        setting("tank.height", None),
        setting("tank.water_level", "16 in"),
        setting("tank.temperature", "25 C"),
        setting("tank.volume", None),
        setting("rock.piles", 2),
        setting("rock.rescape_day", 1),
        setting("rock.rescape_day", None),
        setting("run.days", 4),
        setting("run.settle", None),
        setting("run.watch", None),
        {"do": "sketch", "rows": ["0123", "0010"], "step": "3 in"},
        {"do": "cover", "cover": "25 %", "height": "10 in", "piles": 2},
        {"do": "bare"},
        {"do": "objects", "objects": []},
        in_row(0, "males", 3),
        in_row(0, "females", 0),
        in_row(1, "length", "3 in"),
        in_row(1, "day", 2),
        in_row(1, "out", None),
        in_row(0, "species", "Tropheus moorii"),
        {"do": "add row", "values": {"species": "Eretmodus cyanostictus", "males": 1, "females": 1}},
        {"do": "drop row", "row": 1},
        {"do": "copy"},
        {"do": "drop copy"},
        {"do": "rename", "name": "another"},
        {"do": "keep copy"},
        {"do": "trait", "species": "Tropheus moorii", "name": "temper", "value": 0.5},
        {"do": "trait", "species": "Tropheus moorii", "name": "temper", "value": None},
    ]
)


@SLOW
@given(st.sampled_from(NAMES), st.lists(FIELD_VALUES, min_size=1, max_size=6), st.integers(0, 3))
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
