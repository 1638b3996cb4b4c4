"""Quantities as text. Factors: 16 CFR 500.19 (in, US gal); 4.54609 L an imperial gallon, exact."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rockshy.sim.scenario import units


def test_factors_are_exact() -> None:
    inch = Fraction(254, 100)  # cm, 16 CFR 500.19
    us_gallon_l = 231 * inch**3 / 1000  # 231 in3, 16 CFR 500.19
    assert us_gallon_l == Fraction("3.785411784")
    assert float(us_gallon_l) == units.L_PER_US_GAL
    assert float(inch) == units.CM_PER_IN
    assert float(12 * inch) == units.CM_PER_FT
    assert units.L_PER_IMPERIAL_GAL == 4.54609  # exact by definition
    assert units.KG_PER_LB == 0.45359237  # international pound, from memory


@pytest.mark.parametrize(
    ("text", "cm"),
    [
        ("1 in", 2.54),
        ("48 in", 121.92),
        ('48"', 121.92),
        ("48″", 121.92),
        ("4 ft", 121.92),
        ("4'", 121.92),
        ("4 ft 6 in", 137.16),
        ("4'6\"", 137.16),
        ("120 cm", 120.0),
        ("120cm", 120.0),
        ("1.2 m", 120.0),
        ("1,2 m", 120.0),
        ("35 mm", 3.5),
        ("1/2 in", 1.27),
        ("3 1/2 inches", 8.89),
        ("3½ in", 8.89),
        (".5 in", 1.27),
        ("  7  CM ", 7.0),
        ("-5 cm", -5.0),
        ("12", 12.0),
        (12, 12.0),
        (12.5, 12.5),
    ],
)
def test_lengths(text: object, cm: float) -> None:
    assert units.length_cm(text) == pytest.approx(cm, rel=1e-12)


def test_a_bare_number_takes_the_stated_unit() -> None:
    assert units.length_cm("3", plain="in") == pytest.approx(7.62)
    assert units.length_cm(3, plain="in") == pytest.approx(7.62)
    assert units.length_cm("3 cm", plain="in") == 3.0


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("2-3 in", 5.08, 7.62),
        ("2–3 in", 5.08, 7.62),
        ("2 to 3 in", 5.08, 7.62),
        ("2 in - 3 in", 5.08, 7.62),
        ("2,5-3,5 cm", 2.5, 3.5),
        ("25 mm - 3 cm", 2.5, 3.0),
        ("9 cm", 9.0, 9.0),
        ([8, 10], 8.0, 10.0),
        (["2 in", "3 in"], 5.08, 7.62),
        (9, 9.0, 9.0),
    ],
)
def test_ranges_of_length(text: object, low: float, high: float) -> None:
    assert units.length_range_cm(text) == pytest.approx((low, high))


@pytest.mark.parametrize("bad", ["3-2 in", [3, 2], [1], [1, 2, 3], [], "3-", "3-4 ft 6 in", "small", None])
def test_ranges_that_are_none(bad: object) -> None:
    with pytest.raises(units.UnitError):
        units.length_range_cm(bad)


def test_volumes() -> None:
    assert units.volume_l("200 L") == 200.0
    assert units.volume_l(200) == 200.0
    assert units.volume_l("1 US gal") == 3.785411784  # 16 CFR 500.19
    assert units.volume_l("55 US gallons") == pytest.approx(208.19764812)
    assert units.volume_l("20 imperial gal") == pytest.approx(90.9218)


def test_a_gallon_that_could_be_either_is_refused() -> None:
    with pytest.raises(units.UnitError) as caught:
        units.volume_l("55 gal")
    assert caught.value.nearest == "US gal or imperial gal"


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("212 F", 100.0), ("32 °F", 0.0), ("78 F", 230 / 9), ("26 C", 26.0), ("26 deg C", 26.0), (26, 26.0)],
)
def test_temperatures(text: object, celsius: float) -> None:
    assert units.temperature_c(text) == pytest.approx(celsius)


@pytest.mark.parametrize(
    "bad",
    [True, False, math.nan, math.inf, -math.inf, 10**400, None, [], {}, "", "cm", "nan cm", "inf", "1e3 cm"]
    + ["5 parsecs", "12 12 cm", "1/0 in", "3/2 in", "9" * 400, "9" * 59, "½", "--3 cm", "٣ cm"],
)
def test_what_is_no_length(bad: object) -> None:
    if bad in ("9" * 59, "½"):  # absurd and small, but lengths: limits are another matter
        assert math.isfinite(units.length_cm(bad))
        return
    with pytest.raises(units.UnitError):
        units.length_cm(bad)


def test_a_thousands_comma_is_refused_not_guessed() -> None:
    with pytest.raises(units.UnitError) as caught:
        units.length_cm("1,200 mm")
    assert caught.value.nearest == "1200"
    assert units.length_cm("0,125 m") == pytest.approx(12.5)


def test_an_unknown_unit_names_the_nearest() -> None:
    with pytest.raises(units.UnitError) as caught:
        units.length_cm("12 inchs")
    assert caught.value.nearest == "inches"


def test_said_back_in_both_systems() -> None:
    assert units.say_length_cm(121.92) == "122 cm (48 in)"
    assert units.say_length_cm(7.62) == "7.6 cm (3 in)"
    assert units.say_length_cm(0.0) == "0 cm (0 in)"
    assert units.say_volume_l(208.1976) == "208 L (55 US gal, 46 imperial gal)"
    assert units.say_temperature_c(230 / 9) == "25.6 C (78 F)"


@settings(deadline=None)
@given(st.text(max_size=80) | st.floats() | st.integers() | st.booleans() | st.none())
def test_anything_is_read_or_refused(value: object) -> None:
    for read in (units.length_cm, units.volume_l, units.temperature_c, units.number):
        try:
            assert math.isfinite(read(value))
        except units.UnitError as error:
            assert error.allowed
    try:
        low, high = units.length_range_cm(value)
        assert low <= high
    except units.UnitError:
        pass


@settings(deadline=None)
@given(st.floats(0.01, 1000), st.sampled_from(["in", "ft", "cm", "mm", "m"]))
def test_a_unit_is_a_factor(amount: float, unit: str) -> None:
    written = f"{amount:.6f} {unit}"
    assert units.length_cm(written) == pytest.approx(float(f"{amount:.6f}") * units.length_cm(f"1 {unit}"))
