"""All slides of a talk as PNG and SVG with words for those who cannot see them, and as one PDF."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from xml.etree import ElementTree

from matplotlib import rc_context
from matplotlib.backends.backend_pdf import PdfPages

from ..talk.deck import Deck, Slide
from ..talk.kinds import (
    ANSWER,
    CAMPS,
    CAVEATS,
    CHANGE,
    FILM,
    FRONT,
    HANDS,
    LIFE,
    LUCK,
    RACK,
    ROCK,
    SHORT,
    SOURCES,
    TITLE,
    WHO,
    WHY,
)
from ..talk.lines import MODEL_FISH
from .look import DPI
from .save import png_of
from .talk_charts import change_slide, rock_slide, who_slide
from .talk_life import life_slide
from .talk_look import THEMES, Canvas, Theme
from .talk_plans import front_slide, rack_slide
from .talk_tank import luck_slide, title_slide
from .talk_why import why_slide
from .talk_words import (
    answer_slide,
    camps_slide,
    caveats_slide,
    film_slide,
    hands_slide,
    short_slide,
    sources_slide,
)

_DRAW: dict[str, Callable[[Canvas, Deck, Slide], None]] = {
    TITLE: title_slide,
    SHORT: short_slide,
    CAMPS: camps_slide,
    HANDS: hands_slide,
    CHANGE: change_slide,
    ANSWER: answer_slide,
    LUCK: luck_slide,
    WHO: who_slide,
    FILM: film_slide,
    WHY: why_slide,
    ROCK: rock_slide,
    RACK: rack_slide,
    FRONT: front_slide,
    LIFE: life_slide,
    CAVEATS: caveats_slide,
    SOURCES: sources_slide,
}
_PLAIN = (HANDS, CAMPS, CAVEATS, SOURCES)  # slides that show no fish of the model
_READ = {
    CHANGE: "Each ring and each small fish is one simulated tank. ",
    LUCK: "Each fish sits where it was most. ",
}
_SVG = "http://www.w3.org/2000/svg"
_PDF_DPI = 160  # of what is drawn as points, not as lines


def draw_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """One slide, with its number along the bottom."""
    canvas = Canvas(theme)
    if slide.kind != TITLE:
        canvas.heading(slide.title)
    _DRAW[slide.kind](canvas, deck, slide)
    words = "" if slide.kind in _PLAIN else f"{_READ.get(slide.kind, '')}{MODEL_FISH}"
    canvas.footing(words, number=deck.slides.index(slide) + 1, of=len(deck.slides))
    return canvas


def file_name(deck: Deck, slide: Slide) -> str:
    """Name of its files without ending: ``"03-before-after"``."""
    return f"{deck.slides.index(slide) + 1:02d}-{slide.name}"


def deck_files(deck: Deck, *, theme: str) -> Iterator[tuple[str, bytes]]:
    """Every slide as PNG and SVG, ``theme/NAME``, then the deck as ``deck-theme.pdf``: names and contents.

    A PDF of matplotlib has no place for words for those who cannot see a picture; the text on its slides can
    be read out, and the words stand in the notes.
    """
    told = io.BytesIO()
    title, question = deck.facts.scenario.title, deck.facts.scenario.question
    about = {"Title": title, "Subject": question, "CreationDate": None}
    with rc_context({"pdf.fonttype": 42}), PdfPages(told, metadata=about) as pdf:
        for slide in deck.slides:
            canvas = draw_slide(deck, slide, THEMES[theme])
            place = f"{theme}/{file_name(deck, slide)}"
            yield f"{place}.png", png_of(canvas.figure, title=slide.title, caption=slide.alt)
            yield f"{place}.svg", _svg(canvas, slide)
            pdf.savefig(canvas.figure, dpi=_PDF_DPI)
    yield f"deck-{theme}.pdf", told.getvalue()


def _svg(canvas: Canvas, slide: Slide) -> bytes:
    """Letters are drawn as shapes, so that it looks the same without the font; title and desc say it all."""
    told = io.BytesIO()
    with rc_context({"svg.fonttype": "path", "svg.hashsalt": slide.name}):
        canvas.figure.savefig(told, format="svg", dpi=DPI, metadata={"Date": None})
    return with_words(told.getvalue(), title=slide.title, words=slide.alt)


def with_words(svg: bytes, *, title: str, words: str) -> bytes:
    """A picture with the title and description that a screen reader reads."""
    for prefix, uri in (("", _SVG), ("xlink", "http://www.w3.org/1999/xlink")):
        ElementTree.register_namespace(prefix, uri)
    root = ElementTree.fromstring(svg)
    for name, text in (("desc", words), ("title", title)):
        part = ElementTree.Element(f"{{{_SVG}}}{name}", {"id": f"slide-{name}"})
        part.text = text
        root.insert(0, part)
    root.set("role", "img")
    root.set("aria-labelledby", "slide-title slide-desc")
    return bytes(ElementTree.tostring(root, encoding="utf-8", xml_declaration=True))
