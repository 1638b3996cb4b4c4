"""The tanks of keepers' levers; levers.toml has what keepers say of them and what is compared.

Every tank is of our own making: grazers of Lake Tanganyika that are not known to us from anybody's tank.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from ...sim.scenario.scenario import RockSpec, Scenario, StockRow, TankSpec
from ...sim.scenario.timeline import Event, FishBack, FishOut
from ..document.plain import percent
from .lab import set_up
from .registered import text_of

UP, DOWN = 1, -1
WEEK = 7.0
MILD, HOT, FIERY = "Pseudosimochromis curvifrons", "Petrochromis trewavasae", "Tropheus moorii"
ALSO_MILD = "Simochromis diagramma"
CHIEF = f"{HOT} male 1"
COVERS = (0.1, 0.4, 0.8)
ONE_LENGTH_CM = (11.0, 12.0)
FOUR_FEET = TankSpec(120.0, 45.0, 50.0, 47.0)
SIX_FEET = TankSpec(180.0, 50.0, 50.0, 47.0)
AT_THE_BACK = RockSpec(cover=0.4, height_cm=40.0, piles=3)  # nearly to the surface


@dataclass(frozen=True)
class Contrast:
    """Two scenarios of a lever, and what should move from the first to the second.

    Attributes
    ----------
    base, other : names of scenarios.
    measure : "free", "received" or "pinned_fish" of :mod:`rockshy.analysis.measures.registry`.
    wanted : UP or DOWN, from base to other.
    species, sex : whose; sex "" is both. Only fish that both scenarios have.
    worst : of the one fish of each tank that fares worst.
    """

    base: str
    other: str
    measure: str
    wanted: int
    species: str = MILD
    sex: str = ""
    worst: bool = False


@dataclass(frozen=True)
class Lever:
    """One thing that keepers change.

    Attributes
    ----------
    id, name : short and in words.
    keepers : what they say; common practice, no source.
    mechanism : through which rules it can act in the model.
    scenarios : by name; the first has every fish of the others that is measured.
    contrasts : what is compared; the first is what keepers mean, and decides, the others tell more of it.
    topics : answers of the tool that rest on it; see :mod:`.doubts`.
    """

    id: str
    name: str
    keepers: str
    mechanism: str
    scenarios: Mapping[str, Scenario]
    contrasts: tuple[Contrast, ...]
    topics: tuple[str, ...]


def high(cover: float) -> RockSpec:
    """Rock nearly to the surface over a share of the floor."""
    return RockSpec(cover=cover, height_cm=40.0 if cover else 0.0, piles=3)


def low(cover: float) -> RockSpec:
    """Heaps of 15 cm."""
    return RockSpec(cover=cover, height_cm=15.0, piles=3)


def stock(*, mild: tuple[int, int] = (2, 4), hot: tuple[int, int] = (2, 4)) -> tuple[StockRow, ...]:
    """A mild and a hot kind; males and females of each."""
    return StockRow(MILD, *mild, length_cm=(9.0, 11.0)), StockRow(HOT, *hot, length_cm=(13.0, 16.0))


def tank(
    *rows: StockRow, size: TankSpec = FOUR_FEET, rock: RockSpec = AT_THE_BACK, **fish: tuple[int, int]
) -> Scenario:
    """A tank of rows of stock, or of the usual stock with other numbers of ``mild`` and ``hot`` fish."""
    return set_up(*(rows or stock(**fish)), tank=size, rock=rock)


def arriving(mild: float, hot: float, *, length_cm: tuple[float, float] | None = None) -> Scenario:
    """The usual stock, or the same of one length, each kind on its day."""
    rows = (replace(row, length_cm=length_cm or row.length_cm) for row in stock())
    return tank(*(replace(row, day=day) for row, day in zip(rows, (mild, hot), strict=True)))


def with_chief(*events: Event, until: float) -> Scenario:
    """The usual stock with one male that is far larger than all others; the last day is measured."""
    mild, hot = stock(hot=(1, 4))
    chief = StockRow(HOT, 1, length_cm=(17.0, 18.0))
    begin = max((event.day for event in events if event.settle), default=0.0)
    made = tank(mild, chief, hot)
    run = replace(made.run, days=until - begin, settle_days=until - begin - 1.0)
    return replace(made, run=run, events=events)


def of_sizes(*lengths_cm: float) -> Scenario:
    """Two males and six females of one kind, of lengths that are dealt out in turn."""
    rows = [
        StockRow(FIERY, int(k < 2), int(k >= 2), length_cm=(cm, cm + 0.4))
        for k, cm in enumerate((lengths_cm * 8)[:8])
    ]
    return tank(*rows)


def several_kinds(k: int) -> Scenario:
    """k males and 3 k females each of three kinds, in six feet."""
    third = StockRow(FIERY, k, 3 * k, length_cm=(10.0, 12.0))
    return tank(*stock(mild=(k, 3 * k), hot=(k, 3 * k)), third, size=SIX_FEET)


OUT = FishOut(day=2.0, fish=(CHIEF,))
LATER = FishOut(day=2.0, fish=(CHIEF,)), FishBack(day=2.0 + WEEK, fish=(CHIEF,))

SCENARIOS: Mapping[str, Mapping[str, Scenario]] = {
    "rock": {
        "none": tank(rock=high(0.0)),
        **{percent(cover): tank(rock=high(cover)) for cover in COVERS},
    },
    "height": {"heaps": tank(rock=low(0.4)), "to the surface": tank()},
    "order": {
        "together": arriving(0.0, 0.0),
        "mild first": arriving(0.0, WEEK),
        "mild last": arriving(WEEK, 0.0),
        "one length, mild first": arriving(0.0, WEEK, length_cm=ONE_LENGTH_CM),
        "one length, mild last": arriving(WEEK, 0.0, length_cm=ONE_LENGTH_CM),
    },
    "length": {
        f"{cm} cm": tank(size=TankSpec(cm, 45.0, 45.0, 42.0), hot=(1, 3)) for cm in (120, 60, 90, 180)
    },
    "females": {str(count): tank(hot=(1, count)) for count in (8, 4, 2, 1)},
    "chief": {"kept": with_chief(until=4.0), "out": with_chief(OUT, until=4.0)},
    "back": {
        "kept on": with_chief(until=3.5 + WEEK),
        "back": with_chief(*LATER, until=3.5 + WEEK),
    },
    "company": {
        "own kind": tank(stock(mild=(4, 8))[0]),
        "among mild": tank(stock()[0], StockRow(ALSO_MILD, 2, 4, length_cm=(9.0, 11.0))),
        "among hot": tank(),
    },
    "number": {str(12 * k): several_kinds(k) for k in (3, 2, 1)},
    "sizes": {"several": of_sizes(8.0, 10.0, 12.0), "one size": of_sizes(10.0)},
}


def _lever(id_: str, entry: Mapping[str, Any]) -> Lever:
    whose = {name: entry[name] for name in ("species", "sex", "worst") if name in entry}
    contrasts = (
        Contrast(base, other, measure, UP if way == "up" else DOWN, **whose)
        for base, other, measure, way in entry["contrasts"]
    )
    return Lever(
        id_,
        entry["name"],
        entry["keepers"],
        entry["mechanism"],
        SCENARIOS[id_],
        tuple(contrasts),
        tuple(entry["topics"]),
    )


LEVERS = tuple(_lever(id_, entry) for id_, entry in tomllib.loads(text_of("levers.toml")).items())
