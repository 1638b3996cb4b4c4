"""However much is wrong with a file, and whatever stands in it: a few lines that a terminal can show."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from pathlib import Path

import pytest
from reading_examples import FULL, STOCK, TANK, problem, problems, read
from rockshy.analysis.commands.parser import read_line
from rockshy.analysis.page.editing.text import Sheet
from rockshy.analysis.page.editing.written import EditError
from rockshy.analysis.page.serving.first import read_draft
from rockshy.analysis.page.serving.refusals import refusal_of
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.read import values_of
from rockshy.analysis.page.viewing.view import view_of
from rockshy.analysis.questions.watching.reading import parse_tally
from rockshy.analysis.questions.watching.scale_file import load_scale
from rockshy.sim.scenario.reading import ScenarioError
from rockshy.sim.scenario.reading.limits import MOST_ROWS
from rockshy.sim.scenario.reading.problems import MOST_SHOWN
from watched_tanks import HEADER, HOT, MILD, act, session, tally_text, tank

LISTED = 'stock_list = "my stock.csv"\n' + TANK
MANY = 60


def many(text: str) -> str:
    """The text over and over, %d being a number of its own."""
    return "".join(text.replace("%d", str(k)) for k in range(MANY))


def in_list(row: str) -> Callable[[], object]:
    return lambda: read(LISTED, stock_list_text="species,count,size\n" + many(row))


def in_file(part: str, *, stock: str = STOCK) -> Callable[[], object]:
    return lambda: read(TANK + stock + part)


def in_tally(row: str) -> Callable[[], object]:
    return lambda: parse_tally(tally_text() + many(row), tank(), name="watch.csv")


ADD = 'name = "a%d"\nadd = [{species = "hot grazr%d", males = 1}]\n'
REMOVE = 'name = "b%d"\nremove = [{species = "mild grazr%d"}]\n'
FISH = 'name = "c%d"\nremove = [{species = "mild grazer", fish = "femal %d"}]\n'
CROWD = {
    "species of a list": in_list("mild grazr%d,3,\n"),
    "lengths of a list": in_list("mild grazer,1,3 inchs%d\n"),
    "species of a file": in_file(many('[[stock]]\nspecies = "mild grazr%d"\nmales = 1\n'), stock=""),
    "lengths of a file": in_file(
        many('[[stock]]\nspecies = "mild grazer"\nmales = 1\nlength = "3 inchs%d"\n')
    ),
    "unknown keys": in_file(many("males%d = 1\n")),
    "unknown parameters": in_file("[parameters]\n" + many("attack_rate_%d = 1\n")),
    "species of one's own": in_file(many('[species.Mine%d]\nlike = "hot grazr%d"\n')),
    "kinds of object": in_file(many('[[rock.object]]\nkind = "wod%d"\n')),
    "species added": in_file(many("[[alternative]]\n" + ADD)),
    "species removed": in_file(many("[[alternative]]\n" + REMOVE)),
    "fish removed": in_file(many("[[alternative]]\n" + FISH)),
    "kinds of row": in_tally("1,actt%d\n"),
    "acts": in_tally(f"1,act,,,,,{HOT} male 1,{MILD} male 1,bitte%d,1\n"),
    "fish of a tally": in_tally(f"1,act,,,,,{HOT} mael %d,{MILD} male 1,bite,1\n"),
    "places": in_tally(f"1,place,,,,,,,,1,{MILD} male 1,1,rokc%d\n"),
}


@pytest.mark.parametrize("crowd", CROWD.values(), ids=CROWD)
def test_the_first_problems_are_shown_and_how_many_more(
    crowd: Callable[[], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is nearest is looked for among the shown ones alone: it takes a millisecond each."""
    looked_for: list[object] = []
    real = difflib.get_close_matches

    def counted(word: str, *more: object, **others: object) -> object:
        looked_for.append(word)
        return real(word, *more, **others)  # type: ignore[arg-type]

    monkeypatch.setattr(difflib, "get_close_matches", counted)
    with pytest.raises(ScenarioError) as caught:
        crowd()
    error = caught.value
    lines = str(error).split("\n")
    assert len(lines) == 1 + MOST_SHOWN + 1
    assert f"{error.count} problems" in lines[0]
    assert lines[-1].strip() == f"and {error.count - MOST_SHOWN} more problems"
    assert list(refusal_of(error).problems) == [line.strip() for line in lines[1:]]
    assert len(looked_for) <= MOST_SHOWN


