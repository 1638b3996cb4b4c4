"""Species by any name, and the [species] table: overriding traits, and species of the keeper's own."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from ...species.names import find, is_of_many, meant, nearest, of_genus, other_fish
from ...species.overrides import with_overrides
from ...species.species import LAKES, TRAITS, WORDS, Species, SpeciesError, TraitRule
from .. import units
from ..hints import Hint, hint_at
from . import limits
from .limits import Limit
from .problems import NOTHING, Book, OwnWords, Place, Problem, Shown, show
from .tables import Table, one_of, read_amount

_KIND_OF_UNIT = {"cm": "length", "C": "temperature"}
_MOST_CANDIDATES = 3  # species that a message offers for a name that fits several
_OF_ONES_OWN = '[species."NAME"] with like = "the most similar species"'


class NoSpecies(NamedTuple):
    """What is wrong with a name that means no species, or several."""

    found: OwnWords
    allowed: str
    nearest: Hint = ""


class Names:
    """The species of a scenario, found by any name that :func:`rockshy.sim.species.names.find` knows."""

    def __init__(self, species: Mapping[str, Species]) -> None:
        self.species = dict(species)

    def add(self, own: Species) -> None:
        """Enter a species of the keeper's own, or a library species with traits overridden."""
        self.species[own.key] = own

    def resolve(self, name: str) -> str | None:
        """Key of the one species of this name, or None."""
        found = find(name, among=self.species)
        return found.key if found else None

    def explain(self, name: str) -> NoSpecies:
        """What is wrong with a name that is not resolved, what is allowed, and the nearest."""
        if several := meant(name, among=self.species) or of_genus(name, among=self.species):
            keys = [one.key for one in several]
            found = (
                f"{show(name)}, which can be any of {len(keys)} species"
                if len(keys) > 1
                else f"{show(name)}, a genus"
            )
            return NoSpecies(Shown(found), f"the whole name of one species: {_few(keys)}")
        if is_of_many(name):
            return NoSpecies(
                Shown(f"{show(name)}, which is no one species"),
                "a row for each species you have, by its own name (rockshy species lists them)",
            )
        if (other := other_fish(name)) is not None:
            found = f"{show(name)}, and {other.what} are not rock dwellers ({other.why})"
            allowed = (
                "only rock dwellers of Lakes Malawi and Tanganyika: leave these out and read the answer as "
                f"one without them, or, if yours do hold ground in the rock, describe them: {_OF_ONES_OWN}"
            )
            return NoSpecies(Shown(found), allowed)
        allowed = (
            f"a species of the library (rockshy species lists them), or describe your own: {_OF_ONES_OWN}"
        )
        return NoSpecies(show(name), allowed, lambda: ", ".join(nearest(name, among=self.species)))

    def unknown(self, name: object) -> Problem:
        """What is wrong with a species that is not resolved."""
        return Problem(None, "species", *self.explain(str(name or "")))


def _few(keys: Sequence[str]) -> str:
    """The first of some species, and how many more there are."""
    more = len(keys) - _MOST_CANDIDATES
    return f"{', '.join(keys[:_MOST_CANDIDATES])} and {more} more" if more > 0 else one_of(keys)


def read_own_species(table: Table, names: Names) -> None:
    """Every ``[species."Name"]``: enters the result into ``names``."""
    library = Names(names.species)
    described: set[str] = set()
    most = limits.MOST_OWN_SPECIES
    if len(table.values) > most:
        found = OwnWords(f"there are {len(table.values)} tables")
        table.book.add(table.at, found=found, allowed=f"at most {most}")
    for name, value in itertools.islice(table.values.items(), most):
        if not isinstance(value, Mapping):
            allowed = f"a table that begins with the line [species.{show(name)}]"
            table.problem(name, allowed=allowed)
            continue
        own = _read_one(Table(value, place=(*table.at, name), book=table.book), name, library)
        if own is not None and own.key in described:
            table.problem(name, found=name, allowed=f"one table for {own.key}, not two")
        elif own is not None:
            described.add(own.key)
            names.add(own)


