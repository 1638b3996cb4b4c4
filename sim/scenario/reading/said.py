"""What an alternative changes, in plain words: both unit systems, what was there named beside what is new."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from ..scenario import RockSpec, RunSpec, Scenario, StockRow, TankSpec
from ..stock_changes import Which
from ..timeline import say_days
from ..units import say_length_cm, say_temperature_c
from .limits import FIELDS

INSTEAD = "instead of"
SEX_OF = {"males": "male", "females": "female", "unsexed": "unsexed"}


def many(number: int, sex: str) -> str:
    """``"1 male"``, ``"3 females"``, ``"no unsexed fish"``."""
    what = "unsexed fish" if sex == "unsexed" else sex if number == 1 else f"{sex}s"
    return f"{number or 'no'} {what}"


def counts(numbers: Mapping[str, int]) -> str:
    """``"3 males, 13 females (2 of them holding)"``."""
    parts = [many(numbers[field], sex) for field, sex in SEX_OF.items() if numbers[field]]
    holding = f" ({numbers['holding']} of the females holding)" if numbers.get("holding") else ""
    return ", ".join(parts) + holding


def who(which: Which) -> str:
    """``"Tropheus moorii"``, ``"the males of Tropheus moorii"`` or ``"Tropheus moorii male 2"``."""
    if which.fish is not None:
        return f"{which.species} {which.fish}"
    those = "unsexed fish" if which.sex == "unsexed" else f"{which.sex}s"
    return which.species if which.sex is None else f"the {those} of {which.species}"


def removed(which: Which, numbers: Mapping[str, int]) -> str:
    """What is taken out; how many, where it is more than one named fish."""
    return f"without {who(which)}" + ("" if which.fish is not None else f" ({counts(numbers)})")


def recounted(species: str, before: Mapping[str, int], after: Mapping[str, int], asked: Iterable[str]) -> str:
    """``"Tropheus moorii: 1 male instead of 3, 2 holding as before"``."""
    parts = []
    for field in asked:
        new = many(after[field], SEX_OF[field]) if field in SEX_OF else f"{after[field] or 'none'} holding"
        same = after[field] == before[field]
        parts.append(f"{new} as before" if same else f"{new} {INSTEAD} {before[field] or 'none'}")
    return f"{species}: {', '.join(parts)}"


def replaced(which: Which, by: str, numbers: Mapping[str, int], length_cm: tuple[float, float] | None) -> str:
    """``"Tropheus moorii instead of Tropheus duboisi: 1 male, 3 females, length drawn at random"``."""
    return f"{by} {INSTEAD} {who(which)}: {counts(numbers)}, {lengths(length_cm)}"


def dated(
    which: Which, before: Sequence[StockRow], after: Sequence[StockRow], *, day: bool, out: bool
) -> str:
    """Days in and out of the rows of the chosen fish, beside those they had."""
    parts = []
    if day:
        parts.append("in on " + _instead([_day(row.day) for row in before], [_day(row.day) for row in after]))
    if out:
        ends = ([_day(row.out_day) for row in rows] for rows in (before, after))
        parts.append(f"taken out on {_instead(*ends)}".replace("on never", "never"))
    return f"{who(which)}: {', '.join(parts)}"


def added(row: StockRow) -> str:
    """What is added, when, and how long where it was said."""
    numbers = {"males": row.males, "females": row.females, "unsexed": row.unsexed, "holding": row.holding}
    end = "" if row.out_day is None else f", taken out on {_day(row.out_day)}"
    return f"{row.species}: {counts(numbers)} added, in on {_day(row.day)}{end}, {lengths(row.length_cm)}"


def tank(before: TankSpec, after: TankSpec) -> list[str]:
    """Every field of the tank that differs."""
    return _differences("tank", before, after)


def rock(before: RockSpec, after: RockSpec) -> list[str]:
    """Every field of the rock that differs; a sketch and a cover as a whole."""
    sketched = before.sketch is not None, after.sketch is not None
    if sketched == (True, True):
        lines = ["rock: another sketch"] if before.sketch != after.sketch else []
    elif sketched == (False, False):
        lines = _differences("rock", before, after, "cover", "height", "piles")
    else:
        lines = [f"rock: {_build(after)} {INSTEAD} {_build(before)}"]
    if lines and before.crevices and before.crevices == after.crevices:
        lines.append(f"rock: crevices {_listed(after.crevices)} as before")
    lines += _differences("rock", before, after, "piece_size", "sketch_step")
    if before.crevices != after.crevices:
        lines.append(f"rock: crevices {_listed(after.crevices)} {INSTEAD} {_listed(before.crevices)}")
    if before.objects != after.objects:
        lines.append(f"rock: objects {_objects(after.objects)} {INSTEAD} {_objects(before.objects)}")
    return lines


def events(before: Scenario, after: Scenario) -> list[str]:
    """Every event that differs, but those of the rows of stock: ``"rock: all taken out ... on day 2"``."""
    was, now = _dates(before), _dates(after)
    return [
        f"{about}: {_dated_deed(deed, was.get((about, deed), []), now.get((about, deed), []))}"
        for about, deed in dict.fromkeys([*now, *was])
        if was.get((about, deed)) != now.get((about, deed))
    ]


def _dates(scenario: Scenario) -> dict[tuple[str, str], list[str]]:
    """Days by what is done to whom."""
    found: dict[tuple[str, str], dict[str, list[float]]] = {}
    for one in sorted(scenario.events, key=lambda one: one.day):
        if (here := one.among(scenario.timeline.stays)) is not None:
            settling = "" if here.settle == type(here).settle else _SETTLING[here.settle]
            deed = here.deed if here.dated else _RULE
            found.setdefault((here.about, deed), {}).setdefault(settling, []).append(here.day)
    return {
        key: [say_days(days) + settling for settling, days in told.items()] for key, told in found.items()
    }


def _dated_deed(deed: str, was: Sequence[str], now: Sequence[str]) -> str:
    if deed == _RULE:
        return _RULE if now else f"no longer a {_RULE}"
    instead = f" {INSTEAD} {' and '.join(was)}" if was else ""
    return f"{deed} on {' and '.join(now)}{instead}" if now else f"no longer {deed} on {' and '.join(was)}"


_RULE = "rule of thumb"
_SETTLING = {True: " (the fish settle again)", False: " (measuring goes on)"}


def run(before: RunSpec, after: RunSpec) -> list[str]:
    """Every field of the run that differs, but what is watched."""
    lines = _differences("run", before, after, "days", "settle", "lit_hours", "controls")
    return [line.replace("run: lit hours", "run: lit hours a day") for line in lines]


def watched(before: str, after: str) -> str:
    """Which species is watched as the mild one."""
    return f"watched: {_instead([before], [after])}"


def _build(spec: RockSpec) -> str:
    if spec.sketch is not None:
        return f"a sketch of {len(spec.sketch)} rows"
    piles = f"{spec.piles} pile{'' if spec.piles == 1 else 's'}"
    return f"{_percent(spec.cover)} cover, {say_length_cm(spec.height_cm)} high, in {piles}"


def _differences(table: str, before: object, after: object, *keys: str) -> list[str]:
    """What differs of the declared fields of a table, or of those with the keys."""
    lines = []
    for field in FIELDS:
        if field.table == table and field.of and (not keys or field.key in keys):
            was, now, say = getattr(before, field.of), getattr(after, field.of), _SAY.get(field.kind, _number)
            if was != now:
                lines.append(f"{table}: {field.key.replace('_', ' ')} {say(now)} {INSTEAD} {say(was)}")
    return lines


def _instead(before: Sequence[str], after: Sequence[str]) -> str:
    was, now = " and ".join(dict.fromkeys(before)), " and ".join(dict.fromkeys(after))
    return f"{now} as before" if was == now else f"{now} {INSTEAD} {was}"


def _day(day: float | None) -> str:
    return "never" if day is None else f"day {day:g}"


def lengths(ends: tuple[float, float] | None) -> str:
    """``"8 cm (3.1 in) to 10 cm (3.9 in) long"``, or that the length is drawn."""
    if ends is None:
        return "length drawn at random"
    low, high = (say_length_cm(end) for end in ends)
    return f"{low} long" if low == high else f"{low} to {high} long"


def _percent(share: float) -> str:
    return f"{100.0 * share:g} %"


def _switch(is_on: bool) -> str:
    return "on" if is_on else "off"


def _listed(crevices: Sequence[object] | None) -> str:
    return "drawn" if crevices is None else f"{len(crevices)} listed"


def _number(value: float) -> str:
    return f"{value:g}"


def _objects(things: Sequence[Any]) -> str:
    return ", ".join(f"{one.kind} at {say_length_cm(one.x_cm)} from the left" for one in things) or "none"


_SAY: Mapping[str, Callable[[Any], str]] = {
    "length": say_length_cm,
    "temperature": say_temperature_c,
    "share": _percent,
    "yes": _switch,
}
