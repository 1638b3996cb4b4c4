"""A life as it is drawn on a slide: a few figures a month, out of the file that ``life --out`` writes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ....sim.scenario.timeline.again import say_days
from ...document.plain import many

SHOWN = 3  # kinds at most, the one told of first


@dataclass(frozen=True)
class DrawnLife:
    """One life, m months.

    Attributes
    ----------
    kept : by kind, the one told of first, [m] share of their free swimming kept; None where none is in.
    ends : [m] 95 % limits of that of the first kind.
    wrong : [m] simulated tanks in which it has gone wrong by then, of ``tanks``.
    dates : what is dated, in words, with its days.
    said : the verdict, in a line or two; ``lines``: what else stands in the first lines.
    """

    title: str
    days: int
    kept: Mapping[str, tuple[float | None, ...]]
    ends: tuple[tuple[float, float] | None, ...]
    wrong: tuple[int, ...]
    tanks: int
    dates: tuple[tuple[str, tuple[float, ...]], ...]
    said: str
    lines: tuple[str, ...]

    @property
    def months(self) -> int:
        return len(self.wrong)

    @property
    def heading(self) -> str:
        """``"6 months of a tank"``."""
        return f"{many(self.months, 'month')} of a tank"

    @property
    def dated_said(self) -> tuple[str, ...]:
        """``"day 30: male 1 taken out"``, each with its number before it."""
        return tuple(f"{k}: {say_days(days)}, {what}" for k, (what, days) in enumerate(self.dates, 1))


def _share_kept(lost: Mapping[str, Any]) -> float | None:
    return None if lost["value"] is None else 1.0 - float(lost["value"])


def _short(text: str, genera: Iterable[str]) -> str:
    """With genera cut to their first letter: there is little room."""
    for genus in genera:
        text = text.replace(f"{genus} ", f"{genus[0]}. ")
    return text


def drawn_life(told: Mapping[str, Any]) -> DrawnLife:
    """Out of what :func:`.files.whole_json` holds; raises KeyError and the like where it does not."""
    name, months = told["for"]["name"], told["months"]
    lost = "lost_share_of_free_swimming_if_left_alone"
    others = [one for one in months[0][lost] if one != name]
    shown = [name, *others][:SHOWN]
    kept = {one: tuple(_share_kept(month[lost][one]) for month in months) for one in shown}
    first = [month[lost][name] for month in months]
    ends = tuple(None if one["low"] is None else (1 - one["high"], 1 - one["low"]) for one in first)
    days: dict[str, list[float]] = {}
    genera = {one.split()[0] for one in months[0][lost]}
    for one in told["dated"]:
        days.setdefault(_short(str(one["what"]), genera), []).append(float(one["day"]))
    dates = ((what, tuple(own)) for what, own in days.items())
    said, *lines = told["first_lines"]
    return DrawnLife(
        title=str(told["title"]),
        days=int(told["days_lived"]),
        kept=kept,
        ends=ends,
        wrong=tuple(int(one["hits"]) for one in told["goes_wrong"]["tanks_by_month"]),
        tanks=int(told["trials"]),
        dates=tuple(dates),
        said=str(said),
        lines=tuple(map(str, lines)),
    )
