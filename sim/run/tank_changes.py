"""What a keeper does to the tank between two ticks: rock, a divider, boxes. It acts on a TankModel."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from ..fish.population import bind
from ..fish.shoal import BOXED, FISH, NOBODY, SHELTERED, SWIMMING
from ..rules.support.random_numbers import generator
from ..tank.divider import LEFT, RIGHT
from ..tank.paths import FAR
from ..tank.tank import Tank
from ..tank.water import water_of

if TYPE_CHECKING:
    from .model import TankModel

BOX_CM = 20.0  # from one box to the next: common practice, no source
OWN_PARTS = 2  # boxes are numbered as parts of the tank from here on
LEFT_BEHIND = (
    *("doing", "part", "refuge", "centre", "home", "target", "chaser", "counted", "resists"),
    *("credit_cm", "provoked", "dominants", "pull_x", "pull_y", "pull_z", "eaten"),
)
"""Properties that a fish does not take along when it is taken out, or into a box."""


def drop_all(model: TankModel, i: int) -> None:
    """A fish leaves behind all it was about; whoever chased or fought it turns to something else."""
    fish = model.shoal.fish
    for name in LEFT_BEHIND:
        fish[name][i] = FISH[name].default
    for other in np.flatnonzero((fish.target == i) | (fish.chaser == i)):
        fish.target[other] = fish.chaser[other] = NOBODY
        fish.resists[other] = False
        if fish.doing[other] not in (SHELTERED, BOXED):
            fish.doing[other] = SWIMMING


def open_cells(tank: Tank, part: int | None = None) -> NDArray[np.intp]:
    """Cells that a fish may be put into: all that are cut off from no part, or those of one part."""
    return np.flatnonzero(tank.part >= 0 if part is None else tank.part == part)


def lay_anew(model: TankModel) -> None:
    """All rock taken out and laid anew: no fish owns, trusts or hides in anything that is gone.

    Each fish is where it was, or in the water nearest to it. What it learnt of the others, its fright
    and its bond stay; the hands in the water frighten nobody more (assumption).
    """
    parts = model.shoal.fish.part.copy()
    _next_tank(model)
    _stop_all(model)
    fish, n = model.shoal.fish, len(model.people)
    fish["refuge"] = fish["centre"] = NOBODY
    fish.doing = np.where(fish.doing == BOXED, BOXED, SWIMMING)
    model.shoal = model.shoal._replace(
        memory=np.zeros((n, len(model.tank.refuge_cell))), claims=np.zeros((n, len(model.water.beside)))
    )
    if (fish.part != parts).any():
        bind(model.shoal, model.scenario)


def change(model: TankModel) -> None:
    """Rock added or taken, a divider put in or taken out: what stays is owned and trusted as before.

    Chases and contests end. A shelter that is gone, or behind the divider now, is left; claims to places
    stay, and fade where nobody comes any more.
    """
    former = model.tank
    _next_tank(model)
    _stop_all(model)
    fish, tank = model.shoal.fish, model.tank
    now = same_shelters(former, tank)
    memory = np.zeros((len(model.people), len(tank.refuge_cell)))
    memory[:, now[now >= 0]] = model.shoal.memory[:, now >= 0]
    model.shoal = model.shoal._replace(memory=memory)
    for name in ("refuge", "centre"):
        kept = np.where(fish[name] >= 0, now[fish[name]], NOBODY)
        fish[name] = np.where(tank.path[kept, fish.cell] < FAR, kept, NOBODY)
    is_in = (fish.doing == SHELTERED) & (fish.refuge >= 0)
    fish.cell = np.where(is_in, tank.refuge_cell[fish.refuge], fish.cell)
    fish.doing = np.where(is_in, SHELTERED, np.where(fish.doing == BOXED, BOXED, SWIMMING))
    bind(model.shoal, model.scenario)


def _next_tank(model: TankModel) -> None:
    """The next tank takes the place of the former; every fish is where it was, or in the water nearest to it.

    A divider leaves each on its side. Moves and events kept so far tell of cells of the former tank and are
    dropped.
    """
    former, tank = model.tank, model._to_come.pop(0)
    fish, n = model.shoal.fish, len(model.people)
    fish.cell = np.where(fish.present, _nearest(tank, former.xyz[fish.cell]), 0)
    fish.part = np.where(fish.doing == BOXED, fish.part, tank.part[fish.cell])
    model.laying += 1
    model.tank, model.water = tank, water_of(tank)
    model.food = np.zeros(len(tank.feed_source))
    visits, place = np.zeros((2, n, len(tank.xyz)), np.int32)
    model.ledger = model.ledger._replace(visits=visits, place=place)
    model.ledger.state.n_moves[0] = model.ledger.state.n_events[0] = 0


def _nearest(tank: Tank, xyz: NDArray[np.int32]) -> NDArray[np.intp]:
    """[n] the cell nearest to each place [n, 3], on its side of a divider."""
    if (tank.part == 0).all():
        return np.asarray(cKDTree(tank.xyz).query(xyz)[1])
    found = np.zeros(len(xyz), np.intp)
    first_right = tank.xyz[tank.part == 1, 0].min()
    for part, here in enumerate((xyz[:, 0] < first_right, xyz[:, 0] >= first_right)):
        cells = open_cells(tank, part)
        found[here] = cells[cKDTree(tank.xyz[cells]).query(xyz[here])[1]] if here.any() else 0
    return found


def _stop_all(model: TankModel) -> None:
    """Chases and contests end; where home is, is known at the next look."""
    fish = model.shoal.fish
    for name in ("home", "target", "chaser"):
        fish[name] = NOBODY
    for name in ("resists", "counted"):
        fish[name] = False


def same_shelters(former: Tank, tank: Tank) -> NDArray[np.intp]:
    """[r] the number that each shelter of the former tank has now, -1 where it is gone.

    A crevice is known by its mouth and depth, a corner by its cell.
    """

    def known(one: Tank) -> list[Any]:
        keys: list[Any] = []
        for k, cell in enumerate(one.refuge_cell):
            is_corner = one.refuge_corner[k]
            key = tuple(one.xyz[cell]) if is_corner else (one.refuge_mouth_cm[k], one.refuge_depth_cm[k])
            keys.append((bool(is_corner), key, sum(other[:2] == (bool(is_corner), key) for other in keys)))
        return keys

    number = {key: k for k, key in enumerate(known(tank))}
    return np.array([number.get(key, NOBODY) for key in known(former)], np.intp)


def put_beside(model: TankModel, *, left: Collection[str], right: Collection[str]) -> None:
    """Fish that are not on that side of a divider are put there, each into a cell that is drawn."""
    fish = model.shoal.fish
    for label, part in (*((one, LEFT) for one in left), *((one, RIGHT) for one in right)):
        i = model.place_of(label)
        if i is None or not fish.present[i] or fish.doing[i] == BOXED or fish.part[i] == part:
            continue
        drop_all(model, i)
        rng = generator(model.trial_seed, label, "side", model.laying)
        fish.cell[i], fish.part[i] = rng.choice(open_cells(model.tank, part)), part
    bind(model.shoal, model.scenario)


def put_in_box(model: TankModel, labels: Collection[str], *, from_left_cm: float) -> None:
    """Fish are put into boxes under the surface at the front glass, side by side, each into its own."""
    fish, tank = model.shoal.fish, model.tank
    for k, label in enumerate(labels):
        i = model.place_of(label)
        if i is None or not fish.present[i]:
            continue
        drop_all(model, i)
        x_cm = from_left_cm + BOX_CM * (k + 0.5)
        spot = min(int(x_cm / tank.edge_cm), tank.shape[0] - 1), 0, tank.shape[2] - 1
        fish.cell[i] = cKDTree(tank.xyz).query(spot)[1]
        fish.doing[i], fish.part[i] = BOXED, OWN_PARTS + i
    bind(model.shoal, model.scenario)


def let_out_of_box(model: TankModel, labels: Collection[str]) -> None:
    """Fish swim out of their boxes where these hang."""
    fish, tank = model.shoal.fish, model.tank
    for label in labels:
        i = model.place_of(label)
        if i is not None and fish.doing[i] == BOXED:
            fish.cell[i] = _nearest(tank, tank.xyz[fish.cell[i : i + 1]])[0]
            fish.doing[i], fish.part[i] = SWIMMING, tank.part[fish.cell[i]]
    bind(model.shoal, model.scenario)
