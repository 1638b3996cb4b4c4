"""A made-up simulator without a tank: normal values, what goes along with them, a figure to foretell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Linear:
    """Members: values [n, 6], observations [n, 5] of the first four with luck, and a figure [n]."""

    values: np.ndarray
    observed: np.ndarray
    figure: np.ndarray


MIXED = np.random.default_rng(7).standard_normal((4, 5))
LUCK = 0.5


def linear(members: int, *, seed: int = 1) -> Linear:
    rng = np.random.default_rng(seed)
    values = rng.standard_normal((members, 6))
    observed = values[:, :4] @ MIXED + LUCK * rng.standard_normal((members, 5))
    figure = values @ np.array([1.0, -0.5, 0.5, 0.2, 0.3, 0.0]) + 0.2 * rng.standard_normal(members)
    return Linear(values, observed, figure)


def exactly(seen: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of the first four values, given an observation: the textbook's normal posterior."""
    noise = LUCK**2 * np.eye(5)
    gain = MIXED @ np.linalg.inv(MIXED.T @ MIXED + noise)
    return gain @ seen, np.eye(4) - gain @ MIXED.T
