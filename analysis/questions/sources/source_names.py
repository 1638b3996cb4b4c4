"""Publications by names and year, as they are said aloud: "Yanagisawa & Nishida 1991"."""

from __future__ import annotations

import re

from ....sim.species.sources import bibliography

_AUTHOR = re.compile(r"((?:d|D|v|V)[a-z]+ )?[A-Z][\w'\u2019-]*( [A-Z][\w'\u2019-]+)? [A-Z]{1,5}")
_HEAD = re.compile(r"(?P<who>.+?),? \((?P<year>\d{4})\)")
NO_YEAR = "no year"


def name_and_year(key: str) -> str:
    """Names and year of a publication; the beginning of its title where nobody is named.

    One author alone, two with "&", of more the first "et al."; "no year" where the bibliography has none.
    """
    citation = bibliography()[key]
    found = _HEAD.match(citation)
    who, year = (found["who"], found["year"]) if found else (citation.partition(" (")[0], NO_YEAR)
    parts = [part.strip() for part in who.removesuffix(" et al.").split(",")]
    named = [part for part in parts if _AUTHOR.fullmatch(part)]
    if not named or parts[0] != named[0]:
        title = re.split("[,;]", who)[0]
        return title if year == NO_YEAR else f"{title} {year}"
    names = [part.rpartition(" ")[0] for part in named]
    many = len(names) > 2 or who.endswith(" et al.")
    said = f"{names[0]} et al." if many else " & ".join(names)
    return f"{said}, {year}" if year == NO_YEAR else f"{said} {year}"
