"""What the experiments of the evidence measure in a run: by hand-made tables and staged moves."""

from __future__ import annotations

from functools import partial
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from rockshy.analysis.evidence import contests, crowds, found, measures, places
from rockshy.analysis.evidence.lab import Lab, MeasuredRun, set_up, trials_of
from rockshy.analysis.study.runner import Runner
from rockshy.sim.run.ledger import ATTACK, CHASE, WIN
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.trials import Outcome
from rockshy.sim.scenario.scenario import StockRow

PAIR = set_up(StockRow("Tropheus moorii", 1, 1, length_cm=(9.0, 9.0)), settle=0.0, days=0.2)
TRIO = set_up(StockRow("Tropheus moorii", 2, 1), settle=0.0, days=0.2)


def chases_of(model: TankModel) -> np.ndarray:
    return np.asarray(model.ledger.pair.chases.copy())


def staged(rows: list[tuple[int, ...]]) -> TankModel:
    """A run of two fish that has not begun, with events as if it had."""
    model = TankModel(PAIR, keep=True)
    put_in(model, rows)
    return model


def put_in(model: TankModel, rows: list[tuple[int, ...]]) -> None:
    """Events instead of those of a run."""
    for k, row in enumerate(rows):
        model.ledger.events[k] = row
    model.ledger.state.n_events[0] = len(rows)


def test_a_run_of_the_bench_is_the_same_whatever_else_runs() -> None:
    """The order of the answers is that of the runs; one alone gives the same; shared runs are run once."""
    told: list[tuple[int, int]] = []
    lab = Lab(Runner(None, None, lambda done, asked: told.append((done, asked))))
    together = lab.run(trials_of(TRIO, 3, chases_of))
    alone = lab.run([MeasuredRun(TRIO, 2, chases_of)])
    assert lab.once("key", lambda: together) is lab.once("key", lambda: alone)
    assert (together[2] == alone[0]).all()
    assert (together[0] != together[1]).any()
    assert told == [(1, 3), (2, 3), (3, 3), (1, 1)]


def test_what_is_counted_in_outcomes_is_what_a_look_into_the_run_finds() -> None:
    """The same tanks, by trial, on the runner of all studies; each with its own scenario as well."""
    lab = Lab()
    counted, looked = lab.count(TRIO, 3, measures.chases), lab.run(trials_of(TRIO, 3, chases_of))
    assert all((a == b).all() for a, b in zip(counted, looked, strict=True))
    pair, trio = lab.count_each([PAIR, TRIO], measures.acts)
    assert pair.shape == (2, 2) and (trio >= counted[1]).all()
    males, females = (lab.count(TRIO, 1, partial(measures.chases_among, sex=sex))[0] for sex in (0, 1))
    assert (males, females) == (counted[0][:2, :2].sum(), counted[0][2:, 2:].sum())
    assert lab.count(TRIO, 1, measures.all_acts)[0] == lab.count(TRIO, 1, measures.acts)[0].sum()


def test_kept_events_and_moves_change_no_run() -> None:
    """Keeping events without moves is the same run as keeping neither."""

    def both(model: Any) -> tuple[np.ndarray, int]:
        return chases_of(model), int((measures.events_of(model)[:, 1] == CHASE).sum())

    plain = MeasuredRun(TRIO, 1, both).carry_out()
    events = MeasuredRun(TRIO, 1, both, events=True).carry_out()
    moves = MeasuredRun(TRIO, 1, both, events=True, moves=True).carry_out()
    assert plain[0].sum() > 0 and plain[1] == 0
    assert (plain[0] == events[0]).all() and (plain[0] == moves[0]).all()
    assert events[1] == moves[1] == plain[0].sum()


def test_a_fish_taken_out_later_changes_nothing_before() -> None:
    """Same fish and luck until then: what F6 and F18 rest on."""
    rows = [StockRow("Tropheus moorii", males=1), StockRow("Tropheus moorii", males=1, females=1)]
    short = set_up(*rows, settle=0.0, days=0.2)
    cut = found.without(short, 0, days=0.4)
    assert cut.timeline.stays["Tropheus moorii male 1"] == ((0.0, 0.2),) and cut.run.settle_days == 0.2

    def first_part(model: Any) -> np.ndarray:
        events = measures.events_of(model)
        return events[events[:, 0] < 0.2 * model.lit_ticks]

    def later(model: Any) -> int:
        events = measures.events_of(model)
        events = events[events[:, 0] > 0.2 * model.lit_ticks]
        return int((events[:, 2:4] == 0).sum())

    before = MeasuredRun(short, 0, first_part, events=True).carry_out()
    after = MeasuredRun(cut, 0, first_part, events=True).carry_out()
    assert len(before) > 0 and (before == after).all()
    assert MeasuredRun(cut, 0, later, events=True).carry_out() == 0


