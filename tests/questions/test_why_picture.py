"""The picture of why a fish is bullied: ten fish in all, and legible from the back of a room."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from fake_why import TEXT, played, tank
from matplotlib.colors import same_color
from matplotlib.patches import PathPatch
from reading_pictures import assert_legible, assert_page, seen_with, words_of, written
from rockshy.analysis.measures.registry import LOST, RECEIVED
from rockshy.analysis.pictures import why as pictures
from rockshy.analysis.pictures.why import PALE, PAPER, TOLD, save_why, why_caption, why_picture
from rockshy.analysis.questions.why import design
from rockshy.analysis.questions.why.answer import LEFT, ShareEstimate, Why
from rockshy.analysis.questions.why.mechanisms import CROWDING, LOOKS, SHELTER, SIGHT

LONG = "Pseudotropheoides longissimicaudatus septentrionalis"


def mixed_causes(on: frozenset[str], trial: int) -> tuple[float, float]:
    luck = 0.1 * np.sin(trial + len(on))
    lost = 0.2 + 0.3 * (SIGHT in on) + 0.1 * (CROWDING in on) - 0.1 * (LOOKS in on) + luck * (SHELTER in on)
    return lost, 6.0 + 4.0 * (SIGHT in on) + 3.0 * (CROWDING in on) - 3.0 * (LOOKS in on)


@cache
def case(name: str) -> Why:
    usual, design.MOST_TICKS = design.MOST_TICKS, 0.0
    try:
        if name == "nothing":
            return played(lambda *_: (0.0, 0.0))
        if name == "free swimming alone":
            return played(lambda on, _: (0.3 + 0.2 * (SIGHT in on), 0.0))
        found = case("mixed") if name != "mixed" else played(mixed_causes, scenario=tank(TEXT))
    finally:
        design.MOST_TICKS = usual
    if name == "long":
        scenario = replace(found.plan.scenario, title=f"{LONG} costs $5 or $6 {LONG}")
        return replace(
            found,
            whom=replace(found.whom, name=f"{LONG} females"),
            plan=replace(found.plan, scenario=scenario),
        )
    if name == "extreme":
        far = {SIGHT: 23, LOOKS: -12, CROWDING: -11, LEFT: 10}
        return replace(
            found,
            shared={
                goal: replace(
                    one,
                    shares=tuple(
                        replace(
                            share,
                            of_ten=ShareEstimate(
                                *(float(far.get(share.code, 0)) + k for k in (0, -9, 9)),
                                tokens=far.get(share.code, 0),
                            ),
                        )
                        for share in one.shares
                    ),
                )
                for goal, one in found.shared.items()
            },
        )
    return found


CASES = ("mixed", "long", "extreme", "free swimming alone", "nothing")


@pytest.mark.parametrize("name", CASES)
def test_every_word_can_be_read_from_the_back_of_the_room(name: str) -> None:
    figure = why_picture(case(name))
    words = assert_legible(figure, least=1080 / 30)
    assert len(words) >= (4 if name == "nothing" else 15)
    for patch in figure.findobj(PathPatch):
        fish = patch.get_window_extent()
        assert fish.x0 >= 0 and fish.x1 <= 1920
        for text, box in words:
            assert not fish.overlaps(box), text.get_text()


def fish_of(name: str, colour: str) -> int:
    found = case(name)
    key = 1 if any(face == colour for face, _ in pictures._key(found)) else 0
    patches = why_picture(found).findobj(PathPatch)
    return sum(same_color(patch.get_facecolor(), colour) for patch in patches) - key


@pytest.mark.parametrize("name", ["mixed", "extreme", "free swimming alone"])
def test_there_are_as_many_fish_as_tokens_and_ten_more_filled_than_open(name: str) -> None:
    found = case(name)
    shown = [one for one in found.shared.values() if one.explained]
    shares = [one for shared in shown for one in shared.shares]
    assert fish_of(name, PAPER) == -sum(min(0, one.of_ten.tokens) for one in shares)
    assert fish_of(name, PALE) == sum(max(0, one.of_ten.tokens) for one in shares if not one.told)
    filled = fish_of(name, TOLD) + fish_of(name, PALE)
    assert filled - fish_of(name, PAPER) == 10 * len(shown)


def test_what_a_fish_stands_for_shows_without_colour() -> None:
    grey = seen_with([TOLD, PALE, PAPER, "#000000"], np.eye(3))[:, 0]
    assert abs(grey[0] - grey[1]) > 30
    assert abs(grey[0] - grey[2]) > 30
    edges = {
        matplotlib.colors.to_hex(one.get_edgecolor()) for one in why_picture(case("mixed")).findobj(PathPatch)
    }
    assert len(edges) == 1  # a dark rim round each of them


def test_reasons_and_counts_are_written() -> None:
    said = words_of(why_picture(case("mixed")))
    for words in ("seen from afar", "so many fish", "look-alikes", "unexplained", "no own crevice"):
        assert words in said
    assert "one more without this" in said
    counts = [pictures._count(one) for shared in case("mixed").shared.values() for one in shared.shares]
    assert all(said.count(words) >= counts.count(words) for words in set(counts))
    assert any("16 simulated tanks" in words and "Fish of the model, not yours." in words for words in said)


def test_rows_stand_in_the_order_of_the_chases() -> None:
    found = case("mixed")
    at = {text.get_text(): box.y0 for text, box in written(why_picture(found))}
    names = {one.code: one.shown for one in found.mechanisms}
    heights = [at[names[one.code]] for one in found.shared[RECEIVED].ranked]
    assert heights == sorted(heights, reverse=True) and at["unexplained"] < min(heights)


def test_picture_file_is_a_projector_page_with_its_words(tmp_path: Path) -> None:
    found = case("mixed")
    saved = save_why(found, tmp_path / "why.png")
    assert_page(saved.path, why_caption(found))
    assert "Of ten chases that it gets: " in saved.caption
    assert f"seen from afar {pictures._count(found.shared[LOST].of(SIGHT))}" in saved.caption
    assert "Nothing to explain" in why_caption(case("nothing"))
