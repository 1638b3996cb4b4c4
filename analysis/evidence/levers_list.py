"""What keepers pull when fish are chased, and what they say of it: common practice, no source.

Every tank is of our own making: grazers of Lake Tanganyika that are not known to us from anybody's tank.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ...sim.scenario.scenario import RockSpec, Scenario, StockRow, TankSpec
from ...sim.scenario.timeline import Event, FishBack, FishOut
from ..document.plain import percent
from ..measures.registry import FREE, PINNED_FISH, RECEIVED
from .lab import set_up

UP, DOWN = 1, -1
WEEK = 7.0
MILD, HOT, FIERY = "Pseudosimochromis curvifrons", "Petrochromis trewavasae", "Tropheus moorii"
ALSO_MILD = "Simochromis diagramma"
CHIEF = f"{HOT} male 1"
COVERS = (0.1, 0.4, 0.8)
FOUR_FEET = TankSpec(120.0, 45.0, 50.0, 47.0)
SIX_FEET = TankSpec(180.0, 50.0, 50.0, 47.0)
AT_THE_BACK = RockSpec(cover=0.4, height_cm=40.0, piles=3)  # nearly to the surface


@dataclass(frozen=True)
class Contrast:
    """Two scenarios of a lever, and what should move from the first to the second.

    Attributes
    ----------
    base, other : names of scenarios.
    measure : FREE, RECEIVED or PINNED_FISH of :mod:`rockshy.analysis.measures.registry`.
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
    topics: tuple[str, ...] = ()


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


def arriving(mild: float, hot: float) -> Scenario:
    """The usual stock, each kind on its day."""
    return tank(*(replace(row, day=day) for row, day in zip(stock(), (mild, hot), strict=True)))


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


OUT = FishOut(day=2.0, fish=(CHIEF,))
LATER = FishOut(day=2.0, fish=(CHIEF,)), FishBack(day=2.0 + WEEK, fish=(CHIEF,))