def test_the_page_shows_the_first_problems_and_how_many_more() -> None:
    text = TANK + many('[[stock]]\nspecies = "nobody %d"\nmales = 1\n')
    view = view_of(Draft(text, "tank.toml"), 0)
    assert view["problems"][-1] == f"and {MANY - MOST_SHOWN} more problems"


# ---- more than any scenario needs


TOO_MUCH = {
    "a name of many parts": ("a" + ".a" * 2000 + " = 1\n", "12"),
    "a header of many parts": ("[a" + ".'a'" * 2000 + "]\n", "12"),
    "lists within lists": ("a = " + "[" * 100 + "]" * 100 + "\n", "12"),
    "tables within tables": ("a = " + "{b = " * 100 + "1" + "}" * 100 + "\n", "12"),
    "many tables": (TANK + "[[stock]]\n" * 2001, "2000"),
    "many names": (TANK + "".join(f"k{k} = 1\n" for k in range(19_000)) + "a.b = 1\n" * 501, "20000"),
    "a long list": ("a = [" + "1," * 20_001 + "]\n", "20000"),
    "many lines": ("a = 1\n" + "\n" * 20_000, "20000"),
    "a long text": ("a = 1\n#" + "#" * 1_000_000, "1000000"),
}


@pytest.mark.parametrize(("text", "most"), TOO_MUCH.values(), ids=TOO_MUCH)
def test_a_text_with_too_much_in_it_is_not_parsed(text: str, most: str, tmp_path: Path) -> None:
    found = problem(text)
    assert found.key == "TOML"
    assert f"at most {most}" in found.allowed
    assert values_of(text) is None
    with pytest.raises(EditError, match=f"at most {most}"):
        Sheet(text)
    path = tmp_path / "a.toml"
    path.write_text(text)
    assert read_draft(path) is None
    with pytest.raises(ScenarioError, match=f"at most {most}"):
        load_scale(path)


def test_the_line_of_what_is_too_much_is_named() -> None:
    found = problem(TANK + "\n" + "a" + ".a" * 2000 + " = 1\n")
    assert (found.line, found.found) == (6, "there are more than 12 parts in a name, with dots between them")


@pytest.mark.parametrize(
    "text",
    [
        'title = "' + "[{.," * 40 + '"\n',
        "title = '" + '[{.,"' * 40 + "'\n",
        'title = """\n' + '[a.b]\n"" = ' * 12 + '"""\n',
        "title = '''" + "[[[[[[[\n" * 20 + "'''\n",
        'title = "\\"' + "[" * 40 + '"\n',
        "# " + "[[a.b.c" * 40 + "\n",
        "# it's\n" * 40,
    ],
)
def test_brackets_and_points_within_text_do_not_count(text: str) -> None:
    read(text + TANK + STOCK)


def test_a_stock_list_of_more_rows_than_it_may_have() -> None:
    row = "mild grazer,0\n"
    read(LISTED, stock_list_text="species,count\nmild grazer,2\n" + row * (MOST_ROWS - 2))
    found = problem(LISTED, stock_list_text="species,count\n" + "nobody,1\n" * (MOST_ROWS + 1))
    assert (found.key, found.allowed) == ("rows", f"at most {MOST_ROWS}")


def test_a_list_that_repeats_a_cell_is_one_problem() -> None:
    wide = problem(LISTED, stock_list_text="species,count" + ",species" * 3000 + "\nmild grazer,2\n")
    assert (wide.line, wide.key) == (1, "row")
    problem(LISTED, stock_list_text="species,count\n" + "mild grazer," * 3000)
    with pytest.raises(ScenarioError) as caught:
        parse_tally(HEADER + ",chaser" * 3000 + "\n", tank(), name="watch.csv")
    assert caught.value.count == 1


def test_blank_columns_of_a_spreadsheet_do_not_count() -> None:
    blank = "," * 3000
    text = f"species,count{blank}\nmild grazer,2{blank}\n"
    assert read(LISTED, stock_list_text=text).stock[0].unsexed == 2


def test_a_tally_names_a_few_of_its_watches() -> None:
    rows = [session(k) for k in range(2, MANY + 1)]
    text = tally_text(*rows, act(f"{HOT} male 1", f"{MILD} male 1", watch=99))
    with pytest.raises(ScenarioError, match=f"and {MANY - MOST_SHOWN} more"):
        parse_tally(text, tank(), name="watch.csv")


# ---- numbers past all floats


