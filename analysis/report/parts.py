"""The parts of a report: what was asked, understood and answered, pictures, film, data, recipe."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ...sim.run.table import Trials
from ...sim.scenario.scenario import Scenario
from ...sim.species.sources import bibliography
from ..document import Block, Document, Figure, Heading, Paragraph, as_html, as_text, flush
from ..document.cautions import cautions
from ..document.files import json_text
from ..document.typed import Typed
from ..measures.whom import kinds_of
from ..questions.answer.answer import answer
from ..questions.answer.brief import first_lines
from ..questions.answer.words import words
from ..questions.check.checked import checked
from ..questions.compare.words import ALL_CAUTIONS
from ..study.layout import FISH, SUMMARY
from ..study.store import write
from .page import File, page

SICK = "sick fish"
_MIDDLING = "A typical one of the simulated tanks. It is a tank of the model, not yours."
_ELSEWHERE = ("Question", "Cautions", "Sources")  # stand at the top or the foot of the page
_HEADINGS = {
    "answer": "The answer",
    "what-if": "What if",
    "pictures": "Pictures of one simulated tank",
    "film": "Film",
    "understood": "What was understood",
    "figures": "All figures",
    "differences": "What if: all figures",
    "data": "The data",
    "recipe": "How to get the same again",
}


@dataclass(frozen=True)
class Film:
    """A film as an HTML document, and what it shows."""

    document: str
    title: str


@dataclass(frozen=True)
class Compared:
    """The comparison with the alternatives: in a few lines, as a picture, and whole."""

    lines: Sequence[str]
    document: Document
    picture: Figure | None = None
    files: Sequence[File] = ()


@dataclass(frozen=True)
class Report:
    """Everything that a report is made of."""

    scenario: Scenario
    trials: Trials
    command: str  # as one types it to get the same again
    pictures: Sequence[Figure] = ()
    film: Film | None = None
    compared: Compared | None = None


def report_html(report: Report) -> str:
    """The whole page."""
    scenario, film = report.scenario, report.film
    understood, compared = checked(scenario), report.compared
    shown = _shown(report, understood)
    headings = {
        name: heading
        for name, heading in _HEADINGS.items()
        if name in shown or name in ("data", "recipe") or (name == "film" and film is not None)
    }
    return page(
        "report/report.html",
        scenario.title,
        frames=[] if film is None else [film.document],
        scenario=scenario,
        cautions=[one.text for one in sorted(cautions(scenario), key=lambda one: one.about != SICK)],
        headings=headings,
        documents={name: as_html(blocks) for name, blocks in shown.items()},
        film=film,
        data=[*_tables(report.trials), *(compared.files if compared else ())],
        recipe=_recipe(report.trials),
        version=report.trials.recipe.get("version", ""),
        done=report.trials.done,
        command=report.command,
        sources=_sources(understood, compared.document if compared else None),
    )


def _shown(report: Report, understood: Document) -> dict[str, Sequence[Block]]:
    """The documents of the page by the names of their parts; what is a table of figures comes last."""
    found, typed = answer(report.trials, alike=kinds_of(report.scenario)), Typed(report.scenario)
    _, *said = _without(typed.document(words(found)))  # the first is the title, which the page has already
    opening = first_lines(found, report.scenario)
    shown: dict[str, Sequence[Block]] = {"answer": flush(*opening).blocks}
    compared = report.compared
    if compared is not None:
        picture = [compared.picture] if compared.picture else []
        lines = [line for line in compared.lines if line not in opening]  # the known fault may be the same
        shown["what-if"] = [*flush(*lines).blocks, *picture]
    if report.pictures:
        shown["pictures"] = [Paragraph(_MIDDLING), *report.pictures]
    shown |= {"understood": _without(understood), "figures": said}
    return shown | ({"differences": _without(typed.document(compared.document))} if compared else {})


def _without(told: Document) -> list[Block]:
    """The blocks of a document but for the sections that the page has elsewhere."""
    gone = [*map(Heading, _ELSEWHERE), *flush(ALL_CAUTIONS).blocks]
    return [block for one in told.sections if one.blocks[0] not in gone for block in one.blocks]


def _tables(trials: Trials) -> list[File]:
    """Tables of all simulated tanks."""
    told = {SUMMARY: "one line for each simulated tank", FISH: "one line for each fish and simulated tank"}
    with tempfile.TemporaryDirectory() as folder:
        write(trials, folder)
        return [
            File(name, (Path(folder) / name).read_text(encoding="utf-8"), what) for name, what in told.items()
        ]


def _recipe(trials: Trials) -> File:
    told = {key: value for key, value in trials.recipe.items() if key not in ("scenario", "stock_list")}
    return File("recipe.json", json_text(told), "every value used")


def _sources(*documents: Document | None) -> list[str]:
    """The bibliography of what the page names."""
    everything = "\n".join(as_text(one) for one in documents if one is not None)
    return [f"{key}: {cited}" for key, cited in sorted(bibliography().items()) if key in everything]
