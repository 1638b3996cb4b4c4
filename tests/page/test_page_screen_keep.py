"""Keeping what was typed on the page, in a real browser: files, reloads, a server that ends; who uses it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from page_on_screen import FIRST, Open, Served, browser, context, expect, needs_chromium, one, served

__all__ = ["browser", "context", "one", "served"]  # fixtures
pytestmark = [needs_chromium, pytest.mark.thorough]


# ---- keeping


def test_what_was_typed_is_found_after_a_reload_with_its_way_back(one: Open) -> None:
    one.field("tank.height").fill("45")
    one.field("tank.height").blur()
    expect(one.field("tank.height")).to_have_value("45 cm")
    one.page.get_by_label("in, F, US gal").check()
    one.field("tank.length").fill("35 in")
    one.again()  # before it was sent
    expect(one.field("tank.length")).to_have_value("35 in")
    expect(one.understood("tank")).to_contain_text("89 cm (35 in) long")
    expect(one.page.get_by_label("in, F, US gal")).to_be_checked()
    one.page.get_by_role("button", name="Undo").click()
    one.said("Undone: Length")
    one.page.get_by_role("button", name="Undo").click()
    one.said("Undone: Height")
    assert one.text == FIRST


def test_two_pages_do_not_mix_and_a_new_one_offers_what_is_kept(context: Any, served: Served) -> None:
    first = Open(context, served.address)
    first.field("title").fill("the first")
    first.field("title").blur()
    expect(first.page.get_by_role("button", name="Undo")).to_be_enabled()
    second = Open(context, served.address)
    expect(second.field("title")).to_have_value("Stonecomb club, quarantine tank")
    second.field("title").fill("the second")
    second.field("title").blur()
    first.again()
    expect(first.field("title")).to_have_value("the first")
    first.page.close()
    third = Open(context, served.address)
    earlier = third.page.locator("#earlier")
    expect(earlier.get_by_role("listitem")).to_have_count(2)
    earlier.get_by_role("button", name="Go on with the first").click()
    expect(third.field("title")).to_have_value("the first")
    assert third.file["title"] == "the first"


def test_download_is_the_file_to_the_byte_and_an_opened_one_is_too(one: Open, tmp_path: Path) -> None:
    written = FIRST.replace("\n", "\r\n").replace("quarantine", "Kärntner „Becken“ 水")
    mine = tmp_path / "mine.toml"
    mine.write_bytes(written.encode("utf-8"))
    one.page.get_by_label("A file from this computer").set_input_files(mine)
    one.said("mine.toml is open")
    with one.page.expect_download() as saved:
        one.page.locator("#download").click()
    assert saved.value.suggested_filename == "mine.toml"
    assert Path(saved.value.path()).read_bytes() == mine.read_bytes()
    one.page.get_by_role("button", name="Undo").click()
    one.said("Undone: mine.toml opened")
    assert one.text == FIRST


def test_a_file_that_is_none_is_refused_in_words_and_the_page_goes_on(one: Open, tmp_path: Path) -> None:
    for name, content in {
        "picture.toml": b"\xff\xd8\xff\xe0",
        "long.toml": b"a" * 2_000_000,
        "odd.toml": b"a = [",
    }.items():
        (tmp_path / name).write_bytes(content)
        one.page.get_by_label("A file from this computer").set_input_files(tmp_path / name)
        expect(one.page.locator("#keep .problems:visible")).to_contain_text(name)
    assert one.text == FIRST


def test_a_file_that_names_a_stock_list_asks_for_it(one: Open, tmp_path: Path) -> None:
    head, _, tail = FIRST.partition("[[stock]]")
    (tmp_path / "with.toml").write_text(
        f'stock_list = "fish.csv"\n{head}{tail[tail.index("[run]") :]}', encoding="utf-8"
    )
    (tmp_path / "fish.csv").write_bytes("species;males;females\nTropheus moorii;2;4\n".encode("cp1252"))
    asked = one.page.get_by_label("The stock list that the file names")
    expect(asked).to_be_hidden()
    one.page.get_by_label("A file from this computer").set_input_files(tmp_path / "with.toml")
    expect(asked).to_be_visible()
    asked.set_input_files(tmp_path / "fish.csv")
    expect(one.understood("fish")).to_contain_text("6 fish in all")
    expect(asked).to_be_hidden()


def test_a_ready_scenario_and_the_file_as_text(one: Open) -> None:
    one.page.get_by_label("A ready scenario").select_option("bare-tank")
    one.page.get_by_role("button", name="Start from it").click()
    one.said("one undo away")
    expect(one.page.locator("#file-name")).to_have_text("bare-tank.toml")
    one.page.get_by_text("The file as text").click()
    area = one.page.get_by_label("Scenario file")
    assert area.input_value() == one.text
    area.fill(FIRST.replace("80 cm", "95 cm"))
    one.again()
    one.page.get_by_text("The file as text").click()
    assert area.input_value() == FIRST.replace("80 cm", "95 cm")  # kept, not yet taken
    one.page.get_by_role("button", name="Take this text").click()
    expect(one.field("tank.length")).to_have_value("95 cm")
    area.fill("this is [no TOML")
    one.page.get_by_role("button", name="Take this text").click()
    expect(one.page.locator("#as-text .problems")).to_contain_text("line 1")
    one.page.get_by_role("button", name="Undo").click()
    expect(one.field("tank.length")).to_have_value("95 cm")


# ---- when something is not there


def test_a_server_that_ends_and_comes_back_loses_nothing(context: Any) -> None:
    own = Served()
    page = Open(context, own.address)
    own.stop()
    page.field("tank.length").fill("99 cm")
    banner = page.page.locator("#banner")
    expect(banner).to_contain_text("does not answer")
    with page.page.expect_download() as saved:
        banner.get_by_role("button", name="Download").click()
    assert Path(saved.value.path()).read_text(encoding="utf-8") == FIRST
    own.start()
    expect(banner).to_be_hidden()
    expect(page.understood("tank")).to_contain_text("99 cm (39 in) long")
    assert page.file["tank"]["length"] == "99 cm"
    own.stop()


def test_without_the_token_it_is_said_what_to_open(context: Any, served: Served) -> None:
    page = context.new_page()
    page.goto(f"http://127.0.0.1:{served.port}/")
    expect(page.locator("#banner")).to_contain_text("Open the address that")
    page.goto(served.address)  # the same page but for what stands behind the #
    expect(page.locator('[data-field="tank.length"]')).to_have_value("80 cm")


def test_a_browser_that_keeps_nothing_is_said_and_goes_on(context: Any, served: Served) -> None:
    context.add_init_script(
        "Storage.prototype.setItem = function () { throw new DOMException('full', 'QuotaExceededError'); }"
    )
    page = Open(context, served.address)
    expect(page.page.locator("#unkept")).to_be_visible()
    page.field("tank.length").fill("99 cm")
    expect(page.understood("tank")).to_contain_text("99 cm (39 in) long")
    page.page.get_by_role("button", name="Undo").click()
    expect(page.field("tank.length")).to_have_value("80 cm")


def test_a_part_that_cannot_be_shown_leaves_the_others(context: Any, served: Served) -> None:
    context.route("**/screen/rock.js", lambda route: route.abort())
    context.route(
        "**/screen/sweep.js",
        lambda route: route.fulfill(
            body="export const mount = () => { throw 1 }", content_type="text/javascript"
        ),
    )
    page = Open(context, served.address)
    expect(page.page.locator("#rock-drawing")).to_contain_text("could not be shown")
    expect(page.page.locator("#how-much-rock-box")).to_contain_text("could not be shown")
    expect(page.field("rock.cover")).to_have_value("20 %")


# ---- for people


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (360, "light"), (1920, "dark"), (640, "light")])
def test_nothing_is_wider_than_the_window_and_nothing_is_too_small_to_touch(
    browser: Any, served: Served, width: int, scheme: str
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 450}, color_scheme=scheme, reduced_motion="reduce"
    )
    page = Open(context, served.address).page
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, input, select, textarea, summary")]
            .filter((one) => one.checkVisibility() && !one.matches("[type=radio], [type=checkbox]"))
            .filter((one) => one.getBoundingClientRect().height < 24)
            .map((one) => one.outerHTML.slice(0, 90))"""
    )
    assert small == []
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious_in_form_copy_and_dialog(context: Any, served: Served, scheme: str) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()

    def serious(page: Open) -> list[str]:
        found = axe.run(page.page).response["violations"]
        return [
            f"{one['id']}: {one['nodes'][0]['html']}"
            for one in found
            if one["impact"] in ("serious", "critical")
        ]

    page = Open(context, served.address)
    page.page.emulate_media(color_scheme=scheme)
    page.field("tank.length").fill("4 f")
    expect(page.field("tank.length")).to_have_attribute("aria-invalid", "true")
    for more in page.page.locator("main details > summary").all():
        if more.is_visible():
            more.click()
    assert serious(page) == []
    page.field("tank.length").fill("80 cm")
    page.page.locator("#change-a-copy").click()
    expect(page.page.get_by_label("Name of the copy")).to_be_focused()
    page.field("tank.height").fill("45")
    expect(page.page.locator("#tank .note:visible").filter(has_text="Set by this copy")).to_have_count(1)
    assert serious(page) == []
    page.row(0).get_by_role("button", name="What is assumed").click()
    expect(page.page.locator("dialog .trait").first).to_be_visible()
    assert serious(page) == []


