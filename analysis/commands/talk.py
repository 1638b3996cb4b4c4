"""``rockshy talk``: everything for a talk on the question of a scenario, into one folder."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..asking.errors import DONE, STOPPED, RefusedError, refusing
from ..asking.found import Found, check_water, command_line, refusing_rock
from ..asking.progress import Progress, say
from .engine import engine
from .finding import changed, check_writable
from .giving import Files
from .long_run import Counted, kept_for, say_kept, say_tanks
from .options import add_changes, add_file

if TYPE_CHECKING:
    from ...sim.run.table import Trials
    from ...sim.scenario.scenario import Scenario
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.grid import Grid
    from ..questions.why.answer import Why
    from ..talk.deck import Deck
    from ..talk.facts import Facts
    from ..talk.plans import Plans
    from ..talk.spots import Spots

THEMES = ("dark", "light", "both")
FILM = "film.html"
WORK = "work"  # folder of the finished simulated tanks, to go on from
FILM_MINUTES = 10.0


@dataclass(frozen=True)
class Task:
    """What is asked."""

    found: Found
    folder: Path
    themes: tuple[str, ...]
    film: bool
    why: bool
    rock: bool
    plans: tuple[Plans, ...]
    typed_plans: tuple[str, ...]  # as they were typed, to make the pack again

    @property
    def scenarios(self) -> list[Scenario]:
        """The base and each alternative."""
        base = self.found.scenario
        return [base, *(one.scenario for one in base.alternatives)]


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "The folder gets slides as PNG and SVG, the deck as PDF and as slides to edit (PPTX), a handout as "
        "PDF, the film and speaker's notes. "
        "What was simulated is kept in it, so the same command goes on after Ctrl-C, which makes the pack "
        "of what was done so far (exit status 130)."
    )
    add_file(parser)
    add = parser.add_argument
    add("--out", metavar="DIR", required=True, help="the folder to write")
    add("--theme", choices=THEMES, default="both", help="for a dark or a bright room; default: both")
    say_plans = "put on a slide what place --out, best --out or life --out has written there; may come again"
    add("--plans", metavar="DIR", action="append", default=[], help=say_plans)
    add("--no-film", action="store_true", help="leave the film out")
    add("--no-why", action="store_true", help="leave out the reasons, which take longest")
    add("--no-rock", action="store_true", help="leave out how much rock it needs")
    trials = "how many simulated tanks of each set-up; default: 20, which are shown one by one"
    add_changes(parser, trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Simulate, draw, write; STOPPED after Ctrl-C, with a pack of what was done so far."""
    task = _task(line)
    check_water(task.found)
    stops: list[str] = []
    files = Files()
    with engine(line) as executor:
        deck = _deck(task, executor, stops, files)
    _write(deck, task, files)
    files.check()
    return STOPPED if stops else DONE


def _task(line: argparse.Namespace) -> Task:
    from ..talk.plain import TWENTY
    from .compare import everything_changed

    if line.trials is None:
        line.trials = TWENTY
    found = changed(line.file, line)
    found = replace(found, scenario=everything_changed(found, line))
    folder = Path(line.out)
    check_writable(line.out)
    _check_days(found)
    themes = ("dark", "light") if line.theme == "both" else (line.theme,)
    plans = tuple(one for name in line.plans for one in _plans(name))
    return Task(
        found, folder, themes, not line.no_film, not line.no_why, not line.no_rock, plans, _again(line)
    )


def _again(line: argparse.Namespace) -> tuple[str, ...]:
    return tuple(word for name in line.plans for word in ("--plans", name))


def _plans(name: str) -> list[Plans]:
    from ..talk.plans import PlansError, plans_in

    try:
        return plans_in(Path(name))
    except PlansError as problem:
        raise RefusedError(f"--plans {name}: {problem}") from problem


def _check_days(found: Found) -> None:
    """Refuse a run that ends before a fish is taken out: nothing would be told of that change."""
    from ...sim.scenario.timeline import FishOut
    from ..questions.life.reach import months_in

    for one in found.scenario.alternatives:
        if months_in(one.scenario) is not None:
            continue  # a file of months: that it is told of days alone stands on the slides
        end = one.scenario.measured_days[1]
        late = [event.day for event in one.scenario.timeline.of(FishOut) if event.day >= end]
        if late:
            raise RefusedError(
                f"--days: the run ends on day {end:g}; use more days, so that it goes on after day "
                f'{max(late):g}, when "{one.name}" takes a fish out'
            )


