"""What a film is made of: recording, coding, smooth ways that never lead through rock."""

from __future__ import annotations

from collections.abc import Callable

import film_examples
import numpy as np
import pytest
from film_examples import HOT, MILD, recorded, told, two_kinds
from hypothesis import given
from hypothesis import strategies as st
from rockshy.analysis.film.coding import (
    Doings,
    Way,
    _numbers,
    bytes_of,
    doings_of,
    packed_bits,
    packed_doings,
    packed_way,
    text_of,
    units_of,
    unpacked_doings,
    unpacked_way,
    ways_of,
)
from rockshy.analysis.film.data import codes_of, film_data
from rockshy.analysis.film.place import Place, place_at, track_of
from rockshy.analysis.film.recording import GROUND_EVERY, WindowError, record
from rockshy.analysis.film.scene import scene_of
from rockshy.analysis.film.seen import Onlooker
from rockshy.sim.fish.shoal import SHELTERED
from rockshy.sim.run.keeping import kept_run
from rockshy.sim.run.model import TankModel
from rockshy.sim.scenario.changes import with_events
from rockshy.sim.scenario.timeline import RockAnew
from rockshy.sim.tank.tank import cell_centres_cm
from rockshy.sim.tank.water import BLOCK_CM

# ---- recording


def test_a_recording_is_the_same_run_as_any_other() -> None:
    one = recorded()
    model = TankModel(two_kinds(), trial=1, keep=True)
    run = kept_run(model)
    mine = run.events[(run.events[:, 0] >= one.start) & (run.events[:, 0] < one.start + one.ticks)]
    assert len(mine) > 10
    np.testing.assert_array_equal(one.events[:, 1:], mine[:, 1:])
    np.testing.assert_array_equal(one.events[:, 0] + one.start, mine[:, 0])
    moves = run.moves[(run.moves[:, 0] >= one.start) & (run.moves[:, 0] < one.start + one.ticks)]
    steps = one.moves[one.moves[:, 0] > 0]
    in_both = {tuple(row) for row in moves[moves[:, 0] > one.start].tolist()}
    assert len(steps) > 300
    assert {(t + one.start, s, i, place) for t, s, _, i, place in steps.tolist()} <= in_both | {
        (180, 0, 9, int(place)) for place in moves[(moves[:, 0] == 180) & (moves[:, 2] == 9), 3]
    }


def test_a_fish_that_comes_in_is_there_from_then_on() -> None:
    one = recorded()
    assert not one.present[:60, 9].any()
    assert one.present[60:, 9].all()
    assert one.moves[one.moves[:, 3] == 9, 0].min() == 60


def test_what_a_fish_does_agrees_with_where_it_is() -> None:
    one = recorded()
    last = {i: one.moves[one.moves[:, 3] == i][-1, 4] for i in range(len(one.label))}
    for i, place in last.items():
        assert (place < 0) == (one.doing[-1, i] == SHELTERED)
    assert (one.doing == SHELTERED).any() and (one.doing == 3).any()


@pytest.mark.parametrize(("start", "ticks"), [(-1, 60), (7100, 200), (3590, 60), (0, 0)])
def test_a_window_outside_the_run_or_across_a_night_is_refused(start: int, ticks: int) -> None:
    with pytest.raises(WindowError):
        record(two_kinds(), trial=0, start=start, ticks=ticks)


def test_the_last_second_of_a_day_is_not_yet_night() -> None:
    one = record(two_kinds(), trial=1, start=3590, ticks=10)
    assert one.moves[:, 0].max() <= 9
    np.testing.assert_array_equal(one.doing[9], one.doing[8])


def test_a_rescape_within_the_window_is_refused_and_before_it_the_old_rock_is_shown() -> None:
    scenario = with_events(two_kinds(), RockAnew(day=0.5))
    with pytest.raises(WindowError, match="laid anew"):
        record(scenario, trial=1, start=1790, ticks=60)
    before = record(scenario, trial=1, start=1000, ticks=5)
    after = record(scenario, trial=1, start=2000, ticks=5)
    assert (before.rock.top_cm != after.rock.top_cm).any()
    for one in (before, after):
        holes = len(one.rock.crevices)
        assert (~one.tank.refuge_corner).sum() == holes


# ---- coding


def assert_same(one: Way | Doings, other: Way | Doings) -> None:
    for here, there in zip(one, other, strict=True):
        np.testing.assert_array_equal(here, there)


def test_ways_and_doings_come_back_out_of_their_bytes() -> None:
    ways = ways_of(recorded(), units=units_of(recorded()))
    assert any((way.hole >= 0).any() for way in ways)
    for way in ways:
        assert_same(way, unpacked_way(bytes_of(text_of(packed_way(way)))))
    for done in doings_of(recorded()):
        assert_same(done, unpacked_doings(packed_doings(done)))


