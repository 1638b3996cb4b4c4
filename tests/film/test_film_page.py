"""The page of a film and the command that writes it: one file, small, nothing but text out of names."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import film_examples
import pytest
from film_examples import NASTY, nasty, recorded, told
from rockshy.analysis.commands import main
from rockshy.analysis.film import clip
from rockshy.analysis.film.coding import packed_way, units_of, ways_of
from rockshy.analysis.film.data import film_data
from rockshy.analysis.film.page import film_page, in_script

TANK = """title = "A tank"
question = "Who?"
[tank]
length = "60 cm"
front_to_back = "40 cm"
height = "40 cm"
[rock]
cover = "30 %"
height = "20 cm"
[[stock]]
species = "Tropheus duboisi"
males = 1
females = 2
[[stock]]
species = "Petrochromis trewavasae"
males = 1
females = 1
[run]
days = 0.4
settle = 0.1
trials = 3
controls = false
[[alternative]]
name = "no threadfins"
remove = [{ species = "Petrochromis trewavasae" }]
"""


class _Parts(HTMLParser):
    """Tags and attributes of a page, and the text of its scripts and styles."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.code: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        if self.cdata_elem:  # script or style
            self.code.append(data)


def test_the_page_is_one_file_that_asks_nobody_for_anything() -> None:
    page = film_page(film_examples.film())
    parts = _Parts(page)
    policy = next(value for name, value in parts.attributes if name == "content" and "default-src" in value)
    assert "default-src 'none'" in policy and "unsafe" not in policy and "http" not in policy
    assert not [value for name, value in parts.attributes if name in ("src", "href", "action", "srcset")]
    assert not [name for name, _ in parts.attributes if name.startswith("on") or name == "style"]
    code = "".join(parts.code)
    assert not re.search(r"https?:|\bfetch\(|XMLHttpRequest|import\(|url\(|innerHTML|eval\(", code)
    assert parts.tags.count("script") == 2


