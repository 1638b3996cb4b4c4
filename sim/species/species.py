"""Species: traits, each with unit, value, range and source; the library, and a keeper's changes to it."""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal, NamedTuple, TypeVar

from .colours import ALLOWED, FORM
from .sources import is_known


@dataclass(frozen=True)
class Trait:
    """One numeric trait of a species.

    ``low`` and ``high`` bound what is believed; where they differ the value is drawn once for each draw,
    else it is fixed. ``source`` is a bibliography key or one of :data:`rockshy.sim.species.sources.KINDS`.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    source: str


@dataclass(frozen=True)
class Word:
    """One trait that is a word (mating system, guild, colour pattern ...) and its source."""

    name: str
    value: str
    source: str


@dataclass(frozen=True)
class Species:
    """A species of the library, or one that the keeper described."""

    key: str  # scientific name, "Tropheus duboisi"; undescribed: "Pseudotropheus sp. acei"
    common: tuple[str, ...]
    lake: str  # "Malawi" or "Tanganyika"
    traits: Mapping[str, Trait]
    words: Mapping[str, Word]
    synonyms: tuple[str, ...] = ()  # older scientific names still in use in the trade
    trade: tuple[str, ...] = ()  # short names of the trade; several species may share one (common practice)
    note: str = ""  # how the entries were read, and what to know about them

    @property
    def genus(self) -> str:
        return self.key.split()[0]

    @property
    def is_mouthbrooder(self) -> bool:
        """Whether it holds its eggs in the mouth, as far as is known."""
        return "brood" not in self.words or self.words["brood"].value != "cave"


class TraitRule(NamedTuple):
    """What a numeric trait means and what it may be; ``drawn`` says how a range is drawn."""

    name: str
    unit: str
    low: float
    high: float
    meaning: str
    drawn: Literal["uniform", "log"] = "uniform"


class WordRule(NamedTuple):
    """What a word trait means; ``form`` is a regular expression, ``allowed`` the same said in words."""

    name: str
    form: str
    allowed: str
    meaning: str


class SpeciesError(ValueError):
    """What is wrong with a species, all of it; ``problems`` holds (trait, text) pairs."""

    def __init__(self, problems: Iterable[tuple[str, str]], *, where: str = "") -> None:
        self.problems = tuple(problems)
        prefix = f"{where}: " if where else ""
        super().__init__("\n".join(f"{prefix}{trait}: {text}" for trait, text in self.problems))


Rule = TypeVar("Rule", TraitRule, WordRule)
Entry = TypeVar("Entry", Trait, Word)

LAKES = ("Malawi", "Tanganyika")

TRAITS: Mapping[str, TraitRule] = {
    rule.name: rule
    for rule in (
        TraitRule("length_max_male_cm", "cm", 3, 40, "greatest total length of a male"),
        TraitRule("length_max_female_cm", "cm", 3, 40, "greatest total length of a female"),
        TraitRule("maturity_cm", "cm", 1, 30, "total length from which it is adult"),
        TraitRule("depth_ratio", "of total length", 0.1, 0.6, "body depth: what must pass a crevice's mouth"),
        TraitRule("temper", "relative", 0, 10, "rate of attack of a male; typical mbuna male = 1", "log"),
        TraitRule("temper_female", "relative", 0, 5, "rate of attack of a female; her own male = 1", "log"),
        TraitRule("timidity", "relative", 0, 10, "fright that one chase raises; typical = 1", "log"),
        TraitRule(
            "radius_cm", "cm", 1, 300, "from how far a 10 cm male half minds a rival on its ground", "log"
        ),
        TraitRule("cruise_sl_s", "SL/s", 0.05, 3, "cruising speed in standard lengths a second"),
        TraitRule("burst_sl_s", "SL/s", 0.5, 15, "speed in chase and flight in standard lengths a second"),
        TraitRule("company", "share", 0, 1, "pull towards its own kind; 0 none, 1 strongest"),
        TraitRule("sl_per_tl", "ratio", 0.6, 0.95, "standard length / total length"),
        TraitRule("temp_low_c", "C", 10, 40, "lake water: lowest temperature"),
        TraitRule("temp_high_c", "C", 10, 40, "lake water: highest temperature"),
        TraitRule("ph_low", "pH", 5, 10.5, "lake water: lowest pH"),
        TraitRule("ph_high", "pH", 5, 10.5, "lake water: highest pH"),
        TraitRule("gh_low", "degrees", 0, 60, "lake water: lowest general hardness"),
        TraitRule("gh_high", "degrees", 0, 60, "lake water: highest general hardness"),
        TraitRule("kh_low", "degrees", 0, 60, "lake water: lowest carbonate hardness"),
        TraitRule("kh_high", "degrees", 0, 60, "lake water: highest carbonate hardness"),
    )
}

_PATTERN = (r"[a-z]+(-[a-z]+)*", "lower-case words joined by hyphens, e.g. blue-barred")
_GUILD = (r"(?!.*(.).*\1)[APIF]+", "letters of A, P, I, F, each once, the main food first")
_DEFENDS = ("male|female|both|none", "male, female, both or none")

WORDS: Mapping[str, WordRule] = {
    rule.name: rule
    for rule in (
        WordRule("guild", *_GUILD, "diet: A algae, P plankton, I invertebrates, F fish"),
        WordRule("mating", "harem|pair|group", "harem, pair or group", "mating system"),
        WordRule("defends", *_DEFENDS, "which adults claim a territory"),
        WordRule("pattern_male", *_PATTERN, "colour pattern of an adult male; look-alikes share the word"),
        WordRule("pattern_female", *_PATTERN, "colour pattern of a female; look-alikes share the word"),
        WordRule("colour_male", FORM, ALLOWED, "colours of an adult male, for pictures alone"),
        WordRule("colour_female", FORM, ALLOWED, "colours of a female, for pictures alone"),
        WordRule("brood", "mouth|cave", "mouth or cave", "where the eggs are kept"),
    )
}

# Pairs that must be in order: the first may not exceed the second.
_ORDERED = (
    ("maturity_cm", "length_max_male_cm"),
    ("maturity_cm", "length_max_female_cm"),
    ("cruise_sl_s", "burst_sl_s"),
    ("temp_low_c", "temp_high_c"),
    ("ph_low", "ph_high"),
    ("gh_low", "gh_high"),
    ("kh_low", "kh_high"),
)


# --- checks -------------------------------------------------------------------


def _number(raw: object, rule: TraitRule) -> float:
    """Return ``raw`` as a float inside the bounds of ``rule``, or raise ValueError."""
    allowed = f"use a number from {rule.low:g} to {rule.high:g} ({rule.unit})"
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not math.isfinite(raw):
        raise ValueError(f"{raw!r} is not valid; {allowed}")
    if not rule.low <= raw <= rule.high:
        raise ValueError(f"{raw:g} is not valid; {allowed}")
    return float(raw)


def _range(raw: object, rule: TraitRule) -> tuple[float, float]:
    if not isinstance(raw, list | tuple) or len(raw) != 2:
        raise ValueError(f"range {raw!r} is not valid; use two numbers, [low, high]")
    low, high = (_number(end, rule) for end in raw)
    if low > high:
        raise ValueError(f"range [{low:g}, {high:g}] is the wrong way round; write the lower number first")
    if rule.drawn == "log" and low == 0 < high:
        raise ValueError("the range starts at 0, but it is drawn by its logarithm; use more than 0")
    return low, high


def _middle(low: float, high: float, rule: TraitRule) -> float:
    """The value that a draw falls below half of the time."""
    return math.sqrt(low * high) if rule.drawn == "log" else (low + high) / 2


def read_trait(raw: object, rule: TraitRule, source: str) -> Trait:
    """Read a number, a ``[low, high]`` pair or a table with ``value`` and ``range``."""
    if isinstance(raw, Mapping):
        unknown = set(raw) - {"value", "range", "unit", "source"}
        if unknown or "value" not in raw:
            raise ValueError("use a table with value and, if you like, range, unit and source")
        if raw.get("unit", rule.unit) != rule.unit:
            raise ValueError(f"the unit is {raw['unit']!r}; use {rule.unit!r}")
        value = _number(raw["value"], rule)
        low, high = _range(raw.get("range", [value, value]), rule)
        if not low <= value <= high:
            raise ValueError(f"{value:g} lies outside its range [{low:g}, {high:g}]")
    elif isinstance(raw, list | tuple):
        low, high = _range(raw, rule)
        value = _middle(low, high, rule)
    else:
        value = low = high = _number(raw, rule)
    return Trait(rule.name, value, low, high, rule.unit, source)


def read_word(raw: object, rule: WordRule, source: str) -> Word:
    """Read a word, or a table with ``value``."""
    value = raw.get("value") if isinstance(raw, Mapping) else raw
    if not isinstance(value, str) or not re.fullmatch(rule.form, value):
        raise ValueError(f"{value!r} is not valid; use {rule.allowed}")
    return Word(rule.name, value, source)


def order_problems(traits: Mapping[str, Trait]) -> list[tuple[str, str]]:
    """Traits that contradict each other: name of the trait, what is wrong."""
    return [
        (below, f"{traits[below].value:g} exceeds {above}, {traits[above].value:g}")
        for below, above in _ORDERED
        if traits[below].value > traits[above].value
    ]


# --- reading the library ------------------------------------------------------


def _source(raw: object) -> str:
    source = raw.get("source") if isinstance(raw, Mapping) else None
    if not isinstance(source, str) or not is_known(source):
        raise ValueError(f"there is no source {source!r}; use a key of sources.toml or a plain kind")
    return source


def unknown_trait(name: str) -> str:
    """What is wrong with a name that is no trait: the nearest one, and all that are allowed."""
    near = difflib.get_close_matches(name, [*TRAITS, *WORDS], n=1)
    hint = f" (did you mean {near[0]}?)" if near else ""
    return f"there is no such trait{hint}; use {', '.join([*TRAITS, *WORDS])}"


def _is_name_list(raw: object) -> bool:
    return isinstance(raw, list) and all(isinstance(text, str) and text.strip() for text in raw)


def _head_problems(data: Mapping[str, object]) -> list[tuple[str, str]]:
    problems = []
    name = data.get("name")
    if not isinstance(name, str) or not re.fullmatch(r"[A-Z][a-z]+ (sp\. )?[a-z]+", name):
        allowed = "a genus and a species, e.g. 'Tropheus duboisi' or 'Tropheus sp. ikola'"
        problems.append(("name", f"{name!r} is not valid; use {allowed}"))
    if data.get("lake") not in LAKES:
        problems.append(("lake", f"{data.get('lake')!r} is not valid; use {' or '.join(LAKES)}"))
    for entry in ("common", "trade", "synonyms"):
        if not _is_name_list(data.get(entry, [])):
            problems.append((entry, f"{data[entry]!r} is not valid; use a list of names"))
    for entry in ("traits", "words"):
        if not isinstance(data.get(entry, {}), dict):
            problems.append((entry, f"{data[entry]!r} is not valid; use a table"))
    known = {"name", "common", "trade", "synonyms", "lake", "note", "traits", "words"}
    return problems + [
        (entry, "there is no such entry in a species file") for entry in sorted(set(data) - known)
    ]


def _read_each(
    given: Mapping[str, object], rules: Mapping[str, Rule], read: Callable[[object, Rule, str], Entry]
) -> tuple[dict[str, Entry], list[tuple[str, str]]]:
    """Read every entry that ``rules`` asks for; return what could be read, and the problems."""
    entries = {}
    problems = [(name, unknown_trait(name)) for name in sorted(set(given) - set(rules))]
    problems += [(name, "is missing") for name in rules if name not in given]
    for name in (name for name in rules if name in given):
        try:
            entries[name] = read(given[name], rules[name], _source(given[name]))
        except ValueError as error:
            problems.append((name, str(error)))
    return entries, problems


def read_species(text: str, *, where: str) -> Species:
    """Read one species file.

    Raises SpeciesError: with every problem of the file, each naming the file and the trait.

    Parameters
    ----------
    text : TOML: ``name``, ``common``, ``trade``, ``synonyms``, ``lake``, ``note``, a table ``traits`` with
        the names of :data:`TRAITS` and a table ``words`` with those of :data:`WORDS`; what ``lakes.toml``
        says of all species of its lake may be left out.
    where : name of the file, for messages.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SpeciesError([("file", f"is not valid TOML: {error}")], where=where) from error
    if problems := _head_problems(data):
        raise SpeciesError(problems, where=where)
    traits, trait_problems = _read_each(_given(data, "traits"), TRAITS, read_trait)
    words, word_problems = _read_each(_given(data, "words"), WORDS, read_word)
    problems = trait_problems + word_problems or order_problems(traits)
    if problems:
        raise SpeciesError(problems, where=where)
    return Species(
        key=data["name"],
        common=tuple(data.get("common", [])),
        lake=data["lake"],
        traits=traits,
        words=words,
        synonyms=tuple(data.get("synonyms", [])),
        trade=tuple(data.get("trade", [])),
        note=str(data.get("note", "")),
    )


def _given(data: Mapping[str, Any], table: str) -> dict[str, object]:
    """A table of a species file laid over what holds for every species, and for every one of its lake."""
    shared = _lakes()
    return {**shared["any"].get(table, {}), **shared[data["lake"]].get(table, {}), **data.get(table, {})}


@cache
def _lakes() -> dict[str, Any]:
    return tomllib.loads(resources.files(__package__).joinpath("lakes.toml").read_text(encoding="utf-8"))


@cache
def _library() -> dict[str, Species]:
    folder = resources.files(f"{__package__}.library")
    found = {}
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if file.name.endswith(".toml"):
            species = read_species(file.read_text(encoding="utf-8"), where=file.name)
            found[species.key] = species
    return found


def library() -> dict[str, Species]:
    """Every species of the library by scientific name, in alphabetical order (a fresh dict each time)."""
    return dict(_library())
