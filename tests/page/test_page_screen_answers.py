"""What the model says, on the screen: a real browser and server, with work that the test drives."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
import staged_work
from page_on_screen import Open, Served, browser, context, expect, needs_chromium, one, served, sync_api
from rockshy.analysis.page.work.filming import film_of
from staged_work import LABELS, MILD, NASTY, READING, Staged

__all__ = ["browser", "context", "one", "served"]  # fixtures
pytestmark = [needs_chromium, pytest.mark.thorough]
sync_api.expect.set_options(timeout=20_000)  # trials and browser share the cores

FILM = '<!doctype html><html lang="en"><title>film</title><p>A film.</p></html>'
SIZES = "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))"
CROWDED = """all => {
  const boxes = all.map(one => one.getBoundingClientRect());
  const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
  return boxes.some((a, k) => boxes.some((b, j) => j > k && meet(a, b)));
}"""
KINDS = ("try", "compare", "relief", "rock")


@pytest.fixture(autouse=True)
def work(monkeypatch: pytest.MonkeyPatch) -> dict[str, Staged]:
    """Staged work of every kind in the place of the real one."""
    staged = {kind: Staged() for kind in KINDS}
    monkeypatch.setattr("rockshy.analysis.page.work.WORK", staged)
    return staged


@pytest.fixture(autouse=True)
def films(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What films were asked for; each is made at once."""
    asked: list[dict[str, Any]] = []

    def make(scenario: object, **how: Any) -> tuple[str, dict[str, Any]]:
        asked.append(how)
        trial = 5 if how["trial"] is None else how["trial"]
        return FILM, {"why": ["Because it is staged."], "trial": trial}

    monkeypatch.setattr("rockshy.analysis.page.work.filming.film_of", make)
    return asked


@pytest.fixture(autouse=True)
def nothing_runs_on(served: Served) -> Iterator[None]:
    yield
    for job in served.desk.jobs.all():
        job.halt("the test is over")


def start(one: Open, name: str = "Try it") -> None:
    one.page.get_by_role("button", name=name, exact=True).click()


def far(one: Open, part: str, k: int = 0) -> Any:
    """How far the work of a part is, in words."""
    return one.page.locator(f"#{part} .far").nth(k)


def finish(work: Staged, result: dict[str, Any], *, tanks: int = 8) -> None:
    work.post(result, tanks, tanks)
    work.end()


# ---- try


def test_the_films_of_this_page_are_those_of_the_project() -> None:
    assert callable(film_of)


def test_the_answer_sharpens_worst_off_fish_first_and_ends(one: Open, work: dict[str, Staged]) -> None:
    start(one)
    work["try"].post(None, 0, 8, "compiling the rules")
    expect(far(one, "tries")).to_contain_text("0 of 8 simulated tanks. compiling the rules")
    work["try"].post(staged_work.tried(2), 2, 8)
    one.said("First numbers. It comes off worst.")
    expect(far(one, "tries").locator("progress")).to_have_attribute("max", "8")
    assert far(one, "tries").locator("progress").evaluate("bar => bar.value") == 2
    expect(one.page.locator(".fates .name")).to_have_text(LABELS)
    first = one.page.locator(".fates > li").first
    expect(first.locator(".figure")).to_have_text("loses 60 %; chased 12 an hour; hidden 50 %; pinned 10 %.")
    expect(first.get_by_role("button")).to_have_text(["What helps it?", "Watch it"])
    expect(one.page.locator("#tries .answer")).to_contain_text(READING)
    finish(work["try"], staged_work.tried(8, headline="It is sure."))
    expect(far(one, "tries")).to_contain_text("Done: 8 of 8 simulated tanks")
    expect(one.page.locator("#tries .headline")).to_contain_text("It is sure.")
    expect(one.page.get_by_role("button", name="Stop", exact=True)).to_have_count(0)
    one.said("The try: Done: 8 of 8 simulated tanks. It is sure.")
    one.page.locator("#tries summary", has_text="All figures").click()
    expect(one.page.locator("#tries .figures th[scope=row]", has_text="lost of its")).to_be_visible()


def test_the_interval_is_drawn_where_the_numbers_say(one: Open, work: dict[str, Staged]) -> None:
    start(one)
    finish(work["try"], staged_work.tried(8))
    drawing = one.page.locator(".fates .drawing svg").first
    expect(drawing.locator(".sure")).to_have_attribute("x", "30%")
    expect(drawing.locator(".sure")).to_have_attribute("width", re.compile(r"^40(\.0+\d)?%$"))
    line = drawing.locator("line.guesses").first
    expect(line).to_have_attribute("x1", "10.00%")
    expect(line).to_have_attribute("x2", "90.00%")
    expect(drawing.locator(".value")).to_have_attribute("x1", "60.00%")
    ticks = one.page.locator("#tries .figured .axis text")
    expect(ticks).to_have_text(["0 %", "25 %", "50 %", "75 %", "100 %"])