def test_scripts_and_style_are_those_that_the_page_allows() -> None:
    page = film_page(film_examples.film())
    for tag, pattern in (("script", r"<script>(.*?)</script>"), ("style", r"<style>(.*?)</style>")):
        (text,) = re.findall(pattern, page, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in page


def test_names_are_data_and_never_markup() -> None:
    one = nasty()
    made = film_data(
        [('</script><script>alert("x")</script>', one)],
        told(one, title="<img src=x onerror=y>\u2028'\"", question="&amp; <i>", why=("<b>why</b>",)),
    )
    page = film_page(made)
    parts = _Parts(page)
    assert parts.tags.count("script") == 2 and not {"img", "i"} & set(parts.tags)
    assert parts.tags.count("b") == 0
    data = next(text for text in parts.code if text.startswith('{"format"'))
    assert not set("<>&\u2028\u2029") & set(data)
    back = json.loads(data)
    assert back["tanks"][0]["fish"][0]["label"] == f"{NASTY} male 1"
    assert back["title"] == "<img src=x onerror=y>\u2028'\"" and back == json.loads(json.dumps(made))


def test_json_in_a_script_cannot_end_it() -> None:
    text = in_script({"a": "</script><!--\u2028&"})
    assert "<" not in text and "&" not in text and json.loads(text) == {"a": "</script><!--\u2028&"}


def test_an_hour_of_thirty_fish_stays_under_a_megabyte() -> None:
    """The tank of this test is small: what its fish leave is counted up to an hour of thirty."""
    film = film_examples.film()
    page = len(film_page(film).encode())
    grows = len(json.dumps([film["tanks"][0][part] for part in ("ways", "doings", "homes", "log")]))
    one, seconds = recorded(), film["seconds"]
    moves = len(one.moves) / len(one.label) / seconds
    assert moves > 0.1
    busiest = 1.2 / moves  # a fish that always swims makes about 1.2 moves a second
    assert page + grows * (3600 / seconds) * (30 / len(one.label)) * busiest < 1_000_000


def test_a_step_takes_about_two_bytes() -> None:
    one = recorded()
    ways = ways_of(one, units=units_of(one))
    steps = sum(len(way.time) for way in ways)
    assert sum(len(packed_way(way)) for way in ways) < 2.6 * steps + 200


# ---- the command


@pytest.fixture
def tank(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to be in that holds tank.toml alone."""
    (tmp_path / "tank.toml").write_text(TANK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def asked(*options: str) -> int:
    try:
        return main(["film", "tank.toml", *options])
    except SystemExit as ended:
        return int(ended.code or 0)


def test_the_command_writes_a_page_of_both_tanks(tank: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = ("--trial", "2", "--alternative", "no threadfins", "--minutes", "3", "--out", "a.html")
    assert asked(*both, "--follow", "duboisi female 2") == 0
    (text,) = re.findall(r'id="film-data">(.*?)</script>', (tank / "a.html").read_text("utf-8"), re.DOTALL)
    data = json.loads(text)
    assert [tank["name"] for tank in data["tanks"]] == ["the tank as it is", "no threadfins"]
    assert [len(tank["fish"]) for tank in data["tanks"]] == [5, 3]
    assert data["of"] == 3 and data["seconds"] == 180
    assert data["tanks"][0]["fish"][data["follow"]]["label"] == "Tropheus duboisi female 2"
    said = capsys.readouterr().out
    assert "a.html" in said and "simulated tank 2, day 1" in said


def test_without_a_trial_the_command_says_why_it_took_this_one(
    tank: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert asked("--minutes", "2", "--trials", "2", "--out", "a.html") == 0
    assert "typical one of 2 simulated tanks" in " ".join(capsys.readouterr().out.split())


_REFUSED = [
    (["--from", "07:15"], "--from is 07:15; use a time within the lit day, 08:00 to 18:00"),
    (["--from", "noon"], "a time of day such as 09:30"),
    (["--from", "17:50", "--minutes", "20"], "use at most 10"),
    (["--from", "16:00", "--day", "1"], "before the end of the run on day 1"),
    (["--minutes", "500"], "use 0.5 to 120"),
    (["--minutes", "0"], "use 0.5 to 120"),
    (["--speed", "fast"], "use 1 to 60"),
    (["--trial", "4"], "--trial is 4; use a whole number from 1 to 3"),
    (["--day", "0"], "use 1 to 730 days"),
    (["--day", "731"], "use 1 to 730 days"),
    (["--alternative", "no thredfins"], "use no threadfins. Did you mean no threadfins"),
    (["--follow", "duboisi male 9"], "--follow is"),
    (["--out", "nowhere/a.html"], "there is no folder"),
    (["--out", "a.htm"], "ends with .html"),
    (["--gif", "a.png"], "ends with .gif"),
    (["--mp4", "a.gif"], "ends with .mp4"),
]


@pytest.mark.parametrize(("options", "says"), _REFUSED)
def test_what_will_not_do_is_refused_and_nothing_is_written(
    options: list[str], says: str, tank: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert asked(*([] if "--trial" in options else ["--trial", "1"]), *options) == 2
    said = capsys.readouterr()
    assert says in said.err and "Traceback" not in said.err and not said.out
    assert [path.name for path in tank.iterdir()] == ["tank.toml"]


def test_an_mp4_without_ffmpeg_is_refused_before_anything_runs(
    tank: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(clip, "ffmpeg", lambda: None)
    monkeypatch.setattr("rockshy.analysis.film.making.make_film", lambda *_, **__: pytest.fail("it ran"))
    assert asked("--trial", "1", "--mp4", "a.mp4") == 2
    said = capsys.readouterr().err
    assert "--mp4: there is no ffmpeg" in said and "rockshy[video]" in said and "--gif" in said
    assert not (tank / "a.mp4").exists()


def test_an_alternative_of_a_file_without_any_is_refused(
    tank: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tank / "tank.toml").write_text(TANK.split("[[alternative]]")[0], encoding="utf-8")
    assert asked("--trial", "1", "--alternative", "x") == 2
    assert "has no [[alternative]]" in capsys.readouterr().err
