"""The model description: nothing is missing from it, its tables are those of the code, its keys are known."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import Capsys
from rockshy.analysis.questions.sources import description
from rockshy.analysis.questions.sources.description import by_hand, made, main, rules, table
from rockshy.sim.fish import shoal
from rockshy.sim.rules.support.parameters import load
from rockshy.sim.rules.support.rule_set import Rules
from rockshy.sim.run.slow import slow_parameters
from rockshy.sim.species.sources import bibliography
from rockshy.sim.species.species import TRAITS, WORDS
from rockshy.sim.tank import tank, water

PLACE = Path(__file__).resolve().parents[2] / "sim" / "MODEL.md"
TEXT = PLACE.read_text(encoding="utf-8")
WRITTEN = by_hand(TEXT)

ELEMENTS = (
    *("Purpose and patterns", "Entities, state variables, and scales", "Process overview and scheduling"),
    *("Design concepts", "Initialization", "Input data", "Submodels"),
)
CONCEPTS = (
    *("Basic principles", "Emergence", "Adaptation", "Objectives", "Learning", "Prediction", "Sensing"),
    *("Interaction", "Stochasticity", "Collectives", "Observation"),
)
_KEY = re.compile(r"\b[A-Za-z]*[A-Z][A-Za-z]+(?:19|20)\d\d\b")


def unit_of(heading: str, text: str, *, level: str) -> str:
    """What stands under a heading, up to the next one of its level."""
    found = re.search(
        rf"^{level} {re.escape(heading)}\n(.*?)(?=^{level} |\Z)", text, re.MULTILINE | re.DOTALL
    )
    return found.group(1) if found else ""


def named(text: str) -> set[str]:
    """Every word that stands in code."""
    spans = re.findall(r"```.*?```|`[^`]+`", text, re.DOTALL)
    return set(re.findall(r"\w+", " ".join(spans)))


# ---- the seven elements and eleven concepts (Grimm2020)


def test_all_seven_elements_stand_in_order_and_say_something() -> None:
    heads = [f"{number} {name}" for number, name in enumerate(ELEMENTS, 1)]
    assert [head for head in heads if len(unit_of(head, TEXT, level="##").split()) <= 25] == []
    starts = [TEXT.find(f"\n## {head}\n") for head in heads]
    assert starts == sorted(starts)


def test_all_eleven_design_concepts_say_something() -> None:
    concepts = unit_of("4 Design concepts", TEXT, level="##")
    said = dict(re.findall(r"^\*\*([\w ]+)\.\*\*(.*?)(?=^\*\*|\Z)", concepts, re.MULTILINE | re.DOTALL))
    assert [name for name in CONCEPTS if len(said.get(name, "").split()) <= 10] == []


# ---- nothing is missing, in the tables or in the text


def test_every_table_is_that_of_the_code() -> None:
    assert made(TEXT)[1] == [], "run python -m rockshy.analysis.questions.sources.description"


def test_the_text_says_what_every_rule_and_parameter_does() -> None:
    """Not the tables, which are made from them: the sentences and equations."""
    every = {*Rules.known(), *(fn.__name__ for fn in rules()), *load()}
    assert sorted(every - named(WRITTEN)) == []


def test_parameters_of_equations_are_parameters() -> None:
    """A misspelled one would stand for nothing."""
    known = {*load(), *TRAITS, *WORDS, *shoal.FISH, *shoal.PAIR, *tank.Tank._fields, *water.REFUGE, "tick_s"}
    known |= {*slow_parameters(), "pull_home", *(fn.__name__ for fn in rules())}
    known |= {*re.findall(r"\w+", description.__doc__ or "")}
    blocks = "\n".join(re.findall(r"```text\n(.*?)```", WRITTEN, re.DOTALL))
    with_unit = set(re.findall(r"\b[a-z]+(?:_[a-z0-9]+)+\b", blocks))
    assert with_unit - known == set()
    assert len(with_unit) > 50


def test_every_key_that_is_cited_is_in_the_bibliography() -> None:
    cited = set(_KEY.findall(TEXT))
    assert cited - bibliography().keys() == set()
    assert len(cited) > 30
    assert _KEY.findall("as MadeUp1999 and `Nobody2001` say") == ["MadeUp1999", "Nobody2001"]


def test_files_and_functions_that_the_text_names_are_there() -> None:
    """``sim/rules/attack.py: attack_rate``: the file exists and defines the name."""
    places = re.findall(r"`((?:sim|analysis)/[\w/]+\.py): (\w+)`", WRITTEN)
    assert len(places) > 30
    for file, name in places:
        text = (PLACE.parent.parent / file).read_text(encoding="utf-8")
        assert re.search(rf"^(?:def|class)? ?{name}\b", text, re.MULTILINE), f"{file}: {name}"


def test_links_lead_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", WRITTEN):
        assert (PLACE.parent / target).exists(), target
    anchors = {
        re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-")
        for head in re.findall(r"^#+ (.+)$", TEXT, re.MULTILINE)
    }
    assert set(re.findall(r"\]\(#([^)]+)\)", WRITTEN)) <= anchors


def test_every_registered_pattern_is_named_in_words() -> None:
    import tomllib

    file = PLACE.parent.parent / "analysis" / "evidence" / "patterns.toml"
    names = tomllib.loads(file.read_text(encoding="utf-8"))
    published = {re.sub(r"[a-z]$", "", name) for name in names if name.startswith("P")}
    first = unit_of("1 Purpose and patterns", TEXT, level="##")
    assert {name for name in published if f"| {name} |" not in first} == set()
    assert len(published) == 15
    assert "F" not in {name[0] for name in names} or "number begins with F" in first


# ---- the module that makes the tables


def test_a_lost_or_unknown_block_is_refused() -> None:
    with pytest.raises(ValueError, match="block 'words' is missing"):
        made(TEXT.replace("<!-- made: words -->", "<!-- made: wrods -->"))
    with pytest.raises(ValueError, match="'wrods' is unknown"):
        made(TEXT.replace("<!-- made: words -->", "<!-- made: wrods -->"))
    again = "<!-- made: tick -->\n<!-- end -->\n"
    with pytest.raises(ValueError, match="'tick' is unknown or stands twice"):
        made(TEXT + again)


def test_cells_hold_bars_and_line_ends() -> None:
    assert table(("a",), [("x | y\n z",)]) == "| a |\n| --- |\n| x \\| y z |\n"


def test_the_module_writes_says_and_checks(tmp_path: Path, capsys: Capsys) -> None:
    copy = tmp_path / "MODEL.md"
    copy.write_text(TEXT.replace("| `fright` |", "| `frigth` |"), encoding="utf-8")
    assert main(["--file", str(copy), "--check"]) == 1
    assert "| `fright` |" not in WRITTEN and "made:" not in WRITTEN
    assert "state-fish" in capsys.readouterr().out
    assert main(["--file", str(copy), "--out", str(tmp_path / "new.md")]) == 0
    assert (tmp_path / "new.md").read_text(encoding="utf-8") == TEXT
    assert copy.read_text(encoding="utf-8") != TEXT
    assert main(["--file", str(copy)]) == 0
    assert copy.read_text(encoding="utf-8") == TEXT
    assert main(["--file", str(copy), "--check"]) == 0
    assert "nothing" in capsys.readouterr().out.splitlines()[-1]


def test_types_of_the_parameters_are_written_beside_it(tmp_path: Path) -> None:
    (tmp_path / "MODEL.md").write_text(TEXT, encoding="utf-8")
    types = tmp_path / description.PARAMETERS
    types.parent.mkdir(parents=True)
    whole = (PLACE.parent / description.PARAMETERS).read_text(encoding="utf-8")
    old = whole.replace("    notice_s: float", "    notice: float")
    types.write_text(old, encoding="utf-8")
    assert main(["--file", str(tmp_path / "MODEL.md"), "--check"]) == 1
    assert types.read_text(encoding="utf-8") == old != whole
    assert main(["--file", str(tmp_path / "MODEL.md")]) == 0
    assert types.read_text(encoding="utf-8") == whole


def test_without_a_checkout_it_says_so(tmp_path: Path, capsys: Capsys) -> None:
    assert main(["--file", str(tmp_path / "MODEL.md")]) == 2
    assert "belongs to the checkout" in capsys.readouterr().err
