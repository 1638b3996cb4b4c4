"""Draws that published work rules out: waves of sets of parameters, run on the training patterns.

The first wave is spread over the whole ranges, each later one over what the waves before left. After each,
emulators foretell every figure everywhere; a set of parameters is ruled out when one of them lies too far
outside its registered margin (:mod:`..statistics.implausible`). Test patterns are never run here.

Figures that no set at all brings near its margin rule out everything, and so nothing: they are set aside and
said, since they speak against the rules and not against a set of values.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import stats

from ...sim.rules.support.draws import placed
from ..statistics import emulator
from ..statistics.implausible import CUT, Target, Wave, survivors, worst_of
from ..statistics.intervals import Floats
from .lot import TRAINING
from .registered import patterns, text_of
from .sets import Part, drawn, parts

SEED = 5
REPEATED, REPEATS_FROM = 64, 100_000  # sets of the first wave run once more, with numbers from there on
LEAST = 1e-2  # a ratio under this is taken as this: nobody was chased at all
SURVIVE = 0.95  # of the sets are not ruled out by what they themselves came to
SPARE = 2_000  # places that are looked for among what is left


@dataclass(frozen=True)
class Cases:
    """Sets that were run: [n] numbers, [n, parameters] places, [n, parts] figures as they are compared."""

    numbers: Floats
    places: Floats
    figures: Floats

    @classmethod
    def of(cls, rows: Sequence[tuple[int, list[list[float]]]], *, side: str = TRAINING) -> Cases:
        """Of the rows that :func:`.sets.read_sets` gives; ratios of training parts by their logarithm."""
        ordered = sorted(rows, key=lambda row: row[0])
        values = np.array([row[1][1] for row in ordered], float)
        ratio = np.array([side == TRAINING and is_ratio(part) for part in parts(side)])
        compared = np.where(ratio, np.log(np.maximum(values, LEAST)), values)
        return cls(np.array([row[0] for row in ordered]), np.array([row[1][0] for row in ordered]), compared)

    def only(self, chosen: np.ndarray) -> Cases:
        """Those of a mask or of places in the order."""
        return Cases(self.numbers[chosen], self.places[chosen], self.figures[chosen])


@dataclass(frozen=True)
class Ruled:
    """What some waves come to.

    Attributes
    ----------
    whole : emulators of all figures, from all cases.
    waves : one after the other, with the parts that count.
    aside : parts that no set of the first wave's ranges brings near their margin.
    cut : from how many deviations on a set is ruled out.
    left : [n, parameters] places that are left, spread over what is left.
    share : which share of the ranges is left.
    """

    whole: Wave
    waves: tuple[Wave, ...]
    aside: tuple[Part, ...]
    cut: float
    left: Floats
    share: float


@cache
def _allowances() -> tuple[float, Mapping[str, float]]:
    told = tomllib.loads(text_of("allowances.toml"))
    return float(told["of_a_ratio"]), told["parts"]


def is_ratio(part: Part) -> bool:
    """Whether a figure is a ratio or a rate, which is compared by its logarithm."""
    return str(part) not in _allowances()[1]


def target_of(part: Part) -> Target:
    """What a figure should be, as it is compared."""
    margin = next(one for one in patterns()[part.pattern].parts if one.name == part.name)
    of_a_ratio, plain = _allowances()
    if not is_ratio(part):
        return Target(margin.low, margin.high, plain[str(part)])
    low, high = (math.log(end) if end > 0 else -math.inf for end in (margin.low, margin.high))
    return Target(low, high, math.log1p(of_a_ratio))


def first_places(number: int) -> Floats:
    """Where the parameters of a set of the first wave lie in their ranges."""
    return np.array([placed(SEED, number, "parameter", one.name) for one in drawn()])


def luck_of(cases: Cases) -> Floats:
    """[parts] standard deviation of each figure between two runs of the same set, from the sets run twice.

    The lower end of its 90 % interval (as of a normal variance), so that no emulator seems surer than it is.
    """
    again = cases.numbers >= REPEATS_FROM
    second = cases.only(again)
    order = {int(number): k for k, number in enumerate(cases.numbers)}
    first = cases.only(np.array([order[int(number) - REPEATS_FROM] for number in second.numbers]))
    apart = (first.figures - second.figures) ** 2 / 2.0
    pairs = np.isfinite(apart).sum(axis=0)
    found: Floats = np.sqrt(np.nansum(apart, axis=0) / stats.chi2.ppf(0.95, pairs))
    return found


def wave_of(cases: Cases, *, counted: Sequence[Part], luck: Floats) -> Wave:
    """Emulators of the figures that count, from some cases."""
    emulators = []
    for k, part in enumerate(parts()):
        if part in counted:
            known = np.isfinite(cases.figures[:, k])
            emulators.append(emulator.fit(cases.places[known], cases.figures[known, k], luck=float(luck[k])))
    return Wave(tuple(emulators), tuple(target_of(part) for part in counted))


def out_of_reach(wave: Wave, counted: Sequence[Part], places: Floats) -> list[Part]:
    """The parts that none of the places brings near their margin."""
    least = wave.each(places).min(axis=0)
    return [part for part, one in zip(counted, least, strict=True) if one > CUT]


def ruled(waves_of_cases: Sequence[Cases], *, last: bool = False) -> Ruled:
    """What the waves leave; later emulators are made from the cases of their own and all earlier waves.

    Parameters
    ----------
    waves_of_cases : those of each wave; the first holds the sets that were run twice.
    last : no wave comes after. What is ruled out for good lies further out than three deviations where so
        many figures at once, some with long tails, would else rule out over one in twenty sets by their own.
    """
    first = waves_of_cases[0]
    luck = luck_of(first)
    rng = np.random.default_rng(SEED)
    everywhere = rng.random((100_000, first.places.shape[1]))
    counted = parts()
    aside = out_of_reach(wave_of(first, counted=counted, luck=luck), counted, everywhere)
    counted = [part for part in counted if part not in aside]
    waves: list[Wave] = []
    for k in range(len(waves_of_cases)):
        cases = joined(waves_of_cases[: k + 1])
        waves.append(wave_of(cases, counted=counted, luck=luck))
    whole = wave_of(joined(waves_of_cases), counted=parts(), luck=luck)
    cut = max(CUT, float(np.quantile(from_own(whole), SURVIVE))) if last else CUT
    left, share = survivors(waves, inputs=first.places.shape[1], wanted=SPARE, rng=rng, cut=cut)
    return Ruled(whole, tuple(waves), tuple(aside), cut, left, share)


def from_own(wave: Wave) -> Floats:
    """[n] how far each set lies from what it itself came to, were that what was published, in deviations.

    Margins are then its figures' own 95 % intervals, as published ones hold the published spread. Each set is
    foretold without itself.
    """
    far = []
    for one, target in zip(wave.emulators, wave.targets, strict=True):
        beyond = np.maximum(np.abs(one.out) - 1.96 * one.luck, 0.0)
        far.append(beyond / math.hypot(one.error, target.allowance))
    n = min(map(len, far))
    found: Floats = np.max([one[:n] for one in far], axis=0)
    return found


def joined(cases: Sequence[Cases]) -> Cases:
    """The cases of several waves together."""
    return Cases(
        *(np.concatenate([getattr(one, name) for one in cases]) for name in ("numbers", "places", "figures"))
    )


def excess_of(found: Ruled, places: Floats) -> Floats:
    """[n] how far beyond what is allowed places are; 0 for one that is not ruled out."""
    beyond: Floats = np.maximum(worst_of(found.waves, places) - found.cut, 0.0)
    return beyond
