"""A tally laid over made-up tanks: rows by hand, false alarms, what is told, and the ranks."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from rockshy.analysis.document import as_text
from rockshy.analysis.document.files import json_text
from rockshy.analysis.questions.watching import rows as measured
from rockshy.analysis.questions.watching.agree import LEVEL, compare, drawn_sets
from rockshy.analysis.questions.watching.files import overlay_json
from rockshy.analysis.questions.watching.overlay import NoWindowError, Overlay, overlay
from rockshy.analysis.questions.watching.ranks import ranks_of
from rockshy.analysis.questions.watching.reading import parse_tally
from rockshy.analysis.questions.watching.rows import Row, TalliedRow, model_values, rows_of, seen_of
from rockshy.analysis.questions.watching.tally import Tally
from rockshy.analysis.questions.watching.windows import labels_of, windows_of
from rockshy.analysis.questions.watching.words import report
from rockshy.analysis.statistics.intervals import poisson_interval, ratio_estimate
from watched_tanks import HOT, MILD, act, made_up_tanks, place, session, tally_text, tank

LABELS = labels_of(tank())


def read(*rows: str) -> Tally:
    return parse_tally(tally_text(*rows), tank(), name="watch.csv")


def seen(tally: Tally, measure: str, name: str) -> TalliedRow:
    row = next(one for one in rows_of(tank(), tally) if (one.measure, one.name) == (measure, name))
    return seen_of(tally, row)


TALLY = (
    act(f"{HOT} male 1", f"{MILD} male 1", "chase", 3),
    act(f"{HOT} male 1", f"{MILD} females", "chase", 2),
    act(f"{MILD} male 1", f"{MILD} female 2", "chase", 1),
    act(f"{HOT} male 1", f"{MILD} male 1", "bite", 2),
    session(2, minutes="5"),
    act(f"{MILD} male 1", f"{HOT} male 1", "chase", 1, watch=2),
)


@pytest.mark.parametrize(
    ("measure", "name", "top", "bottom"),
    [
        (measured.CHASES, "all fish", [6, 1], [10, 5]),
        (measured.BITES, "all fish", [2, 0], [10, 5]),
        (measured.RECEIVED, MILD, [6, 0], [10, 5]),
        (measured.RECEIVED, f"{MILD} females", [3, 0], [10, 5]),
        (measured.RECEIVED, HOT, [0, 1], [10, 5]),
        (measured.GIVEN, f"{MILD} male", [1, 1], [10, 5]),
        (measured.SHARE_RECEIVED, f"{MILD} male", [3, 0], [6, 1]),
        (measured.SHARE_GIVEN, HOT, [5, 0], [6, 1]),
    ],
)
def test_rows_of_a_tally_by_hand(measure: str, name: str, top: list[int], bottom: list[int]) -> None:
    found = seen(read(*TALLY), measure, name)
    assert found.top.tolist() == top
    assert found.bottom.tolist() == bottom


def test_a_row_whose_fish_were_not_told_apart_is_left_out_and_says_so() -> None:
    tally = read(act(f"{HOT} male 1", MILD, "chase", 4))
    assert seen(tally, measured.RECEIVED, MILD).value == pytest.approx(0.4)
    of_females = seen(tally, measured.RECEIVED, f"{MILD} females")
    assert math.isnan(of_females.value)
    assert of_females.why_not == "4 could not be told apart"
    assert "left out, 4 could not be told apart" in said(laid(act(f"{HOT} male 1", MILD, "chase", 4)))


def test_a_watch_of_one_fish_says_nothing_of_the_others() -> None:
    name = f"{MILD} female 1"
    tally = read(
        *TALLY, session(3, minutes="20", watched=name), act(f"{HOT} male 1", name, "chase", 5, watch=3)
    )
    assert seen(tally, measured.CHASES, "all fish").covered.tolist() == [True, True, False]
    followed = seen(tally, measured.RECEIVED, name)
    assert followed.why_not  # in the first watch two chases were of one of the females
    alone = read(session(3, minutes="20", watched=name), act(f"{HOT} male 1", name, "chase", 5, watch=3))
    assert seen(alone, measured.RECEIVED, name).top.tolist() == [0, 5]
    assert seen(alone, measured.GIVEN, HOT).covered.tolist() == [True, False]


def test_places_by_hand() -> None:
    tally = read(
        place(f"{MILD} male 1", 1, "lH"),
        place(f"{MILD} male 1", 2, "lH"),
        place(f"{MILD} male 1", 3, "rO"),
        place(f"{MILD} females", 1, "out", 0),
        place(f"{MILD} females", 2, "out", 2),
        place(f"{HOT} male 1", 1, "not seen"),
    )
    male, females = f"{MILD} male 1", f"{MILD} females"
    for measure, name, share in (
        (measured.HIDDEN, male, (2, 3)),
        (measured.ONE_PLACE, male, (2, 3)),
        (measured.HIDDEN, females, (2, 4)),
    ):
        found = seen(tally, measure, name)
        assert (found.top.tolist(), found.bottom.tolist()) == ([share[0]], [share[1]])
    assert seen(tally, measured.HIDDEN, "all fish").value == pytest.approx((2 + 2 + 1) / (3 + 4 + 1))
    tally = read(place(f"{MILD} female 1", 1, "shelter"))  # only some of the females were looked for
    assert not seen(tally, measured.HIDDEN, f"{MILD} females").covered.any()
    assert seen(tally, measured.HIDDEN, f"{MILD} female 1").value == 1.0


def test_the_model_is_counted_as_the_tally_is() -> None:
    (one,) = made_up_tanks(1, hours=1.0)
    cut = windows_of(one, minutes=10)
    tally = read(place(f"{MILD} male 1", 1, "lH"))
    rows = rows_of(tank(), tally)
    values = model_values(cut, rows, labels=LABELS, minutes=10, looks=5)
    for r, row in enumerate(rows):
        who = [i for i, label in enumerate(LABELS) if label in row.labels]
        for w in range(cut.count):
            acts = (cut.bites if row.measure == measured.BITES else cut.chases).tolist()
            mine = [a for a in acts if a[0] == w]
            if row.measure in (measured.RECEIVED, measured.SHARE_RECEIVED):
                mine = [a for a in mine if a[2] in who]
            elif row.measure in (measured.GIVEN, measured.SHARE_GIVEN):
                mine = [a for a in mine if a[1] in who]
            if row.measure in (measured.HIDDEN, measured.ONE_PLACE):
                looks = cut.scans[w][[0, 5, 10, 14, 19]][:, who]
                top = (
                    (looks == 0).sum() if row.measure == measured.HIDDEN else np.bincount(looks.ravel()).max()
                )
                assert values[w, r].tolist() == [top, looks.size]
            else:
                shares = row.measure in (measured.SHARE_RECEIVED, measured.SHARE_GIVEN)
                assert values[w, r, 0] == len(mine)
                assert values[w, r, 1] == (sum(a[0] == w for a in cut.chases.tolist()) if shares else 10)


# --- the comparison ---------------------------------------------------------------


def values_of(tanks: int, *, seed: int, spread: float = 0.4) -> tuple[list[Row], list[np.ndarray]]:
    tally = read(*(place(label, 1, "lO") for label in LABELS))
    rows = rows_of(tank(), tally)
    watched = made_up_tanks(tanks, seed=seed, spread=spread)
    return rows, [
        model_values(windows_of(one, minutes=10), rows, labels=LABELS, minutes=10, looks=20)
        for one in watched
    ]


@pytest.mark.parametrize("watches", [1, 3])
def test_a_tank_of_the_model_is_seldom_told_to_differ(watches: int) -> None:
    """The other tanks of the model are laid over each: the level holds over all rows together."""
    rows, values = values_of(36, seed=3)
    rng = np.random.default_rng(5)
    told, alone = [], []
    for t, own in enumerate(values):
        others = [one for k, one in enumerate(values) if k != t]
        sets, singles = drawn_sets([[one] * watches for one in others], seed=1, draws=12), np.stack(others)
        for _ in range(2):
            mine = own[rng.choice(len(own), watches, replace=False)]
            seen = [TalliedRow(row, mine[:, r, 0], mine[:, r, 1]) for r, row in enumerate(rows)]
            found = compare(seen, sets, singles=singles)
            told.append(any(one.differs for one in found))
            alone.append(np.mean([one.p_value <= LEVEL for one in found if math.isfinite(one.value)]))
    assert np.mean(told) <= 0.12  # 72 tallies at a level of 0.05
    assert 0.003 < np.mean(alone) < 0.08


def test_a_tank_that_differs_is_told_and_in_the_right_row() -> None:
    rows, values = values_of(60, seed=4, spread=0.1)
    sets = drawn_sets([[one] * 5 for one in values], seed=1, draws=40)
    mine = values[0][:5].copy()
    r = next(k for k, row in enumerate(rows) if row.measure == measured.CHASES)
    mine[:, r, 0] *= 4
    seen = [TalliedRow(row, mine[:, k, 0], mine[:, k, 1]) for k, row in enumerate(rows)]
    found = compare(seen, sets, singles=np.stack(values))
    assert [one.row.measure for one in found if one.differs] == [measured.CHASES]
    assert found[r].outside
    assert found[r].above
    assert found[r].further == 0
    assert found[r].p_any == pytest.approx(1 / 61)


def test_figures_of_a_row_by_hand() -> None:
    row = Row(measured.CHASES, "all fish", frozenset(LABELS))
    windows = np.zeros((3, 4, 1, 2))
    windows[..., 0] = np.arange(12).reshape(3, 4, 1)
    windows[..., 1] = 10.0
    (one,) = compare(
        [TalliedRow(row, np.array([7.0]), np.array([10.0]))], windows[:, :, None], singles=windows
    )
    assert (one.value, one.model) == pytest.approx((42.0, 33.0))
    assert (one.low, one.high) == pytest.approx([6 * x for x in poisson_interval(7, exposure=1.0)])
    assert (one.model_low, one.model_high) == pytest.approx(np.percentile(np.arange(12) * 6.0, [2.5, 97.5]))
    counted, minutes = np.array([7.0, 2.0, np.nan, 4.0, 6.0]), np.array([10.0, 5.0, np.nan, 10.0, 10.0])
    sets = np.repeat(windows[:, :, None], 5, axis=2)
    (several,) = compare([TalliedRow(row, counted, minutes)], sets, singles=windows)
    expected = ratio_estimate([7, 2, 4, 6], bottom=[10, 5, 10, 10], draw=[0, 1, 2, 3], fixed=True)
    assert several.watches == 4
    assert (several.value, several.low, several.high) == pytest.approx(
        (60 * 19 / 35, 60 * expected.low, 60 * expected.high)
    )
    (few,) = compare([TalliedRow(row, counted[:3], minutes[:3])], sets[:, :, :3], singles=windows)
    assert (few.low, few.high) == pytest.approx([60 * x for x in poisson_interval(9, exposure=15)])


def test_several_watches_take_different_windows_of_one_tank() -> None:
    values = [np.arange(8.0).reshape(4, 1, 2) + 100 * t for t in range(3)]
    sets = drawn_sets([[one] * 3 for one in values], seed=1, draws=50)
    assert sets.shape == (3, 50, 3, 1, 2)
    firsts = sets[..., 0, 0]
    assert all(len(set(draw)) == 3 for tank_of in firsts for draw in tank_of)
    assert all((firsts[t] // 100 == t).all() for t in range(3))
    more = drawn_sets([[one] * 6 for one in values], seed=1, draws=5)  # more watches than windows
    assert more.shape == (3, 5, 6, 1, 2)


# --- the whole --------------------------------------------------------------------


def laid(*rows: str, tanks: int = 30, title: str = "Stonecomb club, tank 3") -> Overlay:
    return overlay(replace(tank(), title=title), read(*rows), made_up_tanks(tanks))


def said(found: Overlay) -> str:
    """The report on one line; its lines fit."""
    text = as_text(report(found))
    assert max(map(len, text.split("\n"))) <= 100
    return " ".join(text.split())


def test_report_and_json_say_what_was_found() -> None:
    found = laid(*TALLY, title="<b>\u202e" + "x" * 300)
    text, told = said(found), json.loads(json_text(overlay_json(found)))
    assert "Your tank: 28 chases an hour; the model's ten-minute windows:" in text
    assert "The mean of 2 such windows" in text and "<b>" in text
    assert "Test the water" not in text.split("Does the model agree")[0]
    assert found.acts == {"chase": 7, "bite": 2}
    assert len(told["rows"]) == len(found.rows)
    first = told["rows"][0]
    assert (first["row"]["measure"], first["row"]["fish"]) == (measured.CHASES, "all fish")
    assert first["value"] == pytest.approx(28.0)
    assert (told["simulated_tanks"], told["scale"]["chases"]) == (30, 7)


def each_pair(chases: int) -> list[str]:
    return [act(a, b, "chase", chases) for a in LABELS for b in LABELS if a != b]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([act(f"{HOT} male 1", MILD, "chase", 4)], ["as if chases came one by one"]),
        (
            [*each_pair(30), *(place(label, k, "lH") for label in LABELS for k in range(1, 11))],
            [
                "no, it does not agree, in ",
                "only there is more of it than in the model: that is the scale",
                "test the water first",
            ],
        ),
        ([act(f"{MILD} female 1", f"{HOT} male 1", "chase", 16)], ["Who chases whom is not as in the model"]),
        (each_pair(1), ["no sign that they disagree", "no proof that the model is right"]),
        ([], ["None can be fitted: no chase was counted", "Too few to tell"]),
    ],
)
def test_what_is_said_of_a_tally_and_what_it_may_mean(rows: list[str], words: list[str]) -> None:
    found = laid(*rows)
    text = said(found)
    assert [one for one in words if one not in text] == []
    assert (found.scale is None) == (not rows)
    json.loads(json_text(overlay_json(found)))


def test_rows_that_lie_outside_come_with_how_far_before_the_verdict_on_all() -> None:
    found = laid(*each_pair(30))
    text = said(found).partition("Does the model agree")[2]
    rows, overall, _ = text.partition("Over all rows together: no, it does not agree")
    assert overall
    chases = next(one for one in found.rows if one.row.measure == measured.CHASES)
    by = chases.value - chases.model_high
    assert by > 0
    assert f"all chases: your tank {chases.value:.0f} an hour, {by:.0f} an hour above the model's" in rows
    assert rows.count(": your tank") == sum(one.outside or one.differs for one in found.judged)


def test_a_watch_longer_than_any_window_is_refused() -> None:
    with pytest.raises(NoWindowError):
        overlay(tank(), read(session(2, minutes="90")), made_up_tanks(3, hours=1.0))


# --- ranks ------------------------------------------------------------------------


def ordered(times: int) -> list[str]:
    return [act(a, b, "chase", times) for k, a in enumerate(LABELS) for b in LABELS[k + 1 :]]


def test_a_clear_order_is_told() -> None:
    found = ranks_of(read(*ordered(6)), LABELS)
    assert [one.label for one in found.fish] == list(LABELS)
    assert found.chases == 36
    values = {one.name: one for one in found.measures}
    assert values["linearity h'"].value == pytest.approx(1.0)
    assert values["directional consistency"].told
    assert values["steepness"].told
    assert "By David's score" in said(laid(*ordered(6)))


def test_few_chases_are_too_few_to_tell() -> None:
    found = ranks_of(read(act(LABELS[0], LABELS[1]), act(LABELS[2], LABELS[3])), LABELS)
    assert not any(one.told for one in found.measures)
    assert "So no order of rank is given." in said(laid(*TALLY))


def test_chance_is_seldom_told_as_order() -> None:
    rng = np.random.default_rng(2)
    told = []
    for _ in range(24):
        counts = [(a, b, int(rng.poisson(2.0))) for a in LABELS for b in LABELS if a != b]
        found = ranks_of(read(*(act(a, b, "chase", n) for a, b, n in counts if n)), LABELS, tosses=39)
        told.append([one.told for one in found.measures])
    assert np.mean(told, axis=0).max() <= 0.17  # 24 at a level of 0.05 or less


def test_chases_of_fish_not_made_out_are_left_out_of_the_ranks() -> None:
    found = ranks_of(read(*ordered(3), act(HOT, MILD, "chase", 5)), LABELS)
    assert (found.chases, found.left_out) == (18, 5)
    assert ranks_of(read(act(f"{HOT} male 1", MILD)), LABELS).why_not
    assert ranks_of(read(act(LABELS[0], LABELS[1])), LABELS).why_not
