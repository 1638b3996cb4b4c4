"""What the page shows of a draft: plain values, whatever the text is.

Numbers and sentences are those of the command line (:mod:`rockshy.analysis.questions.check.understood`,
``flags``, ``cautions``); here they are put beside what they concern.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ....sim.scenario.reading import Problem, ScenarioError
from ....sim.scenario.reading.problems import printable
from ....sim.scenario.scenario import Scenario
from ...asking.units_asked import asked_units
from ...document import as_json
from ...document.brief import Brief
from ...document.cautions import cautions
from ...document.plain import capital
from ...document.typed import as_typed
from ...questions.check import flags, understood
from ...questions.check.drawn import DrawnTanks
from ...questions.check.stocked import fish_sentences
from ...questions.life.reach import months_in, shown_days
from ...questions.sources.source_counts import cited
from ..task import Draft
from .drawn import Laid, drawn_few
from .events import events_told
from .fields import NAME, field_of, fields_of, told
from .read import alone, copies_of, list_rows, names_of, scenario_of, shown, values_of
from .rock import rock_told
from .species import traits_told
from .stock import checked_rows, listed_rows, spellings, written_rows

AS_IS = "the tank as it is"  # the name of the tank beside its copies

__all__ = ["AS_IS", "scenario_of", "view_of"]


def view_of(draft: Draft, which: int) -> dict[str, Any]:
    """The view of a draft as plain values: fields, rock, stock, checks, flags, cautions, copies.

    Where something is wrong ``good`` is false, checks and flags are empty, and each problem stands at its
    field or row, or in ``problems``.
    ``which``: 0 for the tank as it is, k for its k-th copy; where there is none, 0.
    """
    values = values_of(draft.text)
    copies = copies_of(values or {})
    which = which if 0 < which <= len(copies) else 0
    scenario: Scenario | None = None
    problems: Sequence[Problem] = ()
    more = ""
    try:
        scenario = scenario_of(draft)
    except ScenarioError as error:
        problems, more = error.problems, error.more
    view = _written(draft, values or {}, which, scenario)
    _place(view, problems, which)
    view["problems"] += filter(None, [more])
    return view | _judged(scenario, which)


def _written(draft: Draft, values: Mapping[str, Any], which: int, base: Scenario | None) -> dict[str, Any]:
    """What stands in the file, and what it comes to where nothing is wrong."""
    copies = copies_of(values)
    own = values if which == 0 else copies[which - 1]
    one = _copy_alone(draft, values, which) if base is None else shown(base, which)
    fields = fields_of(values, own, name=draft.name, which=which, base=base, scenario=one)
    names = [_name(row, k) for k, row in enumerate(copies, 1)]
    if which:
        fields[NAME] = _name_field(own)
    return {
        "good": base is not None,
        "which": which,
        "names": [AS_IS, *names],
        "title": printable(str(fields["title"]["value"] or fields["title"]["standard"])),
        "problems": [],
        "fields": fields,
        "rock": rock_told(values, own, one),
        "stock": _stock(draft, values, which, one),
        "stock_from_list": "stock_list" in values,
        "empty": bool(values) and not values.get("stock") and "stock_list" not in values,
        "events": events_told(own, which, one, lambda text: text if one is None else _called(text, one)),
        "traits": traits_told(values),
        "copies": [
            {"name": name, "changes": list(base.alternatives[k].changes) if base is not None else []}
            for k, name in enumerate(names)
        ],
    }


def _copy_alone(draft: Draft, values: Mapping[str, Any], which: int) -> Scenario | None:
    """A copy where nothing is wrong but with other copies."""
    try:
        return shown(alone(draft, values, which), 1) if which else None
    except (ValueError, RecursionError):
        return None


def _name(row: Mapping[str, Any], number: int) -> str:
    name = row.get("name")
    return printable(" ".join(name.split())) if isinstance(name, str) and name.strip() else f"copy {number}"


def _name_field(own: Mapping[str, Any]) -> dict[str, Any]:
    written = told(own.get("name"))
    return {**field_of(written, written, None, own=True), "kind": "text"}


def _stock(
    draft: Draft, values: Mapping[str, Any], which: int, scenario: Scenario | None
) -> list[dict[str, Any]]:
    names = names_of(values)
    if which and scenario is not None:
        return checked_rows(scenario.stock, names, spellings(values))
    listed = list_rows(draft, values)
    return written_rows(values.get("stock"), names) if listed is None else listed_rows(listed[0], names)


# ---- problems


def _place(view: dict[str, Any], problems: Sequence[Problem], which: int) -> None:
    """Put each problem at its field or row, or among those of the whole file."""
    rows = {row["row"]: row for row in view["stock"]}
    for one in problems:
        place, mine = _shown_place(one, which)
        name = ".".join(str(part) for part in place[:2])
        if view["empty"] and place == ("stock",):
            continue  # a tank without fish yet is nothing wrong; the page asks for the first
        if one.file or not mine or not place:
            view["problems"].append(str(one))
        elif name in view["fields"]:
            view["fields"][name]["problems"].append(one.said)
        elif place[:1] == ("name",) and which:
            view["fields"][NAME]["problems"].append(one.said)
        elif place[0] == "stock" and len(place) == 3 and place[1] in rows and not which:
            rows[place[1]]["problems"].setdefault(str(place[2]), []).append(one.said)
        else:
            view["problems"].append(str(one))


def _shown_place(one: Problem, which: int) -> tuple[tuple[str | int, ...], bool]:
    """The place of a problem within the table that is shown, and whether it lies there."""
    if one.place[:1] != ("alternative",):
        inherited = which and one.place[:1] in (("stock",), ("tank",), ("rock",))
        return one.place, not inherited
    return one.place[2:], bool(which) and one.place[1:2] == (which - 1,)


# ---- what is said of it


def _judged(base: Scenario | None, which: int) -> dict[str, Any]:
    """Checks, flags and cautions; nothing where the file has problems, since they would be of no tank."""
    if base is None:
        nothing: dict[str, Any] = {part: [] for part in ("flags", "cautions", "sources")}
        return {"checks": {part: [] for part in _PARTS}, "time": None, **nothing}
    scenario = shown(base, which)
    drawn = drawn_few(Laid.of(scenario))
    found = list(_flags(scenario, drawn))
    return {
        "checks": {
            "tank": as_json(understood.tank_sentences(scenario, drawn)),
            "rock": as_json(understood.rock_sentences(scenario, drawn)),
            "fish": as_json([*fish_sentences(scenario, drawn), *understood.own_values(scenario)]),
            "run": as_json([*understood.run_sentences(scenario), understood.limits_sentence(scenario)]),
        },
        "flags": [{"about": about, "text": one.text, "rests_on": one.rests_on} for about, one in found],
        "cautions": [{"about": one.about, "text": one.text} for one in cautions(scenario)],
        "sources": cited(one.rests_on for _, one in found),
        "time": _time(scenario),
    }


def _time(scenario: Scenario) -> dict[str, Any]:
    """The days of a run, from which day on is measured, and what happens on which day."""
    months = months_in(scenario)  # that it is lived through in blocks of days; None: day after day
    told: dict[tuple[float, str], None] = {
        (one.day, _called(one.words(), scenario)): None for one in scenario.timeline.events
    }
    return {
        "days": shown_days(scenario),
        "months": months,
        "measured_from": scenario.measured_days[0] if months is None else 0.0,
        "events": [{"day": day, "text": text} for day, text in told],
    }


def _called(text: str, scenario: Scenario) -> str:
    """A sentence with its fish called as they were typed."""
    return as_typed(Brief("", text), scenario).verdict


def _unit_flags(scenario: Scenario) -> Iterator[flags.Flag]:
    """Bare sizes beside inches are asked about."""
    if asked := asked_units(scenario):
        yield flags.Flag(capital(asked), "read from the file")


_PARTS = ("tank", "rock", "fish", "run")


def _flags(scenario: Scenario, drawn: DrawnTanks) -> Iterator[tuple[str, flags.Flag]]:
    """Every flag with the part of the page that it concerns."""
    groups = (
        (*_unit_flags(scenario), *flags.water_flags(scenario), *flags.length_flags(scenario)),
        flags.rock_flags(scenario, drawn),
        itertools.chain(*(of(scenario) for of in flags.OF_FISH)),
        flags.date_flags(scenario),
    )
    for about, found in zip(_PARTS, groups, strict=True):
        for one in found:
            yield about, one
