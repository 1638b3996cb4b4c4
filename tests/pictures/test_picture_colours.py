"""Colours, outlines and signs of the pictures: true to the fish, told apart by everybody, and in grey."""

from __future__ import annotations

import colorsys
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from reading_pictures import SIGHT, seen_with
from rockshy.analysis.film.fish import colours, dashes, marks_of, patterns, shapes
from rockshy.analysis.film.painted import Pictures
from rockshy.analysis.film.wear import Wear, said_of, wear_of, wear_of_sexes
from rockshy.analysis.pictures import look
from rockshy.sim.species.colours import HUES, MARKS
from rockshy.sim.species.overrides import with_overrides
from rockshy.sim.species.species import library
from skimage.color import deltaE_ciede2000

LOOKS = look.species_looks(library())
WORN = {wear.said: wear for one in LOOKS.values() for wear in (one.female, one.male)}
YELLOW, BLUE, ORANGE, RED = (40, 60), (200, 225), (18, 35), (0, 15)  # degrees of hue


@pytest.mark.parametrize(
    ("name", "female", "male"),
    [
        ("Labidochromis caeruleus", YELLOW, YELLOW),
        ("Neolamprologus leleupi", YELLOW, YELLOW),
        ("Maylandia estherae", ORANGE, BLUE),
        ("Chindongo saulosi", YELLOW, BLUE),
        ("Maylandia lombardoi", BLUE, YELLOW),
        ("Tropheus sp. red", RED, RED),
    ],
)
def test_a_fish_has_the_colour_of_its_species_and_sex(
    name: str, female: tuple[int, int], male: tuple[int, int]
) -> None:
    for wear, (low, high) in zip(wear_of_sexes(name), (female, male), strict=True):
        hue, saturation, _ = colorsys.rgb_to_hsv(*to_rgb(wear.body))
        assert low <= 360 * hue <= high and saturation > 0.3, wear


def test_what_nobody_knows_is_neutral_grey() -> None:
    for wear in (*wear_of_sexes("Genus novum"), wear_of("unknown")):
        assert np.ptp(np.array(to_rgb(wear.body))) < 0.03 and wear.marks == ()


def test_colours_that_a_keeper_sets_are_worn() -> None:
    own = with_overrides(library()["Tropheus moorii"], {"colour_male": "red with yellow band"})
    female, male = wear_of_sexes(own.key, {own.key: own})
    assert male == wear_of("red with yellow band") and female == wear_of_sexes(own.key)[0]
    assert said_of(female, male) == "male red with yellow band, female dark brown with orange band"


@pytest.mark.parametrize("mark", MARKS)
def test_every_part_that_can_be_named_is_painted(mark: str) -> None:
    plain, marked = wear_of("blue"), wear_of(f"blue with yellow {mark}")
    layers = {what for what, _ in shapes()["calm"]}
    painted = {what for what in layers if colours(plain).get(what) != colours(marked).get(what)}
    assert painted or marks_of(marked) == [mark]
    assert all(len(patterns()[one]) > 0 for one in marks_of(marked))


@pytest.mark.parametrize("hue", HUES)
def test_pale_and_dark_are_lighter_and_darker(hue: str) -> None:
    if hue != "unknown":
        grey = seen_with([wear_of(f"{shade}{hue}").body for shade in ("dark ", "", "pale ")], np.eye(3))[:, 0]
        assert grey[0] < grey[1] < grey[2]


# ---- told apart without colours


def test_no_two_species_share_letter_nor_marker_and_outline() -> None:
    looks = look.species_looks([f"Genus{chr(97 + k)} sp{k}" for k in range(40)])
    assert len({(one.marker, str(one.line)) for one in looks.values()}) == 40
    assert len({one.letter for one in looks.values()}) == 40
    for one, two in combinations(list(looks.values())[:7], 2):
        assert one.marker != two.marker and one.line != two.line


def grey(kind: look.SpeciesLook, wear: Wear, *, long: float) -> np.ndarray:
    """A fish of a film as an eye without colours sees it, over the water."""
    own = {"colours": colours(wear), "marks": marks_of(wear)}
    species = [{"dashes": dashes(kind.line), "wear": [own, own]}]
    cut = Pictures({"species": species, "shapes": shapes(), "patterns": patterns()}).swatch(
        (0, 1), round(long)
    )
    pixels = np.asarray(cut.picture, float) @ (0.3, 0.59, 0.11)
    seen = np.asarray(cut.mask) / 255.0
    return np.asarray(pixels * seen + 110.0 * (1 - seen))


def alike(one: Wear, two: Wear) -> bool:
    """Whether eyes without M cones hardly tell the bodies apart (CIEDE2000; 2 is just noticeable)."""
    lab = seen_with([one.body, two.body], SIGHT["no M cones"])
    return float(deltaE_ciede2000(lab[0], lab[1])) < 10


def test_fish_of_two_species_in_the_same_colour_differ_in_grey_by_their_outline() -> None:
    wear = wear_of("yellow")
    looks = list(look.species_looks([f"Genus{chr(97 + k)} sp" for k in range(7)]).values())
    shown = [grey(one, wear, long=70) for one in looks]
    for one, two in combinations(shown, 2):
        assert (np.abs(one - two) > 40).sum() > 25  # pixels, of some 220 along the outline


def test_any_two_species_of_a_tank_differ_without_colours() -> None:
    names = ["Labidochromis caeruleus", "Neolamprologus leleupi", "Maylandia estherae", "Chindongo saulosi"]
    names += ["Petrochromis famula", "Interochromis loocki", "Petrochromis orthognathus"]
    pairs = [
        (one, two, a, b)
        for one, two in combinations(look.species_looks(names).values(), 2)
        for a in (one.female, one.male)
        for b in (two.female, two.male)
        if alike(a, b)
    ]
    assert len(pairs) > 10
    for one, two, a, b in pairs:
        assert one.letter != two.letter and one.marker != two.marker
        assert (np.abs(grey(one, a, long=70) - grey(two, b, long=70)) > 40).sum() > 25, (one.name, two.name)


# ---- words and edges on them


@pytest.mark.parametrize("said", WORN)
def test_words_and_edges_stand_out_from_every_body(said: str) -> None:
    body = WORN[said].body
    assert contrast(body, look.ink_on(body)) >= 4.0  # 3 is asked of large text (WCAG 2.1, 1.4.3)
    assert contrast(body, WORN[said].rim) >= 3.0


def contrast(one: str, two: str) -> float:
    low, high = sorted([look.luminance(one), look.luminance(two)])
    return (high + 0.05) / (low + 0.05)


def test_words_stand_out_from_every_shade_of_the_table() -> None:
    for colour in (matplotlib.colors.to_hex(look.RATE_MAP(x)) for x in np.linspace(0, 1, 20)):
        assert contrast(colour, look.ink_on(colour)) >= 4.0


def test_shades_of_the_table_darken_evenly_in_grey() -> None:
    shades = [look.RATE_MAP(x)[:3] for x in np.linspace(0, 1, 40)]
    lightness = seen_with([matplotlib.colors.to_hex(shade) for shade in shades], np.eye(3))[:, 0]
    assert (np.diff(lightness) < 0).all()
    assert lightness[0] - lightness[-1] > 60


def test_letters_are_those_of_genus_or_epithet() -> None:
    looks = look.species_looks(["Tropheus moorii", "Tropheus duboisi", "Petrochromis trewavasae"])
    assert [one.letter for one in looks.values()] == ["T", "D", "P"]
