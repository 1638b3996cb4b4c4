"""``rockshy sources``: how numbers are counted by source, that sums add up, what rests on a publication."""

from __future__ import annotations

import ast
import json
import re
from collections import Counter
from pathlib import Path

import pytest
import rockshy.analysis
import rockshy.sim
from command_line import Capsys, Patch
from rockshy.analysis.commands import main
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.sources import source_counts
from rockshy.analysis.questions.sources.source_counts import (
    CODE,
    MEANINGS,
    OF_LAKE_WATER,
    RULES,
    SPECIES,
    WATER,
    Number,
    all_numbers,
    constants,
    count,
    how_read,
    parts,
    values_of,
    weakest,
)
from rockshy.analysis.questions.sources.source_uses import all_uses
from rockshy.analysis.questions.sources.source_words import counts_text
from rockshy.sim.rules.support.parameters import load
from rockshy.sim.run.slow import slow_parameters
from rockshy.sim.species.colours import COLOURS
from rockshy.sim.species.sources import KINDS, bibliography, is_known
from rockshy.sim.species.species import TRAITS, WORDS, library

NUMBERS = all_numbers()
COUNTS = count(NUMBERS)
SIM = Path(rockshy.sim.__file__).parent


def said_by(capsys: Capsys, *words: str) -> str:
    assert main(["sources", *words]) == 0
    return capsys.readouterr().out


# ---- what a source counts as


@pytest.mark.parametrize(
    ("source", "kind"),
    [
        ("assumption", "assumption"),
        ("Kohda1991; assumption", "assumption"),
        ("assumption; Kohda1991 (abstract)", "assumption"),
        ("from memory; SpeciesAccounts (2nd)", "from memory"),
        ("common practice; from memory", "from memory"),
        ("Kohda1991 (abstract)", "abstract"),
        ("Kohda1991 (abstract); Danley2011 (2nd)", "2nd"),
        ("Nelissen1985 (data; a table)", "paper"),
        ("Nelissen1985 (data, computed)", "paper"),
        ("computed", "computed"),
        ("Nelissen1985 (data); computed", "paper"),
        ("keeper", "keeper"),
        ("assumption (a definition, with a table read)", "assumption"),
    ],
)
def test_a_number_counts_for_the_weakest_part_of_its_source(source: str, kind: str) -> None:
    assert is_known(source)
    assert weakest(source) == kind


def test_how_a_publication_was_read() -> None:
    said = {
        "details not read": "published",
        "summary read; journal not seen": "abstract",
        "table 6.2 read second-hand": "2nd",
        "2nd edition": "published",
        "read; the measurements behind it were not seen": "paper",
        "a hormone, by analogy": "published",
        "citation from memory, abstract read": "abstract",
    }
    assert {one: how_read(one) for one in said} == said


def test_where_the_number_does_not_say_it_the_bibliography_does(monkeypatch: Patch) -> None:
    known = {"Kohda1991": "Somebody (1991) Somewhere (abstract read)", "Dill1990": "Dill (1990) there"}
    monkeypatch.setattr(source_counts, "bibliography", lambda: known)
    assert weakest("Kohda1991") == "abstract"
    assert weakest("Kohda1991 (2nd)") == "2nd"
    assert weakest("Dill1990") == "published"


def test_a_paper_behind_a_part_is_counted_apart() -> None:
    helped = {
        "Kohda1991; assumption": True,
        "assumption": False,
        "common practice; assumption": False,
        "Kohda1991 (abstract)": False,
        "from memory; SpeciesAccounts (2nd)": True,
    }
    assert {one: Number(RULES, "", "x", "1", "1", one, "").is_helped for one in helped} == helped


def test_every_kind_has_a_meaning() -> None:
    assert set(KINDS) <= MEANINGS.keys()
    assert {part.kind for one in NUMBERS for part in parts(one.source)} <= MEANINGS.keys()


# ---- the counts add up


def test_all_numbers_are_there() -> None:
    of = Counter(one.group for one in NUMBERS)
    kinds = len(library())
    assert of[RULES] == len(load()) + len(slow_parameters())
    assert of[SPECIES] + of[WATER] == kinds * (len(TRAITS) + len(WORDS) - len(COLOURS))
    assert of[WATER] == kinds * 8
    assert of[CODE] == len(constants())
    assert [name for name in OF_LAKE_WATER if not re.match(r"(temp|ph|gh|kh)_(low|high)", name)] == []


