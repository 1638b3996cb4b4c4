"""What an amount of rock comes to, against arithmetic written out by hand."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from fake_rock import MILD, base
from rockshy.analysis.document import Section, as_text
from rockshy.analysis.questions.check.drawn import draw_few
from rockshy.analysis.questions.rock.amount import (
    SOLID,
    STONES,
    Heap,
    amount_of,
    heap_of,
    pressure_kpa,
    spread,
    weight_of,
)
from rockshy.analysis.questions.rock.amount_words import amount_words, weight_table
from rockshy.analysis.questions.rock.grid import grid_of
from rockshy.sim.scenario.scenario import TankSpec
from rockshy.sim.species.sources import is_known
from rockshy.sim.tank.rockwork import Rock

TANK = TankSpec(length_cm=100.0, width_cm=50.0, height_cm=50.0, water_cm=40.0)


def by_hand() -> Heap:
    """A block of 40 x 25 cm, 30 cm high, and a pillar of 10 x 10 cm, 45 cm high, 5 of them out of the water.

    bulk 40 x 25 x 30 = 30,000 cm3 and 10 x 10 x 45 = 4,500 cm3: 34.5 L; under water 30 + 4 = 34 L;
    floor 1,000 + 100 = 1,100 cm2 = 0.11 m2.
    """
    top = np.zeros((100, 50))
    top[10:50, 20:45] = 30.0
    top[70:80, 0:10] = 45.0
    heater = np.array([[90.0, 40.0, 0.0, 95.0, 45.0, 40.0]])  # no rock
    return heap_of(TANK, Rock(100.0, 50.0, top, np.empty((0, 11)), heater, ()))


def test_a_heap_of_granite_by_hand() -> None:
    """Of the heap 50 to 70 % is stone, of 2.6 to 2.9 kg a litre."""
    heap = by_hand()
    figures = (heap.bulk_l, heap.below_l, heap.floor_m2, heap.highest_cm)
    assert figures == pytest.approx((34.5, 34.0, 0.11, 45.0))
    assert (SOLID.low, SOLID.high) == (0.5, 0.7)
    assert STONES["granite or gneiss"][:2] == (2.6, 2.9)
    weight = weight_of([heap], "granite or gneiss")
    # 17.25 L of stone x 2.6; 20.7 L x 2.75; 24.15 L x 2.9
    assert (weight.kg.low, weight.kg.middle, weight.kg.high) == pytest.approx((44.85, 56.925, 70.035))
    # in water 17 L of 1.6 kg/L and above it 0.25 L of 2.6; 23.8 L of 1.9 and 0.35 L of 2.9
    assert (weight.in_water_kg.low, weight.in_water_kg.high) == pytest.approx((27.85, 46.235))
    # 34.5 L on 0.11 m2 are 313.6364 L on a square metre; under the pillar: 45 cm are 450 L
    assert (weight.kg_m2.low, weight.kg_m2.high) == pytest.approx((407.727, 636.682), abs=0.001)
    assert (weight.highest_kg_m2.low, weight.highest_kg_m2.high) == pytest.approx((585.0, 913.5))
    assert pressure_kpa(100.0) == pytest.approx(0.980665)


def test_range_is_over_the_drawn_tanks_as_well() -> None:
    two = [replace(by_hand(), bulk_l=20.0, below_l=20.0), replace(by_hand(), bulk_l=30.0, below_l=30.0)]
    kg = weight_of(two, "slate").kg
    assert kg.low == pytest.approx(27.0)  # 20 x 0.5 x 2.7
    assert kg.middle == pytest.approx(41.25)  # 25 x 0.6 x 2.75
    assert kg.high == pytest.approx(58.8)  # 30 x 0.7 x 2.8
    assert spread([1.0, 2.0, 6.0]).middle == 3.0


def test_no_rock_weighs_nothing() -> None:
    nothing = heap_of(TANK, Rock(100.0, 50.0, np.zeros((100, 50)), np.empty((0, 11)), np.empty((0, 6)), ()))
    weight = weight_of([nothing], "limestone")
    assert weight.kg.high == weight.kg_m2.high == weight.in_water_kg.high == 0.0


def test_every_range_is_one_and_has_a_known_source() -> None:
    for name, stone in STONES.items():
        assert 1.0 <= stone.low < stone.high < 3.5, name  # all of them sink
        assert is_known(stone.source), name
    assert 0.0 < SOLID.low < SOLID.high < 1.0
    assert is_known(SOLID.source)


def test_drawn_rock_covers_what_was_asked_for_and_more_cover_weighs_more() -> None:
    tank = base()
    amounts = [
        amount_of(replace(tank, rock=replace(tank.rock, cover=cover)), tanks=3) for cover in (0.2, 0.35, 0.6)
    ]
    for cover, amount in zip((0.2, 0.35, 0.6), amounts, strict=True):
        assert amount.base_m2 == pytest.approx(0.5)
        assert amount.floor_m2.middle == pytest.approx(0.5 * cover, rel=0.02)
        assert amount.highest_cm.high == pytest.approx(20.0, rel=0.1)
        assert amount.displaced_l.high <= 0.7 * amount.bulk_l.high + 1e-9
    assert amounts[0].bulk_l.high < amounts[1].bulk_l.low < amounts[2].bulk_l.low
    assert amounts[0].water_l == pytest.approx(225.0)  # 100 x 50 x 45 cm


def test_crevices_are_those_that_check_says() -> None:
    tank = base()
    amount, drawn = amount_of(tank, tanks=4), draw_few(tank, tanks=4)
    assert amount.drawn == drawn
    assert (amount.crevices.low, amount.crevices.high) == (drawn.fewest, drawn.most)
    for fit in amount.fits:
        assert (fit.crevices.low, fit.crevices.high) == drawn.admitting(fit.depth_cm)
    assert {fit.species for fit in amount.fits} == set(tank.species)


def test_words_give_both_unit_systems_the_cautions_and_the_sources() -> None:
    tank = base()
    grid = grid_of(tank)
    place = grid.own
    assert place is not None
    text = as_text(amount_words(grid, amount_of(tank, tanks=3), place=place, found=False))
    for wanted in ("kg", "lb", "kg/m2", "kPa", " L (", "US gal", "imperial gal", "Crevices", MILD):
        assert wanted in text
    assert "Stand rock on the base, not on sand" in text
    assert "Switch the power off before hands go into the water" in text
    assert "engineer" in text
    assert "RockDensities2014" in text
    assert not re.search(r"safe", text, re.IGNORECASE)
    assert max(map(len, text.split("\n"))) <= 100


def test_pounds_stand_beside_kilograms() -> None:
    amount = amount_of(base(), tanks=1)
    heavy = replace(amount, weights=(weight_of([by_hand()], "granite or gneiss"),))
    row = as_text(Section((weight_table(heavy),))).splitlines()[-1]
    assert "granite or gneiss" in row
    # 56.925, 44.85 and 70.035 kg over 0.45359237
    assert re.search(r"\b57 +45 to 70 +125 +99 to 154\b", row)


def test_without_rock_there_is_nothing_to_weigh() -> None:
    tank = base("cover = 0.35\nheight = 20\npiles = 2", "cover = 0")
    text = as_text(amount_words(grid_of(tank), None, place=0, found=False))
    assert "nothing to weigh" in text
    assert "Stand rock on the base" not in text
    assert "Switch the power off" in text
