"""Which plans are tried in which trials: an even sample, what the surrogate proposes, sifts, shared, proved.

1. An even sample of the plans within the limits, each in one block of trials, the same for all.
2. In rounds: plans that the fits to all before think best at each level, in the same block.
3. Two sifts: the better ones in further blocks (sequential halving).
4. At each level the best few in fresh trials, shared out to whoever may still be the best.
5. The winner of each level in trials that chose nothing: those are the figures that are reported.
6. In the same trials, the first of them that does not do well with one limit at a time out of the way.

Source: Karnin2013 (successive halving); Chen2000 (sharing out); Cox1975 (choosing and testing apart).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ....sim.rules.support.draws import BLOCK
from ....sim.run.set_ups import ROUND, draw_of
from ....sim.run.table import LEFT_ALONE
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.wanted import Wanted
from ...measures.plight import WORDS, word
from ...measures.row import STOCKED
from ...statistics.intervals import NAN, Floats
from ...statistics.sharing import Sharer
from ...study import runner
from ...study.cost import core_seconds
from ...study.runner import Batch, Study
from .fares import Alone, Fare, alone_of, fare_of
from .levels import Level, levels_of
from .space import Space, Stocking, loosened
from .surrogate import Columns, Surrogate, apart, columns_of, fit
from .unbound import Unbound, unbound

MINUTES = 10.0  # as a rule, on CORES
CORES = 2
MARGIN = 0.6  # of that time is planned for: how long a tank takes is known to a factor of two
LEAST_TANKS, MOST_TANKS = 400, 10_000
ROUNDS = 3  # of proposals
FRESH, PROOF = ROUND, 2 * ROUND  # trials from here on are for 4, and for 5 and 6: whole rounds of draws
MOST_SHARED = 5 * BLOCK  # trials of one plan in 4; those after them repeat draws
CONTENDERS = 3  # of a level
FEWEST = 4  # plans that anything is learnt from
BEST = WORDS[0]


class BestError(ValueError):
    """Nothing can be tried; the message says what was found."""


@dataclass(frozen=True)
class Plan(runner.Plan):
    """How the simulated tanks are spent; ``trials`` is how many there are in all."""

    wanted: Wanted
    space: Space

    def _blocks(self, share: float, *, least: int) -> int:
        return max(least, round(share * self.trials / BLOCK))

    @property
    def sampled(self) -> int:
        """Plans of the even sample."""
        return self._blocks(0.24, least=8)

    @property
    def proposed(self) -> int:
        """Plans of a round of proposals."""
        return self._blocks(0.20 / ROUNDS, least=2)

    @property
    def sifted(self) -> tuple[tuple[int, range], ...]:
        """How many plans of each level are sifted in which trials."""
        first, second = self._blocks(0.10, least=6), self._blocks(0.05, least=4)
        return (first, range(BLOCK, 2 * BLOCK)), (second, range(2 * BLOCK, 4 * BLOCK))

    @property
    def shared(self) -> int:
        """Simulated tanks that are shared out, at all levels together."""
        return round(0.13 * self.trials)

    @property
    def proof(self) -> range:
        """The trials that the winners are proved in."""
        return range(PROOF, PROOF + BLOCK * min(5, self._blocks(0.025, least=2)))


def plan_of(
    scenario: Scenario, wanted: Wanted | None, *, tanks: int | None = None, minutes: float = MINUTES
) -> Plan:
    """Settle what may be tried, and in how many simulated tanks.

    Parameters
    ----------
    wanted : the wish list; None where there is none.
    tanks : in all; as many as ``minutes`` will do for when None.

    Raises
    ------
    BestError
        Without a wish list, when nothing is within its limits, or for too few tanks.
    """
    if wanted is None:
        raise BestError("there is no wish list; use a file with [wanted], or --want")
    if tanks is not None and tanks < LEAST_TANKS:
        raise BestError(f"{tanks} simulated tanks are too few; use at least {LEAST_TANKS}")
    space = Space(scenario, wanted)
    if space.unfit_tank():
        raise BestError(f"wanted.tank: {space.unfit_tank()}")
    if not space.sample:
        raise BestError(f"no stock fits into the limits of the wish list; {_in_the_way(scenario, wanted)}")
    asked = _affordable(space, minutes) if tanks is None else tanks
    return Plan(space.base, asked, wanted, space)


def told_of(plan: Plan) -> dict[str, object]:
    """What else decides which plan a number of a scenario stands for."""
    told = {
        part.name: getattr(plan.wanted, part.name) for part in fields(plan.wanted) if part.name != "kinds"
    }
    return {"wanted": repr(told), "tanks": plan.trials}


def _affordable(space: Space, minutes: float) -> int:
    """How many simulated tanks so many minutes will do for: worked out, not timed, so always the same."""
    several = space.sample[:: max(1, len(space.sample) // 16)]
    each = float(np.mean([core_seconds(space.scenario(one), set_ups=1, trials=1) for one in several]))
    return int(np.clip(MARGIN * CORES * 60.0 * minutes / each, LEAST_TANKS, MOST_TANKS))


def _in_the_way(scenario: Scenario, wanted: Wanted) -> str:
    """Which limits, taken away by itself, would let a stock in."""
    those = [name for name, other in loosened(wanted) if Space(scenario, other).sample]
    if not those:
        return "no single limit stands in the way; loosen several"
    return f"what stands in the way: {' or '.join(those)}"


class Design(Study):
    """Scenario 0 is the yardstick: every species when nobody attacks. The plans follow as they are tried.

    Attributes
    ----------
    plans : those that were tried, in the order in which they were first run.
    levels : what is asked for at least, from the least.
    contenders : of each level, places of the plans that trials were shared out to.
    winners : of each level, place of the plan that is proved.
    surrogate : fitted to all plans that were tried.
    unbound, unbound_at : what was tried without a limit, and the level whose winner it is held against.
    """

    def __init__(self, plan: Plan) -> None:
        super().__init__([plan.space.yardstick])
        self.plan, self.space = plan, plan.space
        self.plans: list[Stocking] = []
        self.fares: dict[tuple[int, int], Fare] = {}
        self.free: dict[int, Alone] = {}
        self.levels: tuple[Level, ...] = levels_of(self.space, self.space.sample)
        self.contenders: list[list[int]] = []
        self.winners: list[int] = []
        self.surrogate: Surrogate | None = None
        self.unbound: list[tuple[Unbound, int]] = []  # and the number of its scenario
        self.unbound_at: int | None = None

    @cached_property
    def _columns(self) -> Columns:
        return columns_of(self.space)

    # ---- what is run next

    def batches(self) -> Iterator[Batch]:
        """See the module."""
        first = range(BLOCK)
        sample = self.space.sample[: self.plan.sampled]
        yield self._turn(self._enter(sample), first, f"An even sample: {len(sample)} stocks")
        for number in range(ROUNDS):
            proposed = self._propose(number)
            if proposed:
                yield self._turn(self._enter(proposed), first, f"Proposed from these: {len(proposed)} more")
        self._learn()
        for many, trials in self.plan.sifted:
            better = self._better(many)
            yield self._turn(better, trials, f"Sifted: the better {len(better)}")
        yield from self._share_out()
        self.winners = [self._winner(those) for those in self.contenders]
        proved = list(dict.fromkeys(self.winners))
        yield self._turn(proved, self.plan.proof, f"Proved in fresh tanks: {len(proved)}")
        yield self._without_limits()

    def _enter(self, plans: Iterable[Stocking]) -> list[int]:
        """Places of plans that are tried from now on."""
        places = []
        for plan in plans:
            places.append(len(self.plans))
            self.plans.append(plan)
            self.scenarios.append(self.space.scenario(plan))
        return places

    def _turn(self, which: Iterable[int], trials: Iterable[int], what: str) -> Batch:
        return Batch(what, self._jobs((1 + k for k in which), trials))

    def _jobs(self, scenarios: Iterable[int], trials: Iterable[int]) -> list[Job]:
        numbers = list(scenarios)
        jobs = []
        for trial in trials:
            if trial not in self.free:
                jobs.append(Job(0, trial, (LEFT_ALONE,)))
            jobs += [Job(one, trial, STOCKED) for one in numbers if (one, trial) not in self.fares]
        return jobs

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a finished job."""
        if job.which == 0:
            self.free[job.trial] = alone_of(outcomes[0])
        else:
            self.fares[job.which, job.trial] = fare_of(outcomes[0])

    @property
    def can_answer(self) -> bool:
        """Whether a plan has its first block."""
        return any(self.has(k, range(BLOCK)) for k in range(len(self.plans)))

    @property
    def tanks(self) -> int:
        return len(self.fares) + len(self.free)

    # ---- how plans fared

    def has(self, k: int, trials: Iterable[int]) -> bool:
        """Whether a plan was run in all of some trials."""
        return all((1 + k, trial) in self.fares and trial in self.free for trial in trials)

    def kept(self, scenario: int, trials: Sequence[int]) -> dict[tuple[str, str], Floats]:
        """What each group of a scenario keeps in some trials, [t]."""
        shares = [self.fares[scenario, trial].kept(self.free[trial]) for trial in trials]
        groups = [group for group in shares[0] if all(group in one for one in shares)]
        return {group: np.array([one[group] for one in shares]) for group in groups}

    def worst(self, scenario: int, trials: Sequence[int]) -> tuple[tuple[str, str], Floats]:
        """The group that keeps least on the mean of some trials, and what it keeps in each, [t]."""
        kept = self.kept(scenario, trials)
        group = min(kept, key=lambda one: float(kept[one].mean()))
        return group, kept[group]

    def trials_of(self, k: int, *, before: int = FRESH, first: int = 0) -> list[int]:
        """Trials that a plan was run in, of those before a number and from another on."""
        found = (trial for one, trial in self.fares if one == 1 + k)
        return sorted(trial for trial in found if first <= trial < before and trial in self.free)

    def draws(self, trials: Sequence[int]) -> NDArray[np.int64]:
        """The draw of each of some trials."""
        return np.array([draw_of(self.plan.scenario, trial) for trial in trials], dtype=np.int64)

    def sifted_fare(self, k: int) -> float:
        """What the worst-off group kept in the trials that sift; nan before the first."""
        trials = self.trials_of(k)
        return float(self.worst(1 + k, trials)[1].mean()) if trials else NAN

    # ---- proposing and sifting

    def _learn(self) -> Surrogate | None:
        """The fit to all plans so far; None where they are too few to be left out by turns."""
        if len(self.plans) < FEWEST:
            return None
        fares = []
        for k in range(len(self.plans)):
            kept = self.kept(1 + k, range(BLOCK))
            fares.append({group: float(values.mean()) for group, values in kept.items()})
        self.surrogate = fit(self._columns, self.plans, fares)
        return self.surrogate

    def _propose(self, number: int) -> list[Stocking]:
        """Plans that a fit thinks best, level by level by turns; no two of a round are nearly the same."""
        fitted, tried = self._learn(), set(self.plans)
        best = [k for level in self.levels for k in self._ranked(level)[:2]]
        near = (other for k in dict.fromkeys(best) for other in self.space.near(self.plans[k]))
        pool = [one for one in dict.fromkeys([*self.space.sample, *near]) if one not in tried]
        if not pool or fitted is None:
            return pool[: self.plan.proposed]
        said = fitted.worst(pool)
        middle = np.median(said, axis=0)
        inside = [level.inside(self.space, pool) for level in self.levels]
        chosen: list[Stocking] = []
        for turn in range(4 * self.plan.proposed):
            level = (turn + number) % len(self.levels)
            fold = (turn + number * self.plan.proposed) % len(said)
            value = np.where(inside[level], middle if turn % 2 else said[fold], -np.inf)
            for k in np.argsort(-value, kind="stable")[: 8 * self.plan.proposed]:
                if np.isfinite(value[k]) and all(apart(pool[k], one) >= 2 for one in chosen):
                    chosen.append(pool[k])
                    break
            if len(chosen) == self.plan.proposed:
                break
        return chosen

    def _ranked(self, level: Level) -> list[int]:
        """Plans of a level by how they fared, the best first; those that came further before.

        Whoever came as far was run in the same trials; others are never held against each other.
        """
        inside = np.flatnonzero(level.inside(self.space, self.plans)).tolist()
        fare = {k: (-len(self.trials_of(k)), -self.sifted_fare(k)) for k in inside}
        return sorted((k for k in inside if fare[k][0]), key=lambda k: fare[k])

    def _better(self, many: int) -> list[int]:
        """The best plans of all levels by turns; the first level, which is asked first, has two."""
        ranked = [self._ranked(level) for level in self.levels]
        found: dict[int, None] = {}
        for place in range(max(map(len, ranked), default=0)):
            for number, one in enumerate(ranked):
                step = (2 * place, 2 * place + 1) if number == 0 else (place,)
                for at in step:
                    if at < len(one) and len(found) < many:
                        found.setdefault(one[at])
        return list(found)

    # ---- sharing out and proving

    def _share_out(self) -> Iterator[Batch]:
        """At each level, fresh trials to the contenders until the best is clear or its part is spent."""
        part = self.plan.shared // len(self.levels)
        for level in self.levels:
            those = self._ranked(level)[:CONTENDERS]
            self.contenders.append(those)
            yield from self._share(those, part, level.name)

    def _share(self, those: Sequence[int], part: int, name: str) -> Iterator[Batch]:
        if len(those) < 2:
            yield self._turn(those, range(FRESH, FRESH + 2 * BLOCK), "")
            return
        most = min(MOST_SHARED, max(2, part))
        draw = self.draws(range(FRESH, FRESH + most + 1))
        budget = min(max(part, 2 * len(those)), most * len(those))
        sharer = Sharer(
            len(those), budget=budget, draw=draw, lower_is_better=False, fixed=self.plan.fixed, batch=BLOCK
        )
        while True:
            jobs = sharer.next_batch(self._shared_values(those, sharer.counts.tolist()))
            if not jobs or int(sharer.counts.max()) > most:
                return
            wanted = [(those[one], FRESH + trial) for one, trial in jobs]
            trials = sorted({trial for _, trial in wanted})
            new = {(1 + k, trial) for k, trial in wanted if (1 + k, trial) not in self.fares}
            alone = [Job(0, trial, (LEFT_ALONE,)) for trial in trials if trial not in self.free]
            more = [Job(which, trial, STOCKED) for which, trial in sorted(new, key=lambda one: one[::-1])]
            yield Batch(f"Shared out among {len(those)}, {name}", [*alone, *more])

    def _shared_values(self, those: Sequence[int], counts: Sequence[int]) -> list[Floats]:
        return [
            self.worst(1 + k, range(FRESH, FRESH + int(count)))[1] if count else np.zeros(0)
            for k, count in zip(those, counts, strict=True)
        ]

    def _winner(self, those: Sequence[int]) -> int:
        """The contender that fared best in the fresh trials that all of them have."""
        common = set.intersection(*(set(self.trials_of(k, first=FRESH, before=PROOF)) for k in those))
        trials = sorted(common)
        return max(those, key=lambda k: float(self.worst(1 + k, trials)[1].mean()) if trials else -k)

    # ---- which limit stands in the way

    def _without_limits(self) -> Batch:
        """One limit at a time out of the way, for the first winner that does not do as well as can be."""
        for number, k in enumerate(self.winners):
            kept = float(self.worst(1 + k, self.plan.proof)[1].mean())
            if word(1.0 - kept) != BEST:
                self.unbound_at = number
                break
        if self.unbound_at is None:
            return Batch("", [])
        k = self.winners[self.unbound_at]
        for one in unbound(self.space, self.plans[k], self.levels[self.unbound_at], self.surrogate):
            self.unbound.append((one, len(self.scenarios)))
            self.scenarios.append(one.scenario)
        jobs = self._jobs((number for _, number in self.unbound), self.plan.proof)
        return Batch(f"Which limit stands in the way: {len(self.unbound)} tried", jobs)
