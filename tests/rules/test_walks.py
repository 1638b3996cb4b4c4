"""The project's own swimming in open water: how far it goes, which way, and where it is in the long run."""

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.rules.support import parameters
from rockshy.sim.rules.support.compiled import rule
from rockshy.sim.rules.swim import COSINE, choose_step, concentration, go, step_preference, turning_table
from rockshy.sim.run.day import move_all
from rockshy.sim.run.ledger import close_hour, new_ledger, record
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.scenario.scenario import TankSpec
from rockshy.sim.tank.paths import DIRECTIONS, STEP_CM
from rockshy.sim.tank.rockwork import draw_rock
from rockshy.sim.tank.tank import build_tank
from rockshy.sim.tank.water import water_of
from scipy import stats
from staging import (
    BARE,
    at,
    blind_shoal,
    claim,
    endless_water,
    hole,
    holes,
    near,
    needs_compiling,
    no_ledger,
    row,
    scene,
    stage,
)

EDGE = 5.0


@rule
def walk(steps, turning, tank, shoal, p):
    """Steps taken: direction [n, steps], -1 where the way was blocked."""
    taken = np.full((len(shoal.fish), steps), -1)
    for t in range(steps):
        for i in range(len(shoal.fish)):
            before = shoal.fish.cell[i]
            k = choose_step(i, t, 0, turning, tank, shoal, p)
            go(i, k, tank, shoal)
            if shoal.fish.cell[i] != before:
                taken[i, t] = k
    return taken


def walked(*, persistence_cm, fish, steps):
    """Displacement after each step [fish, steps, 3] in edges, and the turning table."""
    water = endless_water(7, 8, 9)
    turning = turning_table(EDGE, persistence_cm)
    p = parameters.resolve({})
    taken = walk(steps, turning, water, blind_shoal(fish, cells=7 * 8 * 9, speed_cm_s=5.0), p)
    assert (taken >= 0).all(), "nothing is in the way in open water"
    return DIRECTIONS[taken].cumsum(axis=1), turning[0], taken


def kareiva_shigesada(n, mean_square, square_of_mean, c):
    """E[R2] of a correlated walk of n steps. Source: KareivaShigesada1983."""
    return n * mean_square + 2 * square_of_mean * (c / (1 - c)) * (n - (1 - c**n) / (1 - c))


def test_the_reference_formula_gives_the_known_values():
    """Von Mises turns in the plane, step 1: kappa 1 (c 0.44639) and 4 (c 0.86352), n 50; computed.

    Source: KareivaShigesada1983.
    """
    assert kareiva_shigesada(50, 1, 1, 0.44639) == pytest.approx(127.720, abs=0.002)
    assert kareiva_shigesada(50, 1, 1, 0.86352) == pytest.approx(590.061, abs=0.02)


@needs_compiling
@pytest.mark.parametrize("n", [1, 10, 100])
def test_without_persistence_the_mean_square_displacement_is_that_of_a_lattice_walk(n):
    """n a2, a2 the mean square of the 26 steps, 54/26 edges2. Tolerance: 4 standard errors."""
    way, _, _ = walked(persistence_cm=0.5, fish=4000, steps=100)
    square = (way[:, n - 1] ** 2).sum(axis=1)
    assert abs(square.mean() - n * 54 / 26) < 4 * square.std() / np.sqrt(len(square)) + 0.01


def stationary(chances):
    """Share of each direction in the long run."""
    return np.linalg.matrix_power(chances, 1000)[0]


@needs_compiling
@pytest.mark.parametrize("persistence_cm", [10.0, 20.0, 40.0])
def test_a_persistent_walk_spreads_as_a_correlated_walk(persistence_cm):
    """E[R2] after 50 steps, with the mean cosine and lengths of the table's own steps; tolerance 5 %.

    Source: KareivaShigesada1983.
    """
    n = 50
    way, chances, _ = walked(persistence_cm=persistence_cm, fish=4000, steps=n)
    often = stationary(chances)
    c = often @ (chances * COSINE).sum(axis=1)
    wanted = kareiva_shigesada(n, often @ STEP_CM**2, (often @ STEP_CM) ** 2, c)
    assert (way[:, -1] ** 2).sum(axis=1).mean() == pytest.approx(wanted, rel=0.05)


