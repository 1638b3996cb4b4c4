"""Why a fish is bullied: shares of made-up tanks with known causes, their intervals, and the words."""

from __future__ import annotations

import numpy as np
import pytest
from command_line import Patch
from fake_trials import HOT, MILD
from fake_why import FIVE, ONE_SPECIES, TEXT, Game, Worth, behind, glove, mixed, opposed, played, said, tank
from rockshy.analysis.measures.registry import LOST, RECEIVED
from rockshy.analysis.measures.victim import TANKS, WORST_OFF
from rockshy.analysis.measures.whom import FishGroupError, asked_for
from rockshy.analysis.questions.why import design
from rockshy.analysis.questions.why.answer import LEFT, answer_of, shared_out
from rockshy.analysis.questions.why.design import LEAST_TRIALS, Row, WhyError, plan_of
from rockshy.analysis.questions.why.files import whole_json
from rockshy.analysis.questions.why.game import coalitions_of, orders_for
from rockshy.analysis.questions.why.mechanisms import (
    CROWDING,
    GROUND,
    LOOKS,
    SEXES,
    SHELTER,
    SIGHT,
    SIZE,
    TEMPER,
)


def airport(on: frozenset[str], _: int) -> tuple[float, float]:
    needed = {SIZE: 1, SIGHT: 2, SHELTER: 3}
    worth = max((needed.get(code, 0) for code in on), default=0)
    return 0.2 * worth, float(worth)


def unanimity(on: frozenset[str], _: int) -> tuple[float, float]:
    both = float({SIGHT, CROWDING} <= on)
    return 0.5 * both, 4.0 * both


def symmetric(on: frozenset[str], _: int) -> tuple[float, float]:
    return len(on) ** 2 / 25.0, float(len(on) ** 2)


def at_peace(_: frozenset[str], trial: int) -> tuple[float, float]:
    return 0.01 * (trial % 2), 0.0


KNOWN = {
    glove: {SIZE: 2 / 3, SIGHT: 1 / 6, SHELTER: 1 / 6, CROWDING: 0, GROUND: 0},
    airport: {SIZE: 1 / 3, SIGHT: 5 / 6, SHELTER: 11 / 6, CROWDING: 0, GROUND: 0},
    unanimity: {SIZE: 0, SIGHT: 1 / 2, SHELTER: 0, CROWDING: 1 / 2, GROUND: 0},
    symmetric: dict.fromkeys(FIVE, 5.0),
}
UNIT = {glove: (0.6, 6.0), airport: (0.2, 1.0), unanimity: (0.5, 4.0), symmetric: (0.04, 1.0)}
REST = {glove: (0.1, 2.0)}


EVERY = design.MOST_TICKS


@pytest.fixture(autouse=True)
def small(monkeypatch: Patch) -> None:
    """Four tanks are enough, and none is small enough to run every coalition."""
    monkeypatch.setattr(design, "LEAST_TRIALS", 4)
    monkeypatch.setattr(design, "MOST_TICKS", 0.0)


@pytest.fixture
def every(monkeypatch: Patch) -> None:
    """Every coalition is run, as in any small tank."""
    monkeypatch.setattr(design, "MOST_TICKS", EVERY)


# ---- known games through the code that tanks go through


@pytest.mark.parametrize("worth", KNOWN)
def test_known_games_are_shared_out_as_known(worth: Worth, every: None) -> None:
    found = played(worth, scenario=tank(trials=4))
    assert found.exact and found.tanks == 4 * (32 + 2)  # 2^5, yardstick, clear view
    for g, goal in enumerate((LOST, RECEIVED)):
        shared = found.shared[goal]
        for code, share in KNOWN[worth].items():
            assert shared.of(code).value.value == pytest.approx(share * UNIT[worth][g], abs=1e-12)
        assert shared.of(LEFT).value.value == pytest.approx(REST.get(worth, (0.0, 0.0))[g], abs=1e-12)


def test_each_scenario_that_is_run_has_off_what_its_bits_say() -> None:
    game = Game(opposed)
    found = answer_of(plan_of(tank(TEXT, trials=8), meant=True), game)
    jobs = [job for batch in game.asked for job in batch]
    codes = [one.code for one in found.mechanisms]
    for job, on in zip(jobs, game.seen, strict=True):
        if job.which < 1 << len(codes):
            assert on == {code for k, code in enumerate(codes) if not job.which >> k & 1}
    assert {len(one.worth) for one in found.rows} == {16}  # two chains of 9 share both ends
    assert sorted({job.trial for job in jobs if job.which}) == list(range(8))


