"""The report: words as HTML, one page that asks nobody for anything, names as text, the sheet to ask with."""

from __future__ import annotations

import base64
import csv
import io
import re
from dataclasses import replace
from pathlib import Path

import pytest
from command_line import assert_refused
from fake_trials import random_trials
from reading_html import Reader
from rockshy.analysis.commands import main
from rockshy.analysis.document import Figure
from rockshy.analysis.document.files import policy_source
from rockshy.analysis.questions.answer.answer import answer
from rockshy.analysis.questions.answer.words import words
from rockshy.analysis.report.ask import SIGNS, ask_html
from rockshy.analysis.report.parts import Compared, Film, Report, report_html
from rockshy.scenarios import read as ready

NASTY = "<script>alert('x')</script> \"&amp; \u202egnihcaer " + "n" * 240


# ---- the page


@pytest.fixture(scope="module")
def report() -> Report:
    scenario = replace(
        ready("mild-together"), title=NASTY, question=NASTY, argument=("It does.", NASTY), text=f"# {NASTY}"
    )
    trials = random_trials()
    picture = Figure(b"\x89PNG", NASTY)
    return Report(
        scenario,
        trials,
        "rockshy report tank.toml",
        pictures=[picture],
        compared=Compared(["More rock helps."], words(answer(trials))),
    )


def test_names_are_shown_as_text_and_nothing_is_fetched(report: Report) -> None:
    read = Reader(report_html(report))
    assert not read.open
    names = [tag for tag, _ in read.tags]
    assert "script" not in names and "iframe" not in names and "link" not in names
    assert read.text.count("<script>alert('x')</script>") >= 4
    for _, attributes in read.tags:
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name in ("src", "href"):
                assert value is not None and value.startswith(("data:", "#"))
    policy = next(one["content"] for tag, one in read.tags if tag == "meta" and "http-equiv" in one)
    assert policy is not None and "default-src 'none'" in policy and "script-src 'none'" in policy
    assert "unsafe" not in policy
    style = report_html(report).split("<style>")[1].split("</style>")[0]
    assert policy_source(style) in policy


def test_every_part_is_there_and_can_be_reached(report: Report) -> None:
    read = Reader(report_html(report))
    ids = {one.get("id") for _, one in read.tags}
    links = [one["href"] for tag, one in read.tags if tag == "a" and str(one.get("href")).startswith("#")]
    assert len(links) == len(set(links)) >= 6
    assert {str(link)[1:] for link in links} <= ids
    for wanted in ("Test the water first", "Some say", "What if", "rockshy report tank.toml", "seed"):
        assert wanted in read.text
    assert all(one.get("alt") for tag, one in read.tags if tag == "img")


def test_no_heading_is_empty_and_nothing_is_said_twice(report: Report) -> None:
    page = report_html(replace(report, scenario=replace(report.scenario, title="A", question="B?")))
    for low in (2, 3):
        higher = "".join(map(str, range(1, low + 1)))
        parts = rf"<h{low}[^>]*>(.*?)</h{low}>(.*?)(?=<h[{higher}]|</body>)"
        for heading, below in re.findall(parts, page, re.S):
            assert re.sub(r"<[^>]*>|\s", "", below), heading
    text = Reader(page).text
    assert text.count("Test the water first") == 1 and "figcaption" not in page
    assert page.index("More rock helps.") < page.index('id="figures"') < page.index('id="data"')


def test_the_data_inside_the_page_are_those_of_the_trials(report: Report) -> None:
    read = Reader(report_html(report))
    files = {one["download"]: one["href"] for tag, one in read.tags if "download" in one}
    text = base64.b64decode(str(files["summary.csv"]).split("base64,")[1]).decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len({line["trial"] for line in rows}) == report.trials.done
    assert {"fish.csv", "recipe.json"} <= set(files)


def test_only_the_script_of_a_frame_may_run(report: Report) -> None:
    film = "<html><style>p {}</style><script>play()</script></html>"
    read = Reader(report_html(replace(report, film=Film(film, 'a "film"'))))
    (frame,) = [one for tag, one in read.tags if tag == "iframe"]
    assert frame == {"srcdoc": film, "sandbox": "allow-scripts", "title": 'a "film"'}
    policy = next(str(one["content"]) for tag, one in read.tags if tag == "meta" and "http-equiv" in one)
    assert policy.count("sha256-") == 3  # the page's style, the frame's style and script


# ---- the sheet to ask with


def test_the_sheet_asks_for_the_water_first_leaves_gaps_and_shows_names_as_text() -> None:
    scenario = ready("mild-together")
    read = Reader(ask_html(scenario))
    assert not read.open
    assert read.text.index("Test the water first") < read.text.index("Signs seen")
    assert read.text.index("Water, tested before anything else") < read.text.index("Signs seen")
    assert all(sign in read.text for sign in SIGNS)
    assert "Tropheus moorii" in read.text and f"My question: {scenario.question}" in read.text
    assert sum(one.get("class") == "gap" for _, one in read.tags) > 20
    scenario = replace(scenario, title=NASTY)
    read = Reader(ask_html(scenario, tally=[(NASTY, "b", "chase, 3 times in 10 minutes")]))
    assert "script" not in [tag for tag, _ in read.tags]
    assert read.text.count("<script>alert('x')</script>") >= 2


# ---- the command


def test_the_sheet_is_written_without_a_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["report", "mild-together", "--ask"]) == 0
    assert "Asking for advice" in Path("mild-together-ask.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["--page", "page.pdf"], "ends with .html"),
        (["--page", "nowhere/page.html"], "no folder nowhere"),
        (["--tally", "watch.csv"], "--tally needs --ask"),
        (["--ask", "--tally", "none.csv"], "none.csv"),
        (["--trials", "0"], "--trials"),
    ],
)
def test_what_cannot_be_done_is_refused_before_anything_runs(
    argv: list[str],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert_refused(capsys, "report", "mild-together", *argv, said=said)


TINY = """
title = "Tiny"
question = "Will it do?"
[tank]
length = 60
front_to_back = 30
height = 35
[rock]
cover = 0.3
height = 15
[[stock]]
species = "Tropheus duboisi"
males = 1
females = 1
[[stock]]
species = "Tropheus moorii"
males = 1
[run]
days = 0.2
settle = 0.1
trials = 2
[[alternative]]
name = "more rock"
rock = { cover = 0.5 }
"""


def test_a_whole_report_of_a_tank_of_ones_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tiny.toml").write_text(TINY, encoding="utf-8")
    assert main(["report", "tiny.toml", "--out", "kept", "--no-film"]) == 0
    said = capsys.readouterr()
    assert said.out.strip() == "tiny-report.html"
    read = Reader(Path("tiny-report.html").read_text(encoding="utf-8"))
    assert "Will it do?" in read.text and "more rock" in read.text
    assert sum(tag == "img" for tag, _ in read.tags) == 5
    assert main(["report", "tiny.toml", "--out", "kept"]) == 0
    assert "holds 4 finished simulated tanks" in capsys.readouterr().err
    with_film = Reader(Path("tiny-report.html").read_text(encoding="utf-8"))
    (frame,) = [one for tag, one in with_film.tags if tag == "iframe"]
    assert str(frame["srcdoc"]).startswith("<!doctype html>")
    kept = [one for one in with_film.tags if one[0] == "img" or "download" in one[1]]
    assert kept == [one for one in read.tags if one[0] == "img" or "download" in one[1]]  # tanks and pictures
