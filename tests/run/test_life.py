"""A life: which days are simulated, what passes between them, and what it leaves as it was."""

from __future__ import annotations

import pickle
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.run import slow
from rockshy.sim.run.life import IN_FULL, Blocks, Pace, days_of, each_day, run_life
from rockshy.sim.run.model import HaltedError
from rockshy.sim.run.slow import Growing, Slow, grown, slow_laws, slow_parameters
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import run_trial
from rockshy.sim.run.weeks import run_weeks
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import Event, FishBack, FishOut
from rockshy.sim.species.sources import is_known
from staging import OWN, ROCKY, faults, hole, holes, kind, put_in, row, scene, stage, with_run
from timeline_examples import HE, staged

MATURE = 8.0


def young(*events: Event, length: float = 6.0, **run: Any) -> Scenario:
    """Four unsexed juveniles beside an adult male, an hour of light a day."""
    rows = (row(unsexed=4, length=length), row(males=1, length=11.0))
    kinds = (kind(maturity_cm=MATURE),)
    timing = {"lit_hours": 1.0, **run}
    return replace(scene(*rows, kinds=kinds, rock=ROCKY, **timing), events=events)


def lived(scenario: Scenario, days: int, pace: Pace | None = None) -> list[tuple[int, int]]:
    model = TankModel(scenario)
    found = Blocks(model, Growing(model, 0), days, pace=pace or Pace())
    return [(one.day, one.since) for one in found]


def standing_still(monkeypatch: pytest.MonkeyPatch) -> None:
    still = Slow({OWN: 0.0, "Scena mitis": 0.0}, 1.0, 1.0, 20.0, 28.0)
    monkeypatch.setattr(slow, "slow_laws", lambda scenario, draw: still)


# ---- which days


def test_blocks_measure_a_day_after_one_to_settle_at_first_and_stand_close_together_then() -> None:
    assert lived(staged(), 60) == [(1, 0), (4, 4), (11, 11), (25, 25), (39, 39), (53, 53), (59, 59)]
    weekly = Pace(quiet=1, blocks=(7,))
    assert lived(staged(), 30, weekly) == [(1, 0), (8, 7), (15, 14), (22, 21), (29, 28)]
    assert lived(staged(), 4, IN_FULL) == [(0, 0), (1, 1), (2, 2), (3, 3)]
    assert lived(staged(), 1) == [(0, 0)]


def test_an_event_forces_a_block_and_days_are_denser_after_it() -> None:
    away = FishOut(day=15.0, fish=(HE,)), FishBack(day=30.5, fish=(HE,))
    days = [(1, 0), (4, 4), (11, 11), (16, 15), (19, 19), (26, 26), (32, 30), (34, 34), (41, 41), (55, 55)]
    assert lived(staged(*away), 60) == [*days, (59, 59)]


def test_an_event_happens_in_a_simulated_day_at_its_hour() -> None:
    model = TankModel(staged(FishOut(day=15.25, fish=(HE,))))
    seen = {}
    for one in Blocks(model, Growing(model, 0), 30, pace=Pace()):
        seen[one.day] = int(model.ledger.hours.lit[1].sum())
    assert seen[11] == 3600 and seen[17] == 0 and 15 not in seen and 16 not in seen


def test_a_block_is_halved_where_its_skip_would_move_the_odds_of_an_open_pair_too_far() -> None:
    at_once = young(length=9.5, parameters={"size_odds": 20.0})
    far = Pace(blocks=(14,), most_odds=1e9)
    assert lived(at_once, 60, far)[1] == (14, 14)
    halved = lived(at_once, 60, replace(far, most_odds=0.05))
    assert 2 <= halved[1][1] < 14
    model = TankModel(at_once)
    growing = Growing(model, 0)
    assert growing.odds_moved(14, even=50.0) > growing.odds_moved(7, even=50.0) > 0.0
    assert growing.odds_moved(14, even=0.0) < growing.odds_moved(14, even=50.0), "a pair that is decided"


