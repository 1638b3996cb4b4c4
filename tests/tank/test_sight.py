"""Lines of sight, against scikit-image's line and against a plain walk along the line."""

import itertools

import numpy as np
import pytest
from rockshy.sim.tank.sight import cover_share, packed_rows, sight_table
from skimage.draw import line_nd

SHAPE = (8, 6, 5)
EVERYWHERE = 100.0


def rocky(seed, share=0.15, shape=SHAPE):
    return np.random.default_rng(seed).random(shape) >= share


def seen_matrix(water, reach=EVERYWHERE):
    index = np.full(water.shape, -1, dtype=np.int32)
    index[water] = np.arange(water.sum())
    table = sight_table(packed_rows(water), index, int(water.sum()), reach)
    bits = np.unpackbits(table, axis=1, bitorder="little")
    n = int(water.sum())
    assert not bits[:, n:].any(), "bits behind the last cell stay empty"
    return bits[:, :n].astype(bool)


def runs_between_cells(a, b):
    """Whether the line passes exactly half way between two cells at some step."""
    d = np.abs(np.subtract(b, a))
    n = d.max()
    return any(((2 * d * k) % (2 * n) == n).any() for k in range(1, n))


def walk_is_clear(water, a, b, lean):
    """Every cell on the line is open; half-way points lean away from the start (+1) or towards it (-1)."""
    a, b = np.asarray(a), np.asarray(b)
    n = np.abs(b - a).max()
    for k in range(1, n):
        place = a + (b - a) * k / n + lean * 1e-6 * np.sign(b - a)
        if not water[tuple(np.floor(place + 0.5).astype(int))]:
            return False
    return True


def test_sight_is_that_of_scikit_image():
    """Reference: skimage.draw.line_nd, for every pair whose line needs no choice between two cells."""
    water = rocky(1)
    xyz = np.argwhere(water)
    seen = seen_matrix(water)
    tested = 0
    for i, j in itertools.combinations(range(len(xyz)), 2):
        if runs_between_cells(xyz[i], xyz[j]):
            continue
        assert seen[i, j] == water[line_nd(xyz[i], xyz[j], endpoint=True)].all()
        tested += 1
    assert tested > 5000
    assert 0.1 < seen.mean() < 0.9


def test_a_line_between_two_cells_may_pass_on_either_side():
    water = rocky(3)
    xyz = np.argwhere(water)
    seen = seen_matrix(water)
    tied = [
        (i, j) for i, j in itertools.combinations(range(len(xyz)), 2) if runs_between_cells(xyz[i], xyz[j])
    ]
    assert len(tied) > 1000
    for i, j in tied:
        sides = [walk_is_clear(water, xyz[i], xyz[j], lean) for lean in (1, -1)]
        assert seen[i, j] == any(sides)


@pytest.mark.parametrize("seed", [5, 6])
def test_sight_is_mutual_and_a_cell_sees_itself(seed):
    seen = seen_matrix(rocky(seed), reach=4.5)
    assert (seen == seen.T).all()
    assert seen.diagonal().all()


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_the_mirror_image_of_a_tank_has_the_mirror_image_of_its_sight(axis):
    water = rocky(7)
    number = np.cumsum(water).reshape(water.shape) - 1
    order = np.flip(number, axis)[np.flip(water, axis)]  # cell of the tank for each cell of its image
    np.testing.assert_array_equal(seen_matrix(np.flip(water, axis)), seen_matrix(water)[np.ix_(order, order)])


@pytest.mark.parametrize("reach", [0.0, 1.0, 3.0, 4.2])
def test_nothing_is_seen_beyond_the_range(reach):
    water = np.ones(SHAPE, dtype=bool)
    xyz = np.argwhere(water)
    apart = np.linalg.norm(xyz[:, None] - xyz[None, :], axis=2)
    np.testing.assert_array_equal(seen_matrix(water, reach), apart <= reach)


def test_a_wall_with_a_window_is_seen_through_at_the_window_only():
    water = np.ones(SHAPE, dtype=bool)
    water[4] = False
    water[4, 2, 3] = True
    xyz = [tuple(place) for place in np.argwhere(water)]
    seen = seen_matrix(water)
    here = xyz.index((3, 2, 3))
    assert seen[here, xyz.index((7, 2, 3))]
    assert not seen[here, xyz.index((7, 5, 3))]
    assert not seen[xyz.index((3, 0, 0)), xyz.index((5, 0, 0))]


def test_rows_longer_than_a_machine_word():
    water = rocky(8, share=0.02, shape=(150, 4, 3))
    xyz = np.argwhere(water)
    seen = seen_matrix(water, reach=140.0)
    rng = np.random.default_rng(9)
    far_pairs = 0
    for i, j in rng.integers(len(xyz), size=(1500, 2)):
        if i == j:
            continue
        near = np.linalg.norm(xyz[i] - xyz[j]) <= 140.0
        clear = walk_is_clear(water, xyz[i], xyz[j], 1) or walk_is_clear(water, xyz[i], xyz[j], -1)
        assert seen[i, j] == (near and clear)
        far_pairs += bool(seen[i, j]) and abs(xyz[i, 0] - xyz[j, 0]) > 64
    assert far_pairs > 20


@pytest.mark.parametrize("reach", [EVERYWHERE, 3.7])
def test_cover_is_the_share_of_the_water_in_range_that_does_not_see_the_cell(reach):
    water = rocky(10)
    xyz = np.argwhere(water).astype(np.int32)
    index = np.full(water.shape, -1, dtype=np.int32)
    index[water] = np.arange(len(xyz))
    table = sight_table(packed_rows(water), index, len(xyz), reach)
    before = np.concatenate([np.zeros((1, *SHAPE[1:]), dtype=np.int64), np.cumsum(water, axis=0)])
    within = np.linalg.norm(xyz[:, None] - xyz[None, :], axis=2) <= reach
    expected = 1.0 - seen_matrix(water, reach).sum(axis=1) / within.sum(axis=1)
    np.testing.assert_allclose(cover_share(table, before, xyz, reach), expected, atol=1e-12)
    assert expected.max() > 0.2
