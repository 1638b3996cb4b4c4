"""The picture of a sweep over rock: all of it there, and legible from the back of a room."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from fake_rock import always, answered, base, hollow, near, never, steep, swept
from PIL import Image
from reading_pictures import assert_read_from_the_back, written
from rockshy.analysis.pictures.rock_sweep import rock_caption, rock_sweep, save_rock
from rockshy.analysis.questions.rock.answer import RockAnswer, answer_of
from rockshy.analysis.questions.rock.design import Plan

LONG = "Pseudotropheoides longissimicaudatus septentrionalis"


def long_named(answer: RockAnswer) -> RockAnswer:
    return replace(answer, species=LONG, title=f"{LONG} costs $5 or $6 {LONG}")


@cache
def drawn_case(name: str) -> tuple[Plan, RockAnswer]:
    if name in ("height", "piles", "map of heights", "map of piles"):
        names = {
            "height": ("height",),
            "piles": ("piles",),
            "map of heights": ("cover", "height"),
            "map of piles": ("cover", "piles"),
        }[name]
        done = swept(lambda values: 0.6 * float(np.exp(-values[0] / 0.3)), names=names)
        return done.plan, answer_of(done, scenario=base(), why="")
    if name == "own near an end":
        tank = base("cover = 0.35", "cover = 0.83")
        done = swept(steep, scenario=tank)
        return done.plan, answer_of(done, scenario=tank, why="")
    curve = {"never": never, "always": always, "hollow": hollow, "near": near, "steep": steep}[
        name.split()[0]
    ]
    plan, answer = answered(curve, monotone="monotone" in name)
    return plan, long_named(answer) if "long" in name else answer


CASES = (
    "never",
    "always",
    "hollow",
    "hollow monotone",
    "near",
    "steep",
    "steep long",
    "own near an end",
    "height",
    "piles",
    "map of heights",
    "map of piles",
)


@pytest.mark.parametrize("name", CASES)
def test_every_word_of_a_picture_can_be_read_from_the_back_of_the_room(name: str) -> None:
    plan, answer = drawn_case(name)
    assert_read_from_the_back(rock_sweep(answer, plan.grid))


def test_a_picture_shows_every_point_with_its_tanks_the_level_and_the_keepers_tank() -> None:
    plan, answer = drawn_case("steep")
    figure = rock_sweep(answer, plan.grid)
    axes = figure.axes[1]
    shown = {
        (round(float(line.get_xdata()[0]), 6), round(float(line.get_ydata()[0]), 6))
        for line in axes.lines
        if line.get_marker() in ("o", "D")
    }
    wanted = {(round(100 * one.values[0], 6), round(10 * one.pinned.share, 6)) for one in answer.amounts}
    assert shown == wanted
    said = [text.get_text() for text, _ in written(figure)]
    assert said.count("64") + said.count("36") == len(answer.amounts)
    assert "◇ your tank now" in said
    assert any(words.startswith("least that does: ") for words in said)
    assert any(list(line.get_ydata()) == [1.0, 1.0] for line in axes.lines)  # one tank in ten
    assert "simulated tanks out of ten in which the mild species was pinned" in said


def test_a_map_counts_every_cell() -> None:
    plan, answer = drawn_case("map of heights")
    said = [
        text.get_text().removeprefix("◇ ").replace("/", " of ")
        for text, _ in written(rock_sweep(answer, plan.grid))
    ]
    for line in answer.lines:
        for place in line.places:
            count = answer.amounts[place].pinned
            assert f"{count.hits} of {count.of}" in said


def test_picture_file_is_a_projector_page_with_its_words(tmp_path: Path) -> None:
    plan, answer = drawn_case("steep")
    saved = save_rock(answer, plan.grid, tmp_path / "rock.png")
    with Image.open(saved.path) as image:
        assert image.size == (1920, 1080)
        assert image.info["Description"] == saved.caption == rock_caption(answer, plan.grid)
    assert f"35 % (your tank now): {answer.amounts[plan.grid.own or 0].pinned.hits} of" in saved.caption
