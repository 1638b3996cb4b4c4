"""The shoal: every property declared once, places that never move, a fish as a view of its place."""

from dataclasses import replace

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.fish.population import MEEKEST, individuals
from rockshy.sim.fish.records import Records, flag, real, records
from rockshy.sim.fish.shoal import DOING, FISH, PAIR, PURPOSES, empty_shoal, grown
from rockshy.sim.scenario.scenario import StockRow
from staging import OWN, kind, row, scene, stage

OTHER = "Scena altera"


def test_a_record_array_has_every_field_at_its_default():
    class Table(Records):
        a = real("cm", "length", default=1.5)
        b = flag("flag", default=True)

    table = records(Table, (2, 3))
    assert table.shape == (2, 3)
    assert table.dtype.names == ("a", "b")
    assert (table.a == 1.5).all()
    assert table.b.all()


@pytest.mark.parametrize("declared", [FISH, PAIR])
def test_every_property_says_what_it_is(declared):
    for name, said in declared.items():
        assert len(said.meaning) > 5, name
        assert np.dtype(said.dtype), name
        if name.endswith("_cm"):
            assert said.unit == "cm", name
        if name.endswith("_cm_s"):
            assert said.unit == "cm/s", name


def test_an_empty_shoal_has_nobody_in_the_tank():
    shoal = empty_shoal(3, refuges=5, blocks=7)
    assert not shoal.fish.present.any()
    assert (shoal.fish.centre == -1).all()
    assert (shoal.fish.ground == -1).all()
    assert shoal.memory.shape == (3, 5)
    assert shoal.claims.shape == (3, 7) and not shoal.claims.any()
    assert shoal.streams.shape == (3, len(PURPOSES))


def test_a_grown_shoal_keeps_all_places():
    shoal = empty_shoal(2, refuges=4, blocks=6)
    shoal.fish.length_cm[:] = 7.0, 8.0
    shoal.pair.standing[0, 1] = -0.3
    shoal.memory[1, 2], shoal.claims[1, 3] = 0.6, 0.4
    shoal.streams[1, 0] = 99
    larger = grown(shoal, extra=3)
    assert larger.fish.length_cm.tolist() == [7.0, 8.0, 0.0, 0.0, 0.0]
    assert larger.pair.standing[0, 1] == -0.3
    assert larger.pair.shape == (5, 5)
    assert larger.memory[1, 2] == 0.6
    assert larger.claims.shape == (5, 6) and larger.claims[1, 3] == larger.claims.sum() == 0.4
    assert larger.streams[1, 0] == 99
    assert not larger.fish.present.any()


@pytest.mark.parametrize("name", [name for name in FISH if name not in ("species", "doing")])
def test_a_fish_reads_and_writes_every_property_of_its_own_place(name):
    model = stage(row(males=1), row(females=2))
    fish = list(model.agents)[1]
    before = model.shoal.fish[name].copy()
    value = type(getattr(fish, name))(not before[1] if before.dtype == bool else 3)
    setattr(fish, name, value)
    assert getattr(fish, name) == model.shoal.fish[name][1] == value
    assert model.shoal.fish[name][[0, 2]].tolist() == before[[0, 2]].tolist()


def test_a_fish_says_who_and_where_it_is_and_what_it_does():
    model = stage(row(males=1), row(females=2))
    fish = list(model.agents)[2]
    assert fish.label == f"{OWN} female 2"
    assert fish.species == OWN
    model.shoal.fish.cell[2] = model.tank.index[3, 1, 7]
    assert fish.place_cm == (17.5, 7.5, 37.5)
    for number, word in enumerate(DOING):
        fish.doing = word
        assert model.shoal.fish.doing[2] == number and fish.doing == word
        assert repr(fish) == f"<Fish {OWN} female 2: {word}>"


# ---- individuals


def test_numbers_go_on_from_row_to_row_and_from_those_before():
    rows = (StockRow("A a", 1, 2), StockRow("B b", unsexed=1), StockRow("A a", 1, 2))
    fish = individuals(rows)
    assert [one.label for one in fish] == [
        "A a male 1", "A a female 1", "A a female 2", "B b unsexed 1",
        "A a male 2", "A a female 3", "A a female 4",
    ]  # fmt: skip
    assert [one.label for one in individuals([StockRow("A a", 1)], after=fish)] == ["A a male 3"]


