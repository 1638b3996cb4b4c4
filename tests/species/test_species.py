"""The species library: complete, within bounds, with sources; names; a keeper's changes."""

from __future__ import annotations

import math
import pickle
import tomllib
from collections import Counter
from importlib import resources

import pytest
from rockshy.sim.species.colours import HUES, UNKNOWN, dress_of
from rockshy.sim.species.names import find
from rockshy.sim.species.overrides import with_overrides
from rockshy.sim.species.sources import is_known
from rockshy.sim.species.species import Species, SpeciesError, library, read_species

LIBRARY = library()
MOORII = LIBRARY["Tropheus moorii"]
FOLDER = resources.files("rockshy.sim.species.library")

every_species = pytest.mark.parametrize("species", LIBRARY.values(), ids=list(LIBRARY))


def text_of(name: str) -> str:
    return FOLDER.joinpath(file_of(name)).read_text(encoding="utf-8")


def file_of(name: str) -> str:
    return name.lower().replace("sp. ", "sp ").replace(" ", "_") + ".toml"


# --- the library --------------------------------------------------------------


def test_the_rock_dwellers_that_keepers_have_of_both_lakes() -> None:
    lakes = Counter(species.lake for species in LIBRARY.values())
    assert set(lakes) == {"Malawi", "Tanganyika"}
    assert lakes.total() >= 80
    assert min(lakes.values()) >= 40


def test_a_file_is_named_after_its_species() -> None:
    files = {entry.name for entry in FOLDER.iterdir() if entry.name.endswith(".toml")}
    assert files == set(map(file_of, LIBRARY))


@every_species
def test_every_source_is_known_and_none_is_a_keepers(species: Species) -> None:
    for entry in (*species.traits.values(), *species.words.values()):
        assert is_known(entry.source), f"{entry.name}: {entry.source}"
        assert "keeper" not in entry.source


@every_species
def test_scores_that_nobody_measured_say_so_and_have_a_wide_range(species: Species) -> None:
    for name in ("temper", "temper_female", "timidity", "radius_cm"):
        trait = species.traits[name]
        assert trait.source.endswith("assumption"), name
        assert trait.high / trait.low > 2.2, name
    assert species.traits["company"].source == "assumption"


@every_species
def test_what_was_read_second_hand_is_marked_so(species: Species) -> None:
    for entry in (*species.traits.values(), *species.words.values()):
        for part in entry.source.split(";"):
            if part.strip().startswith(("SpeciesAccounts", "SpeciesTable")):
                assert part.endswith("(2nd)"), entry.name


@every_species
def test_standard_length_is_080_of_total_length(species: Species) -> None:
    # 0.80 (0.75-0.85), from memory, the same for every species
    trait = species.traits["sl_per_tl"]
    assert (trait.low, trait.value, trait.high) == (0.75, 0.80, 0.85)
    assert trait.source == "from memory"


@every_species
def test_no_draw_makes_a_fish_that_never_grows_up(species: Species) -> None:
    traits = species.traits
    shortest = min(traits["length_max_male_cm"].low, traits["length_max_female_cm"].low)
    assert traits["maturity_cm"].high < shortest
    assert traits["cruise_sl_s"].high < traits["burst_sl_s"].low


@every_species
def test_mating_defence_and_brood_agree(species: Species) -> None:
    words = {name: word.value for name, word in species.words.items()}
    if words["mating"] in ("pair", "group"):
        assert words["defends"] == "both"
    if words["brood"] == "cave":
        assert words["mating"] != "harem"
    if species.lake == "Malawi":  # all but one tilapia brood in the mouth: Ribbink1977, abstract
        assert (words["mating"], words["brood"]) == ("harem", "mouth")


@pytest.mark.parametrize("bound", ["value", "low", "high"])
def test_bedrock_species_are_hotter_than_cobble_species(bound: str) -> None:
    # P15: M. aurora most, M. callainos least of four (Danley2011, 2nd);
    # M. benetos on bedrock above M. zebra on cobble (Danley2009, abstract).
    order = ["aurora", "benetos", "zebra", "callainos"]
    tempers = [getattr(LIBRARY[f"Maylandia {name}"].traits["temper"], bound) for name in order]
    assert tempers == sorted(tempers, reverse=True)
    assert len(set(tempers)) == 4


def test_lengths_given_as_standard_length_carry_the_ratio() -> None:
    # FroesePauly: Maylandia aurora 8.7 cm SL (male), 8.0 cm SL (female)
    aurora = LIBRARY["Maylandia aurora"].traits
    for name, standard in (("length_max_male_cm", 8.7), ("length_max_female_cm", 8.0)):
        trait = aurora[name]
        expected = (standard / 0.85, standard / 0.80, standard / 0.75)
        assert (trait.low, trait.value, trait.high) == pytest.approx(expected, abs=0.06)


