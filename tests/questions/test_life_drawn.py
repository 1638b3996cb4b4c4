"""A life on a slide and on paper, and what days alone say of a file of months."""

from __future__ import annotations

import argparse
import json
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from command_line import Capsys, Patch, answered, four_fish, work_in
from fake_life import DATED, lived, tank
from fake_trials import HOT, MILD
from rockshy.analysis.commands.giving import Answer as Given
from rockshy.analysis.document import Document
from rockshy.analysis.document.brief import Brief
from rockshy.analysis.document.files import json_text
from rockshy.analysis.pictures.life_paper import life_page, save_life_paper
from rockshy.analysis.pictures.paper import LEAST, SIZES
from rockshy.analysis.pictures.talk_life import life_slide
from rockshy.analysis.pictures.talk_look import DARK, LIGHT, SMALL, Canvas
from rockshy.analysis.questions.life.answer import Answer
from rockshy.analysis.questions.life.brief import brief_of
from rockshy.analysis.questions.life.drawn import DrawnLife, drawn_life
from rockshy.analysis.questions.life.files import JSON, whole_json
from rockshy.analysis.questions.life.reach import part_said
from rockshy.analysis.talk.lives import life_slide_of
from rockshy.analysis.talk.plans import plans_in
from rockshy.sim.fish.population import Individual
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario


def worse(_: Scenario, fish: Individual, trial: int, day: int) -> float:
    return (0.3 + day / 150 if fish.species == MILD else 0.1) + 0.02 * (trial % 5 - 2)


@pytest.fixture(scope="module")
def found() -> Answer:
    return lived(worse, scenario=tank(more=DATED))


def test_the_figures_of_a_slide_are_those_of_the_file(found: Answer, tmp_path: Path) -> None:
    (tmp_path / JSON).write_text(json_text(whole_json(found)))
    (life,) = plans_in(tmp_path)
    assert isinstance(life, DrawnLife)
    assert next(iter(life.kept)) == found.worst.name
    told = [1 - month.lost[found.worst.name].value for month in found.months]
    assert list(life.kept[found.worst.name]) == pytest.approx(told)
    assert life.wrong == tuple(one.hits for one in found.trouble.by_month)
    assert life.dated_said == (f"1: day 30, {HOT.replace('Petrochromis', 'P.')} male 1 taken out",)
    assert life.said == brief_of(found).verdict.replace("Tropheus", "T.")
    slide = life_slide_of(life, 0, "")
    assert life.said in slide.say and "month by month" in slide.alt


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda one: one.name)
def test_nothing_on_the_slide_is_too_small_or_off_it(found: Answer, theme: Any) -> None:
    life = drawn_life(json.loads(json_text(whole_json(found))))
    deck = SimpleNamespace(plans=(life,), facts=SimpleNamespace(scenario=tank()))
    canvas = Canvas(theme)
    life_slide(canvas, deck, life_slide_of(life, 0, ""))  # type: ignore[arg-type]
    canvas.figure.canvas.draw()
    for axes in canvas.figure.axes:
        for text in [one for one in axes.texts if one.get_text()]:
            assert text.get_fontsize() >= SMALL
            box = text.get_window_extent()
            assert box.x0 >= 0 and box.x1 <= 1920 and box.y0 >= 0


@pytest.mark.parametrize("paper", sorted(SIZES))
@pytest.mark.parametrize("months", [3, 24])
def test_the_page_to_print_is_grey_legible_and_within_its_paper(
    paper: str, months: int, tmp_path: Path
) -> None:
    found = lived(worse, scenario=tank(more=DATED), months=months)
    page = life_page(found, paper=paper)
    page.figure.canvas.draw()
    pixels = np.asarray(page.figure.canvas.buffer_rgba(), dtype=int)  # type: ignore[attr-defined]
    assert np.ptp(pixels[:, :, :3], axis=2).max() < 24, "grey"
    low = page.figure.bbox.y0
    for axes in page.figure.axes:
        for text in [one for one in axes.texts if one.get_text()]:
            assert text.get_fontsize() >= LEAST and text.get_window_extent().y0 >= low
    save_life_paper(found, tmp_path / "life.pdf", paper=paper)
    assert (tmp_path / "life.pdf").read_bytes().startswith(b"%PDF")


TINY = four_fish(title="Tiny", days=2, lit_hours=1, trials=16, seed=5)
LONG = TINY + '\n[[event]]\nday = 40\nout = "Tropheus moorii male 1"\n'


@pytest.mark.parametrize("text", [LONG, TINY], ids=["months", "days"])
@pytest.mark.parametrize("json_wanted", [False, True])
def test_what_simulates_days_alone_says_so_of_a_file_of_months(
    text: str, json_wanted: bool, capsys: Capsys
) -> None:
    scenario = parse(text, name="tank.toml")
    said = part_said(scenario)
    assert said.startswith("Of days 1 to 2 alone, not of the 2 months") == (text == LONG)
    brief = partial(Brief, "Why?", "By size.")
    told = Given(scenario, Document, {"a": 1}, "x.json", is_whole=True, brief=brief, of_days=True)
    told.give(argparse.Namespace(json=json_wanted, full=False), None)
    out = capsys.readouterr().out
    if json_wanted:
        assert json.loads(out).get("part", "") == said
    else:
        assert " ".join(out.split()).startswith(said or "Why? By size.")


def test_life_prints_a_page(tmp_path: Path, capsys: Capsys, monkeypatch: Patch) -> None:
    work_in(tmp_path, monkeypatch, tiny=TINY)
    answered(capsys, "life", "tiny.toml", "--months", "1", "--trials", "4", "--print", "page.pdf")
    assert Path("page.pdf").stat().st_size > 5000
