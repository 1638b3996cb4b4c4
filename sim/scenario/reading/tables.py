"""One TOML table being read: each accessor checks one key, notes what is wrong and lets reading go on."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from .. import units
from ..hints import Hint, hint_at
from .limits import DECLARED, FIELDS, LIMITS, NEEDED, TOP_KEYS, Field, Limit
from .problems import NOTHING, Book, OwnWords, Place, Shown, printable, show

_READ: Mapping[str, Callable[[object], float]] = {
    "length": units.length_cm,
    "temperature": units.temperature_c,
    "volume": units.volume_l,
    "weight": units.weight_kg,
    "time": units.time_d,
}


class Table:
    """A table of the file at ``place``; problems go to ``book``.

    Accessors return the default (that of the declared field, unless another is given) when the key is
    absent, note a problem when it is absent without a default, and return nan (or the default) for a bad
    value: comparisons with nan are false, so one mistake does not breed others. ``close`` then reports
    unknown keys.
    ``like`` names the table whose limits hold where it is not the one at ``place``.
    """

    def __init__(
        self, values: Mapping[str, object], *, place: Place, book: Book, like: str | None = None
    ) -> None:
        self.values = values
        self.at = place
        self.book = book
        self.like = like
        self.known: list[str] = []

    def __contains__(self, key: str) -> bool:
        self._know(key)
        return key in self.values

    def raw(self, key: str) -> object:
        """The unchecked value; None when absent."""
        self._know(key)
        return self.values.get(key)

    def problem(self, key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        """Note a problem with a key; what stands there is shown unless ``found`` is given."""
        shown = self.values.get(key, NOTHING) if found is None else found
        self.book.add((*self.at, key), found=shown, allowed=allowed, nearest=nearest)

    def amount(self, key: str, *, default: float | None = None, limit: Limit | None = None) -> float:
        """A quantity or number within its limit, in cm, C, L or as it stands; nan when bad."""
        bounds = limit or self._limit(key)
        if key not in self:
            standard = self._standard(key) if default is None and limit is None else default
            if standard is None:
                self.problem(key, allowed=bounds.say())
                return math.nan
            return float(standard)
        try:
            value = read_amount(self.values[key], bounds)
        except units.UnitError as error:
            self.problem(key, allowed=error.allowed, nearest=error.hint)
            return math.nan
        if not bounds.holds(value):
            self.problem(key, allowed=bounds.say(), found=_with_reading(self.values[key], value, bounds))
            return math.nan
        return value

    def part(self, *others: str) -> dict[str, Any]:
        """All declared fields of the table that become a part of a scenario, by their names there.

        Fields that other fields decide are None when absent. ``others`` are keys that are read otherwise.
        """
        fields = [one for one in FIELDS if one.table == self._table and one.of and one.key not in others]
        return {one.of: self._value(one) for one in fields}

    def _value(self, field: Field) -> Any:
        if field.default is None and field.key not in self:
            return None
        if field.kind == "yes":
            return self.flag(field.key)
        return self.whole(field.key) if field.kind == "whole" else self.amount(field.key)

    def at_most(self, key: str, value: float, most: float, why: str) -> bool:
        """Note a problem when a length read from ``key`` exceeds another of the file."""
        if value <= most or math.isnan(value) or math.isnan(most):
            return True
        self.problem(key, allowed=f"at most {units.say_length_cm(most)}, {why}")
        return False

    def whole(self, key: str, *, default: int | None = None) -> int:
        """A whole number within its limit; the default when absent or bad."""
        bounds = self._limit(key)
        default = self._standard(key) if default is None else default
        value: Any = self.values.get(key, default) if key in self else default
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if is_number and bounds.holds(value) and value == int(value):
            return int(value)
        self.problem(key, allowed=bounds.say())
        return default

    def flag(self, key: str) -> bool:
        """true or false."""
        default = bool(self._standard(key))
        value = self.values.get(key, default) if key in self else default
        if isinstance(value, bool):
            return value
        self.problem(key, allowed="true or false")
        return default

    def text(self, key: str, *, default: str | None, longest: int) -> str:
        """Text of at most ``longest`` characters, blanks run together; "" when bad."""
        allowed = f"text of 1 to {longest} characters in quotation marks"
        if key not in self and default is not None:
            return default
        value = self.values.get(key)
        if isinstance(value, str) and value.strip() and len(value) <= longest:
            return printable(" ".join(value.split()))
        if value == "" and default is not None:
            return default
        self.problem(key, allowed=allowed)
        return ""

    def word(self, key: str, *, choices: Sequence[str]) -> str:
        """One word of a list, letter case ignored; the first when bad."""
        self._know(key)
        value = self.values.get(key)
        for choice in choices:
            if isinstance(value, str) and value.strip().lower() == choice.lower():
                return choice
        near = hint_at(value, choices) if isinstance(value, str) else ""
        self.problem(key, allowed=one_of(choices), nearest=near)
        return choices[0]

    def table(self, key: str) -> Table:
        """The table under a key; an empty one when absent or not a table."""
        self._know(key)
        value = self.values.get(key, {})
        if not isinstance(value, Mapping):
            self.problem(key, allowed=f"a table that begins with the line [{self._name(key)}]")
            value = {}
        return self._inner(value, (*self.at, key), key)

    def rows(self, key: str) -> list[Table]:
        """The tables of a ``[[key]]`` list."""
        self._know(key)
        value = self.values.get(key, [])
        allowed = f"tables that each begin with the line [[{self._name(key)}]]"
        if not isinstance(value, list):
            self.problem(key, allowed=allowed, nearest=f"[[{self._name(key)}]]")
            return []
        tables = []
        for number, row in enumerate(value):
            place = (*self.at, key, number)
            if isinstance(row, Mapping):
                tables.append(self._inner(row, place, key))
            else:
                self.book.add(place, found=row, allowed=allowed)
        return tables

    def _inner(self, values: Mapping[str, object], place: Place, key: str) -> Table:
        like = None if self.like is None else f"{self.like}.{key}"
        return Table(values, place=place, book=self.book, like=like)

    def close(self, *, home: Callable[[str], str] | None = None) -> None:
        """Report every key that nobody asked for; ``home`` says where it belongs, "" where nowhere."""
        home = home or _home_of
        for key in self.values:
            if key in self.known:
                continue
            self.problem(
                key,
                found=OwnWords("there is no such field"),
                allowed=one_of(self.known) if self.known else "none here",
                nearest=home(key) or hint_at(key, tuple(self.known)),
            )
        self.known += self.values  # each is told once

    def _know(self, key: str) -> None:
        if key not in self.known:
            self.known.append(key)

    def _name(self, *key: str) -> str:
        return ".".join(part for part in (*self.at, *key) if isinstance(part, str))

    @property
    def _table(self) -> str:
        """The table whose fields are declared."""
        return self._name() if self.like is None else self.like

    def _declared(self, key: str) -> Field:
        return DECLARED[f"{self._table}.{key}".removeprefix(".")]

    def _limit(self, key: str) -> Limit:
        limit = self._declared(key).limit
        assert limit is not None, "only numbers and texts are read within limits"
        return limit

    def _standard(self, key: str) -> Any:
        """The default that is declared; None where there is none."""
        default = self._declared(key).default
        return None if default is NEEDED else default


def read_amount(value: object, limit: Limit) -> float:
    """A value read as the kind of its limit; raises UnitError. The limit itself is not tested."""
    if limit.kind == "share":
        return _read_share(value, limit)
    if limit.kind in _READ:
        return _READ[limit.kind](value)
    if isinstance(value, str):  # numbers without a unit are written bare
        raise units.UnitError(limit.say())
    return _read_number(value, limit)


def one_of(names: Sequence[str]) -> str:
    """``"a, b or c"``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _read_share(value: object, limit: Limit) -> float:
    if not isinstance(value, str):
        share = _read_number(value, limit)
        if 1 < share <= 100:
            raise units.UnitError(limit.say(), f'"{share:g} %"')
        return share
    digits = value.strip().removesuffix("percent").removesuffix("%").strip()
    if digits == value.strip():
        raise units.UnitError(limit.say())
    return _read_number(digits, limit) / 100.0


def _read_number(value: object, limit: Limit) -> float:
    try:
        return units.number(value)
    except units.UnitError:
        raise units.UnitError(limit.say()) from None


def _with_reading(value: object, read: float, limit: Limit) -> object:
    """What was found, with what it was read as: ``"50 m" (5000 cm (1969 in))``."""
    if isinstance(value, str) and limit.kind in ("length", "temperature", "volume"):
        unit = {"length": "cm", "temperature": "C", "volume": "L"}[limit.kind]
        return Shown(f"{show(value)}, which is {read:.4g} {unit}")
    return value


def above(key: str) -> str:
    """Where a key belongs that stands below a [table] and not above it; "" for any other key."""
    return f"{key} above the first [table] of the file" if key in TOP_KEYS else ""


def _home_of(key: str) -> str:
    """Where a key belongs that stands in the wrong table."""
    for name in LIMITS:
        table, _, own = name.rpartition(".")
        if own == key:
            return f"{key} in [{table}]" if table in ("tank", "rock", "run") else f"{key} in [[{table}]]"
    return above(key)
