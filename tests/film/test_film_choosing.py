"""Which tank, minutes and fish a film shows, why, and what cannot be shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import film_examples
import numpy as np
import pytest
from film_examples import HOT, MILD, two_kinds
from rockshy.analysis.film import choosing
from rockshy.analysis.film.choosing import busiest_window, fish_to_follow, middle_of, typical_trial
from rockshy.analysis.film.frames import Painter
from rockshy.analysis.film.making import Wish, WishError, make_film
from rockshy.analysis.film.page import film_page
from rockshy.analysis.film.recording import WholeRun, record, whole_run
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.run.trials import Job, run_trial
from rockshy.sim.scenario.clock import lights_on_s, say_time, time_of
from rockshy.sim.scenario.scenario import RockSpec, Scenario
from rockshy.sim.scenario.timeline import FishOut
from staging import BARE, hole, holes


def _run(when: list[int], target: int = 0, lit: int = 36_000) -> WholeRun:
    """Fish 0 and 1 are mild, 2 is not; chases by 2 at these ticks, measured on the second of two days."""
    events = np.array([[tick, 0, 2, target, 0, 0] for tick in when], np.int32).reshape(-1, 6)
    return WholeRun(
        events=events,
        species=(MILD, MILD, HOT),
        label=(f"{MILD} male 1", f"{MILD} female 1", f"{HOT} male 1"),
        free_share=np.array([0.7, 0.2, 0.1]),
        chased=np.array([len(when), 0, 0]),
        measured_from=lit,
        last_tick=2 * lit,
        lit_ticks=lit,
    )


def test_the_busiest_minutes_of_the_measured_day_are_taken() -> None:
    run = _run([100] * 50 + [40_000, 50_500, 50_600, 51_000])
    window = busiest_window(run, watch=MILD, minutes=30)
    assert window.start <= 50_500 and window.start + window.ticks > 51_000
    assert window.start % 600 == 0 and window.ticks == 1800
    assert "3 times" in window.why and "was 0" in window.why
    assert busiest_window(run, watch=MILD, minutes=30, day=1).start == 0
    calm = busiest_window(_run([]), watch=MILD, minutes=30)
    assert calm.start == 36_000 and "Nobody chased" in calm.why
    assert busiest_window(_run([40_000], target=2), watch=MILD, minutes=30).why.startswith("Nobody")


def test_no_window_crosses_a_night() -> None:
    run = _run(list(range(35_900, 36_100)))
    run = replace(run, measured_from=0)
    window = busiest_window(run, watch=MILD, minutes=30)
    assert window.start // 36_000 == (window.start + window.ticks - 1) // 36_000


def test_a_typical_tank_is_the_one_in_the_middle() -> None:
    found = middle_of({0: 5, 1: 50, 2: 7, 3: 6, 4: 900})
    assert (found.trial, found.chases, found.least, found.most, found.done) == (2, 7, 5, 900, 5)
    assert middle_of({0: 3, 1: 3, 2: 3, 3: 3}).trial == 1
    counts = {trial: int(whole_run(two_kinds(trials=3), trial=trial).chased[:6].sum()) for trial in range(3)}
    assert typical_trial(two_kinds(trials=3)) == middle_of(counts)


def test_the_fish_followed_is_the_one_of_its_kind_that_swims_free_least() -> None:
    i, why = fish_to_follow(_run([40_000]), watch=MILD)
    assert i == 1 and "20 %" in why


def test_the_clock_starts_at_eight_or_earlier_where_the_day_is_long() -> None:
    assert lights_on_s(10.0) == 8 * 3600
    assert lights_on_s(20.0) == 4 * 3600
    assert time_of("09:05") == 9 * 3600 + 300 and say_time(9 * 3600 + 305, with_seconds=True) == "09:05:05"
    for wrong in ("9", "09:60", "25:00", "nine", "", "-1:00"):
        with pytest.raises(ValueError, match="time of day"):
            time_of(wrong)


def test_a_film_is_made_of_what_was_wished_for() -> None:
    scenario = two_kinds(trials=3)
    made = make_film(
        scenario, Wish(trial=2, from_s=8 * 3600 + 600, minutes=2, day=1, follow=f"{MILD} male 2", speed=4)
    )
    assert (made["trial"], made["of"], made["speed"], made["seconds"]) == (2, 3, 4, 120)
    assert made["clock"] == 8 * 3600 + 600 and made["tanks"][0]["day"] == 1
    assert made["tanks"][0]["fish"][made["follow"]]["label"] == f"{MILD} male 2"
    assert any("not yours" in text for text in made["why"])
    assert not any("before measuring" in text for text in made["why"])
    early = make_film(scenario, Wish(trial=2, from_s=8 * 3600, minutes=2, day=1))
    assert any("before measuring begins" in text for text in early["why"])
    chosen = make_film(scenario, Wish(minutes=2), trial_counts={0: 9, 1: 5, 2: 7})
    assert chosen["trial"] == 2 and any("typical one of 3" in text for text in chosen["why"])


@pytest.mark.parametrize("rock", [film_examples.ROCKY, BARE, holes(hole(40.0))])
def test_one_fish_alone_makes_a_film_in_any_tank(rock: RockSpec) -> None:
    made = make_film(film_examples.lonely(rock), Wish(minutes=1))
    assert made["follow"] == 0 and not made["tanks"][0]["log"]
    assert any("Nobody chased" in text for text in made["why"])
    assert Painter(made, size=(320, 180)).frame(30.0).size == (320, 180)
    assert len(film_page(made)) > 50_000


def test_after_ctrl_c_a_film_says_of_how_many_it_is_typical(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken_off(scenario: Scenario, jobs: object, **_: object) -> Iterator[object]:
        for trial in range(2):
            yield Job(0, trial), run_trial(scenario[0], trial, arms=(AS_STOCKED,))
        raise KeyboardInterrupt

    monkeypatch.setattr(choosing, "each_job", broken_off)
    made = make_film(two_kinds(), Wish(minutes=1))
    assert made["lookedAt"] == 2 and any("typical one of 2 simulated" in text for text in made["why"])
    assert make_film(two_kinds(), Wish(minutes=1, trial=0))["lookedAt"] == 0


def test_two_tanks_are_on_the_same_clock_although_one_is_measured_later() -> None:
    base = two_kinds(trials=3, settle_days=1.0, days=2.0)
    late = replace(base, stock=(*base.stock[:2], replace(base.stock[2], day=1.0)))
    made = make_film(base, Wish(trial=1, alternative=("later", late), from_s=8 * 3600, minutes=2, day=2))
    first, other = made["tanks"]
    assert (first["day"], other["day"], other["name"]) == (2, 3, "later")


def test_a_day_beyond_the_run_shows_the_fish_as_they_lived_up_to_it() -> None:
    """A male that is out from day 20 on is there on day 19, not on day 30; a film comes twice alike."""
    male = f"{HOT} male 1"
    base = replace(two_kinds(), events=(FishOut(day=20.0, fish=(male,)),))
    film, again = (make_film(base, Wish(trial=1, minutes=2, day=30)) for _ in range(2))
    assert film["tanks"][0]["day"] == 30 and film == again and film["trial"] == 1
    assert "in blocks of days" in " ".join(film["why"])
    for day, there in ((19, True), (30, False)):
        start = (day - 1) * 3600 + 600
        shown = record(base, trial=1, start=start, ticks=60, lived=True)
        assert shown.present[:, shown.label.index(male)].any() == there, day
    alone = record(two_kinds(), trial=1, start=600, ticks=60)
    lived = record(two_kinds(), trial=1, start=600, ticks=60, lived=True)
    np.testing.assert_array_equal(alone.moves, lived.moves, err_msg="the first morning is the same")


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        (Wish(trial=20), "--trial is 21; use a whole number from 1 to 20"),
        (Wish(from_s=7 * 3600), "--from is 07:00; use a time within the lit day, 08:00 to 09:00"),
        (Wish(from_s=9 * 3600), "--from is 09:00"),
        (Wish(from_s=8 * 3600 + 1800, minutes=31), "use at most 30"),
        (Wish(minutes=61), "--minutes is 61; use 0.5 to 60"),
        (Wish(day=731), "--day is 731; use 1 to 730"),
    ],
)
def test_what_cannot_be_shown_is_refused_before_anything_runs(wish: Wish, says: str) -> None:
    with pytest.raises(WishError) as refused:
        make_film(two_kinds(), wish)
    assert says in str(refused.value)
