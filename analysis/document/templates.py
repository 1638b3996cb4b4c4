"""HTML out of templates: whatever is put into one is shown as text, unless it came out of one."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup


def render(name: str, **values: Any) -> Markup:
    """A template of this package, filled; ``name`` such as "report/page.html"."""
    from markupsafe import Markup

    return Markup(_environment().get_template(name).render(**values))


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader(__package__.rpartition(".")[0], "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
