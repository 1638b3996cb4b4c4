"""Rules as a value: a reader's own in a model, in runs on any executor and in a command; compiled once."""

from __future__ import annotations

import pickle
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line import four_fish
from rockshy.analysis.commands import main
from rockshy.analysis.study.recipe import recipe_of, scenario_digest
from rockshy.sim import TankModel, parse, run_trials
from rockshy.sim.fish.shoal import Shoal
from rockshy.sim.rules import night
from rockshy.sim.rules.support.parameter_record import Parameters
from rockshy.sim.rules.support.rule_set import Rules
from rockshy.sim.run.trials import Job, each_job
from staging import at, fingerprint, row, scene, steps, uncompiled

OTHER = "Scena altera"


def often(i: int, shoal: Shoal, p: Parameters) -> float:
    """A reader's own rule instead of attack_rate."""
    return 1.0 if shoal.fish.provoked[i] > 0.0 else 0.0


def never_tires(shoal: Shoal, p: Parameters, seconds: float) -> None:
    """Instead of fade: nothing fades."""


WAR = Rules().with_rule(attack_rate=often)


def pair_of_kinds(**run: Any) -> Any:
    """Three fish of two kinds, two lit hours with a night between."""
    return scene(row(males=1, females=1), row(OTHER, males=1, length=7.0), lit_hours=1.0, days=2.0, **run)


def after_ticks(model: TankModel, ticks: int) -> str:
    steps(model, ticks)
    return fingerprint(model)


# ---- in a model


def test_a_rule_replaced_from_outside_changes_the_outcome_compiled_or_not() -> None:
    ordinary, war = TankModel(pair_of_kinds()), TankModel(pair_of_kinds(), rules=WAR)
    early = after_ticks(war, 100)
    for model in (ordinary, war):
        model.run()
    assert war.ledger.pair.attacks.sum() > 2 * ordinary.ledger.pair.attacks.sum() > 0
    after = TankModel(pair_of_kinds())
    after.run()
    assert fingerprint(after) == fingerprint(ordinary), "the project's own rule is back"
    script = (
        "import test_rule_set as t; print(t.after_ticks(t.TankModel(t.pair_of_kinds(), rules=t.WAR), 100))"
    )
    assert uncompiled(script, beside=__file__) == early


def test_the_projects_own_rule_in_its_own_place_changes_nothing() -> None:
    plain = TankModel(pair_of_kinds())
    same = TankModel(pair_of_kinds(), rules={"give_meal": Rules.known()["give_meal"]})
    assert fingerprint(plain) == fingerprint(same)
    assert after_ticks(plain, 3000) == after_ticks(same, 3000)


def test_a_rule_of_the_night_is_replaced_too() -> None:
    """Nothing fades in the dark either."""
    model = TankModel(pair_of_kinds())
    for rules, left in ((Rules(), 0.2), (Rules().with_rule(fade=never_tires), 0.5)):
        model.shoal.fish.slow_fright[:] = 0.5
        rules.loop().night(*at(model), 86400.0 * 20)
        assert (model.shoal.fish.slow_fright == 0.5).all() == (left == 0.5)
        assert (model.shoal.fish.slow_fright >= left).all() == (left == 0.5)


