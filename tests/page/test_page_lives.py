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
from page_on_screen import Open, Served, browser, context, expect, needs_chromium, one
from page_walk import TANK, patience, serve, wait_for
from rockshy.analysis.page.serving.jobs import Jobs, Times
from rockshy.analysis.page.serving.listening import listen
from rockshy.analysis.page.task import Task

__all__ = ["browser", "context", "one", "patience"]  # fixtures
pytestmark = [needs_chromium, pytest.mark.thorough, pytest.mark.usefixtures("patience")]

LONG = TANK.replace("trials = 16", "trials = 400")
NASTY = '<img src=x onerror="window.hit=1"><script>window.hit=2</script>'
HUNDRED = """async () => {
  const key = Object.keys(localStorage).find((one) => / file$/.test(one));
  const headers = {
    "Content-Type": "application/json",
    "X-Rockshy-Token": sessionStorage.getItem("rockshy token"),
    "X-Rockshy-Page": sessionStorage.getItem("rockshy page"),
  };
  const draft = JSON.parse(localStorage.getItem(key)).file;
  const body = JSON.stringify({ draft, what: { kind: "try", which: 0 } });
  const ask = async () => {
    const answer = await fetch("/start", { method: "POST", headers, body });
    return [answer.status, await answer.json()];
  };
  return Promise.all(Array.from({ length: 100 }, ask));
}"""


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    here = serve()
    yield here
    here.stop()


@pytest.fixture(autouse=True)
def nothing_runs_on(served: Served) -> Iterator[None]:
    yield
    served.desk.jobs.times = Times()
    for job in jobs(served.desk.jobs):
        job.halt("the test is over")


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


def jobs(of: Jobs) -> list[Any]:
    return list(of.all())


def name_it(page: Open, title: str) -> None:
    page.field("title").fill(title)
    page.field("title").press("Tab")
    wait_for(lambda: page.file["title"] == title, page.page)


def try_it(page: Open) -> None:
    page.page.locator("#tries").get_by_role("button", name=re.compile("^Try it")).click()


def far(page: Open) -> Any:
    return page.page.locator("#tries .far")


# ---- several pages


def test_two_pages_at_once_mix_neither_text_nor_work(context: Any, served: Served, waiting: Waiting) -> None:
    first, second = Open(context, served.address), Open(context, served.address)
    for page, title in ((first, "the tank on the left"), (second, "the tank on the right")):
        name_it(page, title)
        try_it(page)
        expect(page.page.locator("#tries .headline")).to_contain_text(f"Of {title}.")
    assert first.text == TANK.replace("Ledgewater club, corner tank", "the tank on the left")
    assert second.text == TANK.replace("Ledgewater club, corner tank", "the tank on the right")
    first.page.get_by_role("button", name="Stop", exact=True).click()
    expect(far(first)).to_contain_text("Stopped")
    assert [task.halted() for task in waiting.tasks] == [True, False]
    waiting.go.set()
    expect(far(second)).to_contain_text("Done: 8 of 8 simulated tanks")
    expect(far(first)).to_contain_text("2 of 8 simulated tanks")
    expect(first.page.locator("#tries .headline")).to_contain_text("Of the tank on the left.")
    first.page.get_by_role("button", name="Undo", exact=True).click()
    expect(first.field("title")).to_have_value("Ledgewater club, corner tank")
    assert second.file["title"] == "the tank on the right"
    assert first.faults + second.faults == []


def test_what_a_closed_tab_had_running_is_stopped_and_others_go_on(
    context: Any, served: Served, waiting: Waiting
) -> None:
    closed, open_still = Open(context, served.address), Open(context, served.address)
    for page, title in ((closed, "closed soon"), (open_still, "open still")):
        name_it(page, title)
        try_it(page)
        expect(page.page.locator("#tries .headline")).to_contain_text(f"Of {title}.")
    served.desk.jobs.times = Times(unseen=1.5)
    closed.page.close()
    wait_for(lambda: waiting.tasks[0].halted(), open_still.page)
    ended = next(job for job in jobs(served.desk.jobs) if job.scenario.title == "closed soon")
    wait_for(lambda: ended.state == "stopped", open_still.page)
    assert "Nobody was watching this page" in ended.state_text()
    assert not waiting.tasks[1].halted()
    waiting.go.set()
    expect(far(open_still)).to_contain_text("Done: 8 of 8 simulated tanks")
    assert open_still.faults == []


def test_a_run_goes_on_through_a_reload_and_is_not_started_again(context: Any, served: Served) -> None:
    served.desk.first = type(served.desk.first)(LONG, "long.toml")
    page = Open(context, served.address)
    served.desk.first = type(served.desk.first)(TANK, "corner.toml")
    try_it(page)
    expect(page.page.locator("#tries .fates > li").first).to_be_visible()
    before = _tanks(page)
    asked: list[str] = []
    page.page.on("request", lambda request: asked.append(request.url.rpartition("/")[2]))
    page.again()
    expect(page.page.locator("#tries .fates > li").first).to_be_visible()
    wait_for(lambda: _tanks(page) > before + 4, page.page)
    assert "follow" in asked and "start" not in asked
    page.page.get_by_role("button", name="Stop", exact=True).click()
    expect(far(page)).to_contain_text("Stopped; what is done is kept")
    assert before < _tanks(page) < 400
    assert page.faults == []


