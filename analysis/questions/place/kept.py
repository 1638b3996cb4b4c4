"""What the finished tanks of a room depend on, for the folder in which they are kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import astuple, replace

from ....sim.scenario.scenario import Alternative, Scenario
from .design import Plan
from .room import Home, Room


def with_others(plan: Plan) -> Scenario:
    """The first tank with fish, and the others beside it as its alternatives, by their names."""
    room = plan.room
    others = [
        Alternative(name, (), scenario) for name, scenario in one_a_tank(room) if scenario != plan.scenario
    ]
    return replace(plan.scenario, alternatives=tuple(others))


def typed_scenario(plan: Plan) -> Scenario:
    """All fish of the room in one scenario, for the names that the keeper typed."""
    room = plan.room
    rows = tuple(chunk.row for chunk in room.chunks)
    return replace(plan.scenario, stock=rows, species=room.species, question=room.question)


def one_a_tank(room: Room) -> Iterator[tuple[str, Scenario]]:
    """Every tank in each of its layouts, with the fish that are in it or, where it is empty, any group."""
    for t, tank in enumerate(room.tanks):
        for k, layout in enumerate(tank.layouts):
            who = room.now[t].who
            home = Home(t, k, who if room.inside(room.now[t]) else 1)
            scenario = room.scenario(home)
            if scenario is not None:
                yield f"{tank.name}{': ' if layout.name else ''}{layout.name}", scenario


def options_of(plan: Plan) -> dict[str, object]:
    """What decides which tanks are run: groups, limits, moves, how trials are shared out."""
    room, bounds = plan.room, plan.room.bounds
    groups = {
        one.name: [
            one.now,
            sorted(one.may_go),
            one.must_leave,
            one.price,
            one.gives,
            [list(map(str, astuple(chunk.row))) for chunk in room.chunks if chunk.owner == g],
        ]
        for g, one in enumerate(room.groups)
    }
    tanks = {
        one.name: [one.most_fish, one.may_be_empty, [x.costs for x in one.layouts]] for one in room.tanks
    }
    return {
        "groups": groups,
        "tanks": tanks,
        "apart": [[list(one.names), list(one.groups)] for one in bounds.apart],
        "limits": [bounds.no_hybrids, bounds.a_male, bounds.most_moves, bounds.most_money],
        "take": plan.taken,
        "trials": plan.trials,
    }
