"""Mixing colours, for whatever is painted."""

from __future__ import annotations


def mixed(one: str, two: str, share: float) -> str:
    """A colour ``share`` of the way from one to another."""
    a, b = rgb(one), rgb(two)
    return "#" + "".join(f"{round(x + (y - x) * share):02x}" for x, y in zip(a, b, strict=True))


def rgb(colour: str) -> tuple[int, int, int]:
    """Red, green and blue of a colour such as "#93836e", 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def lightness(colour: str) -> float:
    """How light a colour looks, 0 black to 1 white."""
    red, green, blue = rgb(colour)
    return (0.3 * red + 0.59 * green + 0.11 * blue) / 255
