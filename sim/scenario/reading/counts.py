"""How many fish of which sex a row of a stock list means."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from ..hints import Refusal
from ..units import LONGEST_TEXT
from .limits import LIMITS

if TYPE_CHECKING:
    from .stocklist import Cells


class Fish(NamedTuple):
    males: int
    females: int
    unsexed: int


ALLOWED = 'a number, "1m3f", "1/3" or "1.3.4" (males.females.unsexed), "pair" or "trio"'
_WORDS = {
    "males": ("m", "male", "males", "♂"),
    "females": ("f", "female", "females", "♀"),
    "unsexed": ("u", "j", "?", "unsexed", "unknown", "juv", "juvs", "juvenile", "juveniles"),
}
_SEX_OF = {word: sex for sex, words in _WORDS.items() for word in words}
NAMED = {"pair": Fish(1, 1, 0), "trio": Fish(1, 2, 0)}  # one male: common practice, no source
_ANY_SEX = "|".join(re.escape(word) for word in sorted(_SEX_OF, key=len, reverse=True))
_LETTERED = re.compile(rf"([0-9]{{1,6}}) ?({_ANY_SEX})(?![a-z])", re.IGNORECASE)
MOST = LIMITS["stock.unsexed"]
_BETWEEN = re.compile(r"(?:[ ,./+&;]|and)*")
_PARTED = re.compile(r"([0-9]{1,6})([./:,])([0-9]{1,6})(?:\2([0-9]{1,6}))?")
_WHOLE = re.compile(r"x? ?([0-9]{1,6}) ?x?")
_NONE = ("", "-", "–", "—")


class _WrongError(Refusal):
    """A cell that cannot stand, "" for what is written there; noted once, in :func:`read`."""


def read(row: Cells) -> Fish | None:
    """The fish of a row, put together from all its columns; None after a problem."""
    try:
        return _read(row)
    except _WrongError as wrong:
        row.problem(wrong.key, allowed=wrong.allowed, found=wrong.found if wrong.found else None)
        return None


def _read(row: Cells) -> Fish:
    sex, count = row.get("sex").lower(), row.get("count").lower()
    if sex not in _NONE and sex not in _SEX_OF and _split(sex) is None:
        raise _WrongError("", f"male, female, unsexed, {ALLOWED.removeprefix('a number, ')}", key="sex")
    if count not in _NONE and _total(count) is None and _split(count) is None:
        raise _WrongError("", ALLOWED, key="count")
    total, word = _total(count), _SEX_OF.get(sex)
    splits = [one for one in (_own_columns(row), _split(sex), _split(count)) if one is not None]
    if not splits:
        if total is None and word is None:
            raise _WrongError("how many is missing", ALLOWED, key="count")
        splits = [of_sex(word or "unsexed", 1 if total is None else total)]
    _check_agreement(row, splits, total, word)
    return splits[0]


def read_holding(row: Cells, fish: Fish | None) -> int:
    """How many of the females hold eggs; 0 after a problem."""
    text = row.get("holding").lower()
    if text in (*_NONE, "no"):
        return 0
    if text in ("yes", "y", "x") and fish is not None and fish.females == 1:
        return 1
    number = _number(text)
    if number is None:
        row.problem("holding", allowed="the number of females that hold eggs")
    return number or 0


def _own_columns(row: Cells) -> Fish | None:
    """From the columns males, females and unsexed; None when all are blank."""
    numbers: dict[str, int] = {}
    for sex in _WORDS:
        text = row.get(sex).lower()
        if text in _NONE:
            continue
        number = _number(text)
        if number is None:
            raise _WrongError("", LIMITS[f"stock.{sex}"].say(), key=sex)
        numbers[sex] = number
    return Fish(*(numbers.get(sex, 0) for sex in _WORDS)) if numbers else None


def _check_agreement(row: Cells, splits: list[Fish], total: int | None, word: str | None) -> None:
    """All columns must say the same, and no more than is allowed."""
    fish = splits[0]
    said = sum(fish)
    key = next((name for name in ("count", "sex", *_WORDS) if row.get(name)), "count")
    agree = all(split == fish for split in splits) and total in (None, said)
    if not agree or (word is not None and fish != of_sex(word, said)):
        allowed = "the same numbers of males, females and unsexed in all columns"
        raise _WrongError("the columns do not agree", allowed, key=key)
    if max(fish) > MOST.high:
        raise _WrongError("", MOST.say(), key=key)


def _split(text: str) -> Fish | None:
    """Numbers by sex from "1m3f", "1/3", "1.3.4", "pair"."""
    if len(text) > LONGEST_TEXT:
        return None
    if text in NAMED:
        return NAMED[text]
    parted = _PARTED.fullmatch(text)
    if parted:
        return Fish(int(parted[1]), int(parted[3]), int(parted[4] or 0))
    fish, rest = lettered(text)
    return fish if _BETWEEN.fullmatch(rest) else None


def lettered(text: str) -> tuple[Fish | None, str]:
    """The fish of "1m3f" within a text, None where there are none, and the text without them."""
    found = _LETTERED.findall(text)
    numbers = dict.fromkeys(_WORDS, 0)
    for number, word in found:
        numbers[_SEX_OF[word.lower()]] += int(number)
    return (Fish(**numbers), _LETTERED.sub(" ", text)) if found else (None, text)


def _total(text: str) -> int | None:
    whole = _WHOLE.fullmatch(text)
    return int(whole[1]) if whole else None


def _number(text: str) -> int | None:
    """A whole number, also as spreadsheets write it: "3.0" or "3,0"."""
    whole = re.fullmatch(r"([0-9]{1,6})(?:[.,]0+)?", text)
    return int(whole[1]) if whole else None


def of_sex(sex: str, number: int) -> Fish:
    """So many fish, all males, females or unsexed."""
    return Fish(**{**dict.fromkeys(_WORDS, 0), sex: number})
