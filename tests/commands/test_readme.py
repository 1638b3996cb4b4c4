"""README.md: its commands parse, its examples run, its tables are those of the program."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import tomllib
from pathlib import Path

import pytest
import readme_fields
from command_line import Patch
from readme_demo import PICTURE, QUESTIONS, TOP
from rockshy import scenarios
from rockshy.analysis.commands.parser import COMMANDS, build_parser
from rockshy.sim.scenario.reading import LIMITS, parse
from rockshy.sim.species.species import TRAITS, WORDS, library

README = (TOP / "README.md").read_text(encoding="utf-8")
PROSE = " ".join(README.split())


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, flags=re.DOTALL)


def between(mark: str) -> str:
    """What stands between the marks of a name."""
    return README.split(f"<!-- {mark} -->")[1].split(f"<!-- end of {mark} -->")[0]


def command_lines() -> list[str]:
    """Every ``rockshy ...`` in backquotes, in an indented block or in a quoted output."""
    quoted_inline = re.findall(r"`(rockshy[^`\n]*)`", README)
    shown = re.findall(r"^ +(?:.*&& )?\S*?(rockshy [^\n]*)$", README, flags=re.MULTILINE)
    return [line for line in [*quoted_inline, *shown] if re.match(r"rockshy( (\w+|--\w+)\b|$)", line)]


def test_the_readme_opens_with_one_paragraph_on_the_job() -> None:
    title, paragraph, heading = README.split("\n\n")[:3]
    assert title == "# Rockshy"
    assert heading == "## Two commands"
    job = ("species", "males and females", "rock", "tank", "order", "before you buy", "pinned", "worst")
    assert [word for word in job if word not in " ".join(paragraph.split())] == []


def test_every_command_line_parses() -> None:
    parser = build_parser()
    for line in command_lines():
        assert parser.parse_args(shlex.split(line)[1:]).command in (None, *COMMANDS), line


def test_command_lines_are_found_in_text_blocks_and_output() -> None:
    found = {line.split()[1] for line in command_lines() if " " in line}
    assert found == set(COMMANDS)


def test_the_two_commands_stand_there_for_both_kinds_of_system() -> None:
    lines = [line.strip() for line in README.split("\n") if line.startswith("    ")]
    starts = [line for line in lines if "venv .venv &&" in line]
    tests = [line for line in lines if "-m pytest" in line]
    assert [line.split()[0] for line in starts] == ["python3", "py"]
    assert [line.split()[0] for line in tests] == [".venv/bin/python", ".venv\\Scripts\\python"]
    assert all(line.endswith("rockshy run") and "-m pip install . &&" in line for line in starts)
    assert all("-c .ci/constraints.txt" in line for line in tests)
    assert (TOP / ".ci" / "constraints.txt").is_file()


def test_the_example_of_a_whole_file_is_a_scenario_no_other_file_holds() -> None:
    example = blocks("toml")[0]
    scenario = parse(example, name="my-tank.toml")
    assert all(scenario.title != parse(scenarios.text(name), name=name).title for name in scenarios.names())
    assert scenario.question
    assert len(scenario.stock) == 3


def test_the_sketch_and_the_stock_list_go_with_the_example() -> None:
    example, sketch, argument = blocks("toml")
    assert parse(argument + example.split("\n", 2)[2], name="my-tank.toml").argument is not None
    before, after = example.split("[rock]")
    parse(before + sketch + "[[stock]]" + after.split("[[stock]]", 1)[1], name="my-tank.toml")
    listed = 'stock_list = "stock.csv"\n' + before + "[rock]" + after.split("[[stock]]")[0]
    scenario = parse(listed, name="my-tank.toml", stock_list_text=blocks("csv")[0])
    assert [(row.males, row.females, row.unsexed, row.day) for row in scenario.stock] == [
        (2, 5, 0, 0),
        (0, 0, 6, 4),
    ]


def test_the_examples_use_every_name_a_file_may_hold() -> None:
    used = set()

    def walk(value: object, place: str) -> None:
        for row in value if isinstance(value, list) else [value]:
            for key, inner in row.items() if isinstance(row, dict) else ():
                used.add(f"{place}{key}")
                walk(inner, f"{place}{key}.")

    for text in blocks("toml"):
        walk(tomllib.loads(text), "")
    assert set(LIMITS) <= used


def test_the_table_of_fields_is_that_of_the_declared_fields() -> None:
    """After a wanted change: ``python -m tests.readme_fields``."""
    assert README.split(readme_fields.BEGIN)[1].split(readme_fields.END)[0] == readme_fields.table()
    assert all(f"| `{key}` | " in readme_fields.table() for key in LIMITS)


def test_every_trait_is_stated() -> None:
    told = {name: (one.meaning, f"{one.low:g} to {one.high:g} ({one.unit})") for name, one in TRAITS.items()}
    told |= {name: (one.meaning, str(one.allowed)) for name, one in WORDS.items()}
    rows = [f"| `{name}` | {meaning} | {allowed} |" for name, (meaning, allowed) in told.items()]
    assert [row for row in rows if row not in README] == []


def test_every_species_of_the_library_is_named() -> None:
    """After a new species: ``python -m tests.readme_fields``."""
    told = README.split(readme_fields.SPECIES)[1].split(readme_fields.END_OF_SPECIES)[0]
    assert told == readme_fields.species()
    epithets = [one.key.split(" ", 1)[1] for one in library().values()]
    assert len(epithets) >= 80 and all(name in " ".join(told.split()) for name in epithets)


def test_the_demo_is_that_of_the_ready_scenario() -> None:
    demo = between("demo")
    told = tomllib.loads(scenarios.text(scenarios.DEMO))
    shown = " ".join(demo.split())
    assert f"Question: {told['question']}" in shown
    assert told["title"] in shown
    assert "Worst-off fish" in shown
    assert "64 simulated tanks" in shown
    picture = (TOP / PICTURE).read_bytes()
    assert picture.startswith(b"\x89PNG")
    assert f"]({PICTURE.as_posix()})" in demo


@pytest.mark.parametrize(("mark", "name"), [(mark, words[1]) for mark, words, _, _ in QUESTIONS])
def test_the_questions_are_those_of_the_ready_scenarios(mark: str, name: str) -> None:
    shown = between(mark)
    told = tomllib.loads(scenarios.text(name))
    if mark in ("compare", "rock"):
        assert f"Question: {told['question']}" in " ".join(shown.split())
    assert told["title"] in shown
    assert "[...]" in shown
    assert f"](.readme/{mark}.png)" in shown
    assert (TOP / ".readme" / f"{mark}.png").read_bytes().startswith(b"\x89PNG")


def run_example(code: str, namespace: dict[str, object]) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        exec(compile(code, "README.md", "exec"), namespace)
    return out.getvalue()


def test_a_rule_of_the_readers_own_changes_the_outcome() -> None:
    example = blocks("python")[1]
    assert len(example.strip().split("\n")) <= 12
    ours, theirs = (int(line.split()[0]) for line in run_example(example, {}).splitlines())
    assert ours > 0
    assert theirs > 0
    assert ours != theirs


def test_the_python_example_answers(tmp_path: Path, monkeypatch: Patch) -> None:
    text = scenarios.text(scenarios.DEMO).split("[run]")[0] + "[run]\ndays = 0.4\n"
    (tmp_path / "my-tank.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    said = run_example(blocks("python")[0].replace("trials=16", "trials=2"), {})
    assert "2 simulated tanks" in " ".join(said.split()) or "2 of the 64" in said
    assert "Worst-off fish" in said
