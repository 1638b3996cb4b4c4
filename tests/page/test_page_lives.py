"""Pages that live beside one another, are closed, reloaded, left by their server, or asked for harm."""

from __future__ import annotations

import re
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import staged_work
from command_line import started
from page_on_screen import ON_SCREEN, TANK, Open, Served, browser, context, expect, one, serving
from rockshy.analysis.page.serving.jobs import Times
from rockshy.analysis.page.serving.listening import listen
from rockshy.analysis.page.task import Draft, Task
from staged_work import nothing_runs_on

__all__ = ["browser", "context", "nothing_runs_on", "one"]  # fixtures
pytestmark = [*ON_SCREEN, pytest.mark.usefixtures("nothing_runs_on", "in_time")]
served = serving(TANK, "corner.toml")

LONG = TANK.replace("trials = 16", "trials = 400")
NASTY = '<img src=x onerror="window.hit=1"><script>window.hit=2</script>'
HUNDRED = """async () => {
  const { ask } = await import("/screen/ask.js");
  const key = Object.keys(localStorage).find((one) => / file$/.test(one));
  const body = { draft: JSON.parse(localStorage.getItem(key)).file, what: { kind: "try", which: 0 } };
  const start = () => ask("/start", body).then(() => [200, ""], (fault) => [fault.status, fault.message]);
  return Promise.all(Array.from({ length: 100 }, start));
}"""


@pytest.fixture
def in_time(served: Served) -> Iterator[None]:
    yield
    served.desk.jobs.times = Times()


class Waiting:
    """Work that shows whose tank it is of, and waits until it is halted or let go."""

    def __init__(self) -> None:
        self.tasks: list[Task] = []
        self.go = threading.Event()

    def __call__(self, task: Task) -> None:
        self.tasks.append(task)
        headline = f"Of {task.scenario.title}."
        task.post(staged_work.tried(2, headline=headline), done=2, asked=8)
        while not self.go.wait(0.02):
            if task.halted():
                return
        task.post(staged_work.tried(8, headline=headline), done=8, asked=8)


@pytest.fixture
def waiting(monkeypatch: pytest.MonkeyPatch) -> Waiting:
    work = Waiting()
    monkeypatch.setattr("rockshy.analysis.page.work.WORK", {"try": work})
    return work


def tried(page: Open, title: str) -> None:
    """The tank gets a name, and is tried."""
    page.type("title", title)
    page.until(lambda: page.file["title"] == title)
    try_it(page)
    expect(page.find("#tries .headline")).to_contain_text(f"Of {title}.")


def try_it(page: Open) -> None:
    page.press(re.compile("^Try it"), "#tries")


# ---- several pages


def test_two_pages_at_once_mix_neither_text_nor_work(context: Any, served: Served, waiting: Waiting) -> None:
    first, second = Open(context, served.address), Open(context, served.address)
    for page, title in ((first, "the tank on the left"), (second, "the tank on the right")):
        tried(page, title)
    assert first.text == TANK.replace("Ledgewater club, corner tank", "the tank on the left")
    assert second.text == TANK.replace("Ledgewater club, corner tank", "the tank on the right")
    first.press("Stop")
    expect(first.far("tries")).to_contain_text("Stopped")
    assert [task.halted() for task in waiting.tasks] == [True, False]
    waiting.go.set()
    expect(second.far("tries")).to_contain_text("Done: 8 of 8 simulated tanks")
    expect(first.far("tries")).to_contain_text("2 of 8 simulated tanks")
    expect(first.find("#tries .headline")).to_contain_text("Of the tank on the left.")
    first.press("Undo")
    expect(first.field("title")).to_have_value("Ledgewater club, corner tank")
    assert second.file["title"] == "the tank on the right"
    assert first.faults + second.faults == []


def test_what_a_closed_tab_had_running_is_stopped_and_others_go_on(
    context: Any, served: Served, waiting: Waiting
) -> None:
    closed, open_still = Open(context, served.address), Open(context, served.address)
    for page, title in ((closed, "closed soon"), (open_still, "open still")):
        tried(page, title)
    served.desk.jobs.times = Times(unseen=1.5)
    closed.page.close()
    open_still.until(lambda: waiting.tasks[0].halted())
    ended = next(job for job in served.jobs if job.scenario.title == "closed soon")
    open_still.until(lambda: ended.state == "stopped")
    assert "Nobody was watching this page" in ended.state_text()
    assert not waiting.tasks[1].halted()
    waiting.go.set()
    expect(open_still.far("tries")).to_contain_text("Done: 8 of 8 simulated tanks")
    assert open_still.faults == []


def test_a_run_goes_on_through_a_reload_and_is_not_started_again(context: Any, served: Served) -> None:
    served.desk.first = Draft(LONG, "long.toml")
    page = Open(context, served.address)
    served.desk.first = served.first
    try_it(page)
    expect(page.find("#tries .fates > li").first).to_be_visible()
    before = _tanks(page)
    asked: list[str] = []
    page.page.on("request", lambda request: asked.append(request.url.rpartition("/")[2]))
    page.again()
    expect(page.find("#tries .fates > li").first).to_be_visible()
    page.until(lambda: _tanks(page) > before + 4)
    assert "follow" in asked and "start" not in asked
    page.press("Stop")
    expect(page.far("tries")).to_contain_text("Stopped; what is done is kept")
    assert before < _tanks(page) < 400
    assert page.faults == []


def _tanks(page: Open) -> int:
    """How many simulated tanks are said to be done."""
    found = re.search(r"(\d+) of 400 simulated tanks", str(page.far("tries").text_content()))
    return int(found[1]) if found else 0


