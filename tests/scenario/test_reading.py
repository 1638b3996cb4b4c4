"""A scenario file is read in full; whatever is written, it is read or answered."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading_examples import FULL, LIBRARY, STOCK, TANK, read, read_or_answered
from rockshy.sim.scenario.reading import LIMITS, parse
from rockshy.sim.scenario.scenario import CreviceSpec, ObjectSpec, StockRow


def test_a_short_scenario_takes_its_defaults() -> None:
    scenario = read(TANK + STOCK)
    assert scenario.title == "my-tank"
    assert scenario.tank.length_cm == pytest.approx(121.92)
    assert scenario.tank.water_cm == 47.0  # 3 cm below the rim
    assert scenario.rock.cover == 0.0
    assert scenario.rock.crevices is None
    assert scenario.stock == (StockRow("Algaphilus mildus", males=1, females=3),)
    assert (scenario.run.trials, scenario.run.guesses, scenario.run.days) == (72, None, 2.0)
    assert scenario.species == {"Algaphilus mildus": LIBRARY["Algaphilus mildus"]}
    assert scenario.text == TANK + STOCK


def test_a_full_scenario() -> None:
    scenario = read(FULL)
    tank = scenario.tank
    assert (tank.length_cm, tank.width_cm, tank.height_cm) == pytest.approx((121.92, 45.72, 50.5))
    assert (tank.water_cm, tank.temperature_c, tank.cell_cm) == pytest.approx((45.72, 230 / 9, 4.0))
    assert tank.temperature_effect
    rock = scenario.rock
    assert (rock.cover, rock.height_cm, rock.piles, rock.piece_cm) == pytest.approx((0.4, 30.48, 3, 15.24))
    assert rock.crevices == (CreviceSpec(10, 20, 5, 5.08, 15, 2),)
    assert rock.objects == (ObjectSpec("heater", 100, 40, 10, 3, 3, 30),)
    first, second = scenario.stock
    assert first == StockRow("Algaphilus mildus", 1, 3, 0, 1, (5.08, 7.62))
    assert second == StockRow("Mine", unsexed=4, length_cm=(8.0, 10.0), day=2.0, out_day=3.5)
    run = scenario.run
    assert (run.days, run.settle_days, run.lit_hours, run.trials, run.guesses) == (3, 2, 12, 8, 4)
    assert (run.seed, run.fixed, run.controls, run.watch) == (42, True, False, "Algaphilus mildus")
    assert scenario.parameters == {"attack_rate_s": 0.0}


def test_overridden_and_own_species() -> None:
    scenario = read(FULL)
    mine, mild = scenario.species["Mine"], scenario.species["Algaphilus mildus"]
    assert mine.traits["length_max_male_cm"].value == pytest.approx(15.24)
    temper = mine.traits["temper"]
    assert (temper.value, temper.low, temper.high, temper.source) == (1.2, 1, 2, "keeper")
    assert (mine.words["mating"].value, mine.words["guild"].value) == ("pair", "AP")
    assert mine.traits["kh_low"] == LIBRARY["Algaphilus calidus"].traits["kh_low"]
    assert mild.traits["timidity"].value == 2.0
    assert LIBRARY["Algaphilus mildus"].traits["timidity"].value == 0.5


def test_the_project_s_own_species_and_parameters() -> None:
    text = TANK + STOCK.replace("mild grazer", "tropheus duboisi") + "[parameters]\nslow_half_life_d = 1.5\n"
    scenario = parse(text, name="t.toml")
    assert list(scenario.species) == ["Tropheus duboisi"]
    assert scenario.parameters == {"slow_half_life_d": 1.5}


def test_rock_whose_height_is_not_given_ends_close_below_the_surface() -> None:
    rock = "[rock]\ncover = 0.4\n"
    assert read(TANK + rock + STOCK).rock.height_cm == 42.0  # 3 cm below the rim and 5 cm below the water
    assert read(TANK + 'water_level = "40 cm"\n' + rock + STOCK).rock.height_cm == 35.0
    assert read(TANK + "[rock]\ncover = 0\n" + STOCK).rock.height_cm == 0.0
    lower = read(
        TANK + rock + STOCK + "[[alternative]]\nname = 'lower'\ntank = {height = 40}\n"
    ).alternatives[0]
    assert lower.scenario.rock.height_cm == 32.0


def test_a_sketch() -> None:
    rows = '[rock]\nsketch = ["00 12", "0010"]\nsketch_step = "2 in"\n'
    text = '[rock]\nsketch = """\n0012\n0010\n"""\nsketch_step = 5.08\n'
    for rock in (rows, text):
        spec = read(TANK + rock + STOCK).rock
        assert spec.sketch == ("0012", "0010")
        assert spec.sketch_step_cm == pytest.approx(5.08)


def test_a_settling_time_shorter_than_a_short_run() -> None:
    assert read(TANK + STOCK + "[run]\ndays = 1\n").run.settle_days == 0.5


def test_a_byte_order_mark_and_windows_line_ends() -> None:
    assert read("\ufeff" + (TANK + STOCK).replace("\n", "\r\n")).tank.height_cm == 50.0


# --- whatever is written -----------------------------------------------------------------


def test_limits_are_said_in_both_systems() -> None:
    for name, limit in LIMITS.items():
        assert limit.low < limit.high, name
        said = limit.say()
        assert limit.kind != "length" or re.search(r"cm \(.* in\) to .* cm \(.* in\)", said), said


@settings(deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_read_or_answered(text: str) -> None:
    read_or_answered(text, lambda: read(text, stock_list_text="fish,qty\nmild grazer,2\n"))
