"""Given draws: where they hold, what they leave as it was, and that work under them is told apart."""

from __future__ import annotations

from dataclasses import replace

from command_line import four_fish
from rockshy.analysis.study.recipe import differences, recipe_of, scenario_digest
from rockshy.sim.run.drawing import parameters_of, traits_of
from rockshy.sim.run.model import TankModel
from rockshy.sim.scenario.changes import with_rock
from rockshy.sim.scenario.given import GivenDraws, name_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

MOORII = "Tropheus moorii"
GIVEN = GivenDraws(("attack_rate_s", name_of("temper", MOORII)), ((0.011, 1.1), (0.022, 1.2)))


def tank(given: GivenDraws | None = None, more: str = "") -> Scenario:
    text = four_fish(title="Stonecomb club", days=0.2, settle=0.1, trials=4) + more
    return replace(parse(text, name="tank.toml"), given=given)


def test_given_values_take_turns_and_all_others_stay_as_drawn() -> None:
    drawn, given = tank(), tank(GIVEN)
    for draw in range(4):
        before, after = parameters_of(drawn, draw), parameters_of(given, draw)
        assert after.attack_rate_s == GIVEN.rows[draw % 2][0]
        assert all(before[name] == after[name] for name in before.dtype.names if name != "attack_rate_s")
        old, new = traits_of(drawn, draw), traits_of(given, draw)
        assert new[MOORII].pop("temper") == GIVEN.rows[draw % 2][1]
        del old[MOORII]["temper"]
        assert new == old


def test_the_model_runs_with_them_and_a_change_keeps_them() -> None:
    changed = with_rock(tank(GIVEN), cover=0.3)
    with TankModel(changed, trial=1, draw=1) as model:
        assert model.parameters.attack_rate_s == 0.022
        assert model.traits[MOORII]["temper"] == 1.2


def test_what_the_keeper_has_set_and_the_middle_of_everything_stand_above_them() -> None:
    own = tank(GIVEN, "[parameters]\nattack_rate_s = 0.05\n")
    assert parameters_of(own, 0).attack_rate_s == 0.05
    fixed = replace(tank(GIVEN), run=replace(tank().run, fixed=True))
    middle = replace(tank(), run=fixed.run)
    assert parameters_of(fixed, 0).attack_rate_s == parameters_of(middle, 0).attack_rate_s


def test_kept_work_under_other_draws_is_told_apart() -> None:
    other = replace(GIVEN, rows=(*GIVEN.rows[:1], (0.022, 1.3)))
    assert len({scenario_digest(tank(one)) for one in (None, GIVEN, other)}) == 3
    recipes = [recipe_of("run", tank(one)) for one in (None, GIVEN, other)]
    assert differences(recipes[0], recipes[1]) == "the fit differs"
    assert differences(recipes[1], recipes[2]) == "the fit differs"
