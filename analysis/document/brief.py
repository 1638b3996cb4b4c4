"""The answer on top of every answer: a few lines, alike for every question."""

from __future__ import annotations

from dataclasses import dataclass

from .blocks import Section, flush

MOST_LINES = 8  # of a terminal


@dataclass(frozen=True)
class Brief:
    """An answer in at most eight lines. Each part is a sentence or a few; an empty one is left out.

    Attributes
    ----------
    question : as the keeper asked it.
    verdict : the answer, with who has it worst and how bad that is.
    beside : what belongs to the verdict: who does it, what it takes, what the other choices do.
    then : what to do or to look at next, and what it is worth.
    sure : how far it may be off, by the luck of the runs and by what nobody has measured.
    flaw : what the model is known to get wrong where it matters here.
    """

    question: str
    verdict: str
    beside: str = ""
    then: str = ""
    sure: str = ""
    flaw: str = ""

    @property
    def sentences(self) -> tuple[str, ...]:
        """The parts that there are, in order."""
        parts = (self.question, self.verdict, self.beside, self.then, self.sure, self.flaw)
        return tuple(part for part in parts if part)

    @property
    def section(self) -> Section:
        """The parts, one below the other."""
        return flush(*self.sentences)
