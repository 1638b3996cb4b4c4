"""What published patterns come to under one set of values for the parameters that nobody has measured."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.rules.support.parameters import Parameter, draw_between, load
from ...sim.run.running import each_done
from ...sim.scenario.given import GivenDraws
from ...sim.scenario.scenario import Scenario
from ..study.runner import Runner
from .experiments import EXPERIMENTS
from .lab import Lab
from .lot import TRAINING
from .registered import chosen

Floats = NDArray[np.float64]
TRIALS = 2  # of each set-up; tanks repeated under one set tell less than as many sets
SEEDS_FROM = 1_000  # of rock, fish, luck and traits: each set has a seed of its own


@dataclass(frozen=True)
class Part:
    """One figure of a pattern: its id and the part's name."""

    pattern: str
    name: str

    def __str__(self) -> str:
        return f"{self.pattern}, {self.name}"


def drawn() -> list[Parameter]:
    """The parameters that are drawn, in the order of their file."""
    return [one for one in load().values() if one.draw != "fixed" and one.low < one.high]


def parts(side: str = TRAINING) -> list[Part]:
    """Every figure of the training or of the test patterns."""
    return [Part(pattern.id, part.name) for pattern in chosen(side) for part in pattern.parts]


def figures(places: Floats, *, number: int, trials: int = TRIALS, side: str = TRAINING) -> list[float]:
    """What the parts come to under one set of parameters; nan where it cannot be told.

    Parameters
    ----------
    places : [parameters] where in its range each drawn parameter lies, from 0 to 1.
    number : of the set. Its tanks, and the traits of its species, are its own.
    trials : of each set-up.
    side : of the lot, see :mod:`.lot`.
    """
    lab = Lab(Runner(None, _Here(), None), under=_under(places, SEEDS_FROM + number))
    found = {pattern.id: EXPERIMENTS[pattern.id](lab, trials) for pattern in chosen(side)}
    return [found[part.pattern][part.name].value for part in parts(side)]


class _Here(Executor):
    """Carries a call out where it is handed in: sets run beside each other, the tanks of one do not."""

    places = 1

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def _under(places: Floats, seed: int) -> Callable[[Scenario], Scenario]:
    """Puts the values into a scenario; what its experiment sets stands above them."""
    row = tuple(
        draw_between(one.low, one.high, one.draw, float(u)) for one, u in zip(drawn(), places, strict=True)
    )
    given = GivenDraws(tuple(one.name for one in drawn()), (row,))

    def change(scenario: Scenario) -> Scenario:
        run = replace(scenario.run, fixed=False, guesses=1, seed=seed)
        return replace(scenario, given=given, run=run)

    return change


def run_sets(
    sets: Sequence[tuple[int, Floats]],
    *,
    file: Path,
    executor: Executor | None,
    trials: int = TRIALS,
    side: str = TRAINING,
) -> Iterator[int]:
    """Run sets that the file has not yet, each kept as a line as soon as it is done; yields their numbers."""
    done = {number for number, _ in read_sets(file)}
    places = {number: at for number, at in sets if number not in done}
    calls = ((n, _call(at, n, trials, side)) for n, at in places.items())
    _without_a_torn_line(file)
    with file.open("a", encoding="utf-8") as kept:
        for number, found in each_done(calls, executor=executor):
            kept.write(json.dumps([number, [round(float(u), 6) for u in places[number]], found]) + "\n")
            kept.flush()
            yield number


def _without_a_torn_line(file: Path) -> None:
    """A line that a power cut left unfinished goes, so that the next begins on its own."""
    if file.exists():
        whole, end, _ = file.read_bytes().rpartition(b"\n")
        file.write_bytes(whole + end)


def _call(places: Floats, number: int, trials: int, side: str) -> Callable[[], list[float]]:
    return lambda: figures(places, number=number, trials=trials, side=side)


def read_sets(file: Path) -> list[tuple[int, list[list[float]]]]:
    """The sets in a file by number: [places, figures] each; a last line cut short is left out."""
    found = []
    for line in file.read_text(encoding="utf-8").splitlines() if file.exists() else []:
        try:
            number, *row = json.loads(line)
        except json.JSONDecodeError:
            break
        found.append((number, row))
    return found