# ---- what is simulated


def _deck(task: Task, executor: Executor, stops: list[str], files: Files) -> Deck:
    """Everything that was simulated, put in order; after Ctrl-C without the parts that had not begun."""
    from ..talk.slides import deck_of

    left_out: list[str] = []
    facts = _facts(task, executor, stops)
    why = _optional(task.why, stops, left_out, "the reasons", lambda: _why(task, executor, left_out, stops))
    rock = _optional(
        task.rock, stops, left_out, "how much rock", lambda: _rock(task, executor, left_out, stops)
    )
    film = _optional(task.film, stops, left_out, "the film", lambda: _film(task, facts, left_out, files))
    return deck_of(facts, why=why, rock=rock, plans=task.plans, film=film or "", left_out=left_out)


def _optional(wanted: bool, stops: list[str], left_out: list[str], what: str, make: Any) -> Any:
    """A part that may be left out: because nobody asked for it, or after Ctrl-C."""
    if not wanted:
        left_out.append(f"Not there, as you asked: {what}.")
        return None
    if not stops:
        try:
            return make()
        except KeyboardInterrupt:
            stops.append(what)
            say(f"Stopped by Ctrl-C: {what} is left out.")
    left_out.append(f"Not there, since Ctrl-C came before it: {what}.")
    return None


def _facts(task: Task, executor: Executor, stops: list[str]) -> Facts:
    from ..talk.facts import best_of, facts_of

    if task.found.said:
        say(task.found.said)
    scenarios = task.scenarios
    tables = _tables(task, executor, stops)
    with refusing(task.found.asked, ValueError):
        best = best_of(_compared(scenarios[0], tables))
        wanted = [0] if best is None else [0, best]
        strips = {place: _strip(scenarios[place], tables[0], executor, stops) for place in wanted}
        return facts_of(scenarios[0], tables, strips)


def _compared(base: Scenario, tables: Sequence[Trials]) -> Any:
    from ..measures.groups import Group
    from ..questions.compare.answer import answer_of

    if len(tables) == 1:
        return None
    return answer_of(base, tables, group=Group(species=tables[0].watch), goal="lost")


def _tables(task: Task, executor: Executor, stops: list[str]) -> list[Trials]:
    """A table for each set-up, on the same trials."""
    from ..questions.compare.design import equally, run_side_by_side

    base, scenarios = task.found.scenario, task.scenarios
    asked = base.run.trials * len(scenarios)
    with kept_for(str(task.folder / WORK / "tanks"), "talk", base, others=True) as kept:
        say_kept(kept)
        say(f"{len(scenarios)} set-ups, {base.run.trials} simulated tanks of each.")
        with Progress(asked) as progress, refusing_rock(task.found.asked):
            return run_side_by_side(
                scenarios,
                plan=equally(base.run.trials, scenarios=len(scenarios)),
                executor=executor,
                kept=kept,
                progress=lambda done, _: progress(done, asked),
                on_stop=lambda: _stopped(stops),
            )


def _stopped(stops: list[str]) -> None:
    stops.append("by Ctrl-C")
    say("Stopped by Ctrl-C: the pack is of what was done so far.")


def _strip(scenario: Scenario, table: Trials, executor: Executor, stops: list[str]) -> list[Spots]:
    """Where fish sat in the first twenty tanks that were run; one tank after Ctrl-C."""
    from ...sim.run.table import AS_STOCKED
    from ..talk.plain import TWENTY
    from ..talk.spots import each_spots, spots_of

    trials = table.arms[AS_STOCKED].trial.tolist()[:TWENTY]
    found: list[Spots] = []
    if stops:
        return [spots_of(scenario, trials[0])]
    say(f"Looking where the fish sat in {len(trials)} of them.")
    try:
        with Progress(len(trials)) as progress:
            found.extend(each_spots(scenario, trials, executor=executor, progress=progress))
    except KeyboardInterrupt:
        if not found:
            raise
        _stopped(stops)
    return found


def _why(task: Task, executor: Executor, left_out: list[str], stops: list[str]) -> Why | None:
    from ..questions.why.answer import answer_of
    from ..questions.why.design import LEAST_TRIALS, WhyError, plan_of

    base = task.found.scenario
    run = replace(base.run, trials=max(LEAST_TRIALS, base.run.trials))
    try:
        plan = plan_of(replace(base, run=run))
        say("Why: the possible causes are switched off in turn; this takes longest.")
        options = {"for": "", "trials": plan.trials, "cut": not plan.meant}
        with kept_for(str(task.folder / WORK / "why"), "why", plan.scenario, options=options) as kept:
            why = answer_of(plan, Counted(task.found.asked, executor, kept), told=say_tanks)
    except WhyError as problem:
        left_out.append(f"No reasons: {problem}.")
        return None
    if why.stopped:
        _stopped(stops)
    return why


