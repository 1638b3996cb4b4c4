"""Names as keepers type them: whole, of the trade, short, in the plural; several; none; other fish."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rockshy.sim.scenario.reading.kinds import Names
from rockshy.sim.species.names import common_form, find, meant, nearest, of_genus, other_fish
from rockshy.sim.species.overrides import with_overrides
from rockshy.sim.species.species import Species, library

LIBRARY = library()
NAMES = Names(LIBRARY)
every_species = pytest.mark.parametrize("species", LIBRARY.values(), ids=list(LIBRARY))


def key_of(name: str) -> str | None:
    found = find(name)
    return None if found is None else found.key


@every_species
def test_every_full_name_is_its_own_however_it_is_written(species: Species) -> None:
    for name in (species.key, *species.common, *species.synonyms):
        genus, _, rest = name.partition(" ")
        for written in (name.upper(), f" {name} ", name.replace(" ", "_"), f"{genus} '{rest}'"):
            assert find(written) is species, written
        if name not in species.common:
            assert species in meant(f"{genus[0]}. {rest}"), name
        elif not name.endswith("s"):
            assert find(f"{name}s") is species, name


@every_species
def test_a_name_of_the_trade_means_all_that_carry_it(species: Species) -> None:
    for name in species.trade:
        sharers = [one for one in LIBRARY.values() if name in one.trade]
        assert meant(name) == sharers, name
        assert name.endswith("s") or meant(f"{name}s".replace("ys", "ies")) == sharers, name


def test_a_name_of_the_trade_is_no_full_name_of_another_species() -> None:
    every = LIBRARY.values()
    full = {name.casefold() for one in every for name in (one.key, *one.common, *one.synonyms)}
    assert [name for one in every for name in one.trade if name.casefold() in full] == []


@given(st.text(max_size=40))
def test_anything_is_a_name_or_none(name: str) -> None:
    assert (find(name) is None) == (len(meant(name)) != 1)
    assert NAMES.explain(name).allowed


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("yellow labs", "Labidochromis caeruleus"),
        ("labs", "Labidochromis caeruleus"),
        ("Electric-Yellow cichlids", "Labidochromis caeruleus"),
        ("demasonis", "Chindongo demasoni"),
        ("auratus", "Melanochromis auratus"),
        ("kenyis", "Maylandia lombardoi"),
        ("Red Zebras", "Maylandia estherae"),
        ("rusties", "Iodotropheus sprengerae"),
        ("acei", "Pseudotropheus sp. acei"),
        ("P. acei", "Pseudotropheus sp. acei"),
        ('Pseudotropheus sp. "Acei"', "Pseudotropheus sp. acei"),
        ("Ps acei", "Pseudotropheus sp. acei"),
        ("msobo", "Maylandia sp. msobo"),
        ("Metriaclima msobo", "Maylandia sp. msobo"),
        ("hongis", "Labidochromis sp. hongi"),
        ("polit", "Pseudotropheus sp. polit"),
        ("M.estherae", "Maylandia estherae"),
        ("Metriaclima callainos", "Maylandia callainos"),
        ("maingano", "Pseudotropheus cyaneorhabdos"),
        ("johanni", "Pseudotropheus johannii"),
        ("duboisi", "Tropheus duboisi"),
        ("calvus", "Altolamprologus calvus"),
        ("brichardi", "Neolamprologus brichardi"),
        ("Lamprologus brichardi", "Neolamprologus brichardi"),
        ("Labeotropheus fülleborni", "Labeotropheus fuelleborni"),
        ("Petrochromis texas", "Petrochromis sp. texas"),
    ],
)
def test_what_keepers_type(typed: str, key: str) -> None:
    assert key_of(typed) == key


@pytest.mark.parametrize(
    "typed", ["julies", "afra", "trophs", "red top zebra", "featherfins", "goby cichlids"]
)
def test_a_name_that_several_share_is_not_guessed(typed: str) -> None:
    several = meant(typed)
    assert len(several) > 1 and find(typed) is None
    said = NAMES.explain(typed)
    assert f"can be any of {len(several)} species" in said.found
    assert [one.key in said.allowed for one in several] == [k < 3 for k in range(len(several))]
    assert (f"and {len(several) - 3} more" in said.allowed) == (len(several) > 3)


def test_a_genus_names_its_species_and_means_none() -> None:
    assert find("Julidochromis") is None and find("Iodotropheus") is None
    assert {one.genus for one in of_genus("julidochromis")} == {"Julidochromis"}
    assert "Iodotropheus sprengerae" in NAMES.explain("Iodotropheus").allowed


def test_among_the_fish_of_a_tank_a_short_name_needs_fit_only_one() -> None:
    keys = ("Chalinochromis brichardi", "Tropheus moorii", "Julidochromis regani")
    here = {key: LIBRARY[key] for key in keys}
    for name, key in zip(("brichardi", "moorii", "julies"), keys, strict=True):
        assert find(name, among=here) is here[key]


def test_a_species_of_ones_own_goes_before_the_names_of_the_trade() -> None:
    own = with_overrides(LIBRARY["Tropheus moorii"], {}, key="labs")
    assert find("Labs", among={**LIBRARY, own.key: own}) is own


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("yelow lab", ["yellow lab (Labidochromis caeruleus)"]),
        ("Tropheus dubosi", ["Tropheus duboisi"]),
        ("pseudotropheus demasonii", ["Chindongo demasoni"]),
    ],
)
def test_the_nearest_of_an_unknown_name(typed: str, near: list[str]) -> None:
    assert nearest(typed) == near
    assert NAMES.unknown(typed).nearest == near[0]


def test_at_most_three_are_near_and_a_name_like_none_is_told_what_to_do() -> None:
    assert len(nearest("yellow zebra")) == 3
    assert nearest("xyzzy") == []
    assert '[species."NAME"] with like' in NAMES.explain("xyzzy").allowed


@pytest.mark.parametrize(
    ("typed", "what"),
    [
        ("peacocks", "peacocks"),
        ("OB peacock", "peacocks"),
        ("Aulonocara jacobfreibergi", "peacocks"),
        ("electric blue haps", "haps"),
        ("Nimbochromis venustus", "haps"),
        ("frontosas", "frontosas"),
        ("Cyprichromis leptosoma", "sardine cichlids"),
        ("multies", "shell dwellers"),
        ("Xenotilapia", "sand dwellers of Lake Tanganyika"),
        ("bristlenose plecos", "catfish"),
        ("Synodontis", "catfish"),
        ("oscars", "cichlids of other waters"),
        ("convicts", "cichlids of other waters"),
        ("Texas cichlid", "cichlids of other waters"),
        ("goldfish", "fish of other families"),
    ],
)
def test_fish_that_the_model_is_not_of(typed: str, what: str) -> None:
    other = other_fish(typed)
    assert other is not None and other.what == what
    assert find(typed) is None
    said = NAMES.explain(typed)
    assert f"{what} are not rock dwellers ({other.why})" in said.found
    assert "leave these out" in said.allowed and said.nearest == ""


@pytest.mark.parametrize("typed", ["mixed mbuna", "African Cichlids", "Assorted Malawi cichlid"])
def test_a_name_of_no_one_species_asks_for_a_row_each(typed: str) -> None:
    assert find(typed) is None
    said = NAMES.explain(typed)
    assert "no one species" in said.found and "a row for each species" in said.allowed


@every_species
def test_no_name_of_a_rock_dweller_is_that_of_another_fish(species: Species) -> None:
    for name in (species.key, *species.common, *species.synonyms, *species.trade):
        assert species in meant(name), name


@pytest.mark.parametrize(
    ("typed", "key", "form"),
    [
        ("Yellow LABS", "Labidochromis caeruleus", "yellow lab"),
        ("labs", "Labidochromis caeruleus", "lab"),
        ("demasonis", "Chindongo demasoni", "demasoni"),
        ("P. acei", "Pseudotropheus sp. acei", ""),
        ("Pseudotropheus demasoni", "Chindongo demasoni", ""),
    ],
)
def test_a_common_name_is_told_from_a_scientific_one(typed: str, key: str, form: str) -> None:
    assert common_form(typed, LIBRARY[key]) == form
