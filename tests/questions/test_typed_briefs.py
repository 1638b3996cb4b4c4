"""First lines of answers in the names that the keeper typed, with the scientific name once."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Capsys, Patch, answered, work_in
from rockshy.analysis.document import Code, Section, as_text, document, section, table
from rockshy.analysis.document.brief import MOST_LINES, Brief
from rockshy.analysis.document.plain import called, capital
from rockshy.analysis.document.typed import Typed, as_typed
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

LAB, ZEBRA, DEMASONI = "Labidochromis caeruleus", "Maylandia estherae", "Chindongo demasoni"
SIDES = '[tank]\nlength = "60 cm"\nfront_to_back = "30 cm"\nheight = "30 cm"\n'


def tank(*names: str, question: str = "") -> Scenario:
    rows = "".join(f'[[stock]]\nspecies = "{name}"\nmales = 1\nfemales = 2\n' for name in names)
    asked = f'question = "{question}"\n' if question else ""
    return parse(f"{asked}{SIDES}{rows}", name="a")


def said(text: str, *names: str) -> str:
    """A text instead of the verdict, after all names were said once."""
    first = " ".join(name for name in (LAB, ZEBRA, DEMASONI))
    return as_typed(Brief(first, text), tank(*names)).verdict


def test_the_scientific_name_stands_beside_it_once_where_it_comes_first() -> None:
    who = called(f"{LAB} females", LAB, 6)
    brief = Brief(
        f"What helps {who}?", f"Bad: {who} keep 10 %.", f"{ZEBRA} males 54 %.", f"Out: {LAB} male 2."
    )
    told = as_typed(brief, tank("yellow labs", "red zebra"))
    assert told.sentences == (
        f"What helps yellow lab females ({LAB}; 6)?",
        "Bad: yellow lab females (6) keep 10 %.",
        f"Red zebra males ({ZEBRA}) 54 %.",
        "Out: yellow lab male 2.",
    )


@pytest.mark.parametrize(
    ("text", "typed", "told"),
    [
        (f"as {called(LAB, LAB)} would", "LABS", "as labs would"),
        (f"{called(f'{LAB} female 2', LAB)} keeps", "yellow lab cichlid", "Yellow lab female 2 keeps"),
        (f"{called(f'{LAB} unsexed fish', LAB, 5)} keep", "labs", "unsexed labs (5) keep"),
        (f"{called(f'{LAB} female', LAB, 3)} keep", "labs", "Lab females (3) keep"),
        (f"{called(f'{LAB} females (7 cm)', LAB, 5)} keep", "labs", "Lab females (7 cm; 5) keep"),
        (f"{called(f'{DEMASONI} females', DEMASONI)} out", "demasoni", "Demasoni females out"),
        (f"all 4 {DEMASONI} out", "demasoni", "all 4 demasoni out"),
        (f"2 more females of {ZEBRA}", "red zebras", "2 more red zebra females"),
        (f"{ZEBRA} with its own kind only", "red zebras", "Red zebra with its own kind only"),
        (f"one {ZEBRA} female out", "red zebra", "one red zebra female out"),
        # typed by the scientific name, whole or cut short: as it is
        (f"{LAB} and {called(LAB, LAB)}", LAB, f"{LAB} and L. caeruleus"),
        (f"{LAB} and {called(LAB, LAB)}", "L. caeruleus", f"{LAB} and L. caeruleus"),
        # the genus is not the species, and part of a word is none
        ("Labidochromis, L. caeruleusx", "labs", "Labidochromis, L. caeruleusx"),
    ],
)
def test_fish_are_called_as_typed(text: str, typed: str, told: str) -> None:
    assert said(text, typed) == told


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("rusties", "Iodotropheus sprengerae"),
        ("kenyi", "Maylandia lombardoi"),
        ("golden julies", "Julidochromis ornatus"),
        ("pearl of Likoma", "Labidochromis joanjohnsonae"),
    ],
)
def test_plurals_are_those_of_keepers(typed: str, key: str) -> None:
    assert as_typed(Brief(key, f"{key} do."), tank(typed)).verdict == f"{capital(typed)} do."


def test_the_question_is_left_in_the_keepers_own_words() -> None:
    scenario = tank("labs", question=f"Will {LAB} get about?")
    told = as_typed(Brief(scenario.question, f"{LAB} males do."), scenario)
    assert told.sentences == (f"Will {LAB} get about?", f"Lab males ({LAB}) do.")


def test_a_long_brief_leaves_scientific_names_to_what_follows() -> None:
    typed = Typed(tank("labs", "red zebras"))
    long = " ".join(
        ["They keep 40 % of the swimming about they would do if left alone."] * 3 + ["word " * 12]
    )
    brief = Brief("Why?", f"{LAB} females (4): {long}", f"{ZEBRA} males.", "This.", "That.", "A fault.")
    told = typed.brief(brief)
    assert len(as_text(told.section).splitlines()) == MOST_LINES
    assert told.verdict.startswith("Lab females (4): ") and told.beside == "Red zebra males."
    assert f"({LAB})" in as_text(typed.section(section("Who", f"{LAB} males")))


def test_where_no_common_name_was_typed_nothing_is_changed() -> None:
    brief = Brief(f"What helps {LAB}?", called(f"{LAB} females", LAB, 6))
    assert as_typed(brief, tank(LAB)) == brief


def test_full_tables_say_them_too_and_copied_lines_and_sources_do_not() -> None:
    scenario = tank("yellow labs", "red zebras")
    rows = [(called(f"{LAB} unsexed fish", LAB, 5), "3 %"), (f"{ZEBRA} male", "4 %")]
    shown = document(
        section(f"{LAB}, 5 fish", f"{LAB} and {ZEBRA} females.", table((ZEBRA, "lost"), rows)),
        Section((Code((f"rockshy why a.toml --for '{LAB}'",)),)),
        section("Sources", f"Somebody 1999: {LAB}"),
    )
    told = " ".join(as_text(Typed(scenario).document(shown)).split())
    assert told == (
        f"Yellow labs ({LAB}), 5 fish Yellow labs and red zebra females ({ZEBRA}). red zebras lost "
        f"unsexed yellow labs (5) 3 % red zebra male 4 % rockshy why a.toml --for '{LAB}' "
        f"Sources Somebody 1999: {LAB}"
    )


def test_a_run_says_the_names_of_the_file(tmp_path: Path, monkeypatch: Patch, capsys: Capsys) -> None:
    work_in(tmp_path, monkeypatch, mine=tank("yellow labs", "red zebras").text)
    line = ("run", "mine.toml", "--trials", "2", "--days", "0.2")
    brief = answered(capsys, *line).out.partition("\n\n")[0]
    assert "red zebra" in brief and brief.count(ZEBRA) == 1 >= brief.count(LAB)
    assert "L. caeruleus" not in brief and "M. estherae" not in brief
    assert len(brief.splitlines()) <= MOST_LINES