def test_stop_ends_it_keeps_what_is_done_and_the_focus_stays_on_the_page(
    one: Open, work: dict[str, Staged]
) -> None:
    start(one)
    work["try"].post(staged_work.tried(4), 4, 8)
    expect(one.page.locator(".fates > li")).to_have_count(3)
    one.page.get_by_role("button", name="Stop", exact=True).focus()
    one.page.keyboard.press("Enter")
    expect(far(one, "tries")).to_contain_text("4 of 8 simulated tanks. Stopped; what is done is kept.")
    expect(one.page.get_by_role("button", name="Try it", exact=True)).to_be_focused()
    expect(one.page.locator(".fates > li")).to_have_count(3)
    assert work["try"].tasks[0].halted()


def test_an_answer_of_an_older_file_says_so_until_the_file_is_as_it_was(
    one: Open, work: dict[str, Staged]
) -> None:
    start(one)
    finish(work["try"], staged_work.tried(8))
    older = one.page.locator("#tries .older")
    expect(far(one, "tries")).to_contain_text("Done")
    expect(older).to_be_hidden()
    one.field("tank.length").fill("90 cm")
    one.field("tank.length").blur()
    expect(older).to_contain_text("of the tank before your last changes")
    expect(one.page.locator(".fates > li").first).to_be_visible()
    one.page.get_by_role("button", name="Undo").click()
    expect(older).to_be_hidden()


def test_after_a_reload_the_work_that_runs_is_found_again_and_followed_once(
    one: Open, work: dict[str, Staged]
) -> None:
    start(one)
    work["try"].post(staged_work.tried(2), 2, 8)
    expect(one.page.locator(".fates > li")).to_have_count(3)
    asked: list[str] = []
    one.page.on("request", lambda request: asked.append(request.url.rpartition("/")[2]))
    one.again()
    expect(far(one, "tries")).to_contain_text("2 of 8 simulated tanks")
    finish(work["try"], staged_work.tried(8))
    expect(far(one, "tries")).to_contain_text("Done: 8 of 8 simulated tanks")
    expect(one.page.locator("#tries .older")).to_be_hidden()
    assert "start" not in asked
    assert len(work["try"].tasks) == 1
    one.again()
    expect(far(one, "tries")).to_contain_text("Done: 8 of 8 simulated tanks")


def test_a_short_loss_of_the_server_is_said_and_survived(one: Open, work: dict[str, Staged]) -> None:
    start(one)
    work["try"].post(staged_work.tried(2), 2, 8)
    expect(far(one, "tries")).to_contain_text("2 of 8")
    one.page.route("**/follow", lambda route: route.abort())
    work["try"].post(None, 3, 8)
    expect(far(one, "tries")).to_contain_text("does not answer; asking again")
    one.page.unroute("**/follow")
    finish(work["try"], staged_work.tried(8))
    expect(far(one, "tries")).to_contain_text("Done: 8 of 8 simulated tanks")


def test_a_second_kind_of_work_is_refused_with_the_way_out(one: Open, work: dict[str, Staged]) -> None:
    start(one)
    first = work["try"].wait_for_task()
    start(one, "How much rock?")
    refused = one.page.locator("#how-much-rock .problems")
    expect(refused).to_contain_text("Something is being tried on this page already")
    one.page.get_by_role("button", name="Stop that and start this").click()
    work["rock"].wait_for_task()
    assert first.halted()
    expect(refused).to_be_hidden()
    expect(far(one, "tries")).to_contain_text("Stopped")


# ---- films


