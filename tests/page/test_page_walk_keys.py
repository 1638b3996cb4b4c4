"""The main line of the page by keyboard alone: nothing is clicked, and only keys move the focus.

The tests are the stages of one walk: each goes on where the one before it ended.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from page_on_screen import ON_SCREEN, TANK, Open, Served, browser, expect, serving, walked
from page_walk_hands import MISSED, Hands, step

__all__ = ["browser"]  # fixtures
pytestmark = ON_SCREEN

CLOWN = "Tanganyika clown"
FEW = TANK.replace("trials = 16", "trials = 4")


served = serving(FEW, "corner.toml")


@pytest.fixture(scope="module")
def walk(browser: Any, served: Served) -> Iterator[Open]:
    with walked(browser, served, reduced_motion="reduce") as one:
        yield one


@pytest.fixture(scope="module")
def hands(walk: Open) -> Hands:
    return Hands(walk)


def test_a_side_is_typed(walk: Open, hands: Hands) -> None:
    hands.open("tank")
    hands.write(walk.field("tank.length"), "70", shown="70 cm")
    walk.until(lambda: walk.file["tank"]["length"] == 70)
    assert walk.text == FEW.replace('"60 cm"', "70")


def test_units_are_switched_by_arrows(walk: Open, hands: Hands) -> None:
    hands.go(walk.units("cm"))
    hands.press("ArrowRight")
    hands.stays(walk.units("in"))
    expect(walk.field("tank.length")).to_have_value("27.56 in")
    hands.press("ArrowLeft")
    expect(walk.field("tank.length")).to_have_value("70 cm")


def test_a_species_and_its_males_are_typed(walk: Open, hands: Hands) -> None:
    hands.open("fish")
    form = walk.page.get_by_role("form", name="Add fish")
    hands.go(form.get_by_label("Add a species"))
    hands.type(CLOWN)
    hands.press("Tab")
    hands.stays(form.get_by_label("Males", exact=True))
    hands.type("1")
    hands.press("Enter")
    expect(walk.find(".stock > li")).to_have_count(2)
    hands.stays(form.get_by_label("Add a species"))
    expect(form.get_by_label("Add a species")).to_have_value("")
    hands.write(walk.cell(0, "Males"), "2")
    walk.until(lambda: [one["males"] for one in walk.file["stock"]] == [2, 1])


def test_what_is_assumed_of_a_species_is_read_and_left_again(walk: Open, hands: Hands) -> None:
    about = walk.row(0).get_by_role("button", name=re.compile("^What is assumed about it"))
    hands.push(about)
    dialog = walk.find("dialog.species")
    expect(dialog.locator(".trait").first).to_be_visible()
    for _ in range(8):
        hands.press("Tab")
        hands.stop()
        assert walk.page.evaluate("document.activeElement.closest('dialog') !== null")
    hands.press("Escape")
    expect(dialog).to_be_hidden()
    hands.stays(about)


def test_a_pile_is_raised_and_moved(walk: Open, hands: Hands) -> None:
    before = walk.text
    hands.press("Escape")  # the sheet of the fish
    hands.go(walk.page.get_by_role("application", name="The tank from above"))
    hands.press("PageUp")
    walk.said("rock 20 cm high (5)")
    step(hands, before)
    assert walk.file["rock"]["sketch"] == ["0000000000", "0230000000", "0120000050", "0000000000"]
    hands.press("m", "ArrowLeft", "ArrowUp", "Enter")
    walk.until(lambda: "0230000500" in walk.text)
    hands.stays(walk.page.get_by_role("application", name="The tank from above"))


def test_the_tank_is_tried_and_the_focus_stays(walk: Open, hands: Hands) -> None:
    start = walk.button("Try it", "#answer")
    hands.push(start)
    result = walk.done("answer", "try")
    hands.stays(start)
    expect(walk.find("#tries .fates .name")).to_have_text([one["label"] for one in result["fish"]])
    assert len(result["tanks"]) == 4


def test_tanks_are_watched_by_button_and_by_their_marks(walk: Open, hands: Hands) -> None:
    hands.open("tries")
    hands.push(walk.button("A typical tank", "#tries"), "Space")
    expect(walk.find("#film iframe")).to_be_visible()
    hands.stays(walk.find("#film h3"))
    film = walk.film()
    assert film.evaluate("[window.film.isPlaying, window.film.frames]") == [False, 0]  # less motion is wanted
    hands.open("tries")
    hands.go(walk.find("#tries .dots .tank[tabindex='0']"))
    hands.press("End")
    hands.stop()
    wanted = walk.page.evaluate("document.activeElement.of")
    hands.press("Enter")
    expect(walk.find("#film iframe")).to_have_attribute("title", re.compile(f"simulated tank {wanted + 1}$"))
    hands.stays(walk.find("#film h3"))


def test_a_film_is_started_by_its_keys_and_left_again(walk: Open, hands: Hands) -> None:
    film = walk.film()
    hands.go(walk.find("#film iframe"))
    for _ in range(40):
        if film.evaluate("document.activeElement?.id") == "play":
            break
        hands.press("Tab")
    hands.press("Space")
    film.wait_for_function("() => window.film.isPlaying && window.film.frames > 3")
    hands.press("Space")
    film.wait_for_function("() => !window.film.isPlaying")
    hands.go(walk.page.get_by_role("link", name="Save the film"))


def test_a_copy_is_changed_and_compared(walk: Open, hands: Hands) -> None:
    hands.open("copies")
    hands.push(walk.find("#change-a-copy"))
    name = walk.page.get_by_label("Name of the copy")
    hands.stays(name)
    hands.type("fewer")
    hands.open("fish")
    hands.write(walk.cell(0, "Males"), "1")
    walk.until(lambda: len(walk.file.get("alternative", [{}])[0]) > 1)
    assert walk.file["alternative"][0]["name"] == "fewer"
    hands.open("what-if")
    hands.push(walk.button("Compare", "#what-if"))
    result = walk.done("what-if", "compare")
    hands.stays(walk.button("Compare", "#what-if"))
    expect(walk.find("#what-if .against .sentence")).to_have_text(result["against"][0]["sentence"])
    hands.press("Escape")
    as_it_is = walk.button("the tank as it is", "#strip")
    hands.push(as_it_is)
    expect(walk.find(".fish-rows .count").first).to_contain_text("2")
    hands.stays(as_it_is)


def test_tab_comes_to_everything_and_round_both_ways(walk: Open, hands: Hands) -> None:
    hands.round("Tab")  # to the end
    forth = hands.round("Tab")
    assert walk.page.evaluate(MISSED) == []
    assert len(forth) == len(set(forth)) > 40
    back = hands.round("Shift+Tab")
    assert sorted(back) == sorted(forth)


def test_undo_leads_back_by_button_and_by_keys(walk: Open, hands: Hands) -> None:
    undo = walk.find("#undo")
    hands.push(undo)
    walk.until(lambda: "males" not in str(walk.file["alternative"]))
    hands.stays(undo)
    steps = 0
    while walk.text != FEW and steps < 20:
        before = walk.text
        hands.press("Control+Z" if steps % 2 else "Enter")
        step(hands, before)
        steps += 1
    assert walk.text == FEW and steps > 4
    expect(undo).to_have_attribute("aria-disabled", "true")
    hands.stays(undo)
    hands.press("Control+Shift+Z")
    walk.until(lambda: walk.file["tank"]["length"] == 70)
    hands.stays(undo)
    assert walk.faults == walk.console == walk.violations == []
