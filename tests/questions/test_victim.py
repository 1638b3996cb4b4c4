"""Whom questions are about: one rule for all, where the watched fish are the worst off and where not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import Capsys, Patch, answered, work_in
from fake_relief import TEXT, World, base
from fake_trials import HOT, MILD
from fake_work import made_up_everywhere
from page_tasks import done_by
from rockshy.analysis.document.plain import called
from rockshy.analysis.measures.row import BOTH
from rockshy.analysis.measures.victim import TANKS, WORST_OFF, victim_in
from rockshy.analysis.measures.whom import kinds_of
from rockshy.analysis.page.work.comparing import compare_copies
from rockshy.analysis.page.work.relieving import find_relief
from rockshy.analysis.page.work.sweeping import sweep_rock
from rockshy.analysis.page.work.trying import try_out
from rockshy.analysis.study.choosing import choose_victim
from rockshy.sim.fish.population import Individual
from rockshy.sim.run.trials import Job, table_of
from rockshy.sim.scenario.scenario import Scenario

TANK = TEXT.replace("[run]\n", f'[run]\nwatch = "{MILD}"\n') + (
    f'[[alternative]]\nname = "fewer"\nrecount = [{{ species = "{HOT}", males = 1 }}]\n'
)
LINES = (
    ("run", "--trials", "24"),
    ("compare", "--trials", "17"),
    ("compare", "--trials", "20", "--share-out"),
    ("relief",),
    ("rock",),
    ("why", "--trials", "16"),
    ("guesses",),
)


def watched_worst(_: Scenario, fish: Individual, __: int) -> float:
    return {MILD: 0.6 if fish.sex == "female" else 0.4, HOT: 0.2}[fish.species]


def hot_females_worst(_: Scenario, fish: Individual, __: int) -> float:
    return {MILD: 0.4, HOT: 0.6 if fish.sex == "female" else 0.2}[fish.species]


WORLDS = ((watched_worst, MILD, 3), (hot_females_worst, HOT, 2))


@pytest.fixture
def made_up(monkeypatch: Patch, tmp_path: Path) -> Path:
    """Nothing is simulated; what commands look up beside the answer is left out."""
    monkeypatch.setattr("rockshy.analysis.questions.why.behind.in_view", lambda *_, **__: None)
    monkeypatch.setattr("rockshy.analysis.report.making._pictures", lambda *_: [])
    return work_in(tmp_path, monkeypatch, mine=TANK)


@pytest.mark.parametrize("line", LINES, ids=" ".join)
@pytest.mark.parametrize(("loss", "species", "fish"), WORLDS)
def test_every_command_is_about_the_same_fish(
    made_up: Path, monkeypatch: Patch, capsys: Capsys, line: tuple[str, ...], loss, species: str, fish: int
) -> None:
    made_up_everywhere(monkeypatch, loss=loss)
    text = " ".join(answered(capsys, line[0], "mine.toml", *line[1:]).out.split())
    whom = called(species, species) if line == ("rock",) else called(f"{species} females", species, fish)
    other = HOT if species == MILD else MILD
    assert whom in text
    assert not re.search(rf"(?:for|helps|are|how) {re.escape(called(other, other))}", text)
    said = f"The file watches {called(MILD, MILD)}; they fare better."
    assert (said in text) == (species != MILD)


@pytest.mark.parametrize(("loss", "species", "fish"), WORLDS)
def test_report_and_page_are_about_the_same_fish(
    made_up: Path, monkeypatch: Patch, capsys: Capsys, loss, species: str, fish: int
) -> None:
    made_up_everywhere(monkeypatch, loss=loss)
    answered(capsys, "report", "mine.toml", "--no-film", "--trials", "24")
    page = Path("mine-report.html").read_text(encoding="utf-8")
    name, short = f"{species} females", called(f"{species} females", species, fish)
    assert f"{short} keep" in page and f"Short answer for {name} ({WORST_OFF})" in page
    headline = done_by(try_out, TANK).results[-1]["headline"][0]
    assert short in headline
    assert done_by(compare_copies, TANK).results[-1]["json"]["whose"] == name
    assert done_by(find_relief, TANK).results[-1]["json"]["for"]["name"] == name
    assert done_by(sweep_rock, TANK).results[-1]["species"] == species


def worse_later(_: Scenario, fish: Individual, trial: int) -> float:
    """The hot females lose most, but from the tank after the first on the mild ones more."""
    later = trial >= TANKS and fish.species == MILD
    return 0.9 if later else 0.6 if fish.species == HOT and fish.sex == "female" else 0.2


def test_the_first_tanks_decide_however_many_follow_and_a_run_says_who_lost_more_since(
    made_up: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    made_up_everywhere(monkeypatch, loss=worse_later)
    text = " ".join(answered(capsys, "run", "mine.toml", "--trials", "64").out.split())
    assert called(f"{HOT} females", HOT, 2) in text
    assert "Over all 64 simulated tanks" in text


@pytest.mark.parametrize("seed", range(4))
def test_rows_and_table_give_the_same_fish_at_any_place(seed: int) -> None:
    """In tanks of much luck, where kinds are hard to tell apart."""
    scenario, world = base(), World(loss=lambda *_: 0.4, shared=0.3, noise=0.0, seed=seed)
    jobs = [Job(0, trial, BOTH) for trial in range(32)]
    table = table_of(scenario, [one for _, one in world([scenario], jobs)])
    whom, done = choose_victim(scenario, world)
    assert len(done) == TANKS
    assert whom == choose_victim(scenario, world, place=5)[0] == victim_in(table, kinds_of(scenario))
