"""Pictures of one trial: what they count, that they can be read, and that nothing overlaps or is cut off."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from matplotlib.figure import Figure
from reading_pictures import assert_legible, assert_page, words_of
from rockshy.analysis.film.ground import blocks_along
from rockshy.analysis.pictures import (
    TrialParts,
    chases_over_the_day,
    look,
    parts,
    placing,
    relief,
    tank_from_above,
    tank_from_front,
    trial_pictures,
    who_chased_whom,
)
from rockshy.analysis.pictures.captions import day_caption, matrix_caption, names_of, tank_caption
from rockshy.analysis.pictures.chase_table import in_order, rate_text
from rockshy.analysis.pictures.day import by_species_and_hour, day_starts
from rockshy.analysis.pictures.scene import marked_cells, minutes_per_mark
from rockshy.sim.run.ledger import new_ledger
from rockshy.sim.scenario.scenario import ObjectSpec, RockSpec, TankSpec
from rockshy.sim.tank.rockwork import draw_rock
from rockshy.sim.tank.tank import build_tank

MILD, HOT = "Tropheus duboisi", "Petrochromis trewavasae"
LONG = "Pseudotropheoides longissimicaudatus septentrionalis"
SPEC = TankSpec(90.0, 40.0, 45.0, 42.0)  # three different sides
HOUR = 3600


@cache
def made(
    *kinds: tuple[str, str, int],
    cover: float = 0.3,
    hours: int = 4,
    seed: int = 0,
    title: str = "A club tank",
) -> TrialParts:
    """A trial made by hand in which the sums agree: fish at random places, the first one holds a crevice."""
    rng = np.random.default_rng(seed)
    rock = draw_rock(SPEC, RockSpec(cover=cover, height_cm=25 if cover else 0, piece_cm=12), rng=rng)
    tank = build_tank(SPEC, rock)
    label = tuple(f"{name} {sex} {k + 1}" for name, sex, many in kinds for k in range(many))
    species = tuple(name for name, _, many in kinds for _ in range(many))
    n, cells = len(label), len(tank.xyz)
    ledger = new_ledger(n, cells=cells, hours=hours, measured_from=10 * HOUR)
    ledger.hours["lit"][:] = HOUR
    ledger.hours["hidden"][:] = rng.integers(0, 1800, (n, hours))
    ledger.hours["free"][:] = ledger.hours["lit"] - ledger.hours["hidden"]
    ledger.hours["centre"][0] = 0
    for i in range(n):
        places = rng.integers(0, cells, 6)
        ledger.visits[i] = np.bincount(places[rng.integers(0, 6, hours * HOUR)], minlength=cells)
    for _ in range(20 * n if n > 1 else 0):
        i, j = rng.choice(n, 2, replace=False)
        ledger.pair["chases"][i, j] += 1
        ledger.hours["chased"][j, rng.integers(hours)] += 1
    which = {"title": title, "trial": 3, "trials": 64, "label": label, "species": species}
    ground = np.zeros((n, *blocks_along(tank)), bool)
    ground[0, 1:3, 1, :2] = True
    return TrialParts(**which, spec=SPEC, tank=tank, ledger=ledger, ground=ground, rock=rock)


def mixed() -> TrialParts:
    return made((MILD, "male", 2), (MILD, "female", 4), (HOT, "male", 1), (HOT, "unsexed", 2))


def without(trial: TrialParts, fish: int, *, from_hour: int) -> TrialParts:
    """The trial with a fish taken out at the start of an hour; others' counts stay."""
    ledger = trial.ledger._replace(hours=trial.ledger.hours.copy(), pair=trial.ledger.pair.copy())
    for name in ("lit", "hidden", "free", "chased"):
        ledger.hours[name][fish, from_hour:] = 0
    ledger.hours["centre"][fish, from_hour:] = -1
    return replace(trial, ledger=ledger)


# --- what is counted ----------------------------------------------------------


def test_codes_name_the_fish_as_the_stock_list_does() -> None:
    letters = {MILD: "T", HOT: "P"}
    assert parts.codes(mixed(), letters=letters)[5:9] == ("T♀4", "P♂1", "Pu1", "Pu2")


