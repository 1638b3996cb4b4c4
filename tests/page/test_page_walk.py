"""The whole job on the page, by mouse in a real browser, held against the command line.

The tests are the stages of one walk: each goes on where the one before it ended.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from command_line import answered
from page_on_screen import ON_SCREEN, SKETCH, TANK, Open, Served, browser, expect, serving, walked

__all__ = ["browser"]  # fixtures
pytestmark = ON_SCREEN

GOBY, CLOWN = "Eretmodus cyanostictus", "Tanganyika clown"
DRAWN = ("0000000000", "0002300000", "0001200040", "0000000000")
FEWER = "one male less"

served = serving(TANK, "corner.toml")


@pytest.fixture(scope="module")
def walk(browser: Any, served: Served) -> Iterator[Open]:
    with walked(browser, served) as one:
        yield one


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the browser saves."""
    return tmp_path_factory.mktemp("saved")


def typed(capsys: pytest.CaptureFixture[str], *argv: str) -> dict[str, Any]:
    """What the command line answers as JSON."""
    return dict(json.loads(answered(capsys, *argv, "--json").out))


def shows(walk: Open, title: str) -> None:
    """A film is shown, its title being so."""
    expect(walk.find("#film iframe")).to_have_attribute("title", re.compile(title))


def figures(walk: Open, part: str) -> list[list[str]]:
    """All rows of all tables under "All figures" of a part."""
    walk.show(part)
    box = walk.find(f"#{part} details.figures", has_text="All figures").first
    if box.get_attribute("open") is None:
        box.locator("summary").click()
    expect(box.locator("tr").first).to_be_visible()
    read = "rows => rows.map((row) => [...row.cells].map((cell) => cell.textContent))"
    return [list(row) for row in box.locator("tr").evaluate_all(read)]


def percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def assert_printed(rows: list[list[str]], printed: str) -> None:
    """Every row on the screen stands in what the command line prints; names stand there as typed."""
    lines = [" ".join(line.split()) for line in printed.splitlines()]
    plain = " ".join(lines)
    assert rows
    for row in rows:
        told = [cell for cell in row if cell]
        assert all(cell in plain for cell in told[1:]), row
        if len(told[0]) < 40:  # longer ones are broken over lines
            assert any(all(cell in line for cell in told[1:]) for line in lines), row


def test_sides_are_typed_in_either_units_and_the_file_keeps_its_comments(walk: Open) -> None:
    assert walk.text == TANK
    walk.units("in").check()
    walk.type(walk.field("tank.length"), "26", shown="26 in")
    expect(walk.understood("tank")).to_contain_text("53 L (14 US gal")
    walk.units("cm").check()
    expect(walk.field("tank.length")).to_have_value("66.04 cm")
    said = TANK.replace("front_to_back = 30", 'front_to_back = "30 cm"').replace(
        "height = 30", 'height = "30 cm"'
    )
    assert walk.text == said.replace('"60 cm"', '"26 in"')  # bare numbers were cm, and say so beside inches


def test_a_species_is_added_by_its_common_name_and_the_males_are_counted(walk: Open) -> None:
    walk.show("fish")
    form = walk.page.get_by_role("form", name="Add fish")
    form.get_by_label("Add a species").fill(CLOWN)
    form.get_by_label("Males", exact=True).fill("1")
    form.get_by_role("button", name="Add to the stock").click()
    expect(walk.find(".stock > li")).to_have_count(2)
    walk.type(walk.cell(0, "Males"), "2")
    expect(walk.understood("fish")).to_contain_text("2 males, from the start")
    expect(walk.understood("fish")).to_contain_text(f"{CLOWN} ({GOBY})")
    stock = walk.file["stock"]
    assert [(one["species"], one["males"]) for one in stock] == [("Tropheus duboisi", 2), (CLOWN, 1)]
    assert 'species = "Tropheus duboisi"   # bought together' in walk.text


def test_a_pile_is_dragged_and_the_pictures_and_kilograms_follow(walk: Open) -> None:
    desk = walk.show("rock")
    expect(desk.get_by_role("row", name="limestone")).to_be_visible()
    walk.page.wait_for_selector("html[data-drawn]")
    front = walk.find(".glass canvas").first
    before = front.evaluate("one => one.toDataURL()")
    walk.drag((1, 2), (1, 4))
    expect(walk.field("rock.sketch")).to_have_value("\n".join(DRAWN))
    walk.until(lambda: tomllib.loads(walk.text)["rock"]["sketch"] == list(DRAWN))
    walk.until(lambda: front.evaluate("one => one.toDataURL()") != before)
    assert list(SKETCH) != list(DRAWN) and "# as measured" in walk.text


