"""The clock: when the lights go on, and times of day as they are written. The model knows lit time alone."""

from __future__ import annotations

import re

LIGHTS_ON_H = 8.0  # assumption: the lights go on at eight; the model does not know
_TIME = re.compile(r"(\d{1,2}):(\d{2})")


def lights_on_s(lit_hours: float) -> int:
    """When the lights go on, in seconds after midnight: eight, or earlier where the day would not fit."""
    return round(3600 * min(LIGHTS_ON_H, 24.0 - lit_hours))


def time_of(text: str) -> int:
    """Seconds after midnight of a time such as 09:00.

    Raises
    ------
    ValueError
        When it is no time of day.
    """
    found = _TIME.fullmatch(text.strip())
    if not found or int(found[1]) > 24 or int(found[2]) > 59:
        raise ValueError("a time of day such as 09:30")
    return 3600 * int(found[1]) + 60 * int(found[2])


def say_time(seconds: float, *, with_seconds: bool = False) -> str:
    """A time of day, such as 09:30 or 09:30:05."""
    whole = int(seconds)
    text = f"{whole // 3600:02d}:{whole // 60 % 60:02d}"
    return f"{text}:{whole % 60:02d}" if with_seconds else text
