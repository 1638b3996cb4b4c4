"""What is put forward of the ready room, in made-up tanks whose best plan is plain, and how it is said."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from fake_placing import FakeTanks
from rockshy.analysis.document import as_text, document
from rockshy.analysis.document.brief import MOST_LINES
from rockshy.analysis.document.files import json_text
from rockshy.analysis.pictures.rack import rack_caption, save_rack
from rockshy.analysis.questions.place.answer import Placing, answer_of
from rockshy.analysis.questions.place.brief import brief_of
from rockshy.analysis.questions.place.choices import RoomError
from rockshy.analysis.questions.place.design import plan_of
from rockshy.analysis.questions.place.files import rows_text, whole_json
from rockshy.analysis.questions.place.rack import rack_of
from rockshy.analysis.questions.place.reading import parse
from rockshy.analysis.questions.place.words import document_of
from rockshy.scenarios import rooms

TRIO = "the curvifrons trio"


@cache
def placed(take: str | None = None, trials: int = 32) -> tuple[FakeTanks, Placing]:
    room = parse(
        rooms.text("club-room").replace("[limits]", f"[run]\ntrials = {trials}\n[limits]"), name="club"
    )
    run = FakeTanks()
    return run, answer_of(plan_of(room, take=take), run)


def test_the_bullied_trio_is_moved_and_what_is_said_rests_on_fresh_trials() -> None:
    run, found = placed()
    assert found.now.worst.name == TRIO
    assert found.best.of(0) is not None and found.best.of(0).tank != "Show tank"  # type: ignore[union-attr]
    assert found.best.worst.kept.value > found.now.worst.kept.value + 0.3
    assert found.settled and found.run < found.possible
    assert found.fresh == 16 and sum(one.chance for one in found.plans) == pytest.approx(1.0)
    assert {row[3] for row in found.rows} == set(range(16, 32))
    tried = {one.homes for one in found.plans}
    assert len(tried) == len(found.plans) > 1
    assert len(run.asked) == len(set(run.asked)) or found.tanks >= len(run.asked)


def test_the_same_room_gets_the_same_answer_whatever_is_broken_off() -> None:
    _, found = placed()
    room = found.room
    assert answer_of(plan_of(room), FakeTanks()) == found
    run, _ = placed()
    with pytest.raises(KeyboardInterrupt):
        answer_of(plan_of(room), FakeTanks(stop_after=100))
    late = answer_of(plan_of(room), FakeTanks(stop_after=len(run.asked) - 1))
    assert late.stopped and late.fresh == 15


def test_which_tank_can_take_her() -> None:
    _, found = placed(take=TRIO)
    where = [one.of(0) for one in found.plans]
    assert [one.moves for one in found.plans] == [1] * len(found.plans)
    assert len({one.tank for one in where if one}) == len(found.plans) == 3
    said = " ".join(brief_of(found).sentences)
    assert said.startswith("Which of my tanks can take the curvifrons trio?")
    with pytest.raises(RoomError, match="Did you mean the curvifrons trio"):
        plan_of(found.room, take="the curvifron trio")


@pytest.mark.parametrize("take", [None, TRIO])
def test_it_is_said_in_a_few_lines_and_in_full(take: str | None) -> None:
    _, found = placed(take)
    told = as_text(document(brief_of(found).section))
    assert told.count("\n") < MOST_LINES and "nan" not in told
    full = as_text(document_of(found))
    assert "Common practice, no source." in full and "move it out at once" in full and "nan" not in full
    said = json.loads(json_text(whole_json(found)))
    assert {one["name"] for one in said["plans"][0]["fares"]} == {one.name for one in found.best.fares}
    assert said["plans"][0]["moves"] == found.best.moves
    assert rows_text(found).count("\n") == len(found.rows) + 1


def test_the_rack_shows_every_tank_before_and_after(tmp_path: Path) -> None:
    _, found = placed()
    saved = save_rack(found, tmp_path / "rack.png")
    assert saved.path.stat().st_size > 10_000
    caption = rack_caption(rack_of(whole_json(found)))
    assert all(caption.count(tank.name) >= 2 for tank in found.room.tanks)
    assert np.isfinite(found.best.worst.kept.value)
