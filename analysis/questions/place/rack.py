"""A fish room as a rack, before and after: what picture, slide and page show, out of ``place.json``.

The file alone is read, so that a slide can be made of a result folder long after.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ...document.plain import listed, many, percent

HEADING = "Which fish belong in which tank?"


@dataclass(frozen=True)
class Row:
    """A group, or the fish of a tank that stay; ``kept``: of its day, 0 to 1."""

    name: str
    kept: float
    is_worst: bool
    came: bool  # moved to where it is


@dataclass(frozen=True)
class Shelf:
    """A tank with who is in it, the worst off first."""

    name: str
    rows: tuple[Row, ...]
    changed: bool  # by the plan


@dataclass(frozen=True)
class Side:
    """The room at one time."""

    head: str
    shelves: tuple[Shelf, ...]


@dataclass(frozen=True)
class Rack:
    """Everything that is shown.

    Attributes
    ----------
    sides : now and by the plan that is put forward, or now alone where nobody should be moved.
    steps : what is done, in order, in words.
    lines : the first lines of the answer, its question first.
    """

    title: str
    question: str
    sides: tuple[Side, ...]
    steps: tuple[str, ...]
    lines: tuple[str, ...]

    @property
    def said(self) -> str:
        """All of it in words."""
        return " ".join(
            f"{one.head}: {'; '.join(_shelf_said(shelf) for shelf in one.shelves)}." for one in self.sides
        )


def rack_of(told: Mapping[str, Any]) -> Rack:
    """Read what :func:`.files.whole_json` gives.

    Raises
    ------
    KeyError, TypeError, ValueError, IndexError, AttributeError
        When it is something else.
    """
    now, best = told["now"], told["plans"][0]
    places = [(one["tanks"], one["rock"]) for one in (now, best)]
    changed = {
        name: any(tanks[name] != places[0][0][name] or rock.get(name) for tanks, rock in places)
        for name in now["tanks"]
    }
    stays = not any(changed.values()) and not best["steps"]
    heads = (
        [("Best left as it is", now)]
        if stays
        else [("Now", now), (f"After {many(best['moves'], 'move')}", best)]
    )
    was = {one["name"]: one["tank"] for one in now["fares"]}
    return Rack(
        title=str(told["title"]),
        question=str(told["question"]),
        sides=tuple(_side(head, one, was if one is best else None, changed) for head, one in heads),
        steps=tuple(map(str, best["said"])),
        lines=tuple(map(str, told["lines"])),
    )


def _side(
    head: str, one: Mapping[str, Any], was: Mapping[str, str] | None, changed: Mapping[str, bool]
) -> Side:
    fares = one["fares"]
    worst = f": the worst off {fares[0]['plight']}" if fares else ""
    shelves = []
    for tank in one["tanks"]:
        rows = tuple(
            Row(
                str(fare["name"]),
                float(fare["kept"]["value"]),
                is_worst=fare is fares[0],
                came=was is not None and was.get(fare["name"]) != tank,
            )
            for fare in fares
            if fare["tank"] == tank
        )
        rock = one["rock"].get(tank)
        shelves.append(Shelf(f"{tank} ({rock})" if rock else str(tank), rows, changed[tank]))
    return Side(f"{head}{worst}", tuple(shelves))


def _shelf_said(one: Shelf) -> str:
    if not one.rows:
        return f"{one.name} empty"
    return f"{one.name}: {listed([f'{row.name} keep {percent(row.kept)}' for row in one.rows])}"