def _rock(
    task: Task, executor: Executor, left_out: list[str], stops: list[str]
) -> tuple[RockAnswer, Grid] | None:
    """Twenty tanks at each amount of rock, as many as are shown."""
    from ...sim.run.set_ups import watched
    from ..measures.asked import species_whom
    from ..questions.rock.answer import answer_of
    from ..questions.rock.design import LEVEL, Design, plan_of, watered_grid
    from ..questions.rock.grid import COVER, GridError
    from ..talk.plain import TWENTY

    base = replace(task.found.scenario, alternatives=())
    species, reason = watched(base)
    whom = replace(species_whom(base, species), why=reason)
    try:
        grid = watered_grid(base, [COVER])
    except GridError as problem:
        left_out.append(f"Not how much rock: {problem}.")
        return None
    plan = plan_of(base, grid, whom=whom, level=LEVEL, trials=TWENTY)
    folder = str(task.folder / WORK / "rock")
    with kept_for(folder, "rock", plan.scenario, options={"varied": [COVER]}) as kept:
        say("How much rock: the same fish over several amounts of it.")
        swept = Design(plan)
        swept.carry_out(Counted(task.found.asked, executor, kept))
    if swept.stopped:
        _stopped(stops)
    try:
        return answer_of(swept, scenario=base), plan.grid
    except ValueError as problem:
        left_out.append(f"Not how much rock: {problem}.")
        return None


def _film(task: Task, facts: Facts, left_out: list[str], files: Files) -> str:
    """The tank as it is and the best alternative side by side, on one clock."""
    from ..document.writing import write_text
    from ..film.making import Wish, WishError, make_film
    from ..film.page import film_page

    base = task.found.scenario
    best = None if facts.best is None else base.alternatives[facts.best - 1]
    minutes = min(FILM_MINUTES, 60.0 * base.run.lit_hours)
    wish = Wish(
        trial=facts.typical, minutes=minutes, alternative=(best.name, best.scenario) if best else None
    )
    say("The film: the same tank again, every move kept.")
    try:
        try:
            film = make_film(base, wish)
        except WishError:
            film = make_film(base, replace(wish, alternative=None))
            left_out.append("The film shows the tank as it is alone: the change has no such minutes.")
    except WishError as problem:
        left_out.append(f"No film: {problem}.")
        return ""
    task.folder.mkdir(parents=True, exist_ok=True)
    if files(write_text, task.folder / FILM, film_page(film)) is None:
        left_out.append(f"No film: {FILM} could not be written.")
        return ""
    return FILM


# ---- what is written


def _write(deck: Deck, task: Task, files: Files) -> None:
    from ..document.writing import write_bytes, write_text
    from ..pictures.talk_deck import deck_files
    from ..pictures.talk_editable import editable_deck
    from ..pictures.talk_handout import save_handout
    from ..talk.notes import NAME, notes_text

    folder = task.folder
    say(f"Drawing {len(deck.slides)} slides.")
    for theme in task.themes:
        files((folder / theme).mkdir, parents=True, exist_ok=True)
        drawn = set()
        for name, content in deck_files(deck, theme=theme):
            drawn.add(folder / name)
            path = files(write_bytes, folder / name, content)
            if path is not None and path.suffix == ".pdf":
                print(path)
        for old in set((folder / theme).glob("[0-9][0-9]-*.[ps][nv]g")) - drawn:
            files(old.unlink)  # of an earlier pack, whose slides had other numbers
        print(folder / theme)
        _say_path(files(write_bytes, folder / f"deck-{theme}.pptx", editable_deck(deck, theme=theme)))
    for paper in ("a4", "letter"):
        _say_path(files(save_handout, deck, folder / f"handout-{paper}.pdf", paper=paper))
    command = command_line(
        "rockshy", "talk", task.found.asked, "--out", str(folder), *task.typed_plans, *task.found.changes
    )
    _say_path(files(write_text, folder / NAME, notes_text(deck, command=command)))
    if deck.film:
        print(folder / deck.film)
    for text in deck.left_out:
        say(text)


def _say_path(path: Path | None) -> None:
    """The path of a file that was written."""
    if path is not None:
        print(path)
