"""Which guesses decide the answer, as files: the answer for programs, and a row for each guess and answer."""

from __future__ import annotations

from collections.abc import Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...statistics.intervals import CONFIDENCE
from ...study import dictionary
from .answer import Answer, Study
from .indices import Share
from .inputs import Guess
from .watch import to_watch, to_write
from .words import OF, rest_name

JSON, CSV = "guesses.json", "guesses.csv"
_SHARES = {
    "first_order": "of the spread of the answer between guesses, what this one decides alone",
    "total": "the same with all that it decides together with others",
}
COLUMNS: dictionary.Columns = {
    "answer": ("", "which figure of the answer"),
    "guess": ("", "what nobody has measured: a parameter, a trait of a species, or all others together"),
    **{
        f"{name}{end}": ("share of variance", f"{what}{said}")
        for name, what in _SHARES.items()
        for end, said in (("", ""), ("_low", "; low end, 95 %"), ("_high", "; high end, 95 %"))
    },
}


def whole_json(found: Study, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy guesses --json`` prints; ``options``: what changed the scenario, as typed."""
    plan = found.plan
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "title": plan.scenario.title,
        "question": plan.scenario.question,
        "for": {"name": found.whom.name, "fish": list(found.whom.labels), "why": found.whom.why},
        "guesses": len(plan.guesses),
        "kept": [_draw(one) for one in found.kept],
        "others": [{**_draw(one), "effect_seen": one in found.unfollowed} for one in found.others],
        "answers": [_answer(found, one) for one in found.answers],
        "screening": {
            "points": found.screening.points,
            "level": found.screening.level,
            "answers": [
                {
                    "of": goal,
                    "guesses": [
                        {
                            "name": plan.guesses[one.draw].name,
                            "share_explained": plain(one.share),
                            "p": plain(one.p),
                            "seen": one.is_seen,
                        }
                        for one in rows
                    ],
                }
                for goal, rows in zip(found.screened_goals, found.screening.by_answer, strict=True)
            ],
        },
        "rows": found.rows,
        "rows_asked": plan.rows,
        "tanks_a_point": plan.trials,
        "simulated_tanks": found.tanks,
        "without_effect_when_nobody_attacks": list(found.same_alone),
        "stopped": found.stopped,
        "recipe": recipe(plan.scenario),
    }


def _draw(one: Guess) -> dict[str, object]:
    return {
        "name": one.name,
        "species": one.species,
        "inputs": plain(one.inputs),
        "watch": to_watch(one),
        "write": list(to_write(one)),
    }


def _answer(found: Study, one: Answer) -> dict[str, object]:
    told: dict[str, object] = {"of": one.goal, "name": OF[one.goal], "why_not": one.why}
    if one.shares is None:
        return told
    shares = one.shares
    return told | {
        "mean": shares.mean,
        "percentiles_5_95": list(shares.span),
        "variance_over_guesses": shares.variance,
        "luck_of_one_tank": plain(shares.luck_of_trial),
        "luck_of_a_point": plain(shares.luck_of_point),
        "sum_of_first_order": shares.alone,
        "shares": [
            {"name": name, **_share(share)} for name, share in zip(names(found), shares.shares, strict=True)
        ],
    }


def _share(one: Share) -> dict[str, object]:
    return {
        "first_order": one.first,
        "first_order_interval": plain(one.first_interval),
        "total": one.total,
        "total_interval": plain(one.total_interval),
    }


def names(found: Study) -> list[str]:
    """Names of the shares of every answer, in their order."""
    return [one.name for one in found.kept] + ([rest_name(found)] if found.others else [])


def rows_text(found: Study) -> str:
    """One line a guess and answer."""
    rows = (
        (OF[one.goal], name, share.first, *share.first_interval, share.total, *share.total_interval)
        for one in found.answers
        if one.shares is not None
        for name, share in zip(names(found), one.shares.shares, strict=True)
    )
    return dictionary.csv_text(COLUMNS, rows)
