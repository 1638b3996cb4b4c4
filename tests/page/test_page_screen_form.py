"""Building on the page, in a real browser: typing, units, undo, stock, traits, copies."""

from __future__ import annotations

import pytest
from page_on_screen import FIRST, ON_SCREEN, Open, Served, browser, expect, one, served
from rockshy.sim.scenario.units import length_cm
from rockshy.sim.species.species import TRAITS

__all__ = ["browser", "one", "served"]  # fixtures
pytestmark = ON_SCREEN


def test_the_file_is_on_the_page_and_the_token_has_left_the_address(one: Open, served: Served) -> None:
    assert one.page.url == f"http://127.0.0.1:{served.port}/"
    assert one.text == FIRST
    expect(one.field("title")).to_have_value("Stonecomb club, quarantine tank")
    expect(one.field("tank.length")).to_have_value("80 cm")
    expect(one.field("tank.height")).to_have_value("40 cm")
    expect(one.cell(0, "Females")).to_have_value("2")


def test_typing_changes_the_file_around_its_comments_and_the_checks_follow(one: Open) -> None:
    one.field("tank.length").fill("")
    one.page.wait_for_timeout(800)  # for a thought: longer than it takes until letters are sent
    assert one.text == FIRST
    one.field("tank.length").press_sequentially("3 ft 6 in")
    expect(one.understood("tank")).to_contain_text("107 cm (42 in) long")
    assert 'length = "3 ft 6 in"   # as measured' in one.text
    said = FIRST.replace("front_to_back = 40", 'front_to_back = "40 cm"').replace(
        "height = 40", 'height = "40 cm"'
    )
    assert one.text.replace('"3 ft 6 in"', '"80 cm"') == said  # bare sides were cm, and say so beside inches


def test_a_bare_number_is_in_the_units_that_are_shown_and_switching_changes_nothing(one: Open) -> None:
    one.units("in").check()
    one.field("tank.front_to_back").press("Tab")  # only entered
    one.type("tank.front_to_back", "15.75 in")
    assert one.text == FIRST
    one.type("tank.temperature", "78", "78 F")
    one.field("tank.length").fill("36")
    one.field("tank.length").press("Enter")
    expect(one.field("tank.length")).to_have_value("36 in")
    tank = one.file["tank"]
    assert (tank["front_to_back"], tank["temperature"], tank["length"]) == ("40 cm", "78 F", "36 in")
    one.units("cm").check()
    expect(one.field("tank.length")).to_have_value("91.44 cm")
    one.type("tank.length", "90", "90 cm")
    assert one.file["tank"]["length"] == 90


def test_half_a_quantity_is_a_problem_at_its_field_until_it_is_whole(one: Open) -> None:
    length = one.field("tank.length")
    length.fill("4 f")
    expect(length).to_have_attribute("aria-invalid", "true")
    told = one.find(f"#{(length.get_attribute('aria-describedby') or '').split()[-1]}")
    expect(told).to_contain_text("4 f")
    expect(one.find("#problems-box")).to_contain_text("Length")
    assert length.input_value() == "4 f"
    length.press_sequentially("t")
    expect(length).not_to_have_attribute("aria-invalid", "true")
    expect(one.find("#problems-box")).to_be_hidden()


def test_emptying_a_field_takes_the_key_out_and_shows_the_standard(one: Open) -> None:
    one.type("rock.piece_size", "9 cm")
    expect(one.understood("rock")).to_contain_text("stones of about 9 cm")
    one.type("rock.piece_size", "")
    expect(one.field("rock.piece_size")).to_have_attribute("placeholder", "15 cm")
    expect(one.understood("rock")).to_contain_text("stones of about 15 cm")
    assert "piece_size" not in one.file["rock"]


