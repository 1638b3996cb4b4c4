"""Looks over a real tank by thumb: the groups to tap, and a page of its own for a phone beside the tank."""

from __future__ import annotations

import html
from importlib.resources import files
from typing import Any

from ....sim.scenario.scenario import Scenario
from ...document.files import policy_source
from ...film.page import in_script
from ...questions.watching.reading import tank_said
from ...questions.watching.sheet import sheet_of
from .. import screen

_STYLE = """
:root { color-scheme: dark light; }
body { font: 1.1rem/1.4 system-ui, sans-serif; margin: 0.8rem; max-width: 34rem; }
button { font: inherit; min-height: 3rem; min-width: 3rem; padding: 0.3em 0.8em; margin: 0.15rem;
  border: 1px solid; border-radius: 0.3rem; background: none; color: inherit; }
button[aria-pressed="true"], button.main { font-weight: 700; outline: 3px solid; outline-offset: -4px; }
.look-clock { font-size: 1.4rem; font-weight: 700; }
.look-group { border-top: 1px solid; padding: 0.4rem 0; }
input { width: 1.4rem; height: 1.4rem; }
"""
_BEGIN = """
const told = JSON.parse(document.getElementById("told").textContent);
const save = (name, text) => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "text/csv" }));
  link.download = name;
  link.click();
};
new Looks(document.getElementById("looks"), { ...told, save });
"""


def watching_told(scenario: Scenario) -> dict[str, Any]:
    """Groups that are looked at, as a tally may name them, the tank in one line, and the phone's page."""
    sheet = sheet_of(scenario)
    told = {
        "lines": [{"name": one.name, "fish": one.fish} for one in sheet.lines],
        "tank": tank_said(scenario),
    }
    return {**told, "page": _page(scenario.title, told)}


def _page(title: str, told: dict[str, Any]) -> str:
    """One HTML file that asks nobody for anything; every name stands in it as data."""
    source = files(screen).joinpath("looks.js").read_text(encoding="utf-8")
    script = f'"use strict";\n{source.replace("export class", "class")}{_BEGIN}'
    policy = (
        f"default-src 'none'; script-src {policy_source(script)}; style-src {policy_source(_STYLE)}; "
        "base-uri 'none'; form-action 'none'"
    )
    head = html.escape(title)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Looks: {head}</title><style>{_STYLE}</style></head><body>"
        f'<h1>{head}</h1><main id="looks"></main>'
        f'<script type="application/json" id="told">{in_script(told)}</script>'
        f"<script>{script}</script></body></html>\n"
    )
