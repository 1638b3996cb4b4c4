"""What a keeper does to the tank on a day: boxes, a divider, rock added and taken."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rockshy.analysis.film.scene import divider_cm, scene_of_rock, stand_divider
from rockshy.sim import TankModel
from rockshy.sim.fish.shoal import BOXED, SHELTERED, SWIMMING
from rockshy.sim.rules.support.compiled import is_compiling
from rockshy.sim.run.drawing import draw_tank, draw_trial_rock
from rockshy.sim.run.ledger import DISPLAY, MEAL
from rockshy.sim.run.tank_changes import same_shelters
from rockshy.sim.scenario.reading import ScenarioError, parse
from rockshy.sim.scenario.scenario import RockSpec, Scenario, TankSpec
from rockshy.sim.scenario.timeline import BoxIn, BoxOut, Divider, DividerIn, DividerOut, RockAnew, RockChanged
from rockshy.sim.tank.rockwork import draw_rock
from rockshy.sim.tank.tank import build_tank
from staging import ROCKY, faults, fingerprint, uncompiled
from timeline_examples import HE, MILD, staged

OTHER = "Scena communis male 1"
WALL = DividerIn(day=0.5, divider=Divider(30.0, clear=True))
MORE = RockChanged(day=1.5, cover=0.2, by=True)
LOOK = 15  # ticks between looks at the whole state, which takes five times as long as a tick


def ran_to(model: TankModel, day: float) -> TankModel:
    while model.tick < model._tick_of(day):
        model.advance_to(min(model.next_stop(), model._tick_of(day)))
    return model


def between(model: TankModel) -> np.ndarray:
    """[e, 3] kind, actor and target of what was kept, but meals and displays."""
    events = model.ledger.events[: model.ledger.state.n_events[0]]
    return events[~np.isin(events[:, 1], (DISPLAY, MEAL)), 1:4]


# ---- a box


@pytest.mark.parametrize("trial", range(3))
def test_a_fish_in_a_box_is_seen_and_neither_reached_nor_reaching(trial: int) -> None:
    scenario = staged(BoxIn(day=0.5, fish=(HE,)), BoxOut(day=2.5, fish=(HE,)))
    model = ran_to(TankModel(scenario, trial=trial, keep=True), 0.5)
    fish, before = model.shoal.fish, len(between(model))
    assert fish.doing[1] == BOXED and fish.ground[1] == fish.centre[1] == -1
    here = fish.cell[1]
    assert model.tank.xyz[here].tolist()[1:] == [0, model.tank.shape[2] - 1]
    while model.tick < model._tick_of(2.5) - 1:
        model.step()
        assert (
            fish.cell[1] == here
            and fish.doing[1] == BOXED
            and not ((fish.target == 1) | (fish.chaser == 1)).any()
        )
        assert model.tick % LOOK or faults(model) == []
    assert not (between(model)[before:, 1:] == 1).any() and len(between(model)) > before + 20
    shown = model.ledger.events[: model.ledger.state.n_events[0]]
    shown = shown[(shown[:, 1] == DISPLAY) & (shown[:, 0] > model._tick_of(0.5))]
    assert (shown[:, 2] == 1).any() and (shown[:, 3] == 1).any(), "they display to each other"
    assert fish.hunger[1] == 0.0, "it is fed there"
    model.step()
    assert fish.doing[1] == SWIMMING and fish.part[1] == 0 and fish.ground[1] == 1


def test_time_in_a_box_is_no_time_in_the_tank() -> None:
    scenario = staged(BoxIn(day=0.5, fish=(HE,)), BoxOut(day=1.75, fish=(HE,), settle=False))
    model = TankModel(scenario)
    model.run()
    assert model.ledger.hours.lit.sum(axis=1).tolist() == [10800, 1800 + 4500, 10800, 10800, 10800]
    assert scenario.timeline.stays[HE] == ((0, 0.5), (1.75, np.inf))


# ---- a divider


@pytest.mark.parametrize("trial", range(3))
@pytest.mark.parametrize("clear", [True, False])
def test_nobody_passes_a_divider_and_no_attack_does(clear: bool, trial: int) -> None:
    wall = DividerIn(day=0.5, divider=Divider(30.0, clear), left=(HE,), right=(OTHER,))
    model = ran_to(TankModel(staged(wall, DividerOut(day=2.5)), trial=trial, keep=True), 0.5)
    fish, part = model.shoal.fish, model.shoal.fish.part.copy()
    assert part[1] == 0 and part[0] == 1 and set(part) == {0, 1}
    while model.tick < model._tick_of(2.5) - 1:
        model.step()
        assert (fish.part == part).all() and (model.tank.part[fish.cell] == part).all()
        assert model.tick % LOOK or faults(model) == []
    done, shown = between(model), model.ledger.events[: model.ledger.state.n_events[0]]
    assert (part[done[:, 1]] == part[done[:, 2]]).all()
    across = part[shown[:, 2]] != part[shown[:, 3]]
    assert across.any() == clear, "they display through clear glass alone"
    model.step()
    assert not fish.part.any() and not model.tank.part.any()


def test_either_side_of_an_opaque_divider_is_a_tank_of_its_own() -> None:
    whole = TankSpec(length_cm=90.0, width_cm=30.0, height_cm=30.0, water_cm=30.0)
    half = replace(whole, length_cm=60.0)
    bare = {spec: draw_rock(spec, RockSpec(), rng=np.random.default_rng(1)) for spec in (whole, half)}
    one = build_tank(half, bare[half])
    divided = build_tank(whole, bare[whole], divider=Divider(60.0))
    left = np.flatnonzero(divided.part == 0)
    assert len(left) == len(one.xyz) and (divided.xyz[left] == one.xyz).all()
    bits = np.unpackbits(divided.sight[left], axis=1, bitorder="little")
    np.testing.assert_array_equal(bits[:, left], np.unpackbits(one.sight, axis=1, bitorder="little")[:, left])
    assert bits.sum() == bits[:, left].sum(), "nothing behind it is seen"
    np.testing.assert_array_equal(divided.neighbour[left], one.neighbour)
    np.testing.assert_array_equal(divided.cover[left], one.cover)
    corners = divided.xyz[divided.refuge_cell[divided.part[divided.refuge_cell] == 0]]
    assert sorted(corners.tolist()) == sorted(one.xyz[one.refuge_cell].tolist())
    assert sorted(divided.part[divided.feed_cell]) == [0, 1], "each side is fed"


def test_shelters_that_stay_are_owned_and_trusted_on() -> None:
    model = ran_to(TankModel(staged(WALL, MORE)), 0.499)
    fish, former = model.shoal.fish, model.tank
    memory, claims = model.shoal.memory.copy(), model.shoal.claims.copy()
    side = former.xyz[former.refuge_cell, 0] < 6
    hides = int(np.flatnonzero(side == (former.xyz[fish.cell[0], 0] < 6))[0])
    fish.refuge[0], fish.doing[0], fish.cell[0] = hides, SHELTERED, former.refuge_cell[hides]
    model.change_tank()
    now = same_shelters(former, model.tank)
    assert (now == np.arange(len(former.refuge_cell))).all(), "a divider takes no shelter"
    np.testing.assert_array_equal(model.shoal.memory[:, now], memory)
    np.testing.assert_array_equal(model.shoal.claims, claims)
    assert fish.doing[0] == SHELTERED and fish.refuge[0] == hides


# ---- rock


def test_rock_that_is_added_or_taken_leaves_the_rest_where_it_is() -> None:
    scenario = staged(MORE, replace(MORE, day=2.0, cover=-0.3))
    few, many, fewer = (draw_trial_rock(scenario, laying=k) for k in range(3))
    assert len(fewer.pieces) < len(few.pieces) < len(many.pieces)
    assert (many.top_cm >= few.top_cm - 1e-9).all() and (many.top_cm > 0).mean() == pytest.approx(
        0.55, abs=0.02
    )
    stayed = [one for one in few.crevices if one in many.crevices]
    assert len(stayed) > 0.5 * len(few.crevices) and len(many.crevices) > len(few.crevices)
    assert set(fewer.crevices) < set(many.crevices)
    alone = draw_trial_rock(staged())
    np.testing.assert_array_equal(few.top_cm, alone.top_cm)
    assert few.crevices == alone.crevices, "until that day the tank is that without the event"
    anew = staged(MORE, RockAnew(day=2.0))
    assert draw_trial_rock(anew).pieces.tolist() != many.pieces.tolist()
    assert (draw_trial_rock(anew).top_cm > 0).mean() == pytest.approx(0.55, abs=0.02)


def test_fish_keep_claims_and_what_they_trust_of_the_rock_that_stays() -> None:
    scenario = staged(MORE)
    model, alone = (ran_to(TankModel(one), 1.499) for one in (scenario, staged()))
    np.testing.assert_array_equal(model.shoal.fish.cell, alone.shoal.fish.cell)
    former, claims, memory = model.tank, model.shoal.claims.copy(), model.shoal.memory.copy()
    model.change_tank()
    now = same_shelters(former, model.tank)
    assert (now >= 0).sum() > 0.6 * len(now) and memory.any()
    np.testing.assert_array_equal(model.shoal.memory[:, now[now >= 0]], memory[:, now >= 0])
    np.testing.assert_array_equal(model.shoal.claims, claims)
    assert faults(model) == []
    assert draw_tank(scenario).index.tolist() == model.tank.index.tolist()


# ---- laws


def all_at_once(**run: float) -> Scenario:
    events = BoxIn(day=0.25, fish=(f"{MILD} male 1",)), replace(WALL, day=0.5), replace(MORE, day=1.0)
    later = BoxOut(day=1.25, fish=(f"{MILD} male 1",)), DividerOut(day=1.5)
    tank = TankSpec(length_cm=40.0, width_cm=25.0, height_cm=25.0, water_cm=25.0)
    scenario = staged(*events, *later, days=0.5, lit_hours=0.25, **run)
    return replace(scenario, tank=tank, events=tuple(replace(one, **_within(one)) for one in scenario.events))


def _within(one: object) -> dict[str, Divider]:
    return {"divider": Divider(20.0, clear=True)} if isinstance(one, DividerIn) else {}


def short_run() -> TankModel:
    model = TankModel(all_at_once(), keep=True, tick_s=6.0)
    model.run()
    return model


@pytest.mark.skipif(not is_compiling(), reason="compilation is off: there is nothing to compare with")
def test_compiled_or_not_the_ledger_is_the_same_bit_for_bit() -> None:
    script = "import test_boxes_and_dividers as t; print(t.fingerprint(t.short_run()))"
    assert uncompiled(script, beside=__file__) == fingerprint(short_run())


# ---- what a file says

TOML = """
[tank]
length = "80 cm"
front_to_back = "40 cm"
height = "40 cm"
[rock]
cover = 0.4
[[stock]]
species = "Tropheus moorii"
males = 2
females = 2
{events}
"""


def event(what: str, day: float = 2.0) -> str:
    return f"[[event]]\nday = {day}\n{what}\n"


def read(*events: str) -> Scenario:
    return parse(TOML.format(events="".join(events)), name="tank.toml")


def test_a_file_says_them() -> None:
    he = ("Tropheus moorii male 1",)
    wall = event('divider = {from_left = "16 in", clear = true, left = "moorii male 1"}', 2)
    made = read(wall, event('divider = "out"', 3), event('rock = "+20 %"', 4), event("rock = 0.5", 5))
    kinds = DividerIn(day=2, divider=Divider(40.64, clear=True), left=he), DividerOut(day=3)
    assert made.events == (*kinds, RockChanged(day=4, cover=0.2, by=True), RockChanged(day=5, cover=0.5))
    boxed = BoxIn(day=0, fish=he), BoxOut(day=1.5, fish=he)
    made = read(event('box = "moorii male 1"', 0), event('out_of_box = "moorii male 1"', 1.5))
    assert made.events == boxed == read(event('box = "moorii male 1"\nfor = 1.5', 0)).events
    stands = read(event('divider = "40 cm"\nfor = "2 weeks"', 1)).events
    assert stands == (DividerIn(day=1, divider=Divider(40.0)), DividerOut(day=15))
    assert [one.words() for one in read(wall, event('rock = "-10 %"', 4)).events] == [
        "a clear divider put in 41 cm (16 in) from the left, Tropheus moorii male 1 on its left",
        "rock taken from 10 % of the floor",
    ]


BOX = event('box = "moorii male 1"', 1.0)
IN = event('divider = "30 cm"', 1.0)


@pytest.mark.parametrize(
    ("events", "said"),
    [
        ((event('box = {from_left = "3 cm"}'),), "box is a table; use fish of the stock, or a table such as"),
        (
            (event('box = {fish = "moorii", from_left = "3 m"}'),),
            "300 cm (118 in) from the left; use ",
        ),
        ((BOX, event('box = "moorii"')), "male 1 put into a box in the tank on day 2, but in a box then"),
        ((BOX, event('out = "moorii male 1"')), 'use fish that are in no box, and "out_of_box" before'),
        ((BOX, event('back = "moorii male 1"')), "put back on day 2, but in a box then"),
        ((event('out = "moorii male 1"', 1), event('box = "moorii male 1"')), "but not in the tank then"),
        ((event('out_of_box = "moorii male 1"'),), "let out of its box on day 2, but in no box then"),
        ((event('divider = "90 cm"'),), "90 cm (35 in) from the left; use a place within the tank's 80 cm"),
        ((event('divider = "nowhere"'),), "use how far it stands from the left"),
        ((event("divider = {clear = true}"),), "use how far it stands from the left"),
        ((event('divider = {from_left = 30, left = "moorii", right = "moorii male 1"}'),), "on both sides"),
        ((IN, event('divider = "40 cm"')), 'but one stands already; use divider = "out" before'),
        ((event('divider = "out"'),), "but none stands in the tank then"),
        (
            (event('divider = "30 cm"\nsettle = false'),),
            "settle is false; use true with divider",
        ),
        ((event('rock = "+70 %"'),), "rock would cover 110 % of the floor; use 0 % to 100 %"),
        ((event('rock = "40 %"'),), "as it does before; use more or less of it"),
        (
            (event('rock = "10 %"'), event('rock = "60 %"')),
            "60 % of the floor, both on day 2; use one",
        ),
        ((event('rock = "some"'),), 'rock is "some"; use "anew", or the share of the floor'),
    ],
)
def test_what_cannot_be_gets_one_message_with_its_line(events: tuple[str, ...], said: str) -> None:
    with pytest.raises(ScenarioError) as refused:
        read(*events)
    (told,) = str(refused.value).split("\n")[1:]
    assert said in told and told.startswith("  line ") and "event" in told


def test_rock_is_not_changed_where_it_is_drawn_by_hand() -> None:
    text = TOML.replace("cover = 0.4", 'sketch = ["01", "10"]').format(events=event('rock = "50 %"'))
    with pytest.raises(
        ScenarioError, match="added or taken on day 2, but it is a sketch; use cover, without"
    ):
        parse(text, name="tank.toml")


def test_no_rock_is_more_than_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    assert staged(replace(MORE, cover=0.9)).timeline.events, "a sweep over amounts of rock goes on"
    rock = draw_trial_rock(staged(replace(MORE, cover=0.9)))
    assert (rock.top_cm > 0).mean() > 0.95 > ROCKY.cover


def test_a_film_shows_a_divider_by_its_pane_and_its_edge() -> None:
    scenario = staged(DividerIn(day=0.0, divider=Divider(30.0)))
    rock, tank, spec = draw_trial_rock(scenario), draw_tank(scenario), scenario.tank
    scene = scene_of_rock(rock, rock=scenario.rock, tank=spec)
    panes, solids = len(scene.backdrop), len(scene.solids)
    stand_divider(scene, tank)
    assert divider_cm(tank, spec) == 30.0 and divider_cm(draw_tank(staged()), spec) is None
    assert len(scene.backdrop) == panes + 1 and (scene.backdrop[-1][1][:, 0] == 30.0).all()
    assert len(scene.solids) == solids + 1 and scene.solids[-1].outline[:, 1].max() == spec.water_cm
