"""Tallies as spreadsheets write them, and everything that is refused, with its place."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from rockshy.analysis.questions.watching.ethogram import ACTS, EVERY_PLACE
from rockshy.analysis.questions.watching.reading import load_tally, parse_tally
from rockshy.analysis.questions.watching.sheet import blank_text, sheet_of
from rockshy.analysis.questions.watching.tally import Tally
from rockshy.sim.scenario.reading import ScenarioError
from watched_tanks import HEADER, HOT, MILD, TANK, act, place, session, tally_text, tank

FULL = tally_text(
    act(f"{HOT} male 1", f"{MILD} male 1", "chase", 3),
    act(f"{HOT} male 1", f"{MILD} females", "bite", 2),
    act(f"{MILD} male 1", f"{MILD} female 2", "lateral display"),
    place(f"{MILD} male 1", "0.5", "left corner"),
    place(f"{MILD} females", "0.5", "out", 1),
)


def read(text: str) -> Tally:
    return parse_tally(text, tank(), name="watch.csv")


def refusal(text: str) -> str:
    with pytest.raises(ScenarioError) as refused:
        read(text)
    return str(refused.value)


def test_a_tally_is_read() -> None:
    tally = read(FULL)
    (watch,) = tally.watches
    assert (watch.name, watch.minutes, watch.watched, watch.date) == ("1", 10.0, None, "2025-03-01")
    assert [(one.act, one.chaser.name, one.chased.name, one.count) for one in tally.acts] == [
        ("chase", f"{HOT} male 1", f"{MILD} male 1", 3),
        ("bite", f"{HOT} male 1", f"{MILD} females", 2),
        ("lateral display", f"{MILD} male 1", f"{MILD} female 2", 1),
    ]
    assert [(one.minute, one.fish.name, one.place, one.side, one.count) for one in tally.looks] == [
        (0.5, f"{MILD} male 1", "corner", "left", 1),
        (0.5, f"{MILD} females", "out", "", 1),
    ]
    assert tally.count("chase") == 3


def test_the_blank_filled_in_comes_back() -> None:
    text = blank_text(sheet_of(tank(), minutes=8))
    empty = read(text)
    assert [watch.minutes for watch in empty.watches] == [8.0] and empty.acts == empty.looks == ()
    lines = text.split("\n")
    acts = [k for k, line in enumerate(lines) if line.startswith("1,act,")]
    places = [k for k, line in enumerate(lines) if line.startswith(f"1,place,,,,,,,,,{MILD} male 1,")]
    lines[acts[0]] = act(f"{HOT} male 1", f"{MILD} male 1", "chase", 4)
    lines[acts[1]] = act(f"{HOT} male 1", "?", "chase")
    for k in places:
        lines[k] = lines[k].rstrip(",") + ",lC,"
    tally = read("\n".join(lines))
    assert tally.count("chase") == 5
    assert tally.acts[1].chased.labels == frozenset(
        f"{MILD} {one}" for one in ("male 1", "female 1", "female 2")
    ) | {f"{HOT} male 1"}
    assert [one.minute for one in tally.looks] == list(range(1, 9))
    assert {(one.place, one.side) for one in tally.looks} == {("corner", "left")}


def test_the_blank_explains_itself_and_survives_a_title_of_several_lines() -> None:
    text = blank_text(sheet_of(tank(TANK.replace("tank 3", "tank\\n1,act,x"))))
    comments, header, *_ = text.partition("watch,row")
    assert all(line.startswith("#") for line in comments.strip().split("\n"))
    for word in [*(one.name for one in ACTS), *(one.name for one in EVERY_PLACE), "session", "act", "place"]:
        assert word in comments
    assert header


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace(",", ";"),
        lambda text: text.replace(",", "\t"),
        lambda text: "sep=;\n" + text.replace(",", ";").replace(";0.5;", ";0,5;").replace(";10;", ";10,0;"),
        lambda text: "\ufeff" + text,
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace("\n", "\r"),
        lambda text: text + "\n\n,,,,,,,,,,,,,\n;\n".replace(";", ""),
        lambda text: text.upper(),
        lambda text: text.replace("0.5", "0:30"),
        lambda text: text.replace("0.5", "00:30"),
        lambda text: text.replace("left corner", "lC").replace(",3,", ",3.0,"),
        lambda text: text.replace("left corner", "Corner / left"),
        lambda text: "\n".join(
            ",".join(f'"{cell}"' for cell in line.split(",")) for line in text.split("\n")
        ),
        lambda text: '"# a comment, with a comma",,,,\n# another;;;;\n\n' + text,
        lambda text: text.replace(MILD, "duboisi").replace(HOT, "P. trewavasae"),
        lambda text: text.replace(",session,", ",Watch,").replace(",bite,", ",nips,"),
        lambda text: text.replace("chaser,chased", "From,To").replace("minute,place", "time,where"),
    ],
)
def test_the_same_tally_however_it_was_saved(change) -> None:
    told, plain = read(change(FULL)), read(FULL)
    assert told.acts == plain.acts
    assert told.looks == plain.looks
    assert [watch.minutes for watch in told.watches] == [10.0]


def test_other_encodings_are_read(tmp_path: Path) -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        path = tmp_path / f"{encoding}.csv"
        path.write_bytes(FULL.replace("2025-03-01", "1. März").encode(encoding))
        assert load_tally(path, tank()).watches[0].date == "1. März"


def test_without_a_column_for_the_watch_there_is_one() -> None:
    header = HEADER.removeprefix("watch,")
    rows = [line.removeprefix("1,") for line in (session(1), act(f"{HOT} male 1", f"{MILD} male 1"))]
    tally = read("\n".join([header, *rows]))
    assert [watch.name for watch in tally.watches] == ["1"]
    assert tally.count("chase") == 1


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (
            act("Tropheus dubiosi male 1", f"{MILD} male 1"),
            'line 3, column 7 "chaser" is "Tropheus dubiosi',
        ),
        (act("Tropheus dubiosi", f"{MILD} male 1"), f"Did you mean {MILD}"),
        (act(f"{HOT} male 2", f"{MILD} male 1"), f"use a fish of {HOT} in this tank"),
        (act("", f"{MILD} male 1"), 'column 7 "chaser" is missing'),
        (act(f"{HOT} male 1", f"{HOT} male 1"), "a fish other than the chaser"),
        (act(f"{HOT} male 1", f"{MILD} male 1", "chsae"), 'column 9 "act" is "chsae"; use approach'),
        (act(f"{HOT} male 1", f"{MILD} male 1", "chsae"), "Did you mean chase"),
        (act(f"{HOT} male 1", f"{MILD} male 1", "quiver"), "use approach, lateral display"),
        (act(f"{HOT} male 1", f"{MILD} male 1", "chase", "many"), 'column 10 "count" is "many"'),
        (act(f"{HOT} male 1", f"{MILD} male 1", "chase", "-1"), "a whole number"),
        (act(f"{HOT} male 1", f"{MILD} male 1", "chase", "1.5"), "a whole number from 0 to 999"),
        (act(f"{HOT} male 1", f"{MILD} male 1", watch=2), "a watch with a session row: 1"),
        (place(f"{MILD} male 1", "0.5", "left middle"), 'column 13 "place" is "left middle"'),
        (place(f"{MILD} male 1", "0.5", "r"), "such as left rock or lR"),
        (place(f"{MILD} male 1", "0.5", "shelfer"), "Did you mean shelter"),
        (place(f"{MILD} male 1", "", "shelter"), 'column 12 "minute" is missing'),
        (place(f"{MILD} male 1", "02:30:00", "shelter"), "Did you mean 2:30"),
        (place(f"{MILD} male 1", "11", "shelter"), "use 0 to 10, the minutes of watch 1"),
        (place(f"{MILD} females", "1", "out"), "how many of the 2 Tropheus duboisi females were there"),
        (place(f"{MILD} females", "1", "out", 3), "at most 2"),
        ("1,sesion,,,10,,,,,,,,,", "Did you mean session"),
        ("1,,,,,,Tropheus duboisi male 1,,,,,,,", "Did you mean act"),
        (session(1), "there is one already"),
        (session(2, minutes=""), 'column 5 "minutes" is missing'),
        (session(2, minutes="900"), "a number from 1 to 120"),
        (session(2, watched="Tropheus moorii"), 'column 6 "watched"'),
        (act(f"{HOT} male 1", f"{MILD} male 1") + ",,5", "semicolons between cells if decimals have commas"),
    ],
)
def test_what_is_wrong_is_named_with_its_place(row: str, said: str) -> None:
    told = refusal(tally_text(row))
    assert said in told
    assert told.startswith("watch.csv: 1 problem\n"), told
    assert "line 3" in told


def test_the_same_fish_twice_at_one_moment_is_refused() -> None:
    once = place(f"{MILD} male 1", 1, "shelter")
    assert "2 times in watch 1 at minute 1" in refusal(tally_text(once, once))


def test_acts_of_others_are_refused_in_a_watch_of_one_fish() -> None:
    rows = [session(2, watched=f"{MILD} male 1"), act(f"{HOT} male 1", f"{MILD} female 1", watch=2)]
    told = refusal(tally_text(*rows))
    assert "line 4" in told
    assert f"acts that {MILD} male 1 gives or gets" in told
    rows[1] = act(f"{HOT} male 1", f"{MILD} male 1", watch=2)
    assert read(tally_text(*rows)).watches[1].watched is not None


def test_every_problem_is_told_at_once() -> None:
    text = tally_text(
        act("nobody", "somebody", "hug", "x"), place("nobody", "soon", "somewhere"), "9,,,,,,,,,,,,x,"
    )
    told = refusal(text)
    assert told.startswith("watch.csv: 8 problems")
    assert told.count("line 3") == 4
    assert told.count("line 4") == 3
    assert told.count("line 5") == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the file is empty"),
        ("what a nice day\n", "a header line with the columns watch, row"),
        (HEADER + "\n", "rows: there are none"),
        (HEADER + "\n" + act(f"{HOT} male 1", f"{MILD} male 1"), "no session row"),
        (FULL.replace("chaser,", "chazer,"), "Did you mean chaser"),
        (FULL.replace("note", "act"), "already is"),
        ("watch,row,minutes,chaser,chased\n", "no column act"),
        (FULL + '1,act,,,,,"x', "a closing quotation mark for every opening one"),
        ("\0" + FULL, "it is not text"),
        (FULL + "1,act\n" * 20_001, "use at most 20000"),
    ],
)
def test_a_file_that_is_no_tally_is_refused(text: str, said: str) -> None:
    assert said in refusal(text)


def test_a_file_that_is_not_there_is_refused_with_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "watch.csv").write_text(FULL, encoding="utf-8")
    with pytest.raises(ScenarioError, match="Did you mean watch.csv"):
        load_tally(tmp_path / "wacth.csv", tank())
    with pytest.raises(ScenarioError, match="a folder"):
        load_tally(tmp_path, tank())
    with pytest.raises(ScenarioError, match="does not exist; use "):
        load_tally("\0", tank())


def noted_session(watch: int, noted: str, light: str = "", start: str = "18:00") -> str:
    return f"{watch},session,2025-03-01,{start},10,,,,,,,,,,{noted},{light}"


def test_places_alone_and_acts_alone_in_a_watch() -> None:
    header = f"{HEADER},noted,light"
    seen = read("\n".join([header, noted_session(1, "looks", "9:00"), noted_session(2, "chases", "9.30 am")]))
    assert [(one.acts, one.places, one.hour) for one in seen.watches] == [
        (False, True, 9),
        (True, False, 8.5),
    ]
    assert [one.name for one in seen.of_acts] == ["2"]
    both = read("\n".join([header, noted_session(1, "")])).watches[0]
    assert (both.acts, both.places, both.hour) == (True, True, None)


@pytest.mark.parametrize(
    ("noted", "row", "told"),
    [
        ("places", act(f"{HOT} male 1", MILD), "none in watch 1, for which only places were noted"),
        ("acts", place(f"{MILD} male 1", 1, "lC"), "none in watch 1, for which only acts were noted"),
        ("placs", "", "Did you mean places"),
    ],
)
def test_what_was_not_noted_cannot_stand_there(noted: str, row: str, told: str) -> None:
    with pytest.raises(ScenarioError, match=re.escape(told)):
        read("\n".join([f"{HEADER},noted,light", noted_session(1, noted), row]))


def test_light_needs_the_hour_of_the_watch() -> None:
    with pytest.raises(ScenarioError, match="a time of day such as 9:30"):
        read("\n".join([f"{HEADER},noted,light", noted_session(1, "", "9:00", start="evening")]))


def test_a_blank_of_another_tank_is_refused() -> None:
    other = replace(tank(), tank=replace(tank().tank, length_cm=120.0))
    with pytest.raises(ScenarioError, match="a tally of this tank: Tropheus duboisi: 1 male, 2 female"):
        read(blank_text(sheet_of(other)))