def test_weeks_of_a_life_add_up_to_one_record_with_the_columns_of_any_run() -> None:
    scenario = young(FishOut(day=16.0, fish=(f"{OWN} male 1",)), days=2.0)
    (life,), (weeks,) = (run(scenario, 0, days=30, arms=(AS_STOCKED,)) for run in (run_life, run_weeks))
    (run,) = run_trial(scenario, 0, arms=(AS_STOCKED,))
    assert list(weeks.columns) == list(run.columns) and weeks.columns["hour_lit_s"].shape == (5, 4)
    days, each = each_day(life)
    stands = [
        max((one for one in days if one.since <= middle), key=lambda one: one.day)
        for middle in (3.5, 10.5, 17.5, 24.5)
    ]
    told = [each[days.index(one)] for one in stands]
    np.testing.assert_array_equal(weeks.columns["chases"], sum(one.columns["chases"] for one in told))
    np.testing.assert_array_equal(weeks.columns["hour_owner_s"][:, 3], told[3].columns["hour_owner_s"][:, 0])
    np.testing.assert_array_equal(weeks.columns["length_cm"], told[3].columns["length_cm"])
    assert weeks.columns["lit_s"].tolist() == [4 * 3600.0] * 4 + [2 * 3600.0]
    for since, kept in ((0.0, 4), (14.0, 2), (99.0, 1)):
        (late,) = run_weeks(scenario, 0, days=30, since=since, arms=(AS_STOCKED,))
        assert late.columns["hour_lit_s"].shape == (5, kept)
        np.testing.assert_array_equal(late.columns["hour_chased"], weeks.columns["hour_chased"][:, -kept:])


def test_fish_left_alone_are_measured_on_the_same_days() -> None:
    stocked, alone = run_life(young(), 0, days=30)
    assert (stocked.name, alone.name) == (AS_STOCKED, LEFT_ALONE)
    (days, each), (same, others) = each_day(stocked), each_day(alone)
    assert days == same and len(each) == len(others) == len(days) > 3
    assert all((one.columns["lit_s"] == 3600.0).all() for one in (*each, *others))
    assert stocked.columns["chases"].sum() > 0 == alone.columns["chases"].sum()


def test_fish_left_alone_swim_as_they_did_where_nothing_happened() -> None:
    grown_up = young(length=2 * MATURE)
    every, other = (
        run_life(grown_up, 0, days=40, pace=Pace(alone=alone), arms=(LEFT_ALONE,))[0] for alone in (1, 2)
    )
    days, each = each_day(every)
    same, others = each_day(other)
    assert days == same and [one.day for one in days] == [1, 4, 11, 25, 39]
    repeated = [np.array_equal(b.columns["hour_share"], a.columns["hour_share"]) for a, b in pairwise(others)]
    assert repeated == [True, False, True, False]
    assert not any(
        np.array_equal(b.columns["hour_share"], a.columns["hour_share"]) for a, b in pairwise(each)
    )
    np.testing.assert_array_equal(each[0].columns["hour_share"], others[0].columns["hour_share"])


@pytest.mark.parametrize(
    "event",
    [FishOut(day=9.0, fish=(f"{OWN} male 1",)), FishOut(day=9.5, fish=(f"{OWN} male 1",))],
    ids=["dawn", "noon"],
)
def test_fish_left_alone_are_measured_where_something_happened(event: Event) -> None:
    _, alone = run_life(young(event, length=2 * MATURE), 0, days=30)
    days, each = each_day(alone)
    (after,) = [k for k, one in enumerate(days) if one.since == 9]
    assert not np.array_equal(each[after].columns["hour_share"], each[after - 1].columns["hour_share"])
    assert sum(each[after].columns["lit_s"] == 0) == 1


# ---- what stays as it was


