"""The [run] and [parameters] tables."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ..hints import hint_at
from ..scenario import RunSpec
from ..stock_changes import ChangeError
from . import limits
from .problems import OwnWords, Shown
from .tables import Table

if TYPE_CHECKING:
    from ...rules.support.parameters import Parameter


BEYOND = 10.0  # a parameter this many times outside the range believed is a slip of the pen
_NEVER_ZERO_UNITS = ("s", "d", "h", "lit h", "radii", "rivals at its side")  # what is divided by
_NEVER_ZERO = ("let_be_odds", "persistence_cm", "sight_cm", "reach_lengths", "q10")


def read_run(table: Table, *, resolve: Callable[[str], str | None], stocked: Collection[str]) -> RunSpec:
    """How long, how often, what to watch.

    ``resolve`` gives the key of a species from any of its names, ``stocked`` are the keys of the stock.
    """
    spec = RunSpec(**table.part("settle", "watch"))
    settle = table.amount("settle", default=min(RunSpec.settle_days, spec.days / 2.0))
    if (spec.days - settle) * spec.lit_hours < limits.LEAST_MEASURED_H - 1e-9:
        left = f"days and settle that leave at least {limits.LEAST_MEASURED_H:g} lit hour to measure"
        table.problem("settle" if "settle" in table else "days", allowed=left)
    if spec.guesses is not None and spec.guesses > spec.trials:
        table.problem("guesses", allowed=f"at most the number of trials, {spec.trials}")
    watch = _read_watch(table, resolve, stocked)
    table.close()
    return replace(spec, settle_days=settle, watch=watch)


def _read_watch(table: Table, resolve: Callable[[str], str | None], stocked: Collection[str]) -> str | None:
    if "watch" not in table:
        return None
    name = table.text("watch", default=None, longest=limits.LONGEST_NAME)
    key = resolve(name)
    if key in stocked:
        return key
    if name:
        allowed = "a species of the stock" + (f": {', '.join(sorted(stocked))}" if stocked else "")
        table.problem("watch", allowed=allowed, nearest=hint_at(name, stocked))
    return None


def read_parameters(table: Table, known: Callable[[], Mapping[str, Parameter]]) -> dict[str, float]:
    """Overrides of the rules' parameters by name; ``known`` is asked only when there are any."""
    given = dict(_flat(table.values))
    if not given:
        return {}
    parameters = known()
    values: dict[str, float] = {}
    for parts, value in given.items():
        name = ".".join(parts)
        place = (*table.at, *parts)
        if name not in parameters:
            near = hint_at(name, parameters)
            found = OwnWords("there is no such parameter")
            table.book.add(place, found=found, allowed="a name from parameters.toml", nearest=near)
            continue
        bounds = _bounds(name, parameters[name])
        if isinstance(value, int | float) and not isinstance(value, bool) and bounds.holds(value):
            values[name] = float(value)
        else:
            table.book.add(place, found=value, allowed=bounds.say())
    return values


def _bounds(name: str, known: Parameter) -> limits.Limit:
    """Ten times beyond what is believed; 0 switches an effect off, except where it is divided by."""
    is_share = known.unit in ("1", "0..1") and known.high <= 1.0
    never_zero = known.unit in _NEVER_ZERO_UNITS or name in _NEVER_ZERO
    return limits.Limit(
        low=known.low / BEYOND if never_zero else 0.0,
        high=1.0 if is_share else known.high * BEYOND,
        kind="number",
    )


def _flat(values: Mapping[str, object], before: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], object]]:
    """Nested tables as dotted names: TOML reads ``contest.size = 1`` as a table in a table."""
    found: list[tuple[tuple[str, ...], object]] = []
    for key, value in values.items():
        if isinstance(value, Mapping):
            found += _flat(value, (*before, key))
        else:
            found.append(((*before, key), value))
    return found


def of_days(run: RunSpec, days: float) -> RunSpec:
    """A run of another length; where that leaves less than it settles, half of it settles.

    Raises ChangeError when what is left to measure is too short.
    """
    settle = min(run.settle_days, days / 2.0)
    least = limits.LEAST_MEASURED_H
    if (days - settle) * run.lit_hours < least - 1e-9:
        left = f"so that {least:g} lit hour is left to measure after half of it to settle"
        raise ChangeError("days", Shown(f"{days:g}"), f"at least {2.0 * least / run.lit_hours:g}, {left}")
    return replace(run, days=days, settle_days=settle)
