"""Estimates: what a tank's sliders are, what is refused, and that bands and signs hold in a made-up world."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from rockshy.analysis.measures.plight import word
from rockshy.analysis.questions.estimate import training
from rockshy.analysis.questions.estimate.amounts import Along, Amount, along
from rockshy.analysis.questions.estimate.answer import Estimate, estimate_of
from rockshy.analysis.questions.estimate.sliders import COVER, Box, OutsideError, Slider, Way, box_of
from rockshy.analysis.questions.estimate.training import LEAST, MOST, StandIn, Training
from rockshy.analysis.questions.estimate.words import brief_of, than_before, verdict, where_enough
from rockshy.analysis.questions.fit.draws import inputs_of, scores_of, values_of
from rockshy.analysis.questions.guesses.inputs import Input
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.stock import individuals

TEXT = """
[tank]
length = 150
front_to_back = 50
height = 50
[rock]
cover = "40 %"
height = 30
[[stock]]
species = "Tropheus duboisi"
males = 2
females = 5
[[stock]]
species = "Petrochromis trewavasae"
males = 2
females = 3
"""


def tank(text: str = TEXT, **changes: str) -> Scenario:
    for old, new in changes.items():
        text = text.replace(old.replace("_", " ").strip(), new)
    return parse(text, name="tank.toml")


def with_counts(scenario: Scenario, *counts: tuple[int, int]) -> Scenario:
    rows = zip(scenario.stock, counts, strict=True)
    stock = tuple(replace(row, males=males, females=females) for row, (males, females) in rows)
    return replace(scenario, stock=tuple(row for row in stock if row.males + row.females))


# ---- sliders


def test_a_tank_lies_within_its_own_box_and_designs_do() -> None:
    scenario = tank()
    box = box_of(scenario)
    assert len(box.sliders) == 4 + 2 + 2
    at = box.places(scenario)
    assert ((at >= 0) & (at <= 1)).all()
    designs = list(itertools.islice(box.designs(), 64))
    assert designs[:8] == list(itertools.islice(box_of(scenario).designs(), 8))
    places = np.stack([box.places(one) for one in designs])
    assert ((places >= -1e-9) & (places <= 1 + 1e-9)).all()
    assert (places.std(axis=0) > 0.1).all()
    assert all(one.measured_fish for one in designs)
    stays = np.isclose(places, at).mean()
    assert 0.4 < stays < 0.7


def test_what_no_slider_moves_is_refused_and_what_one_does_is_not() -> None:
    scenario = tank()
    box = box_of(scenario)
    slid = (
        with_counts(scenario, (1, 8), (0, 4)),
        with_counts(scenario, (1, 1), (0, 0)),
        replace(scenario, tank=replace(scenario.tank, length_cm=200.0, width_cm=60.0)),
        replace(scenario, rock=replace(scenario.rock, cover=0.1, height_cm=40.0)),
        replace(scenario, rock=replace(scenario.rock, cover=0.0, height_cm=0.0)),
        replace(scenario, title="Another", run=replace(scenario.run, trials=8)),
    )
    for one in slid:
        box.places(one)
    others = (
        tank(TEXT.replace("Tropheus duboisi", "Tropheus moorii")),
        replace(scenario, run=replace(scenario.run, days=3.0)),
        replace(scenario, tank=replace(scenario.tank, temperature_c=28.0)),
        replace(scenario, parameters={"sight_cm": 50.0}),
        tank(TEXT.replace("females = 5", "females = 5\nlength = 8")),
        tank(TEXT.replace('cover = "40 %"\nheight = 30', 'sketch = ["0110"]')),
    )
    for one in others:
        with pytest.raises(OutsideError, match="more than can be slid"):
            box.places(one)
    for one, said in (
        (with_counts(scenario, (2, 30), (2, 3)), "females is 30; use 0 to 12"),
        (
            replace(scenario, tank=replace(scenario.tank, length_cm=300.0)),
            "length of the tank is 300 cm; use 90 cm to 240 cm",
        ),
    ):
        with pytest.raises(OutsideError, match=said):
            box.places(one)


def test_rock_that_was_placed_and_its_tank_are_no_sliders() -> None:
    box = box_of(tank(TEXT.replace('cover = "40 %"\nheight = 30', 'sketch = ["0110"]')))
    assert [one.way[1] for one in box.sliders] == [0, 0, 1, 1]


# ---- a made-up world


_DRAWN: dict[int, np.ndarray] = {}


def drawn(scenario: Scenario, inputs: list[Input], draws: list[int]) -> np.ndarray:
    """What is drawn, worked out once: all scenarios here have one seed and the same species."""
    (draw,) = draws
    if draw not in _DRAWN:
        _DRAWN[draw] = values_of(scenario, inputs, draws)
    return _DRAWN[draw]


@pytest.fixture(scope="module", autouse=True)
def once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(training, "values_of", drawn)
        yield


class World:
    """Fish that keep what sliders and draws say, and some luck: bent and with a product, as no fit has it."""

    def __init__(self, box: Box, *, seed: int) -> None:
        self.box, rng = box, np.random.default_rng(seed)
        run = replace(box.scenario.run, guesses=None, trials=10_000)
        self.scenario = replace(box.scenario, run=run)
        self._inputs = inputs_of(self.scenario)
        self._slid = rng.normal(size=(4, len(box.sliders))) * 0.12
        self._drawn = rng.normal(size=(4, len(self._inputs))) * 0.03
        self._luck = 0.04
        self._seed = seed

    def kept(self, scenario: Scenario, trial: int | None = None) -> np.ndarray:
        """What the four groups keep in a trial, or on the mean over draws and luck."""
        at = 2.0 * self.box.places(scenario) - 1.0
        middle = 0.55 + self._slid @ at + 0.05 * at[0] * at[-1] - 0.04 * at[1] ** 2
        if trial is None:
            return middle
        values = drawn(self.scenario, self._inputs, [draw_of(self.scenario, trial)])
        scores = scores_of(self._inputs, values)[0]
        rng = np.random.default_rng([self._seed, trial])
        return middle + self._drawn @ scores + self._luck * rng.normal(size=4)

    def run(self, scenario: Scenario, job: Job) -> tuple[Outcome, ...]:
        people = tuple(individuals(scenario.stock))
        kept = np.clip(self.kept(scenario, job.trial), 0.0, 1.0)
        species = list(self.box.scenario.species)
        mine = [2 * species.index(one.species) + (one.sex == "female") for one in people]
        lit = np.full(len(people), 36_000.0)
        free = {AS_STOCKED: lit * kept[mine], LEFT_ALONE: lit}
        draw = draw_of(self.scenario, job.trial)
        names = (AS_STOCKED,) if job.arms is None or LEFT_ALONE not in job.arms else (AS_STOCKED, LEFT_ALONE)
        return tuple(
            Outcome(name, job.trial, draw, people, {"lit_s": lit, "free_s": free[name]}) for name in names
        )


def learnt(seed: int, tanks: int) -> tuple[World, StandIn]:
    learning = Training(box_of(tank()))
    world = World(learning.box, seed=seed)
    for scenario, job in itertools.islice(learning.jobs(), tanks):
        learning.take(scenario, world.run(scenario, job))
    return world, learning.fitted()


def fresh(box: Box, many: int) -> list[Scenario]:
    return [box.design(2 * MOST + k) for k in range(many)]


def test_bands_hold_and_signs_are_right_on_tanks_that_were_not_run() -> None:
    held, right = [], []
    for seed in range(4):
        world, stand_in = learnt(seed, LEAST)
        base = stand_in.box.scenario
        for one in fresh(stand_in.box, 24):
            truth, before = world.kept(one), world.kept(base)
            for group in estimate_of(stand_in, one, base).groups:
                k = 2 * list(base.species).index(group.kind.species) + (" female" in group.kind.name)
                held.append(group.low <= truth[k] <= group.high)
                if group.change is not None and group.change.sign:
                    right.append(group.change.sign == np.sign(truth[k] - before[k]))
    assert np.mean(held) >= 0.87
    assert len(right) > 20 and np.mean(right) >= 0.95


@pytest.fixture(scope="module")
def stand_in() -> StandIn:
    return learnt(7, LEAST)[1]


def test_the_worst_off_come_first_with_their_word(stand_in: StandIn) -> None:
    scenario = with_counts(stand_in.box.scenario, (1, 4), (3, 3))
    found = estimate_of(stand_in, scenario, stand_in.box.scenario)
    assert [one.kept for one in found.groups] == sorted(one.kept for one in found.groups)
    assert len(found.groups) == 4 and found.tanks == LEAST
    worst = found.worst
    assert worst.low <= worst.kept <= worst.high and worst.word == word(1 - worst.kept)
    assert worst.change is not None
    assert estimate_of(stand_in, scenario).worst.change is None
    said = brief_of(found).sentences
    assert "perhaps" in said[0] and str(LEAST) in said[-1] and "not yet a run" in said[-1]


def test_the_same_tank_differs_by_nothing_and_fish_that_are_new_by_nothing_known(stand_in: StandIn) -> None:
    scenario = stand_in.box.scenario
    for one in estimate_of(stand_in, scenario, scenario).groups:
        assert one.change is not None
        assert (one.change.value, one.change.error, one.change.sign) == (0.0, 0.0, 0)
    without = with_counts(scenario, (2, 5), (0, 3))
    changes = {one.kind.name: one.change for one in estimate_of(stand_in, scenario, without).groups}
    assert changes["Petrochromis trewavasae males"] is None
    assert changes["Petrochromis trewavasae females"] is not None


def test_an_estimate_is_refused_outside(stand_in: StandIn) -> None:
    with pytest.raises(OutsideError):
        estimate_of(stand_in, with_counts(stand_in.box.scenario, (2, 30), (2, 3)))
    far = tank(TEXT.replace("Tropheus duboisi", "Tropheus moorii"))
    found: Estimate = estimate_of(stand_in, stand_in.box.scenario, far)  # was another tank altogether
    assert all(one.change is None for one in found.groups)


def test_sentences(stand_in: StandIn) -> None:
    found = estimate_of(stand_in, stand_in.box.scenario, with_counts(stand_in.box.scenario, (6, 0), (2, 3)))
    one = found.worst
    assert one.kind.name.split()[0][0] in verdict(one) and "%" in verdict(one)
    for group in found.groups:
        if group.change is not None:
            said = than_before(group.change)
            wanted = {1: "Better than before", -1: "Worse than before", 0: "No telling"}[group.change.sign]
            assert said.startswith(wanted)


# ---- less or more of one thing


def slid(stand_in: StandIn, field: str) -> Along:
    found = along(stand_in, stand_in.box.scenario)
    return next(one for one in found if one.slider.way[0] == field)


def test_along_a_slider_the_worst_off_keep_what_the_estimate_says(stand_in: StandIn) -> None:
    scenario = stand_in.box.scenario
    males = slid(stand_in, "males")
    assert [one.value for one in males.amounts] == list(range(int(males.slider.high) + 1))
    for amount in males.amounts:
        there = estimate_of(stand_in, with_counts(scenario, (int(amount.value), 5), (2, 3))).worst
        assert (amount.kept, amount.low, amount.high) == pytest.approx((there.kept, there.low, there.high))
    own = males.amounts[int(males.now)]
    assert own.dot is not None and own.dot[1] <= own.dot[0] <= own.dot[2]


def made_up(kept: list[float], way: Way, *, luck: float = 0.0) -> Along:
    slider = Slider("", way, 0.0, float(len(kept) - 1), 0.0)
    amounts = tuple(Amount(float(k), one, one, one, None) for k, one in enumerate(kept))
    noise = np.random.default_rng(0).normal(size=(16, len(kept))) * luck
    return Along(slider, 0.0, amounts, np.array(kept) + noise)


def test_it_says_where_a_slider_stops_mattering() -> None:
    males = ("males", 0)
    said = {
        "More rock helps up to about 200 %, little beyond.": ([0.2, 0.5, 0.78, 0.8, 0.79], COVER),
        "Fewer of them help all the way down to 0.": ([0.9, 0.7, 0.5], males),
        "Fewer of them help down to about 1, little below.": ([0.9, 0.88, 0.5], males),
        "More of them help all the way to 2.": ([0.1, 0.3, 0.5], males),
        "Best from about 1 to 2.": ([0.1, 0.49, 0.5, 0.3], males),
        "Makes little difference here.": ([0.5, 0.51, 0.49], males),
    }
    for sentence, (kept, way) in said.items():
        assert where_enough(made_up(kept, way)) == sentence
    assert where_enough(made_up([0.9, 0.7, 0.5], males, luck=0.2)) == "No telling whether this matters."


def test_rock_that_matters_in_a_made_up_world_is_found_to() -> None:
    learning = Training(box_of(tank()))
    world = World(learning.box, seed=1)
    cover = [one.way for one in learning.box.sliders].index(COVER)
    world._slid[:, cover] = 0.3
    for scenario, job in itertools.islice(learning.jobs(), LEAST):
        learning.take(scenario, world.run(scenario, job))
    found = slid(learning.fitted(), "cover")
    assert found.is_told and found.matters and found.kept[-1] > found.kept[0] + 0.2
    assert where_enough(found).startswith("More rock helps")
