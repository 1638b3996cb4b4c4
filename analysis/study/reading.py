"""Reading the result folder back into the Trials table, and saying plainly what is wrong with it."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import AS_STOCKED, Arm, FishList, Trials
from .layout import (
    CHASES,
    FISH,
    FISH_COLUMNS,
    FORMAT,
    HOUR_COLUMNS,
    HOURS,
    PAIR_COLUMNS,
    PATHS,
    RECIPE,
    SEXES,
    SUMMARY,
    TABLES,
    TOLD,
    StoreError,
)

if TYPE_CHECKING:
    import pandas as pd


def read(folder: str | os.PathLike[str]) -> Trials:
    """Read a result folder back into the Trials table that was written, bit for bit.

    Raises
    ------
    StoreError
        When a file is missing, damaged or does not fit the others.
    """
    place = Path(folder)
    told = _read_recipe(place)
    tables = {name: _read_csv(place / name) for name in TABLES}
    arms = {name: _read_arm(place, name, entry, tables) for name, entry in told["arms"].items()}
    for file, table in tables.items():
        unknown = set(table["arm"]) - set(arms)
        if unknown:
            raise StoreError(f"{place / file}: there is no arm {min(unknown)!r}; use {', '.join(arms)}")
    return Trials(told["title"], told["watch"], told["watch_reason"], arms, told["asked"], told["recipe"])


def read_paths(folder: str | os.PathLike[str]) -> dict[str, NDArray] | None:
    """Arrays of ``paths.npz``; None when no trial was kept for showing.

    Raises
    ------
    StoreError
        When the file is damaged.
    """
    file = Path(folder) / PATHS
    if not file.exists():
        return None
    try:
        with np.load(file, allow_pickle=False) as kept:
            return {name: kept[name] for name in kept.files}
    except Exception as problem:  # numpy raises half a dozen kinds for a damaged archive
        raise StoreError(f"{file} is damaged and cannot be read as stored movements") from problem


def _read_recipe(place: Path) -> dict[str, Any]:
    file = place / RECIPE
    if not place.is_dir():
        raise StoreError(f"there is no folder {place}; use one written with --out")
    try:
        told = json.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise StoreError(f"{place} has no {RECIPE}, so it is not a finished result") from None
    except (OSError, ValueError) as problem:
        raise StoreError(f"{file} is damaged and cannot be read as JSON in UTF-8 ({problem})") from None
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise StoreError(f'{file} is not a result of this version ("format": "{FORMAT}"); run it again')
    if told.get("unfinished"):
        raise StoreError(f"{place}: writing this result was broken off; write it again")
    for key, kind in TOLD.items():
        if not isinstance(told.get(key), kind):
            raise StoreError(f"{file}: {key} is missing or not {kind.__name__}")
    if AS_STOCKED not in told["arms"]:
        raise StoreError(f"{file}: arms has no {AS_STOCKED!r}")
    return told


def _read_csv(file: Path) -> pd.DataFrame:
    import pandas as pd

    texts = dict.fromkeys(("arm", "fish", "species", "sex", "adult", "holding", "by_fish", "on_fish"), "str")
    if file.name == SUMMARY:
        texts.pop("fish")  # a number here
    # Before version 3.1 the ordinary converter could be wrong in the last bit.
    old = tuple(int(part) for part in pd.__version__.split(".")[:2]) < (3, 1)
    exact: dict[str, Any] = {"float_precision": "round_trip"} if old else {}
    try:
        table = pd.read_csv(file, encoding="utf-8", keep_default_na=False, na_values={}, dtype=texts, **exact)
    except FileNotFoundError:
        raise StoreError(f"{file}: missing from the result") from None
    except (OSError, ValueError) as problem:
        raise StoreError(f"{file}: damaged, cannot be read as CSV in UTF-8 ({problem})") from None
    wanted = {
        SUMMARY: ["arm", "trial", "guess"],
        FISH: ["arm", "trial", "fish", "sex", "adult", *FISH_COLUMNS, "chases_received"],
        CHASES: ["arm", "trial", "by_fish", "on_fish", *PAIR_COLUMNS],
        HOURS: ["arm", "trial", "fish", "measured_hour", *HOUR_COLUMNS],
    }[file.name]
    missing = [column for column in wanted if column not in table.columns]
    if missing:
        raise StoreError(f"{file}: column {missing[0]!r} is missing; found are {', '.join(table.columns)}")
    return table


def _read_arm(place: Path, name: str, entry: Any, tables: Mapping[str, pd.DataFrame]) -> Arm:
    fish, trials, hours = _read_entry(place / RECIPE, name, entry)
    mine = {file: table[table["arm"] == name] for file, table in tables.items()}
    summary = _Reader(place / SUMMARY, name, mine[SUMMARY])
    trial, draw = summary.whole("trial"), summary.whole("guess")
    if len(trial) != trials or (np.diff(trial) <= 0).any():
        raise StoreError(
            f"{place / SUMMARY}: arm {name!r} must have {trials} trials, ascending and once each"
        )
    n = len(fish)
    axes: dict[str, dict[Any, int]] = {
        "trial": {int(number): i for i, number in enumerate(trial)},
        "fish": {label: i for i, label in enumerate(fish.label)},
    }
    axes |= {"by_fish": axes["fish"], "on_fish": axes["fish"]}
    axes["measured_hour"] = {hour + 1: hour for hour in range(hours)}
    a_fish = _Reader(place / FISH, name, mine[FISH])
    at = a_fish.places(axes, ("trial", "fish"), full=trials * n)
    pair = _Reader(place / CHASES, name, mine[CHASES])
    between = pair.places(axes, ("trial", "by_fish", "on_fish"))
    hour = _Reader(place / HOURS, name, mine[HOURS])
    when = hour.places(axes, ("trial", "fish", "measured_hour"), full=trials * n * hours)
    shape = (trials, n)
    fields: dict[str, NDArray] = {
        "sex": _filled(shape, at, a_fish.word("sex", SEXES).astype(np.int8)),
        "adult": _filled(shape, at, a_fish.word("adult", ("no", "yes")).astype(np.bool_)),
    }
    fields |= {key: _filled(shape, at, a_fish.number(column)) for column, key in FISH_COLUMNS.items()}
    fields |= {key: _filled((*shape, n), between, pair.whole(column)) for column, key in PAIR_COLUMNS.items()}
    _check_chases(pair, fields["chases"], _filled(shape, at, a_fish.whole("chases_received")))
    for column, key in HOUR_COLUMNS.items():
        values = hour.whole(column) if key == "hour_chased" else hour.number(column)
        fields[key] = _filled((*shape, hours), when, values)
    return Arm(name=name, fish=fish, trial=trial, draw=draw, **fields)  # type: ignore[arg-type]


def _read_entry(file: Path, name: str, entry: Any) -> tuple[FishList, int, int]:
    try:
        rows = entry["fish"]
        fish = FishList(
            tuple(str(row["label"]) for row in rows),
            tuple(str(row["species"]) for row in rows),
            np.array([float(row["day_in"]) for row in rows]),
            np.array([np.inf if row["day_out"] is None else float(row["day_out"]) for row in rows]),
            np.array([bool(row["holding"]) for row in rows], dtype=bool),
        )
        return fish, int(entry["trials"]), int(entry["measured_hours"])
    except (KeyError, TypeError, ValueError) as problem:
        raise StoreError(f"{file}: the entry of arm {name!r} is damaged ({problem!r})") from None


def _check_chases(pair: _Reader, chases: NDArray, received: NDArray) -> None:
    """Rows of pairs may be few, so only the chases each fish received can tell that some are missing."""
    if (chases.sum(axis=1) != received).any():
        raise StoreError(f"{pair.file}: chases of arm {pair.arm!r} do not add up to those received in {FISH}")


def _filled(shape: tuple[int, ...], places: tuple[NDArray, ...], values: NDArray) -> NDArray:
    table = np.zeros(shape, dtype=values.dtype)
    table[places] = values
    return table


class _Reader:
    """One arm's rows of one file, with errors that say the file and the arm."""

    def __init__(self, file: Path, arm: str, rows: pd.DataFrame) -> None:
        self.file, self.arm, self.rows = file, arm, rows

    def number(self, column: str) -> NDArray[np.float64]:
        try:
            return self.rows[column].to_numpy(dtype=np.float64)
        except (TypeError, ValueError):
            raise self._bad(column, "something that is not a number") from None

    def whole(self, column: str) -> NDArray[np.int64]:
        found = self.number(column)
        if not np.isfinite(found).all() or (found != np.floor(found)).any():
            raise self._bad(column, "something that is not a whole number")
        return found.astype(np.int64)

    def word(self, column: str, allowed: tuple[str, ...]) -> NDArray[np.int64]:
        code = {word: i for i, word in enumerate(allowed)}
        return self._coded(column, code, self.rows[column])

    def places(
        self, axes: Mapping[str, Mapping[Any, int]], columns: tuple[str, ...], *, full: int | None = None
    ) -> tuple[NDArray[np.int64], ...]:
        """Index of every row along each axis; with ``full`` set, every place must have its row."""
        found = tuple(self._coded(column, axes[column], self.rows[column]) for column in columns)
        repeated = self.rows.duplicated(list(columns))
        if repeated.any():
            raise StoreError(f"{self.file}: arm {self.arm!r} has two rows for {self._key(columns, repeated)}")
        if full is not None and len(self.rows) != full:
            raise StoreError(f"{self.file}: arm {self.arm!r} has {len(self.rows)} rows; it must have {full}")
        return found

    def _coded(self, column: str, code: Mapping[Any, int], values: pd.Series) -> NDArray[np.int64]:
        coded = values.map(code)
        if coded.isna().any():
            raise self._bad(column, f"{values[coded.isna()].iloc[0]!r}, which is not one of this result's")
        return coded.to_numpy(dtype=np.int64)

    def _key(self, columns: tuple[str, ...], marked: pd.Series) -> str:
        row = self.rows[marked].iloc[0]
        return ", ".join(f"{column} {row[column]}" for column in columns)

    def _bad(self, column: str, what: str) -> StoreError:
        return StoreError(f"{self.file}: column {column!r} of arm {self.arm!r} holds {what}")
