"""How good ``rockshy fit`` is on made-up true tanks; run it with ``python -m tests.fitted_tanks``.

Every simulated tank of a ready scenario is left out in turn as the truth. A tally is made of it, five watches
of ten minutes by somebody who overlooks a fifth of the chases, and held against the other tanks. Printed are
how often the 90 % intervals hold the truth, how much of the width is left, and how many tanks the gate turns
away: of the true ones hardly any, of tanks under other rules of behaviour as many as can be told.
With ``--out DIR`` finished tanks are kept there and the same command goes on from them.
"""

from __future__ import annotations

import argparse
import contextlib
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from rockshy import Rules, scenarios
from rockshy.analysis.measures.row import BOTH, row_of, value_of
from rockshy.analysis.questions.fit.answer import evened, foretold
from rockshy.analysis.questions.fit.design import GOALS, OUTSIDE, SURELY, groups_in
from rockshy.analysis.questions.fit.figures import Figures, figures_of
from rockshy.analysis.questions.fit.tanks import parted, watched_trial
from rockshy.analysis.questions.watching.windows import Watched, one_draw_each
from rockshy.analysis.statistics.ridge import fit
from rockshy.analysis.study.asking import kept_in
from rockshy.analysis.study.runner import each_kept_job
from rockshy.sim.run.running import own_cores
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.scenario import Scenario

sys.path.insert(0, str(Path(__file__).parent))
from made_tallies import tally_of  # noqa: E402

SCENARIOS = ("mild-with-hot", "enough-rock", "several-males")
MISSED = 0.2
LEAST_WIDTH = 0.02  # before: a figure that varies less is known already


def never_hides(i: int, chaser: int, shunned: int, tank: Any, shoal: Any, p: Any) -> int:
    """Instead of choose_refuge: no fish ever finds a shelter."""
    return -1


def fearless(i: int, shoal: Any, p: Any) -> float:
    """Instead of attack_rate: fright and satiation hold nobody back."""
    return p.attack_rate_s * shoal.fish.temper[i] if shoal.fish.provoked[i] > 0.0 else 0.0


def comes_out(i: int, is_meal: bool, shoal: Any, p: Any) -> float:
    """Instead of come_out_rate: neither fright nor dominants keep a fish in."""
    return p.out_rate_s


def never_lets_be(i: int, j: int, tick: int, shoal: Any, p: Any) -> bool:
    """Instead of lets_be: losers are attacked as often as anybody."""
    return False


OTHERS = {
    "never flees into shelter": Rules().with_rule(choose_refuge=never_hides),
    "attacks whatever its fright": Rules().with_rule(attack_rate=fearless),
    "hides without fear": Rules().with_rule(come_out_rate=comes_out),
    "lets nobody be": Rules().with_rule(lets_be=never_lets_be),
}


@dataclass(frozen=True)
class Tanks:
    """Simulated tanks of a scenario."""

    scenario: Scenario
    seen: list[Watched]
    figured: np.ndarray  # [n, goals, groups]


def simulated(scenario: Scenario, numbers: Sequence[int], *, out: str | None) -> Tanks:
    """Run and watch some trials, each with a draw of its own."""
    groups, seen, figured = groups_in(scenario), {}, {}
    jobs = [Job(0, number, BOTH) for number in numbers]
    with kept_in(out, "fitted tanks", scenario) as kept, own_cores() as pool:
        for job, outcomes in each_kept_job([scenario], jobs, kept=kept, executor=pool, work=watched_trial):
            plain, seen[job.trial] = parted(outcomes)
            row = row_of(scenario, job, plain)
            figured[job.trial] = [
                [value_of(row, measure=goal, labels=own) for own in groups.values()] for goal in GOALS
            ]
    order = sorted(seen)
    return Tanks(scenario, [seen[k] for k in order], np.array([figured[k] for k in order]))


def left_out(tanks: Tanks) -> Iterator[tuple[str, float, float, float]]:
    """For each figure: how often the interval held the truth, and mean width after and width before."""
    watched = _watched(tanks)
    counted = np.array([_counted(tanks, one) for one in tanks.seen])
    for k, goal in enumerate(GOALS):
        for g, group in enumerate(groups_in(tanks.scenario)):
            values = tanks.figured[:, k, g]
            known = np.flatnonzero(np.isfinite(values))
            before = np.ptp(np.percentile(values[known], (5, 95))) if len(known) else 0.0
            if before < LEAST_WIDTH:
                continue
            hits, wide = [], []
            for i in known:
                rest = known[known != i]
                fitted = fit(watched[rest], evened(goal, values[rest]))
                low, _, high = foretold(goal, fitted, counted[i])
                hits.append(low <= values[i] <= high)
                wide.append(high - low)
            yield f"{goal}, {group}", float(np.mean(hits)), float(np.mean(wide)), float(before)