def test_tanks_to_watch_by_button_number_and_mark(
    one: Open, work: dict[str, Staged], films: list[dict[str, Any]]
) -> None:
    start(one)
    work["try"].post(staged_work.tried(2), 2, 8)
    frame = one.page.locator("#film iframe")
    # one plays beside the trials without being asked for
    expect(frame).to_have_attribute("title", "Film: the tank as it is: simulated tank 1")
    expect(one.page.get_by_role("button", name="Pinned in none so far")).to_be_disabled()
    finish(work["try"], staged_work.tried(8))
    one.page.get_by_role("button", name="One where it was pinned").click()
    expect(frame).to_have_attribute("title", re.compile("simulated tank 3"))
    expect(one.page.locator("#film h3")).to_be_focused()
    one.page.get_by_label("Any simulated tank, by its number").fill("6")
    one.page.get_by_label("Any simulated tank, by its number").press("Enter")
    expect(frame).to_have_attribute("title", re.compile("simulated tank 6"))
    marks = one.page.locator(".dots .tank[role=button]")
    expect(marks).to_have_count(8)
    expect(one.page.locator(".dots .tank.pinned[role=button] path")).to_have_count(2)
    one.page.locator(".dots .tank[tabindex='0']").focus()
    one.page.keyboard.press("ArrowRight")
    wanted = one.page.evaluate("document.activeElement.trial")
    one.page.keyboard.press("Enter")
    expect(frame).to_have_attribute("title", re.compile(f"simulated tank {wanted}$"))
    assert [film["trial"] for film in films] == [1, 3, 6, wanted]


def test_a_film_is_kept_apart_from_the_page_and_can_be_saved(one: Open, work: dict[str, Staged]) -> None:
    start(one)
    finish(work["try"], staged_work.tried(8))
    one.page.get_by_role("button", name="A middling tank").click()
    frame = one.page.locator("#film iframe")
    expect(frame).to_have_attribute("sandbox", "allow-scripts")
    expect(one.page.frame_locator("#film iframe").locator("p")).to_have_text("A film.")
    with one.page.expect_download() as saved:
        one.page.get_by_role("link", name="Save the film").click()
    assert saved.value.suggested_filename == "the-tank-as-it-is-simulated-tank-1.html"
    assert saved.value.path().read_text(encoding="utf-8") == FILM


# ---- what if


def copy_of(one: Open) -> str:
    """Make a copy; its name."""
    one.page.locator("#change-a-copy").click()
    expect(one.page.locator("#what-if .copies li")).to_have_count(1)
    expect(one.page.locator(".of-copy input").first).to_be_focused()
    return str(one.page.locator("#what-if .copies bdi").text_content())


def test_copies_are_compared_in_words_and_drawings_and_watched_in_step(
    one: Open, work: dict[str, Staged], films: list[dict[str, Any]]
) -> None:
    name = copy_of(one)
    start(one, "Compare")
    finish(work["compare"], staged_work.compared(name, "the mild species swims free more."))
    against = one.page.locator("#what-if .against")
    expect(against.locator(".sentence")).to_have_text("the mild species swims free more.")
    expect(against.locator(".group")).to_have_count(2)
    mild = against.locator(".group").nth(1).locator(".differences > li")
    expect(mild.first).to_contain_text(
        "60 % to 40 %; -20 (95 %: -25 to -15); better in 7 of 8 tanks; that is better"
    )
    expect(mild.last).to_contain_text("cannot tell it from nothing")
    one.page.get_by_role("button", name="Watch it beside the tank as it is").click()
    expect(one.page.locator("#film iframe")).to_be_visible()
    assert (films[-1]["which"], films[-1]["beside"], films[-1]["trial"]) == (0, 1, 1)


def test_what_helps_is_one_click_from_the_worst_off_fish(
    one: Open, work: dict[str, Staged], films: list[dict[str, Any]]
) -> None:
    start(one)
    finish(work["try"], staged_work.tried(8))
    one.page.get_by_role("button", name="What helps it?").click()
    task = work["relief"].wait_for_task()
    assert task.what["fish"] == LABELS[0]
    task.kept["changes"] = {4: ("one male out", task.scenario)}
    finish(work["relief"], staged_work.relieved())
    first = one.page.locator("#what-if ol.changes > li")
    expect(first).to_have_count(1)
    expect(first).to_contain_text("They lose 40 % in the place of 60 %.")
    expect(first).to_contain_text("Takes: 1 fish to catch")
    expect(first.locator("svg.difference")).to_be_visible()
    expect(one.page.locator("#what-if .caution").first).to_contain_text("separated first")
    first.get_by_role("button", name="Watch it beside").click()
    expect(one.page.locator("#film iframe")).to_be_visible()
    assert films[-1]["change"][0] == "one male out"
    one.page.locator("#what-if summary", has_text="not put forward").click()
    expect(one.page.get_by_text("Makes it worse")).to_be_visible()
    expect(one.page.get_by_text(NASTY)).to_be_visible()  # as text
    assert one.page.evaluate("window.hit") is None
    expect(one.page.get_by_role("button", name=f"Take it as a copy: {NASTY}")).to_have_count(0)


# ---- how much rock