@pytest.mark.parametrize(
    ("rules", "message"),
    [
        ({"atack_rate": often}, r"no rule 'atack_rate'; did you mean 'attack_rate'\? The rules are: .*fade"),
        ({"xyzzy": often}, r"no rule 'xyzzy'\. The rules are: "),
        ({"fear": lambda i: 0.0}, r"rule 'fear' takes the arguments \(i, shoal\), not \(i\)"),
    ],
)
def test_a_rule_that_does_not_fit_is_refused_in_words(rules: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Rules().with_rule(**rules)
    with pytest.raises(ValueError, match=message):
        TankModel(pair_of_kinds(), rules=rules)


def test_the_rules_of_every_file_can_be_replaced() -> None:
    known = Rules.known()
    files = {fn.__module__.rsplit(".", 1)[1] for fn in known.values()}
    assert files == {path.stem for path in Path(night.__file__ or "").parent.glob("[!_]*.py")}
    assert all(name == fn.__name__ and not name.startswith("_") for name, fn in known.items())


# ---- a value, compiled once


def test_a_set_is_a_value() -> None:
    again = Rules().with_rule(attack_rate=often)
    assert again == WAR and hash(again) == hash(WAR) and again != Rules()
    both = WAR.with_rule(fade=never_tires)
    assert (repr(both), repr(WAR)) == (
        "Rules(attack_rate=often, fade=never_tires)",
        "Rules(attack_rate=often)",
    )
    with pytest.raises(AttributeError):
        WAR.own = ()  # type: ignore[misc]


def test_the_same_set_is_the_same_compiled_loop() -> None:
    assert Rules().loop() == Rules().loop()
    assert Rules().with_rule(attack_rate=often).loop() is WAR.loop()
    assert WAR.loop().advance is not Rules().loop().advance
    assert WAR.loop().night is Rules().loop().night, "which asks for no rate of attack"


def test_a_set_that_comes_twice_from_another_process_is_one() -> None:
    """As a worker of a cluster gets it, whose functions come by value and are new ones each time."""
    pickling = pytest.importorskip("cloudpickle")
    own = Rules().with_rule(attack_rate=lambda i, shoal, p: 0.5)
    first, second = (pickle.loads(pickling.dumps(own)) for _ in range(2))
    assert first is second and first.loop() is second.loop()
    assert pickle.loads(pickle.dumps(Rules())) == Rules()


# ---- in runs of many tanks


def chases(trials: Any) -> list[int]:
    found: list[int] = np.asarray(trials.arms["as stocked"].chases.sum(axis=(1, 2))).tolist()
    return found


def test_rules_reach_every_trial_on_threads_and_in_processes() -> None:
    scenario = pair_of_kinds(trials=2, controls=False)
    ordinary, war = run_trials(scenario), run_trials(scenario, rules=WAR)
    assert min(chases(war)) > max(chases(ordinary))
    assert run_trials(scenario.with_rules(WAR)).recipe == war.recipe
    assert "def often" in str(war.recipe["rules"]) and ordinary.recipe["rules"] == {}
    with ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn")) as pool:
        assert chases(run_trials(scenario, rules=WAR, executor=pool)) == chases(war)


def test_scenarios_that_are_compared_have_rules_of_their_own() -> None:
    scenario = pair_of_kinds(trials=1, controls=False)
    both = [scenario, scenario.with_rules(WAR)]
    found = {job.which: outcomes[0] for job, outcomes in each_job(both, [Job(0, 0), Job(1, 0)])}
    assert found[1].columns["chases"].sum() > found[0].columns["chases"].sum()


def test_alternatives_follow_the_rules_of_the_base() -> None:
    text = four_fish(title="x", trials=1) + '[[alternative]]\nname = "less"\nrun = {lit_hours = 5}\n'
    base = parse(text, name="x")
    assert base.alternatives and base.rules == Rules()
    told = base.with_rules(WAR)
    assert told.rules == WAR and [one.scenario.rules for one in told.alternatives] == [WAR]
    assert replace(told, title="y").rules == WAR


def test_kept_work_knows_the_text_of_the_rules() -> None:
    scenario = pair_of_kinds()
    assert scenario_digest(scenario) != scenario_digest(scenario.with_rules(WAR))
    assert scenario_digest(scenario.with_rules(WAR)) == scenario_digest(
        scenario.with_rules(Rules().with_rule(attack_rate=often))
    )
    assert "return 1.0 if" in recipe_of("run", scenario.with_rules(WAR))["rules.attack_rate"]
    typed: dict[str, Any] = {}
    exec("def rate(i, shoal, p):\n    return 0.0", typed)  # nobody has its text
    one, other = (Rules().with_rule(attack_rate=typed["rate"]) for _ in range(2))
    assert scenario_digest(scenario.with_rules(one)) != scenario_digest(scenario.with_rules(other))


# ---- in a command line of one's own


def test_a_command_line_of_ones_own_simulates_under_its_rules(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tank.toml").write_text(
        four_fish(title="x", days=0.2, settle=0.0, lit_hours=5, trials=1, controls=False, fixed=True),
        encoding="utf-8",
    )
    told = []
    for rules in (None, WAR, None):
        assert main(["run", "tank.toml", "--json"], rules=rules) == 0
        told.append(capsys.readouterr().out)
    assert told[0] == told[2] != told[1]
    assert main(["run", "tank.toml", "--out", "kept"], rules=WAR) == 0
    assert main(["run", "tank.toml", "--out", "kept"]) == 2
    assert "rules.attack_rate is " in capsys.readouterr().err


def test_the_page_refuses_rules_of_ones_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["page", "--no-browser"], rules=WAR) == 2
    assert "page does not take rules of your own; use any other command" in capsys.readouterr().err
