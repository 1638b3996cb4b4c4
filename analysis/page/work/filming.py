"""Films for a page: one of the simulated tanks, or two side by side, in the player of the talk kit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...film.making import MINUTES, Wish, WishError, make_film
from ...film.page import film_page
from ...questions.answer.telling import tank_said
from .asked import scenario_of

Change = tuple[str, Scenario | None]

FIRST = "It is the first of all; which one is typical is known once the tank has been tried."
MIDDLE = (
    "It is a typical one of those that were simulated, by how much the fish that are looked at swim free."
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
    file: Mapping[str, str] | None = None,
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
    file : "name" and "text" of the scenario file, to be read and taken along.
    halted : once it says yes, the film is given up.

    Returns an HTML document, and what is told of it: "trial" and "why" (sentences). Raises RefusedError where
    there is nothing such to be shown, HaltedError when ``halted`` said yes.
    """
    name, shown = scenario_of(scenario, which, where="which")
    other = _other(scenario, which, beside, change)
    if change is not None and other is not None and "run" in kept:
        shown = replace(shown, run=kept["run"])
        other = (other[0], replace(other[1], run=kept["run"]))
    telling, tried = (kept.get(part, {}).get(which) for part in ("telling", "tables"))
    why = ""
    if trial is None:
        trial, why = (0, FIRST) if telling is None else (telling["middle"], MIDDLE)
    if tried is not None:
        why = tank_said(tried, trial) or why
    wish = Wish(trial=trial, name=name, alternative=other, minutes=MINUTES if minutes is None else minutes)
    try:
        film = make_film(shown, wish, halted=halted)
    except WishError as problem:
        raise RefusedError(str(problem).removeprefix("--")) from problem
    if why:
        film["why"].insert(1, why)
    film["answer"] = list(kept.get("headline", {}).get(which, ()))
    film["file"] = file
    return film_page(film), {"trial": trial, "why": film["why"]}


def _other(
    scenario: Scenario, which: int, beside: int | None, change: Change | None
) -> tuple[str, Scenario] | None:
    """What is shown beside the tank, with its name."""
    if change is not None:
        if beside is not None:
            raise RefusedError("both beside and change are given; use one of them")
        name, changed = change
        if changed is None:
            raise RefusedError(
                f"{name}: that is a different fish in each simulated tank, so it cannot be shown; use a "
                "change that is the same in all of them"
            )
        return name, changed
    if beside == which:
        raise RefusedError(f"beside is {beside}, the tank that is shown already; use another one, or null")
    return None if beside is None else scenario_of(scenario, beside, where="beside")
