"""A keeper who knows nothing, from opening the page to a verdict on a tank of their own.

A gesture is one press of mouse, finger or key on something, or one line typed and entered.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from page_on_screen import ON_SCREEN, PATIENCE_MS, Open, Served, browser, expect, serious, serving, walked
from page_walk_hands import Hands
from rockshy import scenarios
from rockshy.sim.species.species import library

__all__ = ["browser"]  # fixtures
pytestmark = ON_SCREEN

MOST_GESTURES = 12
SIDES = ("48 in", "18 in", "21 in")
FISH = ("1m 3f yellow lab", "6 acei")
DEMO = scenarios.text(scenarios.DEMO)
served = serving(DEMO, f"{scenarios.DEMO}.toml")


class Counted:
    """Hands that count their gestures; ``press`` presses what it is given, as a mouse or a finger does."""

    def __init__(self, one: Open, press: Callable[[Any], None]) -> None:
        self.one, self.gestures, self._press = one, 0, press

    def press(self, target: Any) -> None:
        self._press(target)
        self.gestures += 1

    def enter(self, text: str) -> None:
        self.one.page.keyboard.type(text)
        self.one.page.keyboard.press("Enter")
        self.gestures += 1


def to_a_verdict(one: Open, press: Callable[[Any], None]) -> Counted:
    """Build a tank of two species and try it; every field that is asked for has the focus already."""
    hands = Counted(one, press)
    hands.press(one.button("Start"))
    hands.press(one.button("My tank, empty"))
    for side in SIDES:
        expect(one.find("#start-asked input")).to_be_focused()
        hands.enter(side)
    for k, fish in enumerate(FISH):
        expect(one.find("#put-in")).to_be_focused()
        expect(one.find("#put-in")).to_have_value("")
        hands.enter(fish)
        expect(one.find(".fish-rows > li")).to_have_count(k + 1)
    hands.press(one.button("Try it"))
    expect(one.find("#answer .answer > .verdict")).not_to_be_empty(timeout=3 * PATIENCE_MS)
    return hands


def is_own(one: Open) -> None:
    """Nothing of the demo is left in the file, and the answer is about the keeper's fish."""
    file = one.file
    assert set(file) == {"title", "tank", "stock"} and file["title"] == "My tank"
    assert tuple(file["tank"].values()) == SIDES
    assert [(row["species"], row.get("females"), row.get("unsexed")) for row in file["stock"]] == [
        ("yellow lab", 3, None),
        ("acei", None, 6),
    ]
    assert "#" not in one.text
    expect(one.find("#answer .headline")).to_contain_text(re.compile("yellow lab|acei", re.IGNORECASE))
    first = re.compile("^(unsexed )?(yellow lab|acei)", re.IGNORECASE)
    expect(one.find(".fates .name").first).to_have_text(first)
    expect(one.find(".of-tank .line").first).to_have_text("Tank 48 \u00d7 18 \u00d7 21 in")
    lines = one.find("#answer .headline p").count()
    assert 2 <= lines <= 8


def is_sound(one: Open, served: Served) -> None:
    assert (one.console, one.faults, one.violations) == ([], [], [])
    assert one.foreign(served.port) == []


def test_a_tank_of_ones_own_by_mouse_within_twelve_gestures(browser: Any, served: Served) -> None:
    with walked(browser, served, viewport={"width": 1280, "height": 800}) as one:
        one.page.wait_for_selector("html[data-living]")  # the demo swims
        assert one.page.evaluate("document.documentElement.scrollHeight") <= 800
        hands = to_a_verdict(one, lambda target: target.click())
        assert hands.gestures <= MOST_GESTURES
        is_own(one)
        expect(one.find("#tank-name")).to_have_text("My tank")
        assert one.page.evaluate("document.documentElement.scrollHeight") <= 800
        for scheme in ("dark", "light"):
            one.page.emulate_media(color_scheme=scheme)
            assert serious(one.page) == []
        if (stop := one.find("#answer").get_by_role("button", name="Stop", exact=True)).count():
            stop.click()  # unless all tanks are run by now
        is_sound(one, served)