def test_the_mild_are_much_milder_than_the_hot() -> None:
    temper = {key: species.traits["temper"] for key, species in LIBRARY.items()}
    hot = temper["Melanochromis auratus"]
    for mild in ("Labidochromis caeruleus", "Pseudosimochromis curvifrons", "Eretmodus cyanostictus"):
        assert temper[mild].high < hot.low


def test_a_caller_cannot_change_the_library_and_it_can_be_sent_to_workers() -> None:
    library().clear()
    assert library() == pickle.loads(pickle.dumps(LIBRARY))


# --- colours ------------------------------------------------------------------


@every_species
@pytest.mark.parametrize("sex", ["male", "female"])
def test_the_colours_hold_every_hue_of_the_pattern(species: Species, sex: str) -> None:
    pattern, told = (species.words[f"{what}_{sex}"].value for what in ("pattern", "colour"))
    hues = {word for word in pattern.split("-") if word in HUES}
    dress = dress_of(told)
    assert hues <= set(" ".join([dress.body, *(colour for _, colour in dress.marks)]).split()), told


def test_words_of_colour_are_read_as_body_and_parts() -> None:
    assert dress_of("yellow") == ("yellow", ())
    told = dress_of("dark blue with pale yellow bars and orange dorsal")
    assert told == ("dark blue", (("bars", "pale yellow"), ("dorsal", "orange")))
    assert dress_of("unknown").body == UNKNOWN
    with pytest.raises(ValueError, match="use a colour"):
        dress_of("unknown with black bars and white spots and red fins")


# --- names --------------------------------------------------------------------


def test_no_name_means_two_species() -> None:
    full = (name for one in LIBRARY.values() for name in (one.key, *one.common, *one.synonyms))
    counts = Counter(name.casefold() for name in full)
    assert [name for name, count in counts.items() if count > 1] == []


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("tropheus DUBOISI", "Tropheus duboisi"),
        ("  Tropheus   duboisi ", "Tropheus duboisi"),
        ("tropheus_duboisi", "Tropheus duboisi"),
        ("T. duboisi", "Tropheus duboisi"),
        ("duboisi", "Tropheus duboisi"),
        ("T. moorii", "Tropheus moorii"),
        ("Yellow Lab", "Labidochromis caeruleus"),
        ("kenyi", "Maylandia lombardoi"),
        ("Pseudotropheus zebra", "Maylandia zebra"),
        ("Metriaclima zebra", "Maylandia zebra"),
        ("Melanochromis johannii", "Pseudotropheus johannii"),
        ("Pseudotropheus demasoni", "Chindongo demasoni"),
        ("Neolamprologus brichardi", "Neolamprologus brichardi"),
    ],
)
def test_find(name: str, key: str) -> None:
    found = find(name)
    assert found is not None and found.key == key


@pytest.mark.parametrize(
    "name",
    [
        "moorii",  # Tropheus, Variabilichromis, Gephyrochromis
        "trewavasae",  # Petrochromis, Labeotropheus
        "X. duboisi",
        "",
        "goldfish",
    ],
)
def test_what_fits_no_species_or_several_is_not_guessed(name: str) -> None:
    assert find(name) is None


def test_find_among_others() -> None:
    own = with_overrides(MOORII, {}, key="Tropheus polli")
    assert find("polli", among={own.key: own}) is own
    assert find("polli") is None
    assert find("Tropheus moorii", among={own.key: own}) is None


# --- a keeper's changes -------------------------------------------------------


def test_a_number_replaces_the_range() -> None:
    mine = with_overrides(MOORII, {"temper": 0.5, "mating": "pair"})
    temper = mine.traits["temper"]
    assert (temper.value, temper.low, temper.high, temper.source) == (0.5, 0.5, 0.5, "keeper")
    assert (mine.words["mating"].value, mine.words["mating"].source) == ("pair", "keeper")
    assert mine.traits["timidity"] == MOORII.traits["timidity"]
    assert MOORII.traits["temper"].source != "keeper"


def test_a_pair_is_a_range_with_its_middle() -> None:
    mine = with_overrides(MOORII, {"temper": [0.5, 2.0], "depth_ratio": [0.3, 0.4]})
    assert mine.traits["temper"].value == pytest.approx(1.0)  # drawn by its logarithm
    assert mine.traits["depth_ratio"].value == pytest.approx(0.35)
    assert (mine.traits["temper"].low, mine.traits["temper"].high) == (0.5, 2.0)


def test_a_table_gives_value_and_range() -> None:
    mine = with_overrides(MOORII, {"radius_cm": {"value": 30, "range": [20, 60]}})
    radius = mine.traits["radius_cm"]
    assert (radius.value, radius.low, radius.high, radius.source) == (30, 20, 60, "keeper")


def test_an_inert_fish_is_allowed() -> None:
    assert with_overrides(MOORII, {"temper": 0}).traits["temper"].high == 0


