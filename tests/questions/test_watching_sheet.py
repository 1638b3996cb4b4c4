"""The printed sheet: what stands on it, that all of it fits, and that it is black on white."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.text import Text
from rockshy.analysis.pictures.paper import EDGE, LEAST, SIZES, Sheet
from rockshy.analysis.pictures.sheet import save_sheet, sheet_pages
from rockshy.analysis.questions.watching.ethogram import ACTS, PLACES
from rockshy.analysis.questions.watching.sheet import MOST_GROUPS, MOST_SINGLE, sheet_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario
from watched_tanks import tank

LONG = (
    *("Ophthalmotilapia ventralis", "Pseudosimochromis curvifrons", "Petrochromis trewavasae"),
    *("Petrochromis macrognathus", "Altolamprologus compressiceps", "Variabilichromis moorii"),
)


def stocked(*rows: str, title: str = "Stonecomb club") -> Scenario:
    head = f"title = '''{title}'''\n[tank]\nlength = 240\nfront_to_back = 60\nheight = 60\n"
    return parse(head + "".join(f"[[stock]]\n{row}\n" for row in rows), name="tank.toml")


def forty(title: str = "Stonecomb club, the long tank in the back room") -> Scenario:
    """Six species with long names and forty fish."""
    fish = (("males = 3\nfemales = 4", "males = 2\nfemales = 4\nunsexed = 1") * 3)[:6]
    rows = [f'species = "{name}"\n{how}' for name, how in zip(LONG, fish, strict=True)]
    rows[0] = rows[0].replace("males = 3\nfemales = 4", "males = 2\nfemales = 3")
    return stocked(*rows, title=title)


def texts(page: Sheet) -> list[Text]:
    return [one for one in page.axes.texts if one.get_text()]


def words_on(page: Sheet) -> str:
    return " ".join(" ".join(one.get_text() for one in texts(page)).split())


def boxes(page: Sheet) -> list[tuple[Text, np.ndarray]]:
    """Each text with left, lower, right and upper end in points."""
    canvas = FigureCanvasAgg(page.figure)
    scale = 72 / page.figure.dpi
    return [(one, one.get_window_extent(canvas.get_renderer()).extents * scale) for one in texts(page)]


SCENARIOS = {
    "four fish": tank,
    "forty fish": forty,
    "one fish": lambda: stocked('species = "Tropheus moorii"\nmales = 1'),
    "fourteen single fish": lambda: stocked('species = "Tropheus moorii"\nmales = 4\nfemales = 10'),
    "a hundred and twenty": lambda: stocked(
        *(f'species = "{name}"\nmales = 5\nfemales = 15' for name in LONG)
    ),
    "a wild title": lambda: forty("<b>$x^2$ & " + "\u202e" + "Wide " * 36),
}


@pytest.mark.parametrize(
    ("which", "paper"), [*((which, "a4") for which in SCENARIOS), ("forty fish", "letter")]
)
def test_everything_lies_on_the_paper_and_nothing_on_anything_else(which: str, paper: str) -> None:
    for page in sheet_pages(sheet_of(SCENARIOS[which]()), paper=paper):
        found = boxes(page)
        for one, (left, low, right, high) in found:
            assert left >= EDGE - 1.5 and right <= page.width - EDGE + 1.5, one.get_text()
            assert low >= 15 and high <= page.height - 20, one.get_text()
            assert one.get_fontsize() >= LEAST
        for k, (one, a) in enumerate(found):
            for other, b in found[k + 1 :]:
                across = min(a[2], b[2]) - max(a[0], b[0])
                up = min(a[3], b[3]) - max(a[1], b[1])
                assert across < 1.5 or up < 2.0, f"{one.get_text()!r} on {other.get_text()!r}"


def sides(page: Sheet) -> tuple[np.ndarray, np.ndarray]:
    """Places of the lines of the table on a page: those down, from left to right, and those across."""
    (lines,) = page.axes.collections
    ends = np.array([line.vertices for line in lines.get_paths()])
    down = ends[:, 0, 0] == ends[:, 1, 0]
    return np.sort(ends[down, 0, 0]), np.sort(ends[~down, 0, 1])


def cells(page: Sheet) -> int:
    down, across = sides(page)
    return (len(down) - 1) * (len(across) - 1)


def test_the_cells_are_large_enough_to_write_in() -> None:
    for make in (forty, SCENARIOS["fourteen single fish"]):
        for page in sheet_pages(sheet_of(make()))[1:]:
            for lines in sides(page):
                assert np.diff(lines).min() > 17.0  # points: 6 mm
                assert np.ptp(np.diff(lines)) < 1e-6


def test_only_black_white_and_one_grey_are_used() -> None:
    for page in sheet_pages(sheet_of(tank())):
        inks = [one.get_color() for one in texts(page)] + [line.get_color() for line in page.axes.lines]
        assert all(len(set(to_rgb(ink))) == 1 and to_rgb(ink)[0] < 0.15 for ink in inks)
        for patch in page.axes.patches:
            red, green, blue, alpha = patch.get_facecolor()
            assert alpha == 0 or (red == green == blue and red > 0.8)


def test_the_first_page_says_what_to_do() -> None:
    first = words_on(sheet_pages(sheet_of(tank(), minutes=10))[0])
    wanted = [word for one in ACTS for word in (one.name, one.meaning.split(";")[0])]
    wanted += [f"{place.name}: {place.meaning}" for place in PLACES]
    wanted += ["for 10 minutes", "Before anything else", "does not eat, hangs in a corner", "date", "nitrite"]
    wanted += ["Test the water first", "temperature", "last fed at", "focal-animal sampling", "scan sampling"]
    wanted += ["Looks come first", "a mark that stays", "both fine"]
    wanted += ["Altmann J (1974) Observational study of behavior: sampling methods. Behaviour 49:227-267"]
    assert [word for word in wanted if word not in first] == []
    assert "…" not in first
    assert not re.search("quiver|circling", first, re.IGNORECASE)


def test_few_fish_have_a_row_and_a_column_each() -> None:
    content = sheet_of(tank())
    assert content.single
    mild = [f"Tropheus duboisi {one}" for one in ("male 1", "female 1", "female 2")]
    assert [line.name for line in content.lines] == [*mild, "Petrochromis trewavasae male 1"]
    _, places, grid = sheet_pages(content)
    assert cells(grid) == 5 * 5  # with a row and a column for fish not made out
    assert sum(patch.get_facecolor()[3] > 0 for patch in grid.axes.patches) == 4  # nobody chases itself
    assert cells(places) == 4 * 10


def test_many_fish_stand_by_species_and_sex() -> None:
    content = sheet_of(forty())
    assert content.fish == 40
    assert not content.single
    assert len(content.lines) == 15
    places, grid = (words_on(page) for page in sheet_pages(content)[1:])
    assert "females (4)" in grid
    assert "P. trewavasae" in grid
    assert "write how many of them you see OUT" in places


def test_very_many_kinds_stand_by_species_alone() -> None:
    names = (*LONG, "Tropheus moorii", "Tropheus duboisi", "Simochromis diagramma", "Eretmodus cyanostictus")
    content = sheet_of(
        stocked(*(f'species = "{name}"\nmales = 1\nfemales = 1\nunsexed = 1' for name in names))
    )
    assert 3 * len(names) > MOST_GROUPS > MOST_SINGLE
    assert [line.name for line in content.lines] == list(names)


@pytest.mark.parametrize(("minutes", "pages"), [(5, 3), (10, 3), (30, 4), (60, 5)])
def test_a_longer_watch_has_more_pages(minutes: int, pages: int) -> None:
    content = sheet_of(tank(), minutes=minutes)
    made = sheet_pages(content)
    assert len(made) == pages
    assert f"page {pages} of {pages}" in words_on(made[-1])
    assert sum(cells(page) for page in made[1:-1]) == 4 * minutes


@pytest.mark.parametrize("paper", SIZES)
def test_the_file_is_a_pdf_of_that_paper(tmp_path: Path, paper: str) -> None:
    path = tmp_path / "sheet.pdf"
    assert save_sheet(sheet_of(forty()), path, paper=paper) == 3
    data = path.read_bytes()
    assert data.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type /Page\b", data)) == 3
    width, height = SIZES[paper]
    found = re.findall(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", data)
    assert found
    for side in found:
        assert (float(side[0]), float(side[1])) == pytest.approx((width, height), abs=0.1)
    assert b"/Type /Font" in data  # text as text, to be searched and read out
    assert [one.name for one in tmp_path.iterdir()] == ["sheet.pdf"]
