"""Stand-ins of figures, what they rule out, and blocks spread over what is left, held to made worlds."""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.analysis.statistics import emulator
from rockshy.analysis.statistics.implausible import CUT, Target, Wave, survivors, worst_of
from rockshy.analysis.statistics.spread import blocks_of
from scipy import stats

INPUTS = 6
ROOM = Target(-np.inf, 0.0, 0.1)


def truth(places: np.ndarray) -> np.ndarray:
    """Rises with the first input, bends with the second, and the third and fourth act together."""
    at = 2 * places - 1
    return at[:, 0] + 0.8 * at[:, 1] ** 2 + 1.2 * at[:, 2] * at[:, 3]


def fitted(*, luck: float, sets: int = 500, seed: int = 1) -> emulator.Emulator:
    rng = np.random.default_rng(seed)
    places = rng.random((sets, INPUTS))
    return emulator.fit(places, truth(places) + luck * rng.standard_normal(sets), luck=luck)


def test_it_foretells_bends_and_what_acts_together_through_luck() -> None:
    made = fitted(luck=0.5)
    places = np.random.default_rng(2).random((4000, INPUTS))
    missed = np.sqrt(np.mean((made.foretold(places) - truth(places)) ** 2))
    assert missed < 0.15 and made.told > 0.9
    # what it says of its own error holds, though the luck of its runs was three times as large
    assert made.error == pytest.approx(missed, abs=0.12)


def test_a_figure_that_is_luck_is_not_foretold_and_rules_nothing_out() -> None:
    rng = np.random.default_rng(3)
    places = rng.random((400, INPUTS))
    made = emulator.fit(places, rng.standard_normal(400), luck=1.0)
    assert made.told < 0.2
    wave = Wave([made], [Target(-1.0, 1.0, 0.2)])
    assert (wave.worst(rng.random((1000, INPUTS))) <= CUT).all()


def test_columns_have_mean_nothing_over_even_places() -> None:
    even = (np.arange(2000) + 0.5) / 2000
    rng = np.random.default_rng(4)
    places = np.column_stack([rng.permutation(even) for _ in range(3)])
    assert np.abs(emulator.columns_of(places, ((0, 1), (1, 2))).mean(axis=0)).max() < 0.02


def test_what_is_left_is_what_should_be() -> None:
    """One input, margin below the middle: what is left ends where the margin, allowance and all, ends."""
    rng = np.random.default_rng(5)
    places = rng.random((300, 1))
    wave = Wave([emulator.fit(places, places[:, 0] - 0.5, luck=0.0)], [Target(-np.inf, 0.0, 0.1)])
    left, share = survivors([wave], inputs=1, wanted=500, rng=rng)
    assert len(left) == 500 and left.max() == pytest.approx(0.8, abs=0.01)
    assert share == pytest.approx(0.8, abs=0.01)
    assert survivors([wave, Wave(wave.emulators, [Target(2, 3, 0.1)])], inputs=1, wanted=9, rng=rng)[1] == 0


def test_a_set_taken_as_the_truth_is_not_ruled_out_by_its_own_figures() -> None:
    """In at least 95 % of cases, as Pukelsheim1994 has it for errors with one peak."""
    luck, kept, sets = 0.4, 0, 200
    made = fitted(luck=luck)
    rng = np.random.default_rng(6)
    for place in rng.random((sets, INPUTS)):
        seen = float(truth(place[None, :])[0] + luck * rng.standard_normal())
        wave = Wave([made], [Target(seen - 1.96 * luck, seen + 1.96 * luck, 0.05)])
        kept += bool(wave.worst(place[None, :])[0] <= CUT)
    assert kept >= 0.95 * sets


def test_blocks_keep_within_what_is_allowed_and_meet_every_part_once() -> None:
    made = fitted(luck=0.2)
    waves = [Wave([made], [ROOM])]
    rng = np.random.default_rng(7)
    left, share = survivors(waves, inputs=INPUTS, wanted=2000, rng=rng)
    assert 0.3 < share < 0.9

    def excess(at: np.ndarray) -> np.ndarray:
        return np.maximum(worst_of(waves, at) - CUT, 0.0)

    blocks = blocks_of(left, size=8, blocks=40, excess=excess, rng=rng)
    assert len(blocks) >= 36 and excess(blocks.reshape(-1, INPUTS)).max() == 0
    for k in range(INPUTS):
        parts = np.floor(8 * np.searchsorted(np.sort(left[:, k]), blocks[:, :, k]) / len(left)).clip(0, 7)
        assert (np.sort(parts, axis=1) == np.arange(8)).mean() > 0.97
    # they are spread as what is left is, and the blocks' means by far less than those of draws by chance
    assert stats.ks_2samp(blocks[:, :, 0].ravel(), left[:, 0]).pvalue > 0.01
    by_chance = left[: 8 * len(blocks), 0].reshape(-1, 8).mean(axis=1).std()
    assert blocks[:, :, 0].mean(axis=1).std() < by_chance / 4


def test_a_block_that_cannot_be_allowed_is_left_out() -> None:
    sample = np.random.default_rng(8).random((100, 2))
    none = blocks_of(
        sample, size=8, blocks=3, excess=lambda at: np.ones(len(at)), rng=np.random.default_rng(9)
    )
    assert none.shape == (0, 8, 2)
