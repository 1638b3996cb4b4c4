"""Random numbers by counter: published vectors, uniformity, independence of streams; chances from rates."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rockshy.sim.rules.support.random_numbers import (
    DRAWS_A_TICK,
    GAMMA,
    generator,
    happens,
    mix,
    stream_key,
    uniform,
)
from scipy import stats

# SplitMix64 from seed 1234567: the test vector usually published with the algorithm (from memory).
# Source: Steele2014 (the algorithm).
SEED = 1234567
PUBLISHED = (
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
)


def draws(stream, *, ticks, numbers):
    """Draws [ticks, numbers] of a stream."""
    with np.errstate(over="ignore"):
        return np.array([[uniform(np.uint64(stream), t, k) for k in range(numbers)] for t in range(ticks)])


@pytest.mark.parametrize(("k", "wanted"), list(enumerate(PUBLISHED)))
def test_published_vectors(k, wanted):
    counter = (SEED + (k + 1) * int(GAMMA)) % 2**64
    with np.errstate(over="ignore"):
        assert int(mix(np.uint64(counter))) == wanted
        assert uniform(np.uint64(SEED), 0, k) == (wanted >> 11) / 2**53


def test_a_tick_goes_on_where_the_draws_of_the_last_one_end():
    with np.errstate(over="ignore"):
        assert uniform(np.uint64(SEED), 3, 0) == uniform(np.uint64(SEED), 2, DRAWS_A_TICK)
        assert uniform(np.uint64(SEED), 3, 0) != uniform(np.uint64(SEED), 2, DRAWS_A_TICK - 1)


@pytest.mark.parametrize("way", ["ticks", "numbers", "fish"])
def test_draws_are_uniform_in_every_way_they_are_counted(way):
    """Kolmogorov-Smirnov and chi-square on 100 bins; a fixed seed, so a p below 0.001 is a fault."""
    if way == "ticks":
        found = draws(stream_key(1, "Scena male 1", "swim"), ticks=8000, numbers=1).ravel()
    elif way == "numbers":
        found = draws(stream_key(1, "Scena male 1", "swim"), ticks=2, numbers=4000).ravel()
    else:
        keys = [stream_key(1, f"Scena male {k}", "swim") for k in range(8000)]
        found = np.concatenate([draws(key, ticks=1, numbers=1).ravel() for key in keys])
    assert found.min() >= 0.0
    assert found.max() < 1.0
    assert stats.kstest(found, "uniform").pvalue > 0.001
    assert stats.chisquare(np.histogram(found, bins=100, range=(0, 1))[0]).pvalue > 0.001


@pytest.mark.parametrize("lag", [1, 2, 5])
def test_draws_of_successive_ticks_and_of_neighbouring_numbers_are_not_correlated(lag):
    """Correlation under 4 standard errors, 1 / sqrt(n)."""
    found = draws(stream_key(2, "x"), ticks=4000, numbers=lag + 1)
    bound = 4 / np.sqrt(4000 - lag)
    assert abs(np.corrcoef(found[lag:, 0], found[:-lag, 0])[0, 1]) < bound
    assert abs(np.corrcoef(found[:, 0], found[:, lag])[0, 1]) < bound


def test_streams_of_two_purposes_and_two_fish_are_not_correlated():
    one, other, third = (
        draws(stream_key(7, fish, purpose), ticks=4000, numbers=1).ravel()
        for fish, purpose in (("a", "swim"), ("a", "attack"), ("b", "swim"))
    )
    table = np.corrcoef([one, other, third])
    assert abs(table[np.triu_indices(3, 1)]).max() < 4 / np.sqrt(4000)


def test_words_are_kept_apart_in_the_key_of_a_stream():
    keys = [stream_key("ab", "c"), stream_key("a", "bc"), stream_key("abc"), stream_key("a", "b", "c")]
    assert len(set(keys)) == 4
    assert all(0 <= key < 2**64 for key in keys)


def test_a_stream_key_does_not_change_from_run_to_run():
    """SHA-256, not Python's own hash, which differs from process to process.

    Source: the digest of "abc", example of FIPS 180-2 (from memory): ba7816bf 8f01cfea ...
    """
    assert stream_key("abc") == int.from_bytes(bytes.fromhex("ba7816bf8f01cfea"), "little")


def test_generators_of_the_same_words_draw_the_same():
    assert generator(1, "rock").random(3).tolist() == generator(1, "rock").random(3).tolist()
    assert generator(1, "rock").random() != generator(2, "rock").random()


# ---- chances from rates


DRAWS = st.integers(0, 2**53 - 1).map(lambda k: k / 2**53)  # every value a draw can have
RATES = st.one_of(st.floats(0.0, 10.0), st.floats(0.0))  # usual ones, then all, infinity among them
TIMES = st.floats(0.05, 3600.0)


@given(u=DRAWS, rate=RATES, seconds=TIMES)
def test_what_has_a_rate_happens_with_the_chance_of_a_waiting_time(u, rate, seconds):
    """1 - exp(-rate time), the chance that an exponential waiting time is over (closed form)."""
    assert happens(u, rate, seconds) == (u < 1.0 - math.exp(-rate * seconds))


@pytest.mark.parametrize("seconds", [0.5, 1.0, 5.0])
@pytest.mark.parametrize("rate", [1e-5, 1e-3, 0.03, 0.2, 1.0, 4.0])
def test_the_border_of_what_happens_lies_at_the_chance(rate, seconds):
    """Just under the chance it happens, just over it it does not: -expm1(-rate time), to one in 10^9."""
    chance = -math.expm1(-rate * seconds)
    assert happens(chance * (1 - 1e-9), rate, seconds)
    assert not happens(chance * (1 + 1e-9) if chance < 0.999 else 1.0, rate, seconds)


@pytest.mark.parametrize("u", [0.0, 2.0**-53, 0.5, 1.0 - 2.0**-53])
def test_a_rate_of_zero_never_happens_and_an_infinite_one_always(u):
    for seconds in (0.5, 1.0, 5.0):
        assert not happens(u, 0.0, seconds)
        assert happens(u, math.inf, seconds)
