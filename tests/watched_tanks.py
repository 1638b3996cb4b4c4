"""Made-up watched tanks and tallies of four Tanganyika grazers, with what must come of them known."""

from __future__ import annotations

import numpy as np
from fake_trials import HOT, MILD, tank_file
from rockshy.analysis.questions.watching.windows import Watched, labels_of
from rockshy.sim.run.ledger import BITE, CHASE
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

TANK = tank_file(
    "Stonecomb club, tank 3",
    "Are my duboisi chased more than they should be?",
    glass=(80, 35, 35),
    rock='cover = "30 %"\nheight = 20',
    stock=((MILD, "males = 1\nfemales = 2"), (HOT, "males = 1")),
    run="days = 0.4\nsettle = 0.2\ntrials = 8",
)
SCAN_TICKS = 30


def tank(text: str = TANK) -> Scenario:
    """The scenario of the stock: duboisi male 1, female 1, female 2, trewavasae male 1."""
    return parse(text, name="tank.toml")


def made_up(
    *,
    trial: int,
    hours: float,
    rates: np.ndarray,
    rng: np.random.Generator,
    bites: float = 0.2,
    hidden: float = 0.3,
) -> Watched:
    """A watched tank whose chases come one by one at ``rates`` [n, n], an hour; places by chance."""
    n, ticks = len(rates), round(hours * 3600)
    rows = []
    for i in range(n):
        for j in range(n):
            for tick in rng.integers(ticks, size=rng.poisson(rates[i, j] * hours)):
                rows.append((tick, CHASE, i, j))
                if rng.random() < bites:
                    rows.append((tick, BITE, i, j))
    events = np.array(sorted(rows), np.int32).reshape(-1, 4)
    scan_ticks = np.arange(SCAN_TICKS, ticks + 1, SCAN_TICKS) - 1
    left_shelter, left_open = np.int8(0), np.int8(5)
    scans = np.where(rng.random((len(scan_ticks), n)) < hidden, left_shelter, left_open)
    return Watched(trial, events, scan_ticks, scans, ((0, ticks),))


def made_up_tanks(
    count: int, *, seed: int = 1, hours: float = 5.0, rate: float = 8.0, spread: float = 0.4
) -> list[Watched]:
    """Tanks in which every pair chases at the same mean rate, that of each tank drawn log-normally."""
    rng = np.random.default_rng(seed)
    n = len(labels_of(tank()))
    pairs = 1 - np.eye(n)
    return [
        made_up(trial=k, hours=hours, rates=rate * np.exp(spread * rng.standard_normal()) * pairs, rng=rng)
        for k in range(count)
    ]


HEADER = "watch,row,date,start,minutes,watched,chaser,chased,act,count,fish,minute,place,note"


def tally_text(*rows: str, header: str = HEADER) -> str:
    """A tally with one ten-minute watch of the whole tank and more rows."""
    return "\n".join([header, session(1), *rows]) + "\n"


def session(watch: int, *, minutes: str = "10", watched: str = "") -> str:
    return f"{watch},session,2025-03-01,18:00,{minutes},{watched},,,,,,,,"


def act(chaser: str, chased: str, what: str = "chase", count: object = "", *, watch: int = 1) -> str:
    return f"{watch},act,,,,,{chaser},{chased},{what},{count},,,,"


def place(fish: str, minute: object, where: str, count: object = "", *, watch: int = 1) -> str:
    return f"{watch},place,,,,,,,,{count},{fish},{minute},{where},"