LEVERS = (
    Lever(
        "rock",
        "rock, from none to 80 % of the floor",
        "Rock gives the mild fish room; the amount matters, up to about half of the floor.",
        "It hides fish from each other and has crevices to shelter in and to own.",
        {
            "none": tank(rock=high(0.0)),
            **{percent(cover): tank(rock=high(cover)) for cover in COVERS},
        },
        (
            Contrast("none", "40 %", FREE, UP),
            Contrast("none", "10 %", FREE, UP),
            Contrast("10 %", "40 %", FREE, UP),
            Contrast("40 %", "80 %", FREE, UP),
            Contrast("none", "40 %", RECEIVED, DOWN),
            Contrast("10 %", "80 %", RECEIVED, DOWN),
        ),
        ("rock", "relief", "compare"),
    ),
    Lever(
        "height",
        "low heaps, or rock nearly to the surface",
        "Rock up to the surface calms a tank; heaps with open water above them do little.",
        "High rock cuts the sight through the open water; low heaps leave it.",
        {"heaps": tank(rock=low(0.4)), "to the surface": tank()},
        (
            Contrast("heaps", "to the surface", FREE, UP),
            Contrast("heaps", "to the surface", RECEIVED, DOWN),
        ),
        ("rock", "relief", "compare"),
    ),
    Lever(
        "order",
        "who goes in first",
        "Mild fish in first, the boldest last; a week makes the difference.",
        "An owner in its core has an edge in a contest; fish that are there are used to each other.",
        {
            "together": arriving(0.0, 0.0),
            "mild first": arriving(0.0, WEEK),
            "mild last": arriving(WEEK, 0.0),
        },
        (
            Contrast("mild last", "mild first", FREE, UP),
            Contrast("together", "mild first", FREE, UP),
            Contrast("together", "mild last", FREE, DOWN),
            Contrast("mild last", "mild first", RECEIVED, DOWN),
        ),
        ("compare", "relief"),
    ),
    Lever(
        "length",
        "the same stock in 60, 90, 120 and 180 cm",
        "Length counts most; in two feet the mild fish cannot get away.",
        "Fish meet less often in more water, and a chased one gets out of reach.",
        {f"{cm} cm": tank(size=TankSpec(cm, 45.0, 45.0, 42.0), hot=(1, 3)) for cm in (120, 60, 90, 180)},
        (
            Contrast("120 cm", "60 cm", FREE, DOWN),
            Contrast("180 cm", "90 cm", FREE, DOWN),
            Contrast("120 cm", "60 cm", RECEIVED, UP),
            Contrast("120 cm", "60 cm", PINNED_FISH, UP),
        ),
        ("compare", "relief"),
    ),
    Lever(
        "females",
        "1, 2, 4 or 8 females to a male",
        "A male spreads his driving over his females: at least two or three to each male.",
        "A male divides what he gives among those he meets.",
        {str(count): tank(hot=(1, count)) for count in (8, 4, 2, 1)},
        (
            Contrast("1", "4", RECEIVED, DOWN, HOT, "female"),
            Contrast("2", "8", RECEIVED, DOWN, HOT, "female"),
            Contrast("1", "4", FREE, UP, HOT, "female"),
        ),
        ("compare", "relief"),
    ),
    Lever(
        "chief",
        "the chief chaser out",
        "Take him out and there is peace.",
        "His chases end; whoever is next may take his place.",
        {"kept": with_chief(until=4.0), "out": with_chief(OUT, until=4.0)},
        (
            Contrast("kept", "out", FREE, UP),
            Contrast("kept", "out", RECEIVED, DOWN),
        ),
        ("relief", "compare"),
    ),
    Lever(
        "back",
        "the chief chaser put back after a week",
        "Put back after a week he comes as a newcomer, and is tamer.",
        "He has no territory and has forgotten most of whom he beat, and they him.",
        {
            "kept on": with_chief(until=3.5 + WEEK),
            "back": with_chief(*LATER, until=3.5 + WEEK),
        },
        (
            Contrast("kept on", "back", FREE, UP),
            Contrast("kept on", "back", RECEIVED, DOWN),
        ),
        ("relief", "compare"),
    ),
    Lever(
        "company",
        "a mild kind among mild, among hot, alone",
        "Mild kinds belong with mild kinds, or by themselves.",
        "Hot kinds attack more readily; own kind is chased from farther.",
        {
            "own kind": tank(stock(mild=(4, 8))[0]),
            "among mild": tank(stock()[0], StockRow(ALSO_MILD, 2, 4, length_cm=(9.0, 11.0))),
            "among hot": tank(),
        },
        (
            Contrast("among hot", "among mild", FREE, UP),
            Contrast("among hot", "own kind", FREE, UP),
            Contrast("among hot", "among mild", RECEIVED, DOWN),
        ),
        ("compare", "relief"),
    ),
    Lever(
        "number",
        "12, 24 or 36 fish",
        "More fish spread the chasing, so that nobody gets all of it.",
        "An owner divides what it gives among those that come near; but everybody meets more.",
        {
            str(12 * k): tank(
                *stock(mild=(k, 3 * k), hot=(k, 3 * k)),
                StockRow(FIERY, k, 3 * k, length_cm=(10.0, 12.0)),
                size=SIX_FEET,
            )
            for k in (3, 2, 1)
        },
        (
            Contrast("12", "36", RECEIVED, DOWN),
            Contrast("12", "24", RECEIVED, DOWN),
            Contrast("12", "36", FREE, UP),
        ),
        ("compare", "relief"),
    ),
    Lever(
        "sizes",
        "fish of one size, or of several",
        "Fish of one size hold their own; among several sizes the smallest gets it.",
        "Size decides contests and who dares to attack.",
        {"several": of_sizes(8.0, 10.0, 12.0), "one size": of_sizes(10.0)},
        (
            Contrast("several", "one size", FREE, UP, FIERY, worst=True),
            Contrast("several", "one size", RECEIVED, DOWN, FIERY, worst=True),
        ),
        ("compare", "relief"),
    ),
)
