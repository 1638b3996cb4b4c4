"""Hierarchy measures against published tables and exact laws.

``worked_matrices.json`` holds published tables of who won against whom: Nelissen1985 (its
"published matrix" less the 1 added to every cell), the seven bonobos of deVries2006, the nine
bonobos of Vervaecke2007, the tables of deVries1998, Gammell2003 and deVriesAppleby2000. The values
under "computed" were worked out from the tables by the formulas of those papers.
"""

from __future__ import annotations

import json
from itertools import combinations, product
from math import comb, factorial
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rockshy.analysis.measures.hierarchy import (
    davids_score,
    directional_consistency,
    dyadic_shares,
    improved_h,
    landau_h,
    linearity_test,
    normalised_davids_score,
    steepness,
)

WORKED = json.loads((Path(__file__).parents[1] / "worked_matrices.json").read_text("utf-8"))
COMPUTED = sorted(name for name in WORKED if "computed" in WORKED[name])
NELISSEN = ["Nelissen_1985a", "Nelissen_1985b"]


def table(name: str) -> np.ndarray:
    return np.array(WORKED[name]["winner_in_rows"])


def tournaments(n: int) -> list[np.ndarray]:
    """Every way in which all pairs of n animals can be decided."""
    found = []
    for outcome in product((0, 1), repeat=comb(n, 2)):
        wins = np.zeros((n, n), dtype=int)
        for (i, j), won in zip(combinations(range(n), 2), outcome, strict=True):
            wins[i, j], wins[j, i] = won, 1 - won
        found.append(wins)
    return found


@pytest.mark.parametrize("name", COMPUTED)
def test_worked_tables(name: str) -> None:
    """Sources: the tables named at the top; values computed from them as in deVries2006, 1998."""
    wins, expected = table(name), WORKED[name]["computed"]
    for index in ("D", "P"):
        close = {"abs": 1e-6}
        assert davids_score(wins, index=index) == pytest.approx(expected[f"DS_{index}ij"], **close)
        assert normalised_davids_score(wins, index=index) == pytest.approx(
            expected[f"normDS_{index}ij"], **close
        )
        assert steepness(wins, index=index) == pytest.approx(expected[f"steepness_{index}ij"], **close)
    assert landau_h(wins) == pytest.approx(expected["h_halves"], abs=1e-6)
    assert improved_h(wins) == pytest.approx(expected["hprime_exact"], abs=1e-6)
    assert directional_consistency(wins) == pytest.approx(expected["DCI"], abs=1e-6)


@pytest.mark.parametrize(
    ("name", "h", "improved"),
    [
        ("worked_devries98", 0.58182, 0.64242),  # deVries1998
        ("worked_bonobos7", None, 0.85714),
        ("worked_devries_appleby2000_t4", None, 0.64286),  # deVriesAppleby2000
        ("worked_vervaecke9", None, 0.96667),  # Vervaecke2007
        ("Nelissen_1985a", 1.0, 1.0),  # Nelissen1985
        ("Nelissen_1985b", 1.0, 1.0),
    ],
)
def test_published_linearity(name: str, h: float | None, improved: float) -> None:
    if h is not None:
        assert landau_h(table(name)) == pytest.approx(h, abs=5e-6)
    assert improved_h(table(name)) == pytest.approx(improved, abs=5e-6)


def test_published_davids_scores() -> None:
    """Sources: deVries2006 (seven bonobos, P_ij: data; D_ij: computed), Gammell2003, Vervaecke2007."""
    bonobos = table("worked_bonobos7")
    by_share = [14.01, 11.64, 6.61, -1.29, -5.99, -8.73, -16.25]
    corrected = [10.9875, 9.6891, 7.3927, 0.8606, -7.2559, -8.8494, -12.8245]
    assert davids_score(bonobos, index="P") == pytest.approx(by_share, abs=5.1e-3)
    assert davids_score(bonobos) == pytest.approx(corrected, abs=5.1e-5)
    assert steepness(bonobos) == pytest.approx(0.6284, abs=5e-5)
    assert davids_score(table("worked_gammell_t1"), index="P") == pytest.approx(
        [9.95, 5, 0, -5, -9.95], abs=1e-9
    )
    assert steepness(table("worked_vervaecke9")) == pytest.approx(0.7421, abs=5e-5)


@pytest.mark.parametrize("name", NELISSEN)
def test_cichlid_tables_of_nelissen(name: str) -> None:
    """Source: Nelissen1985 (Melanochromis auratus); values of the archive that holds the table."""
    wins, published = table(name), WORKED[name]
    assert directional_consistency(wins) == pytest.approx(published["archive_dci"], abs=1e-9)
    assert steepness(wins, index="P") == pytest.approx(published["archive_ds_steepness_Pij"], abs=1e-9)


def test_acts_up_the_hierarchy_of_nelissen() -> None:
    """Source: Nelissen1985 data: 29 of 779 acts go up the order of the table."""
    wins = table("Nelissen_1985a")
    assert (int(np.tril(wins).sum()), int(wins.sum())) == (29, 779)
    assert directional_consistency(wins) == pytest.approx((779 - 2 * 29) / 779, abs=1e-12)


@pytest.mark.parametrize("n", [3, 4, 5])
def test_mean_h_of_all_tournaments(n: int) -> None:
    """Source: Landau1951, E[h] = 3 / (N + 1) when every pair is a fair coin; here by full enumeration."""
    assert np.mean([landau_h(wins) for wins in tournaments(n)]) == pytest.approx(3 / (n + 1), abs=1e-12)


