"""``rockshy sources``: the bibliography, what rests on each entry, and how many numbers rest on what."""

from __future__ import annotations

import argparse

from ..asking.errors import DONE, RefusedError


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("key", metavar="KEY", nargs="?", help="one publication, such as Kohda1991")
    parser.add_argument("--json", action="store_true", help="print it as JSON")


def carry_out(line: argparse.Namespace) -> int:
    """Print the whole list, or one publication and all that rests on it."""
    from ..document import as_text
    from ..document.files import json_text
    from ..questions.sources.source_counts import all_numbers, count
    from ..questions.sources.source_uses import all_uses
    from ..questions.sources.source_words import key_json, key_text, list_json, list_text

    key = None if line.key is None else _known(line.key)
    numbers = all_numbers()
    uses = all_uses(numbers)
    if key is not None:
        print(json_text({key: key_json(key, uses[key])}) if line.json else as_text(key_text(key, uses[key])))
    else:
        counts = count(numbers)
        print(json_text(list_json(uses, counts)) if line.json else as_text(list_text(uses, counts)))
    return DONE


def _known(asked: str) -> str:
    """The key that is meant, capital letters or not."""
    from ...sim.scenario.reading.problems import nearest, show
    from ...sim.species.sources import bibliography

    by_lower = {key.lower(): key for key in bibliography()}
    if asked.strip().lower() in by_lower:
        return by_lower[asked.strip().lower()]
    near = nearest(asked.strip(), by_lower.values())
    hint = f". Did you mean {near}?" if near else ""
    raise RefusedError(f"KEY is {show(asked)}; use a key that rockshy sources lists{hint}")