@pytest.mark.parametrize("number", ["1" + "0" * 400, "-1" + "0" * 400, "1e999", f"[1{'0' * 400}, 1]"])
@pytest.mark.parametrize("at", [k for k, line in enumerate(FULL.split("\n")) if " = " in line])
def test_a_number_of_400_digits_anywhere(at: int, number: str) -> None:
    lines = FULL.split("\n")
    lines[at] = f"{lines[at].split(' = ')[0]} = {number}"
    assert problems("\n".join(lines))


def test_a_scale_file_with_a_number_of_400_digits(tmp_path: Path) -> None:
    path = tmp_path / "scale.toml"
    keys = ("factor", "low", "high", "chases", "minutes", "watches", "expected", "tanks", "overdispersion")
    huge = "1" + "0" * 400
    own = "".join(f"{key} = {huge}\n" for key in keys)
    path.write_text(f"[scale]\n{own}[tank]\nstock = [{huge}]\ntank_cm = [{huge}, 1, 1]\n")
    with pytest.raises(ScenarioError) as caught:
        load_scale(path)
    assert "tank.tank_cm" in [one.key for one in caught.value.problems]


# ---- control characters

ODD = "\x1b[31m\x07\x9b\u202e"


def odd_cell(cell: str) -> str:
    """A row of a tally with signs that move a cursor in one of its cells."""
    row = {"watch": "1", "row": "act", "chaser": f"{HOT} male 1", "chased": f"{MILD} male 1", "act": "bite"}
    row |= {"row": "place", "fish": f"{MILD} male 1", "minute": "1"} if cell == "place" else {}
    row |= {"row": "session", "watch": "2"} if cell == "minutes" else {}
    row[cell] = ODD
    return ",".join(row.get(name, "") for name in HEADER.split(","))


@pytest.mark.parametrize(
    "reading",
    [
        lambda: read(LISTED, stock_list_text=f"species,count\nmild{ODD},1\n"),
        lambda: read(LISTED, stock_list_text=f"species,count\nmild grazer,1{ODD}\n"),
        lambda: read(LISTED, stock_list_text=f"spec{ODD},count\n"),
        in_file('"k\\u001b[31m" = 1\n'),
        in_file('[parameters]\n"\\u001b[31m" = 1\n'),
        in_file('[species."\\u001b[31m"]\nlike = "hot grazer"\n'),
        in_file('[run]\nwatch = "x\\u001b[31m"\ntrials = "\\u001b[31m"\n'),
        *(
            lambda cell=cell: parse_tally(tally_text(odd_cell(cell)), tank(), name=f"{ODD}.csv")
            for cell in ("watch", "row", "minutes", "chaser", "act", "place")
        ),
    ],
)
def test_control_characters_are_spelled_out(reading: Callable[[], object]) -> None:
    with pytest.raises(ScenarioError) as caught:
        reading()
    shown_plainly(caught.value)


def shown_plainly(error: BaseException) -> None:
    text = str(error)
    assert text.replace("\n", "").isprintable()
    assert "\\x1b[31m" in text


def test_a_note_of_a_tally_is_kept_without_control_characters() -> None:
    text = tally_text().replace(session(1), f"{session(1)}lights{ODD} on")
    tally = parse_tally(text, tank(), name="watch.csv")
    assert tally.watches[0].note == "lights\\x1b[31m\\x07\\x9b\\u202e on"


def test_a_file_whose_name_has_control_characters(tmp_path: Path) -> None:
    path = tmp_path / "a\x1b[31m.toml"
    path.write_text("[scale]\n")
    with pytest.raises(ScenarioError) as caught:
        load_scale(path)
    shown_plainly(caught.value)


def test_control_characters_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["run", "a\x1b[31m.toml"], ["run", "mild-alone", "--out", "\x1b[31m"], ["\x1b[31m"]):
        with pytest.raises(SystemExit) as caught:
            read_line(words)
        assert caught.value.code == 2
        said = capsys.readouterr().err
        assert said.rstrip("\n").isprintable()
        assert "\\x1b[31m" in said


# ---- where a key belongs


@pytest.mark.parametrize("key", ["title", "question", "stock_list"])
@pytest.mark.parametrize("table", ["[tank]", "[[stock]]", "[run]", "[[alternative]]\nname = 'a'"])
def test_a_key_that_belongs_above_the_first_table(key: str, table: str) -> None:
    head, last = table.split("\n")[0], table.split("\n")[-1]
    text = TANK + STOCK if head in ("[tank]", "[[stock]]") else TANK + STOCK + table + "\n"
    after = last if last != "[run]" else head
    found = problem(text.replace(f"{after}\n", f'{after}\n{key} = "x"\n', 1))
    assert found.nearest == f"{key} above the first [table] of the file"
