"""What is drawn, how it is gathered and named, and that a point sets exactly what a guess would draw."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import numpy as np
import pytest
from fake_guesses import HOT, MILD, TINY, scenario
from rockshy.analysis.questions.guesses.inputs import GuessError, columns_of, entries, guesses_of, scenario_at
from rockshy.analysis.questions.guesses.watch import NO_RULE, range_of, to_watch, to_write
from rockshy.sim.fish.population import draw_traits
from rockshy.sim.rules.support.draws import placed
from rockshy.sim.rules.support.parameters import load, resolve
from rockshy.sim.scenario.reading import parse
from rockshy.sim.species.species import TRAITS


def test_every_parameter_and_trait_that_can_be_drawn_is_named_and_has_something_to_watch() -> None:
    drawn = {name for name, one in load().items() if one.draw != "fixed"}
    gathered = [name for entry in entries().values() for name in entry.traits]
    assert {key for key, entry in entries().items() if not entry.traits} == drawn
    assert sorted(gathered) == sorted(set(TRAITS) - set(NO_RULE))
    for key, entry in entries().items():
        assert entry.name.startswith("how "), key
        assert len(entry.watch) > 60 and entry.watch.endswith((".", "?")), key
        assert ("{species}" in entry.name) == bool(entry.traits), key
        assert not any(sign.isdigit() for sign in entry.watch), f"{key}: no figure is known"
    names = [entry.name for entry in entries().values()]
    assert len(set(names)) == len(names)


def test_traits_that_no_rule_uses_are_none_of_a_guess() -> None:
    text = TINY + f'[species."{HOT}"]\nph_low = {{ value = 8, low = 7, high = 9 }}\n'
    assert [one.name for one in guesses_of(scenario(text))] == [one.name for one in guesses_of(scenario())]


def test_guesses_are_the_drawn_parameters_and_the_traits_of_each_stocked_species() -> None:
    found = guesses_of(scenario())
    parameters = [one for one in found if not one.species]
    assert len(parameters) == sum(one.draw != "fixed" for one in load().values())
    for species in (HOT, MILD):
        own = {one.entry: one for one in found if one.species == species}
        assert set(own) == {"temper", "timidity", "radius", "size", "speed", "company"}
        assert [one.name for one in own["temper"].inputs] == ["temper", "temper_female"]
        assert own["timidity"].name == f"how timid {species} is"
    assert sum(map(len, columns_of(found))) == max(map(max, columns_of(found))) + 1


def test_what_the_file_settles_is_not_drawn() -> None:
    text = TINY + f'[species."{HOT}"]\ntimidity = 1.4\n[parameters]\nattack_rate_s = 0.05\n'
    names = {one.entry: one for one in guesses_of(scenario(text)) if one.species in ("", HOT)}
    assert "attack_rate_s" not in names and "timidity" not in names
    assert len(guesses_of(scenario(text))) == len(guesses_of(scenario())) - 2


def test_a_point_sets_what_a_guess_would_draw_from_the_same_numbers() -> None:
    """The numbers of guess 3, handed in as a point, give the values of guess 3 to the last bit."""
    asked, seed, draw = scenario(), 11, 3
    guesses = guesses_of(asked)
    point = []
    for one in (one for each in guesses for one in each.inputs):
        own = ("trait", one.species, one.name) if one.species else ("parameter", one.name)
        point.append(placed(seed, draw, *own))
    found = scenario_at(asked, guesses, np.array(point))
    drawn = resolve({}, seed=seed, draw=draw, fixed=False)
    here = resolve(found.parameters, fixed=True)
    assert {name: float(here[name]) for name in load()} == {name: float(drawn[name]) for name in load()}
    for key in (HOT, MILD):
        wanted = draw_traits(asked.species[key], seed=seed, draw=draw, fixed=False)
        assert draw_traits(found.species[key], seed=0, draw=0, fixed=True) == wanted
    assert found.run.fixed and found.alternatives == ()
    assert asked.parameters == {} and not asked.run.fixed  # the scenario itself stays as it was


def test_ends_and_middles_of_a_range_are_reached_exactly() -> None:
    guesses = {one.entry: one for one in guesses_of(scenario())}
    rate, odds = guesses["attack_rate_s"].inputs[0], guesses["attack_odds"].inputs[0]
    assert (rate.how, odds.how) == ("log", "uniform")
    assert [rate.at(u) for u in (0.0, 0.5, 1.0)] == pytest.approx([0.01, (0.01 * 0.1) ** 0.5, 0.1])
    assert [odds.at(u) for u in (0.0, 0.5, 1.0)] == [0.0, 0.5, 1.0]
    assert "attack_rate_s: 0.01 to 0.1 (1/s), drawn by its logarithm; source: assumption" in range_of(rate)


def test_a_point_of_another_length_is_refused() -> None:
    with pytest.raises(ValueError, match="3 numbers"):
        scenario_at(scenario(), guesses_of(scenario()), np.zeros(3))


def test_nothing_drawn_is_refused_with_the_reason() -> None:
    fixed = replace(scenario(), run=replace(scenario().run, fixed=True))
    with pytest.raises(GuessError, match="nothing is left open"):
        guesses_of(fixed)


def test_what_is_to_be_written_can_be_read_again() -> None:
    """The lines for the file, all together, are tables of a scenario file."""
    tables: dict[str, list[str]] = {}
    for one in guesses_of(scenario()):
        head, *lines = to_write(one)
        tables.setdefault(head, []).extend(lines)
        assert to_watch(one)
    added = "\n".join("\n".join((head, *lines)) for head, lines in tables.items())
    tomllib.loads(TINY + added)
    read = parse(TINY + added, name="tiny.toml")
    left = guesses_of(read)
    assert {one.species for one in left} == {HOT, MILD}  # traits keep a range until it is narrowed
    assert read.species[HOT].traits["temper"].source == "keeper"
