"""Slides and handout: that they can be read, in grey too, that nothing overlaps, what stands in the files."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from fake_compare import FEWER, NOTHING
from fake_talk import argued, crowded, deck, one_fish, planned, whole
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from PIL import Image
from pptx import Presentation
from pypdf import PdfReader
from reading_pictures import SIGHT, assert_legible, assert_page, seen_with, words_of
from rockshy.analysis.document.writing import write_bytes
from rockshy.analysis.pictures import look, talk_look
from rockshy.analysis.pictures.talk_charts import AMOUNTS, shown_amounts
from rockshy.analysis.pictures.talk_deck import deck_files, draw_slide, file_name, with_words
from rockshy.analysis.pictures.talk_editable import editable_deck
from rockshy.analysis.pictures.talk_fish import grid_of
from rockshy.analysis.pictures.talk_handout import handout_pages, save_handout
from rockshy.analysis.pictures.talk_look import DARK, LIGHT, Theme
from rockshy.analysis.pictures.talk_tank import columns_for
from rockshy.analysis.talk.deck import Deck
from skimage.metrics import structural_similarity

PICTURES = Path(__file__).parents[1] / "pictures"
EVIL = '<script>alert(1)</script> "$x$ & \u202e\u05d0\u05d1\u05d2 ' + "very long name " * 30

CASES: dict[str, Callable[[], Deck]] = {
    "whole": whole,
    "six species, forty fish": lambda: deck(crowded()),
    "long names": lambda: deck(crowded(name=EVIL)),
    "plans": planned,
    "one fish": lambda: deck(one_fish()),
    "none pinned": lambda: deck(argued(FEWER, NOTHING), lost=lambda *_: 0.1),
}


@cache
def built(case: str) -> Deck:
    return CASES[case]()


@cache
def drawn_slide(case: str, name: str, theme: Theme) -> Figure:
    made = built(case)
    return draw_slide(made, next(one for one in made.slides if one.name == name), theme).figure


def drawn(case: str, theme: Theme) -> dict[str, Figure]:
    return {slide.name: drawn_slide(case, slide.name, theme) for slide in built(case).slides}


@pytest.mark.parametrize("case", CASES)
def test_every_word_is_large_enough_and_lies_on_no_other(case: str) -> None:
    for figure in drawn(case, LIGHT).values():
        assert_legible(figure, least=1080 / 30, rim=6)


def test_both_themes_say_the_same() -> None:
    themes = (drawn("none pinned", theme).values() for theme in (LIGHT, DARK))
    for light, dark in zip(*themes, strict=True):
        assert words_of(light) == words_of(dark)


# ---- grey, and every kind of sight


def contrast(one: str, two: str) -> float:
    low, high = sorted([look.luminance(one), look.luminance(two)])
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("sight", SIGHT)
def test_words_and_marks_stand_out_in_grey_and_for_every_kind_of_sight(theme: Theme, sight: str) -> None:
    for one, two, least in (
        (theme.ink, theme.paper, 12.0),
        (theme.ink, theme.panel, 9.0),
        (theme.faint, theme.paper, 5.0),  # 4.5 is asked of small text (WCAG 2.1, 1.4.3)
        (theme.faint, theme.panel, 4.5),
        (theme.accent, theme.paper, 5.0),
        (theme.ink, theme.water, 7.0),  # a fish in a small tank
        (theme.ink, theme.stone, 3.0),  # and before rock
        (theme.stone, theme.water, 1.9),
    ):
        assert contrast(one, two) >= least, (one, two)
    lab = seen_with([theme.ink, theme.panel, theme.paper, theme.accent], SIGHT[sight])[:, 0]
    assert abs(lab[0] - lab[1]) > 60 and abs(lab[0] - lab[2]) > 70 and abs(lab[3] - lab[2]) > 50


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_shades_of_the_table_change_evenly_in_grey(theme: Theme) -> None:
    grey = seen_with([to_hex(theme.shades(x)) for x in np.linspace(0, 1, 20)], np.eye(3))[:, 0]
    steps = np.diff(grey)
    assert (steps < 0).all() if theme is LIGHT else (steps > 0).all()
    for x in np.linspace(0, 1, 20):
        assert contrast(look.ink_on(theme.shades(x)), to_hex(theme.shades(x))) >= 4.0


def test_each_fish_of_the_key_stands_beside_its_name() -> None:
    figure = drawn_slide("six species, forty fish", "film", LIGHT)
    words = " ".join(words_of(figure))
    for row in built("six species, forty fish").facts.scenario.stock:
        assert row.species in words


def test_a_pinned_tank_is_told_by_its_words_and_a_filled_fish_by_its_count() -> None:
    slides = (drawn_slide("whole", name, LIGHT) for name in ("luck", "luck-after", "before-after"))
    held, free, row = map(words_of, slides)
    assert sum(word.endswith(" pinned") for word in held) == 20
    assert not any(re.fullmatch(r"\d+ pinned", word) for word in free)
    assert "20 of 20" in row and "0 of 20" in row and "out more" in row


# ---- layout


def test_counted_fish_are_as_many_as_were_counted() -> None:
    some = grid_of(7, 20, x=0, y=0, columns=10, step=(1, 1))
    assert sum(one.filled for one in some) == 7 and len({(one.x, one.y) for one in some}) == 20
    assert {one.y for one in grid_of(1, 8, x=0, y=0, columns=4, step=(1, 2), upwards=True)} == {0.0, 2.0}


@pytest.mark.parametrize("size", [(150.0, 50.0), (80.0, 90.0), (240.0, 60.0), (60.0, 60.0), (300.0, 20.0)])
@pytest.mark.parametrize("count", [2, 13, 20])
def test_small_tanks_fit_whatever_their_shape(size: tuple[float, float], count: int) -> None:
    length, height = size
    columns, scale = columns_for(count, length=length, height=height)
    assert scale > 0 and columns * length * scale <= talk_look.ROOM + 1e-6
    rows = -(-count // columns)
    assert rows * (height * scale + 46) <= talk_look.CEILING - 66 - talk_look.FLOOR


def test_every_set_up_stands_on_a_slide_under_its_whole_name() -> None:
    names = [
        f"change number {k} of a keeper who writes a long name for whatever he has tried" for k in range(7)
    ]
    made = deck(argued(FEWER, *(NOTHING.replace("the same rock", name) for name in names)), trials=3)
    slides = [one for one in made.slides if one.kind == "change"]
    assert len(slides) > 2 and [slide.places[0] for slide in slides] == [0] * len(slides)
    assert [place for slide in slides for place in slide.places[1:]] == list(range(1, 9))
    said = [" ".join(words_of(draw_slide(made, slide, LIGHT).figure)) for slide in slides]
    for slide, words in zip(slides, said, strict=True):
        assert "\u2026" not in words
        for place in slide.places:
            assert made.facts.setups[place].name in words and made.facts.setups[place].name in slide.alt


def test_no_name_is_cut_off_as_long_as_a_file_may_have_it() -> None:
    long = " ".join(["a name", "as long", "as a file", "may have it"] * 3)[:80].strip()
    scenario = crowded(name=long)
    others = tuple(replace(one, name=f"{k} {long[2:]}") for k, one in enumerate(scenario.alternatives))
    made = deck(replace(scenario, alternatives=others), trials=3)
    for slide in made.slides:
        assert not [line for line in words_of(draw_slide(made, slide, LIGHT).figure) if "\u2026" in line], (
            slide.name
        )


def test_of_many_amounts_of_rock_the_own_one_is_shown() -> None:
    from types import SimpleNamespace

    many = [SimpleNamespace(own=k == 4) for k in range(15)]
    kept = shown_amounts(many)
    assert len(kept) <= AMOUNTS and kept[0] is many[0] and kept[-1] is many[-1] and many[4] in kept


# ---- stored pictures

STORED = (
    ("whole", "before-after", LIGHT),
    ("whole", "luck", DARK),
    ("whole", "who-chases-whom", DARK),
    ("whole", "why", LIGHT),
)


def small(figure: Figure) -> np.ndarray:
    """480 x 270 pixels in grey."""
    told = io.BytesIO()
    figure.savefig(told, format="png", dpi=25)
    return np.asarray(Image.open(told).convert("L"))


@pytest.mark.parametrize(("case", "name", "theme"), STORED, ids=[f"{one}-{t.name}" for _, one, t in STORED])
def test_a_slide_looks_as_it_was_seen_and_found_good(case: str, name: str, theme: Theme) -> None:
    """To store them anew after a wanted change: run this file as a program, and look at them."""
    stored = np.asarray(Image.open(PICTURES / f"talk-{name}-{theme.name}.png"))
    alike = structural_similarity(small(drawn_slide(case, name, theme)), stored)
    assert alike > 0.93  # room for another matplotlib


# ---- files


@pytest.fixture(scope="module")
def evil() -> Deck:
    """Four slides of a deck whose names are not to be trusted."""
    made = deck(crowded(name=EVIL, species=2, fish=6), trials=3)
    wanted = ("title", "two-camps", "before-after", "sources")
    return replace(made, slides=tuple(one for one in made.slides if one.name in wanted))


@pytest.fixture(scope="module")
def pack(evil: Deck, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("talk")
    (folder / "light").mkdir()
    files = [write_bytes(folder / name, told) for name, told in deck_files(evil, theme="light")]
    assert len(files) == 2 * len(evil.slides) + 1
    return folder


def test_pictures_are_full_size_with_words_for_those_who_cannot_see_them(evil: Deck, pack: Path) -> None:
    assert sorted(one.name for one in pack.iterdir()) == ["deck-light.pdf", "light"]
    for slide in evil.slides:
        assert_page(pack / "light" / f"{file_name(evil, slide)}.png", slide.alt)
        root = ElementTree.parse(pack / "light" / f"{file_name(evil, slide)}.svg").getroot()
        told = {part.tag.rpartition("}")[2]: part.text for part in list(root)[:2]}
        assert told == {"title": slide.title, "desc": slide.alt}
        assert root.get("role") == "img"


def test_a_malicious_name_is_text_in_every_picture(evil: Deck, pack: Path) -> None:
    for path in (pack / "light").glob("*.svg"):
        text = path.read_text(encoding="utf-8")
        assert "<script" not in text
        assert not [part for part in ElementTree.fromstring(text).iter() if part.tag.endswith("script")]
    shown = words_of(draw_slide(evil, evil.slides[0], LIGHT).figure)
    assert any(line.startswith('<script>alert(1)</script> "$x$ & ') for line in shown)
    odd = ElementTree.fromstring(
        with_words(b'<svg xmlns="http://www.w3.org/2000/svg"/>', title="<a>", words="&'\"")
    )
    assert [part.text for part in odd] == ["<a>", "&'\""]


def test_the_deck_is_one_pdf_with_its_words_as_text(evil: Deck, pack: Path) -> None:
    pages = PdfReader(pack / "deck-light.pdf").pages
    assert len(pages) == len(evil.slides)
    for k, (page, slide) in enumerate(zip(pages, evil.slides, strict=True), 1):
        assert float(page.mediabox.width) / float(page.mediabox.height) == pytest.approx(16 / 9)
        text = page.extract_text()
        assert f"{k} / {len(evil.slides)}" in text
        if slide.name != "title":
            assert slide.title in text
    assert "Kohda 1998" in pages[-1].extract_text()


def test_slides_can_be_edited_and_have_what_to_say_with_them(evil: Deck) -> None:
    shown = Presentation(io.BytesIO(editable_deck(evil, theme="light")))
    assert shown.core_properties.title == evil.facts.scenario.title[:255]
    for slide, made in zip(evil.slides, shown.slides, strict=True):
        boxes = [shape.text_frame.text for shape in made.shapes if shape.has_text_frame]
        drawn = " ".join(words_of(draw_slide(evil, slide, LIGHT).figure))
        assert sorted(" ".join(boxes).split()) == sorted(drawn.split())
        assert made.shapes.title.text_frame.text in (slide.title, boxes[0])
        (picture,) = (shape for shape in made.shapes if not shape.has_text_frame)
        assert picture._element.nvPicPr.cNvPr.get("descr") == slide.alt
        notes = made.notes_slide.notes_text_frame.text
        assert all(text in notes for text in slide.say) and slide.never in notes
        sides = [(one.left, one.top, one.left + one.width, one.top + one.height) for one in made.shapes]
        assert all(a > -1e5 and b > -1e5 and c < shown.slide_width + 3e5 for a, b, c, _ in sides)


FRONT = (
    *("Which change?", "one hot male", "20 of 20", "give or take", "Fewer hot males, more peace."),
    *("In the model this supports the first camp.", "Three caveats", "These are fish of a model, not yours."),
    *("Test the water first", "Stand rock on the base"),
)
BACK = ("Ten minutes before your own tank", "Who chases whom", "Where they are", "Altmann")


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_the_handout_is_one_sheet_of_two_sides_without_colour(
    paper: str, size: tuple[int, int], tmp_path: Path
) -> None:
    pages = PdfReader(save_handout(whole(), tmp_path / "h.pdf", paper=paper)).pages
    assert len(pages) == 2
    front, back = (" ".join(page.extract_text().split()) for page in pages)
    assert [words for words in FRONT if words not in front] == []
    assert [words for words in BACK if words not in back] == []
    for page in pages:
        assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == size
        for red, green, blue in re.findall(
            rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", page.get_contents().get_data()
        ):
            assert red == green == blue


@pytest.mark.parametrize(
    ("case", "paper"),
    [
        *((case, "a4") for case in CASES if case != "none pinned"),
        ("long names", "letter"),
        ("whole", "letter"),
    ],
)
def test_nothing_on_the_handout_overlaps_or_leaves_the_page(case: str, paper: str) -> None:
    for page in handout_pages(built(case), paper=paper):
        assert_legible(page.figure, least=8 * 100 / 72, rim=3)


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    for _, slide_name, its_theme in STORED:
        picture = small(drawn_slide("whole", slide_name, its_theme))
        Image.fromarray(picture).save(PICTURES / f"talk-{slide_name}-{its_theme.name}.png", optimize=True)
