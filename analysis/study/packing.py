"""Outcomes of a job as bytes and back, bit for bit; no pickle, so reading them can run nothing."""

from __future__ import annotations

import json
import zlib
from collections.abc import Sequence
from dataclasses import asdict
from functools import lru_cache
from typing import Any

import numpy as np

from ...sim.fish.population import Individual
from ...sim.run.trials import Outcome
from ...sim.scenario.scenario import StockRow

_PLAIN = "biuf"  # kinds of numbers a column may hold: yes/no, whole, whole without sign, with a point


def pack(outcomes: Sequence[Outcome]) -> bytes:
    """Bytes of the outcomes: compressed, a JSON head in one line, then the columns one after the other.

    Raises
    ------
    ValueError
        When a column holds something that is no plain number.
    """
    columns = [np.asarray(column) for outcome in outcomes for column in outcome.columns.values()]
    for column in columns:
        if column.dtype.kind not in _PLAIN:
            raise ValueError(f"a column of kind {column.dtype} cannot be kept; use plain numbers")
    head = json.dumps([_head(outcome) for outcome in outcomes], ensure_ascii=True)
    parts = [head.encode("ascii"), b"\n", *(column.tobytes() for column in columns)]
    return zlib.compress(b"".join(parts))


def unpack(packed: bytes) -> tuple[Outcome, ...]:
    """The outcomes that were packed.

    Raises
    ------
    ValueError
        When the bytes are not those of :func:`pack`.
    """
    try:
        head, _, raw = zlib.decompress(packed).partition(b"\n")
        outcomes, at = [], 0
        for told in json.loads(head):
            columns: dict[str, Any] = {}
            for name, dtype, shape in told["columns"]:
                column = np.ndarray(tuple(shape), np.dtype(dtype), raw, at).copy()
                columns[name] = column
                at += column.nbytes
            people = _people(told["people"])
            outcomes.append(Outcome(told["name"], told["trial"], told["guess"], people, columns))
        return tuple(outcomes)
    except (zlib.error, KeyError, TypeError) as problem:
        raise ValueError(f"no kept outcomes ({problem})") from problem


def _head(outcome: Outcome) -> dict[str, Any]:
    columns = [
        [name, array.dtype.str, list(array.shape)]
        for name, array in ((name, np.asarray(column)) for name, column in outcome.columns.items())
    ]
    return {
        "name": outcome.name,
        "trial": int(outcome.trial),
        "guess": int(outcome.draw),
        "people": _said(outcome.people),
        "columns": columns,
    }


@lru_cache(maxsize=256)
def _said(people: tuple[Individual, ...]) -> str:
    rows = list(dict.fromkeys(one.row for one in people))
    fish = [[one.species, one.sex, one.number, rows.index(one.row), one.holding] for one in people]
    return json.dumps({"rows": [asdict(row) for row in rows], "fish": fish})


@lru_cache(maxsize=256)
def _people(said: str) -> tuple[Individual, ...]:
    """The fish of a stock list. Trials of one scenario share theirs, so that they take no room each."""
    told = json.loads(said)
    rows = [StockRow(**{name: _tuples(value) for name, value in row.items()}) for row in told["rows"]]
    return tuple(
        Individual(species, sex, number, rows[k], holding)
        for species, sex, number, k, holding in told["fish"]
    )


def _tuples(value: Any) -> Any:
    return tuple(_tuples(one) for one in value) if isinstance(value, list) else value
