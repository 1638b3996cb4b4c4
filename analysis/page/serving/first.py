"""The scenario that a page begins with: a file, or a ready scenario. Imports nothing heavy."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from .... import scenarios
from ..task import Draft, StockList
from .guard import MOST_BYTES

ROOM = 50_000  # bytes of a request beside the draft, and what may yet be typed into it


def ready_draft(name: str) -> Draft:
    """A ready scenario; KeyError when there is none of that name."""
    return Draft(scenarios.text(name), f"{name}.toml")


def read_draft(path: Path) -> Draft | None:
    """A scenario file and the stock list that it names; None when it is no TOML, or cannot be read at once.

    What is wrong with such a file is said where files are read for good,
    :func:`rockshy.sim.scenario.reading.load`.
    """
    try:
        from ....sim.scenario.reading.toml import loads

        text = _text(path)
        beside = loads(text.removeprefix("\ufeff")).get("stock_list")
        stock_list = None
        if isinstance(beside, str) and beside:
            stock_list = StockList(Path(beside).name, _text(path.parent / beside, decode=_decode))
    except (OSError, ValueError):  # among them TOMLDecodeError and UnicodeError
        return None
    return Draft(text, path.name, stock_list)


def is_too_long(draft: Draft) -> bool:
    """Whether a draft would not go into one request of the page."""
    return len(json.dumps(asdict(draft), ensure_ascii=False).encode("utf-8")) > MOST_BYTES - ROOM


def _text(path: Path, *, decode: Callable[[bytes], str] = lambda data: data.decode("utf-8")) -> str:
    if not path.is_file() or path.stat().st_size > MOST_BYTES:
        raise OSError(f"{path} is no ordinary file of ordinary size")
    return decode(path.read_bytes())


def _decode(data: bytes) -> str:
    """A stock list may come out of an old spreadsheet."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        from ....sim.scenario.reading.stocklist import decode

        return decode(data)
