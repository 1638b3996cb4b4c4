"""Estimates for pages: a stand-in for each set of species is trained while somebody asks.

A few simulated tanks run at a time. They give way to whatever a page tries out, at the next simulated hour,
and no more are begun when nobody asked for a while: nothing is simulated unseen.
"""

from __future__ import annotations

import itertools
import os
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from .jobs import Jobs, step_back

if TYPE_CHECKING:
    from ....sim.run.trials import Job, Outcome
    from ....sim.scenario.scenario import Scenario
    from ...questions.estimate.training import StandIn, Training
    from ...study.runner import Done

SEEN_S = 20.0  # without a question until training pauses
REST_S = 0.2  # between two looks whether it may go on
EVERY = 32  # tanks until what they foretell is worked out anew
MOST_KEPT = 4  # sets of species


class Learning:
    """A stand-in that is being trained."""

    def __init__(self, scenario: Scenario) -> None:
        from ...questions.estimate.sliders import box_of
        from ...questions.estimate.training import Training

        self.training: Training = Training(box_of(scenario))
        self._jobs = self.training.jobs()
        self.next = self._batch()
        self.stand_in: StandIn | None = None

    def _batch(self) -> list[tuple[Scenario, Job]]:
        return list(itertools.islice(self._jobs, os.cpu_count() or 1))

    def why_not(self, scenario: Scenario) -> str:
        """Why it says nothing of a scenario however long it is trained; "" when it will."""
        from ...questions.estimate.sliders import OutsideError

        try:
            self.training.box.places(scenario)
        except OutsideError as problem:
            return str(problem)
        return ""

    def take(self, done: Mapping[int, tuple[Outcome, ...]]) -> None:
        """Enter the tanks that were next, each by its place among them."""
        from ...questions.estimate.training import LEAST

        before = self.training.tanks
        for k, (scenario, _) in enumerate(self.next):
            self.training.take(scenario, done[k])
        self.next = self._batch()
        tanks = self.training.tanks
        if tanks >= LEAST and (self.stand_in is None or before // EVERY < tanks // EVERY or not self.next):
            self.stand_in = self.training.fitted()


class Estimates:
    """What is learnt for all pages of a server; ``clock``: seconds."""

    def __init__(self, jobs: Callable[[], Jobs], *, clock: Callable[[], float] = time.monotonic) -> None:
        self._jobs, self._clock = jobs, clock
        self._lock = threading.RLock()
        self._learnt: OrderedDict[str, Learning] = OrderedDict()  # by frame; the one asked about last is last
        self._asked = clock()
        self._thread: threading.Thread | None = None

    def ask(
        self, scenario: Scenario, was: Scenario | None = None, *, amounts: bool = False
    ) -> dict[str, Any]:
        """An estimate of a tank, or why there is none (yet); see :func:`.answers.estimate`."""
        from ...questions.estimate.training import LEAST, MOST
        from ...questions.life.reach import months_in

        if months_in(scenario) is not None:
            why = "There are no estimates for a file that reaches over weeks. Press \u201cTry it\u201d."
            return {"estimate": None, "why": why, "tanks": 0, "least": LEAST, "most": 0}
        learning = self._of(scenario, scenario if was is None else was)
        why, tanks = learning.why_not(scenario), learning.training.tanks
        told = {"estimate": None, "why": why, "tanks": tanks, "least": LEAST, "most": MOST}
        stand_in = learning.stand_in
        if why:
            return {**told, "why": _called(f"No estimate: {why}.", scenario)}
        if stand_in is None:
            return {
                **told,
                "why": f"An estimate comes after {LEAST} tanks with these species; {tanks} are run.",
            }
        from ...questions.estimate.sliders import OutsideError

        try:
            found = {"amounts": _slid(stand_in, scenario)} if amounts else {}
            return {**told, "estimate": _told(stand_in, scenario, was), **found}
        except OutsideError as problem:
            return {**told, "why": _called(f"No estimate: {problem}.", scenario)}

    def _of(self, scenario: Scenario, anchor: Scenario) -> Learning:
        """What fits a scenario, else what is learnt round the tank that it is a change of."""
        with self._lock:
            self._asked = self._clock()
            kept = list(self._learnt.items())[::-1]
            fits = (frame for one in (scenario, anchor) for frame, it in kept if not it.why_not(one))
            frame = next(fits, None)
            if frame is None:
                learning = Learning(anchor)
                frame = learning.training.box.frame
                self._learnt[frame] = learning
                while len(self._learnt) > MOST_KEPT:
                    self._learnt.popitem(last=False)
            self._learnt.move_to_end(frame)
            if self._thread is None or not self._thread.is_alive():
                self._thread = threading.Thread(target=self._learn, name="estimates", daemon=True)
                self._thread.start()
            return self._learnt[frame]

    # ---- behind everything else

    def _learn(self) -> None:
        step_back()
        while self._is_asked():
            with self._lock:
                learning = next(reversed(self._learnt.values()))
            if not learning.next:
                return
            if self._jobs().is_busy():
                time.sleep(REST_S)
            else:
                self._run(learning)

    def _is_asked(self) -> bool:
        return self._clock() - self._asked < SEEN_S and not self._jobs().is_closed

    def _run(self, learning: Learning) -> None:
        """The next tanks, unless there is something more urgent by then."""
        from ....sim.run.model import HaltedError
        from ....sim.run.trials import each_job
        from ...study.remembered import each_remembered

        def run(scenarios: Sequence[Scenario], left: Sequence[Job]) -> Iterator[Done]:
            return each_job(scenarios, left, executor=jobs.executor, halted=self._must_end)

        jobs, done = self._jobs(), {}
        jobs_of = [replace(job, which=k) for k, (_, job) in enumerate(learning.next)]
        scenarios = [scenario for scenario, _ in learning.next]
        try:
            for job, outcomes in each_remembered(scenarios, jobs_of, run=run, remembered=jobs.remember()):
                done[job.which] = outcomes
        except HaltedError:
            return
        learning.take(done)

    def _must_end(self) -> bool:
        return self._jobs().is_busy() or not self._is_asked()


def _told(stand_in: StandIn, scenario: Scenario, was: Scenario | None) -> dict[str, Any]:
    from ...document.typed import as_typed
    from ...questions.estimate.answer import Foretold, estimate_of
    from ...questions.estimate.words import brief_of

    def one(group: Foretold) -> dict[str, Any]:
        change = group.change
        return {
            "who": group.kind.name,
            "labels": list(group.kind.labels),
            "kept": group.kept,
            "low": group.low,
            "high": group.high,
            "word": group.word,
            "difference": change
            and {"value": change.value, "low": change.low, "high": change.high, "sign": change.sign},
        }

    found = estimate_of(stand_in, scenario, was)
    said = as_typed(brief_of(found), scenario).sentences
    return {**one(found.worst), "said": list(said), "groups": [one(group) for group in found.groups]}


def _called(text: str, scenario: Scenario) -> str:
    """A sentence with its fish called as they were typed."""
    from ...document.brief import Brief
    from ...document.typed import as_typed

    return as_typed(Brief("", text), scenario).verdict


def _slid(stand_in: StandIn, scenario: Scenario) -> list[dict[str, Any]]:
    from ...questions.estimate.amounts import along
    from ...questions.estimate.sliders import COVER, HEIGHT, LENGTH, WIDTH, bare
    from ...questions.estimate.words import where_enough

    fields = {COVER: "rock.cover", HEIGHT: "rock.height"}
    fields |= {LENGTH: "tank.length", WIDTH: "tank.front_to_back"}

    def rows(k: int | None) -> list[int]:
        of = None if k is None else stand_in.box.rows[k]
        return [number for number, row in enumerate(scenario.stock) if bare(row) == of]

    return [
        {
            "field": fields.get(one.slider.way, one.slider.way[0]),
            "rows": rows(one.slider.way[1]),
            "low": one.slider.low,
            "high": one.slider.high,
            "now": one.now,
            "amounts": [asdict(amount) for amount in one.amounts],
            "good": [one.amounts[k].value for k in one.good] if one.is_told and one.matters else None,
            "said": where_enough(one),
        }
        for one in along(stand_in, scenario)
    ]