def test_the_ground_of_an_owner_is_seen_as_its_blocks_and_their_border() -> None:
    trial = mixed()
    blocks, border = parts.ground_seen(trial, 0, parts.ABOVE)
    assert blocks == pytest.approx(np.array([[10.0, 10.0], [20.0, 10.0]]), rel=0.05)
    assert np.linalg.norm(border[:, 0] - border[:, 1], axis=1).sum() == pytest.approx(60.0, rel=0.05)
    assert border.min(axis=(0, 1)) == pytest.approx((10.0, 10.0), rel=0.05)
    assert border.max(axis=(0, 1)) == pytest.approx((30.0, 20.0), rel=0.05)
    assert len(parts.ground_seen(trial, 0, parts.FRONT)[0]) == 4
    assert len(parts.ground_seen(trial, 1, parts.FRONT)[1]) == 0


def test_pictures_call_fish_as_the_keeper_typed_them() -> None:
    trial = replace(mixed(), typed={HOT: "blue grazer"})
    names = names_of(trial)
    assert (names.looks[HOT].short, names.looks[HOT].letter) == ("blue grazer", "P")
    assert (names.looks[HOT].full, names.looks[MILD].full) == (f"blue grazer, {HOT}", MILD)
    assert (trial.called(8), trial.called(0)) == ("blue grazer unsexed 2", f"{MILD} male 1")
    worst = names._replace(worst=8)
    assert "Pu2, blue grazer unsexed 2:" in tank_caption(trial, worst, minutes=2, seen="from the front")


def test_marks_are_in_proportion_to_the_time_in_each_cell() -> None:
    visits = np.array([0, 300, 0, 900, 1200])
    assert np.bincount(marked_cells(visits, per_mark=60.0), minlength=5).tolist() == [0, 5, 0, 15, 20]
    assert len(marked_cells(np.zeros(5, dtype=np.int64), per_mark=60.0)) == 0


def test_a_picture_holds_about_as_many_marks_as_wanted() -> None:
    trial = mixed()  # 9 fish, 36 fish hours
    assert minutes_per_mark(trial) == 2.0
    assert minutes_per_mark(replace(trial, tick_s=10.0)) == 15.0


def test_rates_are_per_hour_together() -> None:
    trial = without(mixed(), 6, from_hour=1)
    trial.ledger.pair["chases"][6, 0], trial.ledger.pair["chases"][0, 1] = 12, 12
    rates = parts.chase_rates(trial)
    assert rates[6, 0] == pytest.approx(12.0)  # one hour together
    assert rates[0, 1] == pytest.approx(3.0)  # four
    gone = without(trial, 6, from_hour=0)
    assert np.isnan(parts.chase_rates(gone)[6, 0])
    assert 6 not in gone.here


def test_worst_off_lost_most_against_the_same_fish_left_alone() -> None:
    trial = made((MILD, "male", 3))
    trial = replace(trial, ledger=trial.ledger._replace(hours=trial.ledger.hours.copy()))
    trial.ledger.hours["free"][:] = np.array([[900], [1800], [3600]])
    assert parts.worst_off(trial) == 0
    alone = replace(trial, free_alone=np.array([0.25, 1.0, 1.0]))  # the first never swam more
    assert parts.worst_off(alone) == 1
    assert parts.worst_off(replace(trial, free_alone=np.array([0.25, 0.5, 1.0]))) is None


def test_a_fish_on_its_own_is_not_the_worst_off() -> None:
    trial = replace(made((MILD, "male", 1)), free_alone=np.array([2.0]))  # it swam more when left alone
    assert parts.worst_off(trial) is None


def test_nobody_is_worst_off_where_nobody_is_chased() -> None:
    trial = made((MILD, "male", 3), seed=2)
    peace = replace(trial, ledger=trial.ledger._replace(pair=np.zeros_like(trial.ledger.pair)))
    assert parts.worst_off(trial) is not None
    assert parts.worst_off(peace) is None
    assert day_caption(peace, names_of(peace)).startswith("No chase was counted.")


def test_main_place_is_all_water_near_the_busiest_cell() -> None:
    trial = mixed()
    visits = np.zeros_like(trial.ledger.visits)
    visits[0, 40], visits[0, -1] = 75, 25
    cells, share = parts.main_place(replace(trial, ledger=trial.ledger._replace(visits=visits)), 0)
    assert 40 in cells
    assert share == pytest.approx(0.75)


def test_order_is_by_given_less_received_and_keeps_species_together_when_grouped() -> None:
    trial = made((MILD, "male", 2), (HOT, "male", 2))
    rates = np.zeros((4, 4))
    rates[0, 1], rates[3, 2], rates[2, 1] = 5.0, 3.0, 1.0  # less received: 5, -6, -2, 3
    assert in_order(trial, rates, grouped=False) == [0, 3, 2, 1]
    assert in_order(trial, rates, grouped=True) == [3, 2, 0, 1]


