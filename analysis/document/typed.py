"""Fish of an answer called as the keeper typed them, in place of scientific names."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from ...sim.scenario.called import typed_names
from ...sim.scenario.scenario import Scenario
from .blocks import Block, Bullets, Code, Document, Figure, Heading, Item, Note, Paragraph, Section, Table
from .brief import MOST_LINES, Brief
from .plain import UNSEXED, called, capital
from .text import as_text

_SEX = r"(?:fe)?males?"
_NUMBER = r" \d+(?: to \d+)?\b"  # of one fish or some; "males 54 %" is no fish number 54
_FISH = rf"(?:fe)?males\b|(?:(?:fe)?male|unsexed)\b(?: fish\b|{_NUMBER})?"
_WHICH = rf"(?P<which> (?:{_FISH}))?(?: \((?P<more>[^()]+)\))?"
_KIND = r"(?P<kind>(?= with its ))?"  # "with its own kind only": of the species, so in the singular


def as_typed(brief: Brief, scenario: Scenario) -> Brief:
    """First lines in the names that the keeper typed, see :class:`Typed`."""
    return Typed(scenario).brief(brief)


class Typed:
    """The parts of one answer, one after the other, with the common names that the keeper typed.

    The scientific name stands beside it once, where a text first names it: "yellow lab females (Labidochromis
    caeruleus; 6)"; in a table never. A species that was typed by its scientific name keeps that, whole or cut
    short, and the keeper's own title and question, lines to copy and sources are left as they are.
    """

    def __init__(self, scenario: Scenario) -> None:
        self._typed = typed_names(scenario)
        self._keys = {form: key for key in self._typed for form in (key, called(key, key))}
        forms = "|".join(map(re.escape, self._keys))
        self._pattern = re.compile(rf"(?:(?P<of>{_SEX}) of )?\b(?P<key>{forms})\b{_WHICH}{_KIND}")
        self._own = {scenario.title, scenario.question}
        self._told: set[str] = set()

    def brief(self, brief: Brief) -> Brief:
        """The first lines of an answer; scientific names only as far as eight lines hold them."""
        before = set(self._told)
        told = replace(brief, **{name: self._text(text) for name, text in vars(brief).items()})
        if len(as_text(told.section).splitlines()) <= MOST_LINES:
            return told
        self._told = before
        return replace(brief, **{name: self._text(text, beside=False) for name, text in vars(brief).items()})

    def document(self, shown: Document) -> Document:
        """All of it."""
        return Document(tuple(map(self.section, shown.sections)))

    def section(self, one: Section) -> Section:
        """A part of it; sources are left."""
        is_cited = one.blocks[:1] == (Heading("Sources"),)
        return one if is_cited else Section(tuple(map(self._block, one.blocks)))

    def sentence(self, text: str) -> str:
        """A sentence that stands by itself, without scientific names beside."""
        return capital(self._cell(text))

    def name(self, text: str) -> str:
        """Fish in a few words, without scientific names beside."""
        return self._cell(text)

    def _block(self, one: Block) -> Block:
        match one:
            case Code():
                return one
            case Table():
                columns = tuple(replace(column, head=self._cell(column.head)) for column in one.columns)
                return Table(columns, tuple(tuple(map(self._cell, row)) for row in one.rows))
            case Bullets():
                return replace(one, items=tuple(map(self._item, one.items)))
            case Figure():
                return replace(one, caption=self._text(one.caption))
            case Heading() | Paragraph() | Note():
                return replace(one, text=self._text(one.text))

    def _item(self, one: Item) -> Item:
        return Item(self._text(one.text), tuple(map(self._block, one.below)))

    def _text(self, text: str, *, beside: bool = True) -> str:
        named = self._named(text, partial(self._said, beside=beside))
        return capital(named) if text[:1].isupper() else named

    def _cell(self, text: str) -> str:
        return self._named(text, partial(self._said, beside=False))

    def _named(self, text: str, said: Callable[[re.Match[str]], str]) -> str:
        return text if text in self._own or not self._keys else self._pattern.sub(said, text)

    def _said(self, fish: re.Match[str], *, beside: bool = True) -> str:
        key = self._keys[fish["key"]]
        which = f" {fish['of']}" if fish["of"] else fish["which"] or ""
        name, latin = self._typed[key], ""
        if beside and key not in self._told:
            self._told.add(key)
            latin = key
        after = "; ".join(filter(None, (latin, fish["more"])))
        one = which or fish["kind"] is not None
        said = f"{name}{which}" if one else plural_of(name, key)
        if which == UNSEXED:
            said = f"unsexed {plural_of(name, key)}"
        return f"{said} ({after})" if after else said


def plural_of(name: str, key: str) -> str:
    """Several of a species by the name that was typed; ``key``: the scientific one.

    What is Latin, or ends like it, stays as it is: "yellow labs", "rusties", but "demasoni", "kenyi".
    """
    if name in key or " of " in name or name[-1] in "is":
        return name
    return f"{name[:-1]}ies" if name[-2:] == "ty" else f"{name}s"