def test_a_life_in_which_nothing_grows_begins_with_the_very_days_of_a_run(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    standing_still(monkeypatch)
    scenario = staged(days=2.0, settle_days=1.0)
    (run,) = run_trial(scenario, 0, arms=(AS_STOCKED,))
    (life,) = run_life(scenario, 0, days=2, arms=(AS_STOCKED,))
    for name, column in run.columns.items():
        np.testing.assert_array_equal(column, life.columns[name][0], err_msg=name)
    assert run.columns["chases"].sum() > 0


def test_the_same_life_comes_twice_and_the_state_stays_sound() -> None:
    (first,), (again,) = (run_life(young(), 1, days=20, arms=(AS_STOCKED,)) for _ in range(2))
    for name, column in first.columns.items():
        np.testing.assert_array_equal(column, again.columns[name], err_msg=name)
    model = TankModel(young())
    for _ in Blocks(model, Growing(model, 0), 40, pace=Pace()):
        assert faults(model) == []


def test_a_life_that_is_cut_in_two_and_gone_on_with_is_the_same_life() -> None:
    """Bit for bit, whenever it is cut; a fish goes out and comes back after the cut."""

    def begun() -> Blocks:
        away = (
            FishOut(day=15.0, fish=(f"{OWN} unsexed 1",)),
            FishBack(day=20.5, fish=(f"{OWN} unsexed 1",)),
        )
        model = TankModel(young(*away))
        return Blocks(model, Growing(model, 0), 30, pace=Pace())

    whole = begun()
    told = [(one, whole.model.ledger) for one in whole]
    for cut in (1, 3):
        life = begun()
        first = [next(life) for _ in range(cut)]
        again = pickle.loads(pickle.dumps(life))
        for (one, ledger), other in zip(told[cut:], again, strict=True):
            assert one == other
            for name, part in ledger._asdict().items():
                np.testing.assert_array_equal(part, getattr(again.model.ledger, name), err_msg=name)
        assert first == [one for one, _ in told[:cut]]
        assert (again.model.shoal.fish == whole.model.shoal.fish).all()


def test_a_life_that_is_called_off_ends() -> None:
    with pytest.raises(HaltedError):
        run_life(staged(), 0, days=30, halted=lambda: True)


# ---- growing


def test_two_weeks_are_one_week_twice_and_nobody_outgrows_its_own_length() -> None:
    now, own, pace = np.array([5.0, 9.0, 12.0]), np.array([11.0, 9.0, 12.0]), np.array([1.4, 2.5, 0.8])
    week = grown(now, own, pace, 7.0)
    np.testing.assert_allclose(grown(week, own, pace, 7.0), grown(now, own, pace, 14.0), rtol=1e-12)
    assert week[0] > now[0] and (week[1:] == now[1:]).all()
    assert (grown(now, own, pace, 1e5) <= own).all()
    adult = grown(np.array([1.0]), np.array([12.0]), np.array([0.8]), 3 * 365.0)
    assert adult[0] > 0.9 * 12.0, "adult size by three years, at the slowest pace as well"


def test_an_owner_grows_by_its_own_factor_as_described() -> None:
    model = TankModel(young())
    growing = Growing(model, 0)
    plain = growing.lengths_after(30)
    growing.laws = replace(growing.laws, owner_growth=0.5)
    growing.owned[0] = 0.8
    slowed = growing.lengths_after(30)
    pace, own = 1.4 * (1.0 + 0.8 * (0.5 - 1.0)), growing.own_cm[0]
    assert slowed[0] == pytest.approx(own - (own - 6.0) * np.exp(-pace * 30 / 365))
    assert slowed[0] < plain[0] and (slowed[1:] == plain[1:]).all()


def test_who_gets_nothing_to_eat_falls_off_and_grows_slower_as_described() -> None:
    model = TankModel(young())
    growing = Growing(model, 0)
    plain = growing.lengths_after(30)
    growing.laws = replace(growing.laws, unfed_growth=0.2, condition_d=10.0)
    growing.fed[0] = 0.0
    growing.pass_time(10, simulated=True)
    assert growing.condition[0] == pytest.approx(np.exp(-1.0)) and (growing.condition[1:] == 1.0).all()
    model.shoal.fish.length_cm[:] = 6.0
    pace, own = 1.4 * (0.2 + 0.8 * np.exp(-1.0)), growing.own_cm[0]
    assert growing.lengths_after(30)[0] == pytest.approx(own - (own - 6.0) * np.exp(-pace * 30 / 365))
    assert growing.lengths_after(30)[0] < plain[0]


def test_what_a_fish_got_is_read_off_the_measured_day() -> None:
    model = TankModel(young())
    growing = Growing(model, 0)
    fish = model.ledger.fish
    fish.meals[:], fish.food[:] = 2, 2 * model.parameters.portions
    fish.food[1], fish.food[2], fish.meals[3] = model.parameters.portions, 99.0, 0
    growing.note_day()
    assert growing.fed.tolist() == [1.0, 0.5, 1.0, 1.0, 1.0]


def test_a_fish_that_is_still_to_come_in_has_the_length_it_was_given() -> None:
    scenario = scene(row(males=1, length=6.0), row(females=1, length=6.0, day=20.0), lit_hours=1.0)
    model = TankModel(scenario)
    life = Blocks(model, Growing(model, 0), 30, pace=Pace())
    lengths = {one.day: model.shoal.fish.length_cm.copy() for one in life}
    assert lengths[11][0] > 6.0 == lengths[11][1] and lengths[29][1] > 6.0


def test_sex_temper_and_claims_show_when_a_fish_is_mature() -> None:
    model = TankModel(young())
    growing, fish = Growing(model, 0), model.shoal.fish
    he = int(np.flatnonzero(fish.male[:4])[0])
    assert model.shoal.pair.choice[4, he] == 1.0, "a juvenile is no look-alike of an adult male"
    assert not fish.capable[he]
    temper = fish.temper[he]
    fish.length_cm[he] = MATURE + 0.5
    model.skip_to(model.tick)
    growing.settle_bodies()
    assert model.shoal.pair.choice[4, he] == model.parameters.look_alike
    assert fish.adult[he] and fish.capable[he] and fish.temper[he] > temper


def test_a_fish_outgrows_its_crevice() -> None:
    model = stage(row(males=1, length=9.0), rock=holes(hole(30.0, mouth_cm=3.0)))
    growing, fish = Growing(model, 0), model.shoal.fish
    put_in(model, 0, 0)
    fish.centre[0], model.shoal.memory[0] = 0, 0.8
    growing.settle_bodies()
    assert (fish.centre[0], fish.refuge[0], fish.doing[0]) == (0, 0, 1), "2.7 cm deep, it fits"
    fish.length_cm[0] = 11.0
    model.skip_to(model.tick)
    growing.settle_bodies()
    assert (fish.centre[0], fish.refuge[0], fish.doing[0]) == (-1, -1, 0)
    assert model.shoal.memory[0, 0] == 0.0 and model.shoal.memory[0, 1:].min() == 0.8, "corners are open"


# ---- what is remembered


def test_who_lives_together_is_carried_as_it_stands_and_who_is_out_forgets_by_the_half_lives() -> None:
    model = TankModel(staged())
    growing, fish, p = Growing(model, 0), model.shoal.fish, model.parameters
    model.take_out(next(one for one in model.agents if one.label == HE))
    for name in ("fright", "slow_fright", "experience"):
        fish[name][:] = 0.8
    model.shoal.pair.standing[:] = -1.0
    model.shoal.claims[:] = 0.6
    growing.pass_time(4.0, simulated=False)
    assert fish.experience[0] == 0.8 and fish.experience[1] == pytest.approx(
        0.8 * 0.5 ** (4 / p.experience_half_life_d)
    )
    assert fish.fright[1] < 1e-9 < fish.fright[0]
    known = 0.5 ** (4 / p.pair_half_life_d)
    assert model.shoal.pair.standing[0, 3] == -1.0
    assert model.shoal.pair.standing[0, 1] == model.shoal.pair.standing[1, 0] == -known
    assert model.shoal.claims[1] == pytest.approx(0.6 * np.exp(-4.0 / p.claim_fade_h))
    assert (model.shoal.claims[0] == 0.6).all()


@pytest.mark.parametrize("days", [2.0, 9.0])
def test_a_fish_that_comes_back_after_days_remembers_by_the_half_lives_and_owns_nothing(
    days: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No source: what must be so by the stated half-lives, over days simulated and days passed over.

    What published work says of fish that meet again after days is held in the evidence (L5, L6).
    """
    model = TankModel(staged(FishOut(day=1.0, fish=(HE,)), FishBack(day=1.0 + days, fish=(HE,))))
    (he,) = (k for k, one in enumerate(model.people) if one.label == HE)
    fish, pair, told = model.shoal.fish, model.shoal.pair, {}

    def known() -> dict[str, float]:
        of_him = {name: float(fish[name][he]) for name in ("experience", "slow_fright")}
        theirs = {"his of the other": pair.standing[he, 0], "the other's of him": pair.standing[0, he]}
        return {**of_him, **theirs, "claims": float(model.shoal.claims[he].max())}

    def take_out(one: object, leave: Any = model.take_out) -> None:
        fish.experience[he], fish.slow_fright[he], pair.standing[he, 0] = 0.9, 0.9, -1.5
        pair.standing[0, he], model.shoal.claims[he] = 0.7, 0.9
        leave(one)
        told["out"] = known()

    def let_in(labels: Any, come: Any = model.let_in) -> None:
        told["back"] = known()
        come(labels)
        told["owned"] = (int(fish.centre[he]), int(fish.home[he]))

    monkeypatch.setattr(model, "take_out", take_out)
    monkeypatch.setattr(model, "let_in", let_in)
    for _ in Blocks(model, Growing(model, 0), int(days) + 4, pace=Pace()):
        pass
    p = model.parameters
    half_d = {"experience": p.experience_half_life_d, "slow_fright": p.slow_half_life_d}
    for name in told["out"]:
        if name == "claims":  # they fade by lit hours, one a day
            left = np.exp(-days * 1.0 / p.claim_fade_h)
        else:
            left = 0.5 ** (days / half_d.get(name, p.pair_half_life_d))
        assert told["back"][name] == pytest.approx(told["out"][name] * left, rel=0.02, abs=1e-6), name
    assert told["owned"] == (-1, -1)


def test_a_female_that_came_in_with_eggs_holds_them_for_the_stated_days() -> None:
    scenario = scene(row(females=2, holding=1), lit_hours=1.0)
    model = TankModel(scenario)
    days = slow_parameters()["brood_d"].value
    held = {
        one.day: bool(model.shoal.fish.holding[0])
        for one in Blocks(model, Growing(model, 0), 60, pace=Pace())
    }
    assert {day: day < days for day in held} == held and not all(held.values())


# ---- what nobody has measured


@pytest.mark.parametrize("name", slow_parameters())
def test_a_slow_parameter_says_its_range_and_a_known_source(name: str) -> None:
    one = slow_parameters()[name]
    assert one.low < one.high and one.draw in ("log", "uniform") and one.unit and is_known(one.source)


def test_slow_laws_are_drawn_within_their_ranges_and_fixed_when_nothing_is() -> None:
    fixed = slow_laws(staged(), 3)
    assert set(fixed.growth_k.values()) == {slow_parameters()["growth_k"].value}
    drawn = [slow_laws(with_run(staged(), fixed=False), draw) for draw in range(8)]
    owner = slow_parameters()["owner_growth"]
    assert all(owner.low <= one.owner_growth <= owner.high for one in drawn)
    assert min(one.owner_growth for one in drawn) < 1.0 < max(one.owner_growth for one in drawn), "both signs"
    assert len({one.growth_k[OWN] for one in drawn}) == 8


def test_days_that_are_stated_are_measured_and_no_others() -> None:
    model = TankModel(staged(), arm=LEFT_ALONE)
    other = TankModel(staged())
    at = tuple(Blocks(other, Growing(other, 0), 20, pace=Pace()))
    assert tuple(days_of(model, Growing(model, 0), at)) == at
    assert model.tick == (at[-1].day + 1) * model.lit_ticks