def test_chases_by_hour_are_per_fish_in_the_tank() -> None:
    trial = without(made((MILD, "male", 2), (HOT, "male", 1)), 2, from_hour=2)
    trial.ledger.hours["chased"][:] = [[2, 0, 0, 0], [4, 0, 0, 0], [7, 7, 0, 0]]
    trial.ledger.hours["hidden"][:] = [[900, 0, 0, 0], [1800, 0, 0, 0], [0, 3600, 0, 0]]
    chased, hidden = by_species_and_hour(trial)
    np.testing.assert_allclose(chased[MILD], [3, 0, 0, 0])
    np.testing.assert_allclose(hidden[MILD], [0.375, 0, 0, 0])
    np.testing.assert_allclose(chased[HOT], [7, 7, np.nan, np.nan])
    np.testing.assert_allclose(hidden[HOT], [0, 1, np.nan, np.nan])


def test_days_are_marked_where_they_start() -> None:
    trial = replace(made((MILD, "male", 1), hours=6), lit_hours=4.0)
    trial.ledger.state["measured_from"][0] = 10 * HOUR  # in the middle of day 3
    assert day_starts(trial) == [(2.0, 4)]
    assert day_starts(replace(trial, lit_hours=10.0)) == [(0.0, 2)]


def test_rates_are_printed_short() -> None:
    rates = (0.0, 0.04, 0.44, 3.36, 0.96, 12.4)
    assert [rate_text(rate) for rate in rates] == ["", "·", "0.4", "3.4", "1.0", "12"]
    assert [rate_text(rate, narrow=True) for rate in rates] == ["", "·", ".4", "3", "1", "12"]


def test_parts_of_unequal_length_are_refused() -> None:
    for name in ("ground", "free_alone"):
        with pytest.raises(ValueError, match=f"{name} has 2 entries; the ledger has 9 fish"):
            replace(mixed(), **{name: np.ones(2)})


# --- rock ---------------------------------------------------------------------


