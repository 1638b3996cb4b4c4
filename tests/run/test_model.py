"""TankModel: fish as Mesa agents that come and go, nothing left behind."""

import gc
import subprocess
import sys
import tracemalloc
import weakref

import mesa
import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.fish.agent import Fish
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED, SWIMMING
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND
from rockshy.sim.scenario.scenario import TankSpec
from staging import OWN, ROCKY, fingerprint, kind, row, scene, stage, steps

OTHER = "Scena altera"


def pair_of_kinds(**run):
    """Three fish of two kinds, two lit hours with a night between."""
    return scene(row(males=1, females=1), row(OTHER, males=1, length=7.0), lit_hours=1.0, days=2.0, **run)


# ---- Mesa


def test_fish_are_agents_that_can_be_selected_inspected_and_set():
    model = TankModel(pair_of_kinds())
    assert isinstance(model, mesa.Model)
    assert len(model.agents) == 3
    assert all(isinstance(fish, Fish) and isinstance(fish, mesa.Agent) for fish in model.agents)
    males = model.agents.select(lambda fish: fish.male)
    assert [fish.label for fish in males] == [f"{OWN} male 1", f"{OTHER} male 1"]
    assert set(model.agents.get("species")) == {OWN, OTHER}
    assert set(model.agents.get("doing")) == {"swimming"}
    model.agents.set("fright", 0.5)
    assert (model.shoal.fish.fright == 0.5).all()
    assert max(model.agents, key=lambda fish: fish.length_cm).length_cm == 10.0
    assert len(model.agents_by_type[Fish]) == 3


def test_what_a_fish_is_doing_is_a_word_that_can_be_set():
    model = TankModel(pair_of_kinds())
    fish = model.agents[0]
    fish.doing = "sheltered"
    assert fish.doing == "sheltered" and model.shoal.fish.doing[fish.index] == SHELTERED
    with pytest.raises(ValueError, match="never 'resting'; it is one of: swimming, sheltered, fleeing"):
        fish.doing = "resting"


def test_mesa_collects_data_from_it():
    model = TankModel(pair_of_kinds())
    collector = mesa.DataCollector(agent_reporters={"fright": "fright", "cell": "cell"})
    for _ in range(5):
        model.step()
        collector.collect(model)
    frame = collector.get_agent_vars_dataframe()
    assert len(frame) == 15
    assert frame.loc[frame.index[-3:], "cell"].tolist() == model.shoal.fish.cell.tolist()


def test_what_is_set_in_a_fish_matters_for_the_run():
    """A male without temper attacks nobody; the same male with it does."""
    given = []
    for temper in (0.0, 2.0):
        model = TankModel(pair_of_kinds())
        model.agents.select(lambda fish: fish.label == f"{OWN} male 1").set("temper", temper)
        model.run()
        given.append(model.ledger.pair.attacks[0].sum())
    assert given[0] == 0 < given[1]


def test_steps_end_with_the_run():
    model = stage(row(males=1), lit_hours=0.5, days=0.1)
    assert model.last_tick == 3600
    model.run()
    assert not model.running
    before = fingerprint(model)
    model.step()
    assert model.tick == 3600
    assert fingerprint(model) == before


# ---- coming and going


def test_fish_come_and_go_on_their_days():
    rows = (row(males=1), row(females=1, day=0.5), row(OTHER, males=1, out_day=0.75))
    model = stage(*rows, lit_hours=1.0, days=1.0, settle_days=0.0)
    here = {}
    while model.running:
        here[model.tick] = {fish.label for fish in model.agents}
        model.step()
    male, female, other = (f"{OWN} male 1", f"{OWN} female 1", f"{OTHER} male 1")
    assert here[1700] == here[1799] == {male, other}
    assert here[1801] == {male, female, other}
    assert here[2699] == {male, female, other}
    assert here[2701] == {male, female}
    assert model.measured_from == 1800, "measuring starts after the last arrival"
    assert model.ledger.hours.lit[:, 0].tolist() == [3600, 3600, 900]


def test_adding_fish_during_a_run():
    model = TankModel(pair_of_kinds(), keep=True)
    steps(model, 900)
    before, chases = model.shoal.fish.copy(), model.ledger.pair.chases.copy()
    new = model.add_fish(row(males=1, females=1, length=9.0))
    assert [fish.label for fish in new] == [f"{OWN} male 2", f"{OWN} female 2"]
    assert [fish.length_cm for fish in new] == [9.0, 9.0]
    for name in before.dtype.names:
        np.testing.assert_array_equal(before[name], model.shoal.fish[name][:3])
    np.testing.assert_array_equal(chases, model.ledger.pair.chases[:3, :3])
    assert len(model.agents) == 5
    model.run()
    assert model.ledger.hours.lit[:, 0].tolist() == [3600, 3600, 3600, 2700, 2700]
    assert model.ledger.pair.chases[:, 3:].sum() > 0


def test_fish_of_two_equal_rows_can_be_added_to_and_are_told_apart():
    model = stage(row(females=1), row(females=1), days=0.1)
    new = model.add_fish(row(females=1))
    labels = [f"{OWN} female {k}" for k in (1, 2, 3)]
    assert [fish.label for fish in model.agents] == labels
    assert new[0].label == labels[2]
    assert len({*model.shoal.streams[:, 0]}) == 3


