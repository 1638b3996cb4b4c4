"""The parts of a report: what was asked, understood and answered, pictures, film, data, recipe."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from ...sim.scenario import Scenario
from ...sim.sources import bibliography
from ...sim.table import Trials
from ..answer import answer
from ..cautions import cautions
from ..checked import checked
from ..document import as_html, as_text
from ..files import json_text
from ..results.layout import FISH, SUMMARY
from ..results.store import write
from ..rows import as_text as laid_as_text
from ..words import laid_out
from .html import html_of
from .page import Part, file_html, frame_html, page, picture_html

SICK = "sick fish"
LOOK_FIRST = "First look at the fish, then at this page"


@dataclass(frozen=True)
class Drawn:
    """A picture as PNG, and its words."""

    png: bytes
    caption: str


@dataclass(frozen=True)
class Film:
    """A film as an HTML document, and what it shows."""

    document: str
    title: str


@dataclass(frozen=True)
class Report:
    """Everything that a report is made of."""

    scenario: Scenario
    trials: Trials
    command: str  # as one types it to get the same again
    pictures: Sequence[Drawn] = ()
    film: Film | None = None
    compared: str = ""  # the comparison with the alternatives, laid out; "" without
    compared_picture: Drawn | None = None
    files: Mapping[str, tuple[str, str]] | None = None  # further files: name -> text and what it is


def report_html(report: Report) -> str:
    """The whole page."""
    parts = [
        Part("answer", "The answer", html_of(_after_title(laid_out(answer(report.trials))))),
        *_comparison(report),
        *_pictures(report),
        *_film(report),
        Part("understood", "What was understood", as_html(checked(report.scenario))),
        Part("data", "The data", _data(report)),
        Part("recipe", "How to get the same again", _recipe(report)),
    ]
    frames = [] if report.film is None else [report.film.document]
    return page(report.scenario.title, parts, top=_top(report), foot=_foot(report), frames=frames)


def _after_title(text: str) -> str:
    """A laid-out answer without its first line, which is the title of the page already."""
    return text.split("\n", 1)[1]


def _top(report: Report) -> str:
    """The question, what two camps say of it, and the warning signs before any figure."""
    scenario = report.scenario
    lines = []
    if scenario.question:
        lines.append(f'<p class="question" dir="auto">{escape(scenario.question)}</p>')
    if scenario.argument is not None:
        said = zip(("Some say", "Others say"), scenario.argument, strict=True)
        camps = "".join(f'<p dir="auto"><strong>{who}:</strong> {escape(what)}</p>' for who, what in said)
        lines.append(f'<div class="camps">{camps}</div>')
    first = [one.text for one in cautions(scenario) if one.about == SICK]
    others = [one.text for one in cautions(scenario) if one.about != SICK]
    warn = "".join(f"<p>{escape(text)}</p>" for text in first + others)
    lines.append(f'<aside class="warn" aria-label="Cautions"><strong>{LOOK_FIRST}.</strong>{warn}</aside>')
    return "\n".join(lines)


def _comparison(report: Report) -> list[Part]:
    if not report.compared:
        return []
    picture = report.compared_picture
    drawn = "" if picture is None else picture_html(picture.png, caption=picture.caption)
    return [Part("what-if", "What if", drawn + html_of(report.compared))]


def _pictures(report: Report) -> list[Part]:
    if not report.pictures:
        return []
    shown = "\n".join(picture_html(one.png, caption=one.caption) for one in report.pictures)
    note = "<p>One of the simulated tanks, a middling one. It is a tank of the model, not yours.</p>"
    return [Part("pictures", "Pictures of one simulated tank", note + shown)]


def _film(report: Report) -> list[Part]:
    film = report.film
    if film is None:
        return []
    note = '<p class="screen">The film needs a screen; everything else on this page prints.</p>'
    return [Part("film", "Film", note + frame_html(film.document, title=film.title))]


def _data(report: Report) -> str:
    """Tables of all simulated tanks, inside the page, to be saved from it."""
    with tempfile.TemporaryDirectory() as folder:
        write(report.trials, folder)
        told = {name: (Path(folder) / name).read_text(encoding="utf-8") for name in (SUMMARY, FISH)}
    links = [
        file_html(SUMMARY, told[SUMMARY], what="one line for each simulated tank"),
        file_html(FISH, told[FISH], what="one line for each fish and simulated tank"),
    ]
    for name, (text, what) in (report.files or {}).items():
        kind = "application/json" if name.endswith(".json") else "text/csv"
        links.append(file_html(name, text, what=what, kind=kind))
    return (
        "<p>These tables lie inside this page; a click saves them. Units stand in the names of the columns. "
        "More of them (who chased whom, hour by hour) are written by <code>rockshy run FILE --out DIR</code>."
        f'</p><ul class="files">{"".join(links)}</ul>'
    )


def _recipe(report: Report) -> str:
    recipe = report.trials.recipe
    told = {key: value for key, value in recipe.items() if key not in ("scenario", "stock_list")}
    lines = [
        f"<p>Rockshy {escape(str(recipe.get('version', '')))}; {report.trials.done} simulated tanks, seed "
        f"{report.scenario.run.seed}. Save the scenario below as a file and type:</p>",
        f"<pre>{escape(report.command)}</pre>",
    ]
    text = report.scenario.text or "(this scenario was not read from a file)"
    lines += ["<h3>Scenario</h3>", f'<pre dir="auto">{escape(text)}</pre>']
    if report.scenario.stock_list_text:
        lines += ["<h3>Stock list</h3>", f'<pre dir="auto">{escape(report.scenario.stock_list_text)}</pre>']
    made = file_html("recipe.json", json_text(told), what="every value used")
    return "\n".join([*lines, f'<ul class="files">{made}</ul>'])


def _foot(report: Report) -> str:
    """The bibliography of what the page names."""
    everything = laid_as_text(report.compared) + as_text(checked(report.scenario))
    named = [f"{key}: {cited}" for key, cited in sorted(bibliography().items()) if key in everything]
    sources = "".join(f"<p>{escape(one)}</p>" for one in named)
    return (
        "<p>A fish here is a fish of the model, not one of yours; no figure on this page promises anything "
        "about a real one. Where each number of the model comes from: <code>rockshy sources</code>.</p>"
        f"{sources}"
    )
