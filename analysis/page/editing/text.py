"""A TOML text that is changed in place: comments, order and layout of what is not changed stay.

At the end the text is read again and held against what it should say; a change that cannot be made so is
refused, never made half.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit
from tomlkit.items import Table

from ....sim.scenario.reading.problems import Place, printable
from ....sim.scenario.reading.toml import OversizeError, loads
from .blocks import AS_WRITTEN, Block, blocks_of, pairs_of
from .written import EditError, header, in_order, is_header, key, rank, written


class Sheet:
    """A TOML text being changed; ``values`` is what it says."""

    def __init__(self, text: str) -> None:
        """Raises EditError when the text is no TOML."""
        self._mark = "\ufeff" if text.startswith("\ufeff") else ""
        text = text.removeprefix("\ufeff")
        self._newline = "\r\n" if 0 < text.count("\n") == text.count("\r\n") else "\n"
        text = text.replace(self._newline, "\n")
        self._end = text[len(text.rstrip("\r\n")) :] or "\n"
        self._is_changed = False
        try:
            self.values: dict[str, Any] = loads(text)
            json.dumps(self.values, default=repr)  # Python writes out no number of many thousand digits
            self._blocks = blocks_of(text)
        except (tomllib.TOMLDecodeError, OversizeError) as error:
            raise EditError(f"the file as text: {error}; fix that first, or undo it") from None
        except (RecursionError, ValueError, AssertionError, IndexError):
            raise EditError("the file as text: nested too deep, or numbers too long, to be changed") from None

    @property
    def text(self) -> str:
        """The text as it is now; raises EditError when it does not say what it should."""
        text = "".join(block.text for block in self._blocks)
        if self._is_changed:
            text = text.rstrip("\r\n")
            text = text + self._end if text else ""
            try:
                is_right = _same(tomllib.loads(text), self.values)
            except ValueError:
                is_right = False
            if not is_right:
                raise EditError(AS_WRITTEN)
        return self._mark + text.replace("\n", self._newline)

    def get(self, *place: str | int) -> Any:
        """The value at a place; None when there is none."""
        return value_at(self.values, place)

    # ---- changing

    def put(self, place: Place, value: object) -> None:
        """Let a place have a value: what is the same within it stays as it is written, None takes it out.

        Raises EditError when no file can hold the value.
        """
        if value is None:
            self.drop(place)
        else:
            self._put(place, tomllib.loads(f"value = {written(value)}")["value"])

    def drop(self, place: Place) -> None:
        """Take out what stands at a place, if anything does, and the table emptied by that."""
        if self.get(*place) is None:
            return
        self._is_changed = True
        if not self._in_line(place, None):
            self._drop_lines(place)
            self._drop_blocks(place)
        drop_at(self.values, place)
        above = place[:-1]
        if above and self._is_left_empty(above):
            self.drop(above)

    def set_aside(self, place: Place, why: str) -> None:
        """Turn a row of a list of tables into a comment that begins with ``why``."""
        mine = [k for k, one in enumerate(self._blocks) if one.place[: len(place)] == place]
        if not mine:
            self.drop(place)
            return
        lines = "".join(self._blocks[k].said for k in mine).rstrip("\r\n").split("\n")
        off = [line if line.startswith("#") or not line.strip() else f"# {line}" for line in lines]
        before = self._blocks[mine[0] - 1]
        there = before.tail
        self.drop(place)
        said = "\n".join([f"# {printable(why)}", *off, "\n"])
        before.tail = there + said + before.tail[len(there) :]

    def _put(self, place: Place, value: Any) -> None:
        there = self.get(*place)
        if isinstance(value, dict) and value and isinstance(there, dict):
            self._put_each(place, in_order(place, value).items())
            for name in [name for name in there if name not in value]:
                self.drop((*place, name))
        elif _is_rows(value) and _is_rows(there):
            end = 0  # rows at the end that stay
            while end < min(len(there), len(value)) and _same(there[-1 - end], value[-1 - end]):
                end += 1
            for k in range(len(there) - end - 1, len(value) - end - 1, -1):
                self.drop((*place, k))
            self._put_each(place, enumerate(value))
        elif there is None or not _same(there, value):
            self._is_changed = True
            self._write(place, value)

    def _put_each(self, place: Place, values: Iterable[tuple[str | int, Any]]) -> None:
        for part, one in values:
            self._put((*place, part), one)

    def _write(self, place: Place, value: Any) -> None:
        """Write what is not there, or stands there as something else."""
        if self._in_line(place, value):
            set_at(self.values, place, value)
            return
        self.drop(place)  # spread over several headers or lines
        if isinstance(value, dict) and is_header(place) and isinstance(place[-1], str):
            self._put_each(place, in_order(place, value).items())
        elif _is_rows(value) and is_header((*place, 0)):
            self._put_each(place, enumerate(value))
        else:
            self._add(place, value)
            set_at(self.values, place, value)

    def _add(self, place: Place, value: Any) -> None:
        """A new line where its table is written, or a table of its own."""
        longest = len(place) if isinstance(value, dict) else len(place) - 1
        top = next((n for n in range(longest, 0, -1) if is_header(place[:n])), 0)
        if isinstance(place[-1], int) and any(one.place[:-1] == place[:-1] for one in self._blocks):
            top = len(place)  # beside rows with headers
        for n in range(len(place) - 1, top - 1, -1):
            block, before = self._home(place[:n])
            if block is not None:
                self._add_line(block, before, str(place[n]), _wrapped(place[n + 1 :], value))
                return
        self._add_block(place[:top], _wrapped(place[top:], value))

    # ---- values within a line

    def _found(self, place: Place) -> tuple[Block, tomlkit.TOMLDocument, int, Place] | None:
        """The line a place is written in: its block, the lines of that, its number, the rest of the place."""
        for block in self._blocks:
            if block.place == place[: len(block.place)]:
                lines = block.lines()
                for number, path in pairs_of(lines):
                    whole = (*block.place, *path)
                    if whole == place[: len(whole)]:
                        return block, lines, number, place[len(whole) :]
        return None

    def _in_line(self, place: Place, value: Any) -> bool:
        """Set, add or (None) take out what is written within a line; False where no line holds the place."""
        found = self._found(place)
        if found is None:
            return False
        block, lines, number, rest = found
        holder, name = _holder(lines, number)
        for k, part in enumerate(rest):
            inner, after = holder[name], rest[k + 1 :]
            if not isinstance(inner, dict if isinstance(part, str) else list):
                raise EditError(AS_WRITTEN)
            is_there = part in inner if isinstance(part, str) else part < len(inner)
            if not is_there or (value is None and not after):
                new = None if value is None else _wrapped(after, value)
                table = place[: len(place) - len(after) - 1]
                self._change_pieces(holder, name, part, new, table)
                break
            holder, name = inner, part
        else:
            if value is None:
                del holder[name]
            else:
                holder[name] = self._item(value)
        block.body = lines.as_string()
        return True

    def _change_pieces(self, holder: Any, name: Any, part: str | int, new: Any, table: Place) -> None:
        """Add a piece to a list or a table in braces, (None) or take it out; one line is laid anew."""
        inner = holder[name]
        if isinstance(inner, dict):
            pieces = [(key, one) for key, one in inner.items() if key != part]
            mine = rank(table, str(part))
            at = max((k for k, (key, _) in enumerate(pieces, 1) if rank(table, key) <= mine), default=0)
            pieces[at:at] = [] if new is None else [(part, new)]
            holder[name] = self._item(dict(pieces))
        elif "\n" not in inner.as_string():
            rest = [one for k, one in enumerate(inner) if k != part]
            holder[name] = self._item(rest if new is None else [*rest, new])
        elif new is None:
            del inner[part]
        else:
            inner.append(self._item(new))

    def _item(self, value: Any) -> Any:
        return tomlkit.value(written(value))

    # ---- lines

    def _home(self, table: Place) -> tuple[Block | None, tuple[str, ...]]:
        """The block where a table is written, and what its keys begin with there when they are dotted."""
        for block in self._blocks:
            if block.place == table:
                return block, ()
        for block in self._blocks:
            before = table[len(block.place) :]
            if block.place == table[: len(block.place)] and any(
                path[: len(before)] == before for _, path in pairs_of(block.lines())
            ):
                return block, tuple(str(part) for part in before)
        return None, ()

    def _add_line(self, block: Block, before: tuple[str, ...], name: str, value: Any) -> None:
        """A new line in a block, behind those that come before it."""
        line = f"{'.'.join(map(key, (*before, name)))} = {written(value)}\n"
        if not block.body:
            if block.head:
                block.head = _ended(block.head)
                block.body = line
            else:  # below the comments that a file begins with
                block.body, block.tail = block.tail + line, "\n"
            return
        block.body = _ended(block.body)
        lines, table = block.lines(), (*block.place, *before)
        beside = [
            (number, path[len(before)]) for number, path in pairs_of(lines) if path[: len(before)] == before
        ]
        mine = rank(table, name)
        earlier = [number for number, other in beside if rank(table, other) <= mine]
        near = earlier[-1] if earlier else beside[0][0]
        at = near + 1 if earlier else near
        while not block.head and not earlier and at and lines.body[at - 1][0] is None:
            at -= 1  # above the comment of the first line
        holder, last = _holder(lines, near)
        indent = holder.item(last).trivia.indent
        lines.body.insert(at, tomlkit.parse(indent + line).body[0])
        block.body = lines.as_string()

    def _drop_lines(self, place: Place) -> None:
        """Take out every line whose key lies at or below a place."""
        for block in self._blocks:
            if block.place == place[: len(block.place)] and block.place != place:
                lines = block.lines()
                gone = [n for n, path in pairs_of(lines) if (*block.place, *path)[: len(place)] == place]
                for number in reversed(gone):
                    del lines.body[number]
                if gone:
                    block.body = lines.as_string()

    # ---- tables

    def _add_block(self, place: Place, values: Mapping[str, object]) -> None:
        """A new table with its header, behind those that come before it."""
        body = [f"{key(name)} = {written(one)}\n" for name, one in in_order(place, values).items()]
        number = self._number_of_next(place)
        before = self._blocks[number - 1]
        if before.text.strip():
            ended = _ended(before.text)
            before.tail += ended[len(before.text) :]
            if not ended.replace("\r", "").endswith("\n\n"):
                before.tail += "\n"
        tail = "\n" if number < len(self._blocks) else ""
        self._blocks.insert(number, Block(place, head=f"{header(place)}\n", body="".join(body), tail=tail))

    def _number_of_next(self, place: Place) -> int:
        """Which block a new one is put in front of."""
        numbers = range(1, len(self._blocks))
        if len(place) == 1:  # [rock] stands above its [[rock.object]]
            for k in numbers:
                if self._blocks[k].place[:1] == place:
                    return k
        rows = place[:-1] if isinstance(place[-1], int) else place
        alike = [k for k in numbers if self._blocks[k].place[: len(rows)] == rows]
        mine = rank((), str(place[0]))
        earlier = [k for k in numbers if rank((), str(self._blocks[k].place[0])) <= mine]
        return (alike or earlier or [0])[-1] + 1

    def _drop_blocks(self, place: Place) -> None:
        """Take out every table at or below a place, and put rows that follow in its place."""
        for k in range(len(self._blocks) - 1, 0, -1):
            block = self._blocks[k]
            if block.place[: len(place)] != place:
                continue
            before = self._blocks[k - 1]
            del self._blocks[k]
            is_apart = not before.text.strip() or before.text.replace("\r", "").endswith("\n\n")
            before.tail += block.tail.lstrip("\r\n") if is_apart else block.tail
        if isinstance(place[-1], int):
            n, number = len(place) - 1, place[-1]
            for block in self._blocks:
                at = block.place[n] if len(block.place) > n and block.place[:n] == place[:n] else None
                if isinstance(at, int) and at > number:
                    block.place = (*block.place[:n], at - 1, *block.place[n + 1 :])

    def _is_left_empty(self, table: Place) -> bool:
        """Whether nothing is left of a table, or of a list that no line of its own says is there."""
        value = self.get(*table)
        if value == {}:
            return isinstance(table[-1], str)
        return value == [] and self._found(table) is None


def value_at(values: Any, place: Place) -> Any:
    for part in place:
        if isinstance(part, str) and isinstance(values, Mapping):
            values = values.get(part)
        elif isinstance(part, int) and isinstance(values, list) and 0 <= part < len(values):
            values = values[part]
        else:
            return None
    return values


def set_at(values: Any, place: Place, value: object) -> None:
    """Set a value; tables and lists on the way to it are made, rows added at the end of a list."""
    for part, following in zip(place, (*place[1:], None), strict=True):
        new = value if following is None else [] if isinstance(following, int) else {}
        if isinstance(values, list) and part == len(values):
            values.append(new)
        elif following is None or (isinstance(values, dict) and part not in values):
            values[part] = new
        values = values[part]


def drop_at(values: Any, place: Place) -> None:
    del value_at(values, place[:-1])[place[-1]]


def _wrapped(place: Place, value: Any) -> Any:
    """A value in the tables and lists that lead to it."""
    for part in reversed(place):
        value = {part: value} if isinstance(part, str) else [value]
    return value


def _holder(lines: tomlkit.TOMLDocument, number: int) -> tuple[Any, Any]:
    """The table that a line is in, and its key there: inner ones where the key is dotted."""
    holder: Any = lines
    key, item = lines.body[number]
    while isinstance(item, Table):
        holder = item
        key, item = item.value.body[0]
    return holder, key


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, dict) for one in value)


def _same(one: Any, other: Any) -> bool:
    """Whether two values say the same: 1 is not 1.0 or true, nan is nan."""
    return json.dumps(one, sort_keys=True, default=repr) == json.dumps(other, sort_keys=True, default=repr)


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else text + "\n"