# ---- a server that is killed


@contextmanager
def command(file: Path, port: int) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """``rockshy page`` in a process of its own, and the address it prints."""
    with started("page", str(file), "--no-browser", "--port", str(port)) as process:
        try:
            assert process.stdout is not None
            said = process.stdout.readline() + process.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+/#[\w-]{20,}", said)
            assert found, said
            yield process, found[0]
        finally:
            process.kill()


def test_a_killed_server_is_said_and_nothing_is_lost_when_it_is_started_anew(
    context: Any, tmp_path: Path
) -> None:
    file = tmp_path / "long.toml"
    file.write_text(LONG, encoding="utf-8")
    with listen(0) as free:
        port = free.getsockname()[1]
    with command(file, port) as (process, address):
        page = Open(context, address)
        page.type("tank.length", "75 cm")
        expect(page.understood("tank")).to_contain_text("61 L")
        process.kill()
        process.wait()
    banner = page.find("#banner")
    page.field("tank.height").fill("33 cm")
    expect(banner).to_contain_text("Rockshy does not answer")
    with command(file, port) as (_, new):
        assert new != address
        expect(banner).to_contain_text("another start of Rockshy")
        expect(banner).to_contain_text("Open the address that rockshy page printed")
        page.page.goto(new)
        page.page.wait_for_function("() => location.hash === '' && document.documentElement.dataset.ready")
        expect(page.field("tank.length")).to_have_value("75 cm")
        expect(page.field("tank.height")).to_have_value("33 cm")
        wanted = LONG.replace('length = "60 cm"', 'length = "75 cm"')
        wanted = wanted.replace("\nheight = 30", '\nheight = "33 cm"')
        page.until(lambda: page.text == wanted)
        expect(banner).to_be_hidden()
        try_it(page)
        expect(page.find("#tries .fates > li").first).to_be_visible()
        page.press("Stop")
        expect(page.far("tries")).to_contain_text("Stopped")
        page.undo("Height", "Length")
        page.until(lambda: page.text == LONG)
    assert page.faults == []


# ---- harm


def unharmed(page: Any) -> None:
    """Nothing that was a name became an element or ran, in the page and its frames."""
    for frame in page.frames:
        assert frame.evaluate("window.hit") is None
        assert frame.locator("img[src=x]").count() == 0


def test_markup_in_names_is_text_in_page_film_and_report(one: Open) -> None:
    page = one.page
    one.open("<img src=x onerror=window.hit=3>.toml", TANK.replace("trials = 16", "trials = 3").encode())
    expect(one.find("#file-name")).to_have_text("<img src=x onerror=window.hit=3>.toml")
    for field in ("title", "question"):
        one.type(field, f"{field} {NASTY}")
        one.until(lambda field=field: one.file[field] == f"{field} {NASTY}")  # type: ignore[misc]
    one.type(one.cell(0, "Species"), NASTY)
    expect(one.cell(0, "Species")).to_have_attribute("aria-invalid", "true")
    expect(one.row(0)).to_contain_text(NASTY)
    one.undo("")
    expect(one.cell(0, "Species")).to_have_value("Tropheus duboisi")
    one.copy(NASTY)
    one.type(one.cell(0, "Females"), "1")
    one.until(lambda: NASTY in str(one.file.get("alternative")))
    one.press("Compare", "#what-if")
    expect(one.find("#what-if .against h4")).to_have_text(NASTY)
    expect(one.far("what-if")).to_contain_text("Done")
    unharmed(page)
    one.press("Watch it beside the tank as it is")
    assert NASTY in one.film().locator("body").inner_text()
    unharmed(page)
    one.press("Make the report")
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Open the report").click()
    opened.value.wait_for_load_state()
    assert f"title {NASTY}" in opened.value.locator("body").inner_text()
    unharmed(opened.value)


def test_of_a_hundred_starts_at_once_one_begins_and_the_page_goes_on(
    one: Open, served: Served, waiting: Waiting
) -> None:
    refused = [(status, told) for status, told in one.page.evaluate(HUNDRED) if status != 200]
    assert len(refused) == 99 and len(waiting.tasks) == 1
    busy = "Something is being tried on this page already; stop it first."
    for status, told in refused:
        assert (status == 409 and told == busy) or (status == 429 and "Too many requests" in told)
    one.type("title", "still here")
    try_it(one)
    expect(one.find("#tries .problems")).to_contain_text("being tried on this page already")
    served.desk.jobs.times = Times(unseen=0.3)
    one.until(lambda: waiting.tasks[0].halted())
    served.desk.jobs.times = Times()
    one.until(lambda: all(job.state != "running" for job in served.jobs))
    try_it(one)
    expect(one.find("#tries .headline")).to_contain_text("Of still here.")


ODD = {
    "no TOML": (b"title = [\n", "line"),
    "too long": (b"# " + b"a" * 1_000_000, "allowed: at most 1000000"),
    "binary": (bytes(range(256)) * 4, "no text in UTF-8"),
    "zeros": (b"\x00" * 20, "line 1"),
}


def test_a_file_that_cannot_be_opened_is_refused_in_words_and_changes_nothing(one: Open) -> None:
    one.type("title", "mine")
    before = one.text
    for name, (content, said) in ODD.items():
        one.open(f"{name}.toml", content)
        refused = one.find("#keep .problems:visible")
        expect(refused).to_contain_text(f"{name}.toml")
        expect(refused).to_contain_text(said)
        assert one.text == before
        expect(one.find("#file-name")).to_have_text("corner.toml")
    one.press("Undo")
    expect(one.field("title")).to_have_value("Ledgewater club, corner tank")
    assert one.text == TANK
