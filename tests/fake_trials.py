"""Made-up Trials tables: random but consistent ones, and tiny ones whose answers are worked out by hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Arm, FishList, Trials

MILD = "Tropheus duboisi"
HOT = "Petrochromis trewavasae"
HOUR_S = 3600.0


def tank_file(
    title: str,
    question: str = "",
    *,
    glass: tuple[int, int, int],
    rock: str = "",
    stock: Iterable[tuple[str, str]],
    run: str,
    water: str = "",
) -> str:
    """A scenario file: glass in cm, length first; a stock row is a species and its lines."""
    asked = f'question = "{question}"\n' if question else ""
    sides = "".join(f"{k} = {v}\n" for k, v in zip(("length", "front_to_back", "height"), glass, strict=True))
    rows = "".join(f'[[stock]]\nspecies = "{species}"\n{lines}\n' for species, lines in stock)
    return f'title = "{title}"\n{asked}[tank]\n{sides}{water}[rock]\n{rock}\n{rows}[run]\n{run}\n'


def fish_list(*, mild: int, hot: int) -> FishList:
    """A stock of two algae grazers; the last mild fish of three or more holds eggs."""
    label = [f"{MILD} {i + 1}" for i in range(mild)] + [f"{HOT} {i + 1}" for i in range(hot)]
    n = mild + hot
    holding = np.zeros(n, dtype=bool)
    holding[mild - 1] = mild >= 3
    return FishList(tuple(label), (MILD,) * mild + (HOT,) * hot, np.zeros(n), np.full(n, np.inf), holding)


def random_arm(
    name: str,
    *,
    fish: FishList,
    trial: Sequence[int],
    draw: Sequence[int],
    hours: int,
    seed: int,
    peace: bool,
) -> Arm:
    """One arm in which all sums agree: chases by hour and by pair, seconds by hour and in all."""
    rng = np.random.default_rng(seed)
    t, n = len(trial), len(fish)
    off = ~np.eye(n, dtype=bool)
    chases = rng.poisson(0.0 if peace else 3.0, (t, n, n)) * off
    hour_chased = np.zeros((t, n, hours), dtype=np.int64)
    for i in range(t):
        for j in range(n):
            hour_chased[i, j] = rng.multinomial(chases[i, :, j].sum(), np.full(hours, 1 / hours))
    hour_lit = np.full((t, n, hours), HOUR_S)
    hour_hidden = hour_lit * rng.uniform(0.0, 0.5, hour_lit.shape)
    hour_free = (hour_lit - hour_hidden) * rng.uniform(0.5, 1.0, hour_lit.shape)
    meals = np.full((t, n), 4.0)
    return replace(
        blank_arm(name, fish=fish, trials=t, hours=hours, draw=draw),
        trial=np.array(trial, dtype=np.int64),
        sex=rng.integers(0, 2, (t, n)).astype(np.int8),
        adult=rng.random((t, n)) < 0.8,
        length_cm=rng.uniform(6.0, 14.0, (t, n)),
        hidden_s=hour_hidden.sum(axis=2),
        free_s=hour_free.sum(axis=2),
        meals=meals,
        meals_missed=np.minimum(meals, rng.poisson(1.0, (t, n))).astype(float),
        food=rng.exponential(1.0, (t, n)),
        chases=chases,
        bites=rng.binomial(chases, 0.3),
        displays=rng.poisson(1.0, (t, n, n)) * off,
        wins=rng.poisson(0.5, (t, n, n)) * off,
        hour_share=rng.uniform(0.5, 1.0, hour_lit.shape),
        hour_outside_s=hour_free * rng.uniform(0.0, 1.0, hour_lit.shape),
        hour_owner_s=hour_lit * rng.uniform(0.0, 1.0, hour_lit.shape) ** 2,
        hour_chased=hour_chased,
        hour_hidden_s=hour_hidden,
    )


def random_trials(*, seed: int = 1, hours: int = 4) -> Trials:
    """Three arms of unequal size: 6 trials x 5 fish, 5 x 3 (own kind), 4 x 5 (left alone), uneven guesses."""
    draw = [0, 0, 0, 1, 1, 2]
    both, own = fish_list(mild=3, hot=2), fish_list(mild=3, hot=0)
    stocked = random_arm(
        AS_STOCKED, fish=both, trial=range(6), draw=draw, hours=hours, seed=seed, peace=False
    )
    single = random_arm(
        OWN_KIND, fish=own, trial=range(5), draw=draw[:5], hours=hours, seed=seed + 1, peace=False
    )
    alone = random_arm(
        LEFT_ALONE, fish=both, trial=[0, 2, 3, 5], draw=[0, 0, 1, 2], hours=hours, seed=seed + 2, peace=True
    )
    recipe: dict[str, object] = {"seed": seed, "text": 'title = "ä, \\"b\\""\n', "parameters": {"k": 0.1}}
    arms = {arm.name: arm for arm in (stocked, single, alone)}
    return Trials("A made-up tank", MILD, "named in the scenario", arms, 8, recipe)


def blank_arm(
    name: str, *, fish: FishList, trials: int = 1, hours: int = 4, draw: Sequence[int] | None = None
) -> Arm:
    """An arm in which nothing happens: whole lit hours, half of them in one place, always swimming free."""
    lit = np.full((len(fish), hours), HOUR_S)
    meals = np.full(len(fish), 2.0)
    quiet = quiet_columns(len(fish), hours, free_s=lit.sum(axis=1), meals=meals, hour_outside_s=lit / 2)
    columns = {key: np.repeat(one[None], trials, axis=0) for key, one in quiet.items()}
    draws = np.arange(trials) if draw is None else np.array(draw, dtype=np.int64)
    return Arm(name=name, fish=fish, trial=np.arange(trials), draw=draws, **columns)


def quiet_columns(n: int, hours: int, **others: np.ndarray) -> dict[str, np.ndarray]:
    """The columns of an outcome of n grown fish, in for whole lit hours, to whom nothing else happens."""
    pairs = ("chases", "bites", "displays", "wins")
    return {
        "sex": np.zeros(n, np.int8),
        "adult": np.ones(n, dtype=bool),
        "length_cm": np.full(n, 10.0),
        "lit_s": np.full(n, HOUR_S * hours),
        **{name: np.zeros(n) for name in ("hidden_s", "free_s", "meals_missed")},
        **{name: np.ones(n) for name in ("meals", "food")},
        **{name: np.zeros((n, n), dtype=np.int64) for name in pairs},
        "hour_share": np.full((n, hours), 0.5),
        **{name: np.zeros((n, hours)) for name in ("hour_outside_s", "hour_owner_s", "hour_hidden_s")},
        "hour_chased": np.zeros((n, hours), dtype=np.int64),
        "hour_lit_s": np.full((n, hours), HOUR_S),
        **others,
    }


def with_arms(*arms: Arm, recipe: dict[str, object] | None = None) -> Trials:
    """A Trials table of these arms."""
    return Trials(
        "By hand", MILD, "named in the scenario", {a.name: a for a in arms}, len(arms[0].trial), recipe or {}
    )


def changed(arm: Arm, **fields: np.ndarray) -> Arm:
    """The arm with some of its arrays replaced."""
    return replace(arm, **fields)  # type: ignore[arg-type]


def bullied_tank(*, tanks: int = 8, recipe: dict[str, object] | None = None) -> Trials:
    """A mild fish pinned in the first 5 of 8 tanks and chased 4 times an hour, a hot one chased 5 times.

    Left alone the mild fish swims free all the time, here a quarter of it; the hot one as when alone.
    With its own kind only (its own reflection of a partner) it is chased once an hour.
    """
    fish = fish_list(mild=1, hot=2)
    draw = np.arange(tanks) // 2
    arm = blank_arm(AS_STOCKED, fish=fish, trials=tanks, hours=6, draw=draw.tolist())
    chases = np.zeros((tanks, 3, 3), dtype=np.int64)
    chases[:, 1, 0], chases[:, 1, 2] = 24, 30
    free, share = arm.lit_s.copy(), arm.hour_share.copy()
    free[:, 0] /= 4
    share[:5, 0] = 0.9
    outside = arm.hour_outside_s.copy()
    outside[:, 0] = 10.0
    hourly = np.zeros((tanks, 3, 6), dtype=np.int64)
    hourly[:, 0], hourly[:, 2] = 4, [9, 7, 5, 4, 3, 2]
    arm = changed(
        arm, chases=chases, free_s=free, hour_share=share, hour_outside_s=outside, hour_chased=hourly
    )
    own = blank_arm(OWN_KIND, fish=fish_list(mild=2, hot=0), trials=tanks, hours=6, draw=draw.tolist())
    few = np.zeros((tanks, 2, 2), dtype=np.int64)
    few[:, 1, 0] = 6
    own = changed(own, chases=few)
    own = replace(own, fish=replace(own.fish, label=(f"{MILD} 1", f"{MILD} 2")))
    alone = blank_arm(LEFT_ALONE, fish=fish, trials=tanks, hours=6, draw=draw.tolist())
    return with_arms(arm, own, alone, recipe=recipe)
