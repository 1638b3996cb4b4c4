"""The figures of a tally and of a tank watched alike, and what a fit makes of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from made_tallies import tally_of
from rockshy import Simulator
from rockshy.analysis.questions.fit import figures as fit_figures
from rockshy.analysis.questions.fit.design import FitError, groups_in, plan_of
from rockshy.analysis.questions.fit.draws import given_of, inputs_of, scores_of, values_of
from rockshy.analysis.questions.fit.figures import NoFigureError, figures_of
from rockshy.analysis.questions.watching.reading import parse_tally
from rockshy.analysis.questions.watching.tally import Tally
from rockshy.analysis.questions.watching.windows import Watched, one_draw_each
from watched_tanks import HEADER, HOT, MILD, act, made_up, made_up_tanks, place, session, tally_text, tank

MINUTES = 10


def tank_of(watches: int, *, hours: float = 0.0, seed: int = 2) -> Watched:
    """A made-up tank as long as so many windows."""
    pairs = 30.0 * (1 - np.eye(4))
    hours = hours or watches * MINUTES / 60
    return made_up(trial=3, hours=hours, rates=pairs, rng=np.random.default_rng(seed))


def read(*rows: str) -> Tally:
    return parse_tally(tally_text(*rows), tank(), name="watch.csv")


@pytest.mark.parametrize("watches", [1, 4])
def test_a_tank_says_of_itself_what_its_own_tally_says(watches: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With as many windows as watches there is no choice among them; nothing is overlooked here."""
    monkeypatch.setattr(fit_figures, "MOST_MISSED", 0.0)
    own = tank_of(watches)
    told = figures_of(tank(), tally_of(tank(), own, watches=watches, minutes=MINUTES))
    np.testing.assert_allclose(told.watched(own), told.counted)
    assert len(told.names) == (2 if watches >= fit_figures.FEWEST_SPREAD else 1) * 3 * 3
    assert f"{MILD} females: hidden" in told.names


def test_a_watcher_who_overlooks_acts_sees_as_many_hidden_and_fewer_chases() -> None:
    told = figures_of(tank(), tally_of(tank(), tank_of(6), watches=1))
    every = np.array([told.watched(replace(tank_of(1, seed=5), trial=k)) for k in range(60)])
    of = dict(zip(told.names, every.T, strict=True))
    assert np.ptp(of[f"{MILD} females: hidden"]) < 1e-12
    chased = np.exp(of[f"{MILD} females: chased"]) * MINUTES
    assert chased.min() < 0.6 * chased.max()


def test_places_alone_and_fish_that_were_not_told_apart() -> None:
    looks = read(place(f"{MILD} females", 1, "out", 1), place(f"{MILD} male 1", 1, "out"))
    acts = [name for name in figures_of(tank(), looks).names if "hidden" not in name]
    assert acts  # a watch without a chase counts
    alone = replace(looks, watches=tuple(replace(one, acts=False) for one in looks.watches))
    assert figures_of(tank(), alone).names == (f"{MILD} male: hidden", f"{MILD} females: hidden")
    unsure = read(act(f"{HOT} male 1", MILD, "chase", 5))
    chased = [name for name in figures_of(tank(), unsure).names if name.endswith(": chased")]
    assert chased == [f"{HOT}: chased", f"{MILD}: chased"]  # the species, not its sexes


def test_a_tally_that_says_nothing_and_a_watch_that_is_too_long() -> None:
    one = read(act("?", "?", "chase", 3))
    nothing = replace(one, watches=tuple(replace(each, acts=False) for each in one.watches), acts=())
    with pytest.raises(NoFigureError, match="neither a look nor a chase"):
        figures_of(tank(), nothing)
    long = parse_tally("\n".join([HEADER, session(1, minutes="90")]), tank(), name="watch.csv")
    with pytest.raises(NoFigureError, match="90"):
        figures_of(tank(), long).watched(tank_of(2))


def test_a_watch_at_an_hour_is_laid_over_windows_of_that_hour() -> None:
    own = tank_of(0, hours=8.0)
    busy = own.events[own.events[:, 0] < 2 * 3600]
    told = figures_of(tank(), read(act(f"{HOT} male 1", f"{MILD} male 1", "chase", 5)))
    own = replace(own, events=busy)  # chases in the first two hours of light alone

    def chases(hour: float | None) -> float:
        watches = tuple(replace(one, hour=hour) for one in told.tally.watches)
        at = replace(told, tally=replace(told.tally, watches=watches))
        found = [at.watched(replace(own, trial=k)) for k in range(20)]
        return float(np.exp(np.array(found)[:, told.names.index(f"{HOT}: chasing")]).mean())

    assert chases(0.5) > 2 * chases(None) > 0
    assert chases(7.0) == pytest.approx(0.5 / MINUTES)


def test_too_few_tanks_and_nothing_drawn_are_refused() -> None:
    told = read(act(f"{HOT} male 1", f"{MILD} male 1", "chase", 5))
    with pytest.raises(FitError, match="use at least 200"):
        plan_of(tank(), told, trials=64)
    fixed = replace(tank(), run=replace(tank().run, fixed=True))
    with pytest.raises(FitError, match="nothing is left open"):
        plan_of(fixed, told)
    assert list(groups_in(tank())) == [f"{MILD} male", f"{MILD} females", HOT]


def test_draws_come_back_from_their_scores_and_moved_ones_stay_in_their_ranges() -> None:
    wide = one_draw_each(tank())
    inputs = inputs_of(wide)
    values = values_of(wide, inputs, range(6))
    scores = scores_of(inputs, values)
    back = np.array(given_of(inputs, scores).rows)
    np.testing.assert_allclose(back, values, rtol=1e-9)
    far = np.array(given_of(inputs, scores + 20.0).rows)
    high = np.array([one.high for one in inputs])
    np.testing.assert_allclose(far, np.tile(high, (6, 1)), rtol=1e-9)


def test_any_package_can_take_our_place() -> None:
    """The example of DEVELOPERS.md: a draw in, figures out, to be held against what was observed."""
    simulate = Simulator(tank(), read(place(f"{MILD} females", 5, "out", 1)))
    drawn = simulate.draw(1)
    assert set(drawn) == set(simulate.inputs)
    assert all(low <= drawn[name] <= high for name, (low, high, _) in simulate.inputs.items())
    figures = simulate(drawn, trial=1)
    assert figures.shape == simulate.observed.shape == (len(simulate.names),)
    np.testing.assert_array_equal(figures, simulate(drawn, trial=1))
    peaceful = simulate({**drawn, "attack_rate_s": simulate.inputs["attack_rate_s"][0]}, trial=1)
    assert not np.array_equal(figures, peaceful)


def test_made_up_tanks_have_figures_that_vary() -> None:
    told = figures_of(tank(), tally_of(tank(), tank_of(6), watches=2))
    every = np.array([told.watched(one) for one in made_up_tanks(12)])
    assert np.isfinite(every).all()
    assert (every.std(axis=0) > 0).all()
