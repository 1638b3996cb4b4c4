"""Questions for a show of hands, put before each reveal: in words, and never a hint.

Choices stand in an order that says nothing: that of the scenario file, or from little to much.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .facts import Chasers, Facts
from .plain import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ..questions.place.rack import Row
    from ..questions.why.mechanisms import Mechanism

MOST = 4  # choices; more and nobody remembers the first
NAMED = 3  # alternatives that are named one by one


@dataclass(frozen=True)
class Question:
    """What the speaker asks, and two to four choices to raise a hand for."""

    text: str
    choices: tuple[str, ...]

    def __post_init__(self) -> None:
        if not 2 <= len(self.choices) <= MOST:
            raise ValueError(f"{len(self.choices)} choices; use 2 to {MOST}")


_RIGHT = ("the first camp", "the second camp", "neither of them", "nobody can tell")
WHO_IS_RIGHT = Question("Who is right?", _RIGHT)
_SOON = ("within a minute", "within ten minutes", "not in this film")
FILM = Question("Pick one mild fish and follow it. How soon is it chased?", _SOON)
_OFTEN = ("less often", "as often as before", "more often", "it depends how much")
ROCK = Question("Pile up more rock: how often are they pinned then?", _OFTEN)


def about_room(rows: Sequence[Row]) -> Question:
    """Before a fish room is shown: who is worst off in it, among as many as can be asked for."""
    others = [row for row in rows if not row.is_worst][: MOST - 1]
    named = [row.name for row in rows if row.is_worst or row in others]
    return Question("Who is worst off in this fish room?", tuple(named))


def about_more_fish(few: int, full: int) -> Question:
    """Before a wish list is shown."""
    asked = f"{full} fish instead of {few}: how much of their swimming about does that cost the worst-off?"
    return Question(asked, ("hardly any", "a tenth or so", "a quarter or so", "half of it or more"))


def about_luck(tanks: int) -> Question:
    """Before the small tanks."""
    asked = (
        f"The same fish and the same amount of rock, {shown(tanks)} times over. How do the tanks turn out?"
    )
    return Question(
        asked, ("all alike", "nearly all alike", "half this way, half that", "every one differently")
    )


def about_change(facts: Facts, mild: str) -> Question:
    """Before the set-ups are compared; of a single one, how often its fish are pinned."""
    names = [one.name for one in facts.setups[1:]]
    if not names:
        return Question(
            f"In how many of {shown(facts.tanks)} such tanks are {mild} pinned to one place?",
            ("in none", "in fewer than half", "in more than half", "in all of them"),
        )
    if len(names) == 1:
        return Question(
            f"The change: {names[0]}. What does it do for {mild}?",
            ("it helps", "it makes no difference", "it makes things worse"),
        )
    if len(names) <= NAMED:
        return Question(f"Which of these helps {mild} most?", (*names, "none of them"))
    return Question(
        f"{len(names)} changes were tried. How many of them help {mild}?",
        ("none", "one", "some", "all of them"),
    )


def about_chasers(chasers: Chasers, mild: str, *, own: str) -> Question:
    """Before the table of who chases whom; ``own`` is the group that the mild fish belong to."""
    if chasers.by_sex:
        return Question("Who does most of the chasing?", (*chasers.groups[:3], "all about equally")[:MOST])
    others = [name for name in chasers.groups if name != own]
    if len(others) <= 2:
        return Question(f"Who chases {mild} most?", ("their own kind", *others, "nobody much"))
    return Question(
        f"Who chases {mild} most?",
        ("their own kind", "one other kind", "all kinds about equally", "nobody much"),
    )


def about_reasons(mechanisms: tuple[Mechanism, ...], mild: str) -> Question | None:
    """Before the reasons, in the order in which the model switches them; None where there is one only."""
    names = [one.shown for one in mechanisms]
    if len(names) < 2:
        return None
    choices = names if len(names) <= MOST else [*names[: MOST - 1], "something else"]
    return Question(f"What is most to blame when {mild} are chased?", tuple(choices))
