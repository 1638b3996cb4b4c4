"""Space: rock and territories, intruders, nested radii, flight and hiding, males without a site."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from ...sim.run.ledger import ATTACK
from ...sim.run.model import TankModel
from ...sim.scenario.scenario import CreviceSpec, ObjectSpec, RockSpec, StockRow, TankSpec
from .contests import ratio_of_sums
from .lab import Lab, set_up, trials_of
from .measures import (
    NAN,
    Defence,
    all_chases,
    attack_distances,
    defence,
    events_of,
    flights,
    hidden_by_length,
    reach_of_attacks_cm,
    slope_of,
    straight_cm,
    territorial_males,
)
from .verdict import Finding, finite_rows, mean_of, median_of, statistic_of

COVERS = (0.0, 0.15, 0.3, 0.45, 0.6)
TERRITORIAL, NON_TERRITORIAL = "Maylandia zebra", "Labidochromis caeruleus"
FEW, MANY = 5, 10  # intruders
FLIGHTS_WANTED = 10
WALLS_CM = (0.0, 11.0, 22.0)
ROCK_AT_LEFT = ("5" * 5 + "0" * 25,) * 10  # 25 of 150 cm, 25 cm high, in steps of 5 cm
POTS = tuple(
    CreviceSpec(x_cm=x, y_cm=25.0, z_cm=2.5, mouth_cm=6.0, depth_cm=12.0)
    for x in (25.0, 50.0, 75.0, 100.0, 125.0)
)


def _chases_and_reach(model: TankModel) -> tuple[float, float]:
    return all_chases(model), reach_of_attacks_cm(model)


def over_cover(lab: Lab, trials: int, kind: str) -> NDArray[np.float64]:
    """Chases and reach of owners' attacks (cm) of the same fish under more and more rock, [n, cover, 2]."""
    by_cover = []
    for cover in COVERS:
        scenario = set_up(
            StockRow(kind, 3, 3, length_cm=(8.5, 9.5)),
            tank=TankSpec(120.0, 50.0, 50.0, 47.0),
            rock=RockSpec(cover=cover, height_cm=25.0 if cover else 0.0, piles=2),
        )
        by_cover.append(lab.run(trials_of(scenario, trials, _chases_and_reach, events=True)))
    return np.array(by_cover, float).transpose(1, 0, 2)


def relative_slope(counts: NDArray[np.float64]) -> float:
    """Slope of counts over rock cover, as a share of their mean per whole floor covered."""
    mean = counts.mean()
    return float(stats.linregress(COVERS, counts / mean).slope) if mean > 0 else NAN


def reach_slope(reach_cm: NDArray[np.float64]) -> float:
    """Slope of the reach over rock cover, cm per whole floor covered, from the first cover with rock on."""
    known = np.isfinite(reach_cm[1:])
    if known.sum() < 3:
        return NAN
    return float(stats.linregress(np.array(COVERS[1:])[known], reach_cm[1:][known]).slope)


def structure(lab: Lab, trials: int) -> dict[str, Finding]:
    """P7."""
    owners = over_cover(lab, trials, TERRITORIAL)
    others = over_cover(lab, trials, NON_TERRITORIAL)
    aggression = np.array([relative_slope(trial[:, 0]) for trial in owners])
    reach = np.array([reach_slope(trial[:, 1]) for trial in owners])
    without = np.array([relative_slope(trial[:, 0]) for trial in others])
    return {
        "aggression, territorial": mean_of(aggression).counting(_known(aggression) > 0),
        "territory size": mean_of(reach).counting(_known(reach) > 0),
        "aggression, non-territorial": mean_of(without).counting(_known(without) < 0),
    }


