"""The help of calls: what all of them share is said once."""

from __future__ import annotations

from collections.abc import Callable
from inspect import cleandoc
from typing import TypeVar

from ..study.result import Result

Call = TypeVar("Call", bound=Callable[..., Result])

_HELP = """{opening}

Parameters
----------
scenario : a scenario, the path of a scenario file, or the name of a ready scenario.
{own}
executor : any of ``concurrent.futures``; threads, one a core, when None.
rules : instead of the scenario's.
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
    When the scenario has problems (:class:`ScenarioError`), a value is not allowed, or the rock
    leaves too little water.{raises}
StoreError
    When the folder holds something else or cannot be written.

Source
------
The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
{source}
"""


def helped(returns: str, *, raises: str = "", source: str = "") -> Callable[[Call], Call]:
    """Put the help of a call together: its docstring holds the first line and its own parameters."""

    def with_help(call: Call) -> Call:
        opening, _, own = cleandoc(call.__doc__ or "").partition("\n\n")
        call.__doc__ = _HELP.format(opening=opening, own=own, returns=returns, raises=raises, source=source)
        return call

    return with_help
