"""Ways through the water, against SciPy's Dijkstra on the same graph."""

import numpy as np
import pytest
from rockshy.sim.tank.paths import (
    DIRECTIONS,
    FAR,
    STEP_CM,
    STEP_THIRDS,
    balls,
    neighbour_table,
    open_ball_size,
    path_fields,
)
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

SHAPE = (9, 7, 5)


def cells_of(water):
    index = np.full(water.shape, -1, dtype=np.int32)
    index[water] = np.arange(water.sum())
    return index, np.argwhere(water).astype(np.int32)


def neighbours_of(water):
    index, xyz = cells_of(water)
    return neighbour_table(np.pad(index, 1, constant_values=-1), xyz)


def rocky(seed, share=0.25, shape=SHAPE):
    return np.random.default_rng(seed).random(shape) >= share


def reference_lengths(neighbour):
    """Shortest chamfer lengths between all cells. Reference: scipy.sparse.csgraph.dijkstra."""
    cell, k = np.nonzero(neighbour >= 0)
    weights = np.array([3, 4, 5])[np.abs(DIRECTIONS).sum(axis=1) - 1]
    graph = csr_matrix((weights[k], (cell, neighbour[cell, k])), shape=(len(neighbour),) * 2)
    lengths = dijkstra(graph)
    return np.where(np.isfinite(lengths), lengths, float(FAR))


def test_the_26_directions_are_distinct_and_ordered_by_length():
    assert len({tuple(step) for step in DIRECTIONS}) == 26
    assert np.abs(DIRECTIONS).max() == 1
    assert STEP_THIRDS.tolist() == [3] * 6 + [4] * 12 + [5] * 8
    np.testing.assert_allclose(STEP_CM, np.linalg.norm(DIRECTIONS, axis=1))


def test_a_step_needs_every_cell_of_the_box_it_spans():
    water = rocky(1)
    index, xyz = cells_of(water)
    neighbour = neighbours_of(water)
    for cell, place in enumerate(xyz):
        for k, step in enumerate(DIRECTIONS):
            low = np.minimum(place, place + step)
            high = np.maximum(place, place + step)
            box = water[low[0] : high[0] + 1, low[1] : high[1] + 1, low[2] : high[2] + 1]
            inside = (low >= 0).all() and (high < water.shape).all()
            expected = index[tuple(place + step)] if inside and box.all() else -1
            assert neighbour[cell, k] == expected


@pytest.mark.parametrize("seed", [4, 5, 6])
def test_path_lengths_are_those_of_dijkstra(seed):
    neighbour = neighbours_of(rocky(seed))
    sources = np.arange(0, len(neighbour), 17, dtype=np.int32)
    path, _ = path_fields(neighbour, sources)
    np.testing.assert_array_equal(path, reference_lengths(neighbour)[sources])


def test_no_way_is_far_and_has_no_first_step():
    water = np.ones(SHAPE, dtype=bool)
    water[4] = False
    index, _ = cells_of(water)
    path, toward = path_fields(neighbours_of(water), index[0, 0, :1])
    beyond = index[5:].ravel()
    assert (path[0, beyond] == FAR).all()
    assert (toward[0, beyond] == -1).all()
    assert (path[0, index[:4].ravel()] < FAR).all()


@pytest.mark.parametrize("seed", [7, 8])
def test_first_steps_descend_and_ties_go_to_the_highest_direction(seed):
    neighbour = neighbours_of(rocky(seed))
    sources = np.arange(3, len(neighbour), 29, dtype=np.int32)
    path, toward = path_fields(neighbour, sources)
    for row, source in enumerate(sources):
        assert toward[row, source] == -1
        for cell in np.nonzero((path[row] > 0) & (path[row] < FAR))[0]:
            ways = [
                k
                for k in range(26)
                if neighbour[cell, k] >= 0
                and path[row, neighbour[cell, k]] + STEP_THIRDS[k] == path[row, cell]
            ]
            assert toward[row, cell] == max(ways)


def test_in_open_water_the_first_steps_make_a_way_of_least_cm():
    index, xyz = cells_of(np.ones(SHAPE, dtype=bool))
    neighbour = neighbours_of(np.ones(SHAPE, dtype=bool))
    source = index[1, 2, 3]
    _, toward = path_fields(neighbour, np.array([source], dtype=np.int32))
    for cell in range(len(xyz)):
        low, mid, high = sorted(np.abs(xyz[cell] - xyz[source]))
        edges, at = 0.0, cell
        while at != source:
            edges += STEP_CM[toward[0, at]]
            at = neighbour[at, toward[0, at]]
        assert edges == pytest.approx(low * 3**0.5 + (mid - low) * 2**0.5 + (high - mid))


@pytest.mark.parametrize("limit", [0, 6, 9, 11])
def test_balls_hold_the_cells_within_a_short_swim(limit):
    neighbour = neighbours_of(rocky(9))
    lengths = reference_lengths(neighbour)
    start, ball = balls(neighbour, limit, open_ball_size(limit))
    for cell in range(len(neighbour)):
        inside = ball[start[cell] : start[cell + 1]]
        assert inside[0] == cell
        assert sorted(inside) == np.nonzero(lengths[cell] <= limit)[0].tolist()
        assert (np.diff(lengths[cell, inside]) >= 0).all()


def test_the_largest_ball_is_the_one_in_open_water():
    shape = (9, 11, 13)
    index, _ = cells_of(np.ones(shape, dtype=bool))
    start, _ = balls(neighbours_of(np.ones(shape, dtype=bool)), 12, open_ball_size(12))
    centre = index[4, 5, 6]
    assert start[centre + 1] - start[centre] == open_ball_size(12) == np.diff(start).max()