def test_the_same_by_keyboard_alone(browser: Any, served: Served) -> None:
    with walked(browser, served, reduced_motion="reduce", viewport={"width": 1280, "height": 800}) as one:
        keys = Hands(one)
        counted = to_a_verdict(one, lambda target: keys.push(target))
        assert counted.gestures <= MOST_GESTURES
        is_own(one)
        keys.stop()
        is_sound(one, served)


def test_the_same_by_thumb_on_a_narrow_screen(browser: Any, served: Served) -> None:
    how = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
    with walked(browser, served, **how, device_scale_factor=2) as one:
        hands = to_a_verdict(one, lambda target: target.tap())
        assert hands.gestures <= MOST_GESTURES
        is_own(one)
        assert one.page.evaluate("document.documentElement.scrollWidth") <= 390
        assert serious(one.page) == []
        is_sound(one, served)


@pytest.fixture
def one(browser: Any, served: Served) -> Any:
    with walked(browser, served, viewport={"width": 1280, "height": 800}, reduced_motion="reduce") as page:
        page.page.wait_for_selector("html[data-living]")
        yield page


def middle(target: Any, right: float = 0.5, down: float = 0.5) -> tuple[float, float]:
    box = target.bounding_box()
    return box["x"] + right * box["width"], box["y"] + down * box["height"]


def drag(one: Open, start: tuple[float, float], end: tuple[float, float]) -> None:
    mouse = one.page.mouse
    mouse.move(*start)
    mouse.down()
    mouse.move(*end, steps=6)
    mouse.up()


def test_a_demo_that_loses_its_fish_loses_its_words_and_nothing_stands_in_the_way(one: Open) -> None:
    asked, others = "Pseudosimochromis curvifrons", "Petrochromis trewavasae"
    one.button(f"Take out: all {asked}").click()
    one.until(lambda: one.file["title"] == "My tank")
    assert "watch" not in one.file["run"] and "question" not in one.file and "#" not in one.text
    expect(one.find(".news")).to_be_hidden()
    expect(one.find("#problems-box")).to_be_hidden()
    one.button(f"Take out: all {others}").click()
    expect(one.find(".none")).to_be_visible()
    expect(one.find("#problems-box")).to_be_hidden()
    expect(one.find("#answer")).to_contain_text("Nothing to say before there are fish in it.")
    one.undo("")
    one.undo("")
    one.until(lambda: one.text == DEMO)


def test_the_shelf_offers_first_what_is_of_the_lake_of_the_stock(one: Open) -> None:
    def lakes() -> list[str]:
        titles = (chip.get_attribute("title") for chip in one.find(".chip").all())
        return [library()[str(title).split(":")[0]].lake for title in titles]

    assert set(lakes()) == {"Tanganyika"}
    for left, name in ((1, "Pseudosimochromis curvifrons"), (0, "Petrochromis trewavasae")):
        one.button(f"Take out: all {name}").click()
        expect(one.find(".fish-rows > li")).to_have_count(left)
    assert set(lakes()) == {"Tanganyika"}
    field = one.find("#put-in")
    field.fill("1m 3f yellow lab")
    field.press("Enter")
    expect(one.find(".fish-rows > li")).to_have_count(1)
    assert set(lakes()) == {"Malawi"}
    field.fill("moorii")
    expect(one.find(".chip").first).to_have_attribute("title", re.compile("^Gephyrochromis moorii"))
    assert set(lakes()) == {"Malawi", "Tanganyika"}  # the others are still to be had


def test_what_is_pressed_faster_than_it_is_answered_counts_and_meets_the_row_that_was_meant(
    one: Open,
) -> None:
    females = one.file["stock"][0].get("females", 0)
    more = one.find(".stepper button", has_text="+").nth(1)
    more.evaluate("one => [1, 2, 3].forEach(() => one.click())")
    one.until(lambda: one.file["stock"][0].get("females", 0) == females + 3)
    one.find(".fish-rows").evaluate("list => list.querySelectorAll('.out').forEach((out) => out.click())")
    expect(one.find(".none")).to_be_visible()
    expect(one.find(".news")).to_be_hidden()


