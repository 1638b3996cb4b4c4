"""What the model says, on the screen: a real browser and server, with work that the test drives."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import staged_work
from page_on_screen import ON_SCREEN, Open, browser, expect, one, served
from staged_work import LABELS, MILD, NASTY, READING, Works, nothing_runs_on, work

__all__ = ["browser", "nothing_runs_on", "one", "served", "work"]  # fixtures
pytestmark = [*ON_SCREEN, pytest.mark.usefixtures("nothing_runs_on")]

FILM = '<!doctype html><html lang="en"><title>film</title><p>A film.</p></html>'


Films = list[dict[str, Any]]


@pytest.fixture(autouse=True)
def films(monkeypatch: pytest.MonkeyPatch) -> Films:
    """What films were asked for; each is made at once."""
    asked: list[dict[str, Any]] = []

    def make(scenario: object, **how: Any) -> tuple[str, dict[str, Any]]:
        asked.append(how)
        trial = 5 if how["trial"] is None else how["trial"]
        return FILM, {"why": ["Because it is staged."], "trial": trial}

    monkeypatch.setattr("rockshy.analysis.page.work.filming.film_of", make)
    return asked


@pytest.fixture
def answered(one: Open, work: Works) -> Open:
    """The page after a try of eight tanks."""
    one.press("Try it", "#answer")
    work["try"].finish(staged_work.tried(8))
    expect(one.far("answer")).to_contain_text("Done: 8 of 8 simulated tanks")
    return one


def test_the_answer_sharpens_worst_off_fish_first_and_ends(one: Open, work: Works) -> None:
    one.press("Try it", "#answer")
    work["try"].post(None, 0, 8, "compiling the rules")
    expect(one.far("answer")).to_contain_text("0 of 8 simulated tanks. compiling the rules")
    work["try"].post(staged_work.tried(2), 2, 8)
    one.said("First numbers. It comes off worst.")
    expect(one.far("answer").locator("progress")).to_have_attribute("max", "8")
    assert one.far("answer").locator("progress").evaluate("bar => bar.value") == 2
    expect(one.find(".fates .name")).to_have_text(LABELS)
    one.show("tries")
    first = one.find(".fates > li").first
    expect(first.locator(".figure")).to_have_text("loses 60 %; chased 12 an hour; hidden 50 %; pinned 10 %.")
    expect(first.get_by_role("button")).to_have_text(["What helps it?", "Watch it"])
    expect(one.find("#tries-box")).to_contain_text(READING)
    work["try"].finish(staged_work.tried(8, headline="It is sure."))
    expect(one.far("answer")).to_contain_text("Done: 8 of 8 simulated tanks")
    expect(one.find("#answer .headline")).to_contain_text("It is sure.")
    expect(one.page.get_by_role("button", name="Stop", exact=True)).to_have_count(0)
    one.said("The try: Done: 8 of 8 simulated tanks. It is sure.")
    one.find("#tries summary", has_text="All figures").click()
    expect(one.find("#tries .figures th[scope=row]", has_text="lost of its")).to_be_visible()


def test_the_interval_is_drawn_where_the_numbers_say(answered: Open) -> None:
    answered.show("tries")
    drawing = answered.find(".fates .drawing svg").first
    expect(drawing.locator(".sure")).to_have_attribute("x", "30%")
    expect(drawing.locator(".sure")).to_have_attribute("width", re.compile(r"^40(\.0+\d)?%$"))
    line = drawing.locator("line.guesses").first
    expect(line).to_have_attribute("x1", "10.00%")
    expect(line).to_have_attribute("x2", "90.00%")
    expect(drawing.locator(".value")).to_have_attribute("x1", "60.00%")
    ticks = answered.find("#tries .figured .axis text")
    expect(ticks).to_have_text(["0 %", "25 %", "50 %", "75 %", "100 %"])
    group = answered.find(".dots [role=group]")
    expect(group).to_have_attribute("aria-label", re.compile(f"{MILD} swims free.*8 tanks"))
    answered.find("#tries summary", has_text="as a table").click()
    rows = answered.find("#tries .figures tbody tr")
    expect(rows).to_have_count(8)
    expect(rows.nth(3)).to_have_text(re.compile(r"Tank 4\s*63 %\s*yes\s*30"))


def test_stop_ends_it_keeps_what_is_done_and_the_focus_stays_on_the_page(one: Open, work: Works) -> None:
    one.press("Try it", "#answer")
    work["try"].post(staged_work.tried(4), 4, 8)
    expect(one.find(".fates > li")).to_have_count(3)
    one.page.get_by_role("button", name="Stop", exact=True).focus()
    one.page.keyboard.press("Enter")
    expect(one.far("answer")).to_contain_text("4 of 8 simulated tanks. Stopped; what is done is kept.")
    expect(one.page.get_by_role("button", name="Try it", exact=True)).to_be_focused()
    expect(one.find(".fates > li")).to_have_count(3)
    assert work["try"].tasks[0].halted()


def test_an_answer_of_an_older_file_says_so_until_the_file_is_as_it_was(answered: Open) -> None:
    older = answered.find("#answer .runner .older")
    expect(older).to_be_hidden()
    answered.type("tank.length", "90 cm")
    expect(older).to_contain_text("for the tank before your last changes")
    expect(answered.find("#answer .headline p").first).to_be_visible()
    answered.undo("")
    expect(older).to_be_hidden()


def test_work_that_runs_is_found_again_after_a_reload_and_a_short_loss_of_the_server(
    one: Open, work: Works
) -> None:
    one.press("Try it", "#answer")
    work["try"].post(staged_work.tried(2), 2, 8)
    expect(one.find(".fates > li")).to_have_count(3)
    asked: list[str] = []
    one.page.on("request", lambda request: asked.append(request.url.rpartition("/")[2]))
    one.again()
    expect(one.far("answer")).to_contain_text("2 of 8 simulated tanks")
    one.page.route("**/follow", lambda route: route.abort())
    work["try"].post(None, 3, 8)
    expect(one.far("answer")).to_contain_text("does not answer; asking again")
    one.page.unroute("**/follow")
    work["try"].finish(staged_work.tried(8))
    expect(one.far("answer")).to_contain_text("Done: 8 of 8 simulated tanks")
    expect(one.find("#answer .runner .older")).to_be_hidden()
    assert "start" not in asked
    assert len(work["try"].tasks) == 1
    one.again()
    expect(one.far("answer")).to_contain_text("Done: 8 of 8 simulated tanks")


def test_a_second_kind_of_work_is_refused_with_the_way_out(one: Open, work: Works) -> None:
    one.press("Try it", "#answer")
    first = work["try"].wait_for_task()
    one.press("How much rock?", "#how-much-rock")
    refused = one.find("#how-much-rock .problems")
    expect(refused).to_contain_text("Something is being tried on this page already")
    one.press("Stop that and start this")
    work["rock"].wait_for_task()
    assert first.halted()
    expect(refused).to_be_hidden()
    expect(one.far("answer")).to_contain_text("Stopped")


def test_tanks_to_watch_by_button_number_and_mark(one: Open, work: Works, films: Films) -> None:
    one.press("Try it", "#answer")
    work["try"].post(staged_work.tried(2), 2, 8)
    frame = one.find("#film iframe")
    one.show("tries")
    expect(one.page.get_by_role("button", name="Pinned in none so far")).to_be_disabled()
    work["try"].finish(staged_work.tried(8))
    one.press("One where it was pinned", "#tries")
    expect(frame).to_have_attribute("title", re.compile("simulated tank 4"))
    expect(one.find("#film h3")).to_be_focused()
    one.show("tries")
    one.page.get_by_label("Any simulated tank, by its number").fill("7")
    one.page.get_by_label("Any simulated tank, by its number").press("Enter")
    expect(frame).to_have_attribute("title", re.compile("simulated tank 7"))
    one.show("tries")
    marks = one.find(".dots .tank[role=button]")
    expect(marks).to_have_count(8)
    expect(one.find(".dots .tank.pinned[role=button] path")).to_have_count(2)
    one.find(".dots .tank[tabindex='0']").focus()
    one.page.keyboard.press("ArrowRight")
    wanted = one.page.evaluate("document.activeElement.of")
    one.page.keyboard.press("Enter")
    expect(frame).to_have_attribute("title", re.compile(f"simulated tank {wanted + 1}$"))
    assert [film["trial"] for film in films] == [3, 6, wanted]


def test_a_film_is_kept_apart_from_the_page_and_can_be_saved(answered: Open, tmp_path: Path) -> None:
    answered.press("A typical tank", "#tries")
    expect(answered.find("#film iframe")).to_have_attribute("sandbox", "allow-scripts")
    expect(answered.page.frame_locator("#film iframe").locator("p")).to_have_text("A film.")
    saved = answered.download(tmp_path, answered.page.get_by_role("link", name="Save the film"))
    assert saved.name == "the-tank-as-it-is-simulated-tank-2.html"
    assert saved.read_text(encoding="utf-8") == FILM


def test_copies_are_compared_in_words_and_drawings_and_watched_in_step(
    one: Open, work: Works, films: Films
) -> None:
    one.copy()
    name = str(one.find("#what-if .copies bdi").text_content())
    one.press("Compare", "#what-if")
    work["compare"].finish(staged_work.compared(name, "the mild species swims free more."))
    against = one.find("#what-if .against")
    expect(against.locator(".sentence")).to_have_text("the mild species swims free more.")
    expect(against.locator(".group")).to_have_count(2)
    mild = against.locator(".group").nth(1).locator(".differences > li")
    told = "60 % to 40 %; -20 (95 %: -25 to -15); better in 7 of 8 tanks; that is better"
    expect(mild.first).to_contain_text(told)
    expect(mild.last).to_contain_text("too close to call")
    one.press("Watch it next to the tank as it is")
    expect(one.find("#film iframe")).to_be_visible()
    assert (films[-1]["which"], films[-1]["beside"], films[-1]["trial"]) == (0, 1, 1)


def test_what_helps_is_one_click_from_the_worst_off_fish(answered: Open, work: Works, films: Films) -> None:
    one = answered
    one.press("What helps it?", "#tries")
    task = work["relief"].wait_for_task()
    assert task.what["fish"] == LABELS[0]
    task.kept["changes"] = {4: ("one male out", task.scenario)}
    work["relief"].finish(staged_work.relieved())
    first = one.find("#what-helps ol.changes > li")
    expect(first).to_have_count(1)
    expect(first).to_contain_text("They lose 40 % instead of 60 %.")
    expect(first).to_contain_text("Takes: 1 fish to catch")
    expect(first.locator("svg.difference")).to_be_visible()
    expect(one.find("#what-helps .caution").first).to_contain_text("move it out at once")
    first.get_by_role("button", name="Watch side by side").click()
    expect(one.find("#film iframe")).to_be_visible()
    assert films[-1]["change"][0] == "one male out"
    one.show("what-helps")
    one.find("#what-helps summary", has_text="not suggested").click()
    expect(one.page.get_by_text("Makes it worse")).to_be_visible()
    expect(one.page.get_by_text(NASTY)).to_be_visible()  # as text
    assert one.page.evaluate("window.hit") is None
    expect(one.page.get_by_role("button", name=f"Make it a copy: {NASTY}")).to_have_count(0)


def test_the_sweep_fills_in_and_a_point_is_seen_and_taken(one: Open, work: Works) -> None:
    one.press("How much rock?", "#how-much-rock")
    task = work["rock"].wait_for_task()
    assert dict(task.what) == {"kind": "rock", "which": 0, "vary": ["cover"], "level": None}
    work["rock"].post(staged_work.swept(2), 58, 290)
    points = one.find("#how-much-rock .point")
    expect(points).to_have_count(2)
    work["rock"].finish(staged_work.swept(5, headline=("40 % is the least amount.",)))
    expect(points).to_have_count(5)
    expect(one.find("#how-much-rock .headline")).to_have_text("40 % is the least amount.")
    heights = [float(point.get_attribute("cy") or "nan") for point in points.locator("circle").all()]
    assert heights == sorted(heights) and len(set(heights)) == 4  # less often pinned: further down
    expect(one.find("#how-much-rock .point.own rect.dot")).to_have_count(1)
    points.first.focus()
    for key in ("End", "Enter"):
        one.page.keyboard.press(key)
    chosen = one.find(".chosen-point")
    expect(chosen).to_contain_text("pinned in 3 of 30 simulated tanks (95 %: 0 to 20 %); it swims")
    expect(points.last).to_have_attribute("aria-pressed", "true")
    chosen.get_by_role("button", name="Take this amount").click()
    expect(one.find("#how-much-rock .older")).to_contain_text("before your last changes")
    assert one.file["rock"]["cover"] == pytest.approx(0.4)
