"""The result folder: write the Trials table as CSV files anybody can open, and read it back exactly.

``summary.csv`` has a row for each trial and arm, ``fish.csv`` for each fish in
them, ``chases.csv`` for each pair with any act, ``hours.csv`` for each fish and
measured lit hour, ``draws.csv`` the values of every draw, ``events.csv`` what
happens on which day, ``dictionary.csv`` what every column means, ``paths.npz``
the stored movements of the trials kept for showing, ``recipe.json`` what it was
made from, ``work.sqlite`` the finished trials themselves (see
:mod:`rockshy.analysis.study.kept`). UTF-8, one header line, units in the column
names. Numbers are written in full, so reading gives the same bits.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import AS_STOCKED, Arm, Trials
from ...sim.scenario.scenario import Scenario
from ..document.writing import Draft, NotWrittenError, not_written, whole, why_not
from .dictionary import DICTIONARY, RUN_COLUMNS, dictionary_text
from .draws import draws_text, events_text
from .layout import (
    DRAWS,
    EVENTS,
    FISH_COLUMNS,
    FORMAT,
    HOUR_COLUMNS,
    PAIR_COLUMNS,
    PATHS,
    RECIPE,
    SEXES,
    TABLES,
    WORK,
    StoreError,
)
from .reading import read, read_paths

_ROWS = 10_000  # of the longest table that are text at once

__all__ = ["StoreError", "check_folder", "holds", "is_result", "read", "read_paths", "write"]


def write(
    trials: Trials,
    folder: str | os.PathLike[str],
    *,
    paths: Mapping[str, NDArray] | None = None,
    scenario: Scenario | None = None,
) -> None:
    """Write the result folder, replacing an earlier result in it.

    Every file is first written under a temporary name. While they change places
    ``recipe.json`` says that the result is unfinished; the new one comes last,
    so that what reads as a result is always complete and of one run. Where one
    cannot change places, the others do, and it stays unfinished. Files of other
    names in the folder (pictures, notes) are left alone.

    Parameters
    ----------
    folder : made when it does not exist.
    paths : arrays for ``paths.npz``; without them an older ``paths.npz`` is removed.
    scenario : what was run, for ``draws.csv`` and ``events.csv``; without it older ones are removed.

    Raises
    ------
    StoreError
        When the folder is in use for something else, the disk refuses, or the recipe cannot be said in JSON.
    """
    place = Path(folder)
    try:
        check_folder(place)
        _write_all(place, _texts(trials, scenario), paths)
    except NotWrittenError as problem:
        raise StoreError(str(problem)) from problem
    except OSError as problem:
        raise StoreError(f"{place}: cannot be written, since {why_not(problem)}") from problem


def is_result(folder: str | os.PathLike[str]) -> bool:
    """Whether a folder holds a result, complete or broken off while it was written."""
    try:
        told = json.loads((Path(folder) / RECIPE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and told.get("format") == FORMAT


def holds(folder: str | os.PathLike[str], trials: Trials, *, scenario: Scenario | None = None) -> bool:
    """Whether the files in a folder are those that :func:`write` makes of these trials and their scenario.

    Raises
    ------
    StoreError
        When they are not, and one is missing, damaged or does not fit the others.
    """
    place = Path(folder)
    if all(_says(place / name, pieces()) for name, pieces in _texts(trials, scenario).items()):
        return True
    read(place)
    return False


def _says(file: Path, pieces: Iterable[bytes]) -> bool:
    try:
        with file.open("rb") as there:
            return all(there.read(len(piece)) == piece for piece in pieces) and not there.read(1)
    except OSError:
        return False


def check_folder(folder: str | os.PathLike[str]) -> None:
    """Raise StoreError where :func:`write` would refuse a folder for what it is or holds; writes nothing.

    A folder with finished trials in it is one for a result.
    """
    place = Path(folder)
    allowed = "use a new folder, an empty one or an earlier result"
    if place.exists() and not place.is_dir():
        raise StoreError(f"{place} is a file; {allowed}")
    is_ours = is_result(place) or (place / WORK).exists()
    if place.is_dir() and any(place.iterdir()) and not is_ours:
        raise StoreError(f"{place} holds other files and is not a result folder; {allowed}")


def _write_all(
    place: Path, texts: dict[str, Callable[[], Iterable[bytes]]], paths: Mapping[str, NDArray] | None
) -> None:
    place.mkdir(parents=True, exist_ok=True)
    before = [name for name in texts if name != RECIPE]
    drafts = {name: Draft(place / name) for name in (*before, *([] if paths is None else [PATHS]), RECIPE)}
    if not (place / RECIPE).exists():
        _mark_unfinished(place)
    try:
        for name, draft in drafts.items():
            with draft.named(), draft.temporary.open("wb") as file:
                if name == PATHS and paths is not None:
                    np.savez_compressed(file, allow_pickle=False, **paths)
                else:
                    file.writelines(texts[name]())
        _mark_unfinished(place)
        _put_all(place, drafts)
    finally:
        for draft in drafts.values():
            draft.drop()


def _put_all(place: Path, drafts: Mapping[str, Draft]) -> None:
    """All files into their places, the recipe last and only when all others are there."""
    problems: list[NotWrittenError] = []
    for name in {PATHS, DRAWS, EVENTS} - drafts.keys():
        old = Draft(place / name)
        try:
            with old.named():
                old.path.unlink(missing_ok=True)
        except NotWrittenError as problem:
            problems.append(problem)
    for name, draft in drafts.items():
        if name == RECIPE and problems:
            raise StoreError(
                f"{not_written(problems)}\n{place}: is no whole result without it; the same command writes "
                "it again"
            )
        try:
            draft.put()
        except NotWrittenError as problem:
            problems.append(problem)
    if problems:
        raise problems[0]


def _mark_unfinished(place: Path) -> None:
    with whole(place / RECIPE, sign=".unfinished") as temporary:
        temporary.write_bytes(json.dumps({"format": FORMAT, "unfinished": True}).encode() + b"\n")


def _texts(trials: Trials, scenario: Scenario | None) -> dict[str, Callable[[], Iterable[bytes]]]:
    """The pieces of each file of text, in the order in which the finished files take their places."""
    texts: dict[str, Callable[[], Iterable[str]]] = {}
    if scenario is not None:
        guesses = np.unique(trials.arms[AS_STOCKED].draw)
        texts = {DRAWS: partial(draws_text, scenario, guesses), EVENTS: partial(events_text, scenario)}
    named = {name: columns for name, columns in RUN_COLUMNS.items() if name in TABLES or name in texts}
    texts |= {
        DICTIONARY: partial(iter, [dictionary_text(named)]),
        RECIPE: partial(iter, [_recipe_text(trials)]),
    }
    tables = {name: partial(_csv_pieces, trials, make) for name, make in _MAKERS.items()}
    return {**tables, **{name: partial(_encoded, text) for name, text in texts.items()}}


def _encoded(text: Callable[[], Iterable[str]]) -> Iterator[bytes]:
    return (piece.encode("utf-8") for piece in text())


def _csv_pieces(trials: Trials, make: Callable[[Arm], dict[str, Any]]) -> Iterator[bytes]:
    """A table some trials at a time, so that memory does not grow with their number."""
    import pandas as pd

    header = True
    for name, arm in trials.arms.items():
        rows = max(1, arm.hour_share.shape[1] * arm.hour_share.shape[2])
        size = max(1, _ROWS // rows)
        for first in range(0, max(1, len(arm.trial)), size):
            columns = make(_part(arm, slice(first, first + size)))
            table = pd.DataFrame({"arm": name, **columns})
            yield table.to_csv(index=False, header=header, lineterminator="\n", na_rep="nan").encode("utf-8")
            header = False


def _part(arm: Arm, trials: slice) -> Arm:
    """Some trials of an arm; its columns are taken as narrow as they are kept."""
    numbers: dict[str, Any] = {
        name: kept[trials] for name, kept in vars(arm).items() if isinstance(kept, np.ndarray)
    }
    return replace(arm, **numbers)


def _recipe_text(trials: Trials) -> str:
    told = {
        "format": FORMAT,
        "title": trials.title,
        "watch": trials.watch,
        "watch_reason": trials.watch_reason,
        "asked": trials.asked,
        "arms": {name: _arm_entry(arm) for name, arm in trials.arms.items()},
        "recipe": trials.recipe,
    }
    try:
        return json.dumps(told, ensure_ascii=False, indent=1, allow_nan=False, default=_plain) + "\n"
    except (TypeError, ValueError) as problem:
        raise StoreError(f"{RECIPE}: the recipe cannot be said in JSON ({problem})") from problem


def _plain(value: object) -> object:
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, np.ndarray):
        return value.tolist()
    raise TypeError(f"{type(value).__name__} is not text, number, list or table")


def _arm_entry(arm: Arm) -> dict[str, object]:
    fish = [
        {
            "label": label,
            "species": arm.fish.species[i],
            "day_in": float(arm.fish.day_in[i]),
            "day_out": float(arm.fish.day_out[i]) if np.isfinite(arm.fish.day_out[i]) else None,
            "holding": bool(arm.fish.holding[i]),
        }
        for i, label in enumerate(arm.fish.label)
    ]
    return {"trials": len(arm.trial), "measured_hours": int(arm.hour_share.shape[2]), "fish": fish}


def _summary_columns(arm: Arm) -> dict[str, Any]:
    lit_s = arm.lit_s.sum(axis=1)
    chases = arm.chases.sum(axis=(1, 2))
    return {
        "trial": arm.trial,
        "guess": arm.draw,
        "fish": (arm.lit_s > 0).sum(axis=1),
        "lit_fish_hours": lit_s / 3600,
        **{what: getattr(arm, key).sum(axis=(1, 2)) for what, key in PAIR_COLUMNS.items()},
        "chases_per_fish_and_lit_hour_model_scale": _per(3600.0 * chases, lit_s),
        "hidden_share_of_lit_time": _per(arm.hidden_s.sum(axis=1), lit_s),
        "meals_missed_share": _per(arm.meals_missed.sum(axis=1), arm.meals.sum(axis=1)),
    }


def _per(top: NDArray, bottom: NDArray) -> NDArray:
    return np.divide(top, bottom, out=np.full(len(top), np.nan), where=bottom > 0)


def _fish_columns(arm: Arm) -> dict[str, Any]:
    trials, fish = arm.sex.shape
    return {
        "trial": np.repeat(arm.trial, fish),
        "fish": np.tile(np.array(arm.fish.label, dtype=object), trials),
        "species": np.tile(np.array(arm.fish.species, dtype=object), trials),
        "sex": np.array(SEXES, dtype=object)[arm.sex.ravel()],
        "adult": np.where(arm.adult.ravel(), "yes", "no"),
        "holding": np.tile(np.where(arm.fish.holding, "yes", "no"), trials),
        **{column: getattr(arm, key).ravel() for column, key in FISH_COLUMNS.items()},
        "chases_received": arm.chases.sum(axis=1).ravel(),
        "chases_given": arm.chases.sum(axis=2).ravel(),
    }


def _pair_columns(arm: Arm) -> dict[str, Any]:
    acted = np.any([getattr(arm, key) != 0 for key in PAIR_COLUMNS.values()], axis=0)
    trial, giver, taker = np.nonzero(acted)
    label = np.array(arm.fish.label, dtype=object)
    return {
        "trial": arm.trial[trial],
        "by_fish": label[giver],
        "on_fish": label[taker],
        **{column: getattr(arm, key)[trial, giver, taker] for column, key in PAIR_COLUMNS.items()},
    }


def _hour_columns(arm: Arm) -> dict[str, Any]:
    trials, fish, hours = arm.hour_share.shape
    return {
        "trial": np.repeat(arm.trial, fish * hours),
        "fish": np.tile(np.repeat(np.array(arm.fish.label, dtype=object), hours), trials),
        "measured_hour": np.tile(np.arange(1, hours + 1), trials * fish),
        **{column: getattr(arm, key).ravel() for column, key in HOUR_COLUMNS.items()},
    }


_MAKERS = dict(zip(TABLES, (_summary_columns, _fish_columns, _pair_columns, _hour_columns), strict=True))
