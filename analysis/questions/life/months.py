"""Lives month by month: what each kind of fish keeps, who is pinned, tank by tank."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from ...measures.registry import LOST, PINNED_FISH
from ...measures.whom import Kind
from ...statistics.intervals import Floats
from .design import Life
from .reach import MONTH_D


def weights(life: Life, starts: Floats, ends: Floats, *, days: int) -> Floats:
    """[m, b] days of each stretch of time that each measured day stands for."""
    since = life.since.astype(float)
    until = np.append(since[1:], float(days))
    over = np.minimum(ends[:, None], until) - np.maximum(starts[:, None], since)
    return np.maximum(over, 0.0)


def months_of(count: int, *, days: int) -> tuple[Floats, Floats]:
    """First and last day of each month, [m] each; the last ends with the life."""
    edges = np.minimum(np.arange(count + 1) * MONTH_D, days)
    edges[-1] = days
    return edges[:-1], edges[1:]


def weeks_of(days: int) -> tuple[Floats, Floats]:
    """First and last day of each week, [w] each; what is left over at the end is of the last whole week."""
    edges = np.minimum(np.arange(max(1, days // 7) + 1) * 7.0, days)
    edges[-1] = days
    return edges[:-1], edges[1:]


def lost_of(life: Life, labels: Collection[str], weight: Floats) -> Floats:
    """[m] share of their free swimming that some fish lose, by weights [m, b]; nan where none is in."""
    tops, bottoms = _free(life, labels)
    return _lost(weight @ tops, weight @ bottoms)


def daily_loss(life: Life, labels: Collection[str]) -> Floats:
    """[b] the same on each measured day."""
    return _lost(*_free(life, labels))


def _free(life: Life, labels: Collection[str]) -> tuple[Floats, Floats]:
    """[b] what some fish swim free on each measured day, and what they would if left alone."""
    tops, bottoms = np.zeros(len(life.rows)), np.zeros(len(life.rows))
    for k, row in enumerate(life.rows):
        who, parts = row.of(labels), row.parts[LOST]
        tops[k], bottoms[k] = parts.top[who].sum(), parts.bottom[who].sum()
    return tops, bottoms


def _lost(top: Floats, bottom: Floats) -> Floats:
    kept = np.divide(top, bottom, out=np.full(len(top), np.nan), where=bottom > 0)
    return np.asarray(1.0 - kept)


def pinned_of(life: Life, weight: Floats) -> Floats:
    """[m] share of the days on which some fish is pinned."""
    held = np.array([float((row.parts[PINNED_FISH].top > 0).any()) for row in life.rows])
    return np.asarray(weight @ held / weight.sum(axis=1))


def chases_of(life: Life, labels: Collection[str], weight: Floats) -> Floats:
    """[n] chases that each fish gives some others, by weights [b]."""
    given = np.zeros(len(life.male))
    for day, row in zip(weight, life.rows, strict=True):
        assert row.chases is not None
        given += day * row.chases[:, row.of(labels)].sum(axis=1)
    return given


def grown_of(life: Life, kind: Kind, weight: Floats) -> tuple[float, float]:
    """Mean length of a kind, cm, and share of it that is adult, by weights [b]; nan where none is in."""
    inside = np.array([row.of(kind.labels) for row in life.rows]) * weight[:, None]
    total = inside.sum()
    if not total > 0:
        return float("nan"), float("nan")
    return float((life.length_cm * inside).sum() / total), float((life.adult * inside).sum() / total)


def mean_of(values: Floats) -> float:
    """The mean of what is known; nan where nothing is."""
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else float("nan")
