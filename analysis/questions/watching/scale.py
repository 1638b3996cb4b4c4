"""The one factor that brings the model's chase rates to a real tank, with its uncertainty, as a small file.

factor = chases counted / chases that the model gives in the same minutes, over its simulated tanks.

Its 95 % interval is log-normal (delta method, textbook). The chases of a watch scatter more than one by one:
their variance is taken as m + c m^2 (negative binomial), with c from the windows within the simulated tanks.
From four watches on the scatter between the watches themselves is looked at too, and the wider interval
stands. The error of the model's own mean over its tanks is added. That tanks of the model differ is not part
of it: the factor is that of this tank.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from scipy import stats

from ....sim.fish.population import individuals
from ....sim.scenario.reading.problems import printable
from ....sim.scenario.scenario import Scenario
from ...measures.rates import Trend
from ...statistics.intervals import CONFIDENCE, Estimate, Floats, ratio_estimate
from .agree import WATCHES_OF_THEIR_OWN

if TYPE_CHECKING:
    from ..answer.answer import Answer, Portrait

SCALED = ("received", "given", "bites")  # figures on the model's own scale; shares and ratios are not
FEW = 10  # chases; with fewer a factor says little


@dataclass(frozen=True)
class Scale:
    """A factor of a tank."""

    factor: float
    low: float  # 95 % interval
    high: float
    chases: int  # counted
    minutes: float
    watches: int
    expected: float  # chases that the model gives in the same minutes
    tanks: int  # simulated
    overdispersion: float  # c: variance of the chases of the watches together is m + c m^2
    title: str = ""
    stock: tuple[str, ...] = ()  # "Tropheus duboisi: 2 male, 4 female"
    tank_cm: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def text(self) -> str:
        """``"1.8 (1.2 to 2.6)"``."""
        return f"{_short(self.factor)} ({_short(self.low)} to {_short(self.high)})"


class NoScaleError(ValueError):
    """No factor can be fitted; the message says why."""


def fit_scale(counted: Sequence[float], model: Sequence[Sequence[Floats]], *, minutes: float) -> Scale:
    """Fit the factor.

    Parameters
    ----------
    counted : chases of each of k watches.
    model : for each simulated tank and watch, [w] chases in each window of its length, of the same fish.
    minutes : of all watches together.

    Raises
    ------
    NoScaleError
        When no chase was counted, or the model gives none.
    """
    total = float(np.sum(counted))
    means = np.array([[float(np.mean(one)) for one in tank] for tank in model])  # [t, k]
    expected = float(means.sum(axis=1).mean())
    if total <= 0:
        raise NoScaleError("no chase was counted, so any factor would do; watch longer, or at another hour")
    if expected <= 0:
        raise NoScaleError("in the model these fish do not chase at all: no factor makes that your tank")
    over = _overdispersion(model, means)
    own = math.sqrt(1 / total + over)
    error = float(means.sum(axis=1).std(ddof=1)) / expected / math.sqrt(len(means)) if len(means) > 1 else 0.0
    half = _z() * own
    if len(counted) >= WATCHES_OF_THEIR_OWN:
        half = max(half, _half_by_watches(counted, means.mean(axis=0)))
    half = math.hypot(half, _z() * error)
    factor = total / expected
    low, high = factor * math.exp(-half), factor * math.exp(half)
    return Scale(factor, low, high, int(total), minutes, len(counted), expected, len(means), over)


def _overdispersion(model: Sequence[Sequence[Floats]], means: Floats) -> float:
    """c of the chases of all watches together within one tank: (variance - mean) / mean^2, at least 0."""
    variances = np.array([[np.var(one, ddof=1) if len(one) > 1 else 0.0 for one in tank] for tank in model])
    extra = float((variances - means).sum())
    return max(0.0, extra / float((means.sum(axis=1) ** 2).sum()))


def _half_by_watches(counted: Sequence[float], expected: Floats) -> float:
    """Half the log-normal interval by the scatter between watches; 0 where they do not differ."""
    k = np.arange(len(counted))
    found = ratio_estimate(np.asarray(counted, float), bottom=expected, draw=k, fixed=True)
    return math.log(found.high / found.value) if found.high > 0 else 0.0


def _z() -> float:
    return float(stats.norm.ppf((1 + CONFIDENCE) / 2))


def _short(value: float) -> str:
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}" if value >= 0.995 else f"{value:.2f}"


# --- whose it is ------------------------------------------------------------------


def of_tank(scale: Scale, scenario: Scenario) -> Scale:
    """The factor with the tank it belongs to."""
    return replace(scale, title=scenario.title, stock=stock_of(scenario), tank_cm=sides_of(scenario))


def stock_of(scenario: Scenario) -> tuple[str, ...]:
    """The stock in short, one text a species."""
    people = individuals(scenario.stock)
    found = []
    for species in dict.fromkeys(one.species for one in people):
        sexes = [one.sex for one in people if one.species == species]
        parts = [f"{sexes.count(sex)} {sex}" for sex in dict.fromkeys(sexes)]
        found.append(f"{species}: {', '.join(parts)}")
    return tuple(found)


def sides_of(scenario: Scenario) -> tuple[float, float, float]:
    """Length, width and height of the tank, cm."""
    tank = scenario.tank
    return tank.length_cm, tank.width_cm, tank.height_cm


def differences(scale: Scale, scenario: Scenario) -> list[str]:
    """How a tank differs from the one a factor was fitted to, in words; none where it is the same."""
    found = []
    there, here = scale.stock, stock_of(scenario)
    changed = [one for one in here if one not in there]
    changed += [f"no {one}" for one in there if one not in here]
    if changed:
        found.append(f"other stock ({'; '.join(changed[:3])}{' ...' if len(changed) > 3 else ''})")
    sides = sides_of(scenario)
    if any(abs(a - b) > 0.5 for a, b in zip(scale.tank_cm, sides, strict=True)):
        say = " x ".join(f"{side:g}" for side in scale.tank_cm)
        found.append(f"another tank (there {say} cm, here {' x '.join(f'{side:g}' for side in sides)} cm)")
    return found


# --- the answer, scaled -------------------------------------------------------------


def scaled(answer: Answer, scale: Scale) -> Answer:
    """An answer whose chase and bite rates are multiplied by the factor; shares, ratios, pinning are not."""
    k = scale.factor
    trends = {
        name: Trend(_times(one.first, k), _times(one.last, k), _times(one.change, k))
        if name in SCALED
        else one
        for name, one in answer.trends.items()
    }
    fish, alike, species, kinds = (
        tuple(_portrait(one, k) for one in those)
        for those in (answer.fish, answer.alike, answer.species, answer.kinds)
    )
    turned = tuple(
        replace(one, male=_portrait(one.male, k), female=_portrait(one.female, k)) for one in answer.turned
    )
    return replace(answer, fish=fish, alike=alike, turned=turned, species=species, kinds=kinds, trends=trends)


def _portrait(one: Portrait, k: float) -> Portrait:
    figures: dict[str, Mapping[str, Estimate]] = {
        arm: {name: _times(found, k) if name in SCALED else found for name, found in of_arm.items()}
        for arm, of_arm in one.figures.items()
    }
    return replace(one, figures=figures)


def _times(found: Estimate, k: float) -> Estimate:
    """An estimate in another unit: k of the old ones."""
    limits = {name: k * getattr(found, name) for name in ("value", "low", "high", "guess_low", "guess_high")}
    return replace(found, **limits, between=k * k * found.between, within=k * k * found.within)


# --- the file -----------------------------------------------------------------------

_HEAD = """\
# The factor that brings Rockshy's chases an hour to a tank, from a tally of it.
# Use it with: rockshy run FILE --scale {name}
# It belongs to this tank: the same glass and the fish that were in it. It scales chases and bites an hour;
# shares, ratios, hiding and pinning are not touched by it.

"""


def scale_text(scale: Scale, *, name: str) -> str:
    """The text of a scale file, TOML."""
    lines = ["[scale]"]
    for part in fields(Scale):
        value = getattr(scale, part.name)
        if part.name == "title":
            lines += ["", "[tank]"]
        lines.append(f"{part.name} = {_toml(value)}")
    return _HEAD.format(name=Path(name).name) + "\n".join(lines) + "\n"


def _toml(value: object) -> str:
    if isinstance(value, str):
        escaped = printable(value).replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, tuple):
        return f"[{', '.join(_toml(one) for one in value)}]"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
