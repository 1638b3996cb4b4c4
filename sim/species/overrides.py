"""A keeper's own values in place of the library's, or a species that the library lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from .species import (
    TRAITS,
    WORDS,
    Species,
    SpeciesError,
    order_problems,
    read_trait,
    read_word,
    unknown_trait,
)


def with_overrides(species: Species, traits: Mapping[str, object], *, key: str | None = None) -> Species:
    """Return ``species`` with a keeper's own values in place of the library's.

    Raises SpeciesError: a ValueError with every problem, each naming the trait and what is allowed.

    Parameters
    ----------
    species : the species to start from; it stays as it is.
    traits : by trait name, in the unit of :data:`rockshy.sim.species.species.TRAITS`: a number (then it is
        not drawn), a pair ``[low, high]``, or a table with ``value`` and ``range``; for
        :data:`rockshy.sim.species.species.WORDS`, a word. What is set here gets the source ``"keeper"``.
    key : a new scientific name, for a species that the library lacks and that resembles ``species``. It takes
        over neither common names, older names nor the note.
    """
    numbers, words = dict(species.traits), dict(species.words)
    problems = []
    for name, raw in traits.items():
        try:
            if name in TRAITS:
                numbers[name] = read_trait(raw, TRAITS[name], "keeper")
            elif name in WORDS:
                words[name] = read_word(raw, WORDS[name], "keeper")
            else:
                raise ValueError(unknown_trait(name))
        except ValueError as error:
            problems.append((name, str(error)))
    problems = problems or order_problems(numbers)
    if key is not None and not key.strip():
        problems.append(("key", "a species of your own needs a name"))
    if problems:
        raise SpeciesError(problems, where=key or species.key)
    if key is None:
        return replace(species, traits=numbers, words=words)
    return Species(key=" ".join(key.split()), common=(), lake=species.lake, traits=numbers, words=words)
