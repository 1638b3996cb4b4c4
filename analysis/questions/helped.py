"""The help of calls: what all of them share is said once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from inspect import cleandoc
from typing import Any, TypeVar

from ..document import Document
from ..study.dictionary import Columns, frame_of
from ..study.result import Result

Call = TypeVar("Call", bound=Callable[..., Result])

_HELP = """{opening}

Parameters
----------
{asked}
{own}
executor : any of ``concurrent.futures``; threads, one a core, when None.
rules : instead of the project's, or those that the scenario has.
folder : keeps each finished simulated tank at once; the same call, or the same command with
    ``--out``, goes on from there. None keeps nothing.
progress : called with (done, asked) after each simulated tank, batch by batch.

Returns
-------
Result
    {returns}
    With KeyboardInterrupt during the run: of what was done so far.

Raises
------
ValueError
    When the file has problems (:class:`ScenarioError`), a value is not allowed, or the rock
    leaves too little water.{raises}
StoreError
    When the folder holds something else or cannot be written.

Source
------
The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
{source}
"""


_SCENARIO = "scenario : a scenario, the path of a scenario file, or the name of a ready scenario."


def helped(
    returns: str, *, raises: str = "", source: str = "", asked: str = _SCENARIO
) -> Callable[[Call], Call]:
    """Put the help of a call together: the last paragraph of its docstring holds its own parameters.

    ``asked``: what its first parameter is.
    """
    shared = {"returns": returns, "raises": raises, "source": source, "asked": asked}

    def with_help(call: Call) -> Call:
        opening, _, own = cleandoc(call.__doc__ or "").rpartition("\n\n")
        call.__doc__ = _HELP.format(opening=opening, own=own, **shared)
        return call

    return with_help


def result_of(
    question: str,
    found: Any,
    words: Callable[..., Document],
    told: Callable[..., Mapping[str, object]],
    rows: Callable[[Any], str],
    columns: Columns,
    *,
    more: Sequence[object] = (),
) -> Result:
    """What a call hands out of an answer, by the functions of its room.

    ``more``: what words and JSON need besides the answer.
    """
    tell, note = partial(words, found, *more), partial(told, found, *more)
    return Result(question, found, not found.stopped, tell, note, lambda: frame_of(rows(found), columns))
