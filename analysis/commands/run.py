"""``rockshy run``: the trials, the answer in words or JSON, the result folder."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from ... import scenarios
from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.found import Found, command_line, first_tank
from ..asking.progress import Progress, say
from .finding import changed
from .giving import MORE, given
from .lasting import say_how_long
from .long_run import Counted, long_run
from .options import FILE_HELP, add_changes, add_full, add_json, add_long_run, add_until
from .until import came_to, capped, run_until, until_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ...sim.run.table import Trials
    from ..document import Document, Section
    from ..questions.answer.answer import Answer
    from ..questions.compare.plans import Stopped
    from ..questions.watching.scale import Scale
    from ..statistics.stopping import Until
    from ..study.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "A file that reaches beyond 28 days is lived through in blocks of days, as rockshy life does. "
        "Ctrl-C stops it and prints the answer so far (exit status 130). With --out every finished tank is "
        "on disk at once: however a run ended, the same command carries on from there."
    )
    parser.add_argument("file", metavar="FILE", nargs="?", help=f"{FILE_HELP}; default: the demo")
    add_full(parser)
    add_json(parser)
    parser.add_argument(
        "--scale",
        metavar="TOML",
        help="scale chases and bites an hour to your tank, by the factor that sheet --read --scale wrote",
    )
    add_until(parser)
    add_long_run(parser)
    add_changes(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Run, print the answer, write the folder.

    With ``--out`` every finished trial is on disk before it counts as done, and those that an earlier
    run of the same command finished are not run again.
    """
    if line.file is None:
        say(
            f"No file was given, so this is the demo, the ready scenario {scenarios.DEMO}. "
            "Your own: rockshy new my-tank.toml"
        )
    found = changed(scenarios.DEMO if line.file is None else line.file, line)
    if (months := _months(found)) is not None:
        return _live(line, found, months)
    scale = None if line.scale is None else _scale_of(line.scale, found)
    until = until_of(line, found)
    if until is not None:
        found = capped(found, until)
    with long_run(line, found, "run", check=first_tank) as run:
        trials = _run(found, run, until)
        from ..document import as_text
        from ..document.files import json_text, plain
        from ..measures.whom import kinds_of
        from ..questions.answer.answer import answer as answer_of
        from ..questions.answer.answer import run_json

        stopped = None if until is None else _came_to(trials, found, until)
        beside: dict[str, object] = {} if stopped is None else {"until": plain(stopped)}
        if scale is not None:
            trials.recipe["scale"] = beside["scale"] = plain(scale)
        answer = answer_of(trials, alike=kinds_of(found.scenario))
        if scale is not None:
            from ..questions.watching.scale import scaled

            answer = scaled(answer, scale)
        is_whole = trials.done == trials.asked
        if line.json:
            question = found.scenario.question
            told = json_text(run_json(answer, question=question, options=found.changes, beside=beside))
        else:
            told = as_text(_words(answer, trials, found, stopped, scale, full=line.full))
        with given(told) as files:
            if run.kept is not None:
                is_whole = files(_write, trials, found, run.kept) is True and is_whole
    return DONE if is_whole else STOPPED


def _months(found: Found) -> int | None:
    """See :func:`rockshy.analysis.questions.life.reach.months_in`."""
    from ..questions.life.reach import months_in

    return months_in(found.scenario)


def _live(line: argparse.Namespace, found: Found, months: int) -> int:
    """Live through a file that reaches over weeks: the same first lines, of its months."""
    from ..questions.life.reach import end_of
    from .life import live

    given = {"--scale": line.scale, "--until": line.until, "--until-rate": line.until_rate}
    reaches = f"{found.asked} reaches day {end_of(found.scenario):g}"
    if refused := [name for name, value in given.items() if value is not None]:
        raise RefusedError(
            f"{refused[0]} goes with days second by second, and {reaches}; leave it out, or use nearer dates "
            "and fewer days"
        )
    say(f"{reaches}, so it is lived through in blocks of days, as rockshy life --months {months} does.")
    return live(line, found, months=months)


def _run(found: Found, run: Counted, until: Until | None) -> Trials:
    """All trials that are not there yet; fewer than asked for after Ctrl-C."""
    from ..study.runner import kept_trials

    scenario, asked = found.scenario, found.scenario.run.trials
    if until is None:
        say_how_long(scenario, executor=run.executor, there=0 if run.kept is None else len(run.kept))
    with Progress(asked) as progress:
        if until is None:
            trials = kept_trials(scenario, kept=run.kept, executor=run.executor, progress=progress)
        else:
            trials = run_until(scenario, until, kept=run.kept, executor=run.executor, progress=progress)
    if trials.done < trials.asked:
        say(f"Stopped by Ctrl-C: the answer is of {trials.done} of {asked} simulated tanks.")
    if found.changes:
        trials.recipe["options"] = list(found.changes)
    return trials


