"""A slide and a deck as they are drawn, written into notes and counted."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from .facts import Facts
from .hands import Question
from .lines import Rests, short_name

if TYPE_CHECKING:
    from ..questions.best.front import Front
    from ..questions.life.drawn import DrawnLife
    from ..questions.place.rack import Rack
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.grid import Grid
    from ..questions.why.answer import Why


@dataclass(frozen=True)
class Slide:
    """One slide. ``alt`` tells all of it in words."""

    name: str  # of its files, without number: "title", "hands-change"
    kind: str
    title: str
    alt: str
    say: tuple[str, ...]
    never: str  # what not to claim
    minutes: float = 0.0
    question: Question | None = None
    place: int = 0  # of the set-up, or of the plans, that it is about
    places: tuple[int, ...] = ()  # of the set-ups that it compares, the base first
    names: tuple[str, ...] = ()  # of the publications on it


@dataclass(frozen=True)
class Deck:
    """All that is drawn and said."""

    facts: Facts
    slides: tuple[Slide, ...]
    rests: Rests
    why: Why | None = field(default=None, repr=False)
    rock: tuple[RockAnswer, Grid] | None = field(default=None, repr=False)
    plans: tuple[Rack | Front | DrawnLife, ...] = ()  # of result folders; a slide's ``place``: its own
    film: str = ""  # file name of the film, "" without
    left_out: tuple[str, ...] = ()  # what does not apply or was not asked for, and why

    @property
    def mild(self) -> str:
        """The watched species, short."""
        return short_name(self.facts)
