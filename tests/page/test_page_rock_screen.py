"""Rock drawn on the page in a real browser: by mouse, by keys and typed, with both pictures in step."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Sequence
from typing import Any

import pytest
from page_on_screen import ON_SCREEN, SKETCH, TANK, Open, Served, browser, expect, one, serving
from rockshy.analysis.page.serving.answers import rock

__all__ = ["browser", "one"]  # fixtures
FRONT = ".glass canvas"
pytestmark = ON_SCREEN

FILE = TANK.replace('"60 cm"', "100").replace("= 30", "= 40").replace("trials = 16", "trials = 4")
served = serving(FILE, "rock.toml")


@pytest.fixture
def desk(one: Open) -> Any:
    """The part of the page that shows the rock, once both pictures are painted."""
    one.show("rock")
    one.page.wait_for_selector("html[data-drawn]")
    expect(one.find("#rock-where")).not_to_be_empty()
    return one.find("#rock")


def stands(one: Open, rows: Sequence[str]) -> None:
    """Wait until the file says these heights."""
    expect(one.field("rock.sketch")).to_have_value("\n".join(rows))
    one.until(lambda: one.file["rock"].get("sketch") == list(rows))


def picture(desk: Any, which: str) -> str:
    return str(desk.page.locator(which).first.evaluate("canvas => canvas.toDataURL()"))


def kilograms(desk: Any) -> str:
    return str(desk.get_by_role("row", name="limestone").text_content())


def test_a_pile_is_dragged_and_one_step_back_undoes_it(one: Open, desk: Any) -> None:
    one.drag((1, 2), (1, 4))
    moved = ["0000000000", "0002300000", "0001200040", "0000000000"]
    stands(one, moved)
    written = "".join(f'  "{row}",\n' for row in moved)
    assert one.text == FILE.replace(json.dumps(SKETCH), f"[\n{written}]")
    one.press("Undo")
    stands(one, SKETCH)
    assert one.text == FILE


def test_a_pile_stays_in_the_tank_and_the_higher_stands_where_two_meet(one: Open, desk: Any) -> None:
    one.drag((2, 8), (3, 2))
    stands(one, ["0000000000", "0230000000", "0120000000", "0040000000"])
    one.drag((1, 1), (3, 8))
    stands(one, ["0000000000", "0000000023", "0000000012", "0000000004"])
    one.drag((2, 8), (2, 6))
    stands(one, ["0000000000", "0000002300", "0000001200", "0000000400"])


def test_pictures_and_kilograms_follow_while_a_pile_is_dragged(one: Open, desk: Any) -> None:
    front, above = picture(desk, FRONT), picture(desk, ".rock-above canvas")
    weight = kilograms(desk)
    one.drag((2, 8), (2, 2), drop=False)  # onto the other pile: less rock stands than before
    one.until(lambda: kilograms(desk) != weight)
    assert picture(desk, ".rock-above canvas") != above
    assert one.text == FILE
    one.page.mouse.up()
    stands(one, ["0000000000", "0230000000", "0140000000", "0000000000"])
    assert picture(desk, FRONT) != front


def test_places_are_raised_and_lowered_by_a_stroke(one: Open, desk: Any) -> None:
    desk.get_by_label("Raise places").check()
    one.drag((0, 5), (0, 8))
    stands(one, ["0000011110", *SKETCH[1:]])
    desk.get_by_label("Lower places").check()
    one.drag((2, 8), (2, 8))
    stands(one, ["0000011110", SKETCH[1], "0120000030", SKETCH[3]])


def test_buttons_raise_lower_add_mirror_and_take_out(one: Open, desk: Any) -> None:
    one.drag((2, 8), (2, 8))
    expect(desk.page.locator("#rock-where")).to_have_text(
        "85 cm from the left, 15 cm from the front: rock 16 cm high (4), in a pile of 1 place"
    )
    one.press("Pile higher", "#stage")
    one.press("Place higher", "#rock-drawing")
    stands(one, [*SKETCH[:2], "0120000060", SKETCH[3]])
    one.press("Take the pile out", "#stage")
    stands(one, [*SKETCH[:2], "0120000000", SKETCH[3]])
    one.press("Mirror left and right", "#rock-drawing")
    stands(one, ["0000000000", "0000000320", "0000000210", "0000000000"])
    one.drag((2, 2), (2, 2))
    desk.get_by_label("New pile, across, cm").fill("30")
    desk.get_by_label("New pile, high, cm").fill("24")
    one.press("New pile at the marked place", "#rock-drawing")
    stands(one, ["0000000000", "0242000320", "0464000210", "0242000000"])


def test_a_question_that_is_lost_on_its_way_is_asked_again(one: Open, desk: Any) -> None:
    one.page.route("**/rock", lambda route: route.abort(), times=1)
    one.press("No rock", "#rock")
    expect(desk.get_by_role("row", name="limestone")).to_have_count(0)


def test_everything_is_done_by_keys_alone(one: Open, desk: Any) -> None:
    above = desk.page.get_by_role("application", name="The tank from above")
    above.focus()
    expect(desk.page.locator("#rock-where")).to_contain_text("rock 16 cm high (4)")  # the highest at first
    above.press("ArrowLeft")
    above.press("ArrowUp")
    above.press("7")
    stands(one, [SKETCH[0], "0230000700", *SKETCH[2:]])
    one.said("rock 28 cm high (7), in a pile of 2 places")
    above.press("-")
    above.press("PageUp")
    stands(one, [SKETCH[0], "0230000700", "0120000050", SKETCH[3]])
    above.press("m")
    one.said("The arrows move the pile")
    for key in ("ArrowLeft", "ArrowLeft", "ArrowDown", "ArrowDown", "Enter"):
        above.press(key)
    stands(one, [SKETCH[0], "0230000000", "0120070000", "0000005000"])
    above.press("m")
    above.press("ArrowRight")
    above.press("Escape")
    one.said("back where it stood")
    stands(one, [SKETCH[0], "0230000000", "0120070000", "0000005000"])
    above.press("Delete")
    stands(one, [SKETCH[0], "0230000000", "0120000000", "0000000000"])
    above.press("p")
    one.said("rock 12 cm high (3), in a pile of 4 places")
    one.page.keyboard.press("Tab")
    assert one.page.evaluate("document.activeElement !== document.querySelector('.rock-above')")


def test_digits_are_applied_as_they_are_typed_and_what_is_wrong_is_said_in_words(
    one: Open, desk: Any
) -> None:
    desk.get_by_text("Type the heights as digits").click()
    typed = one.field("rock.sketch")
    typed.fill("0100\n00")
    expect(desk.get_by_role("row", name="limestone")).to_be_visible()
    assert one.text == FILE  # half a grid is not sent while one types
    typed.fill("0100\n0090")
    stands(one, ["0100", "0090"])
    expect(desk.get_by_label("Places along the tank")).to_have_value("4")
    typed.fill("012\n0b2")
    typed.blur()
    expect(desk.locator(".problems:visible").first).to_contain_text("use rows of digits")
    expect(desk.get_by_text("The pictures show the rock as it could last be drawn")).to_be_visible()
    typed.fill("012\n022")
    typed.blur()
    stands(one, ["012", "022"])
    expect(desk.locator(".problems:visible")).to_have_count(0)


def test_the_rock_is_laid_onto_a_finer_grid(one: Open, desk: Any) -> None:
    desk.get_by_text("Type the heights as digits").click()
    desk.get_by_label("Places along the tank").fill("20")
    desk.get_by_label("Height of one step, cm").fill("2")
    one.press("Use this grid", "#rock-drawing")
    finer = ["".join(2 * str(2 * int(digit)) for digit in row) for row in SKETCH]
    stands(one, finer)
    assert one.file["rock"]["sketch_step"] == 2
    expect(desk.page.locator("#rock-where")).to_contain_text("16 cm high (8)")


def test_drawn_rock_is_shown_tank_by_tank_and_can_be_kept_as_it_stands(one: Open, desk: Any) -> None:
    one.press("Pile it anew in every simulated tank", "#rock-drawing")
    expect(desk.get_by_text("The pictures show tank 1 of 4")).to_be_visible()
    assert one.file["rock"]["cover"] == pytest.approx(0.125, abs=0.02) and "sketch" not in one.file["rock"]
    assert one.file["rock"]["piles"] == 2 and one.file["rock"]["piece_size"] == 10
    first = picture(desk, FRONT)
    one.press("Show another simulated tank", "#rock-drawing")
    expect(desk.get_by_text("The pictures show tank 2 of 4")).to_be_visible()
    one.until(lambda: picture(desk, FRONT) != first)
    rows = one.field("rock.sketch").input_value().split("\n")
    one.press("Let it stand as it is shown", "#rock-drawing")
    stands(one, rows)
    assert "cover" not in one.file["rock"]


def test_what_is_in_view_is_told_and_shaded_in_both_pictures(one: Open, desk: Any, served: Served) -> None:
    front, above = picture(desk, ".over"), picture(desk, ".rock-above canvas")
    one.press("Look from the marked place", "#rock-drawing")
    for label, number in (("left", "20"), ("front", "5"), ("base", "10")):
        desk.get_by_label(re.compile(f"(From the {label}|Above the {label}), cm")).fill(number)
    told = {"draft": {"text": FILE, "name": "rock.toml"}, "which": 0, "place": [20, 5, 10]}
    for sentence in rock(served.desk, "a" * 32, told)["sight"]["said"]:
        expect(desk.locator(".rock-said")).to_contain_text(sentence)
    assert picture(desk, ".over") != front and picture(desk, ".rock-above canvas") != above
    shaded = picture(desk, ".over")
    desk.get_by_label("Look from there").check()
    desk.page.locator(".over").click(position={"x": 300, "y": 60})
    one.until(lambda: picture(desk, ".over") != shaded)
    expect(desk.get_by_label("From the front, cm")).to_have_value("5")
    expect(desk.get_by_label("From the left, cm")).not_to_have_value("20")
    one.press("Hide the lines of sight", "#rock-drawing")
    expect(desk.locator(".rock-said")).to_be_empty()
    assert one.text == FILE


def test_wood_is_added_placed_and_taken_out(one: Open, desk: Any) -> None:
    desk.get_by_text("Wood, filter, heater: none").click()
    one.press("Add wood", "#rock-drawing")
    length = desk.get_by_label("Length", exact=True)
    expect(length).to_have_value("25 cm")
    one.type(length, "30", "30 cm")
    one.page.wait_for_function("() => !document.querySelector('.rock-objects .problems:not([hidden])')")
    assert one.file["rock"]["object"][0]["length"] == 30
    expect(desk.get_by_text("In the picture")).to_contain_text("crevice")
    one.press("Take the wood out", "#rock-drawing")
    expect(desk.get_by_text("Wood, filter, heater: none")).to_be_visible()
    assert one.file == tomllib.loads(FILE)


def test_lengths_are_in_the_chosen_units(one: Open, desk: Any) -> None:
    one.units("in").check()
    expect(desk.page.locator("#rock-where")).to_contain_text("6.3 in high (4)")
    expect(desk.get_by_label("New pile, high, in")).to_have_value("7.87")
    assert one.text == FILE