@pytest.mark.parametrize("edge_cm", [4.0, 5.0, 6.0])
@pytest.mark.parametrize("persistence_cm", [10.0, 20.0, 40.0])
def test_directions_are_kept_over_a_length_whatever_the_cell(edge_cm, persistence_cm):
    """The mean cosine of a turn is exp(-s / L), s the mean step; within 0.02: there are but 26 directions."""
    chances = turning_table(edge_cm, persistence_cm)[0]
    c = stationary(chances) @ (chances * COSINE).sum(axis=1)
    assert c == pytest.approx(np.exp(-edge_cm * STEP_CM.mean() / persistence_cm), abs=0.02)


@needs_compiling
def test_a_persistent_walk_is_exactly_the_chain_of_its_turning_table():
    """The same from the chain itself: n E[l2] + 2 sum (n - m) E[d0 . dm]. Tolerance: 4 standard errors."""
    n = 50
    way, chances, taken = walked(persistence_cm=20.0, fish=6000, steps=n)
    first = np.bincount(taken[:, 0], minlength=26) / len(taken)
    spread = [first]
    for _ in range(n - 1):
        spread.append(spread[-1] @ chances)
    wanted = 0.0
    for t, now in enumerate(spread):
        later = DIRECTIONS.astype(float)
        wanted += now @ STEP_CM**2
        for _ in range(t + 1, n):
            later = chances @ later
            wanted += 2 * now @ (DIRECTIONS * later).sum(axis=1)
    square = (way[:, -1] ** 2).sum(axis=1)
    assert abs(square.mean() - wanted) < 4 * square.std() / np.sqrt(len(square))


@needs_compiling
def test_turns_follow_the_turning_table():
    """Chi-square of the 26 next directions after each of three last ones."""
    _, chances, taken = walked(persistence_cm=20.0, fish=500, steps=400)
    last, following = taken[:, :-1].ravel(), taken[:, 1:].ravel()
    for a in (0, 9, 25):
        seen = np.bincount(following[last == a], minlength=26)
        wanted = chances[a] * seen.sum()
        rare = wanted < 5
        seen, wanted = np.append(seen[~rare], seen[rare].sum()), np.append(wanted[~rare], wanted[rare].sum())
        assert stats.chisquare(seen[wanted > 0], wanted[wanted > 0]).pvalue > 0.001


@pytest.mark.parametrize("persistence_cm", [5.0, 20.0, 80.0])
def test_the_alias_table_holds_the_same_chances(persistence_cm):
    """Source: Walker1977."""
    chances, own, other, _ = turning_table(EDGE, persistence_cm)
    rebuilt = own / 26
    for a in range(26):
        np.add.at(rebuilt[a], other[a].astype(int), (1 - own[a]) / 26)
    np.testing.assert_allclose(chances.sum(axis=1), 1.0, rtol=1e-12)
    np.testing.assert_allclose(rebuilt, chances, atol=1e-12)


@pytest.mark.parametrize("mean_cosine", [0.01, 0.5, 0.9])
def test_concentration_inverts_the_mean_cosine(mean_cosine):
    """coth k - 1/k (closed form)."""
    k = concentration(mean_cosine)
    assert 1 / np.tanh(k) - 1 / k == pytest.approx(mean_cosine, rel=1e-9)


def frequencies(model, i, *, draws):
    """How often each direction is chosen from where fish i is."""
    m = model
    turning = turning_table(m.tank.edge_cm, float(m.parameters.persistence_cm))
    chosen = [choose_step(i, t, 0, turning, *at(m)) for t in range(draws)]
    return np.bincount(chosen, minlength=26), turning[0, m.shoal.fish.heading[i]]


@pytest.mark.parametrize("fright", [0.0, 0.3, 1.0])
def test_steps_are_chosen_by_persistence_times_preference_however_strong(fright):
    """Proposal and acceptance give the same chances as adding up all weights: chi-square over 26 steps.

    At full fright the leash is so strong that most proposals fail and the weights are added up.
    """
    model = stage(row(males=1), rock=holes(hole(30.0)), parameters={"cover_pull": 4.0, "fear_leash_cm": 0.3})
    fish = model.shoal.fish
    fish.centre[0] = fish.home[0] = 0
    fish.fright[0], fish.grazer[0], fish.heading[0] = fright, 1.0, 3
    fish.cell[0] = model.tank.index[8, 4, 3]
    model.shoal.claims[0] = np.random.default_rng(1).random(model.shoal.claims.shape[1])
    seen, persistence = frequencies(model, 0, draws=4000)
    p = model.parameters
    pull = float(p.fear_leash_cm * fright)
    preference = [
        step_preference(0, k, pull, float(p.cover_pull) * fright, model.water, model.shoal, p)
        for k in range(26)
    ]
    wanted = persistence * np.exp(preference)
    wanted *= seen.sum() / wanted.sum()
    rare = wanted < 5
    seen, wanted = np.append(seen[~rare], seen[rare].sum()), np.append(wanted[~rare], wanted[rare].sum())
    assert stats.chisquare(seen[wanted > 0], wanted[wanted > 0]).pvalue > 0.001


