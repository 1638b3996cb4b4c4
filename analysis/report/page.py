"""A self-contained HTML page of headed parts: no request leaves it, and no script is needed to read it."""

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib import resources

from ..files import policy_source

_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


@dataclass(frozen=True)
class Part:
    """A piece of a page under a heading of its own; ``html`` is escaped already."""

    name: str  # of the place in the page: letters and hyphens
    heading: str
    html: str


def page(title: str, parts: Sequence[Part], *, top: str, foot: str, frames: Sequence[str] = ()) -> str:
    """The text of a page.

    Parameters
    ----------
    title : as text; whatever stands in it is shown and nothing of it is carried out.
    top : HTML above the table of contents, such as the question and the warning signs.
    foot : HTML at the end.
    frames : HTML documents shown in frames of the page; their scripts and styles, and no others, are used.
    """
    listed = "".join(f'<li><a href="#{part.name}">{escape(part.heading)}</a></li>' for part in parts)
    body = "".join(
        f'<section id="{part.name}"><h2>{escape(part.heading)}</h2>\n{part.html}\n</section>\n'
        for part in parts
    )
    nav = f'<nav aria-label="Parts of this page"><ul>{listed}</ul></nav>'
    header = f'<header><h1 dir="auto">{escape(title)}</h1>\n{top}</header>'
    inner = f"{header}\n{nav}\n<main>\n{body}</main>\n<footer>\n{foot}\n</footer>"
    return _document(title, inner, style=stylesheet(), frames=frames)


def bare_page(title: str, html: str) -> str:
    """A page that is one sheet: a heading, and HTML that is escaped already."""
    inner = f'<header><h1 dir="auto">{escape(title)}</h1></header>\n<main>{html}</main>'
    return _document(title, inner, style=stylesheet("style.css", "ask.css"))


def _document(title: str, inner: str, *, style: str, frames: Sequence[str] = ()) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(style, frames)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{style}</style></head>\n"
        f"<body>\n{inner}\n</body></html>\n"
    )


@cache
def stylesheet(*names: str) -> str:
    """How a page looks, on a screen and on paper; style.css where nothing is named."""
    folder = resources.files(__package__)
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in names or ("style.css",))


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


def picture_html(png: bytes, *, caption: str) -> str:
    """A picture inside the page; the caption is its alternative text and stands below it."""
    data = base64.b64encode(png).decode()
    said = escape(caption)
    return (
        f'<figure><img alt="{escape(caption, quote=True)}" src="data:image/png;base64,{data}">'
        f'<figcaption dir="auto" aria-hidden="true">{said}</figcaption></figure>'
    )


def file_html(name: str, text: str, *, what: str, kind: str = "text/csv") -> str:
    """A link that saves a file which lies inside the page."""
    data = base64.b64encode(text.encode()).decode()
    size = len(text.encode()) / 1000.0
    return (
        f'<li><a download="{escape(name, quote=True)}" href="data:{kind};charset=utf-8;base64,{data}">'
        f"{escape(name)}</a> ({size:.0f} kB): {escape(what)}</li>"
    )


def frame_html(document: str, *, title: str) -> str:
    """A whole HTML document inside the page, in a frame that can reach nothing outside itself."""
    return (
        f'<iframe sandbox="allow-scripts" title="{escape(title, quote=True)}" '
        f'srcdoc="{escape(document, quote=True)}"></iframe>'
    )
