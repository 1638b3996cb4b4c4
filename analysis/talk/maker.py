"""What all slides of one talk are made of, and what is left out of it."""

from __future__ import annotations

from dataclasses import replace

from ..document.typed import Typed
from .deck import Slide
from .facts import Facts
from .hands import Question
from .kinds import HANDS
from .lines import Rests, short_name
from .plain import shown


class Maker:
    """Makes slides of one talk, and notes what is left out."""

    def __init__(self, facts: Facts, rests: Rests) -> None:
        self.facts, self.rests = facts, rests
        self.mild = short_name(facts)
        self.typed = Typed(facts.scenario)
        self.left_out: list[str] = []

    @property
    def tanks(self) -> int:
        return shown(self.facts.tanks)

    def hands(self, name: str, question: Question) -> Slide:
        question = replace(question, choices=tuple(map(self.typed.name, question.choices)))
        said = f"{question.text} {'; '.join(question.choices)}."
        return Slide(
            name=f"hands-{name}",
            kind=HANDS,
            title="Show of hands",
            alt=f"Show of hands. {said}",
            say=(
                "Read the question and all choices, then ask for hands one by one and write the counts down.",
                "Do not show what is coming, and do not nod at any of them.",
            ),
            never="that anybody voted wrongly: nobody here has seen these tanks before.",
            question=question,
        )
