"""Less or more of one thing, in a browser: the curve, the slider by hand, and what was not run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from page_on_screen import (
    FIRST,
    ON_SCREEN,
    PATIENCE_MS,
    Open,
    Served,
    browser,
    expect,
    serious,
    serving,
    walked,
)
from page_walk_hands import Hands

__all__ = ["browser"]  # fixtures
pytestmark = ON_SCREEN

# A shoal that is told of after some seconds: fractions of a day are run.
TANK = FIRST.replace("trials = 4", "trials = 4\ndays = 0.1\nsettle = 0")
FEMALES = "Tropheus duboisi, females"
served = serving(TANK)


def opened(one: Open) -> Any:
    """The slider of the females, once there is something to say along it."""
    one.show("amounts")
    slider = one.page.get_by_label(FEMALES, exact=True)
    expect(slider).to_be_visible(timeout=3 * PATIENCE_MS)
    return slider


def row_of(one: Open) -> Any:
    return one.find(".amount-rows > li", has=one.page.get_by_label(FEMALES, exact=True))


def at(slider: Any, value: float) -> tuple[float, float]:
    """Where on the screen a slider stands at a value, the handle being 18 px wide."""
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    low, high = (float(slider.get_attribute(end)) for end in ("min", "max"))
    return box["x"] + 9 + (box["width"] - 18) * (value - low) / (high - low), box["y"] + box["height"] / 2


def by_mouse(one: Open, slider: Any) -> None:
    mouse = one.page.mouse
    mouse.move(*at(slider, 2))
    mouse.down()
    mouse.move(*at(slider, 3), steps=4)
    mouse.move(*at(slider, 5), steps=4)
    assert one.file["stock"][0]["females"] == 2  # nothing changes before it is let go
    assert slider.get_attribute("aria-valuetext").startswith("5: ")
    mouse.up()


def by_keys(one: Open, slider: Any) -> None:
    Hands(one).go(slider)
    for _ in range(3):
        before = one.text
        one.page.keyboard.press("ArrowRight")
        one.until(lambda before=before: one.text != before)
        expect(slider).to_be_focused()


def by_finger(one: Open, slider: Any) -> None:
    finger = one.page.context.new_cdp_session(one.page)

    def touch(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": x, "y": y} for x, y in places]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", at(slider, 2))
    for value in (3, 4, 5):
        touch("touchMove", at(slider, value))
    assert one.file["stock"][0]["females"] == 2
    touch("touchEnd")


WIDE = {"viewport": {"width": 1280, "height": 800}}
NARROW = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


@pytest.mark.parametrize(
    ("hand", "how"), [(by_mouse, WIDE), (by_keys, WIDE), (by_finger, NARROW)], ids=["mouse", "keys", "finger"]
)
def test_a_slider_changes_the_tank_and_undo_brings_it_back(
    browser: Any, served: Served, hand: Callable[[Open, Any], None], how: dict[str, Any]
) -> None:
    with walked(browser, served, reduced_motion="reduce", **how) as one:
        slider = opened(one)
        line = row_of(one)
        ends = line.locator("polyline.line").get_attribute("points").split()
        assert len(ends) == int(slider.get_attribute("max")) + 1  # each number of females, from none
        assert line.locator("polygon.band").count() == 1 and line.locator("circle.dot").count() > 1
        expect(line.locator("p")).not_to_be_empty()
        hand(one, slider)
        one.until(lambda: one.file["stock"][0]["females"] == 5)
        assert "bought together" in one.text  # the rest of the file is as it was
        expect(slider).to_have_value("5")
        expect(line.locator("output")).to_contain_text("5: the worst off keep")
        assert serious(one.page) == []
        one.page.keyboard.press("Escape")
        expect(one.find(".fish-rows .count").nth(1)).to_have_text("\u2640 5")
        while one.text != TANK:
            one.undo("")
        one.show("amounts")
        expect(slider).to_have_value("2")
        assert one.page.evaluate("document.documentElement.scrollWidth") <= how["viewport"]["width"]


def test_nothing_is_said_of_a_tank_far_from_those_that_were_run(browser: Any, served: Served) -> None:
    with walked(browser, served, reduced_motion="reduce", **WIDE) as one:
        opened(one)
        one.type("tank.length", "300 cm")
        one.show("amounts")
        expect(one.find("#amounts")).to_contain_text("No estimate")
        expect(one.find("#amounts")).to_contain_text("300")
        one.undo("")
        expect(row_of(one).locator("polyline.line")).to_have_count(1)
