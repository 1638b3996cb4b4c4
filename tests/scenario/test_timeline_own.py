"""An event of one's own, from the file to the traits: fish that have grown. The pattern for adding one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar, Self

import pytest
from rockshy.analysis.questions.check.understood import date_sentences
from rockshy.sim import TankModel
from rockshy.sim.scenario import units
from rockshy.sim.scenario.reading import ScenarioError, parse
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import EVENTS, EventError, Fault, OfFish, Stocked
from rockshy.sim.scenario.timeline.so_far import SoFar

TOML = """
[tank]
length = "80 cm"
front_to_back = "40 cm"
height = "40 cm"
[[stock]]
species = "Tropheus moorii"
males = 1
unsexed = 1
length = 6
[[event]]
day = 0.5
grown = {grown}
[run]
days = 1
lit_hours = 1
settle = 0
fixed = true
{more}
"""
GROWN = '{ fish = "Tropheus moorii male 1", to = "4 in" }'


@dataclass(frozen=True, kw_only=True)
class Grown(OfFish):
    """Fish have come to another length."""

    to_cm: float

    key: ClassVar[str] = "grown"
    deed: ClassVar[str] = "grown"
    order: ClassVar[int] = 4

    @property
    def about(self) -> str:
        return f"{super().about} to {units.say_length_cm(self.to_cm)}"

    def words(self) -> str:
        return f"{super().about} grown to {units.say_length_cm(self.to_cm)}"

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Self:
        if not isinstance(value, dict) or set(value) != {"fish", "to"}:
            raise EventError("", 'a table such as { fish = "Tropheus duboisi male 2", to = "4 in" }')
        try:
            to_cm = units.length_cm(value["to"])
        except units.UnitError as error:
            raise EventError("", error.allowed, error.nearest) from None
        return cls(fish=stocked.fish(value["fish"]), to_cm=to_cm, **when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        if not all(so_far.is_in(one) for one in self.fish):
            yield Fault(f"{self.about}, out of the tank", "fish that are in the tank", self.place)

    def apply(self, model: Any) -> None:
        for one in model.agents.select(lambda one: one.label in self.fish):
            one.length_cm = self.to_cm


@pytest.fixture(autouse=True)
def known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Registered for these tests alone; a file of the package would use ``@register``."""
    monkeypatch.setitem(EVENTS, Grown.key, Grown)


def read(grown: str = GROWN, more: str = "") -> Scenario:
    return parse(TOML.format(grown=grown, more=more), name="tank.toml")


def test_a_file_says_it_and_the_traits_follow() -> None:
    model = TankModel(read())
    young = model.shoal.fish.copy()
    model.advance_to(model.next_stop())
    fish, own = model.shoal.fish, model.traits["Tropheus moorii"]
    assert (model.tick, fish.length_cm[0], fish.length_cm[1]) == (1800, pytest.approx(10.16), 6.0)
    assert not young.adult[0] and fish.adult[0] and fish.capable[0] and not fish.adult[1]
    assert fish.depth_cm[0] == own["depth_ratio"] * fish.length_cm[0]
    assert fish.temper[0] > young.temper[0] and fish.temper[1] == young.temper[1]
    assert model.shoal.pair.odds[0, 1] > 0 > model.shoal.pair.odds[1, 0]


def test_it_is_said_back_refused_and_tried_in_an_alternative_like_any_other() -> None:
    more = '[[alternative]]\nname = "both"\nevent = {day = 0.75, grown = {fish = "moorii", to = 11}}'
    scenario = read(more=more)
    assert date_sentences(scenario)[1] == "Day 0.5: Tropheus moorii male 1 grown to 10.2 cm (4 in)."
    (both,) = scenario.alternatives
    assert both.changes[0].startswith("Tropheus moorii male 1, Tropheus moorii unsexed 1 to 11 cm")
    for bad in (GROWN.replace("4 in", "4 f"), "7"):
        with pytest.raises(ScenarioError, match=r"line 13, event 1, grown is (a table|7); use "):
            read(bad)
    with pytest.raises(ScenarioError, match="out of the tank; use fish that are in the tank"):
        read(more='[[event]]\nday = 0.2\nout = "moorii male 1"')
