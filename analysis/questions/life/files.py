"""A life as files: the answer for programs, and a row for each tank, measured day and kind of fish."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

import numpy as np

from ....sim.run.trials import recipe
from ...document.files import plain
from ...document.typed import as_typed
from ...measures.registry import PINNED_FISH
from ...statistics.intervals import CONFIDENCE
from ...study import dictionary
from . import deeds
from .answer import Answer
from .brief import brief_of
from .months import lost_of
from .trouble import DEFINED
from .who import Stretches

JSON, CSV, PNG = "life.json", "life.csv", "life.png"
WEEKS_CSV, WHO_CSV = "weeks.csv", "who.csv"
_WEEK = {"week": ("", "number of the week, counted from 1; the last one ends with the life")}
COLUMNS: dictionary.Columns = {
    **dictionary.TRIAL,
    "day": ("days", "the measured day, counted from 0"),
    "from_day": ("days", "from when on it stands for the time until the next measured day"),
    "fish": ("", "fish that the stock list describes alike"),
    "there": ("fish", "how many of them were in the tank on that day"),
    "adult": ("fish", "how many of these were mature"),
    "length_tl_cm": ("cm", "their mean total length"),
    "condition": ("", "what they have got to eat of late, mean: 0 nothing, 1 their share"),
    "lost_share_of_free_swimming_if_left_alone": dictionary.LOST,
    "pinned": ("fish", "how many of them were pinned to one place on that day"),
    "holding_ground_share": ("share of the day", "how much of it one of them held ground, mean"),
    "goes_wrong_on": (
        "days",
        "of the fish told of: when it goes wrong in this simulated tank; empty: it does not",
    ),
}
WEEKS: dictionary.Columns = {
    **_WEEK,
    "fish": ("", "fish that the stock list describes alike"),
    "lost_share_of_free_swimming_if_left_alone": dictionary.LOST,
}
WHO: dictionary.Columns = {
    **_WEEK,
    "fish": ("", "one sex of a species, as unsexed fish turned out"),
    "by": ("", "one sex of a species; empty: the row is of the ground that the fish hold"),
    "chases_per_fish_and_lit_hour_model_scale": ("chases", "what each of the fish gets from these"),
    "holding_ground_share": ("share of the day", "how much of it one of the fish holds ground"),
    "holding_most_share_of_tanks": (
        "share of tanks",
        "in which the fish that holds most ground is one of them",
    ),
}


def whole_json(found: Answer, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy life --json`` prints; ``options``: what changed the scenario, as typed."""
    plan = found.plan
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "title": plan.scenario.title,
        "question": plan.scenario.question,
        "first_lines": list(as_typed(brief_of(found), plan.scenario).sentences[1:]),
        "months_lived": plan.months,
        "days_lived": plan.days,
        "for": {
            "name": found.worst.name,
            "fish": list(found.worst.labels),
            "why": found.whom.why,
            "beside": found.whom.beside,
        },
        "dated": [{"day": one.day, "what": one.words()} for one in found.dates],
        "lost_over_all_months": plain(found.lost),
        "months": [
            {
                "month": one.number,
                "lost_share_of_free_swimming_if_left_alone": plain(one.lost),
                "share_of_tanks_with_a_pinned_fish": plain(one.pinned),
            }
            for one in found.months
        ],
        "first_month": found.first,
        "worst_month": found.turn,
        "lost_more_in_the_worst_month_than_in_the_first": plain(found.turned),
        "lost_more_in_the_last_month_than_in_the_first": plain(found.moved),
        "way": found.way,
        "goes_wrong": _trouble(found),
        "chases_they_get": plain(found.givers),
        "lost_more_with_the_dated_changes": plain(found.dated),
        "first_thing_to_do": plain(found.to_do),
        "rules_of_thumb": plain(deeds.rules_of(found)),
        "sizes": plain(found.sizes),
        "unsexed": plain(found.unsexed),
        "by_month": plain(found.monthly),
        "by_week": {
            **_tree(found.weekly),
            "lost_share_of_free_swimming_if_left_alone": plain(found.lost_weekly),
        },
        "trials": len(found.lives),
        "trials_asked": plan.trials,
        "simulated_tanks": found.tanks,
        "fixed": plan.fixed,
        "stopped": found.stopped,
        "recipe": recipe(plan.scenario),
    }


def _tree(found: Stretches) -> dict[str, object]:
    told = plain(found)
    assert isinstance(told, dict)
    return told


def _trouble(found: Answer) -> dict[str, object]:
    trouble = found.trouble
    return {
        "means": DEFINED,
        "tanks_by_month": plain(trouble.by_month),
        "from_the_first_day": trouble.at_once,
        "in_half_of_the_tanks_by_day": trouble.half_d,
        "tanks_that_the_fish_left_before": trouble.left,
        "first_sign": plain(trouble.first_sign),
        "what_came_before": plain(trouble.signs),
        "tanks": plain(trouble.onsets),
    }


def weeks_text(found: Answer) -> str:
    """One line a week and kind of fish: means over the tanks."""
    weeks = ((name, k, lost) for name, by in found.lost_weekly.items() for k, lost in enumerate(by))
    return dictionary.csv_text(WEEKS, ((k + 1, name, lost) for name, k, lost in weeks))


def who_text(found: Answer) -> str:
    """One line a week and sex of a species that holds ground, or that another one chases."""

    def rows() -> Iterator[Sequence[object]]:
        for own in found.weekly.ground:
            for k, (held, most) in enumerate(zip(own.holds, own.holds_most, strict=True)):
                yield k + 1, own.part.name, "", "", held, most
        for pair in found.weekly.chased:
            for k, rate in enumerate(pair.an_hour):
                yield k + 1, pair.of.name, pair.by.name, rate, "", ""

    return dictionary.csv_text(WHO, rows())


def further(found: Answer) -> tuple[tuple[str, Callable[[], str], dictionary.Columns], ...]:
    """The other tables, each by its file, what makes its text and its columns."""
    told = ((WEEKS_CSV, partial(weeks_text, found), WEEKS), (WHO_CSV, partial(who_text, found), WHO))
    done = ((deeds.CSV, partial(deeds.deeds_text, found), deeds.COLUMNS),)
    return told + done if any(life.done for life in found.lives) else told


def rows_text(found: Answer) -> str:
    """One line a simulated tank, measured day and kind of fish that is in the tank then."""

    wrong = {one.trial: one.day for one in found.trouble.onsets}

    def rows() -> Iterator[Sequence[object]]:
        for life in found.lives:
            for k, row in enumerate(life.rows):
                one_day = np.zeros((1, len(life.rows)))
                one_day[0, k] = 1.0
                for kind in found.plan.kinds:
                    who = row.of(kind.labels)
                    if not who.any():
                        continue
                    yield (
                        *(life.trial, life.draw, int(life.day[k]), int(life.since[k]), kind.name),
                        *(int(who.sum()), int(life.adult[k, who].sum())),
                        float(life.length_cm[k, who].mean()),
                        float(life.condition[k, who].mean()),
                        float(lost_of(life, kind.labels, one_day)[0]),
                        int(row.parts[PINNED_FISH].top[who].sum()),
                        float(life.owner[k, who].mean()),
                        _empty(wrong[life.trial]) if kind.name == found.worst.name else "",
                    )

    return dictionary.csv_text(COLUMNS, rows())


def _empty(value: int | None) -> int | str:
    return "" if value is None else value
