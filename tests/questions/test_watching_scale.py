"""The factor between model and tank: how often its interval holds the truth, the file, the scaled answer."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_trials import random_trials
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.answer.answer import answer, to_json
from rockshy.analysis.questions.answer.words import words
from rockshy.analysis.questions.watching.scale import (
    NoScaleError,
    Scale,
    differences,
    fit_scale,
    of_tank,
    scale_text,
    scaled,
)
from rockshy.analysis.questions.watching.scale_file import load_scale
from rockshy.sim.scenario.reading import ScenarioError
from watched_tanks import TANK, tank

FACTOR = 1.8


def burst(rng: np.random.Generator, mean: float, over: float, size: int) -> np.ndarray:
    """Chases with the variance m + over x m^2."""
    if over == 0:
        return rng.poisson(mean, size).astype(float)
    return rng.negative_binomial(1 / over, 1 / (1 + over * mean), size).astype(float)


@pytest.mark.parametrize(
    ("watches", "mean", "over", "own_over"),
    [(1, 12.0, 0.0, 0.0), (1, 12.0, 0.3, 0.3), (3, 8.0, 0.3, 0.3), (6, 8.0, 0.1, 0.6)],
)
def test_the_interval_holds_the_true_factor(watches: int, mean: float, over: float, own_over: float) -> None:
    """Windows of the model scatter by ``over``, the real tank's by ``own_over``."""
    rng = np.random.default_rng(1)
    held = []
    for _ in range(250):
        model = [
            [burst(rng, m, over, 60)] * watches for m in mean * np.exp(0.3 * rng.standard_normal(12) - 0.045)
        ]
        counted = burst(rng, FACTOR * mean, own_over, watches)
        if counted.sum() > 0:
            scale = fit_scale(counted, model, minutes=10.0 * watches)
            held.append(scale.low <= FACTOR <= scale.high)
    assert 0.91 <= np.mean(held) <= 0.995


def test_the_factor_by_hand() -> None:
    model = [[np.array([4.0, 6.0])], [np.array([9.0, 11.0])]]
    scale = fit_scale([30.0], model, minutes=10.0)
    assert (scale.factor, scale.expected, scale.chases, scale.tanks) == (4.0, 7.5, 30, 2)
    assert scale.overdispersion == 0.0  # variances of 2 around means of 5 and 10
    half = 1.959964 * math.hypot(math.sqrt(1 / 30), np.std([5, 10], ddof=1) / 7.5 / math.sqrt(2))
    assert (scale.low, scale.high) == pytest.approx((4 * math.exp(-half), 4 * math.exp(half)), rel=1e-6)


def test_bursts_widen_the_interval() -> None:
    rng = np.random.default_rng(2)
    calm = [[burst(rng, 10, 0.0, 200)] for _ in range(20)]
    bursts = [[burst(rng, 10, 0.5, 200)] for _ in range(20)]
    narrow, wide = (fit_scale([15.0], model, minutes=10.0) for model in (calm, bursts))
    assert wide.overdispersion == pytest.approx(0.5, abs=0.1)
    assert narrow.overdispersion < 0.02
    assert wide.high / wide.low > 1.5 * narrow.high / narrow.low


@pytest.mark.parametrize(("counted", "model"), [([0.0], 5.0), ([3.0], 0.0)])
def test_nothing_is_fitted_to_nothing(counted: list[float], model: float) -> None:
    with pytest.raises(NoScaleError):
        fit_scale(counted, [[np.full(4, model)]] * 3, minutes=10.0)


# --- the file ---------------------------------------------------------------------

SCALE = of_tank(Scale(1.8, 1.2, 2.6, 43, 30.0, 3, 23.9, 64, 0.05), tank())


