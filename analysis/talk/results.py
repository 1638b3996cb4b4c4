"""The slides that every talk has: the question, the answer in short, both camps, the changes, luck, who."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..document.plain import capital, tank_name
from . import hands
from .deck import Slide
from .facts import REST, SetUp
from .kinds import ANSWER, CAMPS, CHANGE, LUCK, SHORT, TITLE, WHO
from .lines import LOST_IS, MODEL_FISH, PINNED_IS, SHORT_WAYS, fares, verdict_line
from .maker import Maker
from .paging import pages_of
from .plain import in_tanks, shown, times


class Results(Maker):
    """What the tank as it is and its alternatives came to."""

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

    def short(self) -> list[Slide]:
        """The answer in a few lines, as every command gives it first."""
        lines = self.facts.lines
        if not lines:
            return []
        return [
            Slide(
                name="in-short",
                kind=SHORT,
                title="In short",
                alt=f"The tank as it is. {' '.join(lines)} {MODEL_FISH}",
                say=(
                    "For a room without time: read this slide, then go to the caveats.",
                    "For a room that is asked for its hands: skip it now and come back to it at the end.",
                    *lines,
                ),
                never="the percentages without saying of which swimming they are a part.",
            )
        ]

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
            why = "tank by tank there is room for the tank as it is and the best change alone"
            self.left_out.append(f"On the slide of before and after only, since {why}: {'; '.join(rest)}.")
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
