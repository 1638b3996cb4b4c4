"""Fright, experience and trust: half-lives, gains that never pass their bounds."""

import numpy as np
import pytest
from rockshy.sim.rules.fright import fade, fear, frighten, lesson, trust_left, trust_shaken
from staging import at, hole, holes, needs_compiling, row, stage, steps

HALF_LIVES = {
    "fright": ("fright_half_life_s", 1.0),
    "slow_fright": ("slow_half_life_d", 86400.0),
    "experience": ("experience_half_life_d", 86400.0),
}


@pytest.mark.parametrize("what", HALF_LIVES)
@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_each_halves_in_its_half_life_in_one_step_or_in_many(what, factor):
    """Source: BarretoVolpato2006 (quick fright: 30 minutes, a hormone's, by analogy)."""
    name, unit = HALF_LIVES[what]
    default = float(stage(row(males=1)).parameters[name])
    model = stage(row(males=1), parameters={name: factor * default})
    half_life_s = factor * default * unit
    values = model.shoal.fish[what]
    for times, cut in ((1, 1), (1000, 1000), (2000, 1000)):
        values[0] = 0.8
        for _ in range(times):
            fade(model.shoal, model.parameters, half_life_s / cut)
        assert values[0] == pytest.approx(0.8 * 0.5 ** (times / cut))


@needs_compiling
def test_a_run_with_nobody_chased_halves_fright_in_half_an_hour():
    """The half-life of the model itself, measured over 1800 ticks. Source: BarretoVolpato2006."""
    model = stage(row(males=1))
    model.shoal.fish.fright[0] = 0.6
    steps(model, 1800)
    assert model.shoal.fish.fright[0] == pytest.approx(0.3)


@needs_compiling
def test_a_tick_of_half_a_second_fades_half_as_much():
    values = []
    for tick_s in (1.0, 0.5):
        model = stage(row(males=1), tick_s=tick_s)
        model.shoal.fish.fright[0] = 0.6
        for _ in range(round(600 / tick_s)):
            model.step()
        values.append(model.shoal.fish.fright[0])
    assert values[0] == pytest.approx(values[1])


@pytest.mark.parametrize("timidity", [0.0, 0.5, 1.0, 100.0])
def test_a_chase_raises_fright_by_timidity_towards_one_and_never_past_it(timidity):
    model = stage(row(males=1), parameters={"fright_gain": 0.06, "slow_gain": 0.005})
    fish = model.shoal.fish
    fish.timidity[0] = timidity
    frighten(0, model.shoal, model.parameters)
    assert fish.fright[0] == pytest.approx(min(0.06 * timidity, 1.0))
    assert fish.slow_fright[0] == pytest.approx(min(0.005 * timidity, 1.0))
    before = fish.fright[0]
    frighten(0, model.shoal, model.parameters)
    assert fish.fright[0] == pytest.approx(before + min(0.06 * timidity, 1.0) * (1 - before))
    for _ in range(500):
        frighten(0, model.shoal, model.parameters)
    assert fish.fright[0] <= 1.0
    assert fear(0, model.shoal) == fish.fright[0] + fish.slow_fright[0] <= 2.0


def test_what_one_learns_the_other_unlearns_each_by_its_own_k():
    """2 K (1 - p). Source: deVries2009."""
    model = stage(row(males=2), parameters={"winner_effect": 0.8, "loser_effect": 0.4})
    lesson(1, 0, 0.5, 0.75, model.shoal, model.parameters)
    assert model.shoal.fish.experience.tolist() == pytest.approx([-0.1, 0.2])
    lesson(0, 1, 1.0, 1.0, model.shoal, model.parameters)
    assert model.shoal.fish.experience.tolist() == pytest.approx([-0.1, 0.2]), "nothing new"


def test_trust_in_a_shelter_grows_when_it_is_left_unharmed():
    model = stage(row(males=1), parameters={"memory_step": 0.3})
    for k in range(1, 6):
        trust_left(0, 2, model.shoal, model.parameters)
        assert model.shoal.memory[0, 2] == pytest.approx(1 - 0.7**k)
    assert np.count_nonzero(model.shoal.memory) == 1


def test_trust_is_shaken_within_15_cm_of_swimming_and_not_beyond():
    model = stage(
        row(males=1), rock=holes(hole(2.5), hole(12.5), hole(42.5)), parameters={"memory_step": 0.4}
    )
    for cell in range(0, len(model.tank.xyz), 7):
        model.shoal.fish.cell[0] = cell
        model.shoal.memory[0] = 1.0
        trust_shaken(0, *at(model))
        near = model.tank.path[: len(model.tank.refuge_cell), cell] * 5.0 / 3.0 <= 15.0
        assert model.shoal.memory[0] == pytest.approx(np.where(near, 0.6, 1.0))