def test_what_is_written_for_what_is_typed(one: Open) -> None:
    typed = [
        ("length", "122", "metric", 122), ("length", "122,5", "metric", 122.5),
        ("length", "48", "us", "48 in"), ("length", "48 1/2", "us", "48 1/2 in"),
        ("length", "2-3", "us", "2-3 in"), ("length", "8 to 10", "metric", "8 to 10 cm"),
        ("length", "4 ft 6 in", "metric", "4 ft 6 in"),
        ("length", "1.2 m", "us", "1.2 m"), ("length", " ", "us", None), ("temperature", "78", "us", "78 F"),
        ("temperature", "26", "metric", 26), ("volume", "55", "us", "55 US gal"),
        ("volume", "20 imperial gal", "us", "20 imperial gal"), ("share", "0.4", "us", 0.4),
        ("share", "40 %", "metric", "40 %"), ("whole", "64", "us", 64), ("whole", "many", "us", "many"),
        ("text", "48", "us", "48"),
    ]  # fmt: skip
    script = """async (all) => {
        const { typedValue } = await import("/screen/units.js");
        return all.map(([kind, text, system]) => typedValue(kind, text, system));
    }"""
    found = one.page.evaluate(script, [list(case[:3]) for case in typed])
    assert found == [case[3] for case in typed]


def test_a_shown_length_is_read_back_as_the_same_to_a_hundredth_of_an_inch(one: Open) -> None:
    lengths = [3.0, 12.5, 40.0, 80.0, 121.92, 122.0, 150.0]
    script = """async (all) => {
        const { shown } = await import("/screen/units.js");
        return all.map((cm) => ["metric", "us"].map((system) => shown("length", cm, system)));
    }"""
    for cm, texts in zip(lengths, one.page.evaluate(script, lengths), strict=True):
        for text in texts:
            assert length_cm(text) == pytest.approx(cm, abs=0.013), text  # half of a hundredth of an inch


def test_typing_faster_than_the_answers_ends_with_what_was_typed_last(one: Open) -> None:
    height = one.field("tank.height")
    for text in ("45", "46", "40 cm", "45", "", "47", "47x", "47"):
        height.fill(text)
        height.dispatch_event("change")
    expect(one.understood("tank")).to_contain_text("47 cm (19 in) high")
    height.blur()
    expect(height).to_have_value("47 cm")
    assert one.file["tank"]["height"] == 47
    typed = "localStorage.getItem(`rockshy draft ${sessionStorage['rockshy page']} typed`)"
    assert one.page.evaluate(typed) == "{}"


def test_undo_and_redo_by_key_and_by_button_restore_the_text_to_the_byte(one: Open) -> None:
    length = one.field("tank.length")
    length.fill("")
    length.press_sequentially("100 cm", delay=60)  # several requests, one step
    length.press("Tab")
    expect(length).to_have_value("100 cm")
    one.type("tank.height", "45", "45 cm")
    after = one.text
    one.field("question").click()
    one.page.keyboard.press("End")
    one.page.keyboard.type("!")
    one.page.keyboard.press("Control+z")  # belongs to the field while one types in it
    expect(one.field("question")).to_have_value("Will two duboisi hide all day?")
    assert one.file["tank"]["height"] == 45
    one.button("Undo").focus()
    for key, said in (
        ("Control+z", "Undone: Height: 45"),
        ("Control+z", "Undone: Length"),
        ("Control+z", "Nothing left to undo"),
        ("Control+Shift+z", "Redone: Length"),
    ):
        if said.startswith("Nothing"):
            expect(length).to_have_value("80 cm")
            assert one.text == FIRST
        one.page.keyboard.press(key)
        one.said(said)
    one.press("Redo")
    one.said("Redone: Height")
    assert one.text == after


