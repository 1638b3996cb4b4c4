"""The picture of a sweep over rock: all of it there, and legible from the back of a room."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from fake_rock import always, answered, base, hollow, near, never, steep, swept
from matplotlib.figure import Figure
from reading_pictures import assert_legible, assert_page, words_of
from rockshy.analysis.pictures.rock_sweep import rock_caption, rock_sweep, save_rock
from rockshy.analysis.questions.rock.answer import RockAnswer, answer_of
from rockshy.analysis.questions.rock.design import Plan

LONG = "Pseudotropheoides longissimicaudatus septentrionalis"


CURVES = {"never": never, "always": always, "hollow": hollow, "near": near, "steep": steep}
SIDES = {
    "height": ("height",),
    "piles": ("piles",),
    "map of heights": ("cover", "height"),
    "map of piles": ("cover", "piles"),
}
CASES = (*CURVES, "hollow monotone", "steep long", "own near an end", *SIDES)


@cache
def drawn_case(name: str) -> tuple[Plan, RockAnswer, Figure]:
    if name == "steep long":
        plan, answer, _ = drawn_case("steep")
        answer = replace(answer, species=LONG, title=f"{LONG} costs $5 or $6 {LONG}")
    elif name in SIDES or name == "own near an end":
        tank = base("cover = 0.35", "cover = 0.83") if name not in SIDES else base()
        curve = steep if name not in SIDES else lambda values: 0.6 * float(np.exp(-values[0] / 0.3))
        asked = {"names": SIDES[name]} if name in SIDES else {"scenario": tank}
        done = swept(curve, **asked)
        plan, answer = done.plan, answer_of(done, scenario=tank)
    else:
        plan, answer = answered(CURVES[name.split()[0]], monotone="monotone" in name)
    return plan, answer, rock_sweep(answer, plan.grid)


@pytest.mark.parametrize("name", CASES)
def test_every_word_of_a_picture_can_be_read_from_the_back_of_the_room(name: str) -> None:
    assert len(assert_legible(drawn_case(name)[2], least=1080 / 30)) > 10


def test_a_picture_shows_every_point_with_its_tanks_the_level_and_the_keepers_tank() -> None:
    _, answer, figure = drawn_case("steep")
    axes = figure.axes[1]
    shown = {
        (round(float(line.get_xdata()[0]), 6), round(float(line.get_ydata()[0]), 6))
        for line in axes.lines
        if line.get_marker() in ("o", "D")
    }
    wanted = {(round(100 * one.values[0], 6), round(10 * one.pinned.share, 6)) for one in answer.amounts}
    assert shown == wanted
    said = words_of(figure)
    assert said.count("64") + said.count("36") == len(answer.amounts)
    assert "◇ your tank now" in said
    assert any(words.startswith("least that does: ") for words in said)
    assert any(list(line.get_ydata()) == [1.0, 1.0] for line in axes.lines)  # one tank in ten
    assert "simulated tanks out of ten in which T. duboisi was pinned" in said


def test_a_map_counts_every_cell() -> None:
    _, answer, figure = drawn_case("map of heights")
    said = [words.removeprefix("◇ ").replace("/", " of ") for words in words_of(figure)]
    for line in answer.lines:
        for place in line.places:
            count = answer.amounts[place].pinned
            assert f"{count.hits} of {count.of}" in said


def test_picture_file_is_a_projector_page_with_its_words(tmp_path: Path) -> None:
    plan, answer, _ = drawn_case("steep")
    saved = save_rock(answer, plan.grid, tmp_path / "rock.png")
    assert_page(saved.path, rock_caption(answer, plan.grid))
    assert f"35 % (your tank now): {answer.amounts[plan.grid.own or 0].pinned.hits} of" in saved.caption
