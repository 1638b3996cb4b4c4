"""``rockshy place`` from Python."""

from __future__ import annotations

import os
from concurrent.futures import Executor
from dataclasses import replace
from pathlib import Path

from ....scenarios import rooms
from ....sim.rules.support.rule_set import Rules
from ....sim.run.drawing import check_water
from ....sim.scenario.hints import hint_at
from ....sim.scenario.reading.files import one_problem
from ....sim.scenario.reading.problems import show
from ...study.asking import kept_in
from ...study.result import Result
from ...study.runner import Progress, Runner
from ..helped import helped, result_of
from ..orders import order_of
from .answer import answer_of
from .design import plan_of
from .files import COLUMNS, rows_text, whole_json
from .kept import one_a_tank, options_of, with_others
from .over_weeks import asked_of
from .reading import load, parse
from .room import Room
from .words import document_of


@helped(
    """``answer`` holds the room as it is and the plans, the chosen one first. ``to_frame()`` has a row a
    plan, tank, group and fresh trial: share kept, 0 to 1.""",
    raises=" Also when no plan keeps every limit.",
    source="Plans are found by a dynamic programme over sets of groups (HeldKarp1962).",
    asked="room : the path of a room file, or the name of a ready room.",
)
def place(
    room: Room | str | os.PathLike[str],
    *,
    take: str | None = None,
    moves: int | None = None,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    months: int | None = None,
    folder: str | os.PathLike[str] | None = None,
    progress: Progress | None = None,
) -> Result:
    """Which fish belong in which tank of a room: ``rockshy place`` in one call.

    take : name of a group: which tanks can take it is all that is asked.
    moves : at most so many; as the room says when None.
    trials : simulated tanks of what is put forward, 32 or more; as the room says when None.
    months : 2 to 24: also in which order over weeks; each order of the moves is lived so long.
    """
    found = room if isinstance(room, Room) else read(room)
    bounds = found.bounds if moves is None else replace(found.bounds, most_moves=moves)
    run = found.run if trials is None else replace(found.run, trials=trials)
    plan = plan_of(replace(found, bounds=bounds, run=run, rules=rules or found.rules), take=take)
    for _, scenario in one_a_tank(plan.room):
        check_water(scenario)
    base = with_others(plan)
    others = {one.name: one.scenario for one in base.alternatives}
    with kept_in(folder, "place", base, others=others, options=options_of(plan)) as kept:
        placing = answer_of(plan, Runner(kept, executor, progress))
    if months is not None and not placing.stopped:
        order = order_of(
            asked_of(placing, months), months, executor=executor, progress=progress, folder=folder
        )
        placing = replace(placing, order=order)
    return result_of("place", placing, document_of, whole_json, rows_text, COLUMNS)


def read(asked: str | os.PathLike[str]) -> Room:
    """The room file of that path, else the ready room of that name.

    Raises
    ------
    ScenarioError
        With every problem of it.
    """
    name = os.fspath(asked)
    if rooms.is_ready(name):
        return parse(rooms.text(name.removesuffix(".toml")), name=name)
    if not Path(asked).exists() and not Path(name).suffix:
        allowed = f"the path of a room file, or a ready room: {', '.join(rooms.names())}"
        said = f"{show(name)} is neither"
        raise one_problem(name, None, "room", said, allowed, hint_at(name, rooms.names()))
    return load(Path(asked))
