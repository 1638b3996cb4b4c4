"""A TOML text that is changed in place: every change is one cut, so comments, order and layout stay.

After each change the text is read again and held against what it should say; a change that cannot be
made so is refused, never made half.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from ....sim.scenario.reading.problems import Place, printable
from ....sim.scenario.reading.toml import OversizeError, loads
from .spans import Block, Part, Spans, drop_at, holds, same, set_at, value_at
from .written import EditError, header, in_order, key, rank, written


class Sheet:
    """A TOML text being changed.

    Attributes
    ----------
    values : dict
        What the text says.
    """

    def __init__(self, text: str) -> None:
        """Raises EditError when the text is no TOML."""
        self._head = "\ufeff" if text.startswith("\ufeff") else ""
        self._newline = "\r\n" if "\r\n" in text else "\n"
        self._take(text.removeprefix("\ufeff"))

    @property
    def text(self) -> str:
        return self._head + self._text

    def get(self, *place: str | int) -> Any:
        """The value at a place; None when there is none."""
        return value_at(self.values, place)

    def put(self, place: Place, value: object) -> None:
        """Set a value; where the key or its table is not there it is added in its order."""
        wanted = deepcopy(self.values)
        set_at(wanted, place, value)
        part = self._parts.get(place)
        if part is not None:
            self._become(self._cut(part.value, part.end, written(value)), wanted)
            return
        if self.get(*place) is not None:  # spread over several headers
            self.drop(place, tidy=False)
            wanted = deepcopy(self.values)
            set_at(wanted, place, value)
        self._become(self._added(place, value), wanted)

    def drop(self, place: Place, *, tidy: bool = True) -> None:
        """Take out what stands at a place, if anything does, and where ``tidy`` the table emptied by that."""
        if self.get(*place) is None:
            return
        wanted = deepcopy(self.values)
        drop_at(wanted, place)
        part = self._parts.get(place)
        text = self._without_blocks(place) if part is None else self._without(part)
        above = place[:-1]
        while above and not value_at(wanted, above) and self._is_implied(above):
            drop_at(wanted, above)
            above = above[:-1]
        self._become(text, wanted)
        if tidy and above and value_at(wanted, above) == {} and isinstance(above[-1], str):
            self.drop(above)

    def add_row(self, place: Place, values: Mapping[str, object]) -> None:
        """Add a table to the end of a list of tables, ``[[stock]]`` below the last or as an item."""
        row = in_order(place, values)
        rows = self.get(*place)
        wanted = deepcopy(self.values)
        if not isinstance(rows, list):
            set_at(wanted, place, [row])
        else:
            value_at(wanted, place).append(row)
        if place in self._parts:
            self._become(self._with_item(place, written(row)), wanted)
        elif rows is None and self._is_inline(place[:-1]):
            self.put(place, [row])
        else:
            self._become(self._with_block(place, row, is_row=True), wanted)

    def set_aside(self, place: Place, why: str) -> None:
        """Turn a row of a list of tables into a comment that begins with ``why``."""
        wanted = deepcopy(self.values)
        drop_at(wanted, place)
        if not value_at(wanted, place[:-1]):
            drop_at(wanted, place[:-1])
        numbers = [k for k, one in enumerate(self._blocks) if k and one.place[: len(place)] == place]
        if not numbers:
            self.drop(place)
            return
        text = self._text
        for k in reversed(numbers):
            start, end = self._lead_of(k), self._stop(self._blocks[k])
            lines = text[start:end].replace("\r\n", "\n").split("\n")
            off = [line if line.startswith("#") or not line.strip() else f"# {line}" for line in lines]
            head = [f"# {printable(why)}"] if k == numbers[0] else []
            text = text[:start] + self._newline.join([*head, *off]) + text[end:]
        self._become(text, wanted)

    # ---- reading

    def _take(self, text: str, wanted: Mapping[str, Any] | None = None) -> None:
        try:
            self.values: dict[str, Any] = loads(text)
            scanner = Spans(text)
            scanner.scan()
        except (tomllib.TOMLDecodeError, OversizeError) as error:
            raise EditError(f"the file as text: {error}; put that right first, or undo it") from None
        except (RecursionError, ValueError, AssertionError, IndexError):
            raise EditError("the file as text: nested too deep, or numbers too long, to be changed") from None
        if wanted is not None and not same(self.values, wanted):
            raise EditError("this cannot be changed here as the file is written; change the file as text")
        self._text = text
        self._blocks = scanner.blocks
        self._parts = scanner.parts

    def _become(self, text: str, wanted: Mapping[str, Any]) -> None:
        before = self.values
        try:
            self._take(text, wanted)
        except EditError:
            self.values = before
            raise

    # ---- cutting

    def _cut(self, start: int, end: int, new: str) -> str:
        return self._text[:start] + new.replace("\n", self._newline) + self._text[end:]

    def _line_start(self, at: int) -> int:
        return self._text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        """Behind the line break of the line."""
        found = self._text.find("\n", at)
        return len(self._text) if found < 0 else found + 1

    def _stop(self, block: Block) -> int:
        """Behind the last line of a block that says something."""
        return self._line_end(block.pairs[-1].end) if block.pairs else block.body

    def _lead(self, start: int, floor: int) -> int:
        """Start of the comment lines directly above a line."""
        at = self._line_start(start)
        while at > floor:
            above = self._line_start(at - 1)
            if above < floor or not self._text[above:at].lstrip().startswith("#"):
                break
            at = above
        return at

    def _lead_of(self, number: int) -> int:
        """Start of a block with the comments directly above its header."""
        return self._lead(self._blocks[number].start, self._stop(self._blocks[number - 1]))

    def _insert(self, at: int, lines: str) -> str:
        """Whole lines put in at the start of a line, or at the end of the text."""
        broken = at == len(self._text) and self._text and not self._text.endswith("\n")
        return self._cut(at, at, ("\n" if broken else "") + lines)

    # ---- adding

    def _added(self, place: Place, value: object) -> str:
        table, name = place[:-1], str(place[-1])
        pair = f"{key(name)} = {written(value)}"
        if self._is_inline(table):
            return self._with_item(table, pair, name)
        block = self._block(table)
        if block is not None:
            return self._with_line(block, (), name, pair)
        dotted = self._dotted(table)
        if dotted is not None:
            before = table[len(dotted.place) :]
            lead = ".".join(key(str(part)) for part in before)
            return self._with_line(dotted, before, name, f"{lead}.{pair}")
        if len(table) > 1 and (table[0] != "species" or self._is_inline(table[:-1])):
            return self._added(table, {name: value})
        return self._with_block(table, {name: value}, is_row=False)

    def _is_inline(self, table: Place) -> bool:
        return table in self._parts

    def _is_implied(self, table: Place) -> bool:
        """Whether a table, or list of tables, is there only through what stands in it."""
        return table not in self._parts and self._block(table) is None

    def _block(self, table: Place) -> Block | None:
        return next((one for one in self._blocks if one.place == table), None)

    def _dotted(self, table: Place) -> Block | None:
        """The block in which a table is written by dotted keys."""
        for one in self._blocks:
            inside = one.place == table[: len(one.place)]
            if inside and any(pair.place[: len(table)] == table for pair in one.pairs):
                return one
        return None

    def _with_line(self, block: Block, before: Place, name: str, pair: str) -> str:
        """A new line in a block, behind those that come before it."""
        table = (*block.place, *before)
        mine = rank(table, name)
        inside = [one for one in block.pairs if one.place[: len(table)] == table]
        earlier = [one for one in inside if rank(table, str(one.place[len(table)])) <= mine]
        near = earlier[-1] if earlier else next(iter(inside), None)
        if near is None:
            return self._first_line(block, pair)
        start = self._line_start(near.start)
        indent = self._text[start : near.start]
        if earlier:
            return self._insert(self._line_end(near.end), f"{indent}{pair}\n")
        above = self._lead(near.start, block.body) if block.place == () else start
        return self._insert(above, f"{indent}{pair}\n")

    def _first_line(self, block: Block, pair: str) -> str:
        if block.place:
            return self._insert(block.body, f"{pair}\n")
        at = self._lead_of(1) if len(self._blocks) > 1 else len(self._text)
        return self._insert(at, f"{pair}\n\n" if at < len(self._text) else f"{pair}\n")

    def _with_item(self, place: Place, item: str, name: str | None = None) -> str:
        """A new item at the end of a list, or a pair in its order in a table in braces."""
        whole = self._parts[place]
        inside = [
            one
            for one in self._parts.values()
            if len(one.place) > len(place) and one.place[: len(place)] == place
        ]
        outer = [one for one in inside if not any(holds(other, one) for other in inside)]
        outer.sort(key=lambda one: one.start)
        if not outer:
            opening, closing = self._text[whole.value], self._text[whole.end - 1]
            blank = "" if name is None else " "
            return self._cut(whole.value, whole.end, f"{opening}{blank}{item}{blank}{closing}")
        earlier = outer
        if name is not None:
            mine = rank(place, name)
            earlier = [one for one in outer if rank(place, str(one.place[len(place)])) <= mine]
        if not earlier:
            return self._cut(outer[0].start, outer[0].start, f"{item}, ")
        last = earlier[-1]
        start = self._line_start(last.start)
        indent = self._text[start : last.start]
        alone = name is None and not indent.strip() and start > whole.value
        return self._cut(last.end, last.end, f",\n{indent}{item}" if alone else f", {item}")

    def _with_block(self, place: Place, values: Mapping[str, object], *, is_row: bool) -> str:
        """A new table with its header, behind those that come before it."""
        lines = [header(place, is_row=is_row)]
        lines += [f"{key(name)} = {written(value)}" for name, value in values.items()]
        text = "\n".join(lines) + "\n"
        number = self._number_of_next(place, is_row=is_row)
        if number is None:
            at = len(self._text)
            return self._insert(at, ("\n" if self._text.strip() else "") + text)
        at = self._lead_of(number)
        apart = self._text[:at].replace("\r", "").endswith("\n\n") or not self._text[:at].strip()
        return self._insert(at, ("" if apart else "\n") + text + "\n")

    def _number_of_next(self, place: Place, *, is_row: bool) -> int | None:
        """Which block a new one is put in front of; None for the end."""
        mine = rank((), str(place[0]))
        numbers = range(1, len(self._blocks))
        if not is_row and len(place) == 1:  # [rock] stands above its [[rock.object]]
            for k in numbers:
                if self._blocks[k].place[:1] == place:
                    return k
        same = [k for k in numbers if self._blocks[k].place[: len(place)] == place]
        if same:
            return same[-1] + 1 if same[-1] + 1 < len(self._blocks) else None
        earlier = [k for k in numbers if rank((), str(self._blocks[k].place[0])) <= mine]
        after = earlier[-1] + 1 if earlier else 1
        return after if after < len(self._blocks) else None

    # ---- taking out

    def _without(self, part: Part) -> str:
        """Without a pair and its line, or without an item and its comma."""
        if any(part in block.pairs for block in self._blocks):
            return self._cut(self._line_start(part.start), self._line_end(part.end), "")
        whole = max((one for one in self._parts.values() if holds(one, part)), key=lambda one: one.value)
        beside = [
            one
            for one in self._parts.values()
            if holds(whole, one) and not any(holds(o, one) for o in self._parts.values() if holds(whole, o))
        ]
        beside.sort(key=lambda one: one.start)
        k = beside.index(part)
        if k > 0:
            return self._cut(beside[k - 1].end, part.end, "")
        if len(beside) > 1:
            return self._cut(part.start, beside[1].start, "")
        return self._cut(whole.value + 1, whole.end - 1, "")

    def _without_blocks(self, place: Place) -> str:
        """Without every header of a table and the lines below it, and without its dotted keys."""
        spans = []
        for number, block in enumerate(self._blocks):
            if number and block.place[: len(place)] == place:
                spans.append((self._lead_of(number), self._stop(block)))
                continue
            for pair in block.pairs:
                if pair.place[: len(place)] == place:
                    spans.append((self._line_start(pair.start), self._line_end(pair.end)))
        text = self._text
        for start, end in sorted(spans, reverse=True):
            after = text[end:]
            rest = after.lstrip("\r\n")
            before = text[:start]
            if not rest:
                text = before.rstrip("\r\n") + self._newline if before.strip() else rest
            elif not before.strip() or before.replace("\r", "").endswith("\n\n"):
                text = before + rest
            else:
                text = before + after
        return text