def written(tmp_path: Path, text: str = scale_text(SCALE, name="scale.toml")) -> Path:
    path = tmp_path / "scale.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_file_comes_back(tmp_path: Path) -> None:
    assert load_scale(written(tmp_path)) == SCALE
    assert SCALE.text == "1.8 (1.2 to 2.6)"
    strange = replace(SCALE, title='A "title" \\ with\nlines, \u202e and ä')
    told = load_scale(written(tmp_path, scale_text(strange, name='"x".toml')))
    assert told.title == 'A "title" \\ with lines, \\u202e and ä'
    assert replace(told, title="") == replace(SCALE, title="")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("factor = 1.8", "factor = 0", "line 7, scale.factor is 0"),
        ("factor = 1.8", "factor = nan", "scale.factor"),
        ("factor = 1.8", "faktor = 1.8", "Did you mean factor"),
        ("factor = 1.8", 'factor = "big"', "scale.factor"),
        ("low = 1.2", "low = 2.0", "a factor between low and high"),
        ("[scale]", "[scal]", "Did you mean scale"),
        ("stock = [", "stock = [1, ", "a list of at most"),
        ("tank_cm = [80", "tank_cm = [-80", "length, width and height"),
        ("tank_cm = [80", "tank_cm = [true", "length, width and height"),
        ("chases = 43", "chases = -1", "scale.chases"),
        ("[scale]", "[scale", "line 6, TOML"),
    ],
)
def test_a_damaged_file_is_refused(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = scale_text(SCALE, name="scale.toml")
    assert old in text
    with pytest.raises(ScenarioError) as refused:
        load_scale(written(tmp_path, text.replace(old, new)))
    assert said in str(refused.value)


def test_every_problem_of_the_file_is_told(tmp_path: Path) -> None:
    text = scale_text(SCALE, name="s").replace("factor = 1.8", "factor = -1")
    with pytest.raises(ScenarioError) as refused:
        load_scale(written(tmp_path, text.replace("minutes = 30", 'minutes = "x"')))
    assert len(refused.value.problems) == 2


def test_another_tank_is_noticed_and_the_same_is_not() -> None:
    assert differences(SCALE, tank()) == []
    (stock,) = differences(SCALE, tank(TANK.replace("females = 2", "females = 3")))
    assert "1 male, 3 female" in stock
    (glass,) = differences(SCALE, tank(TANK.replace("length = 80", "length = 90")))
    assert "80 x 35 x 35" in glass
    gone = tank(TANK.split('[[stock]]\nspecies = "Petrochromis')[0] + "[run]\ntrials = 8\n")
    assert "no Petrochromis trewavasae" in differences(SCALE, gone)[0]


# --- the answer -------------------------------------------------------------------


def test_rates_are_scaled_and_nothing_else() -> None:
    plain = answer(random_trials())
    told = scaled(plain, replace(SCALE, factor=2.0))
    for before, after in zip((*plain.fish, *plain.alike), (*told.fish, *told.alike), strict=True):
        for arm, figures in before.figures.items():
            for name, found in figures.items():
                k = 2.0 if name in ("received", "given", "bites") else 1.0
                now = after.figures[arm][name]
                for part in ("value", "low", "high", "guess_low", "guess_high"):
                    assert getattr(now, part) == pytest.approx(k * getattr(found, part), nan_ok=True)
                assert now.ignorance == pytest.approx(found.ignorance, nan_ok=True)
        assert after.lost == before.lost
        assert after.ratio_own_kind == before.ratio_own_kind
        assert after.pinned == before.pinned
    assert told.trends["received"].last.value == 2 * plain.trends["received"].last.value
    assert told.trends["hidden"] == plain.trends["hidden"]
    assert to_json(told)["hierarchy"] == to_json(plain)["hierarchy"]


def test_the_words_say_whose_scale_it_is() -> None:
    plain = answer(random_trials())
    told = as_text(words(scaled(plain, SCALE), scale=SCALE.text))
    assert "model scale" not in told
    assert "scaled to your tank by 1.8 (1.2 to 2.6)" in " ".join(told.split())
    assert "chased, times an hour (your scale)" in told
    assert max(map(len, told.split("\n"))) <= 100
    assert "your scale" not in as_text(words(plain))
