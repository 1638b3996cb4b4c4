"""A wish list as one line of text: "duboisi 1m 3-6f; Ikola at most 5; at most 20 fish; rock 60 kg".

Parts stand between semicolons, or commas where there is no semicolon. A part that says nothing of fish in
all, species, rock, tanks or money is a species that is liked. The values are those of a [wanted] table, which
are then read as any other.
"""

from __future__ import annotations

import re
from typing import Any

from .limits import LONGEST_QUESTION
from .problems import Problem, show

_NUMBER = r"(\d{1,4})(?: ?(?:-|to) ?(\d{1,4}))?"
_HOW = r"(?:(at most|at least|up to|no more than|exactly) )?"
_ALL = re.compile(rf"{_HOW}{_NUMBER} (fish|species|kinds)(?: in all)?", re.IGNORECASE)
_ROCK = re.compile(r"(?:rock|limestone|stone):? (.+)|(\d.*(?:kg|lbs?|kilos?)) (?:of )?rock", re.IGNORECASE)
_TANK = re.compile(r"tanks?:? (?P<sides>.+)", re.IGNORECASE)
_MONEY = re.compile(r"(?:spend|money|budget):? (?:at most |up to )?(?P<money>[0-9.]+)", re.IGNORECASE)
_SEX = re.compile(rf"\b{_NUMBER} ?(m|males?|f|females?)(?![a-z])", re.IGNORECASE)
_LEAST = re.compile(r"\bat least (\d{1,4})\b", re.IGNORECASE)
_MOST = re.compile(r"\b(?:at most|up to|no more than) (\d{1,4})\b", re.IGNORECASE)
_PRICE = re.compile(r"(?:\bprice|@) ?([0-9.]+)(?: each)?\b", re.IGNORECASE)
_MUST = re.compile(r"\b(?:must|in any case)\b", re.IGNORECASE)
_BARE = re.compile(rf"^{_NUMBER}\s|\s{_NUMBER}$")
_JOINED = re.compile(r"^(?:(?:and|of) )+", re.IGNORECASE)
_DASHES = str.maketrans({"–": "-", "—": "-", "−": "-", "\n": ";"})
_SUCH = '"duboisi 1m 3-6f; Ikola at most 8; at most 20 fish; rock 60 kg"'


def values_of(text: str) -> tuple[dict[str, Any], list[Problem]]:
    """The values of a [wanted] table, and what cannot be read."""
    values: dict[str, Any] = {"fish": []}
    problems: list[Problem] = []
    if len(text) > LONGEST_QUESTION or not text.strip():
        allowed = f"a wish list of at most {LONGEST_QUESTION} characters, such as {_SUCH}"
        return values, [Problem(None, "wanted", show(text), allowed)]
    tidy = text.translate(_DASHES)
    for part in re.split(";" if ";" in tidy else ",", tidy):
        said = " ".join(part.split())
        if said:
            _read(said, values, problems)
    return values, problems


def _read(said: str, values: dict[str, Any], problems: list[Problem]) -> None:
    if both := _ALL.fullmatch(said):
        *numbers, what = both.groups()
        _limit(values, *numbers, before="" if what.lower() == "fish" else "species_")
    elif rock := _ROCK.fullmatch(said):
        values["rock"] = rock[1] or rock[2]
    elif tanks := _TANK.fullmatch(said):
        lengths = re.split(r" or | and |,", tanks["sides"])
        values["tank"] = [*values.get("tank", []), *({"length": one.strip()} for one in lengths)]
    elif money := _MONEY.fullmatch(said):
        values["spend"] = _number(money["money"])
    else:
        values["fish"].append(_liked(said, problems))


def _limit(values: dict[str, Any], how: str | None, low: str, high: str | None, *, before: str) -> None:
    """ "at most 20 fish", "8 to 20 fish", "12 fish"."""
    how = (how or "").lower()
    if how != "at least":
        values[f"{before}at_most"] = int(high or low)
    if how in ("at least", "exactly", ""):
        values[f"{before}at_least"] = int(low)


def _liked(said: str, problems: list[Problem]) -> dict[str, Any]:
    """A species, with what is said of its numbers."""
    row: dict[str, Any] = {}
    for low, high, sex in _SEX.findall(said):
        key = "males" if sex.lower().startswith("m") else "females"
        row[key] = [int(low), int(high or low)]
    rest = _SEX.sub(" ", said)
    for key, pattern in (("at_least", _LEAST), ("at_most", _MOST), ("price", _PRICE)):
        found = pattern.search(rest)
        if found:
            row[key] = _number(found[1]) if key == "price" else int(found[1])
            rest = pattern.sub(" ", rest)
    if _MUST.search(rest):
        row["must"], rest = True, _MUST.sub(" ", rest)
    bare = _BARE.search(rest.strip())
    if bare and not {"males", "females", "at_least", "at_most"} & set(row):
        low, high = (bare[1], bare[2]) if bare[1] else (bare[3], bare[4])
        row["at_least"], row["at_most"] = int(low), int(high or low)
        row["males"], row["females"] = [0, int(high or low)], [0, int(high or low)]
        rest = _BARE.sub(" ", rest.strip())
    name = _JOINED.sub("", " ".join(rest.split()).strip(" :,-/"))  # "1 male and 4 females of moorii"
    if not name:
        problems.append(Problem(None, "wanted.fish", show(said), f"the name of a species, such as {_SUCH}"))
    return {"species": name, **row}


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text
