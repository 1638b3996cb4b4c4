"""The page in a real headless Chromium against the real server: what its tests share."""

from __future__ import annotations

import os
import shutil
import threading
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from rockshy.analysis.page.serving.answers import Desk
from rockshy.analysis.page.serving.listening import listen
from rockshy.analysis.page.serving.server import make_app
from rockshy.analysis.page.task import Draft

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on the path; CHROMIUM may name one")
ON_SCREEN = [needs_chromium, pytest.mark.thorough]

PATIENCE_MS = 60_000  # trials, a browser that draws in software and other tests share the cores
sync_api.expect.set_options(timeout=PATIENCE_MS)
expect = sync_api.expect

TOKEN = "a-word-of-this-test-alone"
FIRST = """\
# A tank of the club, small enough to be read at once.
title = "Stonecomb club, quarantine tank"
question = "Will two duboisi hide all day?"   # asked by a member

[tank]
length = "80 cm"   # as measured
front_to_back = 40
height = 40

[rock]
cover = 0.2
height = "20 cm"

[[stock]]
species = "Tropheus duboisi"   # bought together
males = 1
females = 2

[run]
trials = 4
"""
SKETCH = ("0000000000", "0230000000", "0120000040", "0000000000")
TANK = """\
# The corner tank of the club, as it stands.
title = "Ledgewater club, corner tank"
question = "Will the shy one feed?"   # asked at the meeting

[tank]
length = "60 cm"   # as measured
front_to_back = 30
height = 30
cell = 6

[rock]
sketch = ["0000000000", "0230000000", "0120000040", "0000000000"]
sketch_step = 4
piece_size = 10

[[stock]]
species = "Tropheus duboisi"   # bought together
males = 1

[run]
days = 0.1
settle = 0
lit_hours = 10
trials = 16
seed = 7
"""
VIOLATIONS = """
window.violations = [];
document.addEventListener("securitypolicyviolation", (one) =>
  window.violations.push(`${one.violatedDirective}: ${one.blockedURI}`));
"""


SHEETS = tuple(
    f"#{one}"
    for one in ("start", "tank", "rock", "fish", "run", "copies", "tries", "what-if", "what-helps", "keep")
) + ("#how-much-rock",)


class Served:
    """The server, which can be ended and started again at the same place."""

    def __init__(self, text: str = FIRST, name: str = "quarantine.toml") -> None:
        self.first = Draft(text, name)
        self.port = 0
        self.start()

    def start(self) -> None:
        listener = listen(self.port)
        self.port = listener.getsockname()[1]
        self.desk = Desk(self.first)
        app = make_app(self.desk, port=self.port, token=TOKEN)
        config = uvicorn.Config(app, http="h11", ws="none", log_config=None, timeout_graceful_shutdown=1)
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [listener]}, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        self.server.should_exit = True
        self.thread.join()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/#{TOKEN}"

    @property
    def jobs(self) -> list[Any]:
        """All work of all pages."""
        return list(self.desk.jobs.all())


def serving(text: str = FIRST, name: str = "quarantine.toml") -> Any:
    """A fixture: a server for the tests of a module, whose pages begin with a tank."""

    @pytest.fixture(scope="module", name="served")
    def start() -> Iterator[Served]:
        here = Served(text, name)
        yield here
        here.stop()

    return start


served = serving()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


