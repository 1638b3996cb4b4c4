"""The page in a real headless Chromium against the real server: what its tests share."""

from __future__ import annotations

import os
import shutil
import threading
import tomllib
from collections.abc import Iterator
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


class Served:
    """The server, which can be ended and started again at the same place."""

    def __init__(self) -> None:
        self.port = 0
        self.start()

    def start(self) -> None:
        listener = listen(self.port)
        self.port = listener.getsockname()[1]
        self.desk = Desk(Draft(FIRST, "quarantine.toml"))
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


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    one = Served()
    yield one
    one.stop()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


class Open:
    """A page with what went wrong on it."""

    def __init__(self, context: Any, address: str) -> None:
        self.page = context.new_page()
        self.faults: list[str] = []
        self.page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        self.page.goto(address)
        self.ready()

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

    def field(self, key: str) -> Any:
        return self.page.locator(f'[data-field="{key}"]')

    def row(self, number: int) -> Any:
        return self.page.locator(".stock > li").nth(number)

    def understood(self, part: str) -> Any:
        """What was understood of a part: its first sentence and those that open below it."""
        return self.page.locator(f"#{part} .understood-box")

    def said(self, text: str) -> None:
        expect(self.page.locator("#said")).to_contain_text(text)


def expect(found: Any) -> Any:
    return sync_api.expect(found, None)


@pytest.fixture
def context(browser: Any) -> Iterator[Any]:
    made = browser.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
    made.set_default_timeout(15_000)
    yield made
    made.close()


@pytest.fixture
def one(context: Any, served: Served) -> Iterator[Open]:
    page = Open(context, served.address)
    yield page
    assert page.faults == []
