"""What every command that simulates many tanks shares: the folder, the count, what is refused."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError
from ..asking.found import refusing_rock
from ..asking.progress import Progress, say
from .finding import check_writable
from .lasting import how_long

if TYPE_CHECKING:
    from ...sim.run.trials import Job, Outcome
    from ...sim.scenario.scenario import Scenario
    from ..study.kept import Kept


def kept_for(
    out: str | None,
    command: str,
    scenario: Scenario,
    *,
    others: Mapping[str, Scenario] | None = None,
    options: Mapping[str, object] | None = None,
) -> contextlib.AbstractContextManager[Kept | None]:
    """The folder of ``--out``, to be opened with ``with``; nothing without it.

    Parameters
    ----------
    command, scenario, others, options : see :func:`rockshy.analysis.study.recipe.recipe_of`.

    Raises
    ------
    RefusedError
        When nothing can be written there.
    """
    if out is None:
        return contextlib.nullcontext()
    check_writable(out)
    from ..study.asking import kept_in

    return kept_in(out, command, scenario, others=others, options=options)


def say_kept(kept: Kept | None) -> None:
    """How much of the work is there already, and what of it was damaged."""
    if kept is not None and kept.damaged:
        say(
            f"{kept.file}: {kept.damaged} of the finished simulated tanks in it "
            f"{'was' if kept.damaged == 1 else 'were'} damaged and will be simulated again."
        )
    if kept is not None and len(kept):
        say(f"{kept.folder} holds {len(kept)} finished simulated tanks; they are not simulated again.")


class Counted:
    """Runs jobs on an executor, out of the folder where they are finished, and counts the others."""

    def __init__(self, executor: Executor, kept: Kept | None, *, asked: str) -> None:
        self._executor, self._kept, self._asked = executor, kept, asked

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        """Each job with its outcomes as it ends.

        Raises
        ------
        RefusedError
            When the rock of a tank leaves no water.
        """
        from ..study.runner import counted

        new = [job for job in jobs if self._kept is None or job not in self._kept]
        if new:
            took = how_long(scenarios, new, executor=self._executor)
            say(f"That takes {took} on this engine.")
        with Progress(len(new)) as progress, refusing_rock(self._asked):
            yield from counted(scenarios, jobs, kept=self._kept, executor=self._executor, progress=progress)


def check_picture(name: str) -> None:
    """Refuse a name for a picture that cannot be written.

    Raises
    ------
    RefusedError
    """
    check_file(name, option="--picture", ending=".png")


def check_file(name: str, *, option: str, ending: str) -> None:
    """Refuse the name of a file that cannot be written or does not end as it should.

    Raises
    ------
    RefusedError
    """
    path = Path(name)
    if path.suffix.lower() != ending:
        raise RefusedError(f"{option}: found {name}; allowed: a file name that ends with {ending}")
    if not path.parent.is_dir():
        raise RefusedError(f"{option}: there is no folder {path.parent}; allowed: a folder that exists")
    if path.is_dir():
        raise RefusedError(f"{option}: {name} is a folder; allowed: the name of a file")
    check_writable(str(path.parent))
