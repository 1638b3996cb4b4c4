"""Two or three fish: size and residence, bare and enriched tanks, look-alikes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.model import TankModel
from ...sim.run.trials import Outcome
from ...sim.scenario.scenario import ObjectSpec, RockSpec, Scenario, StockRow, TankSpec
from ...sim.scenario.timeline import FishBack, FishOut
from .lab import BARE, Lab, repainted, set_up, trials_of
from .measures import Meeting, first_win, meeting
from .verdict import Finding, finite_rows, mean_of, median_of, share_of, statistic_of

KIND = "Maylandia zebra"
SMALL = TankSpec(60.0, 30.0, 35.0, 32.0)
TWO_STONES = 2 * 8.0 * 8.0 / (60.0 * 30.0)  # share of the floor under two stones of 8 cm
PLANT = ObjectSpec("wood", x_cm=25.0, y_cm=10.0, z_cm=0.0, length_cm=10.0, width_cm=10.0, height_cm=25.0)
ENRICHED = RockSpec(cover=TWO_STONES, height_cm=8.0, piles=2, piece_cm=8.0, objects=(PLANT,))
OFFERED = TankSpec(90.0, 45.0, 45.0, 42.0)
HOUR = 0.1  # of a day of ten lit hours


def first_winners(lab: Lab, trials: int, *, newcomer_cm: float) -> NDArray[np.int64]:
    """First winner of decided contests of a resident male of 10 cm, 0, and a newcomer, 1; [k]."""
    pair = set_up(
        StockRow(KIND, 1, length_cm=(10.0, 10.0)),
        StockRow(KIND, 1, length_cm=(newcomer_cm, newcomer_cm), day=1.0),
        settle=0.0,
        days=0.4,
    )
    winners = np.array(lab.run(trials_of(pair, trials, first_win, events=True)))
    return winners[winners >= 0]


def size_and_residence(lab: Lab, trials: int) -> dict[str, Finding]:
    """P5."""
    longer = first_winners(lab, trials, newcomer_cm=12.0)
    matched = first_winners(lab, trials, newcomer_cm=10.0)
    return {
        "20 % longer newcomer": share_of(longer == 1).counting(longer == 0),
        "matched newcomer": share_of(matched == 0).counting(matched == 1),
    }


def meetings(lab: Lab, trials: int, *, rock: RockSpec) -> list[Meeting]:
    """An hour of a resident male and a male stranger of the same length."""
    pair = set_up(
        StockRow(KIND, 1, length_cm=(10.0, 10.0)),
        StockRow(KIND, 1, length_cm=(10.0, 10.0), day=1.0),
        tank=SMALL,
        rock=rock,
        settle=0.0,
        days=0.1,
    )
    found: list[Meeting] = lab.once(
        ("meetings", rock, trials), lambda: lab.run(trials_of(pair, trials, meeting))
    )
    return found


def bare_pairs(lab: Lab, trials: int) -> dict[str, Finding]:
    """P8, first half."""
    fought = np.array([one.fought for one in meetings(lab, trials, rock=BARE)])
    return {"bare tanks with a fight": share_of(fought).counting(~fought)}


def enriched_pairs(lab: Lab, trials: int) -> dict[str, Finding]:
    """P8, second half."""
    bare = np.array([one.fought for one in meetings(lab, trials, rock=BARE)])
    enriched = np.array([one.fought for one in meetings(lab, trials, rock=ENRICHED)])
    fewer = mean_of(bare.astype(float) - enriched)
    return {
        "enriched tanks with a fight": share_of(enriched).counting(enriched),
        "fewer than bare": fewer.counting(enriched & ~bare),
    }


def residents_win(lab: Lab, trials: int) -> dict[str, Finding]:
    """P8, who wins."""
    found = {}
    for name, rock in (("bare", BARE), ("enriched", ENRICHED)):
        winner = np.array([one.winner for one in meetings(lab, trials, rock=rock)])
        winner = winner[winner >= 0]
        found[name] = share_of(winner == 0).counting(winner == 1)
    return found


def stranger_at(
    day: float,
    *,
    cm: float = 10.0,
    away: float = 0.0,
) -> Scenario:
    """A resident male of 10 cm and an hour of a male stranger that comes in on a day.

    Parameters
    ----------
    cm : length of the stranger.
    away : the resident was out for so many days and comes back at that moment.
    """
    resident = StockRow(KIND, 1, length_cm=(10.0, 10.0))
    pair = set_up(resident, replace(resident, day=day, length_cm=(cm, cm)), settle=0.0, days=HOUR)
    if not away:
        return pair
    who = (f"{KIND} male 1",)
    return replace(pair, events=(FishOut(day=day - away, fish=who), FishBack(day=day, fish=who)))


def resident_wins(lab: Lab, trials: int, *scenarios: Scenario) -> NDArray[np.float64]:
    """Whether the resident won, 1 or 0, or neither, nan; [t, scenarios], the same fish in all."""
    winners = np.array(
        [[one.winner for one in lab.run(trials_of(scenario, trials, meeting))] for scenario in scenarios]
    )
    return np.where(winners >= 0, winners == 0, np.nan).T


def _compared(name: str, wins: NDArray[np.float64]) -> dict[str, Finding]:
    """The share of residents of the first column that won, and how much it is above the second's."""
    first = wins[:, 0][np.isfinite(wins[:, 0])] == 1
    more = np.subtract(*finite_rows(*wins.T))
    return {name: share_of(first).counting(~first), "more": mean_of(more).counting(more < 0)}


