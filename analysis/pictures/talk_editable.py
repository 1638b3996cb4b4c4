"""The deck as slides that can be edited (Office Open XML): text boxes over a picture without words."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from matplotlib.axis import Axis
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from pptx import Presentation
from pptx.dml.color import RGBColor
from pptx.enum.text import MSO_ANCHOR, PP_ALIGN
from pptx.util import Emu, Pt

from ..talk.deck import Deck, Slide
from .look import DPI, FONT, HEIGHT, WIDTH
from .talk_deck import draw_slide
from .talk_look import THEMES

_PIXEL = 9525  # English metric units: a slide is as many points wide as a page at 96 pixels an inch
_POINT = 0.96  # of a letter, so that 100 dots an inch fit on it
_SLACK = 1.06  # of the box of a line, for a font that is a little wider
_RAISED = 0.12  # of the size of a letter: office programs set lines so much lower
_PROPERTY = 255  # signs that a property of a file may have
_LAYOUT = 5  # a title alone
_ALIGN = {"left": PP_ALIGN.LEFT, "center": PP_ALIGN.CENTER, "right": PP_ALIGN.RIGHT}


class Words(NamedTuple):
    """A text of a slide: one line, or the lines of a paragraph."""

    text: str
    box: Bbox  # pixels from the lower left corner
    lines: int
    like: Text  # its first line, for size and colour


def editable_deck(deck: Deck, *, theme: str) -> bytes:
    """All slides as one PPTX file, with what to say as the notes of each."""
    shown: Any = Presentation()
    shown.slide_width, shown.slide_height = Emu(WIDTH * _PIXEL), Emu(HEIGHT * _PIXEL)
    shown.core_properties.title = deck.facts.scenario.title[:_PROPERTY]
    shown.core_properties.subject = deck.facts.scenario.question[:_PROPERTY]
    for slide in deck.slides:
        _add(shown.slides.add_slide(shown.slide_layouts[_LAYOUT]), deck, slide, theme)
    told = io.BytesIO()
    shown.save(told)
    return told.getvalue()


def _add(made: Any, deck: Deck, slide: Slide, theme: str) -> None:
    figure = draw_slide(deck, slide, THEMES[theme]).figure
    words = words_of(figure)
    for text in figure.findobj(Text):
        text.set_visible(False)
    told = io.BytesIO()
    figure.savefig(told, format="png", dpi=DPI)
    picture = made.shapes.add_picture(told, 0, 0, Emu(WIDTH * _PIXEL), Emu(HEIGHT * _PIXEL))
    picture._element.nvPicPr.cNvPr.set("descr", slide.alt)
    made.shapes._spTree.insert(2, picture._element)  # behind the title
    heading = next((one for one in words if one.text == slide.title), None)
    for one in words:
        box = made.shapes.title if one is heading else made.shapes.add_textbox(0, 0, 1, 1)
        _fill(box, one)
    if heading is None:
        made.shapes.title.text = slide.title
    asked = [] if slide.question is None else [slide.question.text, "; ".join(slide.question.choices)]
    notes = [*slide.say, *asked, f"Do not claim: {slide.never}"]
    made.notes_slide.notes_text_frame.text = "\n".join(notes)


def words_of(figure: Figure) -> list[Words]:
    """Every text that is seen; lines of a paragraph as one."""
    figure.draw_without_rendering()
    unseen = set(map(id, _idle(figure)))
    found = [one for one in figure.findobj(Text) if one.get_visible() and id(one) not in unseen]
    groups: dict[object, list[Text]] = {}
    for one in found:
        if one.get_text().strip():
            groups.setdefault(one.get_gid() or id(one), []).append(one)
    return [_joined(lines) for lines in groups.values()]


def _idle(figure: Figure) -> Iterator[Text]:
    """Labels of axes that are switched off, and of ticks that are not drawn."""
    axes: list[Any] = figure.findobj(Axis)
    for axis in axes:
        drawn = set(map(id, axis._update_ticks())) if axis.axes.axison else set()
        for tick in (*axis.majorTicks, *axis.minorTicks):
            if id(tick) not in drawn:
                yield from (tick.label1, tick.label2)


def _joined(lines: Sequence[Text]) -> Words:
    text = " ".join(line.get_text() for line in lines)
    return Words(text, Bbox.union([line.get_window_extent() for line in lines]), len(lines), lines[0])


def _fill(box: Any, one: Words) -> None:
    """Put a box where the words stand; it keeps its left end, middle or right end, as they do."""
    side = one.like.get_horizontalalignment()
    wide = one.box.width * (_SLACK if one.lines == 1 else 1.0) + 8
    up = _RAISED * float(one.like.get_fontsize()) * DPI / 72
    left = one.box.x0 - {"left": 0.0, "center": 0.5, "right": 1.0}[side] * (wide - one.box.width)
    sides = (Emu(round(pixels * _PIXEL)) for pixels in (left, HEIGHT - one.box.y1 - up, wide, one.box.height))
    box.left, box.top, box.width, box.height = sides
    frame = box.text_frame
    frame.margin_left = frame.margin_right = frame.margin_top = frame.margin_bottom = 0
    frame.word_wrap, frame.vertical_anchor = True, MSO_ANCHOR.MIDDLE
    paragraph = frame.paragraphs[0]
    paragraph.alignment = _ALIGN[side]
    run = paragraph.add_run()
    run.text = one.text
    run.font.size = Pt(round(float(one.like.get_fontsize()) * _POINT * DPI / 96, 1))
    run.font.name, run.font.bold = FONT, one.like.get_fontweight() == "bold"
    run.font.color.rgb = RGBColor.from_string(to_hex(one.like.get_color())[1:].upper())
