"""``rockshy page`` as one types it: what it says, what it refuses, how it ends."""

from __future__ import annotations

import json
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest
from command_line import assert_refused, four_fish, interrupts, work_in
from fake_page import AT_MOST_S, PAGE, command, draft, sent
from rockshy import scenarios
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.commands import main
from rockshy.analysis.commands import page as page_command
from rockshy.analysis.page.serving.first import is_too_long, read_draft, ready_draft
from rockshy.analysis.page.serving.listening import listen
from rockshy.analysis.page.task import Draft, StockList

HEAVY = ("numpy", "numba", "matplotlib", "mesa", "scipy", "pandas")
GOOD = four_fish(title="Four fish", trials=2)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return work_in(tmp_path, monkeypatch, good=GOOD)


class Going:
    """The command in a process of its own, with a browser's way to ask it."""

    def __init__(self, process: subprocess.Popen[str], address: str) -> None:
        self.process = process
        base, _, self.token = address.partition("/#")
        self.port = int(base.rpartition(":")[2])
        # the first answer waits for the rules to be compiled, where nothing ran before
        self.client = httpx.Client(base_url=base, timeout=300)

    def post(self, path: str, body: Any) -> httpx.Response:
        headers = {"X-Rockshy-Token": self.token, "X-Rockshy-Page": PAGE, "Content-Type": "application/json"}
        return self.client.post(path, content=json.dumps(body), headers=headers)

    def end(self, by: signal.Signals = signal.SIGINT) -> tuple[int, str, str]:
        """The exit status and what was said on either way out since the address."""
        self.process.send_signal(by)
        out, err = self.process.communicate(timeout=120)
        return self.process.returncode, out, err


@interrupts
def test_the_page_is_served_used_and_ended(here: Path) -> None:
    with command("good.toml", "--port", "0") as started:
        page = Going(*started)
        assert page.client.get("/").status_code == 200
        assert page.client.get("/", headers={"Host": f"evil.example:{page.port}"}).status_code == 403
        begun = page.post("/begin", {})
        assert begun.status_code == 200, begun.text
        assert begun.json()["draft"] == {"text": GOOD, "name": "good.toml", "stock_list": None}
        assert begun.json()["view"]["title"] == "Four fish"
        assert page.client.post("/begin", content="{}").status_code == 403
        assert page.end(signal.SIGTERM)[0] in (0, -signal.SIGTERM)
    assert sorted(one.name for one in here.iterdir()) == ["good.toml"]


@interrupts
def test_ctrl_c_ends_it_while_trials_run_and_somebody_waits_for_them(here: Path) -> None:
    long = draft(trials=10_000, days=60, settle=1)
    start = {"draft": sent(long), "what": {"kind": "try", "which": 0}}
    with command("--port", "0") as started:
        page = Going(*started)
        begun = page.post("/start", start)
        assert begun.status_code == 200, begun.text
        job = begun.json()["job"]
        first = page.post("/follow", {"job": job, "seen": 0}).json()
        assert first["state"] == "running"
        assert page.post("/start", start).status_code == 409
        with socket.create_connection(("127.0.0.1", page.port), timeout=AT_MOST_S) as waiting:
            body = json.dumps({"job": job, "seen": 2**50})
            head = f"POST /follow HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nContent-Length: {len(body)}\r\n"
            head += f"X-Rockshy-Token: {page.token}\r\nX-Rockshy-Page: {PAGE}\r\n"
            waiting.sendall(f"{head}Content-Type: application/json\r\n\r\n{body}".encode())
            status, out, err = page.end()
    assert (status, out) == (0, "")
    assert "has ended" in err and "Traceback" not in err


def test_it_listens_before_anything_heavy_is_loaded() -> None:
    code = (
        "import sys, rockshy.analysis.commands.page as command\n"
        "from rockshy.analysis.page.serving.answers import Desk\n"
        "from rockshy.analysis.page.serving.server import make_app\n"
        "from rockshy.analysis.page.serving.listening import server_of\n"
        "listener = command._listener(0)\n"
        "desk = Desk(command._first('mild-with-hot'))\n"
        "server_of(make_app(desk, port=1, token='x'), desk.jobs)\n"
        f"sys.exit(', '.join(name for name in {HEAVY} if name in sys.modules) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_the_fields_and_the_rock_are_there_without_the_model() -> None:
    code = (
        "import sys\n"
        "from rockshy.analysis.page.serving import ahead, answers, first\n"
        "ahead.load(ahead.ROCK)\n"
        "desk = answers.Desk(first.ready_draft('young-together'))\n"
        "assert answers.begin(desk, '', {})['view']['good']\n"
        "from rockshy.analysis.page.rock.view import rock_view\n"
        "assert rock_view(desk.first, 0, None)\n"
        "sys.exit(', '.join(name for name in ('mesa', 'pandas', 'matplotlib') if name in sys.modules) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["nowhere.toml"], '"nowhere.toml" does not exist'),
        (["mild-with-hto"], "Did you mean mild-with-hot"),
        (["."], "a folder"),
        (["\0"], "leave them out"),
        (["broken.toml"], "line 2"),
        (["latin.toml"], "not saved as UTF-8"),
        (["long.toml"], "bytes"),
        (["full.toml"], "too long for the page"),
        (["list.toml"], '"fish.csv" does not exist'),
        (["good.toml", "--port", "x"], 'is "x"; use a whole number from 1024 to 65535, or 0'),
        (["good.toml", "--port", "80"], "from 1024 to 65535"),
        (["good.toml", "--port", "65536"], "from 1024 to 65535"),
        (["good.toml", "--port", "-1"], "--port"),
        (["good.toml", "--port", "9" * 5000], "from 1024 to 65535"),
        (["good.toml", "other.toml"], "does not take other.toml"),
    ],
)
def test_bad_input_gets_one_message(
    here: Path, capsys: pytest.CaptureFixture[str], argv: list[str], said: str
) -> None:
    (here / "broken.toml").write_text("[tank]\nlength = 5 in\n", encoding="utf-8")
    (here / "latin.toml").write_bytes(b'title = "caf\xe9"\n')
    (here / "long.toml").write_text("#" * 1_000_001, encoding="utf-8")
    (here / "full.toml").write_text(f"{GOOD}\n#{'x' * 980_000}", encoding="utf-8")
    (here / "list.toml").write_text('stock_list = "fish.csv"\n[tank]\nlength = 60\n', encoding="utf-8")
    assert_refused(capsys, "page", *argv, "--no-browser", said=said)