@pytest.mark.parametrize(("n", "chance"), [(3, 0.75), (4, 0.375), (5, 0.1172)])
def test_chance_that_a_random_tournament_is_linear(n: int, chance: float) -> None:
    """Source: Landau1951, N! / 2^(N(N-1)/2); here by full enumeration."""
    linear = np.mean([landau_h(wins) > 1 - 1e-9 for wins in tournaments(n)])
    assert linear == pytest.approx(factorial(n) / 2 ** comb(n, 2), abs=1e-12)
    assert linear == pytest.approx(chance, abs=5e-5)


@pytest.mark.parametrize(("n", "chance"), [(3, 0.75), (4, 0.375), (5, 0.1172), (6, 0.0220), (7, 0.00240)])
def test_linearity_test_of_a_linear_table(n: int, chance: float) -> None:
    """The p of a linear table is the chance of a linear random tournament (Landau1951); 5 standard errors."""
    found = linearity_test(np.triu(np.ones((n, n)), 1), randomisations=20_000, seed=3)
    assert found.p_right == pytest.approx(chance, abs=5 * np.sqrt(chance * (1 - chance) / 20_000))
    assert found.p_left == 1.0


def test_linearity_test_draws_only_unknown_pairs() -> None:
    """All pairs unknown: both sides are random tournaments, so neither tail is the smaller."""
    found = linearity_test(np.zeros((6, 6)), randomisations=4000, seed=1)
    assert found.p_right == pytest.approx(found.p_left, abs=0.05)
    assert improved_h(np.zeros((6, 6))) == pytest.approx(3 / 7, abs=1e-12)  # E[h] of Landau1951
    assert linearity_test(np.zeros((6, 6)), randomisations=4000, seed=1) == found


def test_improved_h_is_the_mean_over_all_fillings() -> None:
    """Definition of deVries1998, by enumerating the fillings of the unknown pairs of deVriesAppleby2000."""
    wins = table("worked_devries_appleby2000_t4")
    unknown = [(i, j) for i, j in combinations(range(len(wins)), 2) if wins[i, j] + wins[j, i] == 0]
    assert unknown
    values = []
    for outcome in product((0, 1), repeat=len(unknown)):
        filled = wins.copy()
        for (i, j), won in zip(unknown, outcome, strict=True):
            filled[i, j], filled[j, i] = won, 1 - won
        values.append(landau_h(filled))
    assert improved_h(wins) == pytest.approx(np.mean(values), abs=1e-12)


def test_dyadic_shares_by_hand() -> None:
    """deVries2006: 3 of 4 won gives P 0.75, D (3 + 0.5) / 5 = 0.7; an unknown pair gives 0 to both."""
    wins = [[0, 3, 0], [1, 0, 0], [0, 0, 0]]
    assert dyadic_shares(wins, index="P")[0, 1] == 0.75
    assert dyadic_shares(wins, index="D")[0, 1] == pytest.approx(0.7)
    assert dyadic_shares(wins)[0, 2] == dyadic_shares(wins)[2, 0] == 0.0


def test_a_cycle_and_a_chain() -> None:
    cycle, chain = [[0, 1, 0], [0, 0, 1], [1, 0, 0]], [[0, 1, 1], [0, 0, 1], [0, 0, 0]]
    assert (landau_h(cycle), landau_h(chain)) == (0.0, 1.0)
    assert steepness(cycle) == pytest.approx(0.0) and steepness(chain, index="P") == pytest.approx(1.0)
    assert np.isnan(directional_consistency(np.zeros((3, 3))))


@settings(deadline=None)  # on a busy machine one call may be slow
@given(st.integers(2, 7), st.integers(0, 2**32 - 1), st.floats(0.0, 4.0))
def test_laws(n: int, seed: int, acts: float) -> None:
    """Order of the animals does not matter; scores add up to 0; everything lies within its bounds."""
    rng = np.random.default_rng(seed)
    wins = rng.poisson(acts, (n, n)) * ~np.eye(n, dtype=bool)
    order = rng.permutation(n)
    mixed = wins[np.ix_(order, order)]
    for measure in (landau_h, improved_h, steepness):
        assert measure(mixed) == pytest.approx(measure(wins), abs=1e-9)
        assert -1e-9 <= measure(wins) <= 1 + 1e-9
    assert improved_h(wins) >= landau_h(wins) - 1e-12
    assert davids_score(wins).sum() == pytest.approx(0.0, abs=1e-9)
    assert davids_score(mixed) == pytest.approx(davids_score(wins)[order], abs=1e-9)


@pytest.mark.parametrize(
    ("wins", "message"),
    [
        ([[0, 1, 2], [0, 0, 1]], "square"),
        ([[0]], "square"),
        ([[0, -1], [1, 0]], "below 0"),
        ([[0, float("nan")], [1, 0]], "nan"),
        ([[1, 1], [0, 0]], "diagonal"),
    ],
)
def test_bad_tables_are_refused(wins: list[list[float]], message: str) -> None:
    for measure in (landau_h, improved_h, linearity_test, davids_score, directional_consistency):
        with pytest.raises(ValueError, match=message):
            measure(wins)


def test_bad_settings_are_refused() -> None:
    with pytest.raises(ValueError, match="use 'D' or 'P'"):
        dyadic_shares([[0, 1], [0, 0]], index="Q")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="randomisations"):
        linearity_test([[0, 1], [0, 0]], randomisations=0)