def test_pairs_are_decided_by_a_binomial_test() -> None:
    """Six to nothing is decided, five to nothing is not; one that leads all others is a clear top."""
    acts = np.array([[0, 6, 6], [0, 0, 5], [0, 0, 0]])
    assert measures.decided_pairs(acts).tolist() == [[False, True, True], [False] * 3, [False] * 3]
    assert measures.undecided_share(acts) == pytest.approx(1 / 3)
    assert measures.has_clear_top(acts)
    assert not measures.has_clear_top(acts * 0)


def test_ranks_and_pairs() -> None:
    """Fish 2 over 0 over 1: distances, acts per pair, and pairs that turned."""
    acts = np.array([[0, 9, 0], [1, 0, 0], [7, 8, 0]])
    assert measures.by_rank(acts).tolist() == [2, 0, 1]
    distance = measures.rank_distance(acts)
    assert distance.tolist() == [[0, 1, 1], [1, 0, 2], [1, 2, 0]]
    assert measures.per_pair(acts, distance == 1) == pytest.approx((9 + 1 + 7) / 2)
    assert measures.per_pair(acts, distance == 2) == 8
    assert measures.reversed_pairs(acts, acts.T).tolist() == [True, True, True]
    assert measures.reversed_pairs(acts, acts * 0).tolist() == [False, False, False]
    assert measures.upward_share(acts) == pytest.approx(1 / 25)
    top = measures.top_and_bottom(acts)
    assert top == pytest.approx((15 / 25, 1 / 25, 17 / 25))


def test_acts_are_sorted_by_day() -> None:
    """Only those of the day, and of the kinds that are asked for."""
    model = staged([(0, CHASE, 0, 1, 0, 0), (36_000, CHASE, 1, 0, 0, 0), (36_001, ATTACK, 1, 0, 0, 0)])
    assert measures.acts_by_day(model, 0, (CHASE,)).tolist() == [[0, 1], [0, 0]]
    assert measures.acts_by_day(model, 1, (CHASE,)).tolist() == [[0, 0], [1, 0]]
    assert measures.acts_by_day(model, 1, (CHASE, ATTACK)).tolist() == [[0, 0], [2, 0]]
    model.close()


def test_the_first_win_counts_and_none_is_minus_one() -> None:
    """Whoever wins later."""
    model = staged([(5, CHASE, 0, 1, 0, 0), (9, WIN, 1, 0, 0, 0), (10, WIN, 0, 1, 0, 0)])
    assert measures.first_win(model) == 1
    model.close()
    nothing = staged([])
    assert measures.first_win(nothing) == -1
    nothing.close()


def test_flights_after_a_contest_and_at_a_crevice_are_left_out() -> None:
    """The way to the nearest crevice that fits, and how near the chaser was, cm."""
    model = staged([])
    tank = model.tank
    hole = int(np.flatnonzero(~tank.refuge_corner & (tank.refuge_mouth_cm > 4.0))[0])
    at_hole = int(tank.refuge_cell[hole])
    fits = ~tank.refuge_corner & (tank.refuge_mouth_cm >= model.shoal.fish.depth_cm[1])
    ways = tank.path[: len(fits)][fits].min(axis=0) * tank.edge_cm / 3.0
    far = int(np.argmax(np.where(ways < 1000.0, ways, -1.0)))
    beside = int(tank.neighbour[far][tank.neighbour[far] >= 0][0])
    rows = [(7, WIN, 0, 1, 0, far), (7, CHASE, 0, 1, beside, far), (9, CHASE, 0, 1, beside, far)]
    rows.append((11, CHASE, 0, 1, beside, at_hole))
    put_in(model, rows)
    away = measures.straight_cm(tank, beside, far)
    assert measures.flights(model).tolist() == [[pytest.approx(ways[far]), pytest.approx(away)]]
    model.close()