def test_home_draws_and_fright_shortens_the_leash():
    model = stage(row(males=1), rock=holes(hole(5.0)))
    fish = model.shoal.fish
    fish.cell[0] = model.tank.index[10, 4, 4]
    fish.centre[0] = fish.home[0] = 0
    nearer = model.tank.path[0, model.tank.neighbour[fish.cell[0]]] < model.tank.path[0, fish.cell[0]]
    shares = []
    for fright in (0.0, 0.5, 1.0):
        fish.fright[0] = fright
        seen, _ = frequencies(model, 0, draws=1500)
        shares.append(seen[nearer].sum() / seen.sum())
    assert shares[0] < shares[1] < shares[2]
    assert shares[2] > 0.6


@pytest.mark.parametrize("claim_pull", [0.0, 1.0, 3.0])
def test_a_fish_is_drawn_to_places_that_it_claims(claim_pull):
    """At the border of what it claims, exp(claim_pull) to 1 for a step across it; 4 standard errors."""
    model = stage(row(males=1), parameters={"claim_pull": claim_pull})
    model.shoal.fish.cell[0] = model.tank.index[5, 4, 4]
    claim(model, 0, 1.0, *np.flatnonzero(model.tank.xyz[:, 0] >= 6))
    seen, persistence = frequencies(model, 0, draws=3000)
    into = DIRECTIONS[:, 0] > 0
    weight = np.exp(claim_pull) * persistence[into].sum()
    chance = weight / (weight + persistence[~into].sum())
    assert seen[into].sum() / 3000 == near(chance, 3000)


def test_a_blocked_step_turns_the_fish_round_and_is_spent():
    model = stage(row(males=1))
    model.shoal.fish.cell[0] = model.tank.index[0, 4, 4]
    left = int(np.flatnonzero((DIRECTIONS == (-1, 0, 0)).all(axis=1))[0])
    assert go(0, left, model.water, model.shoal) == EDGE
    assert model.shoal.fish.cell[0] == model.tank.index[0, 4, 4]
    assert DIRECTIONS[model.shoal.fish.heading[0]].tolist() == [1, 0, 0]


@rule
def wander(ticks, turning, tank, shoal, p, ledger):
    """Blind fish swim and are recorded, as in a run; then the hour is closed."""
    for tick in range(ticks):
        move_all(tick, turning, tank, shoal, p, ledger)
        record(shoal, ledger)
    close_hour(tank, shoal, ledger)


def blind_walk(spec, *, fish, ticks, speed_cm_s=10.0):
    """Tank and ledger after an hour of ``ticks`` in which blind fish wander about."""
    tank = build_tank(spec, draw_rock(spec, BARE, rng=np.random.default_rng(1)))
    shoal = blind_shoal(fish, cells=len(tank.xyz), speed_cm_s=speed_cm_s)
    shoal = shoal._replace(memory=np.zeros((fish, len(tank.refuge_cell))))
    ledger = new_ledger(fish, cells=len(tank.xyz), hours=1, measured_from=0)
    p = parameters.resolve({"activity": 1.0})
    wander(ticks, turning_table(tank.edge_cm, 20.0), water_of(tank), shoal, p, ledger)
    return tank, ledger


@needs_compiling
def test_a_blind_walker_in_an_empty_tank_is_equally_often_everywhere():
    """Glass repels nobody and draws nobody: floor, corners and open water get their share, within 3 %."""
    spec = TankSpec(length_cm=50, width_cm=40, height_cm=40, water_cm=30)
    tank, ledger = blind_walk(spec, fish=64, ticks=20_000)
    share = ledger.visits.sum(axis=0) / ledger.visits.sum()
    walls = (tank.xyz == 0) | (tank.xyz == tank.shape - 1)
    for sides in range(4):
        here = walls.sum(axis=1) == sides
        assert share[here].sum() == pytest.approx(here.mean(), rel=0.03)
    assert share.max() * len(share) == pytest.approx(1.0, abs=0.1)


