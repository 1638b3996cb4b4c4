"""Published patterns that the running model is held to. Each test names its source and how it was read.

Tanks, groups and days are the published ones only as far as they are known; where they are not,
the set-up says so. Seeds are fixed: a test passes or fails for the same reason every time.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from experiments import BARE, ROCKY, repainted, run, set_up
from rockshy.analysis.hierarchy import directional_consistency, improved_h, normalised_davids_score
from rockshy.sim.scenario import RockSpec, StockRow, TankSpec
from scipy import stats

GROUPS = 16


@cache
def groups_of_seven(rock: RockSpec = ROCKY) -> tuple[np.ndarray, ...]:
    """Chases in groups of seven M. auratus, second day (sexes and tank of the paper are not known to us)."""
    group = set_up(StockRow("Melanochromis auratus", 2, 5, length_cm=(8.5, 9.5)), rock=rock)
    return tuple(run(group, trials=GROUPS, measure=lambda model: np.asarray(model.ledger.pair.chases.copy())))


def random_chases(wins: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """The same number of chases, each from anybody to anybody else: the null model."""
    n = len(wins)
    pairs = np.flatnonzero(~np.eye(n, dtype=bool))
    thrown = rng.choice(pairs, int(wins.sum()))
    return np.bincount(thrown, minlength=n * n).reshape(n, n)


def top_and_bottom(wins: np.ndarray) -> tuple[float, float, float]:
    """Share of chases given by the top fish, given by the bottom fish, received by the bottom fish."""
    order = np.argsort(-normalised_davids_score(wins))
    total = wins.sum()
    return wins[order[0]].sum() / total, wins[order[-1]].sum() / total, wins[:, order[-1]].sum() / total


def test_p1_groups_become_linear() -> None:
    """P1: conspecific groups of 3-8 become linear.

    Nelissen1985 (data: h = 1, N = 7); AndriesNelissen1990 (abstract).
    """
    linearity = [improved_h(wins) for wins in groups_of_seven()]
    assert np.median(linearity) >= 0.9  # a random tournament of seven has 0.375
    assert stats.ttest_1samp(linearity, 0.375, alternative="greater").pvalue < 1e-6


def test_p2_few_chases_go_up_the_hierarchy() -> None:
    """P2: directional consistency 0.80-0.98. Nelissen1985 (data, computed: 0.926)."""
    consistency = [directional_consistency(wins) for wins in groups_of_seven()]
    assert 0.80 <= np.median(consistency) <= 0.98
    rng = np.random.default_rng(1)
    null = [directional_consistency(random_chases(wins, rng)) for wins in groups_of_seven()]
    assert min(consistency) > max(null)


def test_p3_top_gives_most_bottom_gives_least() -> None:
    """P3, bottom fish: gives under 2 % (table 0.3 %), receives more than its even share (table 31.7 %).

    Nelissen1985 (data, computed).
    """
    shares = np.array([top_and_bottom(wins) for wins in groups_of_seven()])
    assert np.median(shares[:, 1]) < 0.02
    assert np.median(shares[:, 2]) > 1 / 7
    rng = np.random.default_rng(2)
    null = np.array([top_and_bottom(random_chases(wins, rng)) for wins in groups_of_seven()])
    assert shares[:, 0].min() > null[:, 0].max()
    assert np.median(shares[:, 1]) < null[:, 1].min()
    assert stats.wilcoxon(shares[:, 2] - null[:, 2], alternative="greater").pvalue < 0.05


@pytest.mark.parametrize(
    "rock",
    [
        pytest.param(BARE, id="bare"),
        pytest.param(
            ROCKY,
            id="rocky",
            marks=pytest.mark.xfail(
                strict=True,
                reason="With rock, a male that owns a crevice in 100 cm of tank covers all of it, the others "
                "hide half of the day, and it gives eight chases in ten (in 200 cm four). Whether the "
                "paper's tank had shelters is not known.",
            ),
        ),
    ],
)
def test_p3_the_top_fish_leaves_something_to_others(rock: RockSpec) -> None:
    """P3, top fish: gives 20-55 % of acts (table 24.8 %). Nelissen1985 (data, computed)."""
    top = [top_and_bottom(wins)[0] for wins in groups_of_seven(rock)]
    assert 0.20 <= np.median(top) <= 0.55


def test_p5_size_beats_residence() -> None:
    """P5: at a length ratio of 1.20 the larger wins at least 0.9 of contests, a matched resident 0.45-0.75.

    Wazlavek1989 and DraudLynch2002 (abstracts). A resident settles alone for a day; the other comes in.
    """

    def contests(newcomer_cm: float) -> np.ndarray:
        pair = set_up(
            StockRow("Maylandia zebra", 1, length_cm=(10.0, 10.0)),
            StockRow("Maylandia zebra", 1, length_cm=(newcomer_cm, newcomer_cm), day=1.0),
            settle=0.0,
            days=0.4,
        )
        return np.array(run(pair, trials=120, measure=first_win))

    larger = contests(12.0)
    decided = larger[larger >= 0]
    assert len(decided) >= 20
    assert np.mean(decided == 1) >= 0.9
    matched = contests(10.0)
    decided = matched[matched >= 0]
    assert len(decided) >= 60
    assert 0.45 <= np.mean(decided == 0) <= 0.75


def first_win(model: Any) -> int:
    """Fish that won the first decided contest of a pair; -1 when there was none in the measured time."""
    wins = model.ledger.pair.wins
    if wins.sum() == 0:
        return -1
    return int(wins[1, 0] > wins[0, 1])


def contact_by_hour(model: Any) -> np.ndarray:
    """Bites and decided contests of the run by lit hour: aggression with contact, not chases or displays."""
    events = model.ledger.events[: model.ledger.state.n_events[0]]
    contact = events[(events[:, 1] == 1) | (events[:, 1] == 4)]
    return np.bincount(contact[:, 0] // model.hour_ticks, minlength=model.hours)[: model.hours]


def test_p9_contact_falls_after_the_first_hours() -> None:
    """P9: contact aggression falls within the first day: hours 12-24 under hours 0-2.

    A. burtoni behind a glass partition against free contact (abstract, author from memory). Ten lit
    hours a day: lit hours 12-20 stand for the published hours 12-24. Chases without contact do not
    fall in the model; the paper's measure is contact.
    """
    strangers = set_up(StockRow("Melanochromis auratus", 2, 5, length_cm=(8.5, 9.5)), settle=0.0, days=2.0)
    hourly = np.array(run(strangers, trials=GROUPS, measure=contact_by_hour, keep=True))
    early, late = hourly[:, :2].mean(axis=1), hourly[:, 12:].mean(axis=1)
    assert np.median(late / early) < 0.9
    assert stats.wilcoxon(late - early, alternative="less").pvalue < 0.01


def test_p11_own_kind_is_attacked_farther_from_the_centre() -> None:
    """P11: conspecifics are attacked farther from the centre. MatsumotoKohda2004, Kohda1998 (abstracts)."""
    mixed = set_up(
        StockRow("Tropheus moorii", 2, 3, length_cm=(9.0, 10.0)),
        StockRow("Petrochromis trewavasae", 2, 3, length_cm=(9.0, 10.0)),
        StockRow("Eretmodus cyanostictus", 1, 2, length_cm=(7.0, 8.0)),
        tank=TankSpec(180.0, 60.0, 50.0, 47.0),
        rock=RockSpec(cover=0.3, height_cm=30.0, piles=2, piece_cm=15.0),
    )
    medians = np.array(run(mixed, trials=30, measure=attack_distances, keep=True))
    assert np.median(medians[:, 0] - medians[:, 1]) > 0.0
    assert stats.wilcoxon(medians[:, 0] - medians[:, 1], alternative="greater").pvalue < 0.05


def attack_distances(model: Any) -> tuple[float, float]:
    """Median distance from the owner's centre of its attacks on its own kind and on others, cm."""
    ledger, kind = model.ledger, model.shoal.fish.species
    found: tuple[list[float], list[float]] = ([], [])
    for tick, event, actor, target, _, cell in ledger.events[: ledger.state.n_events[0]]:
        if event != 3 or tick < model.measured_from + model.hour_ticks:
            continue
        hour = min((tick - model.measured_from) // model.hour_ticks, model.hours - 1)
        centre = ledger.hours.centre[actor, hour]
        if centre < 0 or centre != ledger.hours.centre[actor, hour - 1]:
            continue  # it did not hold the same centre all hour
        found[int(kind[actor] != kind[target])].append(
            model.tank.path[centre, cell] * model.tank.edge_cm / 3.0
        )
    return float(np.median(found[0])), float(np.median(found[1]))


OFFERED = TankSpec(90.0, 45.0, 45.0, 42.0)


def confine(model: Any) -> None:
    """Make stimuli of all fish but the first: they stay where they are, fear nothing and attack nobody."""
    fish, tank = model.shoal.fish, model.tank
    fish.cruise_cm_s[1:] = 1e-9
    fish.burst_cm_s[1:] = 1e-9
    fish.timidity[1:] = fish.temper[1:] = 0.0
    for i, x in enumerate((8, 9)[: len(fish) - 1], 1):  # side by side in the middle, so that both are in view
        fish.cell[i] = tank.index[x, 4, 4]


def offered(*targets: str) -> np.ndarray:
    """Attacks of a M. zebra male on confined males in its own colours ("alike") or others ("other").

    The paper offered confined opponents; its tank and times are not known to us.
    """
    rows = [StockRow("Maylandia zebra", 1, length_cm=(10.0, 10.0))]
    rows += [StockRow(target, 1, length_cm=(9.5, 9.5)) for target in targets]
    scenario = set_up(rows[0], tank=OFFERED, rock=BARE, settle=0.0, days=0.8)
    scenario = repainted(scenario, "Labidochromis caeruleus", like="Maylandia zebra", name="alike")
    scenario = repainted(scenario, "Labidochromis caeruleus", like="Labidochromis caeruleus", name="other")
    scenario = replace(scenario, stock=tuple(rows))
    attacks = run(scenario, trials=80, prepare=confine, measure=lambda m: m.ledger.pair.attacks[0, 1:].copy())
    return np.array(attacks)


def test_p14_of_two_targets_the_look_alike_gets_more() -> None:
    """P14, first half. Pauers2008 (2nd; effect size not read, so only the direction is checked)."""
    both = offered("alike", "other")
    assert stats.wilcoxon(both[:, 0] - both[:, 1], alternative="greater").pvalue < 0.01


def test_p14_with_one_target_the_total_does_not_depend_on_colour() -> None:
    """P14, second half. Pauers2008 (2nd): colour shifts the choice, not the total."""
    alike, other = offered("alike")[:, 0], offered("other")[:, 0]
    ratio = alike.sum() / other.sum()
    spread = np.std(alike / alike.mean() - other / other.mean()) / np.sqrt(len(alike))
    assert abs(np.log(ratio)) < 3.0 * spread
    assert spread < 0.1  # precise enough to see that a look-alike weight of 1.5 is not in the total
