"""Published set-ups as far as they are known, in the model, and what is measured in them."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

from rockshy.sim import TankModel
from rockshy.sim.scenario import RockSpec, RunSpec, Scenario, StockRow, TankSpec
from rockshy.sim.species import library

ROCKY = RockSpec(cover=0.3, height_cm=25.0, piles=1, piece_cm=12.0)
BARE = RockSpec()


def set_up(
    *rows: StockRow,
    tank: TankSpec | None = None,
    rock: RockSpec = ROCKY,
    days: float = 2.0,
    settle: float = 1.0,
    **parameters: float,
) -> Scenario:
    """A scenario with every value at its default; ``parameters`` are set."""
    return Scenario(
        title="set-up",
        question="",
        tank=tank or TankSpec(100.0, 40.0, 45.0, 42.0),
        rock=rock,
        stock=rows,
        run=RunSpec(days=days, settle_days=settle, fixed=True, seed=5),
        species={row.species: library()[row.species] for row in rows},
        parameters=parameters,
    )


def run(
    scenario: Scenario,
    *,
    trials: int,
    measure: Callable[[TankModel], Any],
    prepare: Callable[[TankModel], None] | None = None,
    **how: Any,
) -> list[Any]:
    """What ``measure`` finds in each of some finished trials, in order; ``prepare`` sets the stage."""

    def one(trial: int) -> Any:
        model = TankModel(scenario, trial=trial, **how)
        if prepare is not None:
            prepare(model)
        model.run()
        found = measure(model)
        model.close()
        return found

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(one, range(trials)))


def repainted(scenario: Scenario, species: str, *, like: str, name: str) -> Scenario:
    """``scenario`` with one more species: ``species`` under another name, in the colours of ``like``."""
    known = library()
    words = dict(known[species].words)
    for word in ("pattern_male", "pattern_female"):
        words[word] = known[like].words[word]
    return replace(
        scenario, species={**scenario.species, name: replace(known[species], key=name, words=words)}
    )
