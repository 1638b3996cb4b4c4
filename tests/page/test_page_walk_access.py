"""The page for everybody: where the focus goes, an audit in every state, small screens, forced colours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import staged_work
from page_on_screen import (
    ON_SCREEN,
    TANK,
    Open,
    Served,
    browser,
    expect,
    one,
    serious,
    serving,
    walked,
    window,
)
from page_walk_hands import Hands
from staged_work import Works, work

__all__ = ["browser", "one", "work"]  # fixtures
pytestmark = ON_SCREEN

SIZES = ({"width": 360, "height": 740}, {"width": 1280, "height": 900})
served = serving(TANK, "corner.toml")


def test_the_answer_hears_of_the_file_however_late_its_part_comes(browser: Any, served: Served) -> None:
    with window(browser) as context:
        held: list[Any] = []

        def let_go(told: Any) -> None:
            if told.url.endswith("/begin"):
                held.pop().continue_()

        context.route("**/screen/trying.js", lambda route: held.append(route))
        context.on("requestfinished", let_go)
        one = Open(context, served.address)
        expect(one.find("#answer-head")).to_have_text("Will the shy one feed?")


def answered(one: Open, work: Works) -> Iterator[str]:
    """All four answers on the page, one after the other, each with everything in it opened."""
    swept = staged_work.swept(9, headline=("So it is.",))
    for part, name, kind, result, shown in (
        ("answer", "Try it", "try", staged_work.tried(12), "tries"),
        ("what-if", "Compare", "compare", staged_work.compared("copy 1", "It is better."), "what-if"),
        ("what-helps", "What helps?", "relief", staged_work.relieved(), "what-helps"),
        (
            "how-much-rock",
            "How much rock?",
            "rock",
            swept,
            "how-much-rock",
        ),
    ):
        if part != "answer":
            one.show(part)
        elif one.find("dialog.sheet[open]").count():
            one.close()
        one.button(name, f"#{part} .runner").click()
        work[kind].finish(result)
        expect(one.far(part)).to_contain_text("Done")
        one.show(shown)
        for summary in one.find(f"#{shown} summary:visible").all():
            summary.click()
        if shown == "how-much-rock":
            one.find("#how-much-rock .point").first.click()
        yield shown


def copied(one: Open) -> None:
    """A copy, and the tank as it is shown again."""
    one.copy()
    if one.find("dialog.sheet[open]").count():
        one.close()  # in a narrow window it lies over the strip
    one.press("the tank as it is", "#strip")
    expect(one.find("#what-if .copies li")).to_have_count(1)


def pressed(hands: Hands, target: Any) -> None:
    """Press a button; the file changes, and the focus is somewhere when the page is at rest."""
    before = hands.one.text
    hands.push(target)
    hands.one.until(lambda: hands.one.text != before)
    hands.page.wait_for_function(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() =>"
        " done(document.activeElement !== document.body))))"
    )
    hands.stop()


def test_the_focus_stays_on_the_page_when_what_had_it_goes_away(one: Open) -> None:
    hands = Hands(one)
    hands.open("rock")
    pressed(hands, one.button("Pile it anew in every simulated tank"))
    expect(one.button("Let it stand as it is shown")).to_be_visible()
    pressed(hands, one.button("Let it stand as it is shown"))
    pressed(hands, one.button("No rock"))
    expect(one.button("No rock")).to_be_hidden()
    hands.stop()
    hands.push(one.find("#rock summary", has_text="Wood, filter, heater"))
    pressed(hands, one.button("Add wood"))
    pressed(hands, one.button("Take the wood out"))
    hands.open("copies")
    pressed(hands, one.find("#change-a-copy"))
    hands.open("tank")
    hands.write(one.field("tank.length"), "70", shown="70 cm")
    pressed(hands, one.button("Length: as the tank is"))
    expect(one.find("#tank")).to_be_visible()
    assert one.page.evaluate("document.activeElement.closest('#tank') !== null")
    hands.open("copies")
    pressed(hands, one.button("Drop this copy"))
    hands.open("fish")
    pressed(hands, one.row(0).get_by_role("button", name="Take out of the list"))
    expect(one.find(".stock > li")).to_have_count(0)
    hands.stop()


def assert_sound(one: Open, *, everywhere: bool = False) -> None:
    """Nothing serious, nothing wider than the window: small in the dark, wide in the light, or all four."""
    for size, usual in zip(SIZES, ("dark", "light"), strict=True):
        one.page.set_viewport_size(size)
        for scheme in ("dark", "light") if everywhere else (usual,):
            one.page.emulate_media(color_scheme=scheme)
            assert serious(one.page) == [], (size, scheme)
        assert one.page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_axe_finds_nothing_serious_while_the_tank_is_built(one: Open) -> None:
    one.press("Look from the marked place", "#rock")
    expect(one.find(".rock-said")).to_contain_text("of the water")
    for summary in one.find("#rock details > summary:visible").all():
        summary.click()
    one.press("Add a filter", "#rock")
    expect(one.button("Take the filter out")).to_be_visible()
    assert_sound(one)
    one.field("tank.length").fill("4 f")
    one.cell(0, "Males").fill("many")
    expect(one.cell(0, "Males")).to_have_attribute("aria-invalid", "true")
    expect(one.find("#problems-box li")).to_have_count(2)
    assert_sound(one)
    one.type("tank.length", "60 cm")
    one.type(one.cell(0, "Males"), "1")
    one.copy()
    one.type("tank.height", "33", "33 cm")
    expect(one.find("#tank .note:visible").filter(has_text="Set by this copy")).to_have_count(1)
    assert_sound(one, everywhere=True)
    assert one.find("h1").count() == 1
    assert one.page.evaluate(_NAMELESS) == []
    one.row(0).get_by_role("button", name="What is assumed").click()
    expect(one.find("dialog.species .trait").first).to_be_visible()
    assert_sound(one)


def test_axe_finds_nothing_serious_after_a_try_and_with_all_answers(one: Open, work: Works) -> None:
    copied(one)
    for _ in answered(one, work):
        assert_sound(one)


@pytest.mark.parametrize(
    ("width", "ratio", "scheme"), [(360, 1, "dark"), (640, 2, "light"), (1920, 1, "dark")]
)
def test_nothing_runs_out_of_the_window_or_is_too_small_to_read_or_touch(
    browser: Any, served: Served, work: Works, width: int, ratio: int, scheme: Any
) -> None:
    how = {"viewport": {"width": width, "height": 450}, "device_scale_factor": ratio, "color_scheme": scheme}
    with walked(browser, served, **how, reduced_motion="reduce") as one:
        copied(one)
        for shown in answered(one, work):
            assert one.page.evaluate("document.documentElement.scrollWidth") <= width
            assert one.page.evaluate(_OUT) == []
            assert one.page.evaluate(_SMALL) == []
            assert min(one.page.eval_on_selector_all(f"#{shown} svg text", _SIZES), default=12) >= 12
        assert not one.page.eval_on_selector_all("#how-much-rock svg text", _CROWDED)
        assert one.console == []


def test_the_focus_stands_out_in_dark_and_light_and_in_forced_colours(one: Open, work: Works) -> None:
    copied(one)
    for _ in answered(one, work):
        for scheme in ("dark", "light"):
            one.page.emulate_media(color_scheme=scheme)
            assert one.page.evaluate(_CONTRAST) == [], scheme
    one.page.emulate_media(forced_colors="active")
    hands = Hands(one)
    hands.round("Tab")  # to the end
    assert len(hands.round("Tab")) > 40
    assert one.text.startswith(TANK.rstrip("\n"))


# What runs out of the window on the right, but for what scrolls in a frame of its own.
_OUT = """() => [...document.querySelectorAll("main *, dialog[open] *")]
    .filter((one) => one.checkVisibility() && !one.closest(".wide, .code, svg, .unseen, .stage-foot"))
    .filter((one) => one.getBoundingClientRect().right > innerWidth + 1)
    .map((one) => one.outerHTML.slice(0, 120))"""

_SMALL = """() => [...document.querySelectorAll("button, input, select, textarea, summary")]
    .filter((one) => one.checkVisibility() && !one.matches("[type=radio], [type=checkbox]"))
    .filter((one) => one.getBoundingClientRect().height < 24)
    .map((one) => one.outerHTML.slice(0, 90))"""
_SIZES = "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))"
_CROWDED = """all => {
  const boxes = all.map(one => one.getBoundingClientRect());
  const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
  return boxes.some((a, k) => boxes.some((b, j) => j > k && meet(a, b)));
}"""
_NAMELESS = """() => [...document.querySelectorAll("input, select, textarea")]
    .filter((one) => !one.labels?.length && !one.getAttribute("aria-label"))
    .map((one) => one.outerHTML)"""

# Contrast of the outlines, WCAG 2: at least 3 to 1 against the nearest background that is painted.
_CONTRAST = """async () => {
  const light = ([r, g, b]) => {
    const part = (v) => ((v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  };
  const read = (text) => text.match(/[\\d.]+/g).map(Number);
  const behind = (one) => {
    for (let box = one.parentElement; box; box = box.parentElement) {
      const colour = read(getComputedStyle(box).backgroundColor);
      if (colour.length < 4 || colour[3] === 1) return colour;
    }
    return read(getComputedStyle(document.body).backgroundColor);
  };
  const weak = [];
  const all = "a[href], button, input, select, textarea, summary, [tabindex='0']";
  for (const one of document.querySelectorAll(all)) {
    if (one.disabled || !one.checkVisibility()) continue;
    one.focus({ preventScroll: true, focusVisible: true });
    const touch = one.querySelector(":scope > .touch");
    const colour = touch ? getComputedStyle(touch).stroke : getComputedStyle(one).outlineColor;
    const [a, b] = [light(read(colour)), light(behind(one))].sort((x, y) => y - x);
    if ((a + 0.05) / (b + 0.05) < 3) weak.push(`${colour}: ${one.outerHTML.slice(0, 100)}`);
  }
  return weak;
}"""
