"""The part of the film player that draws a tank without fish, as a script of its own for the page."""

from __future__ import annotations

from functools import cache

from ...film.page import player_part


@cache
def player_script() -> str:
    """A script that sets ``window.rockshyStill = {Frame, paintStill, canvasOf}``, all else being its own."""
    parts = player_part("paint")
    shared = "window.rockshyStill = Object.freeze({ Frame, paintStill, canvasOf });"
    return f'"use strict";\n(() => {{\n{parts}\n{shared}\n}})();\n'
