"""Changes to a scenario: each does what it says, and leaves everybody else the fish they were."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_examples import LIBRARY
from rockshy import scenarios
from rockshy.sim.fish.population import SEXES, Individual, draw_individual, draw_traits, individuals
from rockshy.sim.rules.support.random_numbers import stream_key
from rockshy.sim.scenario import changes
from rockshy.sim.scenario.changes import ChangeError
from rockshy.sim.scenario.scenario import (
    Alternative,
    CreviceSpec,
    RockSpec,
    RunSpec,
    Scenario,
    StockRow,
    TankSpec,
)
from rockshy.sim.scenario.stock_changes import Which, counted, dated, exchanged, numbers, taken_out
from rockshy.sim.species.species import library

MILD, HOT, CAVE = LIBRARY
TANK = TankSpec(length_cm=150, width_cm=50, height_cm=50, water_cm=46)


def scenario(*stock: StockRow, watch: str | None = None) -> Scenario:
    return Scenario(
        title="invented",
        question="",
        tank=TANK,
        rock=RockSpec(cover=0.4, height_cm=30, piles=2),
        stock=stock,
        run=RunSpec(watch=watch),
        species={key: LIBRARY[key] for key in dict.fromkeys(row.species for row in stock)},
    )


BASE = scenario(
    StockRow(MILD, males=1, females=3, holding=2),
    StockRow(HOT, males=3, females=2, length_cm=(8, 10), day=1),
    StockRow(MILD, males=2, day=2, out_day=9),
)


def on_day(base: Scenario, species: str, *, sex: str | None = None, **days: Any) -> Scenario:
    return changes.restocked(base, dated(base.stock, Which(species, sex), **days))


def one_fish(one: Individual) -> Which:
    return Which(one.species, fish=one.name)


def some(one: Individual) -> st.SearchStrategy[Which]:
    """All fish of its species, those of its sex, or this one."""
    return st.sampled_from([Which(one.species), Which(one.species, one.sex), one_fish(one)])


def labels(stock: tuple[StockRow, ...]) -> list[str]:
    return [one.label for one in individuals(stock)]


def known(fish: Individual) -> tuple[object, ...]:
    """All that decides who a fish is and when it is there."""
    return fish.label, fish.holding, fish.row.length_cm, fish.row.day, fish.row.out_day


def holds(one: Scenario) -> bool:
    """What is true of every scenario that was read from a file."""
    stocked = [fish.species for fish in individuals(one.stock)]
    watch = one.run.watch
    return (
        list(one.species) == list(dict.fromkeys(row.species for row in one.stock))
        and set(stocked) == set(one.species)
        and (watch is None or watch in one.species)
        and not one.alternatives
        and all(0 <= row.holding <= row.females for row in one.stock)
    )


# ---- one by one


def test_a_label_copied_from_a_result_names_a_fish() -> None:
    assert changes.without_fish(BASE, HOT, f"{HOT} Male  2") == changes.without_fish(BASE, HOT, "male 2")


def test_the_last_fish_of_a_species_takes_it_along() -> None:
    one = scenario(StockRow(MILD, males=1), StockRow(HOT, males=1))
    after = changes.without_fish(one, HOT, "male 1")
    assert list(after.species) == [MILD]
    assert after.stock == (StockRow(MILD, males=1),)


def test_a_fish_that_is_not_there() -> None:
    once = changes.without_fish(BASE, HOT, "male 2")
    with pytest.raises(ChangeError) as caught:
        changes.without_fish(once, HOT, "male 2")
    assert (caught.value.key, caught.value.found) == ("fish", '"male 2"')
    assert "male 1, male 3, female 1 to 2" in caught.value.allowed
    assert caught.value.nearest in ("male 1", "male 3")
    assert 'is "male 2"; use a fish' in str(caught.value)


def test_a_species_is_gone_with_all_its_rows() -> None:
    after = changes.without_species(BASE, HOT)
    assert after.stock == (BASE.stock[0], BASE.stock[2])
    assert holds(after)
    with pytest.raises(ChangeError, match="a species of the stock: Algaphilus mildus"):
        changes.without_species(after, HOT)
    with pytest.raises(ChangeError, match="no fish are left; use a stock of at least one"):
        changes.without_species(after, MILD)


def test_the_watched_species_must_stay() -> None:
    watching = replace(BASE, run=replace(BASE.run, watch=MILD))
    with pytest.raises(ChangeError, match=f"no {MILD} are left") as caught:
        changes.without_species(watching, MILD)
    assert caught.value.key == "watch"
    with pytest.raises(ChangeError):
        changes.with_run(BASE, watch=CAVE)
    assert changes.with_run(BASE, watch=HOT).run.watch == HOT


def test_more_fish_come_after_those_that_are_there() -> None:
    new = (StockRow(HOT, males=1), StockRow("Tropheus duboisi", males=1), StockRow(CAVE, females=1))
    after = changes.with_stock(BASE, new, species=[LIBRARY[CAVE]])
    assert labels(after.stock)[: len(labels(BASE.stock))] == labels(BASE.stock)
    assert labels(after.stock)[-3:] == [f"{HOT} male 4", "Tropheus duboisi male 1", f"{CAVE} female 1"]
    assert after.species["Tropheus duboisi"] == library()["Tropheus duboisi"]
    assert holds(after)
    with pytest.raises(ChangeError, match="hand it in"):
        changes.with_stock(BASE, [StockRow("Nobody known", males=1)])


def test_fewer_takes_the_last_numbers_and_more_adds_to_the_last_row_of_the_sex() -> None:
    fewer = changes.recounted(BASE, MILD, males=1)
    assert labels(fewer.stock) == [
        one for one in labels(BASE.stock) if one not in (f"{MILD} male 2", f"{MILD} male 3")
    ]
    assert len(fewer.stock) == 2  # nobody is left of the third row
    more = changes.recounted(BASE, MILD, males=4, females=5, unsexed=1)
    assert [(row.males, row.females, row.unsexed) for row in more.stock] == [(1, 5, 0), (3, 2, 0), (3, 0, 1)]
    assert changes.recounted(BASE, MILD, males=3, females=3) == replace(BASE)


def test_a_recount_counts_the_fish_that_are_there() -> None:
    out = taken_out(BASE.stock, Which(HOT, fish="male 1"))
    assert labels(counted(out, HOT, males=2)) == labels(out)
    assert [one.number for one in Which(HOT, sex="male").among(counted(out, HOT, males=1))] == [2]
    assert [one.number for one in Which(HOT, sex="male").among(counted(out, HOT, males=3))] == [2, 3, 4]
    last = taken_out(BASE.stock, Which(HOT, fish="male 3"))
    assert [one.number for one in Which(HOT, sex="male").among(counted(last, HOT, males=1))] == [1]


def test_holding_fish_are_no_more_than_the_females() -> None:
    assert numbers(counted(BASE.stock, MILD, females=1), MILD)["holding"] == 1
    assert numbers(counted(BASE.stock, MILD, holding=0), MILD)["holding"] == 0
    assert numbers(counted(BASE.stock, MILD, females=4, holding=4), MILD)["holding"] == 4
    out = taken_out(BASE.stock, Which(MILD, fish="female 1"))
    assert numbers(counted(out, MILD, holding=2), MILD)["holding"] == 2
    with pytest.raises(ChangeError, match="at most the number of females, 3"):
        changes.recounted(BASE, MILD, holding=4)


def test_another_species_takes_numbers_and_days_but_no_length() -> None:
    after = changes.replaced(BASE, HOT, by=LIBRARY[CAVE])
    assert after.stock[1] == StockRow(CAVE, males=3, females=2, day=1)
    assert exchanged(BASE.stock, Which(HOT), by=LIBRARY[CAVE], length_cm=(5, 6))[1].length_cm == (5, 6)
    assert holds(after)
    with pytest.raises(ChangeError, match="another species"):
        changes.replaced(BASE, HOT, by=LIBRARY[HOT])


def test_eggs_go_along_only_to_mouthbrooders() -> None:
    for by, holding in ((LIBRARY[CAVE], 0), (library()["Tropheus moorii"], 2)):
        assert numbers(exchanged(BASE.stock, Which(MILD), by=by), by.key)["holding"] == holding


def test_a_stocked_species_that_takes_a_place_is_numbered_on() -> None:
    after = changes.replaced(BASE, MILD, by=LIBRARY[HOT])
    kept = [known(one) for one in individuals(BASE.stock) if one.species == HOT]
    assert [known(one) for one in individuals(after.stock)][: len(kept)] == kept
    assert numbers(after.stock, HOT) == {"males": 6, "females": 5, "unsexed": 0, "holding": 2}
    assert holds(after)


def test_taking_out_on_a_day_and_never() -> None:
    after = on_day(BASE, MILD, out_day=5)
    assert [row.out_day for row in after.stock] == [5, None, 5]
    assert on_day(BASE, MILD, out_day=math.inf).stock[2].out_day is None
    with pytest.raises(ChangeError, match="go in on day 12 and come out on day 9"):
        on_day(BASE, MILD, day=12)
    assert on_day(BASE, HOT, day=1).stock == BASE.stock  # nothing is split for nothing


def test_the_water_follows_the_rim_unless_it_is_given() -> None:
    assert changes.with_tank(BASE, height_cm=60.0).tank.water_cm == 56.0
    assert changes.with_tank(BASE, height_cm=60.0, water_cm=40.0).tank.water_cm == 40.0
    assert changes.with_tank(BASE, length_cm=200.0).tank.water_cm == 46.0
    with pytest.raises(ChangeError, match="at most 20 cm"):
        changes.with_tank(BASE, height_cm=20.0)


def test_a_cover_and_a_sketch_take_each_others_place() -> None:
    hole = CreviceSpec(x_cm=10, y_cm=10, z_cm=0, mouth_cm=5, depth_cm=10)
    listed = changes.with_rock(BASE, crevices=(hole,))
    assert changes.with_rock(listed, cover=0.6).rock == replace(listed.rock, cover=0.6)
    drawn = changes.with_rock(listed, sketch=("01", "10")).rock
    assert (drawn.cover, drawn.height_cm, drawn.crevices, drawn.sketch) == (0.0, 0.0, None, ("01", "10"))
    back = changes.with_rock(changes.with_rock(listed, sketch=("01", "10")), cover=0.2, height_cm=20.0).rock
    assert (back.sketch, back.cover, back.height_cm) == (None, 0.2, 20.0)
    with pytest.raises(ChangeError, match="the tank's height"):
        changes.with_rock(BASE, height_cm=51.0)
    with pytest.raises(TypeError):
        changes.with_rock(BASE, colour="grey")


def test_what_is_measured_can_be_held_to_the_days_of_the_base() -> None:
    after = changes.without_species(BASE, MILD)
    assert (BASE.last_change_day, after.last_change_day) == (2, 1)
    held = changes.measured_like(after, BASE)
    assert (held.run.days, held.run.settle_days) == (BASE.run.days + 1, BASE.run.settle_days + 1)
    later = on_day(BASE, HOT, day=5)
    assert changes.measured_like(later, BASE) is later


def test_options_of_a_command_reach_every_alternative() -> None:
    both = replace(BASE, alternatives=(Alternative("less", (), changes.without_species(BASE, HOT)),))
    after = changes.everywhere(both, lambda one: changes.with_run(one, seed=9))
    assert [after.run.seed, *(one.scenario.run.seed for one in after.alternatives)] == [9, 9]
    assert after.alternatives[0].scenario.stock == both.alternatives[0].scenario.stock


# ---- whatever is changed


@st.composite
def stocks(draw: st.DrawFn) -> tuple[StockRow, ...]:
    rows = []
    for _ in range(draw(st.integers(1, 5))):
        males, females, unsexed = (draw(st.integers(0, 4)) for _ in range(3))
        rows.append(
            StockRow(
                draw(st.sampled_from([MILD, HOT])),
                males=max(males, 1 - females - unsexed),
                females=females,
                unsexed=unsexed,
                holding=draw(st.integers(0, females)),
                length_cm=draw(st.sampled_from([None, (5.0, 9.0)])),
                day=draw(st.integers(0, 3)),
            )
        )
    stock = tuple(rows)
    for _ in range(draw(st.integers(0, 2))):
        there = individuals(stock)
        if len(there) > 2:
            one = draw(st.sampled_from(there))
            stock = taken_out(stock, one_fish(one))
    return stock


@given(stocks(), st.data())
def test_taking_out_one_fish_touches_nobody_else(stock: tuple[StockRow, ...], data: st.DataObject) -> None:
    one = data.draw(st.sampled_from(individuals(stock)))
    after = individuals(taken_out(stock, one_fish(one)))
    assert [known(fish) for fish in after] == [known(fish) for fish in individuals(stock) if fish != one]


@given(stocks(), st.data())
def test_recounting_touches_the_last_numbers_alone(stock: tuple[StockRow, ...], data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(individuals(stock))).species
    sex, wanted = data.draw(st.sampled_from(SEXES)), data.draw(st.integers(0, 8))
    field = {"male": "males", "female": "females", "unsexed": "unsexed"}[sex]
    after = counted(stock, kind, **{field: wanted})
    assert numbers(after, kind)[field] == wanted
    changed = [known(one) for one in individuals(after) if (one.species, one.sex) == (kind, sex)]
    before = [known(one) for one in individuals(stock) if (one.species, one.sex) == (kind, sex)]
    assert changed[: len(before)] == before[: len(changed)]
    others = [known(one) for one in individuals(stock) if (one.species, one.sex) != (kind, sex)]
    assert [known(one) for one in individuals(after) if (one.species, one.sex) != (kind, sex)] == others


@given(stocks(), st.data())
def test_other_days_change_days_alone_for_all_for_a_sex_for_one(
    stock: tuple[StockRow, ...], data: st.DataObject
) -> None:
    one = data.draw(st.sampled_from(individuals(stock)))
    which = data.draw(some(one))
    meant = {fish.label for fish in which.among(stock)}
    after = {fish.label: fish for fish in individuals(dated(stock, which, day=7.0))}
    for fish in individuals(stock):
        day = 7.0 if fish.label in meant else fish.row.day
        expected = (fish.label, fish.holding, fish.row.length_cm, day, None)
        assert known(after.pop(fish.label)) == expected
    assert not after


@given(stocks(), st.data())
def test_replacing_all_or_a_sex_or_one_keeps_numbers_and_everybody_else(
    stock: tuple[StockRow, ...], data: st.DataObject
) -> None:
    one = data.draw(st.sampled_from(individuals(stock)))
    which = data.draw(some(one))
    by = data.draw(st.sampled_from([key for key in (MILD, HOT, CAVE) if key != one.species]))
    meant = {fish.label for fish in which.among(stock)}
    after = exchanged(stock, which, by=LIBRARY[by])
    kept = [known(fish) for fish in individuals(stock) if fish.label not in meant]
    names = {row[0] for row in kept}
    assert sorted(known(fish) for fish in individuals(after) if fish.label in names) == sorted(kept)
    assert len(individuals(after)) == len(individuals(stock))
    assert numbers(after, by)["females"] - numbers(stock, by)["females"] == sum(
        fish.sex == "female" for fish in which.among(stock)
    )


def test_whoever_a_change_leaves_alone_is_the_same_individual() -> None:
    """The draws of a fish hang on its label, and it keeps the label."""
    base = scenarios.read("mild-with-hot")
    kind = "Petrochromis trewavasae"
    others = [
        changes.without_fish(base, kind, "female 4"),
        changes.recounted(base, kind, males=1, females=20),
        changes.with_stock(base, [StockRow(kind, males=2), StockRow("Tropheus moorii", males=1)]),
        changes.replaced(base, kind, by=library()["Ophthalmotilapia ventralis"]),
        on_day(base, kind, day=3, sex="male"),
        changes.with_rock(base, cover=0.7),
    ]
    for trial in (0, 5):
        before = bodies(base, trial)
        for other in others:
            after = bodies(other, trial)
            same = set(before) & set(after)
            assert len(same) >= 8
            assert {label: after[label] for label in same} == {label: before[label] for label in same}


def bodies(one: Scenario, trial: int) -> dict[str, object]:
    """What is drawn of each fish in a trial, and of its species."""
    seed = stream_key(one.run.seed, "trial", trial)
    traits = {
        key: draw_traits(species, seed=one.run.seed, draw=trial, fixed=False)
        for key, species in one.species.items()
    }
    return {
        x.label: (draw_individual(x, traits[x.species], trial_seed=seed), traits[x.species])
        for x in individuals(one.stock)
    }
