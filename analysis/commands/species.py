"""``rockshy species``: one species with every trait and its source, or the list of all."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ..asking.errors import DONE, RefusedError

if TYPE_CHECKING:
    from ...sim.species.species import Species


def add_options(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("name", metavar="NAME", nargs="*", help="any of its names; without one, all species are listed")
    add("--file", metavar="FILE", help="as this scenario file describes it, with your own values")
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
    from ...sim.scenario.reading.kinds import Names
    from ...sim.species.names import find

    names = Names(kinds)
    if (key := names.resolve(asked)) is not None:
        return kinds[key]
    if file is not None and (known := find(asked)) is not None:
        raise RefusedError(f"{known.key} is not in {file}; use {', '.join(kinds)}, or leave --file out")
    raise RefusedError(str(replace(names.unknown(asked), key="NAME")))
