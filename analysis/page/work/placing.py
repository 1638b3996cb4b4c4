"""Which fish belong in which tank: a room file that the page hands on instead of its tank."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from ....scenarios import rooms
from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...asking.found import first_tank
from ...questions.place.answer import Placing, answer_of
from ...questions.place.brief import brief_of
from ...questions.place.choices import RoomError
from ...questions.place.design import plan_of
from ...questions.place.files import whole_json
from ...questions.place.kept import one_a_tank, typed_scenario
from ...questions.place.rack import rack_of
from ...questions.place.reading import parse
from ...questions.place.room import Room
from ...questions.place.words import document_of
from ..task import Draft, Task
from .asked import found_of, headline, only, pieces
from .simulating import Count


def tank_of_room(draft: Draft) -> Scenario:
    """One of the tanks of a room, so that what is wrong with the file is said before anything is run."""
    try:
        return plan_of(room_of(draft)).scenario
    except RoomError as problem:
        raise RefusedError(f"{draft.name}: {problem}") from problem


def room_of(draft: Draft) -> Room:
    """The room of a file; without text the ready room of that name."""
    if not draft.text and draft.name in rooms.names():
        return parse(rooms.text(draft.name), name=draft.name)
    return parse(draft.text, name=draft.name)


def place_fish(task: Task) -> None:
    """Search the room; ``take``: the name of a group that alone is moved, or null."""
    only(task, "take")
    take = task.what.get("take")
    if take is not None and (not isinstance(take, str) or len(take) > 200):
        raise RefusedError(f"what.take is {show(take)}; use the name of a group, or null")
    count = Count(task)
    try:
        plan = plan_of(room_of(task.draft), take=take)
        for name, scenario in one_a_tank(plan.room):
            first_tank(replace(found_of(task, scenario), asked=f"{task.draft.name}, {name}"))
        placing = answer_of(
            plan,
            count.run,
            told=lambda what, jobs: count.begin(f"{what} ({jobs} simulated tanks).", jobs),
        )
    except RoomError as problem:
        raise RefusedError(f"{task.draft.name}: {problem}") from problem
    count.told = ""
    count.post(_result(placing))


def _result(placing: Placing) -> dict[str, Any]:
    typed = typed_scenario(placing.plan)
    told = whole_json(placing)
    return {
        "pieces": pieces(document_of(placing), typed),
        "json": told,
        "headline": headline(brief_of(placing), typed),
        "rack": asdict(rack_of(told)),
    }
