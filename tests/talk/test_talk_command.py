"""``rockshy talk``: what it refuses and writes. Tanks are made up, but for one look at where fish sat."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line import answered, assert_refused, contents, four_fish, stay_after_ctrl_c, work_in
from fake_compare import BASE, FEWER, LATER, NOTHING, simulated_as
from fake_talk import ARGUMENT, placed_json, spots
from fake_trials import HOT
from pypdf import PdfReader
from rockshy.analysis.asking.found import Found
from rockshy.analysis.commands import talk as talking
from rockshy.analysis.document.files import json_text
from rockshy.analysis.talk import slides
from rockshy.analysis.talk import spots as looking
from rockshy.sim.scenario.reading import parse

Ran = list[tuple[int, int]]
AT = BASE.index("[tank]")
ARGUED = BASE[:AT] + ARGUMENT + BASE[AT:]
GONE_LATE = f'[[alternative]]\nname = "one out"\nwhen = [{{ species = "{HOT}", fish = "male 1", out = 3 }}]\n'
QUICK = ("--no-film", "--no-why", "--no-rock", "--theme", "light")


@pytest.fixture
def ran(monkeypatch: pytest.MonkeyPatch) -> Ran:
    """Made-up outcomes and made-up seats; no tank is built to see whether its rock leaves water."""
    monkeypatch.setattr(talking, "check_water", lambda *_, **__: None)
    monkeypatch.setattr(looking, "spots_of", spots)
    return simulated_as(monkeypatch)


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return work_in(tmp_path, monkeypatch, club=ARGUED + FEWER + NOTHING, plain=BASE, late=BASE + GONE_LATE)


def draw_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on no slide and no handout is drawn."""
    monkeypatch.setattr("rockshy.analysis.pictures.talk_deck.deck_files", lambda *_, **__: iter(()))
    monkeypatch.setattr("rockshy.analysis.pictures.talk_handout.save_handout", lambda *_, **__: None)