@needs_compiling
def test_the_largest_share_in_one_place_of_a_blind_walker_is_the_ratio_of_the_volumes():
    """Volume within 15 cm of swimming over that of the tank, for an hour long enough to forget the start.

    Tolerance 8 %, upwards only: the largest of many nearly equal shares lies above their mean.
    """
    spec = TankSpec(length_cm=50, width_cm=40, height_cm=40, water_cm=35)
    tank, ledger = blind_walk(spec, fish=8, ticks=60_000)
    ratio = np.diff(tank.ball_start).max() / len(tank.xyz)
    shares = ledger.hours.share[:, 0]
    assert (shares > ratio).all()
    assert shares.mean() == pytest.approx(ratio, rel=0.08)


def drifted(edge_cm, *, tick_s, seconds):
    """Displacement [3000, 3] of blind fish in endless water, cm; a hundred at a time, since what a tick
    costs grows with the square of their number.
    """
    groups = (drifted_group(edge_cm, tick_s=tick_s, seconds=seconds, seed=seed) for seed in range(30))
    return np.concatenate(list(groups))


def drifted_group(edge_cm, *, tick_s, seconds, seed):
    shape, n = np.array([7, 8, 9]), 100
    water, ledger = endless_water(*shape, edge_cm=edge_cm), no_ledger(1)
    shoal = blind_shoal(n, cells=shape.prod(), speed_cm_s=8.0, seed=seed)
    shoal.fish.credit_cm[:] = -np.random.default_rng(seed).random(n) * edge_cm * STEP_CM.mean()
    p = parameters.resolve({"activity": 1.0}, tick_s=tick_s)
    turning = turning_table(edge_cm, 20.0)
    xyz = np.column_stack([water.cells.x, water.cells.y, water.cells.z])
    way = np.zeros((n, 3))
    for tick in range(round(seconds / tick_s)):
        before = xyz[shoal.fish.cell]
        move_all(tick, turning, water, shoal, p, ledger)
        way += (xyz[shoal.fish.cell] - before + 3) % shape - 3
    return way * edge_cm


@needs_compiling
def test_neither_cell_nor_tick_changes_how_far_a_fish_gets():
    """Mean square displacement after 40 s with cells of 4, 5, 6 cm and ticks of 1 and 0.5 s, within 8 %."""
    found = [
        np.square(drifted(edge, tick_s=tick_s, seconds=40)).sum(axis=1).mean()
        for edge, tick_s in ((5.0, 1.0), (4.0, 1.0), (6.0, 1.0), (5.0, 0.5))
    ]
    assert found == pytest.approx([found[0]] * 4, rel=0.08)


@needs_compiling
def test_a_fish_swims_as_many_cm_a_second_as_it_is_given():
    """Path length from the moves is cruise x activity x time, within 2 % (one step of credit)."""
    model = stage(row(males=1), keep=True, days=0.1)
    model.run()
    moves = model.ledger.moves[: model.ledger.state.n_moves[0]]
    cells = model.tank.xyz[moves[:, 3]]
    steps = np.diff(cells, axis=0)
    blocked = (steps == 0).all(axis=1).sum()
    assert blocked < len(steps) / 2
    swum = (np.sqrt((steps**2).sum(axis=1)).sum() + blocked * STEP_CM.mean()) * EDGE
    cruise = 0.8 * 0.8 * 10.0
    assert swum == pytest.approx(cruise * model.parameters.activity * model.tick, rel=0.02)


def ways(*, faster, speed):
    """Cell of fish 0 after each of 300 ticks, nobody attacking, and the sub-steps a tick needs."""
    model = TankModel(scene(row(females=2), rock=holes(hole(30.0)), days=0.1), arm=LEFT_ALONE)
    fish = model.shoal.fish
    fish.cruise_cm_s *= speed, faster
    cells = []
    for _ in range(300):
        model.step()
        cells.append(int(fish.cell[0]))
    return cells, np.ceil(fish.cruise_cm_s.max() * model.parameters.activity / EDGE)


@needs_compiling
@pytest.mark.parametrize("speed", [1.0, 2.5])
def test_how_fast_another_swims_changes_no_step_of_a_fish(speed):
    """Draws are numbered by a fish's own steps, not by the sub-steps of a tick, of which there are more."""
    (slow, few), (fast, many) = (ways(faster=faster, speed=speed) for faster in (1.0, 5.0))
    assert many > few
    assert len(set(slow)) > 50
    assert slow == fast
