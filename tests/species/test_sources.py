"""The bibliography and the plain words for what has no publication."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rockshy.sim.species.sources import KINDS, bibliography, is_known


def test_every_entry_is_a_citation_with_a_year_or_a_volume() -> None:
    undated = {"Gomez", "LeiserItzkowitz", "FroesePauly", "SpeciesAccounts", "SpeciesTable"}
    for key, citation in bibliography().items():
        assert key.isalnum(), key
        assert len(citation) > 20, key
        if key not in undated:
            assert key[-4:] in citation, f"{key}: the year of the key stands in the citation"


def test_keys_that_the_rules_and_patterns_rest_on_are_there() -> None:
    wanted = {"Nelissen1985", "Danley2011", "Dill1990", "Pauers2008", "BarretoVolpato2006", "Grimm2020"}
    assert wanted <= set(bibliography())


def test_a_caller_cannot_change_the_bibliography() -> None:
    bibliography().clear()
    assert bibliography()


@pytest.mark.parametrize(
    "source",
    [
        *KINDS,
        "Kohda1991",
        "Danley2011 (2nd)",
        "Kohda1991 (abstract); assumption",
        "Nelissen1985 (data; a table);computed",
    ],
)
def test_known(source: str) -> None:
    assert is_known(source)


@pytest.mark.parametrize(
    "source", ["", "Nobody1900", "Kohda1991;", "kohda1991", "(2nd)", "Kohda1991 (2nd", "assumption, x"]
)
def test_unknown(source: str) -> None:
    assert not is_known(source)


def test_every_key_named_in_sources_and_texts_stands_in_the_bibliography() -> None:
    """A word such as Kohda1991, in code, tables and texts of the package, is a key and no slip of the pen."""
    key, known = re.compile(r"\b[A-Z][A-Za-z]+(?:19|20)\d\d\b"), bibliography()
    top = Path(__file__).resolve().parents[2]
    named = {
        (word, path.relative_to(top).as_posix())
        for folder in ("sim", "analysis", "scenarios")
        for path in (top / folder).rglob("*")
        if path.suffix in (".py", ".toml", ".md")
        for word in key.findall(path.read_text(encoding="utf-8"))
    }
    assert len({word for word, _ in named}) > 50
    assert not [(word, place) for word, place in sorted(named) if word not in known]
