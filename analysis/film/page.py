"""A film as one HTML file that asks nobody for anything: script, style and data are inside."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from ..document.files import policy_source
from ..document.templates import render

_PARTS = ("decode", "place", "sight", "paint", "tank", "over", "words", "panel", "player")
_ESCAPES = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


def film_page(film: Mapping[str, Any]) -> str:
    """The whole page.

    The browser is told to load nothing and to run only this script (Content-Security-Policy with hashes);
    every name stands in the data as text and is never read as markup.
    """
    script, style = _script(), _read("film.css")
    policy = (
        f"default-src 'none'; script-src {policy_source(script)}; style-src {policy_source(style)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return str(
        render(
            "film/player/film.html",
            title=film["title"],
            policy=policy,
            style=style,
            data=in_script(film),
            script=script,
        )
    )


def in_script(told: Mapping[str, Any]) -> str:
    """JSON that may stand inside a script element."""
    text = json.dumps(told, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign, escaped in _ESCAPES.items():
        text = text.replace(sign, escaped)
    return text


def _script() -> str:
    """All parts of the player as one script with names of its own."""
    parts = "\n".join(player_part(name) for name in _PARTS)
    return f'"use strict";\n(() => {{\n{parts}\n}})();\n'


def player_part(name: str) -> str:
    """The source of one part of the player; its names are shared with the other parts."""
    return _read(f"{name}.js")


def _read(name: str) -> str:
    text = files(__package__).joinpath("player", name).read_text(encoding="utf-8")
    return text.replace("\r\n", "\n")
