"""The species library against published figures: each figure stands here with where it was read.

A published length is a maximum or a measured specimen; the library's range must hold the first and its
greatest male length must not fall short of the second. Standard lengths are divided by 0.80 (0.75-0.85).
"""

from __future__ import annotations

import pytest
from rockshy.sim.species.species import Species, library

LIBRARY = library()
SL_PER_TL = (0.75, 0.80, 0.85)

# species, trait, published figure in cm total length, where and how it was read
MAXIMA = [
    ("Altolamprologus calvus", "length_max_male_cm", 15.0, "TanganyikaTraits2023 (2nd)"),
    ("Altolamprologus calvus", "length_max_female_cm", 9.0, "TanganyikaTraits2023 (2nd)"),
    ("Altolamprologus compressiceps", "length_max_male_cm", 15.0, "TanganyikaTraits2023 (2nd)"),
    ("Altolamprologus compressiceps", "length_max_female_cm", 9.0, "TanganyikaTraits2023 (2nd)"),
    ("Chalinochromis brichardi", "length_max_male_cm", 12.0, "SpeciesAccounts (2nd)"),
    ("Chindongo elongatus", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Chindongo heteropictus", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Chindongo longior", "length_max_male_cm", 11.0, "SpeciesAccounts (2nd)"),
    ("Chindongo saulosi", "length_max_male_cm", 8.6, "SpeciesAccounts (2nd)"),
    ("Cynotilapia afra", "length_max_male_cm", 12.0, "SpeciesAccounts (2nd)"),
    ("Cynotilapia afra", "length_max_female_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Cynotilapia axelrodi", "length_max_male_cm", 9.0, "SpeciesAccounts (2nd)"),
    ("Eretmodus cyanostictus", "length_max_male_cm", 9.0, "SpeciesAccounts (2nd)"),
    ("Eretmodus cyanostictus", "length_max_male_cm", 8.0, "TanganyikaTraits2023 (2nd)"),
    ("Eretmodus cyanostictus", "length_max_female_cm", 7.0, "TanganyikaTraits2023 (2nd)"),
    ("Julidochromis dickfeldi", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Julidochromis dickfeldi", "length_max_female_cm", 11.0, "SpeciesAccounts (2nd)"),
    ("Julidochromis dickfeldi", "length_max_female_cm", 7.0, "SpeciesAccounts (2nd)"),
    ("Julidochromis marlieri", "length_max_female_cm", 15.0, "SpeciesAccounts (2nd)"),
    ("Julidochromis ornatus", "length_max_male_cm", 9.0, "TanganyikaTraits2023 (2nd)"),
    ("Julidochromis ornatus", "length_max_female_cm", 9.0, "TanganyikaTraits2023 (2nd)"),
    ("Julidochromis regani", "length_max_female_cm", 15.0, "SpeciesAccounts (2nd)"),
    ("Julidochromis transcriptus", "length_max_female_cm", 7.0, "SpeciesAccounts (2nd)"),
    ("Labidochromis chisumulae", "length_max_male_cm", 10.2, "SpeciesAccounts (2nd)"),
    ("Labidochromis joanjohnsonae", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Maylandia chrysomallos", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Maylandia lombardoi", "length_max_male_cm", 13.0, "SpeciesAccounts (2nd)"),
    ("Maylandia mbenjii", "length_max_male_cm", 12.0, "SpeciesAccounts (2nd)"),
    ("Maylandia pulpican", "length_max_male_cm", 9.0, "SpeciesAccounts (2nd)"),
    ("Maylandia pyrsonotos", "length_max_male_cm", 13.0, "SpeciesAccounts (2nd)"),
    ("Maylandia sp. msobo", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Maylandia sp. msobo", "length_max_male_cm", 11.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus buescheri", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus buescheri", "length_max_female_cm", 7.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus cylindricus", "length_max_male_cm", 12.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus fasciatus", "length_max_male_cm", 15.0, "SpeciesTable (2nd)"),
    ("Neolamprologus leleupi", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus pulcher", "length_max_male_cm", 8.0, "TanganyikaTraits2023 (2nd)"),
    ("Neolamprologus pulcher", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus pulcher", "length_max_female_cm", 8.0, "TanganyikaTraits2023 (2nd)"),
    ("Neolamprologus sexfasciatus", "length_max_male_cm", 16.0, "SpeciesAccounts (2nd)"),
    ("Neolamprologus tretocephalus", "length_max_male_cm", 15.0, "SpeciesAccounts (2nd)"),
    ("Ophthalmotilapia ventralis", "length_max_male_cm", 15.0, "FroesePauly (species page read)"),
    ("Petrochromis famula", "length_max_male_cm", 15.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis famula", "length_max_female_cm", 12.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis fasciolatus", "length_max_male_cm", 15.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis macrognathus", "length_max_male_cm", 20.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis orthognathus", "length_max_male_cm", 16.5, "SpeciesAccounts (2nd)"),
    ("Petrochromis polyodon", "length_max_male_cm", 21.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis polyodon", "length_max_male_cm", 25.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis trewavasae", "length_max_male_cm", 20.0, "SpeciesAccounts (2nd)"),
    ("Petrochromis trewavasae", "length_max_male_cm", 22.0, "SpeciesAccounts (2nd; in tanks)"),
    ("Pseudosimochromis curvifrons", "length_max_male_cm", 14.0, "SpeciesAccounts (2nd)"),
    ("Simochromis diagramma", "length_max_male_cm", 19.5, "SpeciesAccounts (2nd)"),
    ("Simochromis diagramma", "length_max_male_cm", 20.0, "SpeciesAccounts (2nd)"),
    ("Tanganicodus irsacae", "length_max_male_cm", 7.0, "SpeciesAccounts (2nd)"),
    ("Telmatochromis vittatus", "length_max_male_cm", 9.0, "SpeciesAccounts (2nd)"),
    ("Tropheops romandi", "length_max_male_cm", 10.0, "SpeciesAccounts (2nd)"),
    ("Tropheus brichardi", "length_max_male_cm", 14.0, "SpeciesAccounts (2nd)"),
    ("Tropheus duboisi", "length_max_male_cm", 12.0, "SpeciesAccounts (2nd)"),
    ("Tropheus duboisi", "length_max_male_cm", 14.0, "SpeciesAccounts (2nd; imports)"),
    ("Tropheus moorii", "length_max_male_cm", 14.5, "SpeciesTable (2nd)"),
    ("Tropheus moorii", "length_max_female_cm", 11.0, "TanganyikaTraits2023 (2nd)"),
    ("Variabilichromis moorii", "length_max_male_cm", 10.3, "Poll1956 (2nd)"),
    ("Variabilichromis moorii", "length_max_female_cm", 10.5, "TanganyikaTraits2023 (2nd)"),
]

# the same from a published greatest standard length
STANDARD_MAXIMA = [
    ("Cynotilapia aurifrons", "length_max_male_cm", 7.32 / SL_PER_TL[1], "FroesePauly (species page read)"),
    ("Iodotropheus sprengerae", "length_max_male_cm", 10.8 / SL_PER_TL[1], "FroesePauly (2nd)"),
    ("Maylandia aurora", "length_max_male_cm", 8.7 / SL_PER_TL[1], "FroesePauly (species page read)"),
    ("Maylandia aurora", "length_max_female_cm", 8.0 / SL_PER_TL[1], "FroesePauly (species page read)"),
    ("Maylandia flavifemina", "length_max_male_cm", 8.52 / SL_PER_TL[1], "FroesePauly (species page read)"),
    ("Maylandia zebra", "length_max_male_cm", 11.3 / SL_PER_TL[1], "FroesePauly (2nd)"),
    ("Melanochromis chipokae", "length_max_male_cm", 12.0 / SL_PER_TL[1], "FroesePauly (species page read)"),
    ("Pseudotropheus crabro", "length_max_male_cm", 16.0 / SL_PER_TL[1], "FroesePauly (2nd)"),
]

# species, standard length in cm of a measured male: no maximum, so the library may exceed it
SPECIMENS = [
    ("Maylandia benetos", 8.14, "Stauffer1997 (2nd): the type"),
    ("Melanochromis chipokae", 8.78, "KoningsStauffer2012 (read): the type"),
    ("Melanochromis vermivorus", 7.6, "an account of specimens in Zootaxa 2076 (2009), read"),
    ("Pseudotropheus cyaneorhabdos", 6.5, "SpeciesAccounts (2nd): the type"),
]

# species, body depth as a share of standard length (low, high; equal for a mean)
DEPTHS = [
    ("Chindongo elongatus", 0.277, 0.314, "LiKonings2016 and an account of it (2nd)"),
    ("Melanochromis chipokae", 0.305, 0.305, "KoningsStauffer2012 (read): mean"),
    ("Melanochromis vermivorus", 0.325, 0.325, "Zootaxa 2076 (2009), account read: mean"),
]

# species, trait, published value, where it was read
WORDS = [
    ("Eretmodus cyanostictus", "mating", "pair", "MorleyBalshine2003 (abstract): monogamous"),
    ("Eretmodus cyanostictus", "brood", "mouth", "MorleyBalshine2003 (abstract): both parents"),
    ("Eretmodus cyanostictus", "defends", "both", "MorleyBalshine2003 (abstract): territorial pairs"),
    ("Eretmodus cyanostictus", "mating", "pair", "Taylor2003 (abstract): one father a brood"),
    ("Spathodus erythrodon", "brood", "mouth", "SpeciesAccounts (2nd): both parents"),
    ("Tanganicodus irsacae", "mating", "pair", "SpeciesAccounts (2nd): both parents"),
    ("Variabilichromis moorii", "mating", "pair", "SpeciesAccounts (2nd)"),
    ("Tropheus moorii", "defends", "both", "YanagisawaNishida1991 (abstract)"),
    ("Labidochromis caeruleus", "defends", "none", "SpeciesAccounts (2nd)"),
    ("Neolamprologus pulcher", "mating", "group", "WongBalshine2011 (abstract): group-living"),
    ("Ophthalmotilapia ventralis", "brood", "mouth", "FroesePauly (species page read)"),
    ("Maylandia zebra", "defends", "male", "Munthali1996 (abstract)"),
    ("Labeotropheus fuelleborni", "defends", "male", "Robinson1996 (abstract)"),
]

# species, the food that must come first, where it was read
MAIN_FOOD = [
    ("Tropheus moorii", "A", "TanganyikaTraits2023 (2nd)"),
    ("Eretmodus cyanostictus", "A", "TanganyikaTraits2023 (2nd)"),
    ("Variabilichromis moorii", "A", "TanganyikaTraits2023 (2nd)"),
    ("Simochromis diagramma", "A", "SpeciesAccounts (2nd)"),
    ("Pseudosimochromis curvifrons", "A", "SpeciesAccounts (2nd)"),
    ("Petrochromis trewavasae", "A", "SpeciesAccounts (2nd); Kohda1991 (abstract): herbivorous"),
    ("Cynotilapia afra", "P", "SpeciesAccounts (2nd)"),
    ("Labidochromis chisumulae", "I", "SpeciesAccounts (2nd)"),
    ("Labidochromis joanjohnsonae", "I", "SpeciesAccounts (2nd)"),
    ("Neolamprologus sexfasciatus", "I", "SpeciesAccounts (2nd): snails"),
    ("Petrochromis fasciolatus", "A", "SpeciesAccounts (2nd)"),
    ("Tanganicodus irsacae", "I", "SpeciesAccounts (2nd)"),
    ("Neolamprologus pulcher", "P", "TanganyikaTraits2023 (2nd)"),
    ("Altolamprologus compressiceps", "I", "Yuma1994 (abstract): shrimps"),
    ("Altolamprologus calvus", "I", "TanganyikaTraits2023 (2nd)"),
    ("Neolamprologus leleupi", "I", "Yuma1994 (abstract)"),
    ("Pseudotropheus cyaneorhabdos", "I", "Ribbink1983 (2nd)"),
    ("Melanochromis chipokae", "I", "FroesePauly (species page read): fish only perhaps"),
]

# standard and total length in mm of measured fish of both lakes (SpeciesAccounts, 2nd)
MEASURED_BOTH_WAYS = [
    ("Trematocara zebra", 66.0, 87.0),
    ("Lethrinops chilingali", 81.2, 97.0),
    ("Pseudotropheus likomae", 76.5, 90.0),
]


@pytest.mark.parametrize(("name", "trait", "cm", "read"), [*MAXIMA, *STANDARD_MAXIMA])
def test_a_published_maximum_lies_in_the_range(name: str, trait: str, cm: float, read: str) -> None:
    entry = LIBRARY[name].traits[trait]
    assert entry.low <= cm <= entry.high, f"{name} {trait}: {cm} cm after {read}"


@pytest.mark.parametrize(("name", "cm", "read"), SPECIMENS)
def test_no_measured_male_is_longer_than_the_library_allows(name: str, cm: float, read: str) -> None:
    # even if it carried the shortest tail the ratio allows for
    assert cm / SL_PER_TL[2] <= LIBRARY[name].traits["length_max_male_cm"].value, read


@pytest.mark.parametrize(("name", "low", "high", "read"), DEPTHS)
def test_published_body_depth(name: str, low: float, high: float, read: str) -> None:
    depth = LIBRARY[name].traits["depth_ratio"]
    assert depth.low <= low * SL_PER_TL[1] <= depth.high, read
    assert depth.low <= high * SL_PER_TL[1] <= depth.high, read


@pytest.mark.parametrize(("name", "trait", "word", "read"), WORDS)
def test_published_habits(name: str, trait: str, word: str, read: str) -> None:
    assert LIBRARY[name].words[trait].value == word, read


@pytest.mark.parametrize(("name", "food", "read"), MAIN_FOOD)
def test_the_main_food_is_the_published_one(name: str, food: str, read: str) -> None:
    assert LIBRARY[name].words["guild"].value[0] == food, read


@pytest.mark.parametrize(("name", "standard", "total"), MEASURED_BOTH_WAYS)
def test_the_ratio_of_the_lengths_holds_measured_fish(name: str, standard: float, total: float) -> None:
    assert SL_PER_TL[0] <= standard / total <= SL_PER_TL[2] + 1e-9, name


def _of(lake: str) -> list[Species]:
    return [species for species in LIBRARY.values() if species.lake == lake]


@pytest.mark.parametrize("species", _of("Tanganyika"), ids=lambda species: str(species.key))
def test_water_of_tanganyika(species: Species) -> None:
    # surface 24 to 28-29 C (Edmond1993, 2nd); pH about 9.0 in the upper 100 m (DeWever2005, 2nd)
    water = species.traits
    assert (water["temp_low_c"].value, water["temp_high_c"].value) == (24, 29)
    assert water["ph_low"].value < 9.0 < water["ph_high"].value


@pytest.mark.parametrize("species", _of("Malawi"), ids=lambda species: str(species.key))
def test_water_of_malawi(species: Species) -> None:
    # pH 7.7-8.6, GH 4-6, KH 6-8 degrees, surface 23-29 C over the year (SpeciesAccounts, 2nd);
    # an expedition measured GH 5, KH 7 and 24 C (SpeciesAccounts, 2nd)
    water = species.traits
    assert (water["ph_low"].value, water["ph_high"].value) == (7.7, 8.6)
    assert water["gh_low"].value <= 5 <= water["gh_high"].value
    assert water["kh_low"].value <= 7 <= water["kh_high"].value
    assert 23 <= water["temp_low_c"].value <= 24 < water["temp_high_c"].value <= 29


@pytest.mark.parametrize("species", _of("Malawi"), ids=lambda species: str(species.key))
def test_hardness_of_malawi_from_its_ions(species: Species) -> None:
    # Ca 16.4-19.8 and Mg 4.7-8.8 mg/l, bicarbonate and carbonate 2.36-2.58 meq/l (SpeciesAccounts, 2nd);
    # 1 degree of hardness = 7.147 mg/l Ca = 4.334 mg/l Mg = 0.3566 meq/l (from 10 mg/l CaO; computed)
    water = species.traits
    gh = (16.4 / 7.147 + 4.7 / 4.334, 19.8 / 7.147 + 8.8 / 4.334)
    kh = (2.36 / 0.3566, 2.58 / 0.3566)
    assert water["gh_low"].value <= gh[1] and gh[0] <= water["gh_high"].value
    assert water["kh_low"].value <= kh[0] and kh[1] <= water["kh_high"].value


def test_larger_sex() -> None:
    # males longer: Eretmodus (NeatBalshineEarn1999, abstract)
    # females longer: J. marlieri (SpeciesAccounts, 2nd)
    goby, julie = LIBRARY["Eretmodus cyanostictus"].traits, LIBRARY["Julidochromis marlieri"].traits
    assert goby["length_max_male_cm"].value > goby["length_max_female_cm"].value
    assert julie["length_max_male_cm"].value < julie["length_max_female_cm"].value
