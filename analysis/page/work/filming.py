"""Films for a page: one of the simulated tanks, or two side by side, in the player of the talk kit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from ....sim.run.table import Trials
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...film.making import MINUTES, Wish, WishError, make_film
from ...film.page import film_page
from ...questions.answer.telling import tank_said
from .asked import scenario_of

Change = tuple[str, Scenario | None]

FIRST = "It is the first of all; which one is typical is known once the tank was tried."
MIDDLE = (
    "It is a middling one of those that were simulated, by how much the fish that are looked at swim free."
)


def film_of(
    scenario: Scenario,
    *,
    which: int = 0,
    trial: int | None = None,
    beside: int | None = None,
    change: Change | None = None,
    kept: Mapping[str, Any],
    minutes: float | None = None,
    halted: Callable[[], bool] | None = None,
) -> tuple[str, dict[str, Any]]:
    """A page that plays some minutes of a simulated tank.

    Parameters
    ----------
    scenario : the tank as it is, with its copies.
    which : the tank that is shown: 0 the tank as it is, k its k-th copy.
    trial : which simulated tank; None: a middling one of those that were tried.
    beside : another of them, shown on the same clock.
    change : words and scenario of what is shown beside it instead.
    kept : what the work that it belongs to has kept; may be empty.
    minutes : how long; as the command has it when None.
    halted : once it says yes, the film is given up.

    Returns
    -------
    (document, told) : an HTML document, and "trial" and "why" (sentences).

    Raises
    ------
    RefusedError
        When there is no such tank, or nothing such to be shown.
    HaltedError
        When ``halted`` said yes.
    """
    name, shown = scenario_of(scenario, which, where="which")
    other = _other(scenario, which, beside, change)
    if change is not None and "run" in kept:
        shown = replace(shown, run=kept["run"])
        other = None if other is None else (other[0], replace(other[1], run=kept["run"]))
    number, why = (trial, "") if trial is not None else _chosen(kept, which)
    why = _seen(kept, which, number) or why
    length = MINUTES if minutes is None else minutes
    wish = Wish(trial=number, name=name, alternative=other, minutes=length)
    try:
        film = make_film(shown, wish, halted=halted)
    except WishError as problem:
        raise RefusedError(str(problem).removeprefix("--")) from problem
    if why:
        film["why"].insert(1, why)
    return film_page(film), {"trial": number, "why": film["why"]}


def _other(
    scenario: Scenario, which: int, beside: int | None, change: Change | None
) -> tuple[str, Scenario] | None:
    """What is shown beside the tank, with its name."""
    if change is not None:
        if beside is not None:
            raise RefusedError("found both beside and change; allowed: one of them")
        name, changed = change
        if changed is None:
            raise RefusedError(
                f"{name}: it is another fish in each simulated tank, so it cannot be shown; allowed: a "
                "change that is the same in all of them"
            )
        return name, changed
    if beside is None:
        return None
    if beside == which:
        raise RefusedError(
            f"beside: found {beside}, the very tank that is shown; allowed: another one, or null"
        )
    return scenario_of(scenario, beside, where="beside")


def _chosen(kept: Mapping[str, Any], which: int) -> tuple[int, str]:
    """A middling trial of those that were tried, and why that one is shown."""
    telling = kept.get("telling", {}).get(which)
    return (0, FIRST) if telling is None else (telling["middle"], MIDDLE)


def _seen(kept: Mapping[str, Any], which: int, trial: int) -> str:
    """What was seen in a trial that was tried; "" where nothing is known of it."""
    trials: Trials | None = kept.get("tables", {}).get(which)
    return "" if trials is None else tank_said(trials, trial)
