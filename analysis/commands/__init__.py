"""The command ``rockshy``. Heavy imports stay inside the commands that need them.

A command is a module of its name with ``add_options(parser)``, what can be typed after it, and
``carry_out(line)``, which returns the exit status. That raises RefusedError, ScenarioError or StoreError
before anything runs, when the scenario, an option, the folder or the cluster will not do, and after
Ctrl-C ends with STOPPED and the answer of what was done so far.

Exit status: 0 done; 1 a fault of this program; 2 something typed or a file was refused, nothing
was written, or a file could not be; 130 ended by Ctrl-C, with what was done so far (``page`` ends like
that as a rule: 0).
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from ..asking.errors import BROKEN, DONE, NO_MEMORY, REFUSED, STOPPED, RefusedError, say_fault, show_traceback
from .giving import close_quietly, hand_out
from .parser import read_line

if TYPE_CHECKING:
    from ...sim.rules.support.rule_set import Rules


def main(argv: Sequence[str] | None = None, *, rules: Rules | None = None) -> int:
    """Carry out one command line; returns the exit status (``--help`` raises SystemExit).

    With ``rules`` it is a command line of one's own: every tank is simulated under these
    (see :class:`rockshy.sim.rules.support.rule_set.Rules`), and work kept under others is refused.

    After Ctrl-C the process ends here: trials that still run in threads are not waited for.
    """
    _print_anything()
    try:
        status = _carry_out(sys.argv[1:] if argv is None else argv, rules)
        hand_out("", end="")
    except BrokenPipeError:
        close_quietly()
        return DONE
    except KeyboardInterrupt:
        print("Stopped by Ctrl-C before there was anything to answer from.", file=sys.stderr)
        status = STOPPED
    except Exception as fault:  # the last resort: nobody is shown a traceback unasked
        return _report(fault)
    if status == STOPPED:
        _leave_at_once(status)
    return status


def _carry_out(argv: Sequence[str], rules: Rules | None) -> int:
    line = read_line(argv)
    line.rules = rules
    if line.command is None:
        from .welcome import welcome

        return welcome()
    status: int = import_module(f".{line.command}", __package__).carry_out(line)
    return status


def _report(fault: Exception) -> int:
    """Say in one message what went wrong; the exit status for it."""
    show_traceback(fault)
    refused = _refusal(fault)
    if refused:
        from ...sim.scenario.reading.problems import printable

        print(*map(printable, refused.split("\n")), sep="\n", file=sys.stderr)
        return REFUSED
    print(say_fault(fault, along="the command line"), file=sys.stderr)
    return BROKEN


def _refusal(fault: Exception) -> str:
    """The message, when the fault lies in what was typed, in a file or in the disk; else ""."""
    from ...sim.scenario.reading import ScenarioError
    from ..document.writing import NotWrittenError, why_not
    from ..study.layout import StoreError

    if isinstance(fault, RefusedError | ScenarioError | StoreError | NotWrittenError):
        return str(fault)
    if isinstance(fault, OSError) and fault.strerror:
        if not fault.filename:  # what is printed goes to a file on a full disk, say
            close_quietly()
            return why_not(fault)
        return f"{fault.filename}: {fault.strerror}"
    if isinstance(fault, MemoryError):
        return NO_MEMORY
    return ""


def _print_anything() -> None:
    """A title may hold signs that the terminal's encoding lacks: print a mark in their place."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, ValueError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]


def _leave_at_once(status: int) -> None:
    """End the process without waiting for threads: a compiled trial cannot be interrupted."""
    with contextlib.suppress(OSError, ValueError):
        sys.stdout.flush()
        sys.stderr.flush()
    os._exit(status)