def test_as_many_females_hold_as_the_row_says():
    holding = [one.holding for one in individuals([StockRow("A a", 1, 3, holding=2)])]
    assert holding == [False, True, True, False]


def test_sexes_of_unsexed_fish_are_drawn_evenly_and_anew_in_each_trial():
    """Binomial over 40 trials of 10 fish, 4 standard errors."""
    scenario = scene(StockRow(OWN, unsexed=10))
    males = np.array([TankModel(scenario, trial=trial).shoal.fish.male for trial in range(40)])
    assert males.mean() == pytest.approx(0.5, abs=4 * 0.5 / np.sqrt(400))
    assert len({tuple(one) for one in males}) > 30


@pytest.mark.parametrize(
    ("given", "low", "high"),
    [(StockRow(OWN, males=30), 0.7 * 12, 0.95 * 12), (StockRow(OWN, females=30), 0.7 * 10, 0.95 * 10)],
)
def test_a_length_that_is_not_given_is_drawn_below_the_maximum_of_the_sex(given, low, high):
    lengths = stage(given).shoal.fish.length_cm
    assert low <= lengths.min() < lengths.max() <= high
    assert lengths.max() - lengths.min() > 0.7 * (high - low)


def test_a_given_length_is_kept_and_decides_who_is_adult():
    model = stage(row(males=1, length=3.9), row(males=1, length=4.0), kinds=(kind(maturity_cm=4.0),))
    fish = model.shoal.fish
    assert fish.length_cm.tolist() == [3.9, 4.0]
    assert fish.adult.tolist() == [False, True]
    assert fish.depth_cm == pytest.approx(0.3 * fish.length_cm)
    assert fish.burst_cm_s == pytest.approx(4.5 * 0.8 * fish.length_cm)
    assert fish.core_cm == pytest.approx(40.0 * fish.length_cm / 10.0)


def test_temper_is_of_species_sex_age_and_state():
    model = stage(
        row(males=1), row(females=2, holding=1), row(males=1, length=3.0),
        kinds=(kind(temper=2.0, temper_female=0.5),),
        parameters={"holding_weight": 0.4, "juvenile_weight": 0.3},
    )  # fmt: skip
    assert model.shoal.fish.temper.tolist() == pytest.approx([2.0, 1.0 * 0.4, 1.0, 2.0 * 0.3])


def test_odds_are_of_size_and_temper_and_opposite_for_the_two():
    model = stage(
        row(males=1, length=11.0), row(OTHER, males=1), kinds=(kind(OTHER, temper=0.5),),
        parameters={"size_odds": 20.0, "temper_odds": 0.7},
    )  # fmt: skip
    odds = model.shoal.pair.odds
    assert odds[0, 1] == pytest.approx(20 * np.log(1.1) + 0.7 * np.log(2.0))
    np.testing.assert_allclose(odds, -odds.T, atol=1e-12)


def test_fish_without_any_temper_have_finite_odds():
    model = stage(row(males=1), row(OTHER, males=2), kinds=(kind(OTHER, temper=0.0),))
    assert np.isfinite(model.shoal.pair.odds).all()
    assert model.shoal.pair.odds[1, 2] == 0.0
    assert model.shoal.pair.odds[0, 1] == pytest.approx(0.7 * np.log(1 / MEEKEST))


def test_temperature_changes_rates_only_where_it_is_switched_on():
    """Q10 between 22 and 27 C, flat outside. Source: ClarkeJohnston1999 (Q10); assumption (the range)."""
    plain = scene(row(males=1), parameters={"q10": 2.0})
    cruise = []
    for celsius, on in ((25.0, True), (22.0, True), (20.0, True), (27.0, True), (31.0, True), (31.0, False)):
        tank = replace(plain.tank, temperature_c=celsius, temperature_effect=on)
        fish = TankModel(replace(plain, tank=tank)).shoal.fish
        cruise.append(fish.cruise_cm_s[0] / 6.4)
        assert fish.temper[0] == pytest.approx(cruise[-1])
    assert cruise == pytest.approx([1.0, 2**-0.3, 2**-0.3, 2**0.2, 2**0.2, 1.0])
