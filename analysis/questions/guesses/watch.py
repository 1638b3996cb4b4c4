"""What a keeper could watch to narrow a guess, and how to write down what was found."""

from __future__ import annotations

from .inputs import Guess, Input, entries

# The library's water traits: no rule uses them, so that nothing is guessed about them.
NO_RULE = ("temp_low_c", "temp_high_c", "ph_low", "ph_high", "gh_low", "gh_high", "kh_low", "kh_high")


def to_watch(draw: Guess) -> str:
    """What to watch in a real tank."""
    return entries()[draw.entry].watch


def to_write(draw: Guess) -> tuple[str, ...]:
    """Lines for the scenario file that settle the guess, the middle of what is drawn standing in them."""
    if not draw.species:
        return ("[parameters]", *(f"{one.name} = {one.value:.4g}" for one in draw.inputs))
    lines = [
        f"{one.name} = {{ value = {one.value:.4g}, low = {one.low:.4g}, high = {one.high:.4g} }}"
        for one in draw.inputs
    ]
    return (f'[species."{draw.species}"]', *lines)


def range_of(one: Input) -> str:
    """``"0.01 to 0.1 1/s (drawn by its logarithm; source: assumption)"``."""
    how = "by its logarithm" if one.how == "log" else "evenly"
    return f"{one.name}: {one.low:.4g} to {one.high:.4g} ({one.unit}), drawn {how}; source: {one.source}"
