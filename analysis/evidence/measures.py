"""What is measured in a finished run. Reads the ledger; contains no rule of behaviour."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from ...sim.fish.shoal import CONTESTING
from ...sim.run.ledger import ATTACK, BITE, CHASE, WIN
from ...sim.run.model import TankModel
from ...sim.run.trials import Outcome
from ...sim.tank.paths import FAR
from ...sim.tank.tank import Tank
from ..measures.hierarchy import normalised_davids_score

Table = NDArray[np.int64]  # [n, n], row against column

LOOK_S = 10  # how often an intruder's place is looked up
LEAVES_AT = 1.2  # an intrusion ends at this many radii, so that a fish on the border is not many intrusions
NAN = float("nan")
_TICK, _KIND, _ACTOR, _TARGET = range(4)  # columns of the events


def events_of(model: TankModel) -> NDArray[np.int32]:
    """The kept events, [e, 6]: tick, kind, actor, target, cells of both."""
    return model.ledger.events[: model.ledger.state.n_events[0]]


# ---- counted in an outcome


def chases(outcome: Outcome) -> Table:
    """Chases of the measured time, giver by receiver."""
    table: Table = outcome.columns["chases"].astype(np.int64)
    return table


def acts(outcome: Outcome) -> Table:
    """Chases, bites and displays of the measured time, giver by receiver."""
    table: Table = sum(outcome.columns[name].astype(np.int64) for name in ("chases", "bites", "displays"))
    return table


def all_acts(outcome: Outcome) -> float:
    """Chases, bites and displays of the measured time, whoever gave them."""
    return float(acts(outcome).sum())


def chases_among(outcome: Outcome, *, sex: int) -> float:
    """Chases of the measured time among the males, 0, or the females, 1."""
    own = outcome.columns["sex"] == sex
    return float(chases(outcome)[np.ix_(own, own)].sum())


def owners(outcome: Outcome) -> NDArray[np.bool_]:
    """[males] of those in the tank: whether each owned a centre for most of the last measured hour."""
    columns = outcome.columns
    lit, owner = columns["hour_lit_s"][:, -1], columns["hour_owner_s"][:, -1]
    male = (columns["sex"] == 0) & (lit > 0)
    return np.asarray(owner[male] > lit[male] / 2)


def territorial_males(outcome: Outcome) -> float:
    """The share of :func:`owners`."""
    return float(owners(outcome).mean())


# ---- hierarchies


def by_rank(acts: Table) -> NDArray[np.int64]:
    """Places of the fish from the top of the hierarchy down, by David's score."""
    return np.argsort(-normalised_davids_score(acts), kind="stable")


def top_and_bottom(acts: Table) -> tuple[float, float, float]:
    """Share of acts given by the top fish, given by the bottom fish, received by the bottom fish."""
    order, total = by_rank(acts), acts.sum()
    if total == 0:
        return NAN, NAN, NAN
    return (
        acts[order[0]].sum() / total,
        acts[order[-1]].sum() / total,
        acts[:, order[-1]].sum() / total,
    )


def upward_share(acts: Table) -> float:
    """Share of acts that go to a fish of higher rank; nan without an act."""
    order, total = by_rank(acts), acts.sum()
    return float(np.tril(acts[np.ix_(order, order)], -1).sum() / total) if total else NAN


def decided_pairs(acts: Table, *, chance: float = 0.05) -> NDArray[np.bool_]:
    """[n, n], row leads column: its acts against it are more than even, by a binomial test."""
    n = len(acts)
    leads = np.zeros((n, n), np.bool_)
    for i in range(n):
        for j in range(n):
            both = int(acts[i, j] + acts[j, i])
            if acts[i, j] > acts[j, i]:
                leads[i, j] = stats.binomtest(int(acts[i, j]), both).pvalue < chance
    return leads


def undecided_share(acts: Table) -> float:
    """Share of the pairs in which neither fish leads."""
    n = len(acts)
    return 1.0 - float(decided_pairs(acts).sum()) / (n * (n - 1) / 2)


def has_clear_top(acts: Table) -> bool:
    """Whether one fish leads every other."""
    return bool((decided_pairs(acts).sum(axis=1) == len(acts) - 1).any())


def rank_distance(acts: Table) -> Table:
    """How many ranks two fish are apart, [n, n]."""
    rank = np.argsort(by_rank(acts))
    distance: Table = np.abs(rank[:, None] - rank[None, :])
    return distance


def per_pair(acts: Table, chosen: NDArray[np.bool_]) -> float:
    """Acts of a pair, either way, mean over the chosen pairs, [n, n] symmetric."""
    return float(acts[chosen].sum()) / (chosen.sum() / 2)


