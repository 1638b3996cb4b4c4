"""From the simulated tanks of a scenario to the text of its report."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ...sim.run.model import HaltedError
from ...sim.run.set_ups import draw_of
from ...sim.run.table import Trials
from ...sim.run.trials import Job, Outcome, table_of
from ...sim.scenario.scenario import Scenario
from ..document import Figure
from ..document.plain import tank_name
from ..document.typed import as_typed
from ..questions.answer.telling import telling_trials
from ..questions.compare.design import ARMS
from .page import File
from .parts import Compared, Film, Report, report_html

Announce = Callable[[str], None]
Halted = Callable[[], bool]


def report_jobs(base: Scenario) -> tuple[list[Scenario], list[Job]]:
    """The tank as it is with its alternatives, and what is to be simulated of each, on the same seeds."""
    scenarios = [base, *(one.scenario for one in base.alternatives)]
    every = None if base.run.controls or len(scenarios) == 1 else ARMS
    jobs = [
        Job(which, trial, ARMS if which else every)
        for trial in range(base.run.trials)
        for which in range(len(scenarios))
    ]
    return scenarios, jobs


def report_tables(
    scenarios: Sequence[Scenario], done: Iterable[tuple[Job, tuple[Outcome, ...]]]
) -> list[Trials]:
    """A Trials table of each scenario, from all of its jobs."""
    outcomes: list[list[tuple[Outcome, ...]]] = [[] for _ in scenarios]
    for job, those in done:
        outcomes[job.which].append(those)
    return [table_of(one, those) for one, those in zip(scenarios, outcomes, strict=True)]


def report_of(
    scenario: Scenario,
    tables: Sequence[Trials],
    *,
    command: str,
    with_film: bool = True,
    told: Announce | None = None,
    halted: Halted | None = None,
) -> str:
    """The whole page of a tank and its tables, see :func:`report_tables`; ``command`` makes the same again.

    ``told`` hears what is done now; once ``halted`` says yes, HaltedError is raised.
    """
    base = tables[0]
    trial, _ = telling_trials(base)
    if told is not None:
        told(f"Drawing {tank_name(trial)}.")
    compared = _comparison(scenario, tables)
    _check(halted)
    pictures = _pictures(scenario, trial, halted)
    _check(halted)
    film = _film(scenario, trial, halted) if with_film else None
    _check(halted)
    return report_html(Report(scenario, base, command, pictures, film, compared))


def _check(halted: Halted | None) -> None:
    if halted is not None and halted():
        raise HaltedError("the report was given up")


def _comparison(scenario: Scenario, tables: Sequence[Trials]) -> Compared | None:
    """The comparison with its picture and its rows; None without alternatives."""
    from ..pictures.compare import comparison_caption, comparison_picture
    from ..pictures.save import png_of
    from ..questions.compare.answer import answer_of, chosen_of
    from ..questions.compare.brief import brief_of
    from ..questions.compare.files import rows_text
    from ..questions.compare.words import document_of

    if len(tables) == 1:
        return None
    group = chosen_of(scenario, tables[0], None).group
    names = ["the tank as it is", *(one.name for one in scenario.alternatives)]
    answer = answer_of(scenario, list(tables), goal="lost")
    caption = comparison_caption(answer)
    png = png_of(comparison_picture(answer), title=f"What if: {answer.title}", caption=caption)
    text = rows_text(tables, names=names, group=group)
    rows = File("compare.csv", text, "one line for each set-up and tank")
    lines = as_typed(brief_of(answer), scenario).sentences[1:]
    return Compared(lines, document_of(answer), Figure(png, caption), [rows])


def _pictures(scenario: Scenario, trial: int, halted: Halted | None) -> list[Figure]:
    from ...sim.run.drawing import draw_tank
    from ..pictures import trial_pictures
    from ..pictures.shown_trial import trial_parts

    tank = draw_tank(scenario, trial=trial, draw=draw_of(scenario, trial))
    parts = trial_parts(scenario, trial=trial, tank=tank, halted=halted)
    return [Figure(one.png, one.caption) for one in trial_pictures(parts)]


def _film(scenario: Scenario, trial: int, halted: Halted | None) -> Film:
    """Half an hour of the tank of the pictures; the column of a page is too narrow for two tanks."""
    from ..film.making import Wish, make_film
    from ..film.page import film_page

    document = film_page(make_film(scenario, Wish(trial=trial), halted=halted))
    return Film(document, f"Film of {tank_name(trial)}")