def _write(trials: Trials, found: Found, kept: Kept) -> bool:
    """Bring the result folder up to date; False when Ctrl-C ended it before the movements were kept."""
    from ..questions.answer.telling import telling_trials
    from ..study.paths import paths_of
    from ..study.store import write

    out = kept.folder
    telling = telling_trials(trials) if trials.done == trials.asked else ()
    paths = _stored_paths(kept, telling)
    if paths is not None and _is_written(trials, found, kept):
        say(f"Result folder: {out}, as it was.")
        return True
    is_whole = True
    if telling and paths is None:
        say(f"Keeping the movements of simulated {_tanks(telling)} to show them later.")
        try:
            paths = paths_of(found.scenario, trials=telling, digest=kept.digest)
        except KeyboardInterrupt:
            is_whole = False
            say("Stopped by Ctrl-C before their movements were kept; type the same command to do so.")
    write(trials, out, paths=paths, scenario=found.scenario)
    say(f"Result folder: {out}")
    return is_whole


def _stored_paths(kept: Kept, telling: tuple[int, ...]) -> dict[str, NDArray[Any]] | None:
    """The movements that are there already, where they are those of the telling trials."""
    from ..study.paths import are_paths_of
    from ..study.store import StoreError, read_paths

    try:
        paths = read_paths(kept.folder) if telling else None
    except StoreError as problem:
        say(f"{problem}; made again.")
        return None
    return paths if are_paths_of(paths, trials=telling, digest=kept.digest) else None


def _is_written(trials: Trials, found: Found, kept: Kept) -> bool:
    from ..study.store import StoreError, holds, is_result

    try:
        return is_result(kept.folder) and holds(kept.folder, trials, scenario=found.scenario)
    except StoreError as problem:
        say(f"{problem}; written again.")
        return False


def _tanks(trials: tuple[int, ...]) -> str:
    numbers = [str(trial + 1) for trial in dict.fromkeys(trials)]
    return f"tank{'s' if len(numbers) > 1 else ''} {' and '.join(numbers)}"


def _came_to(trials: Trials, found: Found, until: Until) -> Stopped:
    from ..measures.groups import Group

    group = Group(species=trials.watch)
    return came_to(until, found.scenario, [trials], names=[trials.watch], group=group)


def _scale_of(name: str, found: Found) -> Scale:
    """The factor of ``--scale``; says so where it was fitted to another tank.

    An alternative of the tank that was watched is what a factor is for, so it is not refused.
    """
    from ..questions.watching.scale import differences
    from ..questions.watching.scale_file import load_scale

    scale = load_scale(name)
    if others := differences(scale, found.scenario):
        say(
            f"{name} was fitted to {scale.title or 'a tank'}, and this is {' and '.join(others)}. A factor "
            "may be carried to a change of the same tank; for a tank of its own fit one from a tally of that."
        )
    return scale


def _words(
    answer: Answer, trials: Trials, found: Found, stopped: Stopped | None, scale: Scale | None, *, full: bool
) -> Document:
    from ..asking.question import hint_of
    from ..document import Document, as_text, document, flush, section
    from ..document.typed import Typed
    from ..questions.answer.answer import words
    from ..questions.answer.brief import brief_of
    from ..questions.answer.remarks import gone_said

    typed = Typed(found.scenario)
    brief = typed.brief(brief_of(answer, question=found.scenario.question)).section
    counted = section("How many simulated tanks", *stopped.sentences()) if stopped is not None else None
    opening = document(brief, counted).sections
    if full:
        whole = words(answer, scale="" if scale is None else scale.text)
        return Document((*opening, *typed.document(whole).sections, typed.section(_next(trials, found))))
    relief = command_line("rockshy", "relief", found.asked, *found.changes)
    hint = hint_of(found.scenario, as_text(document(brief)), way="--full")
    return Document((*opening, flush(*gone_said(answer), hint, f"First, see what helps: {relief}", MORE)))


def _next(trials: Trials, found: Found) -> Section:
    """Which simulated tanks are worth a look, and how to look at them."""
    from ..document import Code, Paragraph, Section
    from ..questions.answer.telling import telling_trials

    middle, worst = telling_trials(trials)

    def look(trial: int) -> Code:
        number = str(trial + 1)
        return Code((command_line("rockshy", "show", found.asked, "--trial", number, *found.changes),))

    middling = f"To see the simulated tank in which {trials.watch} did about average:"
    least = (Paragraph("and the one in which it did worst:"), look(worst))
    return Section((Paragraph(middling), look(middle), *(least if worst != middle else ())))