def test_the_sweep_fills_in_and_a_point_is_seen_and_taken(one: Open, work: dict[str, Staged]) -> None:
    start(one, "How much rock?")
    task = work["rock"].wait_for_task()
    assert dict(task.what) == {"kind": "rock", "which": 0, "vary": ["cover"], "level": None}
    work["rock"].post(staged_work.swept(2), 58, 290)
    points = one.page.locator("#how-much-rock .point")
    expect(points).to_have_count(2)
    finish(work["rock"], staged_work.swept(5, verdict=("40 % is the least amount.",)))
    expect(points).to_have_count(5)
    expect(one.page.locator("#how-much-rock .headline")).to_have_text("40 % is the least amount.")
    heights = [float(point.get_attribute("cy") or "nan") for point in points.locator("circle").all()]
    assert heights == sorted(heights) and len(set(heights)) == 4  # less often pinned: further down
    expect(one.page.locator("#how-much-rock .point.own rect.dot")).to_have_count(1)
    points.first.focus()
    for key in ("End", "Enter"):
        one.page.keyboard.press(key)
    chosen = one.page.locator(".chosen-point")
    expect(chosen).to_contain_text("pinned in 3 of 30 simulated tanks (95 %: 0 to 20 %); it swims")
    expect(points.last).to_have_attribute("aria-pressed", "true")
    chosen.get_by_role("button", name="Take this amount").click()
    expect(one.page.locator("#how-much-rock .older")).to_contain_text("before your last changes")
    assert one.file["rock"]["cover"] == pytest.approx(0.4)


# ---- for people


@pytest.mark.parametrize("width", [360, 1920])
def test_nothing_runs_out_of_the_page_and_texts_are_large_enough(
    browser: Any, served: Served, work: dict[str, Staged], width: int
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, reduced_motion="reduce")
    try:
        page = Open(context, served.address)
        start(page)
        finish(work["try"], staged_work.tried(64))
        expect(far(page, "tries")).to_contain_text("Done")
        start(page, "How much rock?")
        finish(work["rock"], staged_work.swept(9, verdict=("So it is.",)))
        expect(page.page.locator("#how-much-rock .point")).to_have_count(9)
        assert page.page.evaluate("document.documentElement.scrollWidth") <= width
        texts = "#tries svg text, #how-much-rock svg text"
        assert min(page.page.eval_on_selector_all(texts, SIZES)) >= 12
        assert not page.page.eval_on_selector_all("#how-much-rock svg text", CROWDED)
        assert page.faults == []
    finally:
        context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious_in_the_answers(
    browser: Any, served: Served, work: dict[str, Staged], scheme: str
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    context = browser.new_context(color_scheme=scheme, reduced_motion="reduce")
    try:
        page = Open(context, served.address)
        copy_of(page)
        page.page.get_by_label("the tank as it is").check()
        for part, name, kind, result in (
            ("tries", "Try it", "try", staged_work.tried(8)),
            ("what-if", "Compare", "compare", staged_work.compared("x", "It is better.")),
            ("what-if", "What helps?", "relief", staged_work.relieved()),
            ("how-much-rock", "How much rock?", "rock", staged_work.swept(5, verdict=("So.",))),
        ):
            start(page, name)
            finish(work[kind], result)
            expect(page.page.locator(f"#{part} .far", has_text="Done").last).to_be_visible()
            expect(page.page.locator("button[aria-disabled=true].main")).to_have_count(0)
        for summary in page.page.locator(".answers summary:visible").all():
            summary.click()
        page.page.locator("#how-much-rock .point").first.click()
        found = axe.run(page.page, context=[["#tries"], ["#film"], ["#what-if"], ["#how-much-rock"]])
        serious = [one for one in found.response["violations"] if one["impact"] in ("serious", "critical")]
        assert not serious, [(one["id"], [node["html"] for node in one["nodes"]]) for one in serious]
    finally:
        context.close()


def test_the_species_is_named_in_the_picture_of_all_tanks(one: Open, work: dict[str, Staged]) -> None:
    start(one)
    finish(work["try"], staged_work.tried(8))
    group = one.page.locator(".dots [role=group]")
    expect(group).to_have_attribute("aria-label", re.compile(f"{MILD} swims free.*8 tanks"))
    one.page.locator("#tries summary", has_text="as a table").click()
    rows = one.page.locator("#tries .figures tbody tr")
    expect(rows).to_have_count(8)
    expect(rows.nth(3)).to_have_text(re.compile(r"Tank 3\s*63 %\s*yes\s*30"))
