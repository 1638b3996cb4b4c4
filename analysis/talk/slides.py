"""The slides of a talk in order: what each shows, its words for those who cannot see it, what to say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from ..document.plain import capital, tank_name
from ..questions.sources.source_names import name_and_year
from . import hands
from .facts import REST, Facts, SetUp
from .hands import Question
from .kinds import ANSWER, CAMPS, CAVEATS, CHANGE, FILM, HANDS, LUCK, ROCK, SOURCES, TITLE, WHO, WHY
from .lines import (
    LOST_IS,
    MODEL_FISH,
    PINNED_IS,
    SHORT_WAYS,
    Rests,
    caveats,
    fares,
    rests_on,
    short_name,
    verdict_line,
)
from .paging import pages_of
from .plain import in_tanks, scaled, shown, times
from .timing import minutes_of

if TYPE_CHECKING:
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.grid import Grid
    from ..questions.why.answer import Why


SOURCES_A_SLIDE = 24


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
    place: int = 0  # of the set-up that it is about
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
    film: str = ""  # file name of the film, "" without
    left_out: tuple[str, ...] = ()  # what does not apply or was not asked for, and why

    @property
    def mild(self) -> str:
        """The watched species, short."""
        return short_name(self.facts)


def deck_of(
    facts: Facts,
    *,
    why: Why | None = None,
    rock: tuple[RockAnswer, Grid] | None = None,
    film: str = "",
    left_out: Sequence[str] = (),
) -> Deck:
    """Put the slides in order; those of ``why``, ``rock`` and the film (its file name) are left out without.

    ``left_out`` says what is not there because it was not asked for or could not be.
    """
    maker = _Maker(facts, rests_on(facts.scenario))
    slides = [maker.title(), *maker.camps(), *maker.change(), *maker.answer(), *maker.luck(), *maker.who()]
    slides += maker.film(film) if film else []
    slides += maker.why(why) if why else []
    slides += maker.rock(*rock) if rock else []
    slides += [maker.caveats(), *maker.sources()]
    gone = (*left_out, *maker.left_out)
    minutes = minutes_of([one.kind for one in slides])
    timed = tuple(replace(one, minutes=own) for one, own in zip(slides, minutes, strict=True))
    return Deck(facts, timed, maker.rests, why, rock, film, gone)


class _Maker:
    """Makes the slides of one talk, and notes what is left out."""

    def __init__(self, facts: Facts, rests: Rests) -> None:
        self.facts, self.rests = facts, rests
        self.mild = short_name(facts)
        self.left_out: list[str] = []

    @property
    def tanks(self) -> int:
        return shown(self.facts.tanks)

    def hands(self, name: str, question: Question) -> Slide:
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

    def title(self) -> Slide:
        scenario = self.facts.scenario
        question = scenario.question or f"How do {self.mild} fare in this tank?"
        trial = self.facts.typical
        return Slide(
            name="title",
            kind=TITLE,
            title=scenario.title,
            alt=f"{capital(tank_name(trial))} from the front, and the question: {question}",
            say=(
                f"Read the question: {question}",
                "Say what the picture is: one of the simulated tanks from the front, each fish where it "
                "was most.",
                f"Explain two words: {PINNED_IS}. And {LOST_IS}.",
            ),
            never="that this is anybody's tank: rock and fish are drawn by the computer from the stock list.",
        )

    def camps(self) -> list[Slide]:
        argument = self.facts.scenario.argument
        if argument is None:
            return []
        some, others = argument
        return [
            Slide(
                name="two-camps",
                kind=CAMPS,
                title="Two camps",
                alt=f"Some say: {some} Others say: {others} Who is right? "
                f"{'; '.join(hands.WHO_IS_RIGHT.choices)}.",
                say=(
                    "Read both claims as if you held them yourself, then ask who is right, and count the "
                    "hands.",
                    "Ask one from each camp for the tank that convinced them.",
                ),
                never="which camp you belong to.",
                question=hands.WHO_IS_RIGHT,
            )
        ]

    def change(self) -> list[Slide]:
        facts = self.facts
        alone = len(facts.setups) == 1
        if alone:
            self.left_out.append(
                "No before and after: the file has no [[alternative]], so one set-up is shown."
            )
        slides = [self.hands("change", hands.about_change(facts, self.mild))]
        pages = pages_of(facts.setups)
        for number, places in enumerate(pages, 1):
            of = f" ({number} of {len(pages)})" if len(pages) > 1 else ""
            slides.append(
                Slide(
                    name="how-they-fare" if alone else f"before-after{f'-{number}' if number > 1 else ''}",
                    kind=CHANGE,
                    title=f"How {self.mild} fare" if alone else f"Before and after: {self.mild}{of}",
                    places=places,
                    **self._changed([facts.setups[place] for place in places]),
                )
            )
        return slides

    def _changed(self, rows: Sequence[SetUp]) -> dict[str, Any]:
        """What is told of the tank as it is and of some alternatives."""
        said = [f"{one.name}: {fares(one, self.mild)}." for one in rows]
        ways = [f"{one.name}: {SHORT_WAYS[one.way]}." for one in rows[1:]]
        return {
            "alt": f"Each small fish is one of {self.tanks} simulated tanks, filled where they were pinned. "
            f"{' '.join([*said, *ways])} {MODEL_FISH}",
            "say": (
                "Begin with the tank as it is, then go down the rows: all stand on the same scale.",
                *said,
                *ways,
                "Where it says \u201ccannot tell\u201d, say so: the difference may be luck.",
                "Look at chases and hiding together: a fish that has given up coming out is chased less.",
            ),
            "never": "that a change will do the same in anybody's tank, or how many fish it will save.",
        }

    def answer(self) -> list[Slide]:
        verdict, argument = self.facts.verdict, self.facts.scenario.argument
        if verdict is None or argument is None:
            if argument is not None:
                self.left_out.append(
                    "No answer to the argument: the file has no [[alternative]] to judge it by."
                )
            return []
        others = [f"{one.name}: {SHORT_WAYS[one.way]}." for one in self.facts.setups[2:]]
        return [
            Slide(
                name="who-is-right",
                kind=ANSWER,
                title="Who is right?",
                alt=f"Some say: {argument[0]} Others say: {argument[1]} {verdict_line(verdict)} "
                f"{verdict.because} {' '.join(others)} {MODEL_FISH}",
                say=(
                    verdict_line(verdict),
                    verdict.because,
                    "It is judged by the first change in the file, and by one thing: whether "
                    f"{self.mild} get about more.",
                    *(f"Beside it, {one}" for one in others),
                    "Go back to the hands that were counted at the beginning.",
                ),
                never="that the argument is settled. A model can be wrong about all of this at once.",
            )
        ]

    def luck(self) -> list[Slide]:
        facts = self.facts
        slides = [self.hands("luck", hands.about_luck(facts.tanks))] if facts.tanks > 1 else []
        if facts.tanks == 1:
            self.left_out.append("No picture of luck: one simulated tank shows none.")
            return []
        if not any(spots.pinned for some in facts.strips.values() for spots in some):
            self.left_out.append(
                f"No picture of luck: {self.mild} are pinned in none of {shown(facts.tanks)} simulated tanks."
            )
            return []
        if rest := [one.name for place, one in enumerate(facts.setups) if place not in facts.strips]:
            self.left_out.append(f"Not tank by tank, since the best change is: {'; '.join(rest)}.")
        for place, some in sorted(facts.strips.items()):
            one = facts.setups[place]
            count = "nobody can be pinned"
            if one.tanks:
                count = f"{self.mild} pinned {in_tanks(one.pinned, one.tanks)}"
            same = "" if place == 0 else " The same draws of fish and luck as before."
            which = [str(spots.trial + 1) for spots in some if spots.pinned]
            slides.append(
                Slide(
                    name="luck" if place == 0 else "luck-after",
                    kind=LUCK,
                    title=f"{len(some)} times: {one.name}",
                    alt=f"{len(some)} small tanks from the front with their rock and the places where each "
                    f"of {self.mild} sat most. {count}. Pinned in "
                    f"{('tank ' + ', '.join(which)) if which else 'no tank'}. {MODEL_FISH}",
                    say=(
                        f"Each box is one simulated tank: {one.name}, same stock, same amount of rock.{same}",
                        f"A thick frame and the word: {self.mild} are pinned there. {count}.",
                        "Ask whoever owned the best of these tanks what they would write in the forum, and "
                        "whoever owned the worst.",
                    ),
                    never="that a tank that went well was kept better: the only difference is luck.",
                    place=place,
                )
            )
        return slides

    def who(self) -> list[Slide]:
        chasers = self.facts.chasers
        if chasers is None:
            self.left_out.append("No picture of who chases whom: there is one fish, and nobody to chase it.")
            return []
        if not chasers.rates.any():
            self.left_out.append("No picture of who chases whom: nobody chased anybody.")
            return []
        own = self.facts.watch if self.facts.watch in chasers.groups else REST
        told = []
        for j, chased in enumerate(chasers.groups):
            gets = [
                f"{times(chasers.rates[i, j])} from {chaser}"
                for i, chaser in enumerate(chasers.groups)
                if chasers.rates[i, j] > 0
            ]
            share = f"hides {10 * chasers.hidden[j]:.1f} of 10 hours"
            told.append(
                f"One of {chased} is chased, each hour, {', '.join(gets) if gets else 'by nobody'}; {share}."
            )
        slide = Slide(
            name="who-chases-whom",
            kind=WHO,
            title="Who chases whom",
            alt="A table of chases an hour, chasers in rows and chased in columns, model scale. "
            f"{' '.join(told)} {MODEL_FISH}",
            say=(
                "Read a column from top to bottom: that is what one fish of this kind gets in an hour.",
                *told,
                "Then the lowest line: who is hardly chased and hides all day is not at peace.",
            ),
            never="that a kind is \u201caggressive\u201d or \u201cpeaceful\u201d as such: this is this "
            "stock in this tank.",
        )
        return [self.hands("who", hands.about_chasers(chasers, self.mild, own=own)), slide]

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
            title=f"Why: {why.whom.name}",
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
        if len({scaled(one.pinned.hits, one.pinned.of) for one in answer.amounts if one.pinned.of}) < 2:
            self.left_out.append(
                "Not how much rock: whatever the amount that was tried, they are pinned as often."
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
