"""Two or three fish: size and residence, bare and enriched tanks, look-alikes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.model import TankModel
from ...sim.scenario.scenario import ObjectSpec, RockSpec, StockRow, TankSpec
from .lab import BARE, Lab, repainted, set_up, trials_of
from .measures import Meeting, first_win, meeting
from .verdict import Finding, mean_of, median_of, share_of, statistic_of

KIND = "Maylandia zebra"
SMALL = TankSpec(60.0, 30.0, 35.0, 32.0)
TWO_STONES = 2 * 8.0 * 8.0 / (60.0 * 30.0)  # share of the floor under two stones of 8 cm
PLANT = ObjectSpec("wood", x_cm=25.0, y_cm=10.0, z_cm=0.0, length_cm=10.0, width_cm=10.0, height_cm=25.0)
ENRICHED = RockSpec(cover=TWO_STONES, height_cm=8.0, piles=2, piece_cm=8.0, objects=(PLANT,))
OFFERED = TankSpec(90.0, 45.0, 45.0, 42.0)


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
