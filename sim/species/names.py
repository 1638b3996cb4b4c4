"""Species by the names that keepers type: scientific, common and of the trade, whole or short.

Letter case, accents, quotation marks, hyphens and "sp." do not count; English plurals are read, and the
genus may be cut short ("P. acei"). Names of the trade are common practice and have no source.
"""

from __future__ import annotations

import difflib
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources

from .species import Species, library

_MOST_NEAR = 3
_NEAR = 0.6  # likeness from which a name counts as near, and how far behind the nearest
_BEHIND = 0.1
_LONGEST = 60  # characters that are compared
_FISH = ("cichlid", "cichlids", "mbuna", "mbunas", "fish")  # said behind a name that is whole without it
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})
_LOTS = frozenset(  # words of names that are of no one species
    [
        "a",
        "african",
        "and",
        "assorted",
        "assortment",
        "cichlid",
        "dwarf",
        "fish",
        "hybrid",
        "juvenile",
        "lake",
        "malawi",
        "mbuna",
        "mix",
        "mixed",
        "rift",
        "rock",
        "tanganyika",
        "tanganyikan",
        "tropical",
        "valley",
    ]
)
_UNDESCRIBED = ("sp", "spp", "spec", "species")


@dataclass(frozen=True)
class OtherFish:
    """Fish that keepers type and the model is not of."""

    what: str  # in the plural, "peacocks"
    why: str  # such as "they live over sand"
    names: tuple[str, ...]
    genera: tuple[str, ...]


def find(name: str, *, among: Mapping[str, Species] | None = None) -> Species | None:
    """The one species that ``name`` means, or None where it means none or several."""
    fits = meant(name, among=among)
    return fits[0] if len(fits) == 1 else None


def meant(name: str, *, among: Mapping[str, Species] | None = None) -> list[Species]:
    """Every species that ``name`` can mean.

    Whole names come first: scientific, then common and older scientific ones, then those of the trade, which
    several species may share. A short form ("duboisi", "T. duboisi") counts after them, older names included,
    and not where it is the whole name of a fish that the model is not of.
    """
    pool = list((library() if among is None else among).values())
    whole = _plain(name)
    for said in _readings(whole):
        for is_called in (_is_key, _is_full, _is_trade):
            if fits := [one for one in pool if is_called(one, said)]:
                return fits
        if whole not in _other_names() and (fits := [one for one in pool if _is_short(one, said)]):
            return fits
    return []


def of_genus(name: str, *, among: Mapping[str, Species] | None = None) -> list[Species]:
    """Every species of a genus, by its name of today."""
    wanted = set(_readings(_plain(name)))
    pool = library() if among is None else among
    return [one for one in pool.values() if _plain(one.genus) in wanted]


def is_of_many(name: str) -> bool:
    """Whether a name is of no one species, such as "mixed mbuna" or "African cichlids"."""
    words = _plain(name).split()
    return bool(words) and all(not _LOTS.isdisjoint((word, *_singulars(word))) for word in words)


def nearest(name: str, *, among: Mapping[str, Species] | None = None) -> list[str]:
    """At most three species with a name most like ``name``: each by that name, or by its scientific one."""
    spelled: dict[str, tuple[str, Species]] = {}
    for one in (library() if among is None else among).values():
        for full in (one.key, *one.synonyms, *one.common, *one.trade):
            words = [word for word in _plain(full).split() if len(word) > 3]
            for form in (_plain(full), *words):
                spelled.setdefault(form, (full, one))
    wanted = _plain(name)[:_LONGEST]
    close = difflib.get_close_matches(wanted, list(spelled), n=4 * _MOST_NEAR, cutoff=_NEAR)
    likeness = [difflib.SequenceMatcher(None, form, wanted).ratio() for form in close]
    best = [form for form, like in zip(close, likeness, strict=True) if like > likeness[0] - _BEHIND]
    found: dict[str, str] = {}
    for full, one in (spelled[form] for form in best):
        is_common = full in (*one.common, *one.trade)
        found.setdefault(one.key, f"{full} ({one.key})" if is_common else one.key)
    return list(found.values())[:_MOST_NEAR]


def common_form(name: str, species: Species) -> str:
    """The common name, name of the trade or epithet that ``name`` is, spelled as in the library; else ""."""
    for said in _readings(_plain(name)):
        for known in (*species.common, *species.trade, species.key.split(" ")[-1]):
            if said == _plain(known):
                return known
    return ""


def other_fish(name: str) -> OtherFish | None:
    """What a name means that is of no rock dweller but in general use; None where nothing is known."""
    for said in _readings(_plain(name)):
        words = said.split(" ")
        found = (_other_names().get(said), _other_genera().get(words[0]), _other_names().get(words[-1]))
        for fish in filter(None, found):
            return fish
    return None


# --- what is called what ------------------------------------------------------


@lru_cache(maxsize=8192)  # the full names are asked for with every name of a stock list
def _plain(name: str) -> str:
    signs = unicodedata.normalize("NFKD", name.casefold().translate(_UMLAUTS))
    letters = "".join(sign for sign in signs if not unicodedata.combining(sign) and sign not in "'’‘`´")
    words = re.sub(r"[\W_]+", " ", letters).split()
    return " ".join(word for word in words if word not in _UNDESCRIBED)


def _readings(plain: str) -> Iterator[str]:
    """A name as it is, in the singular, and both without "cichlid" or "mbuna" behind it."""
    before, _, last = plain.rpartition(" ")
    for said in (plain, before) if last in _FISH and before else (plain,):
        yield said
        yield from _singulars(said)


def _singulars(said: str) -> Iterator[str]:
    if len(said) > 3 and said.endswith("s") and not said.endswith("ss"):
        yield said[:-1]
        if said.endswith("ies"):
            yield f"{said[:-3]}y"
        elif said.endswith("es"):
            yield said[:-2]


def _is_key(species: Species, said: str) -> bool:
    return said != "" and said == _plain(species.key)


def _is_full(species: Species, said: str) -> bool:
    return said in map(_plain, (*species.common, *species.synonyms))


def _is_trade(species: Species, said: str) -> bool:
    return said in map(_plain, species.trade)


def _is_short(species: Species, said: str) -> bool:
    """The epithet, or the epithet behind a genus cut short."""
    begun, _, rest = said.partition(" ") if " " in said else ("", "", said)
    for scientific in (species.key, *species.synonyms):
        genus, _, epithet = _plain(scientific).partition(" ")
        if epithet and rest == epithet and genus.startswith(begun):
            return True
    return False


# --- fish that the model is not of --------------------------------------------


@cache
def _others() -> tuple[OtherFish, ...]:
    text = resources.files(__package__).joinpath("other_fish.toml").read_text(encoding="utf-8")
    return tuple(
        OtherFish(one["what"], one["why"], tuple(one["names"]), tuple(one.get("genera", ())))
        for one in tomllib.loads(text)["fish"]
    )


@cache
def _other_names() -> dict[str, OtherFish]:
    return _by_name(lambda one: one.names)


@cache
def _other_genera() -> dict[str, OtherFish]:
    return _by_name(lambda one: one.genera)


def _by_name(called: Callable[[OtherFish], Iterable[str]]) -> dict[str, OtherFish]:
    return {_plain(name): one for one in _others() for name in called(one)}
