"""Copies of a tank: the difference between two stocks, keeping a copy, changes written down as one."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_drafts import DRAFTS, in_row, setting, small
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.page.editing.bench import alike, row_values
from rockshy.analysis.page.editing.copied_stock import compact, restocked
from rockshy.analysis.page.editing.copies import alternative_of, with_change
from rockshy.analysis.page.editing.edits import EditError, edited, edited_and_said
from rockshy.analysis.page.editing.text import Sheet
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.read import alone, values_of
from rockshy.analysis.page.viewing.view import scenario_of, view_of
from rockshy.analysis.questions.relief.changes import ordinary_changes
from rockshy.sim.fish.population import individuals
from rockshy.sim.scenario import changes as sim
from rockshy.sim.scenario.scenario import Scenario, StockRow
from rockshy.sim.scenario.stock_changes import Which, dated
from rockshy.sim.species.species import library

KINDS = library()
SOME = ("Tropheus duboisi", "Petrochromis trewavasae", "Iodotropheus sprengerae", "Neolamprologus pulcher")
SLOW = settings(deadline=None, max_examples=50, suppress_health_check=list(HealthCheck))
HEAD = """[tank]
length = 150
front_to_back = 50
height = 50

[run]
days = 3
trials = 4
guesses = 2
"""


@st.composite
def rows(draw: st.DrawFn) -> StockRow:
    species = draw(st.sampled_from(SOME))
    males, females, unsexed = (draw(st.integers(0, 3)) for _ in range(3))
    if males + females + unsexed == 0:
        males = 1
    length = draw(st.sampled_from([None, (6.0, 6.0), (5.08, 7.62)]))
    day = float(draw(st.integers(0, 2)))
    out = draw(st.sampled_from([None, None, None, day + 5.5]))
    cave = KINDS[species].words["brood"].value == "cave"
    holding = 0 if cave else draw(st.integers(0, females))
    return StockRow(species, males, females, unsexed, holding, length, day, out)


stocks = st.lists(rows(), min_size=1, max_size=5)


def with_stock(stock: list[StockRow]) -> str:
    """A scenario file of this stock."""
    sheet = Sheet(HEAD)
    sheet.put(("stock",), [row_values(row, {}) for row in stock])
    return sheet.text


def read_with(base: str, changes: dict[str, list[dict[str, object]]]) -> Scenario:
    """What the reader makes of a file and such changes to it."""
    values = values_of(base)
    assert values is not None
    table = {"name": "x", **changes}
    return alone(replace(small(), text=base), {**values, "alternative": [table]}, 1).alternatives[0].scenario


@SLOW
@given(stocks, stocks)
def test_any_stock_can_be_made_of_any_other(before: list[StockRow], after: list[StockRow]) -> None:
    watched = "Tropheus duboisi"
    before = [StockRow(watched, males=1), *before]
    after = [*after, StockRow(watched, females=2)]
    text = with_stock(before).replace("guesses = 2\n", f'guesses = 2\nwatch = "{watched}"\n')
    changes = restocked(scenario_of(replace(small(), text=text)), after, kinds=KINDS)
    assert read_with(text, changes).stock == tuple(after)


@SLOW
@given(stocks, st.data())
def test_small_changes_stay_in_their_rows(before: list[StockRow], data: st.DataObject) -> None:
    """Counts of a species, single fish and days are changed where they stand; nothing is added anew."""
    before = [StockRow("Simochromis diagramma", males=2), *before]
    text = with_stock(before).replace("guesses = 2\n", 'guesses = 2\nwatch = "Simochromis diagramma"\n')
    base = scenario_of(replace(small(), text=text))
    others = [one for one in individuals(base.stock) if one.species != "Simochromis diagramma"]
    fish = data.draw(st.sampled_from(others))
    wanted = sim.without_fish(base, fish.species, f"{fish.sex} {fish.number}").stock
    changes = restocked(base, wanted, kinds=KINDS)
    assert set(changes) <= {"remove", "recount"}
    left = individuals(read_with(text, changes).stock)
    assert [one.label for one in left] == [one.label for one in individuals(wanted)]
    more = sim.recounted(base, fish.species, females=4).stock
    changes = restocked(base, more, kinds=KINDS)
    assert set(changes) <= {"recount"}
    assert read_with(text, changes).stock == more


PEACOCK, HOT = "Ophthalmotilapia ventralis", "Petrochromis trewavasae"


@pytest.mark.parametrize(
    ("wanted", "changes"),
    [
        (lambda base: base.stock, {}),
        (
            lambda base: [base.stock[0], replace(base.stock[1], species=PEACOCK, length_cm=(10.0, 10.0))],
            {"replace": [{"species": HOT, "by": PEACOCK, "length": 10}]},
        ),
        (
            lambda base: dated(base.stock, Which(HOT, sex="male"), day=1.5),
            {"when": [{"species": HOT, "sex": "male", "day": 1.5}]},
        ),
        (lambda base: dated(base.stock, Which(HOT), out_day=4.0), {"when": [{"species": HOT, "out": 4}]}),
    ],
)
def test_the_shortest_way_is_written(wanted: Any, changes: dict[str, Any]) -> None:
    base = scenario_of(small())
    assert restocked(base, wanted(base), kinds=KINDS) == changes


def test_fish_left_out_cannot_be_put_in_anew() -> None:
    base = scenario_of(small())
    odd = replace(base.stock[1], length_cm=(9.0, 9.0), left_out=("male 1",))
    with pytest.raises(EditError, match="cannot be put in anew"):
        restocked(base, [base.stock[0], odd], kinds=KINDS)
    again = compact(odd)
    assert (again.males, again.females, again.left_out) == (1, 4, ())


def kept(draft: Draft, which: int) -> tuple[Draft, list[str]]:
    return edited_and_said(draft, which, [{"do": "keep copy"}])


@pytest.mark.parametrize("which", [1, 2, 3, 4])
@pytest.mark.parametrize("name", ["which-change", "alternatives"])
def test_a_copy_kept_is_the_tank(name: str, which: int) -> None:
    draft = DRAFTS[name]
    before = scenario_of(draft)
    if which > len(before.alternatives):
        return
    wanted = before.alternatives[which - 1].scenario
    new, _ = kept(draft, which)
    values = values_of(new.text)
    assert values is not None
    now = alone(new, values, 0)
    stock = tuple(compact(row) for row in wanted.stock)
    assert alike(now, replace(wanted, stock=stock))
    assert now.run.watch == wanted.run.watch
    assert "# Look at the worst-off fish" in new.text or "# The tank, fish, rock and seed" in new.text


def test_a_copy_that_no_longer_applies_is_set_aside_and_said() -> None:
    draft = small(
        '\n[[alternative]]\nname = "all out"\nremove = [{ species = "Petrochromis trewavasae" }]\n'
        '\n[[alternative]]\nname = "one out"  # of two\n'
        'remove = [{ species = "Petrochromis trewavasae", fish = "male 2" }]\n'
        '\n[[alternative]]\nname = "longer"\ntank = { length = "5 ft" }\n'
    )
    new, said = kept(draft, 1)
    assert view_of(new, 0)["names"] == ["the tank as it is", "longer"]
    assert len(said) == 1 and '"one out"' in said[0] and "Petrochromis trewavasae" in said[0]
    assert '# name = "one out"  # of two' in new.text
    assert scenario_of(new).alternatives[0].scenario.tank.length_cm == pytest.approx(152.4)
    assert {row.species for row in scenario_of(new).stock} == {"Tropheus duboisi"}


def test_what_a_copy_keeps_is_written_as_it_was_typed() -> None:
    draft = edited(small(), 0, [{"do": "copy", "of": 0, "name": "longer"}])
    draft = edited(draft, 1, [setting("tank.length", "5 ft"), in_row(0, "length", "2.5 in")])
    new, _ = kept(draft, 1)
    assert 'length = "5 ft"   # a comment that stays' in new.text
    assert 'length = "2.5 in"' in new.text
    assert "[[alternative]]" not in new.text
    assert "# the mild ones" in new.text and "# and the others" in new.text


def test_ordinary_changes_can_be_written_down() -> None:
    """Those of relief: each reads as the very scenario that was tried, but where no file can say it."""
    for draft in (small(), DRAFTS["mild-with-hot"], DRAFTS["whole"]):
        base = scenario_of(draft)
        changes, _ = ordinary_changes(base, whom=asked_for(base, base.stock[0].species))
        assert len(changes) > 8
        for change in changes:
            if change.scenario is None:
                with pytest.raises(EditError, match="from one simulated tank to the next"):
                    with_change(draft, change.name, None)
                continue
            new = with_change(draft, change.name, change.scenario)
            got = scenario_of(new).alternatives[-1]
            assert alike(got.scenario, change.scenario), change.name
            assert got.name == change.name[:80].strip()


def test_a_change_that_no_file_can_say_is_refused() -> None:
    draft = small()
    base = scenario_of(draft)
    other = replace(base, run=replace(base.run, seed=99))
    assert alternative_of(base, other, "another seed") is None
    with pytest.raises(EditError, match="cannot be written down"):
        with_change(draft, "another seed", other)


def test_names_of_changes_are_made_different_and_short_enough() -> None:
    draft, base = small(), scenario_of(small())
    longer = sim.with_tank(base, length_cm=180.0)
    once = with_change(draft, "x" * 100, longer)
    twice = with_change(once, "x" * 100, longer)
    names = [one.name for one in scenario_of(twice).alternatives]
    assert names == ["x" * 80, "x" * 76 + " (2)"]


def test_copies_come_and_go() -> None:
    draft = small()
    one = edited(draft, 0, [{"do": "copy", "of": 0, "name": None}])
    two = edited(one, 1, [setting("tank.temperature", "80 F"), {"do": "copy", "of": 1}])
    assert view_of(two, 2)["names"] == ["the tank as it is", "copy 1", "copy 2"]
    assert view_of(two, 2)["fields"]["tank.temperature"]["written"] == "80 F"
    named = edited(two, 2, [{"do": "rename", "name": 'warm "and" <b>still</b>'}])
    assert view_of(named, 2)["names"][2] == 'warm "and" <b>still</b>'
    gone = edited(named, 1, [{"do": "drop copy"}])
    assert view_of(gone, 1)["names"] == ["the tank as it is", 'warm "and" <b>still</b>']
    assert edited(gone, 1, [{"do": "drop copy"}]).text.rstrip() == draft.text.rstrip()


def test_a_copy_names_its_problems_at_its_own_fields() -> None:
    draft = edited(small(), 0, [{"do": "copy"}, {"do": "copy"}])
    draft = edited(draft, 1, [setting("tank.length", "20 q"), {"do": "rename", "name": "copy 2"}])
    mine, other = view_of(draft, 1), view_of(draft, 2)
    assert "20 q" in mine["fields"]["tank.length"]["problems"][0]
    assert not mine["good"] and not other["good"]
    assert other["fields"]["tank.length"]["problems"] == []
    assert any("20 q" in one for one in other["problems"])
    assert "use another name" in other["fields"]["copy.name"]["problems"][0]


EVENTS = """
[[stock]]
species = "Tropheus moorii"
males = 3
[[event]]
day = 2
out = "Tropheus moorii male 2"
[[alternative]]
name = "away"
event = [{day = 2.5, out = "male 1"}, {day = 3, back = "male 1", settle = false}]
[[alternative]]
name = "fewer"
remove = {species = "Tropheus moorii", fish = "male 1"}
"""


def test_a_copy_that_is_kept_keeps_its_events() -> None:
    draft = Draft(HEAD + EVENTS, "tank.toml", None)
    wanted = scenario_of(draft).alternatives[0].scenario
    made, said = kept(draft, 1)
    assert scenario_of(made).timeline == wanted.timeline and said == []
    assert made.text.count("[[event]]") == 3 and "event = [" not in made.text


@pytest.mark.parametrize(
    ("change", "left"),
    [
        ("rock = {cover = 0}", ["out", "back"]),
        ('rock = {sketch = ["0110", "0000"]}', ["out", "back"]),
        ('remove = {species = "Tropheus moorii"}', ["rock"]),
    ],
)
def test_an_event_that_a_copy_has_nothing_left_of_is_left_out_when_it_is_kept(
    change: str, left: list[str]
) -> None:
    rows = ["day = 2\nout = 'male 1'", "day = 2.5\nrock = 'anew'", "day = 3\nback = 'male 1'  # well again"]
    rows = [f"[[event]]\n{one}\n".replace("'male", "'Tropheus moorii male") for one in rows]
    stock = [f"[[stock]]\nspecies = 'Tropheus {one}'\nmales = 3\n" for one in ("moorii", "duboisi")]
    rest = f"[rock]\ncover = 0.3\nheight = 20\n[[alternative]]\nname = 'other'\n{change}\n"
    text = HEAD + "watch = 'Tropheus duboisi'\n" + "".join([*stock, *rows]) + rest
    draft = Draft(text, "tank.toml", None)
    wanted = scenario_of(draft).alternatives[0].scenario
    made, _ = kept(draft, 1)
    assert scenario_of(made).timeline == wanted.timeline
    assert [key for row in tomllib.loads(made.text)["event"] for key in row if key != "day"] == left
    assert ("# well again" in made.text) == ("back" in left)


def test_a_copy_in_which_an_event_would_come_to_name_another_fish_is_not_kept() -> None:
    with pytest.raises(EditError, match="numbered anew, and events name some of them"):
        kept(Draft(HEAD + EVENTS, "tank.toml", None), 2)
