"""``python -m rockshy.analysis.evidence.possible``: the draws that published work does not rule out.

``--work FOLDER`` keeps every set that was run, and goes on from there. ``--record`` writes the draws that
runs take (``sim/rules/possible.csv``) and what was found beside the sources. With the full numbers it takes
some two hours on two cores; ``--quick`` some minutes.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ... import scenarios
from ...sim.rules.support.draws import BLOCK
from ...sim.rules.support.parameters import draw_between
from ...sim.rules.support.possible import FILE
from ...sim.run.running import own_cores
from ..asking.errors import DONE, STOPPED
from ..asking.progress import OF_A_RUN, say, say_if_preparing
from ..document.files import json_text
from ..document.writing import write_text
from ..measures.whom import kinds_of
from ..questions.answer.answer import answer
from ..statistics.intervals import Floats
from ..statistics.spread import blocks_of
from ..study.runner import kept_trials
from .command import leave, parser
from .lot import TEST, TRAINING
from .possible_table import as_markdown, table_of
from .ruling_out import (
    REPEATED,
    REPEATS_FROM,
    SEED,
    Cases,
    Ruled,
    excess_of,
    first_places,
    ruled,
)
from .sets import drawn, read_sets, run_sets

HERE = Path(__file__).parent
NAME = "possible"
RULES = HERE.parents[1] / "sim" / "rules"
DIGITS = 4  # of a value in the file: far finer than anything is known


@dataclass(frozen=True)
class Amounts:
    """How much is run: sets a wave, sets run twice, blocks of draws, sets on the test patterns, tanks."""

    first: int = 640
    later: tuple[int, ...] = (160,)
    repeated: int = REPEATED
    blocks: int = 64
    tested: int = 32
    tanks: int = 24


QUICK = Amounts(first=48, later=(16,), repeated=8, blocks=4, tested=2, tanks=4)


def waves_in(folder: Path, amounts: Amounts, *, executor: Executor | None) -> Ruled:
    """Run what the folder has not yet, wave by wave, and say what is left after the last."""
    done: list[Cases] = []
    first = [(k, first_places(k)) for k in range(amounts.first)]
    again = [(REPEATS_FROM + k, at) for k, at in first[: amounts.repeated]]
    done.append(_run(folder / "wave-1.jsonl", [*first, *again], executor=executor))
    for wave, sets in enumerate(amounts.later, start=2):
        found = ruled(done)
        say(f"Wave {wave - 1}: {found.share:.2%} of the ranges left, {len(found.aside)} figures set aside")
        next_places = [(wave * 10_000 + k, at) for k, at in enumerate(found.left[:sets])]
        done.append(_run(folder / f"wave-{wave}.jsonl", next_places, executor=executor))
    return ruled(done, last=True)


def _run(
    file: Path, sets: Sequence[tuple[int, Floats]], *, executor: Executor | None, side: str = TRAINING
) -> Cases:
    file.parent.mkdir(parents=True, exist_ok=True)
    for done, _ in enumerate(run_sets(sets, file=file, executor=executor, side=side), start=1):
        if done % 16 == 0:
            say(f"{file.stem}: {done} sets of {len(sets)}")
    wanted = {number for number, _ in sets}
    return Cases.of([row for row in read_sets(file) if row[0] in wanted], side=side)


def draws_of(found: Ruled, *, blocks: int) -> Floats:
    """[draws, parameters] places of the draws to take, in blocks spread evenly over what is left."""
    rng = np.random.default_rng(SEED)
    made = blocks_of(found.left, size=BLOCK, blocks=blocks, excess=lambda at: excess_of(found, at), rng=rng)
    return made.reshape(-1, made.shape[-1])


def file_of(places: Floats) -> str:
    """The draws as a file: a column a parameter, a row a draw."""
    columns = drawn()
    rows = [
        ",".join(
            f"{draw_between(one.low, one.high, one.draw, float(u)):.{DIGITS}g}"
            for one, u in zip(columns, row, strict=True)
        )
        for row in places
    ]
    return "\n".join([",".join(one.name for one in columns), *rows]) + "\n"


def tested(folder: Path, places: Floats, sets: int, *, executor: Executor | None) -> tuple[Cases, Cases]:
    """The test patterns over draws of the whole ranges and over those left; they choose none."""
    wide = [(k, first_places(k)) for k in range(sets)]
    left = [(k, places[k]) for k in range(min(sets, len(places)))]
    return (
        _run(folder / "test-wide.jsonl", wide, executor=executor, side=TEST),
        _run(folder / "test-left.jsonl", left, executor=executor, side=TEST),
    )


def headlines(folder: Path, tanks: int) -> dict[str, list[list[float]]]:
    """What the worst-off fish of each ready scenario lose, over whole ranges and what is left."""
    file = folder / "headlines.json"
    found: dict[str, list[list[float]]] = json.loads(file.read_text()) if file.exists() else {}
    for name in scenarios.names():
        if name not in found:
            found[name] = [_lost(name, tanks, wide=wide) for wide in (True, False)]
            write_text(file, json_text(found))
    return found


def _lost(name: str, tanks: int, *, wide: bool) -> list[float]:
    scenario = scenarios.load(name)
    asked = replace(scenario, run=replace(scenario.run, trials=tanks, guesses=tanks, wide=wide))
    lost = answer(kept_trials(asked), alike=kinds_of(asked)).alike[0].lost
    assert lost is not None
    return [round(lost.guess_low, 2), round(lost.guess_high, 2)]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the waves and write what is left where that was asked for."""
    reader = parser(
        ".possible", (__doc__ or "").split("\n")[0], quick="few sets and tanks", record="write the draws"
    )
    reader.add_argument("--work", metavar="FOLDER", required=True, help="where sets that were run are kept")
    line = reader.parse_args(argv)
    say_if_preparing(last=OF_A_RUN)
    try:
        return _carry_out(Path(line.work), QUICK if line.quick else Amounts(), record=line.record)
    except KeyboardInterrupt:
        say("Stopped; what was run is kept, and the same command goes on from there.")
        return STOPPED
    except OSError as problem:
        reader.error(f"--work {line.work}: {problem.strerror}; use a folder of your own")


def _carry_out(folder: Path, amounts: Amounts, *, record: bool) -> int:
    with own_cores() as pool:
        found = waves_in(folder, amounts, executor=pool)
        if not len(found.left):
            print(as_markdown(table_of(found, draws=found.left)))
            return DONE
        places = draws_of(found, blocks=amounts.blocks)
        if record:
            write_text(RULES / FILE, file_of(places))
        told = tested(folder, places, amounts.tested, executor=pool)
    table = table_of(found, draws=places, tested=told, headlines=headlines(folder, amounts.tanks))
    page = as_markdown(table)
    print(page)
    if record:
        write_text(HERE / f"{NAME}.json", json_text(table) + "\n")
        write_text(HERE / f"{NAME}.md", page)
    return DONE


if __name__ == "__main__":
    leave(main())
