"""README.md and scenarios/REFERENCE.md: commands parse, examples run, tables are those of the program."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from command_line import Patch
from readme_demo import PICTURE, QUESTIONS, TOP, Shown
from readme_fields import MADE
from rockshy import scenarios
from rockshy.analysis.commands.parser import COMMANDS, build_parser
from rockshy.analysis.document.brief import MOST_LINES
from rockshy.sim.scenario.reading import LIMITS, parse
from rockshy.sim.species.species import TRAITS, WORDS, library

README = (TOP / "README.md").read_text(encoding="utf-8")
REFERENCE = (TOP / "scenarios" / "REFERENCE.md").read_text(encoding="utf-8")


def blocks(language: str, text: str = REFERENCE) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", text, flags=re.DOTALL)


def between(mark: str, text: str = README) -> str:
    """What stands between the marks of a name."""
    return text.split(f"<!-- {mark} -->\n")[1].split(f"<!-- end of {mark} -->")[0]


def command_lines(text: str) -> list[str]:
    """Every ``rockshy ...`` in backquotes, in an indented block or in a quoted output."""
    quoted_inline = re.findall(r"`(rockshy[^`\n]*)`", text)
    shown = re.findall(r"^ +(?:.*&& )?\S*?(rockshy [^\n]*)$", text, flags=re.MULTILINE)
    return [line for line in [*quoted_inline, *shown] if re.match(r"rockshy( (\w+|--\w+)\b|$)", line)]


def test_the_readme_opens_with_one_paragraph_on_the_job() -> None:
    title, paragraph, heading = README.split("\n\n")[:3]
    assert title == "# Rockshy"
    assert heading == "## Two commands"
    job = ("species", "males and females", "rock", "tank", "order", "before you buy", "pinned", "worst")
    assert [word for word in job if word not in " ".join(paragraph.split())] == []
    assert paragraph.count(". ") + paragraph.count(".\n") == 1  # two sentences
    assert len(README.splitlines()) < 350


@pytest.mark.parametrize("text", [README, REFERENCE])
def test_every_command_line_parses(text: str) -> None:
    parser = build_parser()
    for line in command_lines(text):
        assert parser.parse_args(shlex.split(line)[1:]).command in (None, *COMMANDS), line


def test_the_readme_names_every_command() -> None:
    found = {line.split()[1] for line in command_lines(README) if " " in line}
    assert found == set(COMMANDS)


@pytest.mark.parametrize("page", ["README.md", "scenarios/REFERENCE.md"])
def test_links_lead_somewhere(page: str) -> None:
    place = TOP / page
    for link in re.findall(r"\]\(([^)#]*)(?:#([^)]*))?\)", place.read_text(encoding="utf-8")):
        target = place.parent / link[0] if link[0] else place
        assert target.is_file(), link
        if link[1]:
            headings = re.findall(r"^#+ (.*)$", target.read_text(encoding="utf-8"), flags=re.MULTILINE)
            assert link[1] in {one.lower().replace(" ", "-") for one in headings}, link


def test_every_picture_is_shown() -> None:
    assert {one.name for one in (TOP / ".readme").iterdir()} == set(
        re.findall(r"\]\(\.readme/([^)]*)\)", README)
    )


def test_the_two_commands_stand_there_for_both_kinds_of_system() -> None:
    lines = [line.strip() for line in README.split("\n") if line.startswith("    ")]
    starts = [line for line in lines if "venv .venv &&" in line]
    tests = [line for line in lines if "-m pytest" in line]
    assert [line.split()[0] for line in starts] == ["python3", "py"]
    assert [line.split()[0] for line in tests] == [".venv/bin/python", ".venv\\Scripts\\python"]
    assert all(line.endswith("rockshy run") and "-m pip install . &&" in line for line in starts)
    assert all("-c .ci/constraints.txt" in line for line in tests)
    assert (TOP / ".ci" / "constraints.txt").is_file()


def test_the_short_file_of_the_readme_is_understood() -> None:
    (example,) = blocks("toml", README)
    scenario = parse(example, name="my-tank.toml")
    assert scenario.question
    assert [(row.males, row.females, row.day) for row in scenario.stock] == [(1, 5, 0), (2, 6, 3)]


def test_the_alternatives_of_the_readme_are_those_of_the_ready_scenario() -> None:
    (example,) = (block for block in blocks("text", README) if block.startswith("[[alternative]]"))
    told = tomllib.loads(scenarios.text("which-change"))["alternative"]
    assert [one for one in tomllib.loads(example)["alternative"] if one not in told] == []


def test_the_example_of_a_whole_file_is_a_scenario_no_other_file_holds() -> None:
    example = blocks("toml")[0]
    scenario = parse(example, name="my-tank.toml")
    assert all(scenario.title != parse(scenarios.text(name), name=name).title for name in scenarios.names())
    assert scenario.question
    assert len(scenario.stock) == 3


def test_the_sketch_and_the_stock_list_go_with_the_example() -> None:
    example, sketch, argument, _ = blocks("toml")
    assert parse(argument + example.split("\n", 2)[2], name="my-tank.toml").argument is not None
    before, after = example.split("[rock]")
    parse(before + sketch + "[[stock]]" + after.split("[[stock]]", 1)[1], name="my-tank.toml")
    listed = 'stock_list = "stock.csv"\n' + before + "[rock]" + after.split("[[stock]]")[0]
    scenario = parse(listed, name="my-tank.toml", stock_list_text=blocks("csv")[0])
    assert [(row.males, row.females, row.unsexed, row.day) for row in scenario.stock] == [
        (2, 5, 0, 0),
        (0, 0, 6, 4),
    ]


def test_the_wish_list_goes_with_a_tank_without_fish() -> None:
    tank = "[tank]\nlength = 152\nfront_to_back = 50\nheight = 50\n"
    wanted = parse(tank + blocks("toml")[3], name="my-tank.toml", fishless=True).wanted
    assert wanted is not None and [one.must for one in wanted.liked] == [False, True]


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


@pytest.mark.parametrize("mark", MADE)
def test_the_tables_are_those_of_the_program(mark: str) -> None:
    """After a wanted change: ``python -m tests.readme_fields``."""
    assert between(mark, REFERENCE) == MADE[mark]()


def test_the_tables_leave_nothing_out() -> None:
    assert [key for key in LIMITS if f"| `{key}` | " not in MADE["fields"]()] == []
    assert [name for name in (*TRAITS, *WORDS) if f"| `{name}` | " not in MADE["traits"]()] == []
    told = " ".join(MADE["species"]().split())
    epithets = [one.key.split(" ", 1)[1] for one in library().values()]
    assert len(epithets) >= 80 and all(name in told for name in epithets)


def test_the_demo_is_that_of_the_ready_scenario() -> None:
    told = tomllib.loads(scenarios.text(scenarios.DEMO))
    shown = " ".join(between("demo").split())
    assert told["question"] in shown
    assert f"of {told['run']['trials']} simulated tanks" in shown
    assert "Known fault: " in shown
    assert f"]({PICTURE.as_posix()})" in shown


@pytest.mark.parametrize("one", QUESTIONS)
def test_the_questions_are_quoted_in_a_few_lines(one: Shown) -> None:
    shown = between(one.mark)
    assert shown.startswith(f"`{' '.join(('rockshy', *one.words))}` answers:\n")
    (answer,) = blocks("text", shown)
    assert 3 <= len(answer.splitlines()) <= MOST_LINES
    assert "?" in answer  # the question


def run_example(code: str, namespace: dict[str, object]) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        exec(compile(code, "<example>", "exec"), namespace)
    return out.getvalue()


def test_a_rule_of_the_readers_own_changes_the_outcome() -> None:
    (example,) = blocks("python")
    assert len(example.strip().split("\n")) <= 12
    ours, theirs = (int(line.split()[0]) for line in run_example(example, {}).splitlines())
    assert ours > 0
    assert theirs > 0
    assert ours != theirs


def test_the_python_example_answers(tmp_path: Path, monkeypatch: Patch) -> None:
    text = scenarios.text(scenarios.DEMO).split("[run]")[0] + "[run]\ndays = 0.4\n"
    (tmp_path / "my-tank.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    said = run_example(blocks("python", README)[0].replace("trials=16", "trials=2"), {})
    assert "2 simulated tanks" in " ".join(said.split()) or "2 of the 64" in said
    assert "Worst-off fish" in said
