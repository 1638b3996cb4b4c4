"""Rockwork: cover, height, heaps, crevices and the keeper's own sketch."""

from dataclasses import replace

import numpy as np
import pytest
from rockshy.sim.scenario.scenario import CreviceSpec, ObjectSpec, RockSpec, TankSpec
from rockshy.sim.tank.rockwork import RockDraw, describe_rock, draw_rock, rock_top_cm

TANK = TankSpec(length_cm=130, width_cm=55, height_cm=45, water_cm=40)


def drawn(tank=TANK, seed=1, draw=None, **rock):
    asked = {"cover": 0.35, "height_cm": 25.0, "piece_cm": 14.0} | rock
    return draw_rock(tank, RockSpec(**asked), rng=np.random.default_rng(seed), draw=draw)


def same(one, other):
    arrays = all(np.array_equal(a, b) for a, b in zip(one[:-1], other[:-1], strict=True))
    return arrays and one.crevices == other.crevices


@pytest.mark.parametrize("cover", [0.05, 0.2, 0.5, 0.8])
@pytest.mark.parametrize("piles", [1, 3])
@pytest.mark.parametrize("piece_cm", [7.0, 20.0])
def test_rock_covers_the_share_of_the_floor_asked_for(cover, piles, piece_cm):
    for seed in range(5):
        rock = drawn(seed=seed, cover=cover, piles=piles, piece_cm=piece_cm)
        assert (rock.top_cm > 0).mean() == pytest.approx(cover, abs=0.02)


def test_no_cover_is_no_rock():
    rock = drawn(cover=0.0, height_cm=0.0)
    assert not rock.top_cm.any()
    assert len(rock.pieces) == 0
    assert rock.crevices == ()


def test_cover_without_height_is_refused():
    with pytest.raises(ValueError, match="height above 0"):
        drawn(height_cm=0.0)


@pytest.mark.parametrize("seed", range(4))
def test_more_cover_keeps_the_rock_that_was_there(seed):
    rocks = [drawn(seed=seed, cover=cover, piles=2) for cover in (0.1, 0.3, 0.31, 0.6)]
    for less, more in zip(rocks, rocks[1:], strict=False):
        kept = len(less.pieces) - 1  # the last may have been laid smaller
        np.testing.assert_array_equal(less.pieces[:kept], more.pieces[:kept])
        assert (less.top_cm <= more.top_cm + 1e-9).all()
        assert less.top_cm.sum() < more.top_cm.sum()


@pytest.mark.parametrize("seed", range(4))
def test_higher_rock_stands_in_the_same_place(seed):
    low, high = (drawn(seed=seed, height_cm=height) for height in (20.0, 35.0))
    np.testing.assert_array_equal(low.top_cm > 0, high.top_cm > 0)
    assert high.top_cm.mean() > low.top_cm.mean()


@pytest.mark.parametrize("seed", range(4))
def test_the_highest_rock_has_the_height_asked_for(seed):
    assert 0.9 * 25.0 < drawn(seed=seed).top_cm.max() <= 25.0