def near_share(acts: Table) -> float:
    """Acts per pair near in rank, of those and acts per pair far in rank; nan without either.

    Near is a distance of one or two ranks, far one of the two greatest.
    """
    distance, n = rank_distance(acts), len(acts)
    near, far = (per_pair(acts, (distance >= low) & (distance <= low + 1)) for low in (1, n - 2))
    return near / (near + far) if near + far > 0 else NAN


def reversed_pairs(before: Table, after: Table) -> NDArray[np.bool_]:
    """Whether the other fish of a pair led afterwards, for the pairs i < j in order; a tie is no lead."""
    pairs = np.triu_indices(len(before), 1)
    lead, later = ((acts - acts.T)[pairs] for acts in (before, after))
    turned: NDArray[np.bool_] = np.sign(lead) * np.sign(later) < 0
    return turned


def acts_by_day(model: TankModel, day: int, kinds: tuple[int, ...]) -> Table:
    """Acts of some kinds on a day (0 is the first), giver by receiver. Needs events."""
    events = events_of(model)
    chosen = (events[:, _TICK] // model.lit_ticks == day) & np.isin(events[:, _KIND], kinds)
    n = len(model.shoal.fish)
    table: Table = np.zeros((n, n), np.int64)
    np.add.at(table, (events[chosen, _ACTOR], events[chosen, _TARGET]), 1)
    return table


# ---- contests of two


def first_win(model: TankModel) -> int:
    """Fish that won the first decided contest; -1 when there was none. Needs events."""
    events = events_of(model)
    wins = events[events[:, _KIND] == WIN]
    return int(wins[0, _ACTOR]) if len(wins) else -1


class Meeting(NamedTuple):
    """What came of a resident, fish 0, and a newcomer, fish 1."""

    fought: bool
    winner: int  # -1: neither


def meeting(model: TankModel) -> Meeting:
    """Whether two fish chased, bit or fought each other, and who gave and won more."""
    pair = model.ledger.pair
    gave = pair.chases + pair.wins
    fought = bool((gave + pair.bites).sum() > 0 or (model.shoal.fish.doing == CONTESTING).any())
    if gave[0, 1] == gave[1, 0]:
        return Meeting(fought, -1)
    return Meeting(fought, int(gave[1, 0] > gave[0, 1]))


def contact_by_hour(model: TankModel) -> Table:
    """Bites and decided contests by lit hour from the first tick on, [h]: contact. Needs events."""
    events = events_of(model)
    contact = events[(events[:, _KIND] == BITE) | (events[:, _KIND] == WIN)]
    return np.bincount(contact[:, _TICK] // model.hour_ticks, minlength=model.hours)[: model.hours]


# ---- places


class Attack(NamedTuple):
    """An attack by an owner that kept its centre all hour."""

    actor: int
    target: int
    centre: int  # refuge
    cell: int  # of the target


def kept_hours(model: TankModel, owner: int) -> NDArray[np.bool_]:
    """Measured hours, [h], through which a fish held the same centre (never the first)."""
    centre = model.ledger.hours.centre[owner]
    kept = np.zeros(len(centre), np.bool_)
    kept[1:] = (centre[1:] >= 0) & (centre[1:] == centre[:-1])
    return kept


def owners_attacks(model: TankModel) -> Iterator[Attack]:
    """Attacks in hours through which the attacker held the same centre. Needs events."""
    kept = [kept_hours(model, i) for i in range(len(model.shoal.fish))]
    for tick, kind, actor, target, _, cell in events_of(model):
        if kind != ATTACK or tick < model.measured_from:
            continue
        hour = min((tick - model.measured_from) // model.hour_ticks, model.hours - 1)
        if kept[actor][hour]:
            yield Attack(actor, target, int(model.ledger.hours.centre[actor, hour]), cell)


def way_cm(tank: Tank, refuge: int, cell: int) -> float:
    """Swimming distance between a crevice and a cell, cm."""
    return float(tank.path[refuge, cell]) * tank.edge_cm / 3.0


def straight_cm(tank: Tank, a: int, b: int) -> float:
    """Straight distance between the middles of two cells, cm."""
    return float(np.linalg.norm(tank.xyz[a] - tank.xyz[b])) * tank.edge_cm


def attack_distances(model: TankModel) -> tuple[float, float]:
    """Median swimming distance from the owner's centre of its attacks on own kind and on others, cm.

    nan where there were none. Needs events.
    """
    kind = model.shoal.fish.species
    found: tuple[list[float], list[float]] = ([], [])
    for one in owners_attacks(model):
        far = way_cm(model.tank, one.centre, one.cell)
        found[int(kind[one.actor] != kind[one.target])].append(far)
    return _median(found[0]), _median(found[1])


def reach_of_attacks_cm(model: TankModel) -> float:
    """Median straight distance from the owner's centre to the fish it attacks, cm. Needs events."""
    tank = model.tank
    return _median(
        [straight_cm(tank, int(tank.refuge_cell[one.centre]), one.cell) for one in owners_attacks(model)]
    )


def _median(values: list[float]) -> float:
    return float(np.median(values)) if values else NAN


class Defence(NamedTuple):
    """A pair's defence of its territory against others: counts in the hours it kept its centre."""

    hours: int
    attacks: int
    intrusions: int
    reach_cm: float  # median straight distance from the centre to the fish attacked


def defence(model: TankModel, *, owners: tuple[int, ...] = (0, 1)) -> Defence:
    """Attacks of a pair on all others and intrusions of these within its core radius. Needs moves."""
    kept = kept_hours(model, owners[0])
    tank = model.tank
    against = [one for one in owners_attacks(model) if one.actor in owners and one.target not in owners]
    reach = [straight_cm(tank, int(tank.refuge_cell[one.centre]), one.cell) for one in against]
    others = [j for j in range(len(model.shoal.fish)) if j not in owners]
    intruded = sum(
        _intrusions(model, j, owners[0], int(hour)) for j in others for hour in np.flatnonzero(kept)
    )
    return Defence(int(kept.sum()), len(against), intruded, _median(reach))


def _intrusions(model: TankModel, intruder: int, owner: int, hour: int) -> int:
    """How often a fish came within the owner's core radius in one measured hour."""
    first = model.measured_from + hour * model.hour_ticks
    ticks = np.arange(first, first + model.hour_ticks, LOOK_S)
    centre = int(model.ledger.hours.centre[owner, hour])
    radius = float(model.shoal.fish.core_cm[owner])
    count, inside = 0, False
    for cell in places_at(model, intruder, ticks):
        far = way_cm(model.tank, centre, int(cell))
        if not inside and far <= radius:
            count, inside = count + 1, True
        elif inside and far > LEAVES_AT * radius:
            inside = False
    return count


def places_at(model: TankModel, fish: int, ticks: NDArray[np.int64]) -> NDArray[np.int64]:
    """The cell of a fish at some ticks; one in a crevice is at its mouth. Needs moves."""
    moves = model.ledger.moves[: model.ledger.state.n_moves[0]]
    own = moves[moves[:, 2] == fish]
    last = np.maximum(np.searchsorted(own[:, 0], ticks, side="right") - 1, 0)
    place = own[last, 3].astype(np.int64)
    return np.where(place >= 0, place, model.tank.refuge_cell[np.maximum(-1 - place, 0)])


# ---- flight and hiding


def flights(model: TankModel) -> NDArray[np.float64]:
    """Swimming distance to the nearest crevice that fits and distance to the chaser, cm, [k, 2].

    Of chases in the open, without those after a contest and of fish at a crevice. Needs events.
    """
    tank, events = model.tank, events_of(model)
    won = {(row[_TICK], row[_ACTOR], row[_TARGET]) for row in events if row[_KIND] == WIN}
    rows = []
    for tick, kind, chaser, chased, chaser_cell, cell in events:
        if kind != CHASE or tick < model.measured_from or (tick, chaser, chased) in won:
            continue
        open_to_it = ~tank.refuge_corner & (tank.refuge_mouth_cm >= model.shoal.fish.depth_cm[chased])
        ways = tank.path[: len(open_to_it), cell][open_to_it]
        if len(ways) and 0 < ways.min() < FAR:
            rows.append((float(ways.min()) * tank.edge_cm / 3.0, straight_cm(tank, chaser_cell, cell)))
    return np.array(rows, float).reshape(-1, 2)


def slope_of(points: NDArray[np.float64], *, at_least: int) -> float:
    """Least-squares slope of the second column over the first; nan for too few or equal points."""
    if len(points) < at_least or np.ptp(points[:, 0]) == 0.0:
        return NAN
    return float(stats.linregress(points[:, 0], points[:, 1]).slope)


def hidden_by_length(model: TankModel) -> float:
    """Spearman's rank correlation between length and share of lit time hidden."""
    hours = model.ledger.hours
    hidden = hours.hidden.sum(axis=1) / np.maximum(hours.lit.sum(axis=1), 1)
    if np.ptp(hidden) == 0.0:
        return NAN
    return float(stats.spearmanr(model.shoal.fish.length_cm, hidden).statistic)


def all_chases(model: TankModel) -> float:
    """Chases of the measured time, whoever gave them."""
    return float(model.ledger.pair.chases.sum())