def test_a_port_that_is_taken_is_refused_when_it_was_asked_for(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with listen(0) as taken:
        port = taken.getsockname()[1]
        argv = ("page", "good.toml", "--port", str(port), "--no-browser")
        assert_refused(capsys, *argv, said=f"--port {port} cannot be used")


def test_a_usual_port_that_is_taken_is_replaced_and_that_is_said(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with listen(0) as taken:
        usual = taken.getsockname()[1]
        monkeypatch.setattr(page_command, "PORT", usual)
        with page_command._listener(None) as own:
            assert own.getsockname()[0] == "127.0.0.1"
            assert own.getsockname()[1] != usual
    assert f"Port {usual} is taken" in capsys.readouterr().err
    with page_command._listener(None) as own:
        assert own.getsockname()[1] == usual
    assert capsys.readouterr().err == ""


def test_a_file_is_handed_over_as_it_is_with_its_stock_list(here: Path) -> None:
    text = "\ufeff# mine\r\nstock_list = 'lists/fish.csv'\r\n"
    (here / "lists").mkdir()
    fish = "species;males\r\nTropheus moorii \u00e9;1\r\n"
    (here / "lists" / "fish.csv").write_bytes(fish.encode("cp1252"))
    (here / "mine.toml").write_bytes(text.encode())
    first = page_command._first("mine.toml")
    assert first == Draft(text, "mine.toml", StockList("fish.csv", fish))


def test_a_ready_scenario_is_the_demo_or_one_that_is_named(here: Path) -> None:
    for asked in (scenarios.DEMO, f"{scenarios.DEMO}.toml"):
        assert page_command._first(asked) == ready_draft(scenarios.DEMO)
    (here / f"{scenarios.DEMO}.toml").write_text(GOOD, encoding="utf-8")
    assert page_command._first(f"{scenarios.DEMO}.toml").text == GOOD  # a file of one's own comes first
    with pytest.raises(RefusedError, match="ready scenario"):
        page_command._first("nothing-like-it-at-all")


def test_what_cannot_be_read_at_once_is_left_to_the_reader_of_files(here: Path) -> None:
    for text in ("a = ", "stock_list = 'nowhere.csv'", "a = " + "[" * 5000):
        (here / "odd.toml").write_text(text, encoding="utf-8")
        assert read_draft(here / "odd.toml") is None
    assert read_draft(here / "nowhere.toml") is None
    assert read_draft(here) is None
    assert not is_too_long(ready_draft(scenarios.DEMO))


def test_the_browser_is_opened_at_the_address_unless_it_is_not_wanted(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    opened: list[str] = []

    class Ended:
        def run(self, *, sockets: list[socket.socket]) -> None:
            sockets[0].close()
            raise KeyboardInterrupt

    class AtOnce:
        def __init__(self, *, target: Any, args: tuple[Any, ...] = (), **_: Any) -> None:
            self.start = lambda: target(*args)

    left: list[int] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr("rockshy.analysis.page.serving.listening.server_of", lambda *_: Ended())
    monkeypatch.setattr(page_command, "_prepare", lambda: None)
    monkeypatch.setattr(page_command.threading, "Thread", AtOnce)
    monkeypatch.setattr("rockshy.analysis.commands._leave_at_once", left.append)
    assert main(["page", "good.toml", "--port", "0"]) == 0
    told = capsys.readouterr()
    assert opened == [told.out.split()[-1]]
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/#[\w-]{32}", opened[0])
    assert "has ended" in told.err
    assert left == [0]
    assert main(["page", "good.toml", "--port", "0", "--no-browser"]) == 0
    assert len(opened) == 1
    assert capsys.readouterr().out.split()[-1] != opened[0]  # another token
