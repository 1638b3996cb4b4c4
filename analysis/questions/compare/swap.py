"""Each species of the library instead of one: what that does to the other fish.

The answer is one of three words a species and nothing finer. Temperaments are assumptions, so ranks and
scores would pretend to know what nobody has measured.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from ....sim.fish.population import individuals, measured_individuals
from ....sim.run.table import AS_STOCKED, LEFT_ALONE, Trials
from ....sim.run.trials import Job, table_of
from ....sim.scenario.changes import replaced
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.stock_changes import ChangeError
from ....sim.species.species import Species, library
from ...measures.groups import Group
from ...measures.rates import values_of
from ...measures.registry import HIDDEN, LOST, PINNED
from ...measures.victim import group_of, victim_in
from ...measures.whom import kinds_of
from ...statistics.multiple import CALMER, LEVEL, UNTOLD, WORSE, verdicts
from ...statistics.paired import Difference
from ...study.kept import Kept
from ...study.runner import each_kept_job
from .design import ARMS, Done, by_scenario, comparable, is_fixed, paired_goal

VERDICTS = (CALMER, UNTOLD, WORSE)
TRIALS = 16  # of each species unless asked otherwise: two blocks of draws
GOALS = (LOST, HIDDEN, PINNED)  # not chases: a fish that has given up coming out is chased less


@dataclass(frozen=True)
class SwapPlan:
    """What is tried: ``scenarios`` are the base and one for each name of ``tried``, in that order."""

    out: str  # species whose place is taken
    count: str  # what it was: "3 males and 13 females"
    scenarios: tuple[Scenario, ...]
    tried: tuple[str, ...]
    left_out: Mapping[str, str]  # species that cannot take the place, and why
    others: Group  # whom it is judged for
    asked: bool  # those were asked for
    goal: str


@dataclass(frozen=True)
class Swap:
    """What ``rockshy compare --swap`` says."""

    title: str
    out: str
    count: str
    whose: str
    goal: str
    trials: int
    guesses: int
    fixed: bool
    level: float  # at which a difference counts as told, for all comparisons together
    verdicts: Mapping[str, str]  # by species, in alphabetical order
    left_out: Mapping[str, str]

    def of(self, verdict: str) -> tuple[str, ...]:
        """The species with a verdict, in alphabetical order."""
        return tuple(name for name, found in self.verdicts.items() if found == verdict)


def plan_swap(scenario: Scenario, species: str, *, goal: str = LOST, group: Group | None = None) -> SwapPlan:
    """Every other species of the library instead of a stocked one: same sexes, holding and days.

    Their lengths are drawn. It is judged for ``group``; without one for all other fish until the victim is
    known, see :func:`for_victim`.

    Raises
    ------
    ValueError
        When nobody is left to judge it for.
    """
    base = replace(scenario, run=replace(scenario.run, watch=None), alternatives=())
    known: dict[str, Species] = {**library(), **scenario.species}
    scenarios, tried, left_out = [base], [], {}
    for key in sorted(known):
        if key == species:
            continue
        try:
            scenarios.append(replaced(base, species, by=known[key]))
            tried.append(key)
        except ChangeError as problem:
            left_out[key] = str(problem)
    others = _others(scenario, species, group)
    return SwapPlan(
        species,
        _count(scenario, species),
        tuple(scenarios),
        tuple(tried),
        left_out,
        others,
        group is not None,
        goal,
    )


def for_victim(plan: SwapPlan, scenario: Scenario, done: Sequence[Done]) -> SwapPlan:
    """The same judged for the victim where nobody was asked for, unless it is of the species that is swapped.

    Parameters
    ----------
    done : finished jobs of the base, see :func:`base_jobs`.
    """
    base = table_of(scenario, [outcomes for _, outcomes in done])
    whom = victim_in(base, kinds_of(scenario))
    return plan if plan.asked or whom.species == plan.out else replace(plan, others=group_of(whom))


def _others(scenario: Scenario, species: str, group: Group | None) -> Group:
    there = measured_individuals(scenario)
    fish = [one for one in there if one.species != species]
    if group is None:
        name = "all other fish"
    else:
        name = group.name
        fish = [one for one in fish if one.species == group.species and group.label in ("", one.label)]
    if not fish:
        raise ValueError(
            f"no such fish is left once {species} is taken out; use --for with a fish or species that stays"
        )
    return Group(labels=frozenset(one.label for one in fish), title=name)


def _count(scenario: Scenario, species: str) -> str:
    from ...document.plain import many

    fish = [one.sex for one in individuals(scenario.stock) if one.species == species]
    words = {"male": ("male", "males"), "female": ("female", "females"), "unsexed": ("unsexed", "unsexed")}
    return " and ".join(many(fish.count(sex), *words[sex]) for sex in words if sex in fish)


def base_jobs(trials: int) -> list[Job]:
    """The tank as it is, and left alone: the yardstick for all."""
    return [Job(0, trial, ARMS) for trial in range(trials)]


def swap_jobs(plan: SwapPlan, trials: int) -> list[Job]:
    """Every species, trial by trial, so that a run cut short has tried all of them.

    Not left alone: the other fish are the same and would swim as in the tank as it is, left alone.
    """
    places = range(1, len(plan.scenarios))
    return [Job(which, trial, (AS_STOCKED,)) for trial in range(trials) for which in places]


def run_jobs(
    plan: SwapPlan,
    jobs: Sequence[Job],
    *,
    executor: Executor | None = None,
    kept: Kept | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[list[Done], bool]:
    """Finished jobs; after Ctrl-C those that can be compared, and False."""
    done: list[Done] = []
    try:
        for one in _each(plan, jobs, executor, kept):
            done.append(one)
            if progress is not None:
                progress(len(done), len(jobs))
    except KeyboardInterrupt:
        return comparable(jobs, done), False
    return done, True


def _each(
    plan: SwapPlan, jobs: Sequence[Job], executor: Executor | None, kept: Kept | None
) -> Iterator[Done]:
    return each_kept_job(plan.scenarios, jobs, kept=kept, executor=executor)


def swap_of(scenario: Scenario, plan: SwapPlan, done: Sequence[Done]) -> Swap:
    """What the trials say of each species, corrected for their number.

    Parameters
    ----------
    done : finished jobs of the base and of every species that was tried, at least one each.

    Raises
    ------
    KeyError
        When a scenario has no trial.
    """
    found = by_scenario(done)
    base = table_of(plan.scenarios[0], found[0])
    tables = [table_of(plan.scenarios[k], found[k]) for k in range(1, len(plan.scenarios))]
    told = [_difference(table, base=base, plan=plan) for table in tables]
    named = dict(zip(plan.tried, verdicts(told), strict=True))
    return Swap(
        title=scenario.title,
        out=plan.out,
        count=plan.count,
        whose=plan.others.name,
        goal=plan.goal,
        trials=min((one.trials for one in told), default=0),
        guesses=len(set(base.arms[AS_STOCKED].draw.tolist())),
        fixed=is_fixed(base),
        level=LEVEL,
        verdicts={key: named[key] for key in sorted(named)},
        left_out=plan.left_out,
    )


def _difference(table: Trials, *, base: Trials, plan: SwapPlan) -> Difference:
    """The other fish beside the new species less beside the old one, held against the base left alone."""
    beside = replace(table, arms={**table.arms, LEFT_ALONE: base.arms[LEFT_ALONE]})
    return paired_goal(
        values_of(beside, measure=plan.goal, group=plan.others),
        base=values_of(base, measure=plan.goal, group=plan.others),
        goal=plan.goal,
        tables=(beside, base),
    )