def test_every_control_has_a_name_and_one_heading_leads(one: Open) -> None:
    assert one.page.locator("h1").count() == 1
    nameless = one.page.evaluate(
        """() => [...document.querySelectorAll("input, select, textarea")]
            .filter((one) => !one.labels?.length && !one.getAttribute("aria-label"))
            .map((one) => one.outerHTML)"""
    )
    assert nameless == []


def test_markup_in_names_is_text(one: Open) -> None:
    nasty = '<img src=x onerror="window.hit=1"><script>window.hit=2</script>'
    one.field("title").fill(nasty)
    one.field("title").blur()
    one.row(0).get_by_label("Species").fill(nasty)
    one.row(0).get_by_label("Species").blur()
    expect(one.row(0).get_by_label("Species")).to_have_attribute("aria-invalid", "true")
    one.again()
    expect(one.row(0).get_by_label("Species")).to_have_value(nasty)
    assert one.page.evaluate("window.hit") is None
    assert one.page.locator("main img").count() == 0


def test_on_paper_there_is_the_tank_and_nothing_to_press(one: Open) -> None:
    one.page.emulate_media(media="print")
    expect(one.field("tank.length")).to_be_visible()
    expect(one.understood("fish")).to_contain_text("3 fish in all")
    for line in one.page.locator(".understood-box li, .understood-box > summary").all():
        expect(line).to_be_visible()
    assert [one_.inner_text() for one_ in one.page.locator("button").all() if one_.is_visible()] == []
