"""Draws placed by blocks: every part of each range once a block, names independent, nothing ever moved."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from rockshy.sim.fish.population import draw_traits
from rockshy.sim.rules.support.draws import BLOCK, placed
from rockshy.sim.rules.support.parameters import load, resolve
from rockshy.sim.species.species import library
from scipy import stats
from scipy.stats import qmc

NAMES, DRAWS = 40, 64 * BLOCK


@pytest.fixture(scope="module")
def drawn() -> NDArray[np.float64]:
    """[draws, names] numbers of one seed."""
    return np.array([[placed(7, g, "made up", str(k)) for k in range(NAMES)] for g in range(DRAWS)])


def test_each_part_of_a_range_is_hit_once_in_each_block(drawn: NDArray[np.float64]) -> None:
    parts = np.floor(drawn * BLOCK).reshape(-1, BLOCK, NAMES)
    assert (np.sort(parts, axis=1) == np.arange(BLOCK)[:, None]).all()


def test_parameters_and_traits_are_placed(drawn: NDArray[np.float64]) -> None:
    """Of a block of draws each drawn number has one value in every eighth of its range, on its own scale."""
    draws = range(3 * BLOCK, 4 * BLOCK)
    found = [resolve({}, seed=5, draw=draw, fixed=False) for draw in draws]
    checked = 0
    for name, one in load().items():
        if one.draw != "fixed" and one.low < one.high:
            scale = np.log if one.draw == "log" else np.asarray
            low, high = scale(one.low), scale(one.high)
            share = (scale(np.array([p[name] for p in found])) - low) / (high - low)
            assert sorted(np.floor(share * BLOCK)) == list(range(BLOCK)), name
            checked += 1
    assert checked > 20
    kind = next(iter(library().values()))
    name = next(name for name, trait in kind.traits.items() if trait.low < trait.high)
    traits = [draw_traits(kind, seed=5, draw=draw, fixed=False)[name] for draw in draws]
    assert len(set(traits)) == BLOCK


def test_numbers_are_uniform(drawn: NDArray[np.float64]) -> None:
    """Against scipy's distribution function, over many names of one draw, where all are independent."""
    for draw in (0, 5, BLOCK, 100):
        many = [placed(3, draw, "made up", str(k)) for k in range(4000)]
        assert stats.kstest(many, "uniform").pvalue > 0.01
    inside = (drawn * BLOCK) % 1.0  # where in its part
    assert stats.kstest(inside.ravel(), "uniform").pvalue > 0.01


def test_names_are_independent(drawn: NDArray[np.float64]) -> None:
    """Correlations of 780 pairs scatter as those of independent numbers do, about 1 / sqrt(draws)."""
    found = np.corrcoef(drawn.T)[np.triu_indices(NAMES, 1)]
    assert np.sqrt((found**2).mean()) * np.sqrt(DRAWS) == pytest.approx(1.0, abs=0.1)
    assert np.abs(found).max() * np.sqrt(DRAWS) < 4.5
    parts = np.floor(drawn * BLOCK).astype(int)
    joint = np.zeros((BLOCK, BLOCK))
    for one in range(0, NAMES, 2):
        np.add.at(joint, (parts[:, one], parts[:, one + 1]), 1)
    assert stats.chi2_contingency(joint).pvalue > 0.01


def test_blocks_are_independent(drawn: NDArray[np.float64]) -> None:
    """The same draw of two blocks that follow each other has nothing to do with itself."""
    before, after = drawn[:-BLOCK].ravel(), drawn[BLOCK:].ravel()
    assert abs(np.corrcoef(before, after)[0, 1]) * np.sqrt(len(after)) < 3.0


def test_seeds_and_names_differ_and_the_same_gives_the_same() -> None:
    assert placed(1, 3, "a", "b") == placed(1, 3, "a", "b")
    others = {
        placed(1, 3, "a", "b"),
        placed(2, 3, "a", "b"),
        placed(1, 3, "a", "c"),
        placed(1, 3 + BLOCK, "a", "b"),
    }
    assert len(others) == 4


def test_a_number_set_by_hand_moves_no_other_in_any_draw() -> None:
    name = next(name for name, one in load().items() if one.draw == "log")
    for draw in (0, BLOCK - 1, BLOCK, 10 * BLOCK + 3):
        as_drawn = resolve({}, seed=1, draw=draw, fixed=False)
        by_hand = resolve({name: load()[name].high}, seed=1, draw=draw, fixed=False)
        assert {key for key in load() if as_drawn[key] != by_hand[key]} == {name}


def test_what_adds_up_varies_as_little_as_in_the_hypercube_of_scipy(drawn: NDArray[np.float64]) -> None:
    """Means of blocks of a sum over names: variance as in scipy's hypercube, a 64th of random draws'."""
    weights = 1.0 / (1.0 + np.arange(NAMES))
    ours = (drawn @ weights).reshape(-1, BLOCK).mean(axis=1).var(ddof=1)
    rng = np.random.default_rng(1)
    theirs = [qmc.LatinHypercube(NAMES, seed=rng).random(BLOCK).dot(weights).mean() for _ in range(2000)]
    blocks = DRAWS // BLOCK
    ratio = ours / np.var(theirs, ddof=1)
    assert stats.f.ppf(0.005, blocks - 1, 1999) < ratio < stats.f.ppf(0.995, blocks - 1, 1999)
    random = (weights**2).sum() / 12.0 / BLOCK
    assert ours / random == pytest.approx(1.0 / BLOCK**2, rel=0.5)
