"""Changes to stock and traits, of the tank as it is and of its copies."""

from __future__ import annotations

import tomllib

import pytest
from page_drafts import DRAFTS, SMALL, in_row, one, small
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import scenario_of, view_of

DUBOISI = "Tropheus duboisi"
TREWAVASAE = "Petrochromis trewavasae"


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
    assert view_of(after, 0)["traits"] == {
        "stair mbuna": {
            "length_max_male_cm": {"value": "4.5 in"},
            "temper": {"value": 1.6, "low": 1.2, "high": 2.2},
            "pattern_male": {"value": "black-striped"},
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
