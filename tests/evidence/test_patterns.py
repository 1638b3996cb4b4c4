"""Published patterns that the running model is held to. Each test names its source and how it was read.

The experiments are those of rockshy.analysis.evidence, with fewer trials; its registration says what is known
of tank, group and days. Seeds are fixed: a test passes or fails for the same reason every time.
"""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.analysis.evidence import contests, groups, places
from rockshy.analysis.evidence.lab import BARE, ROCKY, Lab
from rockshy.analysis.evidence.measures import top_and_bottom
from rockshy.analysis.measures.hierarchy import directional_consistency, improved_h
from rockshy.sim.scenario.scenario import RockSpec
from scipy import stats

GROUPS = 16


@pytest.fixture(scope="module")
def lab() -> Lab:
    """One bench, so that groups are run once for all tests that look at them."""
    return Lab()


def random_chases(wins: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """The same number of chases, each from anybody to anybody else: the null model."""
    n = len(wins)
    pairs = np.flatnonzero(~np.eye(n, dtype=bool))
    thrown = rng.choice(pairs, int(wins.sum()))
    return np.bincount(thrown, minlength=n * n).reshape(n, n)


def test_p1_groups_become_linear(lab: Lab) -> None:
    """P1: conspecific groups of 3-8 become linear.

    Nelissen1985 (data: h = 1, N = 7); AndriesNelissen1990 (abstract).
    """
    linearity = [improved_h(wins) for wins in groups.of_seven(lab, GROUPS)]
    assert np.median(linearity) >= 0.9  # a random tournament of seven has 0.375
    assert stats.ttest_1samp(linearity, 0.375, alternative="greater").pvalue < 1e-6


def test_p2_few_chases_go_up_the_hierarchy(lab: Lab) -> None:
    """P2: directional consistency 0.80-0.98. Nelissen1985 (data, computed: 0.926)."""
    consistency = [directional_consistency(wins) for wins in groups.of_seven(lab, GROUPS)]
    assert 0.80 <= np.median(consistency) <= 0.98
    rng = np.random.default_rng(1)
    null = [directional_consistency(random_chases(wins, rng)) for wins in groups.of_seven(lab, GROUPS)]
    assert min(consistency) > max(null)


def test_p3_top_gives_most_bottom_gives_least(lab: Lab) -> None:
    """P3, bottom fish: gives under 2 % (table 0.3 %), receives more than its even share (table 31.7 %).

    Nelissen1985 (data, computed).
    """
    seven = groups.of_seven(lab, GROUPS)
    shares = np.array([top_and_bottom(wins) for wins in seven])
    assert np.median(shares[:, 1]) < 0.02
    assert np.median(shares[:, 2]) > 1 / 7
    rng = np.random.default_rng(2)
    null = np.array([top_and_bottom(random_chases(wins, rng)) for wins in seven])
    assert shares[:, 0].min() > null[:, 0].max()
    assert np.median(shares[:, 1]) < null[:, 1].min()
    assert stats.wilcoxon(shares[:, 2] - null[:, 2], alternative="greater").pvalue < 0.05


@pytest.mark.parametrize("rock", [pytest.param(BARE, id="bare"), pytest.param(ROCKY, id="rocky")])
@pytest.mark.xfail(
    strict=True,
    reason="Who is at the top is free all day and meets the others on ground that it claims, most of a tank "
    "of 100 cm; these attack near themselves alone and hide a good part of the day.",
)
def test_n1_the_top_fish_leaves_something_to_others(lab: Lab, rock: RockSpec) -> None:
    """N1: the top fish gives 1.0-2.7 times an even share of the acts. Strauss2022; Nelissen1985 (data)."""
    top = [len(wins) * top_and_bottom(wins)[0] for wins in groups.of_seven(lab, GROUPS, rock=rock)]
    assert 1.0 <= np.median(top) <= 2.7


def test_p5_size_beats_residence(lab: Lab) -> None:
    """P5: at a length ratio of 1.20 the larger wins at least 0.9 of contests, a matched resident 0.45-0.75.

    Wazlavek1989 and DraudLynch2002 (abstracts). A resident settles alone for a day; the other comes in.
    """
    longer = contests.first_winners(lab, 120, newcomer_cm=12.0)
    assert len(longer) >= 20
    assert np.mean(longer == 1) >= 0.9
    matched = contests.first_winners(lab, 120, newcomer_cm=10.0)
    assert len(matched) >= 60
    assert 0.45 <= np.mean(matched == 0) <= 0.75


def test_p9_contact_falls_after_the_first_hours(lab: Lab) -> None:
    """P9: contact aggression falls within the first day: hours 12-24 under hours 0-2.

    A. burtoni behind a glass partition against free contact (abstract, author from memory). Ten lit
    hours a day: lit hours 12-20 stand for the published hours 12-24. Chases without contact do not
    fall in the model; the paper's measure is contact.
    """
    early, late = groups.contact(lab, GROUPS)
    assert np.median(late / early) < 0.9
    assert stats.wilcoxon(late - early, alternative="less").pvalue < 0.01


def test_p11_own_kind_is_attacked_farther_from_the_centre(lab: Lab) -> None:
    """P11: conspecifics are attacked farther from the centre. MatsumotoKohda2004, Kohda1998 (abstracts)."""
    medians = places.nested(lab, 30)
    assert np.median(medians[:, 0] - medians[:, 1]) > 0.0
    assert stats.wilcoxon(medians[:, 0] - medians[:, 1], alternative="greater").pvalue < 0.05


def test_p14_of_two_targets_the_look_alike_gets_more(lab: Lab) -> None:
    """P14, first half. Pauers2008 (2nd; effect size not read, so only the direction is checked)."""
    both = contests.offered(lab, 80, "alike", "other")
    assert stats.wilcoxon(both[:, 0] - both[:, 1], alternative="greater").pvalue < 0.01


def test_p14_with_one_target_the_total_does_not_depend_on_colour(lab: Lab) -> None:
    """P14, second half. Pauers2008 (2nd): colour shifts the choice, not the total."""
    alike, other = contests.offered(lab, 80, "alike")[:, 0], contests.offered(lab, 80, "other")[:, 0]
    ratio = alike.sum() / other.sum()
    spread = np.std(alike / alike.mean() - other / other.mean()) / np.sqrt(len(alike))
    assert abs(np.log(ratio)) < 3.0 * spread
    assert spread < 0.1  # precise enough to see that a look-alike weight of 1.5 is not in the total
