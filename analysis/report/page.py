"""A self-contained HTML page: no request leaves it, and no script is needed to read it."""

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from ..document.files import policy_source
from ..document.templates import render

_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


@dataclass(frozen=True)
class File:
    """A file that lies inside a page and is saved from it."""

    name: str
    text: str
    what: str

    @property
    def href(self) -> str:
        """The file itself, as an address."""
        kind = "application/json" if self.name.endswith(".json") else "text/csv"
        return f"data:{kind};charset=utf-8;base64,{base64.b64encode(self.text.encode()).decode()}"

    @property
    def size(self) -> str:
        """``"12 kB"``."""
        return f"{len(self.text.encode()) / 1000.0:.0f} kB"


def page(
    template: str,
    title: str,
    *,
    styles: Sequence[str] = ("style.css",),
    frames: Sequence[str] = (),
    **values: Any,
) -> str:
    """The text of a page.

    Parameters
    ----------
    template : one that extends report/page.html; ``values`` are what it asks for.
    title : as text; whatever stands in it is shown and nothing of it is carried out.
    styles : how the page looks, on a screen and on paper.
    frames : HTML documents shown in frames of the page; their scripts and styles, and no others, are used.
    """
    style = _stylesheet(*styles)
    return str(render(template, title=title, style=style, policy=_policy(style, frames), **values))


@cache
def _stylesheet(*names: str) -> str:
    folder = resources.files(__package__)
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in names)


def _policy(style: str, frames: Sequence[str]) -> str:
    """Nothing is fetched; pictures and files are inside; only scripts and styles that are known are used."""
    scripts = [text for one in frames for text in _SCRIPT.findall(one)]
    styles = [style, *(text for one in frames for text in _STYLE.findall(one))]
    return (
        f"default-src 'none'; img-src data:; style-src {_hashes(styles)}; script-src {_hashes(scripts)}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hashes(texts: Sequence[str]) -> str:
    return " ".join(policy_source(text) for text in texts) or "'none'"
