"""Colours, markers and letters of the pictures: told apart by everybody, and in grey."""

from __future__ import annotations

from itertools import combinations

import matplotlib
import numpy as np
import pytest
from reading_pictures import SIGHT, seen_with
from rockshy.analysis.pictures import look
from skimage.color import deltaE_ciede2000

MILD, HOT = "Tropheus duboisi", "Petrochromis trewavasae"


@pytest.mark.parametrize("sight", SIGHT)
def test_species_colours_differ_for_every_kind_of_sight(sight: str) -> None:
    lab = seen_with([*look.COLOURS, "#000000"], SIGHT[sight])
    # CIEDE2000 (CIE 142-2001); about 2 is just noticeable, the bound of 10 is this project's own
    assert min(float(deltaE_ciede2000(lab[a], lab[b])) for a, b in combinations(range(len(lab)), 2)) > 10


def test_species_colours_differ_in_grey() -> None:
    grey = seen_with(list(look.COLOURS), np.eye(3))[:, 0]
    assert np.diff(np.sort(grey)).min() > 8
    assert np.diff(np.sort(grey[:4])).min() > 16  # most tanks hold no more species


def test_shades_of_the_table_darken_evenly_in_grey() -> None:
    shades = [look.RATE_MAP(x)[:3] for x in np.linspace(0, 1, 40)]
    lightness = seen_with([matplotlib.colors.to_hex(shade) for shade in shades], np.eye(3))[:, 0]
    assert (np.diff(lightness) < 0).all()
    assert lightness[0] - lightness[-1] > 60


def test_words_stand_out_from_every_colour() -> None:
    for colour in [*look.COLOURS, *(look.RATE_MAP(x)[:3] for x in np.linspace(0, 1, 20))]:
        pair = sorted([look.luminance(colour), look.luminance(look.ink_on(colour))])
        assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 4.0  # 3 is asked of large text (WCAG 2.1, 1.4.3)


def test_species_never_share_marker_and_colour_nor_letter() -> None:
    looks = look.species_looks([f"Genus{chr(97 + k)} sp{k}" for k in range(40)])
    assert len({(one.marker, one.colour) for one in looks.values()}) == 40
    assert len({one.letter for one in looks.values()}) == 40


def test_letters_are_those_of_genus_or_epithet() -> None:
    looks = look.species_looks(["Tropheus moorii", "Tropheus duboisi", "Petrochromis trewavasae"])
    assert [one.letter for one in looks.values()] == ["T", "D", "P"]
