"""One species with every trait, its range and where it comes from, in plain words; and the list of all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ....sim.scenario.units import say_length_cm
from ....sim.species.sources import bibliography
from ....sim.species.species import TRAITS, WORDS, Species, Trait, Word
from ...document import Document, Section, document, flush, section, table
from ...document.plain import capital, many
from .source_counts import ABSTRACT, MEANINGS, PUBLISHED, SECOND_HAND, parts

EVENLY, BY_RATIO = "evenly", "by ratio"

# Group of traits -> each in the order of the page, and what it is called there: shorter than the meanings
# of sim.species, so that a line holds value, range and source. Every trait stands in exactly one group.
GROUPS: Mapping[str, Mapping[str, str]] = {
    "Size and body": {
        "length_max_male_cm": "greatest length, male",
        "length_max_female_cm": "greatest length, female",
        "maturity_cm": "adult from a length of",
        "depth_ratio": "body depth, of its length",
        "sl_per_tl": "standard / total length",
        "pattern_male": "look of an adult male",
        "pattern_female": "look of a female",
        "colour_male": "colours of an adult male",
        "colour_female": "colours of a female",
    },
    "Way of life": {
        "guild": "food, the main one first",
        "mating": "lives in",
        "defends": "claims a territory",
        "brood": "eggs are kept in",
        "company": "seeks its own kind, 0 to 1",
    },
    "Temper: how readily it attacks, and how much a chase frightens it": {
        "temper": "male (usual mbuna male 1)",
        "temper_female": "female (her own male 1)",
        "timidity": "fright by a chase (usual 1)",
    },
    "Ground and speed": {
        "radius_cm": "minds a rival from, 10 cm male",
        "cruise_sl_s": "cruises, body lengths/s",
        "burst_sl_s": "chases, body lengths/s",
    },
    "Water of its lake (no rule uses it; rockshy check compares it with your tank)": {
        "temp_low_c": "temperature, lowest, C",
        "temp_high_c": "temperature, highest, C",
        "ph_low": "pH, lowest",
        "ph_high": "pH, highest",
        "gh_low": "general hardness, lowest",
        "gh_high": "general hardness, highest",
        "kh_low": "carbonate hardness, lowest",
        "kh_high": "carbonate hardness, highest",
    },
}
_FOOD = {"A": "algae", "P": "plankton", "I": "invertebrates", "F": "fish"}
_WORDS = {
    "mating": {
        "harem": "harems: a male, several females",
        "pair": "pairs that share a territory",
        "group": "groups that share a territory",
    },
    "defends": {"male": "males", "female": "females", "both": "males and females", "none": "nobody"},
    "brood": {"mouth": "the mouth", "cave": "a cave"},
}
_WIDTHS = (31, 18, 24)  # name, value, range; what is left of a line is the source
_HOW_DRAWN = {
    EVENLY: f'Drawn "{EVENLY}": every value of the range is as likely as any other.',
    BY_RATIO: f'Drawn "{BY_RATIO}": a range of 20 to 80 is halved at 40, twice the low end and half the '
    "high one.",
}


def how_drawn(trait: Trait) -> str:
    """How guesses draw a trait: EVENLY, BY_RATIO, or "" for one that is fixed.

    As :func:`rockshy.sim.fish.population.draw_traits` does it.
    """
    if trait.low == trait.high:
        return ""
    return BY_RATIO if TRAITS[trait.name].drawn == "log" else EVENLY


# ---- one species


def species_text(species: Species) -> Document:
    """The whole page."""
    groups = (
        section(
            group,
            table(("",) * 4, (_entry(species, *one) for one in said.items()), widths=_WIDTHS, left=(1, 2, 3)),
        )
        for group, said in GROUPS.items()
    )
    common = f" ({', '.join(species.common)})" if species.common else ""
    trade = ", ".join(species.trade)
    head = flush(
        f"{species.key}{common}, of Lake {species.lake}",
        f"Formerly {', '.join(species.synonyms)}." if species.synonyms else "",
        f"Also traded as {trade} (common practice, no source)." if trade else "",
        species.note,
    )
    return document(head, *groups, flush(*_foot(species)))


def _entry(species: Species, name: str, said: str) -> tuple[str, str, str, str]:
    """Name, value, range and source of one trait."""
    if name in TRAITS:
        trait = species.traits[name]
        return said, _value(trait), _range(trait), trait.source
    word = species.words[name]
    return said, _value(word), "", word.source


def _value(entry: Trait | Word) -> str:
    if isinstance(entry, Trait):
        return say_length_cm(entry.value) if entry.unit == "cm" else f"{entry.value:g}"
    if entry.name == "guild":
        return ", ".join(_FOOD[letter] for letter in entry.value)
    return _WORDS.get(entry.name, {}).get(entry.value, entry.value.replace("-", " "))


def _range(trait: Trait) -> str:
    how = how_drawn(trait)
    return f"{trait.low:g} to {trait.high:g}, {how}" if how else "not drawn"


def _foot(species: Species) -> list[str]:
    """How to read ranges and sources, as far as this page needs it."""
    sources = [one.source for one in species.traits.values()]
    sources += [one.source for one in species.words.values()]
    drawn = dict.fromkeys(how_drawn(trait) for trait in species.traits.values())
    lines = [
        "A range is what is thought likely; each guess of a run takes one value from it, the same for all "
        "fish of the species. " + " ".join(_HOW_DRAWN[how] for how in drawn if how),
        "A body length here is the standard length, without the tail fin; all other lengths are total.",
    ]
    every = [part for source in sources for part in parts(source)]
    kinds = [kind for kind in MEANINGS if kind not in PUBLISHED and kind in {one.kind for one in every}]
    kinds += [kind for kind in _REMARKS if kind in {one.kind for one in every}]
    told = [f"{kind}: {MEANINGS[kind].removeprefix('published; ')}" for kind in kinds]
    lines.append("Sources. " + ". ".join(capital(one) for one in told) + ".")
    known = bibliography()
    lines += [f"{key}: {known[key]}" for key in sorted({one.word for one in every} & known.keys())]
    return lines


_REMARKS = (SECOND_HAND, ABSTRACT)  # written so behind a key


# ---- all species


def list_text(kinds: Iterable[Species], *, head: str) -> Document:
    """Species by lake with common names and greatest lengths."""
    every = sorted(kinds, key=lambda one: one.key)
    lakes = (_of_lake(lake, every) for lake in sorted({one.lake for one in every}))
    closing = (
        f"{many(len(every), 'species', 'species')}. Lengths are the greatest total lengths. For one in "
        "full: rockshy species NAME, by any of its names, trade names too. Trade names are common practice, "
        "no source."
    )
    return document(flush(head), *lakes, flush(closing))


def _of_lake(lake: str, every: Iterable[Species]) -> Section:
    rows = [
        (
            one.key,
            *(f"{one.traits[f'length_max_{sex}_cm'].value:g}" for sex in ("male", "female")),
            ", ".join(one.common),
        )
        for one in every
        if one.lake == lake
    ]
    heads = (f"Lake {lake}", "male, cm", "female", "common names")
    return Section((table(heads, rows, widths=(32, 9, 9), left=(3,)),))


# ---- JSON


def species_json(species: Species) -> dict[str, object]:
    """The same as :func:`species_text` for a program."""
    traits = {
        name: {
            "value": trait.value,
            "low": trait.low,
            "high": trait.high,
            "drawn": {EVENLY: "uniform", BY_RATIO: "log"}.get(how_drawn(trait), "fixed"),
            "unit": trait.unit,
            "source": trait.source,
            "meaning": TRAITS[name].meaning,
        }
        for name, trait in species.traits.items()
    }
    words = {
        name: {"value": word.value, "source": word.source, "meaning": WORDS[name].meaning}
        for name, word in species.words.items()
    }
    return {
        "name": species.key,
        "common": list(species.common),
        "synonyms": list(species.synonyms),
        "trade": list(species.trade),
        "lake": species.lake,
        "note": species.note,
        "traits": traits,
        "words": words,
        "sources": dict(MEANINGS),
    }