def test_fish_are_carried_in_onto_a_day_and_out(one: Open) -> None:
    chip = one.find(".chip").first
    drag(one, middle(chip), middle(one.find(".glass")))
    expect(one.find(".fish-rows > li")).to_have_count(3)
    track = one.find(".track")
    drag(one, middle(chip), middle(track, right=3.5 / 7))
    expect(one.find(".fish-rows > li")).to_have_count(4)
    one.until(lambda: one.file["stock"][3].get("day") == 3)
    mark = one.find(".track .mark")
    expect(mark).to_have_count(1)
    mark.click()
    expect(one.find(".clock")).to_contain_text("Day 4 of 5")
    expect(one.find(".that-day")).to_contain_text("added")
    drag(one, middle(one.find(".fish-rows > li").last.locator(".hold")), middle(one.find("#answer-head")))
    expect(one.find(".fish-rows > li")).to_have_count(3)


def test_a_fish_is_chosen_and_dragged_out_of_the_glass(one: Open) -> None:
    place = one.page.evaluate("""() => {
      const box = document.querySelector(".over").getBoundingClientRect();
      return [box.left, box.top];
    }""")
    found = None
    for k in range(600):  # from place to place, as an eye would not have to
        x, y = place[0] + 12 + (k % 40) * 17, place[1] + 30 + (k // 40) * 14
        one.page.mouse.click(x, y)
        if one.find(".fish-card").is_visible():
            found = (x, y)
            break
    assert found is not None
    expect(one.find(".fish-card")).to_contain_text("In these minutes")
    before = sum(row.get("males", 0) + row.get("females", 0) for row in one.file["stock"])
    drag(one, found, middle(one.find("#answer-head")))
    one.until(
        lambda: before - 1 == sum(row.get("males", 0) + row.get("females", 0) for row in one.file["stock"])
    )


def test_rock_is_moved_and_raised_in_the_front_view_from_the_start(one: Open) -> None:
    assert one.file["rock"]["cover"] == "40 %"
    glass = one.find(".over")
    for right in (0.64, 0.68, 0.61, 0.4, 0.37):  # where a fish swims before the pile, the fish is meant
        drag(one, middle(glass, right, 0.78), middle(glass, right + 0.06, 0.68))
        one.page.wait_for_timeout(1500)
        if "sketch" in one.file["rock"]:
            break
    assert "sketch" in one.file["rock"]
    before = one.text
    one.press("Pile lower")
    one.until(lambda: one.text != before)
    one.undo("")
    one.undo("")
    one.until(lambda: one.text == DEMO)


def test_details_open_over_the_tank_and_give_the_focus_back(one: Open) -> None:
    for name in (
        "tank",
        "rock",
        "fish",
        "wishes",
        "amounts",
        "tries",
        "what-helps",
        "how-much-rock",
        "what-if",
        "keep",
        "looks",
    ):
        opener = one.find(f"[data-opens={name}]").first
        opener.click()
        sheet = one.find(f"#{name}")
        expect(sheet).to_be_visible()
        expect(one.find("dialog[open]")).to_have_count(1)
        assert one.page.evaluate("document.activeElement.closest('dialog') !== null")
        assert serious(one.page) == [], name
        one.page.keyboard.press("Escape")
        expect(sheet).to_be_hidden()
        expect(opener).to_be_focused()


def test_looks_are_tapped_kept_through_a_reload_and_read_back(one: Open) -> None:
    from rockshy.analysis.questions.watching.reading import parse_tally

    one.show("looks")
    one.press("Begin a watch", "#looks")
    group = one.find(".look-group").first
    group.get_by_role("button", name=re.compile("^1 of|^Out")).click()
    acts = one.find(".look-acts button")
    acts.first.click()
    acts.last.click()
    one.again()
    one.show("looks")
    expect(one.find("#looks [role=status]")).to_have_text("1 chase noted.")
    one.press("End the watch", "#looks")
    with one.page.expect_download() as saved:
        one.press("Save the tally", "#looks")
    text = saved.value.path().read_text(encoding="utf-8")
    tally = parse_tally(text, scenarios.read(scenarios.DEMO), name="tally.csv")
    assert (len(tally.watches), len(tally.acts), len(tally.looks)) == (1, 1, 1)
    assert tally.looks[0].place == "out" and tally.looks[0].count == 1
