"""Changes to stock and traits, of the tank and its copies, typed or pasted; what means nothing is refused."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest
from page_drafts import DRAFTS, SMALL, in_row, one, setting, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.editing.pasting import pasted, pasted_and_left
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import scenario_of, view_of
from rockshy.sim.scenario.reading.limits import MOST_BYTES, MOST_SKETCH

DUBOISI = "Tropheus duboisi"
TREWAVASAE = "Petrochromis trewavasae"


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
        *(("males", odd) for odd in ("three", 2.5, True)),
        ("species", "no fish"),
        ("length", "long"),
        ("day", -1),
    ],
)
def test_a_bad_value_is_written_as_typed_and_shown_at_its_place(field: str, value: object) -> None:
    draft = edited(small(), 0, [in_row(1, field, value)])
    view = view_of(draft, 0)
    assert not view["good"] and view["problems"] == []
    assert "use " in view["stock"][1]["problems"][field][0]
    shown = view["stock"][1]["written" if field == "species" else field]
    assert (shown["written"] if field == "length" else shown) == value
    with pytest.raises(EditError, match="use "):  # a copy has no rows of its own to write it into
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


def test_traits_are_set_and_taken_back() -> None:
    draft = DRAFTS["whole"]
    own = {"value": 1.1, "low": 0.9, "high": 1.4}
    after = edited(
        draft, 0, [{"do": "trait", "species": "Iodotropheus sprengerae", "name": "temper", "value": own}]
    )
    assert '[species."rusty cichlid"]       # or change a species that the library has\n' in after.text
    assert view_of(after, 0)["traits"] == {
        "stair mbuna": {
            "length_max_male_cm": {"value": "4.5 in"},
            "temper": {"value": 1.6, "low": 1.2, "high": 2.2},
            "pattern_male": {"value": "black-striped"},
            "colour_male": {"value": "black with white stripes"},
        },
        "Iodotropheus sprengerae": {"timidity": {"value": 1.4}, "temper": own},
    }
    back = edited(after, 0, [{"do": "trait", "species": "rusty cichlid", "name": "temper", "value": None}])
    assert back.text == draft.text
    lighter = edited(small(), 0, [{"do": "trait", "species": DUBOISI, "name": "mating", "value": "pair"}])
    assert scenario_of(lighter).species[DUBOISI].words["mating"].value == "pair"
    none = {"do": "trait", "species": DUBOISI, "name": "mating", "value": None}
    assert edited(lighter, 0, [none]).text == SMALL
    mine = one({"do": "trait", "species": "stair mbuna", "name": "timidity", "value": 2}, draft)
    assert tomllib.loads(mine)["species"]["stair mbuna"]["timidity"] == 2


TABS = "Fish\tSex\tSize\tAdded\nrusty cichlid\t2m5f\t3-3.5 in\t\nyellow lab\t6 juv\t5-7 cm\t4\n"
PASTED = ["Iodotropheus sprengerae", "Labidochromis caeruleus"]


def test_rows_come_after_the_stock_or_in_its_place() -> None:
    draft = small()
    more, said = pasted(draft, 0, TABS, False)
    assert more.text.startswith(draft.text[: draft.text.index("[run]")])
    assert tomllib.loads(more.text)["stock"][2:] == [
        {"species": "rusty cichlid", "males": 2, "females": 5, "length": [7.62, 8.89]},
        {"species": "yellow lab", "unsexed": 6, "length": [5, 7], "day": 4},
    ]
    first = "Iodotropheus sprengerae: 2 males, 5 females added, in on day 0, 7.6 cm (3 in) to"
    assert said[0].startswith(first)
    assert len(said) == 2 and view_of(more, 0)["good"]
    other, _ = pasted(draft, 0, TABS, True)
    assert [row.species for row in scenario_of(other).stock] == PASTED
    assert view_of(other, 0)["good"]


def test_in_the_place_of_a_stock_list() -> None:
    draft = DRAFTS["listed"]
    other, _ = pasted(draft, 0, TABS, True)
    assert other.stock_list is None and "stock_list" not in other.text
    assert len(tomllib.loads(other.text)["stock"]) == 2 and view_of(other, 0)["good"]
    more, _ = pasted(draft, 0, TABS, False)
    assert len(tomllib.loads(more.text)["stock"]) == 4


def test_into_a_copy() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    more, said = pasted(draft, 1, TABS, False)
    assert tomllib.loads(more.text)["stock"] == tomllib.loads(draft.text)["stock"]
    assert [row["species"] for row in view_of(more, 1)["stock"]][2:] == PASTED
    assert len(said) == 2
    with pytest.raises(EditError, match="no Tropheus duboisi are left"):
        pasted(draft, 1, TABS, True)


@pytest.mark.parametrize(
    ("text", "columns", "counts"),
    [
        ("rusty cichlid\t2\t5\nTropheus moorii\t1\t3\n", "species, males, females", (2, 5, 0)),
        ("rusty cichlid;2;5;1;8 cm\n", "species, males, females, unsexed, length", (2, 5, 1)),
        ("rusty cichlid,1m3f,3 in\n", "species, count, length", (1, 3, 0)),
        ("rusty cichlid\t2.5\n", "species, count", (2, 5, 0)),
        ("rusty cichlid\t7\n", "species, count", (0, 0, 7)),
    ],
)
def test_a_list_without_a_header_line(text: str, columns: str, counts: tuple[int, int, int]) -> None:
    draft, said = pasted(small(), 0, text, True)
    assert said[0] == f"There was no header line; the columns were read as: {columns}."
    row = scenario_of(draft).stock[0]
    assert (row.males, row.females, row.unsexed) == counts


def test_lines_as_typed() -> None:
    draft, said = pasted(small(), 0, "1m3f yellow labs\n6 rusties 3 in\n", True)
    assert [row["species"] for row in tomllib.loads(draft.text)["stock"]] == ["yellow labs", "rusties"]
    assert [row.species for row in scenario_of(draft).stock] == PASTED[::-1]
    assert said[0].startswith("Labidochromis caeruleus: 1 male, 3 females added")
    with pytest.raises(EditError, match=r'^the pasted list, line 1, row: "6 rusties 3" has 2 numbers'):
        pasted(small(), 0, "6 rusties 3\n", False)


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("1m3f yellow labs\n6 rusties 3\n", "6 rusties 3"),
        ("Fish\tMales\nyellow lab\t2\nnobody\t1\n", "Fish\tMales\nnobody\t1"),
    ],
)
def test_a_line_that_cannot_be_read_keeps_no_other_out(text: str, left: str) -> None:
    draft, said, rest = pasted_and_left(small(), 0, text, True)
    assert [row.species for row in scenario_of(draft).stock] == ["Labidochromis caeruleus"]
    assert said[-1].startswith("Not taken in: the pasted list, line ") and rest == left


RUSTY = "rusty cichlid"
NO_LISTS = ("", "\n\n", "hello", RUSTY, f"{RUSTY}\tlots\n", f"{RUSTY}\t1\t2\t3\t4\n", "a\0b", 'x,"y\n')


@pytest.mark.parametrize("text", NO_LISTS)
def test_what_is_no_list_is_refused(text: str) -> None:
    with pytest.raises(EditError, match="use "):
        pasted(small(), 0, text, False)


def test_every_problem_is_named_with_line_and_column() -> None:
    text = "Fish\tMales\tSize\nrusty cichlid\tmany\t3 in\nno such fish\t2\t\nrusty cichlid\t1\tbig\n"
    with pytest.raises(EditError) as caught:
        pasted(small(), 0, text, False)
    problems = caught.value.problems
    assert [one.split(" is ")[0] for one in problems] == [
        'the pasted list, line 2, column 2 "Males"',
        'the pasted list, line 3, column 1 "Fish"',
        'the pasted list, line 4, column 3 "Size"',
    ]
    headless = "rusty cichlid\t2\t5\nno such fish\t1\t3\n"
    said = pasted(small(), 0, headless, False)[1]
    assert 'line 2, column 1 "species" is "no such fish"' in said[-1]


def test_a_list_of_any_size_is_bounded() -> None:
    with pytest.raises(EditError, match="at most 1000000"):
        pasted(small(), 0, "x" * 1_000_001, False)
    with pytest.raises(EditError) as caught:
        pasted(small(), 0, "Fish,Males\n" + "nobody,1\n" * 1000, False)
    assert len(caught.value.problems) == 21
    assert re.fullmatch(r"and \d+ more problems", caught.value.problems[-1])
    with pytest.raises(EditError, match="at most 120"):
        pasted(small(), 0, "Fish,Males\n" + "rusty cichlid,1\n" * 1000, False)


ROW, OBJECTS, SKETCH = {"do": "add row"}, {"do": "objects"}, {"do": "sketch"}
TRAIT = {"do": "trait", "species": DUBOISI, "name": "temper", "value": 1}
NOTHING: tuple[tuple[dict[str, Any], str], ...] = (
    ({"do": "jump"}, 'do is "jump"; use set, sketch'),
    ({}, "do is None"),
    (setting("tank.lenght", 3), 'field is "tank.lenght"; use title'),
    (setting("tank.length", [1]), "tank.length is [1]"),
    (setting("copy.name", "x"), "use one of its copies"),
    *(
        ({"do": do, "name": "x"}, f"{do} does not work on the tank as it is")
        for do in ("rename", "drop copy", "keep copy")
    ),
    (in_row(7, "males", 1), "row is 7; use 0 to 1"),
    (in_row(True, "males", 1), "row is true"),
    (in_row(0, "colour", 1), 'field is "colour"; use species, males'),
    ({**ROW, "values": {"colour": 1}}, 'field is "colour"'),
    ({**ROW, "values": {}}, "values is empty"),
    ({"do": "drop row", "row": None}, "row is None"),
    ({**SKETCH, "rows": "0012"}, 'rows is "0012"'),
    ({**SKETCH, "rows": []}, "there are 0 rows"),
    ({**SKETCH, "rows": ["0" * (MOST_SKETCH + 1)]}, "rows of at most 200 digits"),
    ({**OBJECTS, "objects": [{"shape": 1}]}, 'there is no "shape"'),
    ({**OBJECTS, "objects": [{"kind": "wood"}] * 51}, "there are 51 objects; use at most 50"),
    ({**TRAIT, "species": "no fish"}, 'species is "no fish"'),
    ({**TRAIT, "name": "tempr"}, "did you mean temper"),
    ({**TRAIT, "value": {"middle": 1}}, 'there is no "middle"'),
    ({"do": "text", "text": "x" * (MOST_BYTES + 1)}, "the file has 1000001 bytes"),
    ({"do": "copy", "of": 3}, "there is no copy 3; use 0"),
    ({"do": "copy", "name": ""}, 'name is ""'),
)


@pytest.mark.parametrize(("change", "said"), NOTHING)
def test_what_means_nothing_is_refused_in_words(change: dict[str, Any], said: str) -> None:
    with pytest.raises(EditError) as caught:
        edited(small(), 0, [setting("tank.length", 99), change])
    assert said in str(caught.value) and "; use " in str(caught.value)


def test_a_copy_that_is_not_there_and_a_text_that_is_no_toml() -> None:
    with pytest.raises(EditError, match="no copy 2"):
        edited(small(), 2, [setting("tank.length", 99)])
    broken = Draft(SMALL + "[tank\n", "x.toml")
    with pytest.raises(EditError, match="line 30"):
        edited(broken, 0, [setting("tank.length", 99)])
    assert edited(broken, 0, [{"do": "text", "text": SMALL}]).text == SMALL
    with pytest.raises(EditError, match="at most 200 in one go"):
        edited(small(), 0, [setting("tank.length", 99)] * 201)


def test_what_a_copy_cannot_be_is_refused_with_the_readers_words() -> None:
    draft = edited(small('watch = "Tropheus duboisi"\n'), 0, [{"do": "copy"}])
    with pytest.raises(EditError, match="no Tropheus duboisi are left, the mild species that is watched"):
        edited(draft, 1, [{"do": "drop row", "row": 0}])
    with pytest.raises(EditError, match="there are 121 fish in all; use at most 120"):
        edited(draft, 1, [in_row(0, "males", 112)])
    with pytest.raises(EditError, match="take the row out"):
        edited(draft, 1, [in_row(0, "females", 0), in_row(0, "males", 0)])
    with pytest.raises(EditError, match=r'^species is "Tropheus morii".*Did you mean Tropheus moorii\?$'):
        edited(draft, 1, [in_row(1, "species", "Tropheus morii")])
    with pytest.raises(EditError, match=r"^length is .*use a length from 1 cm"):
        edited(draft, 1, [{"do": "add row", "values": {"species": DUBOISI, "males": 1, "length": "90 m"}}])
    bad = edited(draft, 0, [setting("tank.length", "wide")])
    with pytest.raises(EditError, match="fix these first"):
        edited(bad, 1, [in_row(0, "males", 2)])


def test_what_tank_and_copies_share_is_set_for_all() -> None:
    draft = edited(small(), 0, [{"do": "copy"}])
    after = edited(draft, 1, [setting("run.seed", 9), setting("title", "Both")])
    values = tomllib.loads(after.text)
    assert (values["run"]["seed"], values["title"]) == (9, "Both")
    assert set(values["alternative"][0]) == {"name"}
    assert view_of(after, 1)["fields"]["run.seed"]["shared"]
