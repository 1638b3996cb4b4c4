"""What the two halves of ``rockshy compare`` share: whom to look at, options for all, the folder."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from .errors import RefusedError
from .finding import Found, check_writable, find
from .progress import say

if TYPE_CHECKING:
    from ...sim.scenario import RunSpec, Scenario
    from ..rates import Group
    from ..results.kept import Kept

_FISH = re.compile(r"^(.*\S)\s+(male|female|unsexed)\s+(\d+)$", re.IGNORECASE)


def everything_changed(found: Found, line: argparse.Namespace) -> Scenario:
    """The changed scenario with the same options applied to its alternatives.

    With ``--days`` an alternative whose measuring begins later than that of the base, so that both are
    measured on the same days, goes on doing so.
    """
    base = found.scenario
    if not found.changes:
        return base
    before = find(line.file).run

    def rerun(run: RunSpec) -> RunSpec:
        late = run.settle_days - before.settle_days
        held = late if late > 0 and abs(run.days - before.days - late) < 1e-9 else 0.0
        new = replace(run, trials=base.run.trials, guesses=base.run.guesses, seed=base.run.seed)
        new = replace(new, fixed=base.run.fixed)
        if line.days is None:
            return new
        return replace(new, days=base.run.days + held, settle_days=base.run.settle_days + held)

    others = tuple(
        replace(one, scenario=replace(one.scenario, run=rerun(one.scenario.run))) for one in base.alternatives
    )
    return replace(base, alternatives=others)


def species_of(scenario: Scenario, asked: str, *, option: str) -> str:
    """Key of a stocked species by any of its names.

    Raises
    ------
    RefusedError
        When it is not in the stock.
    """
    from ...sim.reading.problems import nearest, show
    from ...sim.species import find as find_species

    stocked = {row.species: scenario.species[row.species] for row in scenario.stock}
    found = find_species(asked, among=stocked)
    if found is None:
        names = [name for one in stocked.values() for name in (one.key, *one.common)]
        near = nearest(asked, names)
        raise RefusedError(
            f"{option}: found {show(asked)}; allowed: a species of this tank: {', '.join(stocked)}"
            + (f"; nearest: {near}" if near else "")
        )
    return found.key


def group_of(scenario: Scenario, asked: str | None) -> Group:
    """The fish or species asked for with ``--for``; the mild species when None.

    Raises
    ------
    RefusedError
        When there is none such in the tank while it is measured.
    """
    from ...sim.population import individuals
    from ...sim.trials import watched
    from ..rates import Group

    if asked is None:
        return Group(species=watched(scenario)[0])
    fish = _FISH.match(asked.strip())
    if fish is None:
        group = Group(species=species_of(scenario, asked, option="--for"))
    else:
        key = species_of(scenario, fish[1], option="--for")
        label = f"{key} {fish[2].lower()} {int(fish[3])}"
        there = [one.label for one in individuals(scenario.stock) if one.species == key]
        if label not in there:
            raise RefusedError(
                f"--for: found {label}; allowed: a fish of it that is there: {', '.join(there)}"
            )
        group = Group(label=label, species=key)
    if not is_there(scenario, group):
        raise RefusedError(f"--for {group.name}: it is out of the tank before measuring begins")
    return group


def is_there(scenario: Scenario, group: Group) -> bool:
    """Whether any fish of a group is in the tank in the measured time."""
    from ...sim.changes import last_arrival
    from ...sim.population import individuals

    begins = last_arrival(scenario) + scenario.run.settle_days
    return any(
        group.label in ("", one.label)
        and group.species in ("", one.species)
        and (one.row.out_day is None or one.row.out_day > begins)
        for one in individuals(scenario.stock)
    )


def check_picture(name: str) -> None:
    """Refuse a name for a picture that cannot be written.

    Raises
    ------
    RefusedError
    """
    path = Path(name)
    if path.suffix.lower() != ".png":
        raise RefusedError(f"--picture: found {name}; allowed: a file name that ends with .png")
    if not path.parent.is_dir():
        raise RefusedError(f"--picture: there is no folder {path.parent}; allowed: a folder that exists")
    if path.is_dir():
        raise RefusedError(f"--picture: {name} is a folder; allowed: the name of a file")
    check_writable(str(path.parent))


def kept_for(
    out: str | None, command: str, scenario: Scenario, *, others: Mapping[str, Scenario]
) -> Kept | None:
    """The folder of ``--out``, not yet opened; None without it."""
    if out is None:
        return None
    check_writable(out)
    from ..results.kept import Kept
    from ..results.recipe import recipe_of

    return Kept(out, recipe=recipe_of(command, scenario, others=others))


def say_kept(kept: Kept | None) -> None:
    """How much of the work is there already."""
    if kept is not None and len(kept):
        say(f"{kept.folder} holds {len(kept)} finished simulated tanks; they are not simulated again.")