def test_a_species_of_ones_own() -> None:
    mine = with_overrides(MOORII, {"length_max_male_cm": 17}, key="Tropheus polli")
    assert (mine.key, mine.genus) == ("Tropheus polli", "Tropheus")
    assert (mine.common, mine.synonyms, mine.note) == ((), (), "")
    assert mine.lake == "Tanganyika"
    assert mine.traits["temper"] == MOORII.traits["temper"]


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("temper", 99, "0 to 10"),
        ("temper", -1, "0 to 10"),
        ("temper", math.nan, "0 to 10"),
        ("temper", math.inf, "0 to 10"),
        ("temper", True, "0 to 10"),
        ("temper", "hot", "0 to 10"),
        ("temper", [0, 2], "logarithm"),
        ("temper", [2, 1], "wrong way round"),
        ("temper", [1, 2, 3], "two numbers"),
        ("temper", [1, 99], "0 to 10"),
        ("temper", {"range": [1, 2]}, "table with value"),
        ("temper", {"value": 3, "range": [1, 2]}, "outside its range"),
        ("temper", {"value": 1, "unit": "cm"}, "use 'relative'"),
        ("tempr", 1, "did you mean temper?"),
        ("colur", 1, "use length_max_male_cm"),
        ("colour_male", "mauve", "colours: black, white"),
        ("colour_male", "blue bars", "blue with black bars and orange dorsal"),
        ("colour_male", "blue with black gills", "parts: bars, stripes"),
        ("mating", "alone", "harem, pair or group"),
        ("mating", 3, "harem, pair or group"),
        ("guild", "AA", "each once"),
        ("guild", "AX", "letters of A, P, I, F"),
        ("pattern_male", "Blue Barred", "joined by hyphens"),
        ("maturity_cm", 20, "exceeds length_max_male_cm"),
        ("temp_low_c", 30, "exceeds temp_high_c"),
    ],
)
def test_a_wrong_value_is_named_with_what_is_allowed(name: str, raw: object, said: str) -> None:
    with pytest.raises(ValueError, match=f"^Tropheus moorii: {name}: ") as caught:
        with_overrides(MOORII, {name: raw})
    assert said in str(caught.value)


def test_all_problems_come_at_once() -> None:
    with pytest.raises(SpeciesError) as caught:
        with_overrides(MOORII, {"temper": 99, "mating": "alone", "timidity": 1.0, "nose": 1})
    assert [name for name, _ in caught.value.problems] == ["temper", "mating", "nose"]


def test_a_species_of_ones_own_needs_a_name() -> None:
    with pytest.raises(SpeciesError, match="needs a name"):
        with_overrides(MOORII, {}, key="  ")


# --- a wrong library file -----------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('unit = "share"', 'unit = "cm/s"', "company: the unit is 'cm/s'"),
        (
            'source = "YanagisawaNishida1991 (abstract)"',
            'source = "Nobody1900"',
            "defends: there is no source 'Nobody1900'",
        ),
        ("timidity =", "timid =", "timidity: is missing"),
        ("timidity =", "timid =", "timid: there is no such trait (did you mean timidity?)"),
        ('lake = "Tanganyika"', 'lake = "Victoria"', "lake: 'Victoria' is not valid"),
        ('name = "Tropheus moorii"', 'name = "moorii"', "name: 'moorii' is not valid"),
        (
            'common = ["blunthead cichlid"]',
            'common = "blunthead cichlid"',
            "common: 'blunthead cichlid' is not valid",
        ),
        ("[words]", "[words", "file: is not valid TOML"),
        ("[traits]", "colour = 1\n[traits]", "colour: there is no such entry"),
    ],
)
def test_a_wrong_file_is_named_with_its_trait(old: str, new: str, said: str) -> None:
    text = text_of("Tropheus moorii")
    assert old in text
    with pytest.raises(SpeciesError) as caught:
        read_species(text.replace(old, new), where="tropheus_moorii.toml")
    assert f"tropheus_moorii.toml: {said}" in str(caught.value)


def test_a_file_without_tables_lists_all_that_its_lake_does_not_say() -> None:
    with pytest.raises(SpeciesError) as caught:
        read_species('name = "Tropheus polli"\nlake = "Tanganyika"', where="tropheus_polli.toml")
    own = tomllib.loads(text_of("Tropheus moorii"))
    missing = {name for name, text in caught.value.problems if text == "is missing"}
    assert missing == {*own["traits"], *own["words"]}


def test_what_a_file_says_itself_goes_before_what_all_of_its_lake_share() -> None:
    own = '[traits]\nph_low = { value = 9.0, unit = "pH", source = "assumption" }'
    told = read_species(text_of("Tropheus moorii").replace("[traits]", own), where="tropheus_moorii.toml")
    assert (told.traits["ph_low"].value, told.traits["ph_high"]) == (9.0, MOORII.traits["ph_high"])
