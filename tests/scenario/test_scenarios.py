"""The ready scenarios: each is whole, has its own question, and differs from its pair as its comment says.

The tanks are invented; the directions are output of this model, except where a test says otherwise.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from rockshy import scenarios
from rockshy.sim import parse, run_trials
from rockshy.sim.fish.population import individuals
from rockshy.sim.run.set_ups import watched
from rockshy.sim.run.table import AS_STOCKED, OWN_KIND, Arm
from rockshy.sim.run.trials import Job, each_job, table_of
from rockshy.sim.scenario.scenario import Scenario
from scipy import stats

GRAZERS = {"Tropheus", "Petrochromis", "Simochromis", "Pseudosimochromis", "Eretmodus", "Ophthalmotilapia"}
NAMES = sorted(scenarios.names())
TRIALS = 12
MORE = 24  # where the difference is small against the luck of a tank


def scenario_of(name: str) -> Scenario:
    return parse(scenarios.text(name), name=name)


@cache
def arms(name: str, trials: int = TRIALS) -> tuple[Scenario, dict[str, Arm]]:
    """A scenario and what its set-ups come to; its own kind alone is run where a test looks at it."""
    scenario = scenario_of(name)
    which = (AS_STOCKED, OWN_KIND) if name == "mild-with-hot" else (AS_STOCKED,)
    done = [one for _, one in each_job([scenario], [Job(0, k, which) for k in range(trials)])]
    return scenario, table_of(scenario, done).arms


def mild(name: str, arm: str = AS_STOCKED, trials: int = TRIALS) -> dict[str, np.ndarray]:
    """Means over the watched fish of a ready scenario, one value a trial."""
    scenario, found = arms(name, trials)
    return means(found[arm], [kind == watched(scenario)[0] for kind in found[arm].fish.species])


def means(arm: Arm, chosen: list[bool]) -> dict[str, np.ndarray]:
    here = np.array(chosen)
    lit = arm.lit_s[:, here]
    return {
        "free": (arm.free_s[:, here] / lit).mean(axis=1),
        "hidden": (arm.hidden_s[:, here] / lit).mean(axis=1),
        "chased": (arm.chases.sum(axis=1)[:, here] / lit).mean(axis=1) * 3600.0,
        "bites": (arm.bites.sum(axis=1)[:, here] / lit).mean(axis=1) * 3600.0,
        "owner": (arm.hour_owner_s[:, here].sum(axis=2) / lit).mean(axis=1),
        "one place": (arm.hour_share[:, here] > 0.8).mean(axis=(1, 2)),
    }


def is_less(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether ``one`` is clearly under ``other``, paired by trial."""
    return bool(stats.wilcoxon(one - other, alternative="less").pvalue < 0.01)


def test_there_are_enough_and_each_asks_something_else() -> None:
    assert len(NAMES) >= 6
    asked = [scenario_of(name) for name in NAMES]
    assert len({scenario.title for scenario in asked}) == len(NAMES)
    assert all(scenario.question for scenario in asked)
    assert len({scenario.question for scenario in asked}) >= 6


@pytest.mark.parametrize("name", NAMES)
def test_scenario_is_of_tanganyika_grazers_and_explains_itself(name: str) -> None:
    scenario = scenario_of(name)
    assert {row.species.split()[0] for row in scenario.stock} <= GRAZERS
    assert scenario.text.startswith("#")
    assert "TO WRITE" not in scenario.text
    assert "seed" in scenario.text


def test_the_stocking_question_is_about_the_tank_of_the_demo() -> None:
    hot, which = scenario_of("mild-with-hot"), scenario_of("which-change")
    assert (which.tank, which.rock, which.stock, which.run) == (hot.tank, hot.rock, hot.stock, hot.run)
    assert len(which.alternatives) == 4
    for one in which.alternatives:
        assert one.changes
        assert one.scenario.stock != which.stock
        assert (one.scenario.tank, one.scenario.rock) == (which.tank, which.rock)


def test_the_rock_question_is_of_a_small_group_and_few_trials() -> None:
    scenario = scenario_of("enough-rock")
    assert len(individuals(scenario.stock)) <= 12
    assert scenario.run.trials == 48
    assert 0 < scenario.rock.cover < 1


def test_mild_fish_among_hot_ones_lose_free_swimming() -> None:
    """Common practice, no source: a mild species among hot-tempered ones is bullied, by itself not."""
    among = mild("mild-with-hot")
    alone = mild("mild-with-hot", arm=OWN_KIND)
    assert is_less(among["free"], alone["free"])
    assert is_less(alone["one place"], among["one place"])
    assert np.mean(alone["free"]) > 0.7


def test_mild_fish_among_mild_ones_are_not_bullied() -> None:
    """Common practice, no source: among mild ones the same fish get about."""
    hot = scenario_of("mild-with-hot")
    watch = hot.run.watch
    calm = parse(
        scenarios.text("mild-with-hot").replace("Petrochromis trewavasae", "Ophthalmotilapia ventralis"),
        name="calm",
    )
    table = run_trials(replace(calm, run=replace(calm.run, controls=False)), trials=TRIALS)
    arm = table.arms[AS_STOCKED]
    among_mild = means(arm, [kind == watch for kind in arm.fish.species])
    assert is_less(mild("mild-with-hot")["free"], among_mild["free"])


@pytest.mark.thorough
def test_a_short_tank_is_worse_than_a_long_one_of_equal_volume() -> None:
    """Common practice, no source: length counts before volume."""
    long, short = mild("long-tank", trials=MORE), mild("short-tank", trials=MORE)
    assert stats.wilcoxon(long["one place"] - short["one place"], alternative="less").pvalue < 0.05


@pytest.mark.thorough
def test_rock_spares_bites() -> None:
    bare, rocked = mild("bare-tank", trials=MORE), mild("rocked-tank", trials=MORE)
    assert is_less(rocked["bites"], bare["bites"])
    assert is_less(bare["free"], rocked["free"])


def test_one_male_is_chased_less_than_several() -> None:
    both = [arms(name)[1][AS_STOCKED] for name in ("one-male", "several-males")]
    one, several = (means(arm, [" male " in label for label in arm.fish.label])["chased"] for arm in both)
    assert is_less(one, several)


@pytest.mark.thorough
def test_the_earlier_they_are_in_the_more_often_they_hold_a_territory() -> None:
    names = ("mild-last", "mild-together", "mild-first")
    last, together, first = (mild(name, trials=MORE)["owner"] for name in names)
    assert is_less(last, together)
    assert is_less(together, first)
