"""A page that is walked from end to end: the tank it begins with, and everything that the browser reports."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from command_line import answered
from page_on_screen import Open, Served, expect, sync_api
from rockshy.analysis.page.task import Draft

PATIENCE_MS = 60_000  # trials, a browser that draws in software and other tests share the cores

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


def serve(text: str = TANK, name: str = "corner.toml") -> Served:
    """A server that begins with a tank."""
    here = Served()
    here.desk.first = Draft(text, name)
    return here


class Walk(Open):
    """A page with every request it makes, every answer it gets and every fault that the browser tells."""

    def __init__(self, context: Any, address: str) -> None:
        self.requests: list[str] = []
        self.console: list[str] = []
        self._responses: list[Any] = []
        context.add_init_script(VIOLATIONS)
        context.on("request", lambda request: self.requests.append(request.url))
        context.on("response", lambda response: self._responses.append(response))
        context.on("console", self._hear)
        super().__init__(context, address)

    def _hear(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.console.append(f"{message.type}: {message.text}")

    @property
    def violations(self) -> list[str]:
        """What the security policy kept from being loaded or run, in the page and in its frames."""
        return [one for frame in self.page.frames for one in frame.evaluate("window.violations ?? []")]

    def foreign(self, port: int) -> list[str]:
        """Requests that went anywhere but to this server."""
        own = ("data:", f"blob:http://127.0.0.1:{port}/", f"http://127.0.0.1:{port}/")
        return [url for url in self.requests if not url.startswith(own)]

    def state(self, kind: str) -> dict[str, Any]:
        """What the server told last about work of a kind."""
        for response in reversed(self._responses):
            if response.url.endswith("/follow") and response.ok:
                told: dict[str, Any] = response.json()
                if told["kind"] == kind:
                    return told
        raise AssertionError(f"no work of the kind {kind} was followed")

    def done(self, part: str, kind: str, *, k: int = 0) -> dict[str, Any]:
        """The result of work that a part of the page waits for, once it says that it is done."""
        expect(self.page.locator(f"#{part} .far").nth(k)).to_contain_text("Done", timeout=2 * PATIENCE_MS)
        told = self.state(kind)
        assert (told["state"], told["problems"], told["done"]) == ("done", [], told["asked"])
        return dict(told["result"])

    def download(self, folder: Path) -> Path:
        """The file of the page, saved by its button."""
        with self.page.expect_download() as saved:
            self.page.locator("#download").click()
        path = folder / saved.value.suggested_filename
        saved.value.save_as(path)
        return path

    def film(self) -> Any:
        """The frame in which a film plays, once its player is there."""
        shown = self.page.locator("#film iframe").element_handle().content_frame()
        shown.wait_for_function("() => window.film")
        return shown


@pytest.fixture(scope="module")
def patience() -> Iterator[None]:
    """What is waited for may take long; back to what others wait when the module is over."""
    before = sync_api.expect._timeout
    sync_api.expect.set_options(timeout=PATIENCE_MS)
    yield
    sync_api.expect.set_options(timeout=before)


@contextmanager
def walked(browser: Any, served: Served, **how: Any) -> Iterator[Walk]:
    """A page to be walked, in a window of its own; ``how``: what the window is like."""
    window = {"viewport": {"width": 1280, "height": 900}, **how}
    context = browser.new_context(**window)
    context.set_default_timeout(PATIENCE_MS)
    yield Walk(context, served.address)
    context.close()


def typed(capsys: pytest.CaptureFixture[str], *argv: str) -> dict[str, Any]:
    """What the command line answers as JSON."""
    told: dict[str, Any] = json.loads(answered(capsys, *argv, "--json").out)
    return told


def wait_for(there: Callable[[], bool], page: Any) -> None:
    """Wait until something holds, while the page goes on."""
    waited = 0
    while not there():
        assert waited < PATIENCE_MS, "it never came"
        page.wait_for_timeout(20)
        waited += 20