def test_front_view_shows_the_nearest_rock_at_each_height() -> None:
    heights = np.zeros((90, 40))
    heights[20:40, 10:20] = 12.0  # a low block before a high one
    heights[20:40, 25:35] = 30.0
    seen = relief.from_front(heights, spec=SPEC)
    up, across = seen.surface_cm.shape
    at = {z: seen.surface_cm[int(z / 45 * up), across // 3] for z in (6, 20, 40)}
    assert at[6] == pytest.approx(10, abs=1)
    assert at[20] == pytest.approx(25, abs=1)
    assert at[40] == np.inf
    assert seen.rgba[int(6 / 45 * up), int(0.8 * across), 3] == 0  # water


def test_rock_from_the_cells_stands_where_the_cells_are_solid() -> None:
    trial = mixed()
    heights = relief.rock_heights(None, tank=trial.tank, spec=SPEC)
    assert ((heights > 0) == (trial.tank.index[:, :, 0] < 0)).all()
    assert (heights % (SPEC.water_cm / trial.tank.shape[2]) < 1e-9).all()


# --- labels -------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 30, 60])
def test_labels_of_one_place_do_not_overlap(count: int) -> None:
    anchors = np.full((count, 2), 300.0)
    sizes = np.tile([70.0, 34.0], (count, 1))
    middle = placing.spread(anchors, sizes=sizes, low=np.zeros(2), high=np.array([1500.0, 500.0]))
    low, high = middle - sizes / 2, middle + sizes / 2
    assert (low >= 0).all() and (high <= [1500, 500]).all()
    for a, b in combinations(range(count), 2):
        assert (low[a] >= high[b]).any() or (low[b] >= high[a]).any()


def test_names_along_a_line_keep_their_order_and_distance() -> None:
    placed = placing.spread_along(np.array([50.0, 10.0, 11.0, 99.0]), gap=20.0, low=0.0, high=100.0)
    assert placed[1] < placed[2] < placed[0] < placed[3] <= 100
    assert np.diff(np.sort(placed)).min() >= 20 - 1e-9
    crowded = placing.spread_along(np.zeros(11), gap=20.0, low=0.0, high=100.0)
    np.testing.assert_allclose(np.sort(crowded), np.linspace(0, 100, 11))


def test_long_words_are_cut_and_lines_kept_short() -> None:
    lines = look.wrapped("a title of many words " + "x" * 90 + " 20\u00a0% hidden", room=300)
    assert max(look.text_width(line) for line in lines) <= 300
    assert any(line.endswith("…") for line in lines)
    assert any("20\u00a0%" in line for line in lines)


# --- whole pictures -----------------------------------------------------------

CASES = {
    "mixed": mixed,
    "one fish": lambda: made((MILD, "male", 1)),
    "no rock": lambda: made((MILD, "male", 1), (HOT, "female", 2), cover=0.0, title="Costs $5 or $6"),
    "thirty": lambda: made((MILD, "female", 12), (HOT, "male", 10), (LONG, "unsexed", 8)),
    "sixty": lambda: made((MILD, "female", 30), (HOT, "male", 20), (LONG, "unsexed", 10), title="x " * 200),
    "one taken out": lambda: without(mixed(), 6, from_hour=2),
    "nobody left": lambda: without(made((MILD, "male", 1)), 0, from_hour=0),
    "from the cells": lambda: replace(
        mixed(), rock=None, objects=(ObjectSpec("wood", 10, 5, 0, 30, 10, 20),), spec=SPEC
    ),
}
PICTURES = (tank_from_front, tank_from_above, who_chased_whom, chases_over_the_day)


@cache
def drawn(case: str, draw: Callable[[TrialParts], Figure]) -> Figure:
    return draw(CASES[case]())


@pytest.mark.parametrize(
    ("case", "draw"),
    [
        *((case, draw) for case in ("mixed", "sixty", "nobody left") for draw in PICTURES),
        *((case, draw) for case in ("one fish", "thirty") for draw in (tank_from_front, who_chased_whom)),
        *(("from the cells", draw) for draw in (tank_from_front, tank_from_above)),
        ("no rock", tank_from_above),
        *(("one taken out", draw) for draw in (who_chased_whom, chases_over_the_day)),
    ],
)
def test_every_word_can_be_read(case: str, draw: Callable[[TrialParts], Figure]) -> None:
    assert len(assert_legible(drawn(case, draw), least=25)) > 5


def test_up_to_thirty_fish_the_numbers_are_printed_and_of_more_the_species_named() -> None:
    printed = words_of(drawn("thirty", who_chased_whom))
    rates = parts.chase_rates(CASES["thirty"]())
    expected = [rate_text(rate, narrow=True) for rate in rates[rates > 0]]
    assert len(expected) > 100
    for words in set(expected):
        assert printed.count(words) >= expected.count(words)
    many = words_of(drawn("sixty", who_chased_whom))
    assert {"T", "P", "S"} & set(many) and not any("♀1" in words and len(words) < 5 for words in many)


def test_a_chase_rate_never_stands_without_the_hidden_share() -> None:
    for draw, words in ((chases_over_the_day, "hidden"), (who_chased_whom, "hid")):
        assert any(words in line for line in words_of(drawn("mixed", draw)))


def test_captions_say_that_it_is_one_of_many_simulated_tanks() -> None:
    trial = CASES["one taken out"]()
    names = names_of(trial)
    for caption in (
        tank_caption(trial, names, minutes=2, seen="from the front"),
        matrix_caption(trial, names, grouped=False),
        day_caption(trial, names),
    ):
        assert "one of 64 simulated tanks" in caption
        assert "Taken out: P♂1 in hour 2." in caption


def test_the_worst_off_fish_is_named_with_its_loss() -> None:
    trial = made((MILD, "male", 3))
    hours = trial.ledger.hours.copy()
    hours["free"][:], hours["hidden"][:] = 3600, 0
    hours["free"][1], hours["hidden"][1] = 360, 2700
    trial = replace(trial, ledger=trial.ledger._replace(hours=hours), free_alone=np.array([1.0, 0.5, 1.0]))
    caption = tank_caption(trial, names_of(trial), minutes=2, seen="from above").replace("\u00a0", " ")
    assert (
        f"{MILD} male 2: it swam free 10 % of its lit time, 80 % less than the same fish left alone"
        in caption
    )
    assert "it hid for 75 %" in caption


def test_pictures_are_full_size_with_alternative_text() -> None:
    before = dict(matplotlib.rcParams)
    pictures = list(trial_pictures(CASES["one fish"]()))
    kinds = ("front", "above", "who-chased-whom", "chases-over-the-day")
    assert [one.name for one in pictures] == [f"tank-4-{kind}.png" for kind in kinds]
    for one in pictures:
        assert_page(io.BytesIO(one.png), one.caption)
    assert dict(matplotlib.rcParams) == before


def test_the_same_trial_gives_the_same_picture() -> None:
    figures = (tank_from_front(mixed()), drawn("mixed", tank_from_front))
    for figure in figures:
        figure.canvas.draw()
    first, second = (np.asarray(figure.canvas.buffer_rgba()) for figure in figures)
    assert (first == second).all()
