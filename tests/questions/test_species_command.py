"""``rockshy species``: a page for every species, the list, names, a keeper's own values, what is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from command_line import Capsys
from rockshy.analysis.commands import main
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.sources.species_page import BY_RATIO, EVENLY, GROUPS, how_drawn, species_text
from rockshy.sim.fish.population import draw_traits
from rockshy.sim.rules.support.draws import placed
from rockshy.sim.rules.support.parameters import draw_between
from rockshy.sim.species.sources import bibliography
from rockshy.sim.species.species import TRAITS, WORDS, Trait, library

OWN_VALUES = """[tank]
length = 120
front_to_back = 50
height = 50
[[stock]]
species = "Tropheus duboisi"
males = 1
females = 3
[[stock]]
species = "Eretmodus cyanostictus"
males = 1
[species."Tropheus duboisi"]
temper = 1.4
mating = "group"
"""


def lines_of(capsys: Capsys, *words: str) -> list[str]:
    """What a command line that succeeds prints."""
    assert main(["species", *words]) == 0
    return capsys.readouterr().out.splitlines()


def line_with(lines: list[str], start: str) -> str:
    found = [line for line in lines if line.strip().startswith(start)]
    assert len(found) == 1, (start, found)
    return " ".join(found[0].split())


@pytest.fixture
def own(tmp_path: Path) -> str:
    place = tmp_path / "own.toml"
    place.write_text(OWN_VALUES, encoding="utf-8")
    return str(place)


# ---- a page


@pytest.mark.parametrize("key", library())
def test_a_page_holds_every_value_and_fits_100_columns(key: str) -> None:
    species = library()[key]
    text = as_text(species_text(species))
    assert max(map(len, text.splitlines())) <= 100
    flat = " ".join(text.split())
    for trait in species.traits.values():
        assert f"{trait.value:g}" in flat or trait.unit == "cm", trait.name
        for part in trait.source.split("; "):
            assert part in flat
        if trait.low < trait.high:
            assert f"{trait.low:g} to {trait.high:g}" in flat, trait.name
    assert all(name in flat for name in (key, species.lake, *species.common, *species.synonyms))
    assert (f"Also traded as {', '.join(species.trade)} (common practice" in flat) == bool(species.trade)
    assert "".join(species.note.split()) in "".join(text.split())


def test_every_trait_stands_in_one_group() -> None:
    told = [name for names in GROUPS.values() for name in names]
    assert sorted(told) == sorted([*TRAITS, *WORDS])


def test_lines_of_a_page(capsys: Capsys) -> None:
    lines = lines_of(capsys, "Tropheus", "duboisi")
    species = library()["Tropheus duboisi"]
    radius, source = species.traits["radius_cm"], species.traits["radius_cm"].source
    wanted = f"minds a rival from, 10 cm {radius.value:g} cm (16 in) {radius.low:g} to {radius.high:g},"
    assert line_with(lines, "minds a rival") == f"{wanted} by ratio {source}"
    assert line_with(lines, "food").startswith("food, the main one first algae ")
    assert "males and females" in line_with(lines, "claims a territory")


def test_the_foot_explains_the_source_words_that_stand_there_and_no_others() -> None:
    page = " ".join(as_text(species_text(library()["Tropheus duboisi"])).split())
    assert "From memory: written down from memory; nobody has checked it." in page
    assert "2nd: read in somebody else's account of it." in page
    assert "Keeper:" not in page
    for key in bibliography():
        assert (f"{key}: " in page) == any(
            key in entry.source
            for table in (library()["Tropheus duboisi"].traits, library()["Tropheus duboisi"].words)
            for entry in table.values()
        ), key


@pytest.mark.parametrize(
    ("name", "low", "high", "how"),
    [
        ("company", 0.5, 0.5, ""),
        ("company", 0.0, 1.0, EVENLY),
        ("company", 0.2, 0.8, EVENLY),
        ("radius_cm", 20.0, 80.0, BY_RATIO),
    ],
)
def test_how_a_trait_is_said_to_be_drawn_is_how_it_is_drawn(
    name: str, low: float, high: float, how: str
) -> None:
    trait = Trait(name, low, low, high, "", "assumption")
    assert how_drawn(trait) == how
    kind = replace(library()["Tropheus moorii"], traits={name: trait})
    drawn = draw_traits(kind, seed=3, draw=5, fixed=False)[name]
    u = placed(3, 5, "trait", kind.key, name)
    scale = {"": "uniform", EVENLY: "uniform", BY_RATIO: "log"}[how]
    assert drawn == draw_between(low, high, scale, u)


# ---- names


@pytest.mark.parametrize("name", ["tropheus DUBOISI", "white-spotted cichlid", "T. duboisi", "duboisi"])
def test_any_name_will_do(capsys: Capsys, name: str) -> None:
    assert lines_of(capsys, *name.split())[0].startswith("Tropheus duboisi")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("Trofeus dubosi", "Did you mean Tropheus duboisi"),
        ("", 'NAME is ""'),
        ("moorii", "Gephyrochromis moorii, Tropheus moorii or Variabilichromis moorii"),
        ("zzzzzz", "rockshy species lists them"),
    ],
)
def test_an_unknown_name_is_refused(capsys: Capsys, asked: str, told: str) -> None:
    assert main(["species", asked]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert told in said.err
    assert len(said.err.splitlines()) == 1


# ---- the list


def test_the_list_has_every_species_with_names_and_sizes_by_lake(capsys: Capsys) -> None:
    lines = lines_of(capsys)
    text = "\n".join(lines)
    assert max(map(len, lines)) <= 100
    assert text.index("Lake Malawi") < text.index("Lake Tanganyika")
    for one in library().values():
        row = line_with(lines, one.key)
        sizes = [f"{one.traits[f'length_max_{sex}_cm'].value:g}" for sex in ("male", "female")]
        assert row.startswith(f"{one.key} {' '.join(sizes)}")
        assert (text.index(one.key) > text.index("Lake Tanganyika")) == (one.lake == "Tanganyika")
        assert all(name in " ".join(text.split()) for name in one.common)
    assert f"{len(library())} species." in text


# ---- a scenario's own values


def test_a_keepers_own_values_are_shown_as_such(capsys: Capsys, own: str) -> None:
    lines = lines_of(capsys, "duboisi", "--file", own)
    assert line_with(lines, "male (usual mbuna male 1)") == "male (usual mbuna male 1) 1.4 not drawn keeper"
    assert line_with(lines, "lives in") == "lives in groups that share a territory keeper"
    assert "Keeper: set by the keeper in the scenario file." in " ".join(" ".join(lines).split())
    assert "keeper" not in line_with(lines, "female (her own male 1)")
    assert line_with(lines_of(capsys, "duboisi"), "male (usual mbuna male 1)").endswith("assumption")


def test_a_scenario_lists_its_species_alone(capsys: Capsys, own: str) -> None:
    lines = lines_of(capsys, "--file", own)
    assert "2 species." in "\n".join(lines)
    assert main(["species", "Tropheus moorii", "--file", own]) == 2
    said = capsys.readouterr().err
    assert "Tropheus moorii is not in" in said
    assert "use Tropheus duboisi, Eretmodus cyanostictus" in said
    assert main(["species", "duboisi", "--file", "no-such-file"]) == 2
    assert "no-such-file" in capsys.readouterr().err


# ---- JSON


def test_json_says_the_same(capsys: Capsys, own: str) -> None:
    told = json.loads("\n".join(lines_of(capsys, "duboisi", "--file", own, "--json")))
    own_value = {"value": 1.4, "low": 1.4, "high": 1.4, "drawn": "fixed", "unit": "relative"}
    said = {"source": "keeper", "meaning": TRAITS["temper"].meaning}
    assert told["traits"]["temper"] == own_value | said
    assert told["words"]["mating"]["source"] == "keeper"
    assert set(told["traits"]) == set(TRAITS)
    every = json.loads("\n".join(lines_of(capsys, "--json")))
    assert set(every) == set(library())
    assert every["Tropheus duboisi"]["traits"]["radius_cm"]["drawn"] == "log"