def test_fish_are_added_by_either_name_changed_and_taken_out(one: Open) -> None:
    one.show("fish")
    add = one.page.get_by_role("form", name="Add fish")
    for label, text in (("Add a species", "tropheus moorii"), ("Males", "1"), ("Females", "3")):
        add.get_by_label(label, exact=label == "Males").fill(text)
    add.get_by_label("Females").press("Enter")
    expect(one.find(".stock > li")).to_have_count(2)
    expect(add.get_by_label("Add a species")).to_be_focused()
    expect(one.understood("fish")).to_contain_text("7 fish in all")
    one.row(1).locator("summary").first.click()
    one.type(one.row(1).get_by_label("Length"), "8-10", "8-10 cm")
    one.type(one.cell(1, "Males"), "many")
    expect(one.cell(1, "Males")).to_have_attribute("aria-invalid", "true")
    one.type(one.cell(1, "Males"), "2")
    expect(one.understood("fish")).to_contain_text("8 fish in all")
    wanted = {"species": "", "males": 2, "females": 3, "length": "8-10 cm"}
    assert one.file["stock"][1] | {"species": ""} == wanted
    one.row(0).get_by_role("button", name="Take out of the list").click()
    expect(one.find(".stock > li")).to_have_count(1)
    one.undo("")
    expect(one.cell(0, "Species")).to_have_value("Tropheus duboisi")
    assert "# bought together" in one.text


def test_a_pasted_list_is_added_or_takes_the_place_of_all_rows(one: Open) -> None:
    one.show("fish")
    one.find("#fish summary", has_text="Paste a list").click()
    area = one.find("#fish textarea")
    for text, name, rows in (
        ("species\tmales\tfemales\nTropheus moorii\t1\t2\n", "Add these rows", 2),
        ("species,unsexed\nTropheus moorii,5\n", "Replace all rows", 1),
    ):
        area.fill(text)
        one.press(name)
        expect(one.find(".stock > li")).to_have_count(rows)
        expect(area).to_have_value("")
    assert one.file["stock"][0]["unsexed"] == 5
    area.fill("no list at all")
    one.press("Add these rows")
    expect(one.find("#fish details .beside.problems").first).to_be_visible()
    expect(area).to_have_value("no list at all")


def test_a_trait_gets_an_own_value_and_the_librarys_back(one: Open) -> None:
    about = one.row(0).get_by_role("button", name="what is assumed")
    about.click()
    trait = one.find("dialog.species .trait", has_text=TRAITS["timidity"].meaning)
    expect(trait.locator("summary")).to_contain_text("Source: ")
    one.type(trait.get_by_label("Value"), "1.9")
    expect(trait.locator("summary")).to_have_text("Set by you")
    assert one.file["species"]["Tropheus duboisi"]["timidity"] == 1.9
    trait.get_by_role("button", name="Back to the library").click()
    expect(trait.locator("summary")).to_contain_text("Source: ")
    assert one.text.strip() == FIRST.strip()
    one.page.keyboard.press("Escape")
    expect(one.find("dialog.species")).to_be_hidden()
    expect(about).to_be_focused()


def test_a_copy_is_made_changed_marked_and_kept(one: Open) -> None:
    one.copy("longer")
    expect(one.find("#copies .options")).to_contain_text("longer")
    length = one.field("tank.length")
    one.type("tank.length", "120", "120 cm")
    expect(one.find("#tank .note:visible").filter(has_text="Set by this copy")).to_have_count(1)
    assert one.file["tank"]["length"] == "80 cm"
    assert one.file["alternative"][0]["tank"]["length"] == 120
    for name, shown in (("the tank as it is", "80 cm"), ("longer", "120 cm")):
        one.press(name, "#strip")
        expect(length).to_have_value(shown)
    one.press("Length: as the tank is", "#tank")
    expect(length).to_have_value("80 cm")
    one.undo("")
    expect(length).to_have_value("120 cm")
    one.press("Keep this copy as the tank", "#copies")
    one.said("longer is now the tank")
    expect(one.find("#copies .options input")).to_have_count(1)
    expect(length).to_have_value("120 cm")
    assert one.file["tank"]["length"] == 120


def test_a_dropped_copy_comes_back_by_undo_with_itself_shown(one: Open) -> None:
    one.copy()
    one.press("Drop this copy", "#copies")
    expect(one.find("#copies .options input")).to_have_count(1)
    one.undo("")
    expect(one.find("#copies .options input")).to_have_count(2)
    expect(one.page.get_by_label("Name of the copy")).to_be_visible()
