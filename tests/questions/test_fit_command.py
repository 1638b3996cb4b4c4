"""``rockshy fit`` and ``--fit``: what is written, what it changes, what is refused, where it goes on."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rockshy
from command_line import Capsys, Patch, answered, assert_refused
from rockshy.analysis.page.serving.answers import Desk
from rockshy.analysis.page.serving.first import read_draft
from rockshy.analysis.questions.fit.fitted import FITTED, with_fit
from rockshy.analysis.questions.watching.sheet import blank_text, sheet_of
from watched_tanks import HOT, MILD, TANK, act, place, session, tally_text

TANKS, AGAIN = 48, 8
FIT = ("fit", "tank.toml", "--tally", "watch.csv", "--trials", str(TANKS), "--out", "fitted")
ROWS = (
    *(place(f"{MILD} females", minute, "out", 1) for minute in (2, 5, 8)),
    *(place(f"{MILD} male 1", minute, "out", 0) for minute in (2, 5, 8)),
    *(place(f"{HOT} male 1", minute, "out", 1) for minute in (2, 5, 8)),
    act(f"{HOT} male 1", f"{MILD} females", "chase", 4),
    act(f"{HOT} male 1", f"{MILD} male 1", "chase", 2),
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: Patch) -> Path:
    """A folder with a tank and a tally of it; few tanks are enough, and few are simulated again."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tank.toml").write_text(TANK, encoding="utf-8")
    (tmp_path / "watch.csv").write_text(tally_text(*ROWS), encoding="utf-8")
    monkeypatch.setattr("rockshy.analysis.questions.fit.design.FEWEST", TANKS)
    monkeypatch.setattr("rockshy.analysis.questions.fit.answer._FEW", 20)
    for module in ("design", "answer", "words"):
        monkeypatch.setattr(f"rockshy.analysis.questions.fit.{module}.ADAPTED", AGAIN)
    return tmp_path


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Where the folder of the first fit is kept, and what was said."""
    return {"kept": tmp_path_factory.mktemp("once") / "fitted"}


@pytest.fixture
def fitted(here: Path, capsys: Capsys, once: dict[str, Any]) -> Any:
    """What the command said; its folder is there. It is run once, and every test has a copy."""
    if "said" not in once:
        once["said"] = answered(capsys, *FIT)
        shutil.copytree("fitted", once["kept"])
    else:
        shutil.copytree(once["kept"], "fitted")
    return once["said"]


def never(monkeypatch: Patch) -> None:
    def again(*_: object, **__: object) -> None:
        raise AssertionError("a finished tank was simulated again")

    monkeypatch.setattr("rockshy.analysis.questions.fit.tanks.watched_trial", again)


def table() -> dict[str, list[float]]:
    return json.loads(Path("fitted", FITTED).read_text(encoding="utf-8"))["draws"]


def test_verdict_first_then_what_it_was_and_is(fitted: Any) -> None:
    top = fitted.out.split("\n\n")[1].split("\n")
    assert len(top) <= 8
    assert top[0] == "Your fish fit the model."
    assert "watch.csv: 1 watch, 10 minutes." in top[1]
    assert any(line.strip().startswith("Left of the width before your tally: lost ") for line in top)
    assert "The fit was checked for the tank as it is" in top[-1]
    for said in (
        "before",
        "with your tally",
        "What more watches would bring",
        "from the rest",
    ):
        assert said in fitted.out
    assert f"{TANKS} simulated tanks" in fitted.err and "That takes" in fitted.err
    assert "rockshy run tank.toml --fit fitted" in fitted.err
    assert max(map(len, fitted.out.split("\n"))) <= 100


def test_draws_are_written_within_their_ranges_and_moved(fitted: Any) -> None:
    draws = table()
    assert {len(values) for values in draws.values()} == {AGAIN}
    simulate = rockshy.Simulator("tank.toml", "watch.csv")
    assert list(draws) == list(simulate.inputs)
    for name, (low, high, _) in simulate.inputs.items():
        assert low <= min(draws[name]) <= max(draws[name]) <= high
    assert {one.name for one in Path("fitted").iterdir()} >= {FITTED, "fit.json", "fit.csv", "work.sqlite"}
    with Path("fitted", "fit.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert {row["group"] for row in rows} >= {f"{MILD} females", f"{MILD} male"}
    for row in rows:
        assert float(row["after_low"]) <= float(row["after_middle"]) <= float(row["after_high"])


def test_the_same_command_goes_on_and_says_the_same(fitted: Any, capsys: Capsys, monkeypatch: Patch) -> None:
    before = Path("fitted", FITTED).read_bytes()
    never(monkeypatch)
    assert answered(capsys, *FIT).out == fitted.out
    assert Path("fitted", FITTED).read_bytes() == before


def test_from_python_it_is_the_same_answer(fitted: Any, here: Path) -> None:
    found = rockshy.fit("tank.toml", "watch.csv", trials=TANKS, folder="fitted")
    told = json.loads(found.to_json())
    assert told == json.loads(Path("fitted", "fit.json").read_text(encoding="utf-8")) | {"options": []}
    assert found.question == "fit" and found.is_whole
    assert list(found.to_frame()["group"]) == [one["group"] for one in told["levels"]]


def test_another_tally_uses_the_tanks_that_are_there(fitted: Any, here: Path, capsys: Capsys) -> None:
    before = table()
    more = tally_text(*ROWS, session(2), act(f"{HOT} male 1", f"{MILD} females", "chase", 3, watch=2))
    (here / "watch.csv").write_text(more, encoding="utf-8")
    said = answered(capsys, *FIT)
    assert f"holds {TANKS + AGAIN} finished simulated tanks" in said.err
    assert f"{TANKS} of {TANKS} simulated tanks" not in said.err
    assert f"{AGAIN} of {AGAIN} simulated tanks" in said.err
    assert table() != before


def test_a_run_takes_its_draws_and_says_what_was_not_checked(fitted: Any, capsys: Capsys) -> None:
    said = answered(capsys, "run", "tank.toml", "--trials", "4", "--fit", "fitted", "--out", "run")
    (line,) = [one for one in said.err.split("\n") if "narrowed by the tally" in one]
    assert "The fit was checked for the tank as it is; for a changed tank it promises nothing." in line
    assert "--fit fitted" in said.out  # to look at one of the same tanks
    with Path("run", "draws.csv").open(encoding="utf-8") as file:
        used = [row for row in csv.DictReader(file) if row["name"] == "attack_rate_s"]
    assert [float(row["value"]) for row in used] == table()["attack_rate_s"][:4]
    assert_refused(capsys, "run", "tank.toml", "--trials", "4", "--out", "run", said="the fit differs")


def test_every_alternative_runs_under_the_same_draws(fitted: Any, here: Path) -> None:
    more = '[[alternative]]\nname = "more rock"\nrock = { cover = "60 %" }\n'
    (here / "tank.toml").write_text(f"{TANK}\n{more}", encoding="utf-8")
    found = with_fit(rockshy.load("tank.toml"), "fitted")
    (other,) = found.alternatives
    assert found.given is not None and other.scenario.given == found.given
    np.testing.assert_array_equal(np.array(found.given.rows).T, np.array(list(table().values())))


def test_a_fit_of_another_tank_or_a_damaged_one_is_refused(fitted: Any, here: Path, capsys: Capsys) -> None:
    (here / "long.toml").write_text(TANK.replace("length = 80", "length = 100"), encoding="utf-8")
    (here / "rock.toml").write_text(TANK.replace("30 %", "40 %"), encoding="utf-8")
    run = ("--fit", "fitted")
    assert_refused(capsys, "run", "long.toml", *run, said="use a fit of this tank")
    assert_refused(capsys, "run", "rock.toml", *run, said="with other rock, rules or numbers")
    assert_refused(capsys, "run", "tank.toml", "--fixed", *run, said="does not go with --fixed")
    assert_refused(capsys, "run", "tank.toml", "--fit", "nowhere", said="use the folder that rockshy fit")
    assert_refused(capsys, *FIT, *run, said="--fit does not go with rockshy fit")
    assert_refused(capsys, "guesses", "tank.toml", *run, said="--fit")
    file = Path("fitted", FITTED)
    told = json.loads(file.read_text(encoding="utf-8"))
    told["draws"]["attack_rate_s"][0] = 99.0
    file.write_text(json.dumps(told), encoding="utf-8")
    assert_refused(capsys, "run", "tank.toml", *run, said="attack_rate_s is 99.0; use a number from")
    file.write_text(json.dumps({**told, "draws": {}}), encoding="utf-8")
    assert_refused(capsys, "run", "tank.toml", *run, said="damaged: draws has other names")


def test_a_tally_that_cannot_be_is_told_and_nothing_is_narrowed(
    fitted: Any, here: Path, capsys: Capsys
) -> None:
    odd = [act(f"{MILD} male 1", f"{HOT} male 1", "chase", 90), place(f"{HOT} male 1", 1, "not seen")]
    (here / "watch.csv").write_text(tally_text(*odd), encoding="utf-8")
    said = answered(capsys, *FIT)
    assert "Your fish hardly behave like the model's, so nothing was narrowed." in said.out
    assert "Four in a hundred good tallies lie as far out." in " ".join(said.out.split())
    assert f"{MILD} male: chasing, much more than in the model" in said.out
    assert "with your tally" not in said.out
    assert not Path("fitted", FITTED).exists()  # that of the tally before would be taken for this one's


def test_what_cannot_be_fitted_is_refused(here: Path, capsys: Capsys, monkeypatch: Patch) -> None:
    assert_refused(capsys, *FIT[:4], "--trials", "20", said=f"use at least {TANKS}")
    other = blank_text(sheet_of(rockshy.load("mild-with-hot")))
    (here / "watch.csv").write_text(other, encoding="utf-8")
    assert_refused(capsys, *FIT, said="a tally of this tank")
    header = "watch,row,date,start,minutes,watched,chaser,chased,act,count,fish,minute,place,note,noted"
    lines = [header, "1,session,,,10,,,,,,,,,,places"]
    (here / "watch.csv").write_text("\n".join(lines), encoding="utf-8")
    assert_refused(capsys, *FIT, said="neither a look nor a chase")
    (here / "watch.csv").write_text(tally_text(*ROWS).replace(",10,", ",100,", 1), encoding="utf-8")
    said = answered(capsys, *FIT, ends=2)
    assert "a watch of 100 minutes is longer" in said.err


def test_the_page_tries_a_tank_under_the_same_draws(fitted: Any) -> None:
    given = with_fit(rockshy.load("tank.toml"), "fitted").given
    draft = read_draft(Path("tank.toml"))
    assert draft is not None and given is not None
    assert Desk(draft, given=given).scenario_of(draft).given == given
    assert Desk(draft).scenario_of(draft).given is None
