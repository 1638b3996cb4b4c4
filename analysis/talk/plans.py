"""Plans on slides: which fish belong in which tank, what to buy, or a life, out of a result folder."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from ..document.plain import many, percent
from ..questions.best.files import JSON as BEST
from ..questions.best.front import HEADING as WHAT_TO_BUY
from ..questions.best.front import Front, front_of
from ..questions.life.drawn import DrawnLife, drawn_life
from ..questions.life.files import JSON as LIVED
from ..questions.place.files import JSON as PLACE
from ..questions.place.rack import HEADING as WHO_WHERE
from ..questions.place.rack import Rack, rack_of
from . import hands
from .deck import Slide
from .kinds import FRONT, RACK
from .lines import MODEL_FISH
from .lives import life_slide_of
from .maker import Maker

Plans = Rack | Front | DrawnLife
_READ: dict[str, Callable[[Mapping[str, Any]], Plans]] = {PLACE: rack_of, BEST: front_of, LIVED: drawn_life}
_MOST_BYTES = 50_000_000


class PlansError(ValueError):
    """A folder holds no plans; the message says what was found."""


def plans_in(folder: Path) -> list[Plans]:
    """The plans of a result folder of ``rockshy place``, ``best`` or ``life``.

    Raises
    ------
    PlansError
        When it holds none, or they cannot be read.
    """
    there = [name for name in _READ if (folder / name).is_file()]
    if not there:
        what = "holds no" if folder.is_dir() else "is no folder with"
        raise PlansError(
            f"{what} {PLACE}, {BEST} or {LIVED}; use a folder that place --out, best --out or life --out has "
            "written"
        )
    return [_read(folder / name, _READ[name]) for name in there]


def _read(path: Path, read: Callable[[Mapping[str, Any]], Plans]) -> Plans:
    again = "make that folder again"
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise PlansError(f"{path.name} is larger than any that Rockshy writes; {again}")
        return read(json.loads(path.read_text(encoding="utf-8")))
    except OSError as problem:
        raise PlansError(f"{path.name} cannot be read: {problem.strerror}") from problem
    except PlansError:
        raise
    except (KeyError, TypeError, ValueError, IndexError, AttributeError, RecursionError) as problem:
        raise PlansError(f"{path.name} is not as Rockshy writes it now; {again}") from problem


class PlanSlides(Maker):
    """A question and a slide for each."""

    def plans(self, found: Sequence[Plans]) -> list[Slide]:
        slides = []
        for place, one in enumerate(found):
            more = f"-{place + 1}" if place else ""
            if isinstance(one, DrawnLife):
                slides.append(life_slide_of(one, place, more))
            elif isinstance(one, Rack):
                slides += self._rack(one, place, more)
            else:
                slides += self._front(one, place, more)
        return slides

    def _rack(self, one: Rack, place: int, more: str) -> list[Slide]:
        slide = Slide(
            name=f"fish-room{more}",
            kind=RACK,
            title=one.title or WHO_WHERE,
            alt=f"{WHO_WHERE} {one.said} Moves: {'; '.join(one.steps) or 'none'}. {MODEL_FISH}",
            say=(
                "On the left the room as it is, on the right by the plan; the star is the worst-off group.",
                *one.lines,
                "Every tank that is shown was simulated with exactly these fish in it.",
            ),
            never="that the moves will do the same in anybody's room.",
            place=place,
        )
        rows = [row for shelf in one.sides[0].shelves for row in shelf.rows]
        if len(rows) < 2:
            return [slide]
        return [self.hands(f"fish-room{more}", hands.about_room(rows)), slide]

    def _front(self, one: Front, place: int, more: str) -> list[Slide]:
        told = [
            f"Plan {plan.number}: {plan.stock}: {many(plan.fish, 'fish', 'fish')} of "
            f"{many(plan.species, 'species', 'species')}, the worst-off keep {percent(plan.kept)} "
            f"({plan.word})."
            for plan in one.front
        ]
        slide = Slide(
            name=f"wish-list{more}",
            kind=FRONT,
            title=one.title or WHAT_TO_BUY,
            alt=f"{one.said} {MODEL_FISH}",
            say=(
                "To the right there are more fish, upwards the worst-off fare better; the numbered plans are "
                "those that no other beats in everything.",
                *told,
                *one.lines[2:],
            ),
            never="that the first plan is the best for everybody: it is for those whom the worst-off fish "
            "matter most.",
            place=place,
        )
        fish = [plan.fish for plan in one.plans]
        if min(fish) == max(fish):
            return [slide]
        return [self.hands(f"wish-list{more}", hands.about_more_fish(min(fish), max(fish))), slide]
