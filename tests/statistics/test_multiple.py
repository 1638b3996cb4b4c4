"""Correction for the number of comparisons, against published examples, and the verdicts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rockshy.analysis.statistics.multiple import CALMER, UNTOLD, WORSE, holm, verdict, verdicts
from rockshy.analysis.statistics.paired import Difference, paired_difference


def difference(value: float, p_value: float, *, lower_is_better: bool = True) -> Difference:
    return Difference(value, value - 1, value + 1, 0, 0, 0, 9, 1.0, p_value, lower_is_better)


def test_four_hypotheses() -> None:
    """The textbook four at 5 %: the first and the last are told. Procedure: Holm1979."""
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])


def test_seven_hypotheses() -> None:
    """A published example at 5 %: the third and the seventh are told (5 x 0.01 is a tie by arithmetic)."""
    found = holm([0.50, 0.01, 0.001, 0.69, 0.02, 0.05, 0.0025])
    assert found == pytest.approx([1.0, 0.05, 0.007, 1.0, 0.08, 0.15, 0.015])


def test_holm_keeps_order_leaves_nan_out_and_refuses_what_is_no_chance() -> None:
    found = holm([0.02, np.nan, 0.01])
    assert found[[0, 2]] == pytest.approx([0.02, 0.02]) and math.isnan(found[1])
    assert holm([]).shape == (0,)
    assert holm([0.3]) == pytest.approx([0.3])
    with pytest.raises(ValueError, match="0 to 1"):
        holm([0.5, 1.5])


def test_verdicts_are_corrected_and_follow_the_direction() -> None:
    four = [difference(-1.0, 0.01), difference(-1.0, 0.04), difference(1.0, 0.005), difference(1.0, 0.03)]
    assert verdicts(four) == [CALMER, UNTOLD, WORSE, UNTOLD]
    assert [verdict(one) for one in four] == [CALMER, CALMER, WORSE, WORSE]
    assert verdict(difference(-1.0, 0.01, lower_is_better=False)) == WORSE
    assert verdict(difference(-1.0, 0.01), p_value=0.2) == UNTOLD
    assert verdict(difference(-1.0, float("nan"))) == UNTOLD
    with pytest.raises(ValueError, match="level"):
        verdict(four[0], level=5.0)


def test_nothing_changed_is_never_told() -> None:
    same = np.arange(8.0)
    assert verdicts([paired_difference(same, base=same, draw=range(8))] * 3) == [UNTOLD] * 3


def test_chance_of_any_wrong_claim_stays_below_the_level() -> None:
    """10 comparisons without a difference, all against one base: 5 % within 3 standard errors or fewer."""
    rng = np.random.default_rng(9)
    wrong = plain = 0
    for _ in range(150):
        base = rng.standard_normal(20)
        ten = [paired_difference(rng.standard_normal(20), base=base, draw=range(20)) for _ in range(10)]
        wrong += any(word != UNTOLD for word in verdicts(ten))
        plain += any(one.told for one in ten)
    assert wrong / 150 <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 150)
    assert plain / 150 > 0.15
