"""``rockshy page``: build, try and change a tank in the browser, on this computer alone."""

from __future__ import annotations

import argparse
import contextlib
import socket
import threading
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from ... import scenarios
from ..asking.errors import DONE, RefusedError
from ..asking.numbers import whole
from ..asking.progress import OF_A_RUN, say, say_if_preparing
from .options import FILE_HELP

if TYPE_CHECKING:
    from ...sim.scenario.given import GivenDraws
    from ..page.task import Draft
    from ..study.remembered import Remembered

PORT = 18426  # always the same where it is free: a browser keeps what was typed for one address
LEAST_PORT, MOST_PORT = 1024, 65535
_PORTS = f"a whole number from {LEAST_PORT} to {MOST_PORT}, or 0"


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "The page asks nobody but this computer and works without the internet. It listens on 127.0.0.1 "
        "alone; whoever opens it needs the whole address that is printed. Ctrl-C ends it, with status 0. "
        "What was typed stays in the browser, and is found again at the same port."
    )
    parser.add_argument(
        "file",
        metavar="FILE",
        nargs="?",
        default=scenarios.DEMO,
        help=f"{FILE_HELP}; default: {scenarios.DEMO}, the demo",
    )
    parser.add_argument(
        "--port",
        metavar="N",
        type=whole(LEAST_PORT, MOST_PORT, zero=True, allowed=_PORTS),
        help=f"listen on this port, 0 for any free one; default: {PORT}, or a free one where that is taken",
    )
    parser.add_argument(
        "--fit",
        metavar="DIR",
        help="use the guesses that rockshy fit narrowed by your tally",
    )
    parser.add_argument(
        "--keep-nothing",
        action="store_true",
        help="keep no simulated tanks in your cache folder (300 MB at most) to show again at once",
    )
    parser.add_argument("--no-browser", action="store_true", help="print the address and open nothing")


def carry_out(line: argparse.Namespace) -> int:
    """Serve the page until Ctrl-C."""
    if line.rules is not None:
        raise RefusedError("page does not take rules of your own; use any other command")
    first = _first(line.file)
    given = None if line.fit is None else _given(line)
    listener = _listener(line.port)
    with contextlib.suppress(KeyboardInterrupt):
        _serve(first, listener, given, browse=not line.no_browser, keep=not line.keep_nothing)
    say("The page has ended. The browser keeps what you typed, for this address.")
    from . import _leave_at_once

    _leave_at_once(DONE)
    return DONE


def _first(asked: str) -> Draft:
    """What the page begins with; a file with problems is shown with them, as long as it is TOML."""
    from ..page.serving.first import is_too_long, read_draft, ready_draft

    path = Path(asked)
    name = asked.removesuffix(".toml")
    if "\0" not in asked and not path.exists() and name in scenarios.names():
        return ready_draft(name)
    draft = None if "\0" in asked else read_draft(path)
    if draft is None:
        from .finding import find

        find(asked)  # says what is wrong with it
        raise RefusedError(f"{asked} cannot be read; use a scenario file in UTF-8")
    if is_too_long(draft):
        raise RefusedError(f"{asked} is too long for the page, with its stock list; use at most 900000 bytes")
    return draft


def _given(line: argparse.Namespace) -> GivenDraws | None:
    """The draws of ``--fit``, which must be of the tank that the page begins with."""
    from ..questions.fit.fitted import with_fit
    from ..questions.fit.words import ONLY_NOW
    from .finding import find

    given = with_fit(find(line.file), line.fit).given
    say(f"Everything you try is run with the guesses narrowed by the tally in {line.fit}. {ONLY_NOW}")
    return given


def _listener(port: int | None) -> socket.socket:
    """A socket that listens, on the port asked for or one of our own.

    Raises
    ------
    RefusedError
        When the port asked for cannot be had.
    """
    from ..page.serving.listening import listen

    if port is not None:
        try:
            return listen(port)
        except OSError as problem:
            raise RefusedError(
                f"--port {port} cannot be used ({problem.strerror}); use a free port, or 0 for any free one"
            ) from problem
    try:
        return listen(PORT)
    except OSError:
        own = listen(0)
        say(
            f"Port {PORT} is taken, perhaps by another page of Rockshy. This page gets another address, "
            "where the browser will not find what it kept for the usual one."
        )
        return own


def _serve(
    first: Draft, listener: socket.socket, given: GivenDraws | None, *, browse: bool, keep: bool
) -> None:
    import secrets

    from ..page.serving.answers import Desk
    from ..page.serving.guard import HERE
    from ..page.serving.jobs import Jobs
    from ..page.serving.listening import server_of
    from ..page.serving.server import make_app

    port, token = listener.getsockname()[1], secrets.token_urlsafe(24)
    address = f"http://{HERE}:{port}/#{token}"
    desk = Desk(first, jobs=Jobs(remember=_remembered if keep else lambda: None), given=given)
    app = make_app(desk, port=port, token=token)
    print(f"Open this address in a browser on this computer; Ctrl-C here ends it.\n  {address}", flush=True)
    threading.Thread(target=_prepare, name="preparing", daemon=True).start()
    if browse:
        threading.Thread(target=_browse, args=(address,), name="browser", daemon=True).start()
    server_of(app, desk.jobs).run(sockets=[listener])


@cache
def _remembered() -> Remembered:
    """Trials of this and earlier pages; made when first asked for, since that loads the simulator."""
    from ..study.remembered import Remembered

    return Remembered()


def _prepare() -> None:
    """Load what the page needs before it is asked for; where rules must be compiled, say so."""
    from ..page.serving.ahead import load_ahead

    with contextlib.suppress(Exception):  # whatever fails here is said where it is asked for
        load_ahead(before_rules=lambda: say_if_preparing(last=OF_A_RUN))


def _browse(address: str) -> None:
    import webbrowser

    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(address)