@pytest.fixture(scope="module")
def tried(walk: Open) -> dict[str, Any]:
    """The result of the try, once it is done."""
    walk.press("Try it", "#answer")
    return walk.done("answer", "try")


def test_the_try_tells_the_numbers_of_the_command_line(
    walk: Open, tried: dict[str, Any], files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = walk.download(files)
    assert file.read_bytes() == walk.text.encode()
    command = ("run", str(file), "--out", str(files / "run"))
    printed, told = answered(capsys, *command, "--full").out, typed(capsys, *command)
    assert told["done"] == 16
    assert tried["json"] == told
    assert_printed(figures(walk, "tries"), printed)
    worst = told["alike"][0]
    headline = walk.find("#answer .headline p").first
    verb = "keep" if len(worst["labels"]) > 1 else "keeps"
    expect(headline).to_contain_text(f"{verb} {percent(1 - worst['lost']['value'])}")


def test_every_fish_is_shown_worst_off_first_with_its_figures(walk: Open, tried: dict[str, Any]) -> None:
    labels = [one["label"] for one in tried["fish"]]
    assert sorted(label for one in tried["fish"] for label in one["labels"]) == sorted(
        one["label"] for one in tried["json"]["fish"]
    )
    expect(walk.find("#tries .fates .name")).to_have_text(labels)
    shown = walk.find("#tries .fates .figure").all_text_contents()
    for text, one in zip(shown, tried["fish"], strict=True):
        for name in ("lost", "chased", "hidden", "pinned"):
            assert one[name] is None or one[name]["said"] in text
        assert text.startswith(f"loses {percent(one['lost']['value'])}")
    marks = walk.find("#tries .dots .tank[role=button]")
    expect(marks).to_have_count(16)


def test_a_tank_is_watched_and_its_film_plays(walk: Open, tried: dict[str, Any]) -> None:
    walk.press("A typical tank", "#tries")
    trial = tried["telling"]["middle"]
    shows(walk, f"simulated tank {trial + 1}$")
    expect(walk.find("#film h3")).to_be_focused()
    film = walk.film()
    frames = film.evaluate("window.film.frames")
    film.wait_for_function("before => window.film.frames > before + 3 && window.film.isPlaying", arg=frames)
    assert film.evaluate("window.film.state().now") > 0


def test_a_copy_gets_fewer_males_and_the_tank_keeps_its_own(walk: Open) -> None:
    before = walk.text
    walk.type(walk.copy(), FEWER)
    walk.type(walk.cell(0, "Males"), "1")
    walk.until(lambda: FEWER in walk.text)
    walk.until(lambda: len(walk.file["alternative"][0]) > 1)
    assert walk.text.startswith(before.rstrip("\n"))
    assert walk.file["stock"] == tomllib.loads(before)["stock"]
    expect(walk.find("#what-if .copies li")).to_contain_text(FEWER)
    walk.press("the tank as it is", "#strip")
    expect(walk.cell(0, "Males")).to_have_value("2")


def test_the_copy_is_compared_as_the_command_line_does_it(
    walk: Open, files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    walk.press("Compare", "#what-if")
    result = walk.done("what-if", "compare")
    file = walk.download(files)
    told = typed(capsys, "compare", str(file))
    assert result["json"] == told
    expect(walk.find("#what-if .headline p")).to_have_text(result["headline"])
    against = walk.find("#what-if .against")
    expect(against).to_have_count(1)
    expect(against.locator("h4")).to_have_text(FEWER)
    expect(against.locator(".sentence")).to_have_text(result["against"][0]["sentence"])
    shown = against.locator(".differences .figure").all_text_contents()
    lost = told["against"][0]["groups"][0]["figures"]["lost"]["difference"]
    assert f"in {lost['trials']} tanks" in shown[0] or f"of {lost['trials']} tanks" in shown[0]
    assert f"{round(100 * lost['value']):+d}" in shown[0]


def test_both_are_watched_in_step(walk: Open) -> None:
    walk.press("Watch it next to the tank as it is", "#what-if")
    shows(walk, FEWER)
    film = walk.film()
    assert film.evaluate("window.film.views.length") == 2
    frames = film.evaluate("window.film.frames")
    film.wait_for_function("before => window.film.frames > before + 3", arg=frames)


def test_what_helps_is_asked_at_the_worst_off_fish(
    walk: Open, tried: dict[str, Any], files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    walk.press("What helps it?", "#tries")
    result = walk.done("what-helps", "relief")
    told = typed(capsys, "relief", str(walk.download(files)), "--for", tried["worst"])
    assert result["json"] == told
    names = [one["name"] for one in told["changes"]]
    assert len(names) > 2 and [one["text"] for one in result["changes"]] == names
    expect(walk.find("#what-helps .headline p")).to_have_text(result["headline"])
    walk.show("what-helps")
    walk.find("#what-helps summary", has_text="not suggested").click()
    shown = walk.find("#what-helps .changes > li > .name")
    expect(shown).to_have_count(len(names))
    assert sorted(shown.all_text_contents()) == sorted(names)


def test_a_change_that_was_tried_is_taken_as_a_copy_and_given_back(walk: Open) -> None:
    before = walk.text
    walk.show("what-helps")
    taken = walk.page.get_by_role("button", name=re.compile("^Make it a copy: ")).first
    taken.click()
    expect(walk.find("#what-if .copies li")).to_have_count(2)
    assert len(walk.file["alternative"]) == 2 and walk.file["alternative"][1]["name"]
    press_undo(walk)
    expect(walk.find("#what-if .copies li")).to_have_count(1)
    assert walk.text == before


def test_rock_drawn_by_hand_is_not_swept_and_it_is_said_what_to_do(walk: Open) -> None:
    walk.press("How much rock?", "#how-much-rock")
    expect(walk.find("#how-much-rock .problems")).to_contain_text("where each stone stands")
    expect(walk.find("#how-much-rock .answer")).to_be_hidden()


def test_the_sweep_fills_in_as_the_command_line_does_it(
    walk: Open, files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    walk.press("Pile it anew in every simulated tank", "#rock")
    expect(walk.page.get_by_text("The pictures show tank 1 of 16")).to_be_visible()
    part = walk.show("how-much-rock")
    part.get_by_label("What to vary").select_option("piles")
    part.get_by_label("It may be pinned").select_option("0.25")
    walk.press("How much rock?", "#how-much-rock")
    result = walk.done("how-much-rock", "rock")
    told = typed(capsys, "rock", "--piles", "--level", "0.25", str(walk.download(files)))
    assert result["json"] == told
    assert len(told["amounts"]) > 2
    points = part.locator(".point")
    expect(points).to_have_count(len(told["amounts"]))
    for k, one in enumerate(told["amounts"]):
        count = one["pinned"]
        pinned = f"pinned in {count['hits']} of {count['of']} simulated tanks"
        assert pinned in str(points.nth(k).get_attribute("aria-label"))
    walk.show("how-much-rock")  # the download opened another sheet
    points.last.click()
    walk.press("See that tank", "#how-much-rock")
    shows(walk, result["points"][-1]["text"])
    assert walk.film().evaluate("window.film.views.length") == 2


def press_undo(walk: Open, name: str = "Undo") -> None:
    """One step back or forth, until the page has said so."""
    before = walk.text
    walk.press(name)
    walk.until(lambda: walk.text != before)


def test_a_file_that_was_saved_is_opened_again_and_a_reload_loses_nothing(walk: Open, files: Path) -> None:
    kept = walk.text
    file = walk.download(files)
    assert file.read_bytes() == kept.encode() and file.name == "corner.toml"
    walk.press("No rock", "#rock")
    walk.until(lambda: walk.text != kept)
    walk.open(file.name, file.read_bytes())
    walk.said("corner.toml is open")
    assert walk.text == kept
    walk.again()
    assert walk.text == kept
    expect(walk.field("tank.length")).to_have_value("26 in")  # as it is written
    expect(walk.find("#copies .options input")).to_have_count(2)
    expect(walk.find("#tries .fates .name")).to_have_count(2)  # two of the three are alike
    walk.show("how-much-rock")
    expect(walk.find("#how-much-rock .point").first).to_be_visible()


def test_undo_leads_back_to_the_first_file_to_the_byte_and_redo_forth_again(walk: Open) -> None:
    last, undo = walk.text, walk.button("Undo")
    steps = 0
    while walk.text != TANK and steps < 40:
        press_undo(walk)
        steps += 1
    assert steps >= 8
    assert walk.text == TANK
    expect(undo).to_have_attribute("aria-disabled", "true")
    expect(walk.field("tank.length")).to_have_value("60 cm")
    expect(walk.find("#copies .options input")).to_have_count(1)
    for _ in range(steps):
        press_undo(walk, "Redo")
    expect(walk.button("Redo")).to_have_attribute("aria-disabled", "true")
    assert walk.text == last


def test_no_request_left_the_machine_and_nothing_went_wrong(walk: Open, served: Served) -> None:
    assert len(walk.requests) > 50
    assert walk.foreign(served.port) == []
    assert walk.console == []
    assert walk.faults == []
    assert walk.violations == []
