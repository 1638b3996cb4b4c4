"""The view of a draft: what the command line says, beside what it concerns, whatever the text is."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_drafts import DRAFTS, SMALL, in_row, small
from rockshy.analysis.asking.units_asked import asked_units
from rockshy.analysis.document import as_text
from rockshy.analysis.document.plain import capital
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.task import Draft, StockList
from rockshy.analysis.page.viewing import drawn as page_drawn
from rockshy.analysis.page.viewing.fields import FIELDS, in_scenario
from rockshy.analysis.page.viewing.species import species_list, species_page
from rockshy.analysis.page.viewing.view import scenario_of, view_of
from rockshy.analysis.questions.check.checked import checked
from rockshy.analysis.questions.check.drawn import draw_few
from rockshy.analysis.questions.check.flags import flags
from rockshy.analysis.questions.sources.source_counts import cited
from rockshy.sim.species.sources import bibliography
from rockshy.sim.species.species import TRAITS, WORDS, library

SLOW = settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))


def flat(view: dict[str, Any]) -> list[str]:
    """Every problem that a view shows, wherever."""
    fields = [text for field in view["fields"].values() for text in field["problems"]]
    rows = [text for row in view["stock"] for texts in row["problems"].values() for text in texts]
    return [*view["problems"], *fields, *rows]


@pytest.mark.parametrize("name", sorted(DRAFTS))
def test_every_good_file_has_a_view_that_says_what_check_says(name: str) -> None:
    draft = DRAFTS[name]
    view, scenario = view_of(draft, 0), scenario_of(draft)
    assert json.loads(json.dumps(view, allow_nan=False)) == view
    assert view["good"] and flat(view) == []
    asked = asked_units(scenario)  # bare sizes beside inches, which commands ask about on their own
    text = " ".join(f"{as_text(checked(scenario))} {capital(asked)}".split())
    said = [one["text"] for part in (*view["checks"].values(), view["flags"]) for one in part]
    assert len(said) > 10
    assert [one for one in said if " ".join(one.split()) not in text] == []
    found = flags(scenario, draw_few(scenario))
    shown = sorted((one["text"], one["rests_on"]) for one in view["flags"] if one["text"] != capital(asked))
    assert bool(asked) == (len(shown) < len(view["flags"]))
    assert shown == sorted((one.text, one.rests_on) for one in found)
    assert {one["about"] for one in view["flags"]} <= {"tank", "rock", "fish", "run"}
    assert view["sources"] == cited(one.rests_on for one in found)
    assert [one["about"] for one in view["cautions"]][0] == "sick fish"
    assert view["names"] == ["the tank as it is", *(one.name for one in scenario.alternatives)]
    for key, field in FIELDS.items():
        if field.of and key not in ("run.watch",):
            assert view["fields"][key]["value"] == in_scenario(scenario, key), key


def test_what_holds_without_being_written() -> None:
    fields = view_of(small(), 0)["fields"]
    worked_out = {"tank.water_level": 47, "run.settle": 1, "run.watch": "Tropheus duboisi"}
    declared = {"tank.volume": None, "tank.temperature": 26, "run.seed": 1, "run.fixed": False}
    for key, standard in {**worked_out, **declared}.items():
        assert (fields[key]["written"], fields[key]["standard"]) == (None, standard)
    assert (fields["rock.height"]["written"], fields["rock.height"]["standard"]) == ("30 cm", 42)
    assert fields["tank.length"]["value"] == 121.92 and fields["tank.length"]["written"] == "48 in"
    assert fields["run.watch"]["choices"] == ["Tropheus duboisi", "Petrochromis trewavasae"]


def test_a_copy_shows_what_it_comes_to_and_which_of_it_is_its_own() -> None:
    view = view_of(DRAFTS["alternatives"], 3)
    assert view["title"] == view_of(DRAFTS["alternatives"], 0)["title"]
    length = view["fields"]["tank.length"]
    shown = [length[name] for name in ("value", "written", "standard", "own")]
    assert shown == [200, "200 cm", 150, True]
    assert view["fields"]["tank.height"]["own"] is False and view["fields"]["tank.height"]["value"] == 50
    assert view["fields"]["run.trials"]["shared"] and not view["fields"]["run.days"]["shared"]
    assert [row["species"] for row in view["stock"]][1] == "Ophthalmotilapia ventralis"
    assert "instead of" in view["copies"][2]["changes"][0]
    assert any("200 cm" in one["text"] for one in view["checks"]["tank"])
    first = view_of(DRAFTS["alternatives"], 1)
    assert first["rock"]["kind"] == "drawn" and first["fields"]["rock.cover"]["value"] == 0.6


@pytest.mark.parametrize("which", [-1, 5, 10**9])
def test_a_copy_that_is_not_there_is_the_tank_as_it_is(which: int) -> None:
    assert view_of(DRAFTS["alternatives"], which) == view_of(DRAFTS["alternatives"], 0)


def test_rock_and_objects_in_cm() -> None:
    (thing,) = view_of(DRAFTS["whole"], 0)["rock"]["objects"]
    assert thing.pop("kind") == "filter"
    sides = ("from_left", "from_front", "above_base", "length", "front_to_back", "height")
    assert thing == dict(zip(sides, (167.64, 33.02, 15.24, 12.7, 10.16, 35.56), strict=True))
    text = SMALL.replace('cover = "40 %"\nheight = "30 cm"', 'sketch = "01\\n10"\nsketch_step = "2 in"')
    rock = {"kind": "sketch", "sketch": ["01", "10"], "step_cm": 5.08, "listed_crevices": 0, "objects": []}
    assert view_of(Draft(text, "s"), 0)["rock"] == rock


def test_typing_in_the_stock_draws_no_rock_again(monkeypatch: pytest.MonkeyPatch) -> None:
    draft = small("seed = 4242\n")
    view_of(draft, 0)
    monkeypatch.setattr(page_drawn, "draw_few", lambda scenario: pytest.fail("drawn again"))
    for value in (2, 3, 4):
        draft = edited(draft, 0, [in_row(0, "males", value)])
        assert view_of(draft, 0)["stock"][0]["males"] == value


@pytest.mark.parametrize(
    ("before", "after", "place"),
    [
        ('length = "48 in"', 'length = "48 inc"', "tank.length"),
        ('length = "48 in"', "length = true", "tank.length"),
        ('length = "48 in"', "", "tank.length"),
        ('front_to_back = "45 cm"', "front_to_back = 1e400", "tank.front_to_back"),
        ('height = "50 cm"', 'height = "50 cm"\nvolume = 3000', "tank.volume"),
        ('cover = "40 %"', "cover = 40", "rock.cover"),
        ('height = "30 cm"', "height = 0", "rock.height"),
        ("days = 2", 'days = "two"', "run.days"),
        ("trials = 8", "trials = 2", "run.guesses"),
        ("trials = 8", 'trials = 8\nwatch = "clownfish"', "run.watch"),
        ("guesses = 4", "guesses = 4\nfixed = 1", "run.fixed"),
        ('title = "Small"', "title = 3", "title"),
        ('title = "Small"', f'title = "{"x" * 300}"', "title"),
        ("males = 1", "males = 500", "0 males"),
        ("males = 2\nfemales = 4", "", "1 males"),
        ('length = "3-3.5 in"', 'length = "3 yd"', "0 length"),
        ('length = "3-3.5 in"', "length = [1, 2, 3]", "0 length"),
        ("females = 3", "females = 3\nholding = 4", "0 holding"),
        ("females = 4", "females = 4\nday = 3\nout = 2", "1 out"),
        ('species = "Tropheus duboisi"', 'species = "Tropheus dubois"', "0 species"),
    ],
)
def test_a_problem_stands_at_its_field_or_row(before: str, after: str, place: str) -> None:
    assert before in SMALL
    view = view_of(Draft(SMALL.replace(before, after, 1), "s.toml"), 0)
    assert not view["good"] and view["checks"] == {"tank": [], "rock": [], "fish": [], "run": []}
    assert view["flags"] == [] and view["problems"] == []
    (problem,) = flat(view)
    assert "; use " in problem or "missing; write " in problem
    row, _, key = place.rpartition(" ")
    problems = view["stock"][int(row)]["problems"] if row else view["fields"][key]
    assert (problems[key] if row else problems["problems"]) == [problem]
    assert view["fields"]["tank.height"]["value"] == 50 and len(view["stock"]) == 2


def test_what_has_no_field_is_said_for_the_whole() -> None:
    view = view_of(small("[parameters]\nno_such = 1\n"), 0)
    assert view["problems"] == flat(view) and "no_such" in view["problems"][0]
    many = edited(small(), 0, [in_row(0, "males", 100), in_row(1, "males", 100)])
    assert ["fish in all" in one for one in view_of(many, 0)["problems"]] == [True]


def test_a_problem_of_another_copy_leaves_this_one_readable() -> None:
    text = small(
        '[[alternative]]\nname = "a"\nrecount = [{ species = "Tropheus duboisi", males = 2 }]\n'
        '[[alternative]]\nname = "b"\ntank = { length = "1 mile" }\n'
    )
    good, bad = view_of(text, 1), view_of(text, 2)
    assert not good["good"] and good["stock"][0]["males"] == 2
    assert len(good["problems"]) == 1 and "1 mile" in good["problems"][0]
    assert bad["problems"] == [] and "1 mile" in bad["fields"]["tank.length"]["problems"][0]


def test_a_stock_list_and_its_problems() -> None:
    view = view_of(DRAFTS["listed"], 0)
    assert view["stock_from_list"] and [row["unsexed"] for row in view["stock"]] == [0, 6]
    draft = Draft(DRAFTS["listed"].text, "x.toml", StockList("stock.csv", "Fish;Sex\nno fish here;2m\n"))
    view = view_of(draft, 0)
    assert view["problems"] and view["problems"][0].startswith('stock.csv, line 2, column 1 "Fish"')
    lost = view_of(Draft(draft.text, "x.toml"), 0)
    assert lost["stock"] == [] and "stock_list" in lost["problems"][0]


ODD = [
    "",
    "\ufeff",
    "not toml",
    "[tank",
    "a = [" * 3000,
    "a = " + "[" * 500 + "]" * 500,
    "x = 1" + "0" * 5000,
    "tank = 3\nstock = 4\nrock = []\nrun = 'x'\nalternative = {}\nspecies = 1",
    "[[tank]]\n[[rock]]\n[[run]]\n[stock]\n[[species]]\n",
    "stock = [1, 'x', {species = 3, males = {}, length = [[1]], day = 1979-05-27, out = inf}]",
    "alternative = [1, {}, {name = 3}, {name = ' '}, {tank = 4, rock = {sketch = 5}}]",
    "[rock]\nsketch = ['', 3, '00']\nobject = [3, {kind = 4, length = nan}]\ncrevice = 4",
    "[tank]\nlength = nan\nheight = inf\nfront_to_back = -1e308\ncell = 0\nwater_level = 1e-300",
    "[tank]\nlength = 1e308\nheight = 1e308\nfront_to_back = 1e308\ncell = 1e-5",
    "[species]\n'' = {}\n'\U0001f41f' = {like = 3}\n"
    "x.temper = {value = [], low = 'y'}\n[species.'Tropheus duboisi']\ntemper = nan",
    "title = '''\u202e<script>alert(1)</script>'''\nquestion = 07:32:00",
    "stock_list = 3",
    "stock_list = 'x'\n[[stock]]",
]


@pytest.mark.parametrize("text", ODD)
@pytest.mark.parametrize("which", [0, 1, 4])
def test_no_text_breaks_the_view(text: str, which: int) -> None:
    view = view_of(Draft(text, "odd.toml", StockList("l.csv", text)), which)
    assert not view["good"] and flat(view)
    json.dumps(view, allow_nan=False)


@given(st.sampled_from(["whole", "alternatives", "enough-rock", "listed"]), st.data())
@SLOW
def test_no_half_typed_file_breaks_the_view(name: str, data: st.DataObject) -> None:
    text = DRAFTS[name].text
    start = data.draw(st.integers(0, len(text)))
    end = min(len(text), start + data.draw(st.integers(0, 40)))
    typed = data.draw(st.text(alphabet='0123456789.-"[]{}=,\n abcx', max_size=6))
    for half in (text[:start] + typed + text[end:], text[:start] + typed):
        view = view_of(Draft(half, "half.toml", DRAFTS[name].stock_list), data.draw(st.integers(0, 3)))
        json.dumps(view, allow_nan=False)
        assert view["good"] or view["empty"] or flat(view)


def test_every_species_has_a_page() -> None:
    assert [one["key"] for one in species_list()] == list(library())
    for key in library():
        page = species_page(small(), key)
        json.dumps(page, allow_nan=False)
        assert {one["name"] for one in page["traits"]} == {*TRAITS, *WORDS}
        assert not any(one["own"] for one in page["traits"])
        assert all(one["source_text"] and one["allowed"] and one["meaning"] for one in page["traits"])


def test_the_page_of_a_species_has_the_keepers_own_values_and_full_sources() -> None:
    page = species_page(DRAFTS["whole"], "rusty cichlid")
    traits = {one["name"]: one for one in page["traits"]}
    assert page["key"] == "Iodotropheus sprengerae"
    assert traits["timidity"]["own"] and traits["timidity"]["value"] == traits["timidity"]["low"] == 1.4
    assert traits["timidity"]["source_text"].startswith("keeper: set by the keeper")
    assert not traits["temper"]["own"] and traits["mating"]["choices"] == ["harem", "pair", "group"]
    assert traits["guild"]["choices"] is None and traits["length_max_male_cm"]["unit"] == "cm"
    known = bibliography()
    cited = [one for one in page["traits"] if any(key in one["source"] for key in known)]
    assert cited and all(any(text in one["source_text"] for text in known.values()) for one in cited)
    assert any("1.4" in json.dumps(piece) for piece in page["pieces"])
    assert species_page(DRAFTS["whole"], "stair mbuna")["key"] == "stair mbuna"
    assert species_page(Draft("no toml [", "x"), "duboisi")["key"] == "Tropheus duboisi"


def test_an_unknown_species_is_refused_with_the_nearest() -> None:
    with pytest.raises(EditError, match='is "Tropheus dubosi"; use .*. Did you mean Tropheus duboisi'):
        species_page(small(), "Tropheus dubosi")
    with pytest.raises(EditError, match="the whole name of one species"):
        species_page(small(), "moorii")
    with pytest.raises(EditError, match="use "):
        species_page(small(), " ")
