"""Fright: its half-life in a run, gains that never pass their bounds."""

import pytest
from rockshy.sim.rules.fright import fear, frighten
from staging import needs_compiling, row, stage, steps


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
    frighten(0, 1.0, 1.0, model.shoal, model.parameters)
    assert fish.fright[0] == pytest.approx(min(0.06 * timidity, 1.0))
    assert fish.slow_fright[0] == pytest.approx(min(0.005 * timidity, 1.0))
    before = fish.fright[0]
    frighten(0, 0.5, 0.0, model.shoal, model.parameters)
    assert fish.fright[0] == pytest.approx(before + min(0.03 * timidity, 1.0) * (1 - before))
    for _ in range(500):
        frighten(0, 1.0, 1.0, model.shoal, model.parameters)
    assert fish.fright[0] <= 1.0
    assert fear(0, model.shoal) == fish.fright[0] + fish.slow_fright[0] <= 2.0
