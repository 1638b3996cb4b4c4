"""How often fish come near each other and attack: blind movers as a gas, attacks as a Poisson process."""

import numpy as np
import pytest
from rockshy.sim.rules.attack import attack
from rockshy.sim.rules.support import parameters
from rockshy.sim.rules.swim import turning_table
from rockshy.sim.run.day import move_all
from scipy import stats
from staging import at, blind_shoal, endless_water, needs_compiling, no_ledger, put, row, stage, still

EDGE = 5.0


SPEED_CM_S, RANGE_CM, LOOK_S = 8.0, 65.0, 3.0


def ideal_gas_rate(*, density):
    """Encounters of one mover in a second, all at the same speed in space.

    The target area pi r2, times the mean relative speed 4/3 v of equal speeds in random
    directions, times the density. Source: HutchinsonWaser2007 (the ideal gas; there the form in
    the plane, 2 r x 4/pi v = (8/pi) r v); kinetic theory of gases, from memory (in space).
    """
    return np.pi * RANGE_CM**2 * (4 / 3) * SPEED_CM_S * density


def share_seen():
    """Of the encounters, those that last from one look to the next, or begin in one and end later.

    A sphere moved by d leaves pi r2 d - pi d3 / 12 of its volume behind; the mean of d3 is
    16/5 (v t)3 for equal speeds (computed).
    """
    return 1.0 - 0.2 * (SPEED_CM_S * LOOK_S / RANGE_CM) ** 2


def encounter_rate(*, persistence_cm, looks, n=48):
    """How often a blind fish in endless water comes within range of another in a second, and the density."""
    shape = np.array([31, 32, 33])
    water, ledger = endless_water(*shape), no_ledger(1)
    shoal = blind_shoal(n, cells=shape.prod(), speed_cm_s=SPEED_CM_S)
    shoal.fish.credit_cm[:] = -np.random.default_rng(2).random(n) * EDGE
    p = parameters.resolve({"activity": 1.0})
    turning = turning_table(EDGE, persistence_cm)
    xyz = np.column_stack([water.cells.x, water.cells.y, water.cells.z])
    half, count, near = shape // 2, 0, np.ones((n, n), bool)
    for tick in range(round(looks * LOOK_S)):
        move_all(tick, turning, water, shoal, p, ledger)
        if tick % LOOK_S == 0:
            place = xyz[shoal.fish.cell]
            apart = (place[:, None] - place[None] + half) % shape - half
            now = np.square(apart * EDGE).sum(axis=2) <= RANGE_CM**2
            count += int((now & ~near).sum())
            near = now
    return count / (n * looks * LOOK_S), (n - 1) / (shape.prod() * EDGE**3)


@needs_compiling
@pytest.mark.parametrize("persistence_cm", [80.0, 160.0])
def test_blind_movers_meet_as_often_as_the_molecules_of_an_ideal_gas(persistence_cm):
    """Tolerance 4 %: fish move in whole cells, and turn a little between two looks."""
    found, density = encounter_rate(persistence_cm=persistence_cm, looks=3000)
    assert found == pytest.approx(ideal_gas_rate(density=density) * share_seen(), rel=0.04)


def attacks_at(rate_s, *, looks, notice_s=5.0):
    """Whether fish 0, always facing one weak fish, attacks at each of its looks, at a constant rate."""
    model = stage(row(males=1), row("Scena altera", females=1, length=6.0), parameters={"notice_s": notice_s})
    still(model)
    put(model, 0, 4, 4, 4)
    put(model, 1, 6, 4, 4)
    fish, started = model.shoal.fish, np.zeros(looks, bool)
    for k in range(looks):
        fish.doing[0] = 0
        started[k] = attack(0, k, *at(model), model.ledger, rate_s)
    assert model.ledger.pair.attacks[0, 1] == started.sum(), "every attack started is counted"
    return started


@pytest.mark.parametrize("notice_s", [1.0, 5.0])
def test_attacks_at_a_constant_rate_come_as_a_poisson_process(notice_s):
    """Counts in spells of 300 s at 0.01/s have mean 3, variance near 3, and Poisson's shares (chi-square).

    A look sees at most one attack, so the mean falls short by half a per cent a look of rate x notice_s.
    """
    spell, spells = round(300 / notice_s), 100
    counts = attacks_at(0.01, looks=spell * spells, notice_s=notice_s).reshape(spells, spell).sum(axis=1)
    mean = spell * -np.expm1(-0.01 * notice_s)
    assert counts.sum() == pytest.approx(mean * spells, abs=4 * np.sqrt(mean * spells))
    classes = [counts == k for k in range(6)]
    seen = [*(one.sum() for one in classes), (counts >= 6).sum()]
    law = stats.poisson(3.0)
    wanted = np.array([*law.pmf(range(6)), law.sf(5)]) * spells
    assert stats.chisquare(seen, wanted).pvalue > 0.001


def test_waits_between_attacks_are_exponential():
    """In looks they are geometric with chance 1 - exp(-rate dt), the exponential law counted in looks."""
    waits = np.diff(np.flatnonzero(attacks_at(0.04, looks=12_000)))
    law = stats.geom(-np.expm1(-0.04 * 5.0))
    seen = [*((waits == k).sum() for k in range(1, 15)), (waits >= 15).sum()]
    wanted = np.array([*law.pmf(range(1, 15)), law.sf(14)]) * len(waits)
    assert stats.chisquare(seen, wanted).pvalue > 0.001


def test_twice_the_looks_at_half_the_interval_give_the_same_attacks():
    """1 - exp(-rate dt): the chance of no attack in a minute is exp(-rate 60) however it is cut up."""
    for notice_s in (1.0, 5.0, 10.0):
        looks = round(60 / notice_s)
        none = ~attacks_at(0.02, looks=looks * 250, notice_s=notice_s).reshape(250, looks).any(axis=1)
        expected = np.exp(-0.02 * 60)
        assert none.mean() == pytest.approx(expected, abs=3.5 * np.sqrt(expected * (1 - expected) / 250))