def _tanks(page: Open) -> int:
    """How many simulated tanks are said to be done."""
    found = re.search(r"(\d+) of 400 simulated tanks", str(far(page).text_content()))
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
        page.field("tank.length").fill("75 cm")
        page.field("tank.length").press("Tab")
        expect(page.understood("tank")).to_contain_text("61 L")
        process.kill()
        process.wait()
    banner = page.page.locator("#banner")
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
        changed = {'length = "60 cm"': 'length = "75 cm"', "\nheight = 30": '\nheight = "33 cm"'}
        wanted = LONG
        for before, after in changed.items():
            wanted = wanted.replace(before, after)
        wait_for(lambda: page.text == wanted, page.page)
        expect(banner).to_be_hidden()
        try_it(page)
        expect(page.page.locator("#tries .fates > li").first).to_be_visible()
        page.page.get_by_role("button", name="Stop", exact=True).click()
        expect(far(page)).to_contain_text("Stopped")
        for _ in changed:
            page.page.get_by_role("button", name="Undo", exact=True).click()
        wait_for(lambda: page.text == LONG, page.page)
    assert page.faults == []


# ---- harm


def unharmed(page: Any) -> None:
    """Nothing that was a name became an element or ran, in the page and its frames."""
    for frame in page.frames:
        assert frame.evaluate("window.hit") is None
        assert frame.locator("img[src=x]").count() == 0


def test_markup_in_names_is_text_in_page_film_and_report(one: Open) -> None:
    page = one.page
    page.get_by_label("A file from this computer").set_input_files(
        {
            "name": "<img src=x onerror=window.hit=3>.toml",
            "mimeType": "text/plain",
            "buffer": TANK.replace("trials = 16", "trials = 3").encode(),
        }
    )
    expect(page.locator("#file-name")).to_have_text("<img src=x onerror=window.hit=3>.toml")
    for field in ("title", "question"):
        one.field(field).fill(f"{field} {NASTY}")
        one.field(field).press("Tab")
        wait_for(lambda field=field: one.file[field] == f"{field} {NASTY}", page)  # type: ignore[misc]
    one.row(0).get_by_label("Species").fill(NASTY)
    one.row(0).get_by_label("Species").press("Tab")
    expect(one.row(0).get_by_label("Species")).to_have_attribute("aria-invalid", "true")
    expect(one.row(0)).to_contain_text(NASTY)
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(one.row(0).get_by_label("Species")).to_have_value("Tropheus duboisi")
    page.locator("#change-a-copy").click()
    page.get_by_label("Name of the copy").fill(NASTY)
    one.row(0).get_by_label("Females", exact=True).fill("1")
    one.row(0).get_by_label("Females", exact=True).press("Tab")
    wait_for(lambda: NASTY in str(one.file.get("alternative")), page)
    page.locator("#what-if").get_by_role("button", name="Compare", exact=True).click()
    expect(page.locator("#what-if .against h4")).to_have_text(NASTY)
    expect(page.locator("#what-if .far").first).to_contain_text("Done")
    unharmed(page)
    page.get_by_role("button", name="Watch it beside the tank as it is").click()
    film = page.locator("#film iframe").element_handle().content_frame()
    film.wait_for_function("() => window.film")
    assert NASTY in film.locator("body").inner_text()
    unharmed(page)
    page.get_by_role("button", name="Make the report").click()
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Open the report").click()
    opened.value.wait_for_load_state()
    assert f"title {NASTY}" in opened.value.locator("body").inner_text()
    unharmed(opened.value)


def test_of_a_hundred_starts_at_once_one_begins_and_the_page_goes_on(
    one: Open, served: Served, waiting: Waiting
) -> None:
    answers = one.page.evaluate(HUNDRED)
    begun = [told for status, told in answers if status == 200]
    refused = [(status, told) for status, told in answers if status != 200]
    assert len(begun) == 1 and len(refused) == 99 and len(waiting.tasks) == 1
    assert {status for status, _ in refused} <= {409, 429}
    for _, told in refused:
        assert told == {"problems": ["Something is being tried on this page already; stop it first."]} or (
            "Too many requests" in told["problems"][0]
        )
    name_it(one, "still here")
    try_it(one)
    expect(one.page.locator("#tries .problems")).to_contain_text("being tried on this page already")
    served.desk.jobs.times = Times(unseen=0.3)
    wait_for(lambda: waiting.tasks[0].halted(), one.page)
    served.desk.jobs.times = Times()
    wait_for(lambda: all(job.state != "running" for job in jobs(served.desk.jobs)), one.page)
    try_it(one)
    expect(one.page.locator("#tries .headline")).to_contain_text("Of still here.")


ODD = {
    "no TOML": (b"title = [\n", "line"),
    "too long": (b"# " + b"a" * 1_000_000, "allowed: at most 1000000"),
    "binary": (bytes(range(256)) * 4, "no text in UTF-8"),
    "zeros": (b"\x00" * 20, "line 1"),
}


def test_a_file_that_cannot_be_opened_is_refused_in_words_and_changes_nothing(one: Open) -> None:
    name_it(one, "mine")
    before = one.text
    for name, (content, said) in ODD.items():
        one.page.get_by_label("A file from this computer").set_input_files(
            {"name": f"{name}.toml", "mimeType": "text/plain", "buffer": content}
        )
        refused = one.page.locator("#keep .problems:visible")
        expect(refused).to_contain_text(f"{name}.toml")
        expect(refused).to_contain_text(said)
        assert one.text == before
        expect(one.page.locator("#file-name")).to_have_text("corner.toml")
    one.page.get_by_role("button", name="Undo", exact=True).click()
    expect(one.field("title")).to_have_value("Ledgewater club, corner tank")
    assert one.text == TANK
