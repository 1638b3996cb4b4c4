"""What happens when, by mouse, finger and keys in a browser, and a file of months tried.

The tests are the stages of one walk: each goes on where the one before it ended.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from command_line import four_fish
from page_on_screen import ON_SCREEN, Open, Served, browser, expect, serving, walked

__all__ = ["browser"]  # fixtures
pytestmark = ON_SCREEN

OUT = '\n[[event]]\nday = 10\nout = "Tropheus moorii male 1"\nfor = "2 weeks"\n'
WATER = '\n[[event]]\nday = 40\nwater = "changed"\n'
LIFE = four_fish(title="Life", days=2, lit_hours=1, trials=16, seed=5) + OUT + WATER

served = serving(LIFE, "life.toml")


@pytest.fixture(scope="module")
def walk(browser: Any, served: Served) -> Iterator[Open]:
    with walked(browser, served, reduced_motion="reduce") as one:
        yield one


def days(walk: Open) -> list[Any]:
    return [one["day"] for one in walk.file["event"]]


def middle(walk: Open, day: int) -> tuple[float, float]:
    """Where the mark of a day is."""
    box = walk.find(f'.mark[data-day="{day}"]').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def across(walk: Open, to: int) -> float:
    """How far from the left a day is."""
    box, span = walk.find(".track").bounding_box(), walk.find("#day").get_attribute("max")
    return float(box["x"] + box["width"] * (to + 0.5) / int(span))


def test_a_mark_is_dragged_to_another_day_by_the_mouse(walk: Open) -> None:
    x, y = middle(walk, 10)
    walk.page.mouse.move(x, y)
    walk.page.mouse.down()
    walk.page.mouse.move(across(walk, 14), y, steps=6)
    walk.page.mouse.up()
    walk.until(lambda: days(walk) == [14, 40])
    walk.said("now after day 14")
    walk.undo()
    walk.until(lambda: days(walk) == [10, 40])


def test_by_a_finger(walk: Open) -> None:
    expect(walk.find('.mark[data-day="10"]')).to_be_visible()
    x, y = middle(walk, 10)
    client = walk.page.context.new_cdp_session(walk.page)

    def touch(kind: str, *at: float) -> None:
        points = [{"x": at[0], "y": y}] if at else []
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", x)
    for part in (0.3, 0.6, 1.0):
        touch("touchMove", x + part * (across(walk, 17) - x))
    touch("touchEnd")
    walk.until(lambda: days(walk) == [17, 40])


def test_by_keys_and_it_is_taken_out(walk: Open) -> None:
    expect(walk.find('.mark[data-day="17"]')).to_be_visible()
    walk.find('.mark[data-day="17"]').focus()
    walk.page.keyboard.press("Shift+ArrowRight")
    walk.until(lambda: days(walk) == [18, 40])
    expect(walk.find('.mark[data-day="18"]')).to_be_focused()
    walk.page.keyboard.press("Delete")
    walk.until(lambda: days(walk) == [40])


def test_more_is_put_in_by_the_sheet_and_what_cannot_be_is_told(walk: Open) -> None:
    walk.show("happens")
    form = walk.find("#happens form")
    form.get_by_label("What happens").select_option("dark")
    form.get_by_label("After day").fill("3")
    form.get_by_role("button", name="Put in").click()
    walk.until(lambda: walk.file["event"][-1] == {"day": 3, "lights": "off"})
    expect(walk.find(".happens > li")).to_have_count(2)
    form.get_by_label("What happens").select_option("back")
    form.get_by_role("button", name="Put in").click()
    expect(form.locator(".problems li")).to_contain_text("in the tank already")
    assert len(walk.file["event"]) == 2
    walk.close()


def test_it_is_answered_as_a_life_month_by_month(walk: Open) -> None:
    walk.press("Try it", "#answer")
    expect(walk.find(".month-cells li")).to_have_count(2)
    assert walk.faults == []


def test_a_copy_is_compared_over_the_same_months(walk: Open) -> None:
    walk.done("answer", "try")
    walk.copy("more rock")
    walk.type("rock.cover", "40 %")
    walk.close()
    walk.press("Compare", "#what-if")
    told = walk.done("what-if", "compare")
    assert told["json"]["months"] == 2
    expect(walk.find("#what-if .against .sentence")).to_have_text(told["against"][0]["sentence"])
    walk.close()


def test_what_helps_over_weeks_is_taken_as_a_copy(walk: Open) -> None:
    walk.press("What helps?", "#what-helps")
    told = walk.done("what-helps", "relief")
    weeks = next(one for one in told["changes"] if "for 2 weeks" in one["text"])
    for box in walk.find("#what-helps details").all():
        box.evaluate("one => { one.open = true; }")
    walk.press(f"Make it a copy: {weeks['text']}", "#what-helps")
    walk.until(lambda: len(walk.file["alternative"]) == 2)
    (row,) = walk.file["alternative"][1]["event"]
    assert row["for"] == "2 weeks"
    assert walk.faults == []
