"""Species called as the keeper typed them."""

from __future__ import annotations

from ..species.names import common_form, find
from .scenario import Scenario


def typed_names(scenario: Scenario) -> dict[str, str]:
    """Common names that the keeper typed, by the scientific name of the species; no others are in it."""
    names = {key: shown_name(scenario, key) for key in scenario.species}
    return {key: name for key, name in names.items() if name != key}


def shown_name(scenario: Scenario, key: str, *, in_full: bool = False) -> str:
    """What a species of a scenario is called: the common name that the keeper typed, else the scientific one.

    A common name is spelled as in the library, in the singular. ``in_full`` gives the scientific name once
    beside it, "yellow lab (Labidochromis caeruleus)": for the first place in a text where it is named.
    """
    species = scenario.species[key]
    for row in scenario.stock:
        if row.species == key and find(row.typed, among={key: species}) is not None:
            if common := common_form(row.typed, species):
                return f"{common} ({key})" if in_full else common
    return key