def test_a_species_that_is_not_in_the_scenario_cannot_be_added():
    with pytest.raises(ValueError, match=r"'Nemo nemo' is not a species of this scenario: .*Scena communis"):
        TankModel(pair_of_kinds()).add_fish(row("Nemo nemo", males=1))


def test_whoever_had_to_do_with_a_fish_taken_out_turns_to_something_else():
    for doing in (CHASING, CONTESTING, FLEEING):
        model = stage(row(males=2), row(females=1))
        fish = model.shoal.fish
        fish.doing[0] = CHASING if doing == FLEEING else doing
        fish.doing[1], fish.target[0], fish.target[1], fish.chaser[1] = doing, 1, 0, 0
        list(model.agents)[0].take_out()
        assert fish.doing[1] == SWIMMING
        assert fish.target[1] == fish.chaser[1] == -1
        assert [one.label for one in model.agents] == [f"{OWN} male 2", f"{OWN} female 1"]
        before = fish.cell[0]
        for _ in range(20):
            model.step()
        assert fish.cell[0] == before
        assert model.ledger.pair.chases[:, 0].sum() == 0


def test_when_the_leader_of_a_pair_is_taken_out_its_mate_leads():
    model = stage(row(males=1, females=1), kinds=(kind(mating="pair", defends="both"),))
    leader = next(fish for fish in model.agents if fish.leads)
    mate = next(fish for fish in model.agents if not fish.leads)
    leader.take_out()
    assert mate.leads


def test_an_empty_tank_runs():
    model = stage(row(males=1, out_day=0.5), lit_hours=1.0, days=1.0)
    model.run()
    assert len(model.agents) == 0
    assert model.ledger.hours.lit.sum() == 1800


# ---- set-ups and keeping


def test_set_ups_share_fish_rock_and_seed():
    scenario = scene(row(males=1, females=1), row(OTHER, males=1), rock=ROCKY)
    stocked, own, alone = (
        TankModel(scenario, arm=arm, watch=OWN) for arm in (AS_STOCKED, OWN_KIND, LEFT_ALONE)
    )
    assert [fish.label for fish in own.agents] == [f"{OWN} male 1", f"{OWN} female 1"]
    for model in (own, alone):
        np.testing.assert_array_equal(model.tank.index, stocked.tank.index)
        np.testing.assert_array_equal(model.shoal.fish.length_cm[:2], stocked.shoal.fish.length_cm[:2])
        np.testing.assert_array_equal(model.shoal.streams[:2], stocked.shoal.streams[:2])
    assert alone.parameters.attack_rate_s == 0.0 < stocked.parameters.attack_rate_s


def test_another_trial_is_another_tank_and_other_luck():
    scenario = scene(row(males=1), rock=ROCKY)
    one, other = TankModel(scenario, trial=1), TankModel(scenario, trial=2)
    assert one.tank.index.shape == other.tank.index.shape
    assert (one.tank.index != other.tank.index).any()
    assert one.shoal.streams[0, 0] != other.shoal.streams[0, 0]


def test_a_guess_draws_what_nobody_has_measured_and_repeats_share_it():
    scenario = scene(row(males=1), fixed=False)
    first, again, other = (
        TankModel(scenario, trial=trial, draw=draw).parameters for trial, draw in ((0, 3), (9, 3), (0, 4))
    )
    assert first.fright_gain == again.fright_gain != other.fright_gain


# ---- nothing left behind


def test_a_closed_model_is_let_go():
    model = TankModel(pair_of_kinds())
    steps(model, 10)
    model.close()
    gone = weakref.ref(model)
    del model
    gc.collect()
    assert gone() is None


def test_memory_stays_flat_from_model_to_model():
    """Between the 10th and the 30th of 30 models, not even half a tank's tables more is held."""
    little = TankSpec(length_cm=50.0, width_cm=30.0, height_cm=30.0, water_cm=30.0)

    def one():
        model = stage(row(males=1, females=2), tank=little, days=0.1, lit_hours=0.5)
        model.step()
        model.close()
        return sum(table.nbytes for table in model.tank if isinstance(table, np.ndarray))

    def held_after(models):
        for _ in range(models):
            tables = one()
        gc.collect()
        return tracemalloc.get_traced_memory()[0], tables

    tracemalloc.start()
    try:
        before, _ = held_after(10)
        after, tables = held_after(20)
    finally:
        tracemalloc.stop()
    assert after - before < tables / 2


def test_importing_the_simulator_loads_no_pictures_and_no_answers():
    script = """
import sys
import rockshy.sim, rockshy.sim.run.model, rockshy.sim.run.trials, rockshy.sim.scenario.reading
loaded = [name for name in sys.modules if name.startswith(("matplotlib", "rockshy.analysis"))]
assert not loaded, loaded
"""
    subprocess.run([sys.executable, "-c", script], check=True)


def test_importing_the_package_alone_compiles_and_loads_next_to_nothing():
    script = "import sys, rockshy.sim; assert not {'numba', 'mesa', 'numpy', 'scipy'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", script], check=True)