def _rows(*columns: tuple[int, int], **how: int) -> st.SearchStrategy[list[tuple[int, ...]]]:
    return st.lists(st.tuples(*(st.integers(*ends) for ends in columns)), max_size=30, **how)


@given(_rows((1, 5000), (0, 200), (0, 200), (0, 200), (-1, 3), min_size=1))
def test_any_way_comes_back_out_of_its_bytes(rows: list[tuple[int, ...]]) -> None:
    table = np.array(rows)
    way = Way(np.cumsum(table[:, 0]), table[:, 1:4], table[:, 4])
    assert_same(way, unpacked_way(packed_way(way)))


@given(_rows((1, 3000), (0, 5), (0, 7), (-1, 60)))
def test_any_doings_come_back_out_of_their_bytes(rows: list[tuple[int, ...]]) -> None:
    table = np.array(rows, dtype=np.int64).reshape(-1, 4)
    done = Doings(np.cumsum(table[:, 0]), *table[:, 1:].T)
    assert_same(done, unpacked_doings(packed_doings(done)))


@given(st.lists(st.integers(0, 1), max_size=400))
def test_any_row_of_bits_comes_back_out_of_its_runs(bits: list[int]) -> None:
    runs = list(_numbers(packed_bits(np.array(bits, np.uint8))))
    assert np.repeat(np.arange(len(runs)) % 2, runs).tolist() == bits


# ---- smooth ways


def _ways() -> tuple[list[Way], Callable[[int, float], Place], list[Place]]:
    """Ways of all fish, where fish i is at a unit of time in cells, and the mouths of the holes."""
    one = recorded()
    units, cell = units_of(one), np.array([80.0, 40.0, 40.0]) / one.tank.shape
    mouths = [tuple(place / cell) for place in scene_of(one).mouths]
    ways = ways_of(one, units=units)
    tracks = [track_of(way) for way in ways]
    return ways, lambda i, at: place_at(tracks[i], at, units=units, tick_s=1.0, holes=mouths, i=i), mouths


def test_no_smooth_way_leads_through_rock() -> None:
    """At every moment looked at each fish is in open water, or between its hole and the mouth of it."""
    one, checked = recorded(), 0
    (ways, place_of, mouths), units = _ways(), units_of(one)
    for i, way in enumerate(ways):
        for unit in np.arange(way.time[0], one.ticks * units, 0.64):
            place = np.array(place_of(i, float(unit)))
            cell = np.floor(place).astype(int)
            inside = (cell >= 0).all() and (cell < one.tank.shape).all()
            if inside and one.tank.index[tuple(cell)] >= 0:
                checked += 1
                continue
            k = int(np.searchsorted(way.time, unit, side="right")) - 1
            hole = max(way.hole[k], way.hole[max(0, k - 1)])
            assert hole >= 0, f"fish {i} is in rock at {unit / units:.2f} s"
            ends = np.array([one.tank.xyz[one.tank.refuge_cell[hole]] + 0.5, mouths[hole]])
            assert (place >= ends.min(axis=0) - 0.75).all() and (place <= ends.max(axis=0) + 0.75).all()
    assert checked > 20_000


def test_a_smooth_way_never_jumps() -> None:
    """In a fiftieth of a second no fish moves more than its cell is long, and mostly far less."""
    (ways, place_of, _), units = _ways(), units_of(recorded())
    for i, way in enumerate(ways):
        at = np.arange(way.time[0], recorded().ticks * units, units / 50)
        steps = np.abs(np.diff([place_of(i, float(unit)) for unit in at], axis=0)).max(axis=1)
        assert steps.max() < 1.0
        assert np.quantile(steps, 0.99) < 0.3


def test_a_smooth_way_is_in_the_cell_that_was_recorded() -> None:
    ways, place_of, _ = _ways()
    for i, way in enumerate(ways):
        free = (way.hole[:-1] < 0) & (np.roll(way.hole, 1)[:-1] < 0)
        for k in np.flatnonzero(free):
            middle = (way.time[k] + way.time[k + 1]) / 2
            assert np.abs(np.array(place_of(i, middle)) - way.cell[k] - 0.5).max() < 0.5 + 0.23


# ---- scene and data


def test_stones_are_as_high_as_the_rock_and_stand_in_the_tank() -> None:
    one = recorded()
    scene = scene_of(one)
    stones = [solid for solid in scene.solids if solid.colours[1] != solid.colours[2]]
    top = max(float(stone.outline[:, 1].max()) for stone in stones)
    assert top == pytest.approx(one.rock.top_cm.max(), rel=0.2)
    covered = np.zeros(80, bool)
    for stone in stones:
        low, high = stone.outline[:, 0].min(), stone.outline[:, 0].max()
        assert low >= -0.01 and high <= 80.01 and stone.outline[:, 1].min() >= 0
        covered[int(low) : int(high) + 1] = True
    rocky = one.rock.top_cm.max(axis=1) > 3
    assert (covered == rocky).mean() > 0.85
    depths = [solid.depth_cm for solid in scene.solids]
    assert depths == sorted(depths, reverse=True)


