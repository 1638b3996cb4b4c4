"""The best a wish list allows as files: the answer for programs, a row a plan, tank and group of fish."""

from __future__ import annotations

from collections.abc import Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...statistics.intervals import CONFIDENCE, DRAW_PERCENTILES
from ...study import dictionary
from .answer import Best, Tried
from .brief import brief_of
from .design import FRESH, PROOF
from .said import group_said, laid, missed, stock_briefly, stock_said

JSON, CSV, PNG = "best.json", "best.csv", "best.png"
COLUMNS: dictionary.Columns = {
    "plan": ("", "number of the plan, counted from 1 in the order in which they were first run"),
    "stock": ("", "what is bought, beside the fish that are there"),
    "rock": ("", "the layout of the rock"),
    "tank_length_cm": ("cm", "length of the tank of the plan"),
    "fish": ("fish", "in the tank, those that are there already counted"),
    "species": ("species", "in the tank"),
    "money": ("as the file counts it", "what fish, rock and tank cost; empty where nothing has a price"),
    "rock_low_kg": ("kg", "lowest weight of the rock as limestone, dry"),
    "rock_high_kg": ("kg", "highest weight of the rock as limestone, dry"),
    "used_for": ("", "what the simulated tank decided: sifting, sharing out, or nothing (proof)"),
    **dictionary.TRIAL,
    "group": ("", "fish of one species and sex"),
    "kept_share": ("share", "of the free swimming they would have if left alone, what is kept"),
}


def whole_json(found: Best, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy best --json`` prints; ``options``: what changed the scenario, as typed."""
    plan = found.plan
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "guess_percentiles": list(DRAW_PERCENTILES),
        "title": plan.scenario.title,
        "question": plan.scenario.question,
        "lines": list(brief_of(found).sentences),
        "missed": missed(found),
        "wanted": _wanted(found),
        "front": [_told(found, one) for one in found.front],
        "cannot_be_told_apart": [one.place + 1 for one in found.as_good],
        "together_hold_the_best": plain(found.held),
        "short_of_the_best_word": None if found.short is None else found.short.place + 1,
        "without_limits": plain(found.loosened),
        "tried": [_told(found, one) for one in found.tried],
        "foretold_error": plain(found.error),
        "foretold_share": plain(found.told),
        "simulated_tanks": found.tanks,
        "stopped": found.stopped,
        "order_over_weeks": plain(found.order),
        "recipe": recipe(plan.scenario),
    }


def _wanted(found: Best) -> object:
    told = plain(found.plan.wanted)
    assert isinstance(told, dict)
    return {key: value for key, value in told.items() if key != "kinds"}


def _told(found: Best, one: Tried) -> dict[str, object]:
    return {
        "plan": one.place + 1,
        "stock": stock_said(found, one),
        "briefly": stock_briefly(found, one),
        "rock": laid(one) if found.plan.space.is_laid else "as it is",
        "layout": plain(one.layout),
        "tank_cm": plain(found.plan.space.tanks[one.stocking.tank]),
        "fish": one.fish,
        "species": one.species,
        "money": plain(one.money),
        "rock_kg": plain(one.rock_kg),
        "worst_off": group_said(one.worst),
        "word": one.plight,
        "kept": plain(one.kept),
        "groups": {group_said(group): plain(kept) for group, kept in one.others},
        "figures_from": one.stage,
        "won": list(one.levels),
        "chance_to_be_best": plain(one.chance),
        "tanks": len(one.trials),
    }


def rows_text(found: Best) -> str:
    """One line a plan, simulated tank and group of fish."""
    work, space = found.work, found.plan.space
    rows = []
    for one in sorted(found.tried, key=lambda one: one.place):
        told = (
            one.place + 1,
            stock_said(found, one),
            laid(one) if space.is_laid else "as it is",
            space.tanks[one.stocking.tank].length_cm,
            one.fish,
            one.species,
            one.money,
            *one.rock_kg,
        )
        for trial in work.trials_of(one.place, before=10 * PROOF):
            used = "sifting" if trial < FRESH else "sharing out" if trial < PROOF else "proof"
            kept = work.kept(1 + one.place, [trial])
            for group, values in kept.items():
                draw = int(work.draws([trial])[0])
                rows.append((*told, used, trial, draw, group_said(group), float(values[0])))
    return dictionary.csv_text(COLUMNS, rows)