def test_dummies_get_nothing_and_equals_the_same_with_eight_players() -> None:
    shared = mixed().shared[LOST]
    for code in (SIZE, GROUND, SHELTER, TEMPER, SEXES):
        assert shared.of(code).value.value == pytest.approx(0.0, abs=1e-12)
    assert shared.of(SIGHT).value.value == pytest.approx(0.3)
    assert shared.of(LOOKS).value.value == pytest.approx(-0.1)
    assert shared.of(SIGHT).alone.value == pytest.approx(0.3)
    assert 0 < shared.of(SIGHT).alone.trials < 16


def test_tokens_add_up_to_ten_and_follow_the_shares() -> None:
    for shared in mixed().shared.values():
        assert sum(one.of_ten.tokens for one in shared.shares) == 10
        assert sum(one.of_ten.value for one in shared.shares) == pytest.approx(10, abs=1e-9)
        assert all(abs(one.of_ten.tokens - one.of_ten.value) < 1 for one in shared.shares)


def test_the_largest_is_counted_by_tank() -> None:
    def by_turns(on: frozenset[str], trial: int) -> tuple[float, float]:
        code = SIZE if trial % 4 == 0 else SIGHT
        return 0.2 + 0.3 * (code in on), 3.0

    shared = played(by_turns, scenario=tank(trials=16)).shared
    assert (shared[LOST].of(SIZE).largest, shared[LOST].of(SIGHT).largest) == (4, 12)
    assert all(one.largest == 0 for one in shared[RECEIVED].shares)  # nothing adds anything


def test_ctrl_c_answers_from_whole_tanks_and_still_adds_up() -> None:
    whole = Game(opposed)
    answer_of(plan_of(tank(TEXT, trials=6), meant=True), whole)
    first, second = (len(batch) for batch in whole.asked)
    stop = first + second * 4 // 6 + 3
    found = played(opposed, scenario=tank(TEXT, trials=6), stop_after=stop)
    assert found.stopped and len(found.rows) == 4
    for shared in found.shared.values():
        assert sum(one.value.value for one in shared.shares) == pytest.approx(shared.whole.value, abs=1e-12)
    assert "Stopped by Ctrl-C: of what was done so far. 4 tanks" in said(found)
    with pytest.raises(KeyboardInterrupt):
        played(opposed, scenario=tank(TEXT, trials=6), stop_after=first + 3)
    with pytest.raises(KeyboardInterrupt):
        played(opposed, scenario=tank(TEXT, trials=6), stop_after=3)


# ---- intervals


def noisy_rows(rng: np.random.Generator, players: int, *, guesses: int, repeats: int) -> list[Row]:
    """A game with effects that differ by guess and by trial, and with pairs that work together."""
    main = np.linspace(-0.05, 0.2, players)
    rows = []
    ignorance = rng.normal(0.0, 0.05, (guesses, players))
    for trial in range(guesses * repeats):
        draw = trial % guesses
        orders = orders_for(trial, players=players, seed=int(rng.integers(10**6)))
        worth = {}
        for coalition in coalitions_of(orders):
            on = np.array([coalition >> k & 1 for k in range(players)])
            value = 0.4 + (main + ignorance[draw]) @ on + 0.2 * on[0] * on[1] + rng.normal(0.0, 0.05)
            worth[coalition] = np.array([value, 10.0 * value])
        rows.append(Row(trial, draw, orders, worth, np.full(2, np.nan)))
    return rows


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    players, rng = 4, np.random.default_rng(8)
    main = np.linspace(-0.05, 0.2, players)
    truth = main + np.array([0.1, 0.1, 0.0, 0.0])
    whole = 0.4 + truth.sum()
    held, ten_held, told = [], [], []
    for _ in range(100):
        rows = noisy_rows(rng, players, guesses=12, repeats=2)
        shared = shared_out(rows, goal=LOST, codes=[*"abcd"], fixed=False)
        for k, one in enumerate(shared.shares):
            right = truth[k] if k < players else 0.4
            held.append(one.value.low <= right <= one.value.high)
            ten_held.append(one.of_ten.low <= 10 * right / whole <= one.of_ten.high)
        told.append(shared.of("d").told)
    for found in (held, ten_held):  # 500 of each
        assert 0.92 <= np.mean(found) <= 0.98
    assert np.mean(told) > 0.9


