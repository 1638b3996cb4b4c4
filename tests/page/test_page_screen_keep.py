"""Keeping what was typed on the page, in a real browser: files, reloads, a server that ends; who uses it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fake_page import command
from page_on_screen import FIRST, ON_SCREEN, TANK, Open, Served, browser, context, expect, one, served
from rockshy.analysis.page.serving.listening import listen

__all__ = ["browser", "context", "one", "served"]  # fixtures
pytestmark = ON_SCREEN

LONG = TANK.replace("trials = 16", "trials = 400")
NASTY = '<img src=x onerror="window.hit=1"><script>window.hit=2</script>'


def test_what_was_typed_is_found_after_a_reload_with_its_way_back(one: Open) -> None:
    one.type("tank.height", "45", "45 cm")
    one.units("in").check()
    one.field("tank.length").fill("35 in")
    one.again()  # before it was sent
    expect(one.field("tank.length")).to_have_value("35 in")
    expect(one.understood("tank")).to_contain_text("89 cm (35 in) long")
    expect(one.units("in")).to_be_checked()
    one.undo("Length", "Height")
    assert one.text == FIRST


def test_two_pages_do_not_mix_and_a_new_one_offers_what_is_kept(context: Any, served: Served) -> None:
    first, second = Open(context, served.address), Open(context, served.address)
    expect(second.field("title")).to_have_value("Stonecomb club, quarantine tank")
    for page, title in ((first, "the first"), (second, "the second")):
        page.type("title", title)
        expect(page.button("Undo")).to_be_enabled()
    first.again()
    expect(first.field("title")).to_have_value("the first")
    first.page.close()
    third = Open(context, served.address)
    third.show("start")
    expect(third.find("#earlier").get_by_role("listitem")).to_have_count(2)
    third.press("Go on with the first", "#earlier")
    expect(third.field("title")).to_have_value("the first")
    assert third.file["title"] == "the first"


def test_download_is_the_file_to_the_byte_and_an_opened_one_is_too(one: Open, tmp_path: Path) -> None:
    written = FIRST.replace("\n", "\r\n").replace("quarantine", "Kärntner „Becken“ 水").encode()
    one.open("mine.toml", written)
    one.said("mine.toml is open")
    saved = one.download(tmp_path)
    assert saved.name == "mine.toml" and saved.read_bytes() == written
    one.undo("mine.toml opened")
    assert one.text == FIRST


def test_a_file_that_names_a_stock_list_asks_for_it(one: Open) -> None:
    head, _, tail = FIRST.partition("[[stock]]")
    fish = "species;males;females\nTropheus moorii;2;4\n".encode("cp1252")
    asked = one.page.get_by_label("The stock list that the file names")
    expect(asked).to_be_hidden()
    one.open("with.toml", f'stock_list = "fish.csv"\n{head}{tail[tail.index("[run]") :]}'.encode())
    expect(asked).to_be_visible()
    asked.set_input_files({"name": "fish.csv", "mimeType": "text/csv", "buffer": fish})
    expect(one.understood("fish")).to_contain_text("6 fish in all")
    expect(asked).to_be_hidden()


def test_a_ready_scenario_and_the_file_as_text(one: Open) -> None:
    one.show("keep")
    one.page.get_by_label("A ready scenario").select_option("bare-tank")
    one.press("Start from it")
    one.said("Undo brings back")
    expect(one.find("#download")).to_have_text("Download bare-tank.toml")
    one.page.get_by_text("The file as text").click()
    area = one.page.get_by_label("Scenario file")
    assert area.input_value() == one.text
    area.fill(FIRST.replace("80 cm", "95 cm"))
    one.again()
    one.show("keep")
    one.page.get_by_text("The file as text").click()
    assert area.input_value() == FIRST.replace("80 cm", "95 cm")  # kept, not yet taken
    one.press("Take this text", "#keep")
    expect(one.field("tank.length")).to_have_value("95 cm")
    one.show("keep")
    area.fill("this is [no TOML")
    one.press("Take this text", "#keep")
    expect(one.find("#as-text .problems")).to_contain_text("line 1")
    one.undo("")
    expect(one.field("tank.length")).to_have_value("95 cm")


ODD = {
    "no TOML": (b"title = [\n", "line"),
    "too long": (b"# " + b"a" * 1_000_000, "use at most 1000000"),
    "binary": (bytes(range(256)) * 4, "no text in UTF-8"),
    "zeros": (b"\x00" * 20, "line 1"),
}


def test_a_file_that_cannot_be_opened_is_refused_in_words_and_changes_nothing(one: Open) -> None:
    one.type("title", "mine")
    one.until(lambda: 'title = "mine"' in one.text)
    before = one.text
    for name, (content, said) in ODD.items():
        one.open(f"{name}.toml", content)
        refused = one.find("#keep .problems:visible")
        expect(refused).to_contain_text(f"{name}.toml")
        expect(refused).to_contain_text(said)
        assert one.text == before
        expect(one.find("#download")).to_have_text("Download quarantine.toml")
    one.press("Undo")
    expect(one.field("title")).to_have_value("Stonecomb club, quarantine tank")
    assert one.text == FIRST


def test_a_killed_server_is_said_and_nothing_is_lost_when_it_is_started_anew(
    context: Any, tmp_path: Path
) -> None:
    file = tmp_path / "long.toml"
    file.write_text(LONG, encoding="utf-8")
    with listen(0) as free:
        port = free.getsockname()[1]
    with command(str(file), "--port", str(port)) as (process, address):
        page = Open(context, address)
        page.type("tank.length", "75 cm")
        expect(page.understood("tank")).to_contain_text("61 L")
        process.kill()
        process.wait()
    banner = page.find("#banner")
    page.field("tank.height").fill("33 cm")
    expect(banner).to_contain_text("Rockshy does not answer")
    with command(str(file), "--port", str(port)) as (_, new):
        assert new != address
        expect(banner).to_contain_text("another start of Rockshy")
        expect(banner).to_contain_text("Open the address that rockshy page printed")
        page.page.goto(new)
        page.page.wait_for_function("() => location.hash === '' && document.documentElement.dataset.ready")
        expect(page.field("tank.length")).to_have_value("75 cm")
        expect(page.field("tank.height")).to_have_value("33 cm")
        wanted = LONG.replace('length = "60 cm"', 'length = "75 cm"')
        wanted = wanted.replace("\nheight = 30", '\nheight = "33 cm"')
        page.until(lambda: page.text == wanted)
        expect(banner).to_be_hidden()
        page.press("Try it", "#answer")
        expect(page.find("#answer .headline p").first).to_be_visible()
        page.press("Stop", "#answer")
        expect(page.far("answer")).to_contain_text("Stopped")
        page.undo("Height", "Length")
        page.until(lambda: page.text == LONG)
    assert page.faults == []


def test_a_server_that_ends_and_comes_back_loses_nothing(context: Any, tmp_path: Path) -> None:
    own = Served()
    page = Open(context, own.address)
    own.stop()
    page.field("tank.length").fill("99 cm")
    banner = page.find("#banner")
    expect(banner).to_contain_text("does not answer")
    saved = page.download(tmp_path, banner.get_by_role("button", name="Download"))
    assert saved.read_text(encoding="utf-8") == FIRST
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
    full = "throw new DOMException('full', 'QuotaExceededError');"
    context.add_init_script(f"Storage.prototype.setItem = function () {{ {full} }}")
    page = Open(context, served.address)
    expect(page.find("#unkept")).to_be_visible()
    page.field("tank.length").fill("99 cm")
    expect(page.understood("tank")).to_contain_text("99 cm (39 in) long")
    page.undo("")
    expect(page.field("tank.length")).to_have_value("80 cm")


def test_a_part_that_cannot_be_shown_leaves_the_others(context: Any, served: Served) -> None:
    broken = {"body": "export const mount = () => { throw 1 }", "content_type": "text/javascript"}
    context.route("**/screen/rock.js", lambda route: route.abort())
    context.route("**/screen/sweep.js", lambda route: route.fulfill(**broken))
    page = Open(context, served.address)
    for part in ("#rock-box", "#how-much-rock-box"):
        expect(page.find(part)).to_contain_text("could not be shown")
    expect(page.field("tank.length")).to_have_value("80 cm")


def test_on_paper_there_is_the_tank_and_nothing_to_press(one: Open) -> None:
    one.page.evaluate("dispatchEvent(new Event('beforeprint'))")
    one.page.emulate_media(media="print")
    paper = one.find("#on-paper")
    expect(paper).to_be_visible()
    expect(paper).to_contain_text("80 cm (31 in) long")
    expect(paper).to_contain_text("3 fish in all")
    expect(one.find(".glass canvas").first).to_be_visible()
    expect(one.find(".fish-rows .count").first).to_be_visible()
    seen = [button.inner_text() for button in one.find("button").all() if button.is_visible()]
    assert seen == [
        "Tank 80 \u00d7 40 \u00d7 40 cm",
        "Rock: 20 % of the floor",
        "Tropheus duboisi",
    ]  # as words


def unharmed(page: Any) -> None:
    """Nothing that was a name became an element or ran, in the page and its frames."""
    for frame in page.frames:
        assert frame.evaluate("window.hit") is None
        assert frame.locator("img[src=x]").count() == 0


def test_markup_in_names_is_text_in_page_film_and_report(one: Open) -> None:
    page = one.page
    one.open("<img src=x onerror=window.hit=3>.toml", TANK.replace("trials = 16", "trials = 3").encode())
    expect(one.find("#download")).to_have_text("Download <img src=x onerror=window.hit=3>.toml")
    for field in ("title", "question"):
        one.type(field, f"{field} {NASTY}")
        one.until(lambda field=field: one.file[field] == f"{field} {NASTY}")  # type: ignore[misc]
    one.type(one.cell(0, "Species"), NASTY)
    expect(one.cell(0, "Species")).to_have_attribute("aria-invalid", "true")
    expect(one.row(0)).to_contain_text(NASTY)
    one.undo("")
    expect(one.cell(0, "Species")).to_have_value("Tropheus duboisi")
    one.copy(NASTY)
    one.type(one.cell(0, "Females"), "1")
    one.until(lambda: NASTY in str(one.file.get("alternative")))
    one.press("Compare", "#what-if")
    expect(one.find("#what-if .against h4")).to_have_text(NASTY)
    expect(one.far("what-if")).to_contain_text("Done")
    unharmed(page)
    one.press("Watch it next to the tank as it is")
    assert NASTY in one.film().locator("body").inner_text()
    unharmed(page)
    one.press("Make the report", "#keep")
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Open the report").click()
    opened.value.wait_for_load_state()
    assert f"title {NASTY}" in opened.value.locator("body").inner_text()
    unharmed(opened.value)