def _told(tanks: Tanks) -> Figures:
    return figures_of(tanks.scenario, tally_of(tanks.scenario, tanks.seen[0]))


def _watched(tanks: Tanks) -> np.ndarray:
    told = _told(tanks)
    return np.array([told.watched(one) for one in tanks.seen])


def _counted(tanks: Tanks, tank: Watched) -> np.ndarray:
    return figures_of(tanks.scenario, tally_of(tanks.scenario, tank, missed=MISSED)).counted


def turned_away(tanks: Tanks, others: Tanks | None = None) -> np.ndarray:
    """Share of the tanks that lie as far out, for each of ``others``, or for each tank left out in turn."""
    told = _told(tanks)
    watched = _watched(tanks)
    if others is not None:
        return np.array([told.misfit(watched, _counted(tanks, one)).beyond for one in others.seen])
    each = [
        told.misfit(np.delete(watched, i, axis=0), _counted(tanks, tanks.seen[i])).beyond
        for i in range(len(watched))
    ]
    return np.array(each)


def cover_of(tanks: Tanks, others: Tanks) -> str:
    """How often the intervals hold what other tanks came to, by figure; those that hardly vary left out."""
    watched, said = _watched(tanks), []
    counted = np.array([_counted(tanks, one) for one in others.seen])
    for k, goal in enumerate(GOALS):
        hits = []
        for g in range(tanks.figured.shape[2]):
            values = tanks.figured[:, k, g]
            known = np.isfinite(values)
            if not known.any() or np.ptp(np.percentile(values[known], (5, 95))) < LEAST_WIDTH:
                continue
            fitted = fit(watched[known], evened(goal, values[known]))
            for one, true in zip(counted, others.figured[:, k, g], strict=True):
                low, _, high = foretold(goal, fitted, one)
                hits.append(low <= true <= high)
        said += [f"{goal} {np.mean(hits):.2f}"] if hits else []
    return ", ".join(said)


def _said(beyond: np.ndarray) -> str:
    far, surely = (beyond <= OUTSIDE).sum(), (beyond <= SURELY).sum()
    return f"{far} of {len(beyond)}, {surely} of them surely"


def main(argv: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tanks", type=int, default=256, help="of each scenario")
    parser.add_argument("--others", type=int, default=10, help="of each scenario under each other rule")
    parser.add_argument("--days", type=float, help="simulated; half of them are not measured")
    parser.add_argument("--only", choices=SCENARIOS, help="one scenario")
    parser.add_argument("--out", help="folder for finished tanks")
    line = parser.parse_args(argv)
    for name in [line.only] if line.only else SCENARIOS:
        _one(name, line)


def _one(name: str, line: argparse.Namespace) -> None:
    scenario = scenarios.load(name)
    run = replace(scenario.run, trials=max(line.tanks, 1000))
    if line.days is not None:
        run = replace(run, days=line.days, settle_days=line.days / 2)
    scenario = one_draw_each(replace(scenario, run=run, alternatives=()))
    tanks = simulated(scenario, range(line.tanks), out=_folder(line, name, "true"))
    print(f"{name}: {len(tanks.seen)} true tanks, each left out in turn", flush=True)
    rows = list(left_out(tanks))
    for figure, cover, after, before in rows:
        print(f"  {figure:58} cover {cover:.2f}  width {before:.2f} -> {after:.2f} ({after / before:.0%})")
    for goal in GOALS:
        own = [row for row in rows if row[0].startswith(f"{goal},")]
        if own:
            left = sum(row[2] for row in own) / sum(row[3] for row in own)
            print(f"  {goal}, all: cover {np.mean([row[1] for row in own]):.3f}, width left {left:.0%}")
    print(f"  turned away though true: {_said(turned_away(tanks))}", flush=True)
    for rule, rules in OTHERS.items():
        with contextlib.suppress(KeyboardInterrupt):
            numbers = range(500, 500 + line.others)
            others = simulated(scenario.with_rules(rules), numbers, out=_folder(line, name, rule))
            print(
                f"  turned away, {rule}: {_said(turned_away(tanks, others))}; cover {cover_of(tanks, others)}"
            )


def _folder(line: argparse.Namespace, name: str, what: str) -> str | None:
    return None if line.out is None else str(Path(line.out) / f"{name} {what}")


if __name__ == "__main__":
    main()
