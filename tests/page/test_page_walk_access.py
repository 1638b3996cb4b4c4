"""The page for everybody: where the focus goes, an audit in every state, small screens, forced colours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import staged_work
from page_on_screen import Open, Served, browser, context, expect, needs_chromium, one
from page_walk import TANK, patience, serve, wait_for, walked
from page_walk_hands import Hands
from staged_work import Staged

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
__all__ = ["browser", "context", "one", "patience"]  # fixtures
pytestmark = [needs_chromium, pytest.mark.thorough, pytest.mark.usefixtures("patience")]

KINDS = ("try", "compare", "relief", "rock")
SIZES = ({"width": 360, "height": 740}, {"width": 1280, "height": 900})


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    here = serve()
    yield here
    here.stop()


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> dict[str, Staged]:
    """Staged work of every kind in the place of the real one."""
    staged = {kind: Staged() for kind in KINDS}
    monkeypatch.setattr("rockshy.analysis.page.work.WORK", staged)
    return staged


def answered(one: Open, work: dict[str, Staged]) -> None:
    """All four answers on the page, with everything in them opened."""
    for part, name, kind, result in (
        ("tries", "Try it", "try", staged_work.tried(12)),
        ("what-if", "Compare", "compare", staged_work.compared("copy 1", "It is better.")),
        ("what-if", "What helps?", "relief", staged_work.relieved()),
        ("how-much-rock", "How much rock?", "rock", staged_work.swept(5, verdict=("So it is.",))),
    ):
        one.page.locator(f"#{part}").get_by_role("button", name=name, exact=True).click()
        work[kind].post(result, 8, 8)
        work[kind].end()
        last = one.page.locator(f"#{part} .far:visible").last
        expect(last).to_contain_text("Done")
        expect(one.page.locator("button[aria-disabled=true].main")).to_have_count(0)
    for summary in one.page.locator(".answers summary:visible").all():
        summary.click()
    one.page.locator("#how-much-rock .point").first.click()


def copied(one: Open) -> None:
    """A copy, and the tank as it is shown again."""
    one.page.locator("#change-a-copy").click()
    expect(one.page.get_by_label("Name of the copy")).to_be_focused()
    one.page.get_by_label("the tank as it is").check()
    expect(one.page.locator("#what-if .copies li")).to_have_count(1)


# ---- the focus


def button(one: Open, name: str) -> Any:
    return one.page.locator("main").get_by_role("button", name=name, exact=True)


def pressed(hands: Hands, target: Any) -> None:
    """Press a button; the file changes, and the focus is somewhere when the page is at rest."""
    before = hands.one.text
    hands.push(target)
    wait_for(lambda: hands.one.text != before, hands.page)
    hands.page.wait_for_function(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() =>"
        " done(document.activeElement !== document.body))))"
    )
    hands.stop()


def test_the_focus_stays_on_the_page_when_what_had_it_goes_away(one: Open) -> None:
    hands = Hands(one)
    pressed(hands, button(one, "Draw it anew in every simulated tank"))
    expect(button(one, "Draw it myself from here")).to_be_visible()
    pressed(hands, button(one, "Draw it myself from here"))
    pressed(hands, button(one, "No rock"))
    expect(button(one, "No rock")).to_be_hidden()
    hands.stop()
    hands.push(one.page.locator("#rock summary", has_text="Wood, filter, heater"))
    pressed(hands, button(one, "Add wood"))
    pressed(hands, button(one, "Take the wood out"))
    pressed(hands, one.page.locator("#change-a-copy"))
    hands.write(one.field("tank.length"), "70", shown="70 cm")
    pressed(hands, button(one, "Length: as the tank is"))
    expect(one.page.locator("#tank")).to_be_visible()
    assert one.page.evaluate("document.activeElement.closest('#tank') !== null")
    pressed(hands, button(one, "Drop this copy"))
    pressed(hands, one.row(0).get_by_role("button", name="Take out of the list"))
    expect(one.page.locator(".stock > li")).to_have_count(0)
    hands.stop()


# ---- an audit


def serious(page: Any) -> list[str]:
    """What axe finds that is serious or critical."""
    found = axe.Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {node['html'][:200]}"
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


def assert_sound(one: Open, *, everywhere: bool = False) -> None:
    """Nothing serious, nothing wider than the window: small in the dark, wide in the light, or all four."""
    for size, usual in zip(SIZES, ("dark", "light"), strict=True):
        one.page.set_viewport_size(size)
        for scheme in ("dark", "light") if everywhere else (usual,):
            one.page.emulate_media(color_scheme=scheme)
            assert serious(one.page) == [], (size, scheme)
        assert one.page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_axe_finds_nothing_serious_while_the_tank_is_built(one: Open) -> None:
    expect(one.page.locator("#rock-drawing .rock-where")).not_to_be_empty()
    assert_sound(one)
    one.row(0).get_by_role("button", name="What is assumed").click()
    expect(one.page.locator("dialog .trait").first).to_be_visible()
    assert_sound(one)
    one.page.keyboard.press("Escape")
    one.field("tank.length").fill("4 f")
    one.row(0).get_by_label("Males", exact=True).fill("many")
    expect(one.row(0).get_by_label("Males", exact=True)).to_have_attribute("aria-invalid", "true")
    expect(one.page.locator("#problems-box")).to_contain_text("fields below")
    assert_sound(one)


def test_axe_finds_nothing_serious_after_a_try_and_with_all_answers(
    one: Open, work: dict[str, Staged]
) -> None:
    copied(one)
    answered(one, work)
    assert_sound(one, everywhere=True)


# ---- sizes and colours


def test_at_200_percent_nothing_is_wider_than_the_window(
    browser: Any, served: Served, work: dict[str, Staged]
) -> None:
    half = {"width": 640, "height": 450}
    with walked(browser, served, viewport=half, device_scale_factor=2, reduced_motion="reduce") as zoomed:
        copied(zoomed)
        answered(zoomed, work)
        assert zoomed.page.evaluate("[innerWidth, devicePixelRatio]") == [640, 2]
        assert zoomed.page.evaluate("document.documentElement.scrollWidth") <= 640
        assert zoomed.page.evaluate(_OUT) == []
        assert zoomed.faults == zoomed.console == []


def test_the_focus_stands_out_in_dark_and_light_and_in_forced_colours(
    one: Open, work: dict[str, Staged]
) -> None:
    copied(one)
    answered(one, work)
    for scheme in ("dark", "light"):
        one.page.emulate_media(color_scheme=scheme)
        assert one.page.evaluate(_CONTRAST) == [], scheme
    one.page.emulate_media(forced_colors="active")
    hands = Hands(one)
    hands.round("Tab")  # to the end
    assert len(hands.round("Tab")) > 60
    assert one.text.startswith(TANK.rstrip("\n"))


# What runs out of the window on the right, but for what scrolls in a frame of its own.
_OUT = """() => [...document.querySelectorAll("main *")]
    .filter((one) => one.checkVisibility() && !one.closest(".wide, .code, svg, .unseen"))
    .filter((one) => one.getBoundingClientRect().right > innerWidth + 1)
    .map((one) => one.outerHTML.slice(0, 120))"""

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
