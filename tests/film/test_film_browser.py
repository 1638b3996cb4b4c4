"""The player of a film in a real headless Chromium: it plays, follows, keeps two tanks in step."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import film_examples
import numpy as np
import pytest
from film_examples import MILD, NASTY, nasty, recorded, told, two_kinds
from page_on_screen import browser, needs_chromium
from rockshy.analysis.film.coding import doings_of, units_of, ways_of
from rockshy.analysis.film.data import film_data
from rockshy.analysis.film.page import film_page
from rockshy.analysis.film.place import place_at, track_of
from rockshy.analysis.film.recording import record
from rockshy.analysis.film.scene import scene_of

__all__ = ["browser"]  # a fixture
pytestmark = needs_chromium
FIRST = f"{MILD} female 1"


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder, other = tmp_path_factory.mktemp("film"), record(two_kinds(), trial=2, start=120, ticks=240)
    title = f"<script>window.hit=1</script>{NASTY}"
    question = f'"><img src=x onerror="window.hit=2">{NASTY}'
    made = {
        "one": film_examples.film(),
        "two": film_data([("the tank as it is", recorded()), ("another tank", other)], told(recorded())),
        "nasty": film_data([(NASTY, nasty())], told(nasty(), title=title, question=question, why=(NASTY,))),
    }
    paths = {name: folder / f"{name}.html" for name in made}
    for name, film in made.items():
        paths[name].write_text(film_page(film), encoding="utf-8")
    return paths


class Open:
    """A page of a film with everything that went wrong on it."""

    def __init__(self, browser: Any, path: Path, **context: Any) -> None:
        settings = {"viewport": {"width": 1000, "height": 640}, "reduced_motion": "reduce", **context}
        self.context = browser.new_context(**settings)
        self.page = self.context.new_page()
        self.asked: list[str] = []
        self.faults: list[str] = []
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("console", lambda said: self.faults.append(said.text) if said.type != "log" else None)
        self.page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        self.page.goto(path.as_uri())

    def __enter__(self) -> Open:
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()

    def do(self, script: str, given: Any = None) -> Any:
        return self.page.evaluate(script, given)

    def state(self) -> dict[str, Any]:
        return dict(self.do("film.state()"))

    def text(self, place: str) -> str:
        return str(self.page.locator(place).first.text_content())


@pytest.fixture
def one(browser: Any, files: dict[str, Path]) -> Iterator[Open]:
    with Open(browser, files["one"]) as page:
        yield page
        assert page.faults == []
        assert [url for url in page.asked if not url.startswith("file:")] == [] and len(page.asked) == 1


def first_chase(after: float = 0.0) -> tuple[str, float]:
    """The fish that is chased first after a time, and when."""
    tank = film_examples.film()["tanks"][0]
    row = next(row for row in tank["log"] if row[1] == 0 and row[0] > after)
    return tank["fish"][row[3]]["label"], row[0]


def test_it_starts_paused_for_who_wants_less_motion_and_plays_for_others(
    browser: Any, files: dict[str, Path], one: Open
) -> None:
    assert not one.state()["isPlaying"] and one.text("#play") == "Play"
    with Open(browser, files["one"], reduced_motion="no-preference") as other:
        other.page.wait_for_function("() => film.state().now > 0.2")
        assert other.state()["isPlaying"] and other.text("#play") == "Pause"


def test_it_plays_pauses_and_scrubs(one: Open) -> None:
    one.page.click("#play")
    one.page.wait_for_function("() => film.state().now > 0.5 && film.frames > 2")
    one.page.click("#play")
    stopped = one.state()
    assert not stopped["isPlaying"] and stopped["frames"] > 2
    one.page.wait_for_timeout(80)
    assert one.state()["now"] == stopped["now"]
    one.page.locator("#scrub").fill("200")
    assert one.state()["now"] == 200 and one.text("#clock") == "08:05:20"
    one.page.click("#on")
    assert one.state()["now"] == 201
    one.page.click("#back")
    assert one.state()["now"] == 200
    one.do("film.play(true); film.seek(239.9); for (let k = 0; k < 20; k++) film.tick(100)")
    assert one.state()["now"] == 240 and not one.state()["isPlaying"]
    one.page.click("#play")
    assert one.state()["now"] < 5


def test_the_clock_follows_the_speed(one: Open) -> None:
    one.do("document.getElementById('slow').checked = false; film.seek(0); film.setSpeed(20)")
    one.do("for (let k = 0; k < 50; k++) film.tick(20)")
    assert one.state()["now"] == pytest.approx(20)
    one.page.click("#slower")
    assert one.state()["speed"] == 10 and one.text("#speed") == "10 times as fast"
    one.page.click("#faster")
    one.page.click("#faster")
    assert one.state()["speed"] == 40


def test_it_slows_down_when_the_followed_fish_is_chased(one: Open) -> None:
    one.do("([label, at]) => { film.follow(label); film.seek(at) }", first_chase())
    assert one.do("film.speedNow()") == 2
    one.page.uncheck("#slow")
    assert one.do("film.speedNow()") == 10


def test_fish_are_where_python_says(one: Open) -> None:
    """Way, doings and place in JavaScript are those of Python, at many moments."""
    taken = recorded()
    units, cell = units_of(taken), np.array([80.0, 40.0, 40.0]) / taken.tank.shape
    mouths = [tuple(place / cell) for place in scene_of(taken).mouths]
    tracks, doings = [track_of(way) for way in ways_of(taken, units=units)], doings_of(taken)
    times = [0.0, 0.31, 17.77, 59.99, 60.01, 100.5, 150.21, 201.3, 239.5]
    for back in (0, 1):  # into a hole, and out of one
        steps = [(way, k) for way in ways_of(taken, units=units) for k in range(1, len(way.time))]
        at_holes = [way.time[k] for way, k in steps if way.hole[k - back] >= 0]
        times += [float(time) / units + 0.2 for time in at_holes[:8]]
    seen = one.do("(times) => times.map((t) => { film.seek(t); return film.state().tanks[0] })", times)
    hidden = 0
    for now, fish in zip(times, seen, strict=True):
        for i, told_of in enumerate(fish):
            assert told_of["here"] == bool(taken.present[int(now), i])
            if not told_of["here"]:
                continue
            place = place_at(tracks[i], now * units, units=units, tick_s=1.0, holes=mouths, i=i)
            assert told_of["at"] == pytest.approx(np.array(place) * cell, abs=0.06)
            entry = int(np.searchsorted(doings[i].tick, int(now), side="right")) - 1
            assert told_of["doing"] == doings[i].doing[entry]
            hidden += told_of["hole"] >= 0
    assert hidden > 3


def test_lines_of_sight_are_those_of_the_model(one: Open) -> None:
    tank, rng = recorded().tank, np.random.default_rng(5)
    pairs = rng.integers(len(tank.xyz), size=(1500, 2))
    given = [[tank.xyz[a].tolist(), tank.xyz[b].tolist()] for a, b in pairs]
    sees = "film.views[0].sight.sees"
    script = f"(rows) => rows.map(([a, b]) => {sees}({{cell: a, hole: -1}}, {{cell: b, hole: -1}}))"
    bits = np.unpackbits(tank.sight, axis=1, bitorder="little")
    wanted = [bool(bits[a, b]) for a, b in pairs]
    assert one.do(script, given) == wanted and 100 < sum(wanted) < 1400
    holes = [int(k) for k in np.flatnonzero(~tank.refuge_corner)][:8]
    into = np.unpackbits(tank.looks_in, axis=1, bitorder="little")
    cells = [(k, b) for k in holes for b in pairs[:100, 1]]
    inside = [[tank.xyz[tank.refuge_cell[k]].tolist(), k, tank.xyz[b].tolist()] for k, b in cells]
    script = f"(rows) => rows.map(([a, k, b]) => {sees}({{cell: a, hole: k}}, {{cell: b, hole: -1}}))"
    assert one.do(script, inside) == [bool(into[k, b]) for k, b in cells]
    assert not one.do(f"{sees}({{cell: [0, 0, 0], hole: 0}}, {{cell: [0, 0, 0], hole: 1}})")


def test_one_can_follow_a_fish_from_the_list_and_by_a_click_on_it(one: Open) -> None:
    one.do("film.seek(100)")
    one.page.click(f"#fish button[title='{MILD} male 2']")
    assert one.state()["follow"] == f"{MILD} male 2"
    assert one.page.locator("#fish button[aria-pressed=true]").get_attribute("title") == f"{MILD} male 2"
    assert "so far: chased" in one.text("#facts")
    fish = max((f for f in one.state()["tanks"][0] if f["here"]), key=lambda f: -f["at"][1])
    one.page.locator("#tanks canvas").click(position={"x": fish["x"], "y": fish["y"]})
    now = one.state()
    picked = next(f for f in now["tanks"][0] if f["label"] == now["follow"])
    assert picked["here"] and np.hypot(picked["x"] - fish["x"], picked["y"] - fish["y"]) < 60


def test_every_key_of_the_list_does_what_it_says(one: Open) -> None:
    def press(key: str) -> dict[str, Any]:
        one.page.keyboard.press(key)
        return one.state()

    one.page.locator("body").click(position={"x": 2, "y": 2})
    assert press("Space")["isPlaying"] and not press("Space")["isPlaying"]
    one.do("film.seek(50)")
    assert press("ArrowRight")["now"] == 51 and press("ArrowLeft")["now"] == 50
    assert press("Shift+ArrowRight")["now"] == 60 and press("Shift+ArrowLeft")["now"] == 50
    assert press("End")["now"] == 240 and press("Home")["now"] == 0
    assert press("+")["speed"] == 20 and press("-")["speed"] == 10
    first = one.state()["follow"]
    assert press("j")["follow"] != first and press("k")["follow"] == first
    for key, box in (("t", "#territories"), ("s", "#sight"), ("n", "#names")):
        press(key)
        assert one.page.locator(box).is_checked()
    press("f")
    assert "filled" in (one.page.locator("body").get_attribute("class") or "")
    one.do("film.fill(false)")
    label, when = first_chase(10)
    one.do("(label) => { film.follow(label); film.seek(0) }", label)
    assert press("c")["now"] == pytest.approx(when - 4)
    text = one.text("#keys")
    for word in ("Space", "Left, Right", "Home, End", "+ and -", "J, K", "C", "T, S, N", "F"):
        assert word in text


def test_two_tanks_stay_in_step(browser: Any, files: dict[str, Path]) -> None:
    with Open(browser, files["two"]) as two:
        two.do("film.seek(0); for (let k = 0; k < 40; k++) film.tick(50)")
        state = two.state()
        assert len(state["tanks"]) == 2 and state["now"] > 3
        assert two.page.locator("#tanks canvas").count() == 2
        counts = two.page.locator("#tanks figcaption span").all_text_contents()
        assert len(counts) == 2 and all("simulated tank 2 of 20" in text for text in counts)
        two.do("film.seek(200)")
        places = [[fish["at"] for fish in tank] for tank in two.state()["tanks"]]
        two.do("film.seek(0); film.seek(200)")
        assert [[fish["at"] for fish in tank] for tank in two.state()["tanks"]] == places
        assert places[0] != places[1]
        assert "the tank as it is" in two.text("#facts") and "another tank" in two.text("#facts")
        assert two.faults == []


def test_it_survives_36000_frames(one: Open) -> None:
    """Ten minutes at sixty frames a second, by the function that each frame calls; memory does not grow."""
    one.do("document.getElementById('names').click(); film.setSpeed(1)")
    script = """() => {
      const film = window.film, paint = film.paint.bind(film);
      film.play(true);
      let painted = 0;
      for (let k = 0; k < 36000; k++) {
        const only = () => film.views.forEach((view) => view.look(film.now, 0));
        film.paint = k % 60 ? only : () => { painted += 1; paint() };
        film.tick(1000 / 60);
        if (!film.isPlaying) film.play(true);
      }
      film.paint = paint;
      film.play(false);
      return [film.frames, painted, film.views[0].dirty.length, document.querySelectorAll('*').length];
    }"""
    elements = one.do("document.querySelectorAll('*').length")
    frames, painted, dirty, after = one.do(script)
    assert frames >= 36_000 and painted == 600
    assert dirty < 400 and after <= elements + 5
    assert 0 <= one.state()["now"] <= 240


def test_only_what_changed_is_painted_again_and_nothing_is_left_behind(one: Open) -> None:
    """After many frames the picture is the one that a fresh start at that moment gives."""
    script = """() => {
      const film = window.film, view = film.views[0], look = view.look;
      const show = {follow: -1, territories: false, sight: false, names: false, speed: 1, isPlaying: false};
      const differ = [];
      for (let at = 5; at < 235; at += 10) {
        for (let k = 0; k < 8; k++) view.paint(at - 3 + k / 4, show);
        view.paint(at, show);
        const picture = view.canvas.toDataURL();
        view.all = true;
        view.look = () => {};
        view.paint(at, show);
        view.look = look;
        if (picture !== view.canvas.toDataURL()) differ.push(at);
      }
      return differ;
    }"""
    assert one.do(script) == []


def test_all_events_stand_there_as_text(one: Open) -> None:
    tank = film_examples.film()["tanks"][0]
    one.page.locator("#events summary").click()
    items = one.page.locator("#event-lists li").all_text_contents()
    assert len(items) == len(tank["log"])
    _, _, actor, target, *_ = next(row for row in tank["log"] if row[1] == 0)
    chase = f"{tank['fish'][actor]['code']} chases {tank['fish'][target]['code']}"
    assert any(chase in text for text in items)
    one.page.check("#only-followed")
    fewer = one.page.locator("#event-lists li").count()
    assert 0 < fewer < len(items)
    assert one.page.locator("#said").get_attribute("aria-live") == "polite"
    one.do("(label) => { film.follow(label); film.say('x', null) }", FIRST)
    assert one.text("#said") == "x"


def test_news_for_screen_readers_come_seldom(one: Open) -> None:
    script = """() => {
      const said = [], place = document.getElementById('said'), film = window.film;
      const busy = film.views[0].chases[0];
      film.follow(film.views[0].fish[busy[3]].label);
      new MutationObserver((all) => said.push(...all)).observe(place, {childList: true});
      film.play(true);
      for (let k = 0; k < 900; k++) film.tick(100);
      film.play(false);
      return new Promise((done) => setTimeout(() => done([said.length, place.textContent]), 20));
    }"""
    count, text = one.do(script)
    assert count <= 2 and ("chases" in text or "bites" in text)


def test_names_are_shown_as_text_and_break_nothing(browser: Any, files: dict[str, Path]) -> None:
    for width, height in ((360, 740), (1280, 720)):
        with Open(browser, files["nasty"], viewport={"width": width, "height": height}) as page:
            page.do("film.seek(30); document.getElementById('names').click()")
            assert page.do("window.hit") is None
            assert page.text("#title").startswith("<script>window.hit=1</script>")
            assert NASTY.strip()[:60] in page.text("#key bdi")
            assert page.do("document.documentElement.scrollWidth") <= width
            page.page.locator("#events summary").click()
            made = [page.page.locator(one).count() for one in ("b, img, script[src]", "#fish b, #key b")]
            assert made[0] == made[1]
            assert page.faults == [] and len(page.asked) == 1


@pytest.mark.parametrize(("width", "height"), [(360, 740), (1280, 720), (1920, 1080)])
def test_it_fits_a_phone_and_a_projector(
    browser: Any, files: dict[str, Path], width: int, height: int
) -> None:
    with Open(browser, files["two"], viewport={"width": width, "height": height}) as page:
        assert page.do("document.documentElement.scrollWidth") <= width
        page.do("film.fill(true)")
        if width > 1000:
            sizes = page.do(
                "[...document.querySelectorAll('h1, #clock, figcaption *, .now, button, #speed, #key bdi')]"
                ".filter((e) => e.offsetParent && e.textContent)"
                ".map((e) => parseFloat(getComputedStyle(e).fontSize))"
            )
            assert min(sizes) >= height / 30 and page.do("film.views[0].textPx") >= height / 30
            low = page.do(
                "Math.max(...[...document.querySelectorAll('#key, #time, #tanks')]"
                ".map((e) => e.getBoundingClientRect().bottom))"
            )
            assert low <= height
        assert page.faults == []


def test_it_can_be_used_without_a_mouse(one: Open) -> None:
    """Everything that can be pressed is reached with Tab, has a name and shows that it is reached."""
    one.page.locator("body").click(position={"x": 2, "y": 2})
    reached = []
    for _ in range(14):
        one.page.keyboard.press("Tab")
        reached.append(one.do("document.activeElement.id || document.activeElement.tagName"))
        assert one.do("getComputedStyle(document.activeElement).outlineStyle") != "none"
    assert {"CANVAS", "scrub", "play", "back", "on", "next-chase", "slower", "faster", "fill"} <= set(reached)
    assert "fish" in str(one.page.locator("#tanks canvas").get_attribute("aria-label"))
    assert one.page.locator("#scrub").get_attribute("aria-valuetext") == one.text("#clock")