def test_mouths_lie_where_the_crevices_are() -> None:
    one = recorded()
    places = scene_of(one).mouths
    cells = cell_centres_cm(one.scenario.tank, one.tank.xyz[one.tank.refuge_cell])
    for k, it in enumerate(one.rock.crevices):
        assert places[k] == pytest.approx((it.x_cm, it.y_cm, it.z_cm))
    corners = one.tank.refuge_corner
    np.testing.assert_array_equal(places[corners], cells[corners])


def test_a_film_shows_who_holds_which_ground() -> None:
    one = recorded(start=3300)
    (tank,) = film_data([("", one)], told(one))["tanks"]
    assert tank["blocks"] == {"many": [8, 4], "sides": [10.0, 10.0]}
    held = one.ground.any(axis=3)
    shown = np.zeros_like(held[0])
    for k in range(len(held)):
        for tick, fish, bits in tank["grounds"]:
            if tick == k * GROUND_EVERY:
                found = np.unpackbits(np.frombuffer(bytes_of(bits), np.uint8), count=32, bitorder="little")
                shown[fish] = found.reshape(8, 4)
        np.testing.assert_array_equal(shown, held[k])
    assert held[-1].any(axis=(1, 2))[one.centre[-1] >= 0].all(), "whoever has a centre holds its place"
    chases = one.events[:, 1] == 0
    assert 0 < one.on_ground[chases].sum() < chases.sum()
    for on_ground, (tick, _, actor, *_, cell) in zip(one.on_ground, one.events, strict=True):
        if on_ground:
            place = ((one.tank.xyz[cell] + 0.5) * one.tank.edge_cm / BLOCK_CM).astype(int)
            looks = one.ground[tick // GROUND_EVERY : tick // GROUND_EVERY + 2, actor]
            assert looks[(slice(None), *place)].any()


def test_a_film_says_what_happened() -> None:
    one, film = recorded(), film_examples.film()
    tank = film["tanks"][0]
    assert [row[:4] for row in tank["log"]] == one.events[:, :4].tolist()
    chases = [row for row in tank["log"] if row[1] == 0]
    assert len(chases) > 2
    happened = one.events[:, 1] == 0
    places = one.tank.xyz[one.events[happened, 4:]] * one.tank.edge_cm
    assert [row[4] for row in chases] == [round(float(np.hypot.reduce(a - b))) for a, b in places]
    assert [row[5] for row in chases] == one.on_ground[happened].astype(int).tolist()
    for tick, _, _, target, _, _, hides in chases:
        later = one.doing[tick : tick + 30, target]
        assert bool(hides) == (SHELTERED in later and 0 not in later[: int((later == SHELTERED).argmax())])
    assert tank["fish"][film["follow"]]["label"] == f"{MILD} female 1"
    assert len({fish["code"] for fish in tank["fish"]}) == 10


def test_an_onlooker_sees_those_that_are_there_the_farthest_first() -> None:
    film = film_examples.film()
    eyes = Onlooker(film, film["tanks"][0])
    assert {fish.i for fish in eyes.look(10.0)} == set(range(9))
    seen = eyes.look(200.0)
    assert len(seen) == 10
    assert [fish.at[1] for fish in seen] == sorted((fish.at[1] for fish in seen), reverse=True)
    one = recorded()
    for fish in seen:
        assert (fish.hole >= 0) == (one.doing[199, fish.i] == SHELTERED) or fish.doing == SHELTERED
        assert fish.doing == one.doing[200, fish.i]


def test_species_of_a_film_look_as_in_the_still_pictures() -> None:
    from rockshy.analysis.pictures.look import species_looks

    film, looks = film_examples.film(), species_looks([MILD, HOT], film_examples.two_kinds().species)
    for kind in film["species"]:
        look = looks[kind["name"]]
        worn = [wear["colours"]["body"] for wear in kind["wear"]]
        assert worn == [look.female.body, look.male.body] and worn[0] != worn[1]
        assert [wear["marks"] for wear in kind["wear"]] == [[], ["bars"]]
        assert kind["said"] == "male blue with black bars, female orange"
        assert (kind["letter"], kind["short"]) == (look.letter, look.short)
    assert len({str(kind["dashes"]) for kind in film["species"]}) == 2
    assert codes_of(recorded(), looks)[0] == film["tanks"][0]["fish"][0]["code"]
