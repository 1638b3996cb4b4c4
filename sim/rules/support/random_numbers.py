"""Random numbers by counter: a draw is a function of (stream, tick, number); there is no state to disturb.

SplitMix64 (Steele2014) adds a constant to a counter and mixes the sum; here the counter is
made of tick and draw number, and the start of the stream is a hash of whose it is and what for.
An extra fish therefore changes nobody else's draws.
"""

from __future__ import annotations

import hashlib
import math

import numpy as np

from .compiled import small

GAMMA = np.uint64(0x9E3779B97F4A7C15)
_M1 = np.uint64(0xBF58476D1CE4E5B9)
_M2 = np.uint64(0x94D049BB133111EB)
_S30 = np.uint64(30)
_S27 = np.uint64(27)
_S31 = np.uint64(31)
_S11 = np.uint64(11)
_UNIT = 1.0 / 9007199254740992.0  # 2**-53

DRAWS_A_TICK = 4096  # counters set aside for one stream in one tick


@small
def mix(z: np.uint64) -> np.uint64:
    """The finaliser of SplitMix64. Source: Steele2014."""
    z = (z ^ (z >> _S30)) * _M1
    z = (z ^ (z >> _S27)) * _M2
    return z ^ (z >> _S31)


@small
def uniform(stream: np.uint64, tick: int, number: int) -> float:
    """Draw ``number`` of a stream in a tick, uniform in [0, 1). Source: Steele2014."""
    counter = np.uint64(tick * DRAWS_A_TICK + number + 1)
    return float(mix(stream + counter * GAMMA) >> _S11) * _UNIT


@small
def happens(u: float, rate: float, seconds: float) -> bool:
    """Whether what happens at a rate, 1/s, does so within a time, s; u is a draw uniform in [0, 1).

    Source: computed (the chance is 1 - exp(-rate time), which is never above rate time).
    """
    expected = rate * seconds
    return u < expected and u < 1.0 - math.exp(-expected)


def stream_key(*words: object) -> int:
    """Start of a stream from whose it is and what it is for: 64 bits of SHA-256 over the words."""
    text = "\x1f".join(str(word) for word in words).encode()
    return int.from_bytes(hashlib.sha256(text).digest()[:8], "little")


def generator(*words: object) -> np.random.Generator:
    """A NumPy generator of its own for the words: for drawing rock, individuals and guesses."""
    return np.random.default_rng(stream_key(*words))
