"""What every command that simulates many tanks shares: the folder, the engine, the count, what is refused."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError
from ..asking.found import Found, refusing_rock
from ..asking.progress import Progress, say
from .engine import engine
from .finding import check_writable
from .lasting import how_long

if TYPE_CHECKING:
    import argparse

    from ...sim.run.trials import Job, Outcome, Work
    from ...sim.scenario.scenario import Scenario
    from ..questions.life.instead import Lived
    from ..study.kept import Kept


@dataclass(frozen=True)
class Counted:
    """Runs jobs on an executor, out of the folder where they are finished, and counts the others."""

    asked: str
    executor: Executor
    kept: Kept | None
    work: Work | None = None  # carries out one trial; None: as any run does
    days: float | None = None  # that it simulates of each set-up; None: those of the scenario

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        """Each job with its outcomes as it ends; raises RefusedError when rock leaves no water."""
        from ..study.runner import counted

        new = [job for job in jobs if self.kept is None or job not in self.kept]
        if new:
            took = how_long(scenarios, new, executor=self.executor, days=self.days)
            say(f"That takes {took} here.")
        kept, executor, work = self.kept, self.executor, self.work
        with Progress(len(new)) as progress, refusing_rock(self.asked):
            yield from counted(scenarios, jobs, kept=kept, executor=executor, progress=progress, work=work)


@contextlib.contextmanager
def long_run(
    line: argparse.Namespace,
    found: Found,
    command: str,
    scenario: Scenario | None = None,
    *,
    others: bool = False,
    options: Mapping[str, object] | None = None,
    check: Callable[[Found], object] | None = None,
    work: Work | None = None,
    days: float | None = None,
    lived: Lived | None = None,
) -> Iterator[Counted]:
    """The folder of ``--out`` and the engine, both open; what was changed and what is there is said.

    Parameters
    ----------
    scenario : what is run; as found when None.
    command, others, options : see :func:`kept_for`.
    check : looks at the rock before anything runs.
    work, days : see :class:`Counted`; ``lived`` says them of weeks in the place of days.

    Raises
    ------
    RefusedError, StoreError
        When the folder, the cluster or the rock will not do.
    """
    base = scenario or found.scenario
    if lived is not None and lived.months is not None:
        work, days = lived.work, lived.simulated_days
        options = {**(options or {}), **lived.options}
    with kept_for(line.out, command, base, others=others, options=options) as kept, engine(line) as executor:
        if check is not None:
            check(found)
        if found.said:
            say(found.said)
        say_kept(kept)
        yield Counted(found.asked, executor, kept, work, days)


def kept_for(
    out: str | None,
    command: str,
    scenario: Scenario,
    *,
    others: bool = False,
    options: Mapping[str, object] | None = None,
) -> contextlib.AbstractContextManager[Kept | None]:
    """The folder of ``--out``, to be opened with ``with``; nothing without it.

    Parameters
    ----------
    others : the alternatives of the scenario are run too.
    command, options : see :func:`rockshy.analysis.study.recipe.recipe_of`.

    Raises
    ------
    RefusedError
        When nothing can be written there.
    """
    if out is not None:
        check_writable(out)
    from ..study.asking import kept_in

    there = {one.name: one.scenario for one in scenario.alternatives} if others else None
    return kept_in(out, command, scenario, others=there, options=options)


def say_kept(kept: Kept | None) -> None:
    """How much of the work is there already, and what of it was damaged."""
    if kept is not None and kept.damaged:
        say(
            f"{kept.file}: {kept.damaged} of the finished simulated tanks in it "
            f"{'was' if kept.damaged == 1 else 'were'} damaged and will be simulated again."
        )
    if kept is not None and len(kept):
        say(f"{kept.folder} holds {len(kept)} finished simulated tanks; they are not simulated again.")


def say_tanks(what: str, tanks: int) -> None:
    """What the next simulated tanks are for, and how many they are."""
    say(f"{what} ({tanks} simulated tanks).")


def check_file(name: str, *, option: str = "--picture", ending: str = ".png") -> None:
    """Refuse the name of a file that cannot be written or does not end as it should.

    Raises
    ------
    RefusedError
    """
    path = Path(name)
    if path.suffix.lower() != ending:
        raise RefusedError(f"{option} is {name}; use a name that ends with {ending}")
    if not path.parent.is_dir():
        raise RefusedError(
            f"{option}: there is no folder {path.parent}; make it first, or use one that exists"
        )
    if path.is_dir():
        raise RefusedError(f"{option}: {name} is a folder; use the name of a file")
    check_writable(str(path.parent))