def _known(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return values[np.isfinite(values)]


def defences(lab: Lab, trials: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Columns of :class:`Defence` with few and with many intruders, [n, 4] each, the same owners."""

    def make() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        tables = []
        for intruders in (FEW, MANY):
            scenario = set_up(
                StockRow("Variabilichromis moorii", 1, 1, length_cm=(9.0, 10.0)),
                StockRow("Ophthalmotilapia ventralis", females=intruders, length_cm=(8.0, 9.0)),
                tank=TankSpec(200.0, 60.0, 50.0, 47.0),
                rock=RockSpec(cover=0.4, height_cm=25.0, piles=2),
            )
            tables.append(
                np.array(lab.run(trials_of(scenario, trials, defence, events=True, moves=True)), float)
            )
        return tables[0], tables[1]

    found: tuple[NDArray[np.float64], NDArray[np.float64]] = lab.once(("defences", trials), make)
    return found


def log_change(top: Any, bottom: Any, top_0: Any, bottom_0: Any, axis: int = -1) -> Any:
    """Logarithm of a ratio of sums over the same ratio elsewhere."""
    with np.errstate(divide="ignore", invalid="ignore"):
        now = np.sum(top, axis=axis) / np.sum(bottom, axis=axis)
        return np.log(now / (np.sum(top_0, axis=axis) / np.sum(bottom_0, axis=axis)))


def more_by_the_hour(hours: Any, attacks: Any, intrusions: Any, *few: Any, axis: int = -1) -> Any:
    """Change of attacks per hour minus size of the change of attacks per intrusion, as logarithms."""
    hours_0, attacks_0, intrusions_0 = few
    by_hour = log_change(attacks, hours, attacks_0, hours_0, axis=axis)
    by_intrusion = log_change(attacks, intrusions, attacks_0, intrusions_0, axis=axis)
    return by_hour - np.abs(by_intrusion)


def by_the_hour(hours: Any, attacks: Any, hours_0: Any, attacks_0: Any, axis: int = -1) -> Any:
    """Ratio of attacks an hour."""
    return np.exp(log_change(attacks, hours, attacks_0, hours_0, axis=axis))


def _both_owned(few: NDArray[np.float64], many: NDArray[np.float64]) -> NDArray[np.bool_]:
    hours = Defence._fields.index("hours")
    kept: NDArray[np.bool_] = (few[:, hours] > 0) & (many[:, hours] > 0)
    return kept


def intruders(lab: Lab, trials: int) -> dict[str, Finding]:
    """P10, first half: only tanks in which the pair held a territory both times."""
    few, many = defences(lab, trials)
    kept = _both_owned(few, many)
    (h, a, i), (h0, a0, i0) = many[kept, :3].T, few[kept, :3].T
    with np.errstate(divide="ignore", invalid="ignore"):
        single = more_by_the_hour(*(column[:, None] for column in (h, a, i, h0, a0, i0)))
    return {
        "attacks per hour": statistic_of(by_the_hour, h, a, h0, a0).counting(a / h < a0 / h0),
        "per hour against per intrusion": statistic_of(more_by_the_hour, h, a, i, h0, a0, i0).counting(
            _known(single) < 0
        ),
    }


def shrinking(lab: Lab, trials: int) -> dict[str, Finding]:
    """P10, second half."""
    few, many = defences(lab, trials)
    reach = Defence._fields.index("reach_cm")
    few_cm, many_cm = finite_rows(few[:, reach], many[:, reach])
    wider = many_cm - few_cm
    return {"distance of attacks": mean_of(wider).counting(wider > 0)}


def crowded(lab: Lab, trials: int) -> dict[str, Finding]:
    """N4."""
    reach = {}
    for males in (2, 8, 16):
        tank = set_up(
            StockRow(TERRITORIAL, males, length_cm=(8.0, 9.0)),
            tank=TankSpec(200.0, 60.0, 50.0, 47.0),
            rock=RockSpec(cover=0.4, height_cm=25.0, piles=2),
        )
        runs = trials_of(tank, trials, reach_of_attacks_cm, events=True)
        reach[males] = np.array(lab.run(runs), float)
    two, eight = finite_rows(reach[2], reach[8])
    sixteen, half = finite_rows(reach[16], reach[8])
    levels = statistic_of(ratio_of_sums, sixteen, half)
    single = sixteen / half
    lengths = _known(reach[16]) / 8.5
    return {
        "falls": statistic_of(ratio_of_sums, eight, two).counting(eight > two),
        "levels": levels.counting((single < 0.75) | (single > 1.1)),
        "least size": mean_of(lengths).counting((lengths < 3.0) | (lengths > 7.0)),
    }


def walled(far_cm: float) -> RockSpec:
    """A crevice in the middle and a wall on either side of it, so far from the 10 cm round the crevice."""
    walls = (
        ObjectSpec("wood", x_cm=x, y_cm=5.0, z_cm=0.0, length_cm=5.0, width_cm=45.0, height_cm=42.0)
        for x in (50.0 - 10.0 - far_cm - 5.0, 50.0 + 10.0 + far_cm)
    )
    middle = CreviceSpec(x_cm=50.0, y_cm=25.0, z_cm=2.5, mouth_cm=6.0, depth_cm=12.0)
    return RockSpec(crevices=(middle,), objects=tuple(walls))


def _defended(model: TankModel) -> tuple[float, float]:
    """Chases that fish 0 gave, and median distance of the fish it attacked from the crevice, cm."""
    tank, hole = model.tank, int(np.flatnonzero(~model.tank.refuge_corner)[0])
    events = events_of(model)
    own = events[(events[:, 0] >= model.measured_from) & (events[:, 1] == ATTACK) & (events[:, 2] == 0)]
    far = [straight_cm(tank, int(tank.refuge_cell[hole]), int(cell)) for cell in own[:, 5]]
    return float(model.ledger.pair.chases[0].sum()), float(np.median(far)) if far else NAN


def farther_cover(lab: Lab, trials: int) -> dict[str, Finding]:
    """N5."""
    rows = (StockRow(TERRITORIAL, 1, length_cm=(10.0, 10.0)), StockRow(TERRITORIAL, 4, length_cm=(7.0, 7.0)))
    tanks = (
        set_up(*rows, tank=TankSpec(100.0, 50.0, 45.0, 42.0), rock=walled(far_cm)) for far_cm in WALLS_CM
    )
    found = np.array(
        [lab.run(trials_of(tank, trials, _defended, events=True)) for tank in tanks], float
    ).transpose(1, 2, 0)
    rate = np.array([10 * _slope(WALLS_CM, of[0] / of[0].mean()) if of[0].any() else NAN for of in found])
    radius = np.array([_slope(WALLS_CM, of[1]) for of in found])
    return {
        "chase rate": mean_of(rate).counting(_known(rate) < 0),
        "chase radius": mean_of(radius).counting(_known(radius) < 0),
    }


def _slope(x: Sequence[float], y: NDArray[np.float64]) -> float:
    """Least-squares slope; nan unless all are known."""
    return float(stats.linregress(x, y).slope) if np.isfinite(y).all() else NAN


def nested(lab: Lab, trials: int) -> NDArray[np.float64]:
    """Median distances of attacks on own kind and on others, cm, [n, 2]."""
    mixed = set_up(
        StockRow("Tropheus moorii", 2, 3, length_cm=(9.0, 10.0)),
        StockRow("Petrochromis trewavasae", 2, 3, length_cm=(9.0, 10.0)),
        StockRow("Eretmodus cyanostictus", 1, 2, length_cm=(7.0, 8.0)),
        tank=TankSpec(180.0, 60.0, 50.0, 47.0),
        rock=RockSpec(cover=0.3, height_cm=30.0, piles=2, piece_cm=15.0),
    )
    return np.array(lab.run(trials_of(mixed, trials, attack_distances, events=True)))


def own_kind_farther(lab: Lab, trials: int) -> dict[str, Finding]:
    """P11."""
    own_cm, others_cm = finite_rows(*nested(lab, trials).T)
    farther = own_cm - others_cm
    return {"own kind minus others": median_of(farther).counting(farther < 0)}


def _flight_and_hiding(model: TankModel) -> tuple[float, float]:
    return slope_of(flights(model), at_least=FLIGHTS_WANTED), hidden_by_length(model)


def flight_and_hiding(lab: Lab, trials: int) -> NDArray[np.float64]:
    """Slope of flight distance over distance to cover, and correlation of hiding and length, [n, 2]."""

    def make() -> NDArray[np.float64]:
        group = set_up(
            StockRow("Melanochromis chipokae", 2, 4, length_cm=(6.0, 12.0)),
            tank=TankSpec(150.0, 50.0, 45.0, 42.0),
            rock=RockSpec(sketch=ROCK_AT_LEFT, piece_cm=12.0),
        )
        return np.array(lab.run(trials_of(group, trials, _flight_and_hiding, events=True)))

    found: NDArray[np.float64] = lab.once(("flight", trials), make)
    return found


def flight(lab: Lab, trials: int) -> dict[str, Finding]:
    """P12, first half."""
    slope = flight_and_hiding(lab, trials)[:, 0]
    return {"slope of flight distance": mean_of(slope).counting(_known(slope) < 0)}


def hiding(lab: Lab, trials: int) -> dict[str, Finding]:
    """P12, second half."""
    link = flight_and_hiding(lab, trials)[:, 1]
    return {"hiding and length": mean_of(link).counting(_known(link) > 0)}


def few_sites(lab: Lab, trials: int) -> dict[str, Finding]:
    """P13."""
    tank = set_up(
        StockRow("Maylandia zebra", 8, 8, length_cm=(7.0, 9.0)),
        tank=TankSpec(150.0, 50.0, 50.0, 47.0),
        rock=RockSpec(crevices=POTS),
        days=7.0,
        settle=6.0,
    )
    share = np.array(lab.count(tank, trials, territorial_males))
    return {"territorial males": mean_of(share).counting((share < 0.25) | (share > 0.50))}