def draw_few(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on decks have three slides."""
    make = slides.deck_of

    def few(*of: Any, **how: Any) -> slides.Deck:
        made = make(*of, **how)
        return replace(made, slides=made.slides[:3])

    monkeypatch.setattr(slides, "deck_of", few)


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "FILE"),
        (["club.toml"], "--out"),
        (["nothing.toml", "--out", "x"], "nothing.toml"),
        (["club.toml", "--out", "plain.toml"], "plain.toml is a file; use a folder, new or not"),
        (["club.toml", "--out", "plain.toml/x"], "plain.toml is a file"),
        (["club.toml", "--out", "x", "--theme", "grey"], '--theme is "grey"; use'),
        (["club.toml", "--out", "x", "--trials", "0"], "a whole number from 1"),
        (["club.toml", "--out", "x", "--days", "0.01"], "--days"),
        (
            ["late.toml", "--out", "x", "--days", "2"],
            'use more days, so that it goes on after day 3, when "one out"',
        ),
    ],
)
def test_what_cannot_be_done_is_refused_before_anything_runs(
    club: Path, ran: Ran, argv: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert_refused(capsys, "talk", *argv, said=said)
    assert not ran


def test_a_folder_that_cannot_be_written_is_refused(
    club: Path, ran: Ran, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("os.access", lambda *_: False)
    assert_refused(capsys, "talk", "club.toml", "--out", "x", said="cannot be written to")
    assert not ran


def test_the_pack_is_written_and_every_tank_run_once(
    club: Path, ran: Ran, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    draw_few(monkeypatch)
    told = answered(capsys, "talk", "club.toml", "--out", "my talk", *QUICK)
    assert len(ran) == len(set(ran)) + 20 == 60  # 20 tanks of three set-ups; two of them have as many fish
    folder = club / "my talk"
    names = {one.relative_to(folder).as_posix() for one in folder.rglob("*") if one.is_file()}
    for name in ("deck-light.pdf", "handout-a4.pdf", "handout-letter.pdf", "notes.md", "light/01-title.png"):
        assert name in names and (name in told.out or "/" in name)
    pictures = [name for name in names if name.endswith(".png")]
    assert len(pictures) == len([name for name in names if name.endswith(".svg")])
    assert len(PdfReader(folder / "deck-light.pdf").pages) == len(pictures) == 3
    notes = (folder / "notes.md").read_text(encoding="utf-8")
    for part in ("the reasons", "how much rock", "the film"):
        assert f"Not there, as you asked: {part}." in notes and part in told.err
    assert "rockshy talk club.toml --out 'my talk' --trials 20" in notes
    assert not any(name.startswith(".") or name.endswith(".tmp") for name in names)
    before = len(ran)
    draw_nothing(monkeypatch)
    answered(capsys, "talk", "club.toml", "--out", "my talk", *QUICK)
    assert len(ran) == before  # it goes on from what is there


def test_plans_of_a_result_folder_get_a_question_and_a_slide(
    club: Path, ran: Ran, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    draw_nothing(monkeypatch)
    (club / "room").mkdir()
    (club / "room" / "place.json").write_text(json_text(placed_json()), encoding="utf-8")
    answered(capsys, "talk", "club.toml", "--out", "x", *QUICK, "--plans", "room")
    notes = (club / "x" / "notes.md").read_text(encoding="utf-8")
    assert "Who is worst off in this fish room?" in notes
    assert "the curvifrons trio from Show tank to Bare tank" in notes and "--plans room" in notes


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            None,
            "nowhere: is no folder with place.json, best.json or life.json; use a folder that place --out",
        ),
        ("", "room: holds no place.json, best.json or life.json"),
        ("{", "place.json is not as Rockshy writes it now; make that folder again"),
        ('{"now": {"tanks": []}}', "place.json is not as Rockshy writes it now"),
        ("[" * 100_000, "place.json is not as Rockshy writes it now"),
    ],
)
def test_a_folder_without_plans_is_refused_before_anything_runs(
    club: Path, ran: Ran, capsys: pytest.CaptureFixture[str], text: str | None, said: str
) -> None:
    (club / "room").mkdir()
    if text:
        (club / "room" / "place.json").write_text(text, encoding="utf-8")
    folder = "nowhere" if text is None else "room"
    assert_refused(capsys, "talk", "club.toml", "--out", "x", "--plans", folder, said=said)
    assert not ran and not (club / "x").exists()


def test_rock_is_tried_in_twenty_tanks_an_amount_and_left_out_where_it_shows_nothing(
    club: Path, ran: Ran, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    draw_nothing(monkeypatch)
    told = answered(capsys, "talk", "plain.toml", "--out", "x", "--no-film", "--no-why")
    notes = (club / "x" / "notes.md").read_text(encoding="utf-8")
    assert len(ran) % 20 == 0 and len(ran) > 100
    said = (
        "Not how much rock: whatever the amount that was tried, they are pinned about as often."  # made up so
    )
    assert said in notes and said in told.err.replace("\n  ", " ")


def test_ctrl_c_makes_a_pack_of_what_was_done(
    club: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(talking, "check_water", lambda *_, **__: None)
    monkeypatch.setattr(looking, "spots_of", spots)
    simulated_as(monkeypatch, stop_after=11)
    draw_nothing(monkeypatch)
    left = stay_after_ctrl_c(monkeypatch)
    told = answered(capsys, "talk", "club.toml", "--out", "x", "--theme", "light", ends=130)
    assert left == [130]
    assert "the pack is of what was done so far" in told.err
    notes = (club / "x" / "notes.md").read_text(encoding="utf-8")
    assert "of 3 simulated tanks" in notes  # three whole trials of three set-ups, and two more tanks
    for part in ("the reasons", "how much rock", "the film"):
        assert f"since Ctrl-C came before it: {part}." in notes


def test_ctrl_c_before_anything_was_done_writes_no_slide(
    club: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(talking, "check_water", lambda *_, **__: None)
    simulated_as(monkeypatch, stop_after=0)
    stay_after_ctrl_c(monkeypatch)
    answered(capsys, "talk", "club.toml", "--out", "x", *QUICK, ends=130)
    assert not [name for name in contents(club) if name.endswith((".png", ".pdf", ".md"))]


def test_a_run_that_goes_on_past_the_change_is_allowed(club: Path) -> None:
    for text in (BASE.replace("days = 0.4", "days = 4") + GONE_LATE, BASE + LATER):
        talking._check_days(Found(parse(text, name="a"), "a", (), ""))


def test_where_fish_sat_is_of_that_very_trial() -> None:
    """The one look at the simulator: two trials, on two threads and one after another."""
    scenario = parse(four_fish(title="Tiny", days=0.2, settle=0.1, seed=5), name="tiny.toml")
    with ThreadPoolExecutor(2) as pool:
        found = sorted(looking.each_spots(scenario, [0, 1], executor=pool), key=lambda one: one.trial)
    assert found == sorted(looking.each_spots(scenario, [0, 1]), key=lambda one: one.trial)
    assert found[0].outline != found[1].outline and found[0].fish != found[1].fish
    for one in found:
        assert len(one.fish) == 4 and len(one.places) == len(one.shares) in (1, 3)
        assert all(0 < share <= 1 for share in one.shares)
        x, z = np.array(one.outline).T
        assert x[0] == 0 and x[-1] == 60 and z.max() <= 30
        for fish in one.fish:
            assert 0 <= fish.x_cm <= 60 and 0 <= fish.y_cm <= 30 and 0 <= fish.z_cm <= 30
