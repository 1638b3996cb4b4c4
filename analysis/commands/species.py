"""``rockshy species``: one species with every trait and its source, or the list of all."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..asking.errors import DONE, RefusedError

if TYPE_CHECKING:
    from ...sim.species.species import Species


def add_options(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("name", metavar="NAME", nargs="*", help="any of its names; without one, all species are listed")
    add("--file", metavar="FILE", help="as this scenario has it, with the keeper's own values")
    add("--json", action="store_true", help="print it as JSON")


def carry_out(line: argparse.Namespace) -> int:
    """Print one species, or the list."""
    from ..document import as_text
    from ..document.files import json_text
    from ..questions.sources.species_page import list_text, species_json, species_text

    kinds = _kinds(line.file)
    if line.name:
        species = _meant(" ".join(line.name), kinds, line.file)
        print(json_text(species_json(species)) if line.json else as_text(species_text(species)))
    elif line.json:
        print(json_text({key: species_json(one) for key, one in kinds.items()}))
    else:
        head = "The species of the library." if line.file is None else f"The species of {line.file}."
        print(as_text(list_text(kinds.values(), head=head)))
    return DONE


def _kinds(file: str | None) -> Mapping[str, Species]:
    """Species to choose from: the library's, or those of a scenario as it has them."""
    if file is not None:
        from .finding import find

        return find(file).species
    from ...sim.species.species import library

    return library()


def _meant(asked: str, kinds: Mapping[str, Species], file: str | None) -> Species:
    """The species that a name means.

    Raises
    ------
    RefusedError
    """
    from ...sim.scenario.reading.problems import show
    from ...sim.species.species import find

    found = find(asked, among=kinds)
    if found is not None:
        return found
    if fits := _with_epithet(asked, kinds):
        raise RefusedError(
            f"NAME: found {show(asked)}, which fits {len(fits)} species: {', '.join(fits)}; allowed: one of "
            "them in full"
        )
    if file is not None and (known := find(asked)) is not None:
        raise RefusedError(
            f"NAME: {known.key} is not in {file}; allowed: {', '.join(kinds)}; or leave --file out"
        )
    near = _nearest(asked, kinds)
    hint = f"; nearest: {', '.join(near)}" if near else ""
    allowed = f"a species of {file}" if file else "a species that rockshy species lists"
    raise RefusedError(f"NAME: found {show(asked)}; allowed: {allowed}, by any of its names{hint}")


def _with_epithet(asked: str, kinds: Mapping[str, Species]) -> list[str]:
    """Species that share the second word of their name, as three do with "moorii"."""
    wanted = asked.casefold().strip()
    names = {one.key: (one.key, *one.synonyms) for one in kinds.values()}
    return [
        key for key, every in names.items() if any(full.casefold().split()[-1] == wanted for full in every)
    ]


def _nearest(asked: str, kinds: Mapping[str, Species]) -> list[str]:
    """At most three species one of whose names, or a part of it, is most like what was asked."""
    import difflib

    wanted = asked.casefold()[:60]
    likeness: dict[str, float] = {}
    for one in kinds.values():
        names = [full.casefold() for full in (one.key, *one.common, *one.synonyms)]
        names += [word for full in names for word in full.split() if len(word) > 3]
        likeness[one.key] = max(difflib.SequenceMatcher(None, wanted, name).ratio() for name in names)
    ranked = sorted(likeness, key=lambda key: (-likeness[key], key))
    return [key for key in ranked if likeness[key] > 0.6][:3]