class Open:
    """A page with every request it makes, every answer it gets and every fault that the browser tells."""

    def __init__(self, context: Any, address: str) -> None:
        self.faults: list[str] = []
        self.requests: list[str] = []
        self.console: list[str] = []
        self._responses: list[Any] = []
        self.page = context.new_page()
        self.page.add_init_script(VIOLATIONS)
        self.page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("response", lambda response: self._responses.append(response))
        self.page.on("console", self._hear)
        self.page.goto(address)
        self.ready()

    def _hear(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.console.append(f"{message.type}: {message.text} ({message.location.get('url', '')})")

    def ready(self) -> None:
        self.page.wait_for_selector("html[data-ready]", timeout=90_000)  # the first one loads the simulator

    def again(self) -> None:
        self.page.reload()
        self.ready()

    @property
    def text(self) -> str:
        """The file as the browser keeps it."""
        kept = "`rockshy draft ${sessionStorage.getItem('rockshy page')} file`"
        return str(self.page.evaluate(f"JSON.parse(localStorage.getItem({kept})).file.text"))

    @property
    def file(self) -> dict[str, Any]:
        return tomllib.loads(self.text)

    def find(self, selector: str, **how: Any) -> Any:
        return self.page.locator(selector, **how)

    def show(self, part: str) -> Any:
        """Open a sheet over the tank, by whatever opens it; the sheet."""
        if not self.page.evaluate("id => document.getElementById(id).open", part):
            if self.find("dialog.sheet[open]").count():
                self.close()  # it may lie over what opens the other
            self.page.locator(f"[data-opens={part}]").first.click()
        return self.find(f"#{part}")

    def close(self) -> None:
        """Close whatever is open over the tank."""
        self.page.keyboard.press("Escape")
        expect(self.find("dialog[open]")).to_have_count(0)

    def within(self, selector: str) -> Any:
        """What a selector finds, with the sheet open that it stands in."""
        self.page.wait_for_selector(selector, state="attached")
        sheet = self.page.evaluate("one => document.querySelector(one).closest('dialog.sheet')?.id", selector)
        if sheet:
            self.show(sheet)
        return self.find(selector)

    def units(self, system: str) -> Any:
        """The choice of "cm" or "in"."""
        return self.find("#units").get_by_label(system, exact=True)

    def field(self, key: str) -> Any:
        return self.within(f'[data-field="{key}"]')

    def row(self, number: int) -> Any:
        self.show("fish")
        return self.find(".stock > li").nth(number)

    def cell(self, number: int, label: str) -> Any:
        """A field of a row of the stock."""
        return self.row(number).get_by_label(label, exact=True)

    def button(self, name: Any, part: str = "body") -> Any:
        return self.find(part).get_by_role("button", name=name, exact=True)

    def understood(self, part: str) -> Any:
        """What was understood of a part: its first sentence and those that open below it."""
        self.show(part)
        return self.find(f"#{part} .understood-box")

    def far(self, part: str, k: int = 0) -> Any:
        """How far the work of a part is, in words."""
        return self.find(f"#{part} .far").nth(k)

    def said(self, text: str) -> None:
        expect(self.find("#said")).to_contain_text(text)

    @property
    def violations(self) -> list[str]:
        """What the security policy kept from being loaded or run, in the page and in its frames."""
        return [one for frame in self.page.frames for one in frame.evaluate("window.violations ?? []")]

    def foreign(self, port: int) -> list[str]:
        """Requests that went anywhere but to this server."""
        own = ("data:", f"blob:http://127.0.0.1:{port}/", f"http://127.0.0.1:{port}/")
        return [url for url in self.requests if not url.startswith(own)]

    def press(self, name: Any, part: str = "body") -> None:
        if part in SHEETS:
            self.show(part[1:])
        elif part == "#answer" and self.find("dialog.sheet[open]").count():
            self.close()
        self.button(name, part).click()

    def undo(self, *said: str) -> None:
        """One step back for each text, which the page then says; one step without any."""
        for text in said or ("",):
            self.press("Undo")
            self.said(f"Undone: {text}")

    def type(self, field: Any, text: str, shown: str | None = None) -> None:
        """Type over what stands in a field, leave it, and see how it is shown."""
        field = self.field(field) if isinstance(field, str) else field
        field.fill(text)
        field.press("Tab")
        expect(field).to_have_value(text if shown is None else shown)

    def drag(self, start: tuple[int, int], end: tuple[int, int], *, drop: bool = True) -> None:
        """Drag from one place of the grid of SKETCH, row and column, to another."""
        canvas = self.find(".rock-above canvas").first
        canvas.scroll_into_view_if_needed()
        box = canvas.bounding_box()

        def at(place: tuple[int, int]) -> tuple[float, float]:
            down, right = (place[0] + 0.5) / 4, (place[1] + 0.5) / 10
            return box["x"] + right * box["width"], box["y"] + down * box["height"]

        self.page.mouse.move(*at(start))
        self.page.mouse.down()
        self.page.mouse.move(*at(end), steps=4)
        if drop:
            self.page.mouse.up()

    def copy(self, name: str = "") -> Any:
        """Make a copy; the field of its name."""
        self.show("copies")
        self.find("#change-a-copy").click()
        field = self.page.get_by_label("Name of the copy")
        expect(field).to_be_focused()
        if name:
            self.type(field, name)
        return field

    def open(self, name: str, content: bytes) -> None:
        """Open a file from this computer."""
        file = {"name": name, "mimeType": "text/plain", "buffer": content}
        self.show("keep")
        self.page.get_by_label("A file from this computer").set_input_files(file)

    def download(self, folder: Path, button: Any = None) -> Path:
        """The file of the page, saved by its button."""
        if button is None:
            self.show("keep")
        with self.page.expect_download() as saved:
            (button or self.find("#download")).click()
        path = folder / saved.value.suggested_filename
        saved.value.save_as(path)
        return path

    def done(self, part: str, kind: str, *, k: int = 0) -> dict[str, Any]:
        """The result of work that a part of the page waits for, once it says that it is done."""
        expect(self.far(part, k)).to_contain_text("Done", timeout=2 * PATIENCE_MS)
        followed = (one.json() for one in reversed(self._responses) if one.url.endswith("/follow") and one.ok)
        told = next(one for one in followed if one["kind"] == kind)
        assert (told["state"], told["problems"], told["done"]) == ("done", [], told["asked"])
        return dict(told["result"])

    def film(self) -> Any:
        """The frame in which a film plays, once its player is there."""
        shown = self.find("#film iframe").element_handle().content_frame()
        shown.wait_for_function("() => window.film")
        return shown

    def until(self, there: Callable[[], bool]) -> None:
        """Wait until something holds, while the page goes on."""
        waited = 0
        while not there():
            assert waited < PATIENCE_MS, "it never came"
            self.page.wait_for_timeout(20)
            waited += 20


def serious(page: Any, **where: Any) -> list[str]:
    """What axe finds that is serious or critical."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed").Axe()
    found = [
        one
        for one in axe.run(page, **where).response["violations"]
        if one["impact"] in ("serious", "critical")
    ]
    return [f"{one['id']}: {node['html'][:200]}" for one in found for node in one["nodes"]]


@contextmanager
def window(browser: Any, **how: Any) -> Iterator[Any]:
    """A window that knows nothing yet; ``how``: what it is like."""
    made = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **how})
    made.set_default_timeout(PATIENCE_MS)
    try:
        yield made
    finally:
        made.close()  # a living tank left open would swim on beside the next test


@contextmanager
def walked(browser: Any, served: Served, **how: Any) -> Iterator[Open]:
    """A page in a window of its own, on which nothing goes wrong."""
    with window(browser, **how) as context:
        page = Open(context, served.address)
        yield page
        assert page.faults == []


@pytest.fixture
def context(browser: Any) -> Iterator[Any]:
    with window(browser, reduced_motion="reduce") as made:
        yield made


@pytest.fixture
def one(browser: Any, served: Served) -> Iterator[Open]:
    with walked(browser, served, reduced_motion="reduce") as page:
        yield page