def _read_one(row: Table, name: str, library: Names) -> Species | None:
    before = len(row.book.problems)
    base = _base(row, name, library)
    lake = row.word("lake", choices=LAKES) if "lake" in row else None
    given = _overrides(row)
    row.known += [*TRAITS, *WORDS]
    row.close()
    if base is None or len(row.book.problems) > before:
        return None
    try:
        own = with_overrides(base, given, key=None if library.resolve(name) else name)
    except SpeciesError as error:
        for trait, text in error.problems:
            meaning = f" ({TRAITS[trait].meaning})" if trait in TRAITS else ""
            place = (*row.at, trait) if trait in row.values else row.at
            row.book.add(place, found=OwnWords(text), allowed=f"a value that fits{meaning}")
        return None
    return replace(own, lake=lake) if lake else own


def _base(row: Table, name: str, library: Names) -> Species | None:
    """The species whose traits are taken over; None after a problem."""
    has_like = "like" in row
    if not name[:1].isalpha() or len(name) > limits.LONGEST_NAME or not name.isprintable():
        row.book.add(
            row.at,
            found=name,
            allowed=f"a name of 1 to {limits.LONGEST_NAME} characters that begins with a letter",
        )
        return None
    known = library.resolve(name)
    if not has_like:
        if known is None:
            none = library.explain(name)
            row.problem("like", allowed=none.allowed, nearest=none.nearest)
        return library.species[known] if known else None
    asked = row.text("like", default=None, longest=limits.LONGEST_NAME)
    if known is not None:
        allowed = f"no like: {show(name)} is in the library, so change its traits alone"
        row.problem("like", allowed=allowed)
        return None
    key = library.resolve(asked)
    if key is None and asked:
        none = library.explain(asked)
        row.problem("like", found=none.found, allowed=none.allowed, nearest=none.nearest)
    return library.species[key] if key else None


def _overrides(row: Table) -> dict[str, object]:
    """What the keeper sets, in the units of the traits and in the form that with_overrides takes."""
    given: dict[str, object] = {}
    for key, value in row.values.items():
        if key in TRAITS:
            given[key] = _read_trait(row.book, (*row.at, key), value, TRAITS[key])
        elif key in WORDS:
            given[key] = _read_word(row, key, value)
    return given


def _read_trait(book: Book, place: Place, value: object, rule: TraitRule) -> object:
    """A number (then it is known exactly) or {value=, low=, high=}."""
    limit = Limit(rule.low, rule.high, _KIND_OF_UNIT.get(rule.unit, "number"))
    if not isinstance(value, Mapping):
        return _trait_number(book, place, value, limit)
    for key in value:
        if key not in ("value", "low", "high"):
            book.add((*place, key), found=OwnWords("there is no such field"), allowed="value, low and high")
    middle = _trait_number(book, (*place, "value"), value.get("value", NOTHING), limit)
    low = _trait_number(book, (*place, "low"), value["low"], limit) if "low" in value else middle
    high = _trait_number(book, (*place, "high"), value["high"], limit) if "high" in value else middle
    if middle < low or middle > high:
        found = OwnWords(f"low is {low:g}, value {middle:g}, high {high:g}")
        book.add(place, found=found, allowed="a value between low and high")
    return {"value": middle, "range": [low, high]}


def _trait_number(book: Book, place: Place, value: object, limit: Limit) -> float:
    """The number, nan after a problem."""
    try:
        read = read_amount(value, limit)
    except units.UnitError as error:
        book.add(place, found=value, allowed=error.allowed, nearest=error.hint)
        return float("nan")
    if limit.holds(read):
        return read
    book.add(place, found=value, allowed=limit.say())
    return float("nan")


def _read_word(row: Table, key: str, value: object) -> str:
    """A word in the form that its rule asks for, letter case ignored."""
    rule = WORDS[key]
    plain = value.strip() if isinstance(value, str) else ""
    word = plain.upper().replace("+", "") if key == "guild" else plain.lower()
    if len(word) <= limits.LONGEST_NAME and re.fullmatch(rule.form, word):
        return word
    near = hint_at(word, rule.form.split("|")) if word and rule.form.replace("|", "").isalpha() else ""
    row.problem(key, allowed=rule.allowed, nearest=near)
    return ""
