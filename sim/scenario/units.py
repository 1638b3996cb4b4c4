"""Quantities written as text, as keepers write them, to cm, L, C and kg, and said back in both systems.

Exact factors: 1 in = 2.54 cm, 1 US gal = 231 in3 = 3.785411784 L (16 CFR 500.19); 1 imperial gal = 4.54609 L;
1 lb = 0.45359237 kg (international pound; from memory).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from .hints import Hint, Hinted, hint_at

CM_PER_IN = 2.54
CM_PER_FT = 30.48
L_PER_US_GAL = 3.785411784
L_PER_IMPERIAL_GAL = 4.54609
KG_PER_LB = 0.45359237

LONGEST_TEXT = 60  # characters of a quantity; longer is no quantity and is not searched


class UnitError(Hinted, ValueError):
    """A quantity that cannot be read; ``allowed`` says what can, ``hint`` what was probably meant."""

    def __init__(self, allowed: str, hint: Hint = "") -> None:
        super().__init__(allowed)
        self.allowed = allowed
        self.hint = hint


class _Unit(NamedTuple):
    """value in the base unit = (number - zero) * factor."""

    factor: float
    zero: float = 0.0


class _Kind(NamedTuple):
    examples: str
    plain: str  # the unit of a bare number
    units: Mapping[str, _Unit]


def _kind(examples: str, plain: str, spelled: Mapping[str, _Unit]) -> _Kind:
    """A kind of quantity; the spellings of a unit stand in one text."""
    return _Kind(
        examples, plain, {word: unit for words, unit in spelled.items() for word in words.split("|")}
    )


_LENGTHS = {
    "cm|centimetre|centimetres|centimeter|centimeters": _Unit(1.0),
    "mm|millimetre|millimetres|millimeter|millimeters": _Unit(0.1),
    "m|metre|metres|meter|meters": _Unit(100.0),
    'in|in.|inch|inches|"': _Unit(CM_PER_IN),
    "ft|ft.|foot|feet|'": _Unit(CM_PER_FT),
}
_IMPERIAL = "imperial gal|imperial gallon|imperial gallons|imp gal|imp. gal|uk gal|uk gallon|uk gallons"
_VOLUMES = {
    "l|litre|litres|liter|liters": _Unit(1.0),
    "ml": _Unit(0.001),
    "us gal|us gallon|us gallons|us-gal": _Unit(L_PER_US_GAL),
    _IMPERIAL: _Unit(L_PER_IMPERIAL_GAL),
}
_TEMPERATURES = {
    "c|deg c|degrees c|celsius|degrees celsius": _Unit(1.0),
    "f|deg f|degrees f|fahrenheit|degrees fahrenheit": _Unit(5.0 / 9.0, 32.0),
}
_WEIGHTS = {
    "kg|kilo|kilos|kilogram|kilograms": _Unit(1.0),
    "g|gram|grams": _Unit(0.001),
    "lb|lb.|lbs|lbs.|pound|pounds": _Unit(KG_PER_LB),
}
_LENGTH = _kind('a length such as "48 in", "4 ft" or "120 cm" (a bare number is in cm)', "cm", _LENGTHS)
_VOLUME = _kind(
    'a volume such as "200 L", "55 US gal" or "20 imperial gal" (a bare number is in L)', "l", _VOLUMES
)
_WEIGHT = _kind('a weight such as "60 kg" or "130 lb" (a bare number is in kg)', "kg", _WEIGHTS)
_TEMPERATURE = _kind('a temperature such as "26 C" or "78 F" (a bare number is in C)', "c", _TEMPERATURES)

_TIMES = {
    "d|day|days": _Unit(1.0),
    "w|wk|week|weeks": _Unit(7.0),
    "month|months": _Unit(365.0 / 12.0),
}
_TIME = _kind('a time such as "2 weeks" or "10 days" (a bare number is in days)', "d", _TIMES)

_NUMBER = r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+"
_FRACTION = r"[0-9]+/[0-9]+"
_QUANTITY = re.compile(
    rf"(?P<sign>[+-]?)\s*(?:(?P<number>{_NUMBER})(?:\s+(?P<part>{_FRACTION}))?|(?P<only>{_FRACTION}))\s*(?P<unit>\D*)"
)
_FEET_INCHES = re.compile(r"(?P<feet>[0-9]+\s*(?:ft\.?|foot|feet|'))\s*(?P<inches>[0-9].*)")
_RANGE = re.compile(r"(?P<low>.*[^\s-])\s*(?:-|\bto\b)\s*(?P<high>[0-9.,].*)")
_IMPERIAL_LENGTH = re.compile(r"[0-9]\s*(?:in\b|inch|\"|ft\b|foot|feet|')")
_BARE = re.compile(rf"(?:{_NUMBER})(?:\s*(?:-|to)\s*(?:{_NUMBER}))?")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_PLAIN_TEXT = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "–": "-", "—": "-", "−": "-", "°": " ", "º": " "}
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "\u00a0": " ", "\u202f": " "}
)


def length_cm(value: object, *, plain: str = "cm") -> float:
    """Length in cm from a number or from text such as ``"4 ft 6 in"``; a bare number is in ``plain``.

    Raises UnitError when it is no finite length or the unit is unknown.
    """
    text = _tidy(value)
    both = _FEET_INCHES.fullmatch(text) if text is not None else None
    if both:
        return _read(both["feet"], _LENGTH, plain) + _read(both["inches"], _LENGTH, "in")
    return _read(value, _LENGTH, plain)


def length_range_cm(value: object, *, plain: str = "cm") -> tuple[float, float]:
    """Lowest and highest length in cm from ``9``, ``"9 cm"``, ``"2-3 in"`` or ``[8, 10]``.

    In text a unit after the second number counts for both.
    """
    if isinstance(value, Sequence) and not isinstance(value, str):
        if len(value) != 2:
            raise UnitError('one length or two, such as "9 cm", "2-3 in" or [8, 10]')
        low, high = (length_cm(one, plain=plain) for one in value)
    else:
        low, high = _range_from_text(value, plain)
    if low > high:
        raise UnitError("the shorter length first, then the longer")
    return low, high


def volume_l(value: object) -> float:
    """Volume in L from a number (L) or text; raises UnitError."""
    return _read(value, _VOLUME, _VOLUME.plain)


def weight_kg(value: object) -> float:
    """Weight in kg from a number (kg) or text; raises UnitError."""
    return _read(value, _WEIGHT, _WEIGHT.plain)


def temperature_c(value: object) -> float:
    """Temperature in C from a number (C) or text; raises UnitError."""
    return _read(value, _TEMPERATURE, _TEMPERATURE.plain)


def time_d(value: object) -> float:
    """Time in days from a number (days) or text such as ``"2 weeks"``; raises UnitError."""
    return _read(value, _TIME, _TIME.plain)


def number(value: object) -> float:
    """A finite number without a unit, also from text with a decimal comma; raises UnitError."""
    text = _tidy(value)
    if text is None:
        return _finite(value, "a number")
    if not re.fullmatch(rf"[+-]?(?:{_NUMBER})", text):
        raise UnitError("a number")
    return _from_digits(text)


def is_imperial(value: object) -> bool:
    """Whether a length is written in inches or feet."""
    return bool(_IMPERIAL_LENGTH.search(_tidy(value) or ""))


def is_bare(value: object) -> bool:
    """Whether a length of ordinary size, or both ends of a range, is written without a unit."""
    if isinstance(value, int | float):
        return not isinstance(value, bool) and -1e9 < value < 1e9
    return bool(_BARE.fullmatch(_tidy(value) or ""))


def say_length_cm(cm: float) -> str:
    """``"122 cm (48 in)"``."""
    return f"{_short(cm, 20)} cm ({_short(cm / CM_PER_IN, 10)} in)"


def say_volume_l(litres: float) -> str:
    """``"208 L (55 US gal, 46 imperial gal)"``."""
    us, imperial = litres / L_PER_US_GAL, litres / L_PER_IMPERIAL_GAL
    return f"{_short(litres, 10)} L ({_short(us, 10)} US gal, {_short(imperial, 10)} imperial gal)"


def say_weight_kg(kg: float) -> str:
    """``"60 kg (132 lb)"``."""
    return f"{_short(kg, 10)} kg ({_short(kg / KG_PER_LB, 10)} lb)"


def say_temperature_c(celsius: float) -> str:
    """``"25.6 C (78 F)"``."""
    return f"{_short(celsius, math.inf)} C ({_short(celsius * 9.0 / 5.0 + 32.0, 0)} F)"


def say_time_d(days: float) -> str:
    """``"1 day"``, ``"10 days"``, ``"3 weeks"``; whole weeks in weeks."""
    weeks, rest = divmod(days, 7)
    amount, unit = (weeks, "week") if weeks and not rest else (days, "day")
    return f"{amount:g} {unit}{'' if amount == 1 else 's'}"


def _short(value: float, whole_from: float) -> str:
    """One decimal below ``whole_from``, none above, no trailing zero."""
    text = f"{value:.0f}" if abs(value) >= whole_from else f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def _range_from_text(value: object, plain: str) -> tuple[float, float]:
    text = _tidy(value)
    parts = _RANGE.fullmatch(text) if text is not None else None
    if parts is None:
        only = length_cm(value, plain=plain)
        return only, only
    low, high = parts["low"], parts["high"]
    if re.fullmatch(r"[0-9.,/\s]+", low):
        last = _QUANTITY.fullmatch(high)
        if last is None:  # "3-4 ft 6 in": which unit the 3 has would be a guess
            raise UnitError(_LENGTH.examples)
        low += " " + last["unit"]
    return length_cm(low, plain=plain), length_cm(high, plain=plain)


def _tidy(value: object) -> str | None:
    """Text with typographic signs made plain; None when the value is not text."""
    if not isinstance(value, str):
        return None
    return " ".join(value.translate(_PLAIN_TEXT).split()).lower() if len(value) <= LONGEST_TEXT else ""


def _read(value: object, kind: _Kind, plain: str) -> float:
    text = _tidy(value)
    if text is None:
        amount, unit = _finite(value, kind.examples), plain
    else:
        amount, unit = _split(text, kind, plain)
    found = kind.units.get(unit)
    if found is None:
        raise UnitError(kind.examples, _nearest_unit(unit, kind))
    return (amount - found.zero) * found.factor


def _split(text: str, kind: _Kind, plain: str) -> tuple[float, str]:
    """Number and unit of one written quantity."""
    parts = _QUANTITY.fullmatch(text)
    if parts is None:
        raise UnitError(kind.examples)
    amount = _from_digits(parts["number"]) if parts["number"] else 0.0
    fraction = parts["part"] or parts["only"]
    if fraction:
        top, bottom = (float(digits) for digits in fraction.split("/"))
        if bottom == 0 or top >= bottom:
            raise UnitError(kind.examples)
        amount += top / bottom
    unit = " ".join(parts["unit"].split()) or plain
    return (-amount if parts["sign"] == "-" else amount), unit


def _from_digits(text: str) -> float:
    if _THOUSANDS.fullmatch(text):
        raise UnitError("a number without a thousands comma", text.replace(",", ""))
    return _finite(float(text.replace(",", ".")), "a number of ordinary size")


def _finite(value: object, allowed: str) -> float:
    """The number as float; booleans, nan, infinities and numbers past all floats are refused."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitError(allowed)
    try:
        amount = float(value)
    except OverflowError:
        raise UnitError(allowed) from None
    if not math.isfinite(amount):
        raise UnitError(allowed)
    return amount


def _nearest_unit(unit: str, kind: _Kind) -> Hint:
    if kind is _VOLUME and unit in ("gal", "gal.", "gallon", "gallons"):
        return "US gal or imperial gal"
    return hint_at(unit, kind.units)
