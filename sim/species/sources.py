"""Where numbers come from: the bibliography, and the plain words for what has no publication."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib import resources

KINDS = ("common practice", "from memory", "assumption", "keeper", "computed")

_REMARK = re.compile(r"\s*\([^()]*\)")


@cache
def _read() -> dict[str, str]:
    text = resources.files(__package__).joinpath("sources.toml").read_text(encoding="utf-8")
    return {str(key): str(citation) for key, citation in tomllib.loads(text).items()}


def bibliography() -> dict[str, str]:
    """Every key of the bibliography with its citation (a fresh dict each time)."""
    return dict(_read())


def is_known(source: str) -> bool:
    """Whether each part of ``source`` is a bibliography key or one of :data:`KINDS`.

    Parts are separated by ``;``. A remark in parentheses may say how far a part was
    read or what rests on it: ``"Kohda1991 (abstract); Danley2011 (2nd); assumption"``.
    """
    parts = (part.strip() for part in _REMARK.sub("", source).split(";"))
    return all(part in KINDS or part in _read() for part in parts)
