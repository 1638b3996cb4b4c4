"""What is answered when something cannot be done: a status of HTTP and sentences to show."""

from __future__ import annotations

MALFORMED, FORBIDDEN, MISSING, NOT_SO, BUSY, TOO_BIG = 400, 403, 404, 405, 409, 413
NOT_JSON, CANNOT, TOO_MANY, OWN_FAULT = 415, 422, 429, 500

_OWN = __name__.partition(".")[0] + "."


class RefusalError(Exception):
    """Something asked cannot be done; ``problems`` are sentences for whoever asked."""

    def __init__(self, status: int, *problems: str) -> None:
        super().__init__(status, *problems)
        self.status = status
        self.problems = problems


def refusal_of(fault: BaseException) -> RefusalError:
    """What is answered to a fault: its own words, or one sentence when it is a fault of this program.

    The traceback of a fault of this program is shown in the terminal where
    :data:`rockshy.analysis.asking.errors.TRACEBACK` is set.
    """
    if isinstance(fault, RefusalError):
        return fault
    problems = _words(fault)
    if problems:
        return RefusalError(CANNOT, *problems)
    from ...asking.errors import say_fault, show_traceback

    show_traceback(fault)
    return RefusalError(OWN_FAULT, say_fault(fault, along="what you did"))


def _words(fault: BaseException) -> list[str]:
    """Sentences, when the fault lies in what was asked; else none."""
    from ....sim.scenario.reading import ScenarioError
    from ...asking.errors import NO_MEMORY, RefusedError
    from ...study.layout import StoreError

    if isinstance(fault, ScenarioError):
        return fault.sentences()
    if isinstance(fault, MemoryError):
        return [NO_MEMORY]
    if isinstance(fault, RefusedError | StoreError) or _is_worded(fault):
        return [line for line in str(fault).splitlines() if line.strip()]
    return []


def _is_worded(fault: BaseException) -> bool:
    """Whether a ValueError carries words for whoever asked, as those of this project do."""
    if not isinstance(fault, ValueError):
        return False
    said = str(fault)
    return type(fault).__module__.startswith(_OWN) or said.startswith("rock:") or "; use " in said