def test_the_guess_is_the_unit() -> None:
    rows = [
        Row(t, t % 4, (), {0: np.zeros(2), 1: np.full(2, 1.0 + (t % 4))}, np.full(2, np.nan))
        for t in range(16)
    ]
    by_draw = shared_out(rows, goal=LOST, codes=["a"], fixed=False).of("a").value
    by_trial = shared_out(rows, goal=LOST, codes=["a"], fixed=True).of("a").value
    assert by_draw.high - by_draw.low > 2 * (by_trial.high - by_trial.low)


# ---- whom, how much, nothing, refusals


def test_the_victim_is_seen_in_the_first_tanks_which_count_among_all() -> None:
    game = Game(opposed)
    found = answer_of(plan_of(tank(TEXT, trials=20), meant=True), game)
    assert [job.trial for job in game.asked[0]] == list(range(TANKS))
    assert [job.trial for job in game.asked[1]] == list(range(TANKS, 20))
    assert all(job.which == 0 for batch in game.asked[:2] for job in batch)
    assert found.whom.name == f"{MILD} male" and found.whom.why == WORST_OFF  # all lose the same
    assert [row.trial for row in found.rows] == list(range(20))


def test_who_is_named_is_explained() -> None:
    scenario = tank(TEXT, trials=4)
    game = Game(opposed)
    found = answer_of(plan_of(scenario, meant=True), game, whom=asked_for(scenario, "trewavasae male 2"))
    assert found.whom.name == f"{HOT} males" and set(found.fish) <= set(found.whom.labels)
    assert game.asked[0][0].trial == 0  # nothing to choose
    with pytest.raises(FishGroupError):
        asked_for(scenario, "trewavasae male 7")


def test_a_fish_that_is_not_bullied_is_said_to_be_so_and_nothing_is_switched_off() -> None:
    game = Game(at_peace)
    found = answer_of(plan_of(tank(TEXT, trials=16), meant=True), game)
    assert found.nothing and found.rows == ()
    assert all(job.which == 0 for batch in game.asked for job in batch)
    words = said(found)
    assert "There is nothing to explain: Tropheus duboisi" in words
    assert "Of ten" not in words
    assert whole_json(found, behind(found))["nothing_to_explain"] is True


def test_one_outcome_alone_is_shared_out_where_the_other_is_nothing() -> None:
    def unseen(on: frozenset[str], _: int) -> tuple[float, float]:
        return 0.3 + 0.2 * (SIGHT in on), 0.0

    words = said(played(unseen, scenario=tank(trials=4)))
    assert "Of ten parts of the free swimming it loses:" in words
    assert "Of ten chases" not in words and "Only its free swimming is shared out" in words


@pytest.mark.parametrize(
    ("text", "trials", "message"),
    [
        ("males = 1", 16, "there is one fish, Tropheus duboisi male 1, and nobody"),
        ("males = 1\nfemales = 3", 15, f"15 simulated tanks are too few; use at least {LEAST_TRIALS}"),
    ],
)
def test_what_cannot_be_explained_is_refused(
    text: str, trials: int, message: str, monkeypatch: Patch
) -> None:
    monkeypatch.setattr(design, "LEAST_TRIALS", LEAST_TRIALS)
    scenario = tank(ONE_SPECIES.replace("males = 1\nfemales = 3", text), trials=trials)
    with pytest.raises(WhyError, match=message):
        plan_of(scenario)


def test_more_than_can_be_run_is_cut_to_whole_rounds_unless_it_is_meant(monkeypatch: Patch) -> None:
    scenario = tank(TEXT, trials=64, guesses=4)
    ticks = 8 * 2 * 36000.0
    monkeypatch.setattr(design, "MOST_TICKS", 10 * ticks * (14 * design.THINNED + 2))
    found = answer_of(plan_of(scenario), Game(opposed))
    assert not found.exact
    assert (found.trials, len(found.rows)) == (8, 8)  # of 10 the whole rounds of 4 guesses
    assert "64 tanks were cut to 8" in said(found)
    assert plan_of(scenario, meant=True).meant
    assert len(answer_of(plan_of(tank(TEXT, trials=12), meant=True), Game(opposed)).rows) == 12


def test_tanks_without_the_fish_are_left_out_whole() -> None:
    def gone(on: frozenset[str], trial: int) -> tuple[float, float]:
        return (np.nan if trial == 3 and SIZE not in on else 0.4), 3.0

    found = played(gone, scenario=tank(trials=5))
    assert found.unjudged == 1 and 3 not in [row.trial for row in found.rows]
    assert "1 more could not be judged" in said(found)