def time_to_settle(lab: Lab, trials: int) -> dict[str, Finding]:
    """N3, first half."""
    found = _compared("after two days", resident_wins(lab, trials, stranger_at(2.0), stranger_at(HOUR)))
    return {"two days against one hour": found.pop("more"), **found}


def time_away(lab: Lab, trials: int) -> dict[str, Finding]:
    """N3, second half: three days of residence, of ten lit hours, and one or two hours out."""
    pairs = (stranger_at(3.0 + away, away=away) for away in (HOUR, 2 * HOUR))
    found = _compared("one hour away", resident_wins(lab, trials, *pairs))
    return {"one hour against two": found.pop("more"), **found}


def _of_the_resident(outcome: Outcome) -> tuple[int, int]:
    """Its displays, and its chases and bites."""
    columns = outcome.columns
    return columns["displays"][0, 1], columns["chases"][0, 1] + columns["bites"][0, 1]


def displays_by_size(lab: Lab, trials: int) -> dict[str, Finding]:
    """N8."""
    smaller, matched, larger = (
        np.array(lab.count(stranger_at(2.0, cm=cm), trials, _of_the_resident), float).T
        for cm in (9.0, 10.0, 11.0)
    )
    fought = statistic_of(ratio_of_sums, larger[1], smaller[1])
    return {
        "displays, matched over smaller": ratio_over(matched[0], smaller[0]),
        "displays, larger over smaller": ratio_over(larger[0], smaller[0]),
        "chases and bites, larger over smaller": fought.counting(larger[1] > smaller[1]),
    }


def ratio_over(top: Any, bottom: Any) -> Finding:
    """Ratio of the sums over trials of two columns, with the number of trials in which the first is less."""
    a, b = finite_rows(top, bottom)
    return statistic_of(ratio_of_sums, a, b).counting(a < b)


def confine(model: TankModel) -> None:
    """Make stimuli of all fish but the first: they stay where they are, fear nothing and attack nobody."""
    fish, tank = model.shoal.fish, model.tank
    fish.cruise_cm_s[1:] = 1e-9
    fish.burst_cm_s[1:] = 1e-9
    fish.timidity[1:] = fish.temper[1:] = 0.0
    for i, x in enumerate((8, 9)[: len(fish) - 1], 1):  # side by side in the middle, so that both are in view
        fish.cell[i] = tank.index[x, 4, 4]


def _attacks(model: TankModel) -> Any:
    return model.ledger.pair.attacks[0, 1:].copy()


def offered(lab: Lab, trials: int, *targets: str) -> NDArray[np.int64]:
    """Attacks of a male on confined males in its own colours ("alike") or others ("other"), [n, targets]."""
    rows = [StockRow(KIND, 1, length_cm=(10.0, 10.0))]
    rows += [StockRow(target, 1, length_cm=(9.5, 9.5)) for target in targets]
    scenario = set_up(rows[0], tank=OFFERED, rock=BARE, settle=0.0, days=0.8)
    scenario = repainted(scenario, "Labidochromis caeruleus", like=KIND, name="alike")
    scenario = repainted(scenario, "Labidochromis caeruleus", like="Labidochromis caeruleus", name="other")
    scenario = replace(scenario, stock=tuple(rows))
    return np.array(lab.run(trials_of(scenario, trials, _attacks, prepare=confine)))


def look_alikes(lab: Lab, trials: int) -> dict[str, Finding]:
    """P14."""
    both = offered(lab, trials, "alike", "other")
    more = both[:, 0] - both[:, 1]
    alone = (offered(lab, trials, "alike")[:, 0], offered(lab, trials, "other")[:, 0])
    return {
        "two offered": median_of(more).counting(more < 0),
        "one offered": statistic_of(ratio_of_sums, *alone),
    }


def ratio_of_sums(top: Any, bottom: Any, axis: int = -1) -> Any:
    """Sum of one column over that of another; nan or infinite where the other is nothing."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.sum(top, axis=axis) / np.sum(bottom, axis=axis)
