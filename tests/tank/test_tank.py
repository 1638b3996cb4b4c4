"""All tables of a tank: cells, refuges, feeding places, grazing; the same compiled or not."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest
from rockshy.sim.rules.support.compiled import is_compiling
from rockshy.sim.scenario.scenario import CreviceSpec, ObjectSpec, RockSpec, TankSpec
from rockshy.sim.tank.crevices import Crevice
from rockshy.sim.tank.rockwork import draw_rock, rock_top_cm
from rockshy.sim.tank.tank import DIRECTIONS, FAR, build_tank, cell_centres_cm, cell_counts
from staging import uncompiled

SPEC = TankSpec(length_cm=80, width_cm=45, height_cm=35, water_cm=30)
ROCKY = RockSpec(cover=0.35, height_cm=20, piece_cm=12)


def rock_of(rock=ROCKY, spec=SPEC, seed=1):
    return draw_rock(spec, rock, rng=np.random.default_rng(seed))


def tank_of(rock=ROCKY, spec=SPEC, seed=1, **options):
    return build_tank(spec, rock_of(rock, spec, seed), **({"sight_cm": 15.0} | options))


def bits(table, n):
    return np.unpackbits(table, axis=1, bitorder="little")[:, :n].astype(bool)


@pytest.mark.parametrize("seed", range(4))
def test_open_cells_are_numbered_in_order_and_none_is_inside_rock(seed):
    wood = ObjectSpec("wood", x_cm=5, y_cm=5, z_cm=10, length_cm=20, width_cm=10, height_cm=10)
    rock = rock_of(replace(ROCKY, objects=(wood,)), seed=seed)
    tank = build_tank(SPEC, rock)
    assert tank.shape.tolist() == list(tank.index.shape) == [16, 9, 6]
    np.testing.assert_array_equal(tank.index[tuple(tank.xyz.T)], np.arange(len(tank.xyz)))
    np.testing.assert_array_equal(tank.xyz, np.argwhere(tank.index >= 0))
    x, y, z = cell_centres_cm(SPEC, tank.xyz).T
    assert (z >= rock_top_cm(rock, x, y)).all()
    in_wood = (x > 5) & (x < 25) & (y > 5) & (y < 15) & (z > 10) & (z < 20)
    assert not in_wood.any()
    assert (tank.index[:, :, 0] < 0).mean() == pytest.approx(0.35, abs=0.1)


@pytest.mark.parametrize("cell_cm", [3.5, 5.0, 6.0])
def test_the_same_rock_covers_about_the_same_floor_in_cells_of_any_size(cell_cm):
    spec = TankSpec(length_cm=120, width_cm=60, height_cm=40, water_cm=32, cell_cm=cell_cm)
    asked = RockSpec(cover=0.3, height_cm=25, piece_cm=15, crevices=())
    water = tank_of(asked, spec, place_cm=0.0, sight_cm=0.0).index >= 0
    assert (~water[:, :, 0]).mean() == pytest.approx(0.3, abs=0.04)


def test_sides_are_rounded_to_whole_cells_and_rock_still_fills_the_tank():
    spec = TankSpec(length_cm=83, width_cm=42, height_cm=30, water_cm=27.5, cell_cm=5)
    assert cell_counts(spec) == (17, 8, 6)
    assert cell_counts(replace(spec, width_cm=8)) == (17, 3, 6)
    tank = tank_of(RockSpec(sketch=("01", "01"), sketch_step_cm=12.0), spec)
    assert (tank.index[9:, :, 0] < 0).all()
    assert (tank.index[:8] >= 0).all()


def test_water_cut_off_by_rock_is_rock():
    pond = RockSpec(sketch=("99999", "90999", "99999", "00000", "00000"), sketch_step_cm=5.0, crevices=())
    tank = tank_of(pond)
    assert (tank.index[:, 4:] < 0).all()
    assert (tank.path < FAR).all()


@pytest.mark.parametrize("sketch", [("9",), (*["99"] * 8, "09")])
def test_rock_that_leaves_no_water_is_refused_in_words(sketch):
    spec = replace(SPEC, length_cm=30)
    with pytest.raises(ValueError, match=r"rock: .* water in the tank: \d+ connected cells"):
        tank_of(RockSpec(sketch=sketch, sketch_step_cm=9.0), spec)


def test_equipment_thinner_than_a_cell_still_stands_in_the_way():
    heater = ObjectSpec("heater", x_cm=41, y_cm=21, z_cm=5, length_cm=2, width_cm=2, height_cm=20)
    tank = tank_of(RockSpec(objects=(heater,)))
    assert np.argwhere(tank.index < 0).tolist() == [[8, 4, z] for z in range(1, 5)]
    above = replace(heater, z_cm=35)
    assert (tank_of(RockSpec(objects=(above,))).index >= 0).all()


def test_a_bare_tank_has_its_eight_corners_as_poor_refuges():
    tank = tank_of(RockSpec())
    last = tank.shape - 1
    corners = {tuple(tank.xyz[cell]) for cell in tank.refuge_cell}
    assert corners == {(x, y, z) for x in (0, last[0]) for y in (0, last[1]) for z in (0, last[2])}
    assert tank.refuge_corner.all()
    assert np.isinf(tank.refuge_mouth_cm).all()
    assert tank.refuge_room.tolist() == [4] * 8
    np.testing.assert_array_equal(tank.looks_in, tank.sight[tank.refuge_cell])
    np.testing.assert_allclose(tank.cover, 0.0, atol=1e-12)


def test_crevices_come_before_corners_and_corners_in_rock_are_none():
    corner_rock = RockSpec(sketch=("9000", "0000"), sketch_step_cm=2.0)
    tank = tank_of(corner_rock)
    first_corner = int(tank.refuge_corner.argmax())
    assert first_corner > 0
    assert tank.refuge_corner[first_corner:].all()
    assert tank.refuge_corner.sum() == 7, "the bottom corner at the back left is rock"
    assert len(tank.path) == len(tank.refuge_cell) + len(tank.feed_source)


def test_a_crevice_opens_to_the_nearest_water_beside_rock():
    listed = (
        CreviceSpec(x_cm=20, y_cm=31, z_cm=7, mouth_cm=4, depth_cm=30, openings=2),
        CreviceSpec(x_cm=70, y_cm=2, z_cm=28, mouth_cm=5, depth_cm=30),
    )
    wall = RockSpec(sketch=("2222", "0000", "0000"), sketch_step_cm=6.0, crevices=listed)
    tank = tank_of(wall)
    assert tuple(tank.xyz[tank.refuge_cell[0]]) == (3, 5, 1)
    assert tank.xyz[tank.refuge_cell[1]].tolist()[1:] in ([5, 1], [6, 2])
    assert tank.refuge_mouth_cm[:2].tolist() == [4.0, 5.0]
    assert tank.refuge_depth_cm[:2].tolist() == [30.0, 30.0]
    assert tank.refuge_room[:2].tolist() == [2, 1]


@pytest.mark.parametrize("seed", range(3))
def test_drawn_crevices_lie_beside_rock(seed):
    tank = tank_of(seed=seed)
    solid = np.pad(tank.index < 0, 1, constant_values=False)
    for cell in tank.refuge_cell[~tank.refuge_corner]:
        x, y, z = tank.xyz[cell] + 1
        faces = [solid[x + a, y + b, z + c] for a, b, c in DIRECTIONS[:6]]
        assert any(faces)


def one_crevice(openings):
    """A block of rock in the middle with a crevice that faces the left end."""
    spec = TankSpec(length_cm=55, width_cm=45, height_cm=35, water_cm=30)
    block = RockSpec(sketch=("00000000000", "00000900000", "00000000000"), sketch_step_cm=9.0, crevices=())
    hole = Crevice(25.0, 22.5, 17.5, 5.0, 12.0, openings, (-1.0, 0.0, 0.0))
    return build_tank(spec, rock_of(block, spec)._replace(crevices=(hole,)))


def test_one_sees_into_a_crevice_only_from_before_it():
    tank = one_crevice(openings=1)
    looks = bits(tank.looks_in, len(tank.xyz))[0]
    offset = tank.xyz - tank.xyz[tank.refuge_cell[0]]
    distance = np.linalg.norm(offset, axis=1)
    angle = np.degrees(np.arccos(np.clip(-offset[:, 0] / np.maximum(distance, 1), -1, 1)))
    before = (angle <= 50.0) | (distance == 0)
    np.testing.assert_array_equal(looks, before)  # nothing stands in the way on that side
    assert looks[tank.refuge_cell[0]]


def test_two_openings_are_seen_into_from_both_ends_but_never_through_rock():
    single, double = one_crevice(openings=1), one_crevice(openings=2)
    n = len(double.xyz)
    seen = bits(double.looks_in, n)[0]
    assert (seen >= bits(single.looks_in, n)[0]).all()
    assert (seen <= bits(double.sight, n)[double.refuge_cell[0]]).all()
    straight_behind_the_rock = double.index[9, 4, 3]
    assert not seen[straight_behind_the_rock]


def test_grazing_is_on_rock_and_less_on_glass_never_on_sand():
    tank = tank_of(RockSpec(sketch=("9999", "0000", "0000"), sketch_step_cm=4.0, crevices=()))
    at = {tuple(place): value for place, value in zip(tank.xyz, tank.graze, strict=True)}
    assert at[5, 3, 0] == 0.0, "open sand"
    assert at[5, 3, 5] == 0.0, "under the surface"
    assert at[0, 3, 3] == pytest.approx(0.3 / 6), "one glass"
    assert at[0, 0, 0] == pytest.approx(0.6 / 6), "two glasses and sand"
    assert at[5, 5, 3] == pytest.approx(1 / 6), "rock behind"
    assert at[0, 5, 3] == pytest.approx(1.3 / 6)


@pytest.mark.parametrize(("length", "along"), [(80, [8]), (140, [7, 21])])
def test_food_is_dropped_at_the_front_of_the_surface(length, along):
    tank = tank_of(RockSpec(), replace(SPEC, length_cm=length))
    cells = [int(np.argmin(tank.path[row])) for row in tank.feed_source]
    assert [tuple(tank.xyz[cell]) for cell in cells] == [(x, 0, 5) for x in along]
    assert (tank.path[tank.feed_source, cells] == 0).all()


def test_food_is_dropped_beside_rock_that_breaks_the_surface():
    tank = tank_of(RockSpec(sketch=("00000", "00900"), sketch_step_cm=9.0))
    cell = int(np.argmin(tank.path[tank.feed_source[0]]))
    assert tank.xyz[cell, 2] == 5


def test_places_are_as_wide_in_small_cells_as_in_large_ones():
    wide = [
        np.diff(tank_of(RockSpec(), TankSpec(46, 42, 45, 38, cell_cm=cell)).ball_start).max() * cell**3
        for cell in (3.75, 5.0)
    ]
    assert wide[0] == pytest.approx(wide[1], rel=0.25)


def test_sight_ends_at_the_range():
    tank = tank_of(RockSpec(), sight_cm=20.0)
    apart = np.linalg.norm(tank.xyz[:, None] - tank.xyz[None, :], axis=2)
    np.testing.assert_array_equal(bits(tank.sight, len(tank.xyz)), apart <= 4.0)


def test_dtypes_are_those_of_the_contract():
    tank = tank_of()
    wanted = {
        "shape": "int64", "index": "int32", "xyz": "int32", "neighbour": "int32", "path": "int16",
        "toward": "int8", "sight": "uint8", "looks_in": "uint8", "cover": "float64", "graze": "float64",
        "ball_start": "int64", "ball": "int32", "refuge_cell": "int32", "refuge_mouth_cm": "float64",
        "refuge_depth_cm": "float64", "refuge_room": "int32", "refuge_corner": "bool", "feed_source": "int32",
        "feed_cell": "int32", "part": "int32",
    }  # fmt: skip
    for name, dtype in wanted.items():
        table = getattr(tank, name)
        assert table.dtype == dtype, name
        assert table.flags.c_contiguous, name


def fingerprint(seed):
    """A digest over every number of rock and tank."""
    spec = TankSpec(length_cm=48, width_cm=31, height_cm=30, water_cm=24)
    wood = ObjectSpec("wood", x_cm=2, y_cm=4, z_cm=2, length_cm=12, width_cm=6, height_cm=7)
    rock = rock_of(RockSpec(cover=0.3, height_cm=15, piece_cm=9, objects=(wood,)), spec, seed)
    digest = hashlib.sha256(repr(rock.crevices).encode())
    for table in (*rock[:5], *build_tank(spec, rock, sight_cm=40.0)):
        digest.update(np.ascontiguousarray(table).tobytes())
    return digest.hexdigest()


def test_the_same_random_numbers_give_the_same_tank():
    assert fingerprint(5) == fingerprint(5) != fingerprint(6)


@pytest.mark.skipif(not is_compiling(), reason="compilation is off: there is nothing to compare with")
def test_compiled_or_not_the_tables_are_the_same_bit_for_bit():
    script = "import test_tank; print(test_tank.fingerprint(5))"
    assert uncompiled(script, beside=__file__) == fingerprint(5)