def test_the_printed_table_adds_up() -> None:
    """Read back from the text as a keeper would add it."""
    lines = as_text(counts_text(COUNTS)).split("\n\n")[0].splitlines()[2:]
    rows = [[int(n) for n in re.findall(r"(?<=\s)\d+\b", line)][:5] for line in lines]
    *kinds, total = rows
    assert [sum(column) for column in zip(*kinds, strict=True)] == total
    assert all(sum(row[:4]) == row[4] for row in rows)
    assert total[4] == COUNTS.total == sum(one.many for one in NUMBERS)
    assert all(helped <= COUNTS.table[cell] for cell, helped in COUNTS.helped.items())


def test_a_hand_made_count() -> None:
    made = [
        Number(RULES, "", "a", "1", "s", "assumption", ""),
        Number(RULES, "", "b", "1", "s", "Kohda1991; assumption", ""),
        Number(SPECIES, "X", "c", "1", "s", "Kohda1991 (abstract)", ""),
        Number(CODE, "m", "d", "1, 2, 3", "s", "common practice", "", 3),
    ]
    counts = count(made)
    assert counts.table["assumption", RULES] == 2
    assert counts.helped["assumption", RULES] == 1
    assert counts.table["abstract", SPECIES] == 1
    assert counts.of_kind("common practice") == counts.of_group(CODE) == 3
    assert counts.total == 6


# ---- numbers that stand in code


def tree(module: str) -> ast.Module:
    folder = Path(rockshy.analysis.__file__).parent if module.startswith("analysis.") else SIM
    path = folder / (module.removeprefix("analysis.").replace(".", "/") + ".py")
    return ast.parse(path.read_text(encoding="utf-8"))


def literals(module: str) -> dict[str, list[float]]:
    """Numbers in each function, class or constant at the top of a module."""
    found: dict[str, list[float]] = {}
    for node in tree(module).body:
        if isinstance(node, ast.Assign):
            name = re.findall(r"\w+", ast.unparse(node.targets[0]))[0]
        else:
            name = getattr(node, "name", ast.unparse(getattr(node, "target", ast.Name("")))) or ""
        found[name] = [
            float(one.value)
            for one in ast.walk(node)
            if isinstance(one, ast.Constant) and type(one.value) in (int, float)
        ]
    return found


def test_a_number_that_is_said_to_stand_in_code_stands_there() -> None:
    for entry in constants():
        there = Counter(literals(entry["module"])[entry["name"]])
        assert Counter(map(float, values_of(entry))) <= there, entry
        assert is_known(entry["source"]) and len(entry["meaning"].split()) >= 3, entry


BEHAVIOUR = (
    *(f"rules.{path.stem}" for path in sorted((SIM / "rules").glob("[a-z]*.py"))),
    *("run.day", "fish.population", "fish.traits", "tank.rockwork", "tank.crevices", "tank.tank"),
    *("scenario.scenario", "scenario.stock", "run.life", "run.slow"),
)
PLAIN = {0.0, 1.0, 2.0, 3.0, -1.0}  # counting, indices, halves of a formula
NO_BEHAVIOUR = {  # module: name -> numbers of units, geometry, numerics or storage
    "rules.attack": {"goes_for_it": {4000}, "lets_be": {4001}},  # numbers of the draws
    "rules.claims": {"fought_over": {27}, "fade_claims": {3600}},  # blocks round; s an hour
    "rules.contest": {"contest_ends": {20, 0.5}, "decide_contest": {0.5}},  # overflow; mean; middle of a tick
    "rules.odds": {"logistic": {40}},
    "rules.feed": {"hunger_share": {3600}, "graze": {3600}, "eat": {5}},  # s an hour; kind of event
    "rules.flight": {"flee": {40}},  # against overflow
    "rules.fright": {"fade": {0.5, 86400}},  # half-lives; s a day
    "rules.night": {"night": {0.5}},  # half-lives
    "rules.senses": {"bit": {7}},  # bits
    "rules.swim": {
        "TRIES": {12},  # the choice is the same with any
        "concentration": {1e-6, 200, 60, 0.5},  # bisection
        "_fill_slots": {1e-12},
        "turning_table": {4},  # pages
        "_C2": {9},  # terms of a series
        "above_exp": {12, 8, 1e-9},  # a bound
        "decay": {700, 1024, 10},  # a series, squared ten times
        "_bounds": {5},  # longest chamfer step, thirds of an edge
    },
    "run.day": {"move": {64}, "advance": {16}},  # draws set aside; room in the ledger
    "fish.population": {
        "warmth": {10},  # the ten of Q10
        "GROUP": {100_000},  # numbering
        "mildest": {1e-6},  # against division by 0
    },
    "scenario.scenario": {"Scenario": {3600}},  # s an hour
    "run.life": {
        "_NEVER": {62},
        "_measure_day": {1e-9},
        "_Lived": {1e-9},
    },  # a tick that never comes; rounding
    "run.weeks": {"by_week": {0.5}, "WEEK_D": {7}},  # the middle of a week
    "run.slow": {"YEAR_D": {365}, "Growing": {0.5, 86400}, "Slow": {30}},  # half-lives; s a day; life.toml
    "fish.traits": {"derived": {10}},  # core radii are those of 10 cm fish, by the trait's definition
    "tank.rockwork": {
        "_POINTS_MIN": {40},  # resolution
        "X": {11},  # columns of a table
        "full_rock": {11},
        "describe_rock": {4, 6, 8, 1000, 0.5, 5},  # classes of a report; cm3 a litre; cell centres
        "_boxes": {6},
        "_candidates": {8, 10, 100},  # draws; order of layers and gaps
        "_shaped": {11, 4, 5, 6, 7},  # columns
        "_lay": {0.5},  # centres of points
        "_scale_to_fit": {12, 0.5},  # bisection
        "_is_open": {1e-9},
    },
    "tank.crevices": {
        "_TURNS": {4},
        "RockGuess": {1.5},  # crevices a piece: trials hand in crevices_a_piece
        "drawn_crevices": {7, 5, 4},  # draws
        "_mouths": {0.5},  # half a right angle
    },
    "tank.tank": {
        "CELLS_MIN": {30},  # fewer are refused
        "build_tank": {1e-9},
        "cell_centres_cm": {0.5},
        "_solid_cells": {0.5},
        "_beside": {6},  # faces
        "_graze": {6},
        "_snapped": {0.5, 9},
        "_away_from_rock": {1e-9},
        "_looking_in": {1e-9},
    },
}