def test_an_intruder_on_the_border_is_one_intrusion() -> None:
    """Coming within the radius begins one; only going well beyond it ends it."""
    model = TankModel(PAIR, keep=True)
    radius = float(model.shoal.fish.core_cm[0])
    way = model.tank.path[0].astype(float) * model.tank.edge_cm / 3.0
    inside, border, outside = (int(np.argmin(np.abs(way - share * radius))) for share in (0.5, 1.1, 2.0))
    visits = [outside, inside, border, inside, outside, inside]
    for k, cell in enumerate(visits):
        model.ledger.moves[k] = (600 * k, 0, 1, cell)
    model.ledger.state.n_moves[0] = len(visits)
    model.ledger.hours.centre[0, :] = 0
    assert way[outside] > 1.2 * radius and way[border] > radius
    assert model.hours == 2 and measures.kept_hours(model, 0).tolist() == [False, True]
    assert measures._intrusions(model, 1, 0, 0) == 2
    model.close()


def test_a_resident_is_alone_or_away_until_the_stranger_comes() -> None:
    """N3: the stranger's hour begins as it comes in, and as the resident comes back."""
    for pair in (contests.stranger_at(2.0), contests.stranger_at(3.2, away=0.2, cm=9.0)):
        came = pair.stock[1].day
        assert pair.measured_days == (came, pytest.approx(came + contests.HOUR))
        assert len(pair.measured_fish) == 2
    assert pair.timeline.stays["Maylandia zebra male 1"] == ((0.0, 3.0), (3.2, np.inf))
    assert pair.stock[1].length_cm == (9.0, 9.0)


def test_walls_stand_as_far_from_the_patch_as_they_should() -> None:
    """N5: 10 cm round the crevice, then 0, 11 or 22 cm, then a wall on either side; it can be swum round."""
    for far_cm in places.WALLS_CM:
        left, right = places.walled(far_cm).objects
        assert 50.0 - (left.x_cm + left.length_cm) == right.x_cm - 50.0 == 10.0 + far_cm
        assert left.y_cm == right.y_cm == 5.0 and left.y_cm + left.width_cm == 50.0
    assert places._slope((0.0, 10.0, 20.0), np.array([3.0, 4.0, 5.0])) == pytest.approx(0.1)
    assert np.isnan(places._slope((0.0, 10.0, 20.0), np.array([3.0, np.nan, 5.0])))


def test_pots_and_chases_on_the_other_species() -> None:
    """N7: as many pots as asked for, apart. N6: only those of the one kind on the other count."""
    for pots in (10, 5, 2, 1):
        holes = crowds.among_pots(pots).rock.crevices
        assert holes is not None and len({one.x_cm for one in holes}) == pots
    kinds = [SimpleNamespace(species=name) for name in (found.ZEBRA, found.ZEBRA, found.MILD)]
    columns = {"chases": np.array([[0, 1, 5], [1, 0, 2], [9, 9, 0]])}
    assert crowds._on_others(Outcome("", 0, 0, tuple(kinds), columns)) == 7.0


def test_slopes_over_cover() -> None:
    """In shares of the mean, and in cm from the first cover with rock on; too little tells nothing."""
    assert places.relative_slope(np.array([10.0, 10, 10, 10, 10])) == pytest.approx(0.0)
    falling = np.array([1.3, 1.15, 1.0, 0.85, 0.7])
    assert places.relative_slope(falling * 50) == pytest.approx(-1.0)
    assert np.isnan(places.relative_slope(np.zeros(5)))
    reach = np.array([np.nan, 40.0, 37.0, 34.0, 31.0])
    assert places.reach_slope(reach) == pytest.approx(-20.0)
    assert np.isnan(places.reach_slope(np.array([1.0, np.nan, 1.0, np.nan, 2.0])))


def test_attacks_per_intrusion_against_attacks_per_hour() -> None:
    """Twice the intrusions and twice the attacks: nothing per intrusion, all of it per hour."""
    one = np.ones(4)
    same = places.more_by_the_hour(one, 2 * one, 20 * one, one, one, 10 * one)
    assert same == pytest.approx(np.log(2.0))
    ceiling = places.more_by_the_hour(one, one, 20 * one, one, one, 10 * one)
    assert ceiling == pytest.approx(-np.log(2.0))
    assert places.by_the_hour(one, 3 * one, one, one) == pytest.approx(3.0)