def test_heaps_are_highest_inside_and_stand_towards_the_back():
    heights = np.mean([drawn(seed=seed, cover=0.3).top_cm for seed in range(20)], axis=0)
    width = heights.shape[1]
    assert heights[:, width // 2 :].sum() > 2 * heights[:, : width // 2].sum()
    middle, rim = [], []
    for seed in range(20):
        top = drawn(seed=seed, cover=0.3).top_cm
        rock = np.argwhere(top > 0)
        out = np.linalg.norm(rock - rock.mean(axis=0), axis=1)
        inner = out < np.median(out)
        middle.append(top[tuple(rock[inner].T)].mean())
        rim.append(top[tuple(rock[~inner].T)].mean())
    assert np.mean(middle) > 1.2 * np.mean(rim)


@pytest.mark.parametrize("piles", [2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_heaps_are_separated_by_gaps(piles, seed):
    rock = drawn(seed=seed, cover=0.3, piles=piles, piece_cm=8.0)
    bare = ~(rock.top_cm > 0).any(axis=1)
    for border in range(1, piles):
        at = round(border * len(bare) / piles)
        assert bare[at - 3 : at + 3].all()
    for heap in np.array_split(rock.top_cm, piles):
        assert heap.any()


def test_every_piece_has_an_irregular_top():
    rock = drawn()
    for x, y, long, short, *_ in rock.pieces:
        around = np.linspace(0.0, 2.0 * np.pi, 8, endpoint=False)
        ring = rock_top_cm(rock, x + 0.4 * short * np.cos(around), y + 0.4 * short * np.sin(around))
        assert np.ptp(ring) > 0.0, (x, y, long)


def test_same_random_numbers_same_rock_whatever_the_cells():
    assert same(drawn(seed=3), drawn(seed=3))
    assert same(drawn(seed=3), drawn(tank=replace(TANK, cell_cm=4.0), seed=3))
    assert not same(drawn(seed=3), drawn(seed=4))


@pytest.mark.parametrize("seed", range(6))
def test_mouths_lie_at_the_surface_of_the_rock(seed):
    rock = drawn(seed=seed)
    assert len(rock.crevices) > 5
    for hole in rock.crevices:
        x, y, z = hole.x_cm, hole.y_cm, hole.z_cm
        assert 0 <= x <= 130 and 0 <= y <= 55 and 0 <= z < 40
        back = np.array(hole.outward[:2]) / np.linalg.norm(hole.outward[:2])
        heights = rock_top_cm(rock, x - back[0] * np.array([0, 1]), y - back[1] * np.array([0, 1]))
        assert heights.max() >= z - 1e-9, "rock behind it"
        assert rock_top_cm(rock, x, y) <= z + 1e-9, "water in front of it"
        assert np.linalg.norm(hole.outward) == pytest.approx(1.0)
        assert hole.outward[2] >= 0.0
    assert len({hole.z_cm for hole in rock.crevices}) > len(rock.crevices) // 2, "at all heights"


def test_crevices_are_sized_by_the_pieces_and_the_guess():
    draw = RockDraw(crevices_per_piece=2.0, mouth_low=0.3, mouth_high=0.4, depth_low=1.0, depth_high=1.2)
    for size in (10.0, 20.0):
        for hole in drawn(piece_cm=size, draw=draw, height_cm=30.0).crevices:
            assert 0.3 * size <= hole.mouth_cm <= 0.4 * size
            assert 1.0 * size <= hole.depth_cm <= 1.2 * size
            assert hole.openings in (1, 2)


def test_crevices_are_in_proportion_to_the_pieces():
    counts = []
    for seed in range(30):
        rock = drawn(seed=seed, cover=0.2, height_cm=14.0)  # one layer of pieces
        counts.append(len(rock.crevices) / len(rock.pieces))
    assert 1.2 < np.mean(counts) < 1.6  # 1.5 asked for, a few face nothing but glass
    none = drawn(draw=RockDraw(crevices_per_piece=0.0))
    assert none.crevices == ()


def test_at_most_64_crevices_and_the_deepest_of_them():
    many = drawn(cover=0.5, piece_cm=5.0)
    assert len(many.crevices) == 64
    depths = [hole.depth_cm for hole in many.crevices]
    assert np.mean(depths) > 1.1 * 5.0  # the mean of all would be one piece


def test_a_sketch_is_read_back_row_first_and_left_end_first():
    sketch = ("5000", "0000", "0021")
    rock = drawn(sketch=sketch, sketch_step_cm=4.0, cover=0.0)
    left, right, front, back = 10.0, 120.0, 5.0, 50.0
    assert rock_top_cm(rock, left, back) == 20.0
    assert rock_top_cm(rock, right, back) == 0.0
    assert rock_top_cm(rock, right, front) == 4.0
    assert rock_top_cm(rock, right - 30.0, front) == 8.0
    assert rock_top_cm(rock, left, front) == 0.0
    assert (rock.top_cm > 0).mean() == pytest.approx(3 / 12, abs=0.02)
    assert rock.crevices, "a sketch of heights alone has its crevices drawn"


def test_rock_has_as_many_crevices_drawn_as_in_a_sketch_of_the_same_heights():
    counts = {"drawn": 0, "sketched": 0}
    for seed in range(20):
        rock = drawn(seed=seed, cover=0.4)
        heights = rock.top_cm[2::5, 2::5].T[::-1]
        rows = tuple("".join(str(min(9, round(float(cm) / 3.0))) for cm in row) for row in heights)
        sketched = drawn(seed=seed + 100, sketch=rows, sketch_step_cm=3.0, cover=0.0)
        counts["drawn"] += len(rock.crevices)
        counts["sketched"] += len(sketched.crevices)
    assert counts["sketched"] == pytest.approx(counts["drawn"], rel=0.15)


@pytest.mark.parametrize("sketch", [("12", "123"), ("1x",), (), ("",)])
def test_a_sketch_that_is_no_block_of_digits_is_refused(sketch):
    with pytest.raises(ValueError, match=r"rock\.sketch"):
        drawn(sketch=sketch)


def test_listed_crevices_replace_the_drawn_ones():
    listed = CreviceSpec(x_cm=60, y_cm=30, z_cm=10, mouth_cm=4, depth_cm=12, openings=2)
    rock = drawn(crevices=(listed,))
    assert [(c.x_cm, c.y_cm, c.z_cm, c.mouth_cm, c.depth_cm, c.openings) for c in rock.crevices] == [
        (60, 30, 10, 4, 12, 2)
    ]
    assert drawn(crevices=()).crevices == ()


def test_each_object_hides_one_place_behind_or_under_it():
    behind = ObjectSpec("filter", x_cm=20, y_cm=40, z_cm=5, length_cm=10, width_cm=12, height_cm=25)
    under = ObjectSpec("wood", x_cm=50, y_cm=35, z_cm=6, length_cm=30, width_cm=20, height_cm=8)
    flush = ObjectSpec("heater", x_cm=100, y_cm=51, z_cm=0, length_cm=3, width_cm=4, height_cm=30)
    one, two, three = drawn(cover=0.0, objects=(behind, under, flush)).crevices
    assert (one.mouth_cm, one.openings, one.outward) == (3.0, 2, (1.0, 0.0, 0.0))
    assert (one.x_cm, one.y_cm, one.z_cm) == (25.0, 53.5, 17.5)
    assert (two.mouth_cm, two.openings, two.outward) == (6.0, 1, (0.0, -1.0, 0.0))
    assert (two.x_cm, two.y_cm, two.z_cm) == (65.0, 35.0, 3.0)
    assert three.mouth_cm == 3.0  # nominal: nothing stands quite flush


def test_the_description_adds_up():
    box = ObjectSpec("filter", x_cm=0, y_cm=0, z_cm=30, length_cm=13, width_cm=11, height_cm=30)
    rock = drawn(sketch=("20", "00"), sketch_step_cm=5.0, objects=(box,), cover=0.0)
    told = describe_rock(TANK, rock)
    block = 65 * 27.5 * 10 / 1000
    filter_below_water = 13 * 11 * 10 / 1000
    assert told.solid_litres == pytest.approx(block + filter_below_water, rel=0.03)
    assert told.water_litres + told.solid_litres == pytest.approx(130 * 55 * 40 / 1000)
    assert told.cover == pytest.approx(0.25, abs=0.01)
    assert told.highest_cm == 10.0
    assert told.crevices == len(rock.crevices) == sum(told.mouth_counts)
    narrow = sum(hole.mouth_cm < 2.0 for hole in rock.crevices)
    assert told.mouth_counts[0] == narrow


def test_rock_above_the_water_displaces_no_more_water():
    told = describe_rock(TANK, drawn(sketch=("99",), sketch_step_cm=20.0, cover=0.0))
    assert told.water_litres == pytest.approx(0.0, abs=1e-9)