@pytest.mark.parametrize("module", BEHAVIOUR)
def test_every_number_in_code_says_where_it_comes_from(module: str) -> None:
    """Each stands in constants.toml with its source, or is no number of behaviour, for the reason above."""
    stated: dict[str, set[float]] = {}
    for entry in constants():
        if entry["module"] == module:
            stated.setdefault(entry["name"], set()).update(map(float, values_of(entry)))
    for name, there in literals(module).items():
        allowed = PLAIN | stated.get(name, set()) | NO_BEHAVIOUR.get(module, {}).get(name, set())
        assert set(there) - allowed == set(), f"sim/{module}: {name}"


# ---- what rests on a publication


def test_what_rests_on_a_publication() -> None:
    uses = all_uses(NUMBERS)
    assert list(uses) == list(bibliography())
    assert {one.name for one in uses["Dill1990"].numbers} == {"margin_s"}
    assert ("sim/rules/flight.py", "leaves_now") in {
        (one.file, one.function) for one in uses["Dill1990"].named
    }
    gomez = {one.owner for one in uses["Gomez"].numbers}
    assert gomez == {
        kind.key for kind in library().values() if any("Gomez" in it.source for it in kind.traits.values())
    }
    assert [one.split(":")[0] for one in uses["Hofmann1999"].patterns] == ["P13", "L1"]


def test_one_publication_in_words(capsys: Capsys) -> None:
    text = said_by(capsys, "gomez")
    assert text.startswith("Gomez: ")
    flat = " ".join(text.split())
    assert "cruising speed in standard lengths a second" in flat
    assert all(one.owner in flat for one in NUMBERS if "Gomez" in one.source)
    assert max(map(len, text.splitlines())) <= 100


def test_the_whole_list(capsys: Capsys) -> None:
    text = said_by(capsys)
    assert max(map(len, text.splitlines())) <= 100
    flat = "".join(text.split())
    assert all(f"{key}:{''.join(citation.split())}" in flat for key, citation in bibliography().items())
    assert text.index("Yanagisawa") < text.index("Where the numbers come from")


def test_json_adds_up(capsys: Capsys) -> None:
    told = json.loads(said_by(capsys, "--json"))
    assert set(told["bibliography"]) == set(bibliography())
    assert told["all"] == COUNTS.total == sum(group["all"] for group in told["counts"].values())
    for group in told["counts"].values():
        assert sum(group[kind] for kind in told["kinds"]) == group["all"]
    one = json.loads(said_by(capsys, "Reddon2011", "--json"))["Reddon2011"]
    assert [number["name"] for number in one["numbers"]] == ["contest_s"]


@pytest.mark.parametrize("asked", ["Kohda19", "", "nobody"])
def test_an_unknown_key_is_refused(capsys: Capsys, asked: str) -> None:
    assert main(["sources", asked]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert ("Did you mean Kohda" in said.err) == (asked == "Kohda19")
