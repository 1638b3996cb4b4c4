"""The slides that may be left out of a talk (film, reasons, rock), and its end: caveats and sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..questions.sources.source_names import name_and_year
from . import hands
from .deck import Slide
from .kinds import CAVEATS, FILM, ROCK, SOURCES, WHY
from .lines import MODEL_FISH, caveats
from .maker import Maker
from .plain import in_tanks, scaled

if TYPE_CHECKING:
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.grid import Grid
    from ..questions.why.answer import Why

SOURCES_A_SLIDE = 24
BY_LUCK = 2  # of the tokens of a column: a smaller step shows nothing


class Extras(Maker):
    """What was asked for beside the results, and what every talk ends with."""

    def film(self, name: str) -> list[Slide]:
        best = self.facts.best
        beside = f", beside it \u201c{self.facts.setups[best].name}\u201d" if best else ""
        slide = Slide(
            name="film",
            kind=FILM,
            title="The film",
            alt=f"Now the film: open {name} in any browser; no internet is needed. The tank as it "
            f"is{beside}.",
            say=(
                f"Open {name} (drag it into a browser before the talk, press F11, then the space bar plays "
                "it).",
                f"Shown is a busy time of one tank as it is{beside}, on one clock.",
                "Let it run for a minute in silence. Then ask who was followed, and who did the chasing.",
            ),
            never="that it is usually so busy: the film shows the busiest minutes of an average tank.",
        )
        return [self.hands("film", hands.FILM), slide]

    def why(self, why: Why) -> list[Slide]:
        from .reasons import reason_lines

        told = reason_lines(why)
        if why.nothing:
            self.left_out.append(f"No reasons: {told[0]}")
            return []
        slide = Slide(
            name="why",
            kind=WHY,
            title=f"Why: {self.typed.name(why.whom.name)}",
            alt=f"{' '.join(told)} {MODEL_FISH}",
            say=(
                "Each thing was switched off in the model, alone and together with the others, in the same "
                "tanks.",
                *told,
                "Pale fish: it may be nothing. Open fish left of the line: without this there would be more.",
            ),
            never="that switching one of these off in a real tank takes away just that share.",
        )
        question = hands.about_reasons(why.mechanisms, self.mild)
        return [*([self.hands("why", question)] if question else []), slide]

    def rock(self, answer: RockAnswer, grid: Grid) -> list[Slide]:
        counts = [scaled(one.pinned.hits, one.pinned.of) for one in answer.amounts if one.pinned.of]
        if max(counts, default=0) - min(counts, default=0) <= BY_LUCK:
            self.left_out.append(
                "Not how much rock: whatever the amount that was tried, they are pinned about as often."
            )
            return []
        told = [
            f"{one.said}{' (as it is now)' if one.own else ''}: pinned "
            f"{in_tanks(one.pinned.hits, one.pinned.of)}."
            for one in answer.amounts
            if one.pinned.of
        ]
        slide = Slide(
            name="how-much-rock",
            kind=ROCK,
            title=f"How much rock for {self.mild}",
            alt=f"Columns of {self.tanks} small fish, one column for each amount of rock. {' '.join(told)} "
            f"{MODEL_FISH}",
            say=(
                "From left to right there is more and more rock, all else the same.",
                *told,
                "Few tanks stand behind each column: a step of one or two is luck.",
                "Rock is heavy: it stands on the base, on no point or edge, and what floor and stand bear "
                "is for an engineer to say.",
            ),
            never="a weight or a percentage as a rule for every tank.",
        )
        return [self.hands("rock", hands.ROCK), slide]

    def caveats(self) -> Slide:
        three = caveats(self.facts.scenario, self.rests)
        return Slide(
            name="three-caveats",
            kind=CAVEATS,
            title="Before you go home and move fish",
            alt=" ".join(f"{k}. {text}" for k, text in enumerate(three, 1)),
            say=(
                *three,
                "A fish that does not eat, hangs in a corner or at the surface, has torn fins or breathes "
                "fast comes out first; then test the water.",
                "Give out the handout now: its back is a sheet for ten minutes before one's own tank.",
            ),
            never="anything about a tank you have not seen.",
        )

    def sources(self) -> list[Slide]:
        names = sorted({name_and_year(key) for key in self.rests.keys}, key=str.lower)
        pages = [names[k : k + SOURCES_A_SLIDE] for k in range(0, max(1, len(names)), SOURCES_A_SLIDE)]
        return [
            Slide(
                name="sources" if number == 1 else f"sources-{number}",
                kind=SOURCES,
                title="What this rests on" + (f" ({number} of {len(pages)})" if len(pages) > 1 else ""),
                alt=f"{len(self.rests.keys)} publications stand behind the numbers. {'; '.join(page)}.",
                say=("Leave it up while questions are asked. rockshy sources says what each was used for.",),
                never="that a publication proves the result: they are about single numbers, often of other "
                "fish.",
                names=tuple(page),
            )
            for number, page in enumerate(pages, 1)
        ]
