"""``rockshy place``: which fish belong in which tank of a room, and in which order they are moved."""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import refusing
from ..asking.found import Found, first_tank
from ..asking.numbers import within
from ..asking.progress import say
from ..asking.units_asked import asked_units, asked_units_of
from .giving import Answer
from .long_run import check_file, long_run, say_tanks
from .options import add_full, add_json, add_long_run
from .order import add_months, order_of

MOST_MOVES = 60

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..pictures.save import SavedPicture
    from ..questions.place.answer import Placing
    from ..questions.place.design import Plan
    from ..questions.place.room import Room


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Room files: scenarios/REFERENCE.md; a ready one is club-room. Ctrl-C stops it and prints the answer "
        "so far, once what is put forward was run afresh (exit status 130)."
    )
    add = parser.add_argument
    add("file", metavar="ROOM", help="a room file, or the name of a ready room")
    add("--take", metavar="GROUP", help="move this group alone, and say which tanks can take it")
    add("--moves", metavar="N", type=_moves, help="at most so many moves instead of what the file says")
    add_months(add)
    add("--picture", metavar="FILE.png", help="draw the room before and after, for a projector")
    add_full(parser)
    add_json(parser)
    add_long_run(parser)
    own = parser.add_argument_group("instead of what the file says").add_argument
    own("--trials", metavar="N", type=within("run.trials"), help="simulated tanks of what is put forward")
    own("--seed", metavar="S", type=within("run.seed"), help="a whole number; another one gives other luck")
    own("--fixed", action="store_true", help="use the middle value for everything nobody has measured")


def _moves(text: str) -> int:
    if text.isdigit() and 0 <= int(text) <= MOST_MOVES:
        return int(text)
    raise argparse.ArgumentTypeError(f'is "{text}"; use a whole number from 0 to {MOST_MOVES}')


def carry_out(line: argparse.Namespace) -> int:
    """Search the room, print the answer, write what was asked for."""
    from ..questions.place.answer import answer_of
    from ..questions.place.brief import brief_of
    from ..questions.place.call import read
    from ..questions.place.choices import RoomError
    from ..questions.place.design import plan_of
    from ..questions.place.files import COLUMNS, CSV, JSON, PNG, rows_text, whole_json
    from ..questions.place.kept import options_of, typed_scenario, with_others
    from ..questions.place.over_weeks import asked_of
    from ..questions.place.words import document_of

    if line.picture is not None:
        check_file(line.picture)
    room, typed = _changed(read(line.file), line)
    _ask_units(room)
    with refusing(line.file, RoomError):
        plan = plan_of(room, take=line.take)
    said = f"Instead of what the file says: {' '.join(typed)}" if typed else ""
    base = with_others(plan)
    found = Found(base, line.file, typed, said)
    check = partial(_check_rock, plan)
    with long_run(line, found, "place", base, others=True, options=options_of(plan), check=check) as run:
        with refusing(line.file, RoomError):
            placing = answer_of(plan, run, told=say_tanks)
        if line.months is not None and not placing.stopped:
            order = order_of(line, found, run, asked_of(placing, line.months))
            placing = replace(placing, order=order, stopped=order is None)
        return Answer(
            typed_scenario(plan),
            words=partial(document_of, placing),
            told=whole_json(placing, options=typed),
            json=JSON,
            is_whole=not placing.stopped,
            table=(CSV, partial(rows_text, placing), COLUMNS),
            draw=partial(_draw, placing),
            png=PNG,
            brief=partial(brief_of, placing),
        ).give(line, run.kept)


def _ask_units(room: Room) -> None:
    """Of bare sizes beside inches, in the room's file and in those of its tanks."""
    asked = {"": asked_units_of(room.text), **{name: asked_units(one) for name, one in room.files}}
    for name, units in asked.items():
        if units:
            say(f"Units{f', {name}' if name else ''}: {units}")


def _changed(room: Room, line: argparse.Namespace) -> tuple[Room, tuple[str, ...]]:
    """The room with what the line says instead of the file, and what that was."""
    given = {name: value for name in ("trials", "seed") if (value := getattr(line, name)) is not None}
    typed = [part for name, value in given.items() for part in (f"--{name}", str(value))]
    run = replace(room.run, **given, fixed=room.run.fixed or line.fixed)
    if line.fixed:
        typed.append("--fixed")
    if line.moves is not None:
        typed += ["--moves", str(line.moves)]
        room = replace(room, bounds=replace(room.bounds, most_moves=line.moves))
    return replace(room, run=run, rules=line.rules), tuple(typed)


def _check_rock(plan: Plan, found: Found) -> None:
    """Refuse rock that leaves no water in any tank, before anything runs."""
    from ..questions.place.kept import one_a_tank

    for name, scenario in one_a_tank(plan.room):
        first_tank(_of(found, name, scenario))


def _of(found: Found, name: str, scenario: Scenario) -> Found:
    return replace(found, scenario=scenario, asked=f"{found.asked}, {name}")


def _draw(placing: Placing, path: Path) -> SavedPicture:
    from ..pictures.rack import save_rack

    return save_rack(placing, path)
