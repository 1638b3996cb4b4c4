"""The rows of the comparison: what each counts, in a tally and in windows of simulated tanks.

Every value is a top over a bottom: acts over minutes, acts over all chases of the tank, looks hidden over
looks. Over several watches tops and bottoms are summed. A row says how it counts once, and the same
counting is done in the tally and in the model.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....sim.fish.population import Individual, individuals
from ....sim.scenario.scenario import Scenario
from ...statistics.intervals import NAN, Floats
from .ethogram import BITE, CHASE, EVERY_PLACE, OUT
from .model_places import is_hidden
from .tally import Acts, Look, Tally, Watch
from .windows import Windows

CHASES, BITES, RECEIVED, GIVEN = "chases", "bites", "received", "given"
SHARE_RECEIVED, SHARE_GIVEN, HIDDEN, ONE_PLACE = "share received", "share given", "hidden", "one place"
RATES = (CHASES, BITES, RECEIVED, GIVEN)
SHARES_OF_CHASES = (SHARE_RECEIVED, SHARE_GIVEN)
PLACES = (HIDDEN, ONE_PLACE)

_HIDES = {one.name: one.hidden for one in EVERY_PLACE}
_SIDED = {one.name for one in EVERY_PLACE if one.code}  # places that the model can be looked up for


@dataclass(frozen=True)
class Row:
    """One line of the comparison: a measure of some fish."""

    measure: str
    name: str  # of the fish; "all fish"
    labels: frozenset[str]

    @property
    def is_rate(self) -> bool:
        return self.measure in RATES


@dataclass(frozen=True)
class TalliedRow:
    """A row as the tally has it; k watches. nan in a watch that says nothing of the row."""

    row: Row
    top: Floats  # [k]
    bottom: Floats  # [k] minutes, chases or looks
    why_not: str = ""  # nothing can be said: some acts may or may not be of these fish

    @property
    def value(self) -> float:
        """Top over bottom, all watches together; nan where there is nothing."""
        bottom = float(np.nansum(self.bottom))
        return float(np.nansum(self.top)) / bottom if bottom > 0 else NAN

    @property
    def covered(self) -> NDArray[np.bool_]:
        """Watches that count for the row, [k]."""
        return np.isfinite(self.top)


def rows_of(scenario: Scenario, tally: Tally) -> list[Row]:
    """The rows that are of interest for a stock, before it is known what the tally says of each.

    The whole tank; each species where there are several; each sex where a species has several; single fish
    that a watch was of or whose places were noted.
    """
    people = individuals(scenario.stock)
    groups = groups_of(people)
    everybody = frozenset(one.label for one in people)
    rows = [Row(CHASES, "all fish", everybody), Row(BITES, "all fish", everybody)]
    followed = [watch.watched for watch in tally.watches if watch.watched is not None]
    groups |= {one.name: one.labels for one in followed}
    for measure in (RECEIVED, GIVEN, *SHARES_OF_CHASES):
        rows += [Row(measure, name, labels) for name, labels in groups.items()]
    rows += [Row(HIDDEN, name, labels) for name, labels in {"all fish": everybody, **groups}.items()]
    noted = {look.fish.name: look.fish.labels for look in tally.looks if look.fish.is_one}
    rows += [Row(HIDDEN, name, labels) for name, labels in noted.items() if name not in groups]
    rows += [Row(ONE_PLACE, name, labels) for name, labels in noted.items()]
    return rows


def groups_of(people: Sequence[Individual]) -> dict[str, frozenset[str]]:
    """Species, and their sexes as stocked, by the name a tally gives them; never all fish again."""
    found: dict[str, list[str]] = {}
    species = list(dict.fromkeys(one.species for one in people))
    for name in species:
        own = [one for one in people if one.species == name]
        if len(species) > 1:
            found[name] = [one.label for one in own]
        sexes = list(dict.fromkeys(one.sex for one in own))
        for sex in sexes if len(sexes) > 1 else ():
            of_sex = [one.label for one in own if one.sex == sex]
            plural = "unsexed fish" if sex == "unsexed" else sex if len(of_sex) == 1 else f"{sex}s"
            found[f"{name} {plural}"] = of_sex
    return {name: frozenset(labels) for name, labels in found.items()}


# --- the tally ------------------------------------------------------------------


def seen_of(tally: Tally, row: Row) -> TalliedRow:
    """What a tally says of a row."""
    top, bottom, unsure = np.array([_in_watch(tally, watch, row) for watch in tally.watches], float).T
    if unsure.any():
        nothing = np.full(len(top), NAN)
        return TalliedRow(row, nothing, nothing, f"{unsure.sum():g} could not be told apart")
    return TalliedRow(row, top, bottom)


def _in_watch(tally: Tally, watch: Watch, row: Row) -> tuple[float, float, float]:
    """Top and bottom in one watch, and how many acts or fish may or may not belong to the row."""
    if row.measure in PLACES:
        looks = [one for one in tally.looks if one.watch == watch.name]
        return _hidden(looks, row) if row.measure == HIDDEN else _one_place(looks, row)
    if not watch.covers(row.labels) or (row.measure in SHARES_OF_CHASES and watch.watched is not None):
        return NAN, NAN, 0
    acts = [one for one in tally.acts if one.watch == watch.name]
    of_kind = [one for one in acts if one.act == (BITE if row.measure == BITES else CHASE)]
    top, unsure = _counted(of_kind, row)
    if row.measure in SHARES_OF_CHASES:
        return top, float(sum(one.count for one in of_kind)), unsure
    return top, watch.minutes, unsure


def _counted(acts: Iterable[Acts], row: Row) -> tuple[float, float]:
    """Acts that belong to a row, and those that may."""
    sure = unsure = 0
    for one in acts:
        if row.measure in (CHASES, BITES):
            sure += one.count
            continue
        who = one.chased if row.measure in (RECEIVED, SHARE_RECEIVED) else one.chaser
        if who.labels <= row.labels:
            sure += one.count
        elif who.labels & row.labels:
            unsure += one.count
    return float(sure), float(unsure)


def _hidden(looks: Sequence[Look], row: Row) -> tuple[float, float, float]:
    """Fish hidden at the looks over the tank, in a watch in which all fish of the row were looked for."""
    noted = frozenset[str]().union(*(one.fish.labels for one in looks))
    if not row.labels <= noted:
        return NAN, NAN, 0
    top = bottom = unsure = 0
    for labels, hidden, of in _moments(looks):
        if labels <= row.labels:
            top, bottom = top + hidden, bottom + of
        elif labels & row.labels:
            unsure += of
    return (float(top), float(bottom), float(unsure)) if bottom else (NAN, NAN, float(unsure))


def _moments(looks: Iterable[Look]) -> list[tuple[frozenset[str], int, int]]:
    """Fish that were noted together at a moment, how many of them were hidden, and of how many.

    Where it is said how many of them are out, the rest are hidden.
    """
    together: dict[tuple[float, frozenset[str]], list[Look]] = {}
    for one in looks:
        together.setdefault((one.minute, one.fish.labels), []).append(one)
    found = []
    for (_, labels), those in together.items():
        hidden = sum(one.count for one in those if _HIDES[one.place])
        noted = sum(one.count for one in those)
        rest = len(labels) - noted if any(one.place == OUT.name for one in those) else 0
        found.append((labels, hidden + rest, noted + rest))
    return found


def _one_place(looks: Iterable[Look], row: Row) -> tuple[float, float, float]:
    """Looks at the place where a single fish was oftenest; only where side and place were always noted."""
    mine = [one for one in looks if one.fish.labels == row.labels]
    if not mine or any(one.place not in _SIDED or not one.side for one in mine):
        return NAN, NAN, 0
    counts = Counter((one.side, one.place) for one in mine)
    return float(max(counts.values())), float(len(mine)), 0


def looks_in(tally: Tally, watch: Watch) -> int:
    """How many times the tank was looked over in a watch."""
    return len({one.minute for one in tally.looks if one.watch == watch.name})


# --- the model ------------------------------------------------------------------


def model_values(
    windows: Windows, rows: Sequence[Row], *, labels: Sequence[str], minutes: float, looks: int
) -> Floats:
    """Top and bottom of each row in each window of one simulated tank.

    Parameters
    ----------
    labels : of the fish, in the order of their numbers.
    minutes : length of the windows.
    looks : how many times the tank was looked over in the watch; the model's looks are thinned to that.

    Returns
    -------
    [w, r, 2]
    """
    every = windows.scans.shape[1]
    thinned = np.round(np.linspace(0, every - 1, min(looks, every))).astype(int)
    scans = windows.scans[:, thinned, :]
    hidden = is_hidden(scans)
    values = np.zeros((windows.count, len(rows), 2))
    for r, row in enumerate(rows):
        who = np.isin(labels, list(row.labels))
        if row.measure == HIDDEN:
            values[:, r, 0] = hidden[:, :, who].sum(axis=(1, 2))
            values[:, r, 1] = (scans[:, :, who] >= 0).sum(axis=(1, 2))
        elif row.measure == ONE_PLACE:
            values[:, r] = _commonest(scans[:, :, who][:, :, 0])
        else:
            values[:, r, 0] = _acts_by_window(windows, row, who)
            values[:, r, 1] = minutes
            if row.measure in SHARES_OF_CHASES:
                values[:, r, 1] = np.bincount(windows.chases[:, 0], minlength=windows.count)
    return values


def _acts_by_window(windows: Windows, row: Row, who: NDArray[np.bool_]) -> NDArray[np.int64]:
    acts = windows.bites if row.measure == BITES else windows.chases
    if row.measure in (RECEIVED, SHARE_RECEIVED):
        acts = acts[who[acts[:, 2]]]
    elif row.measure in (GIVEN, SHARE_GIVEN):
        acts = acts[who[acts[:, 1]]]
    return np.bincount(acts[:, 0], minlength=windows.count)


def _commonest(scans: NDArray[np.int8]) -> Floats:
    """Looks at the commonest place of one fish and all looks at it, window by window; scans [w, s]."""
    found = np.zeros((len(scans), 2))
    for w, one in enumerate(scans):
        there = one[one >= 0]
        if len(there):
            found[w] = np.bincount(there).max(), len(there)
    return found
