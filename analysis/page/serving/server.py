"""The server of the page: which address is answered by what, and what every answer carries.

Nothing heavy runs where requests are taken in: it goes to a few threads of its own, so that whoever follows a
job hears from it at once while a film is made beside it.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import threading
from collections import OrderedDict
from collections.abc import AsyncIterator, Awaitable, Callable
from functools import partial
from importlib.resources import files
from typing import Any, TypeVar

import anyio
from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .. import screen
from . import answers, guard, wire
from .ahead import ALL, FIELDS, ROCK, TANK, load
from .answers import Desk, FilmHandler, Handler
from .job import RUNNING, Job
from .refusals import BUSY, MALFORMED, MISSING, NOT_SO, RefusalError, refusal_of
from .shown import policy_of

T = TypeVar("T")

FOLLOW_S = 10.0  # how long a question waits for news of a job
CALM_S = 0.05  # news that come together are told together
BODY_S = 20.0  # until a request must have arrived
FILM_S = 60.0  # how long a film waits for the one before it to be given up: a slow machine may be loading
THREADS = 4  # answers worked out at a time; others wait

_KINDS = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
_POSTS: dict[str, Handler] = {
    "/begin": answers.begin,
    "/open": answers.open_file,
    "/look": answers.look,
    "/edit": answers.edit,
    "/rock": answers.rock,
    "/species": answers.species,
    "/paste": answers.paste,
    "/estimate": answers.estimate,
    "/watching": answers.watching,
    "/start": answers.start,
}

_FILMS: dict[str, FilmHandler] = {"/film": answers.film, "/live": answers.live}
_STEPS = {answers.begin: FIELDS, answers.look: FIELDS, answers.rock: ROCK, answers.live: TANK}  # others: ALL


def make_app(
    desk: Desk, *, port: int, token: str, rates: guard.Rates | None = None, follow_s: float = FOLLOW_S
) -> ASGIApp:
    """The application that answers on a port; ``token``: what a page must bring along to be answered."""
    made = _Site(desk, token, rates or guard.Rates(), follow_s)
    routes = [
        Route("/", made.index, methods=["GET"]),
        Route("/screen/{name}", made.screen, methods=["GET"]),
        Route("/player.js", made.player, methods=["GET"]),
        Route("/shown/{name}", made.show, methods=["GET"]),
        Route("/stop", made.stop, methods=["POST"]),
        Route("/follow", made.follow, methods=["POST"]),
        *(Route(path, partial(made.filmed, handler), methods=["POST"]) for path, handler in _FILMS.items()),
        *(Route(path, partial(made.answer, handler), methods=["POST"]) for path, handler in _POSTS.items()),
    ]
    handlers = {HTTPException: _in_words, RefusalError: _said, Exception: _said}
    app = Starlette(routes=routes, exception_handlers=handlers, lifespan=made.looking)
    app.router.redirect_slashes = False
    return _Guarded(app, port=port)


async def _body(request: Request) -> bytes:
    """What was sent, never more than is allowed, however it is sent."""
    body = bytearray()
    try:
        with anyio.fail_after(BODY_S):
            async for part in request.stream():
                body += part
                if len(body) > guard.MOST_BYTES:
                    raise guard.too_big()
    except (TimeoutError, ClientDisconnect):
        raise RefusalError(MALFORMED, "What was sent did not arrive as a whole.") from None
    return bytes(body)


class _Site:
    """The answers to requests, around the plain functions of :mod:`rockshy.analysis.page.serving.answers`."""

    def __init__(self, desk: Desk, token: str, rates: guard.Rates, follow_s: float) -> None:
        self._desk, self._token, self._rates, self._follow_s = desk, token, rates, follow_s
        self._films: OrderedDict[tuple[str, str], _Films] = OrderedDict()

    # ---- what the browser loads

    async def index(self, request: Request) -> Response:
        return Response(_index(), media_type=_KINDS["html"])

    async def screen(self, request: Request) -> Response:
        return _file(request.path_params["name"])

    async def player(self, request: Request) -> Response:
        from ..rock.view import player_script

        return Response(player_script(), media_type=_KINDS["js"])

    async def show(self, request: Request) -> Response:
        document = self._desk.shown.get(request.path_params["name"])
        return Response(
            document, media_type=_KINDS["html"], headers={"Content-Security-Policy": policy_of(document)}
        )

    # ---- what the page asks

    async def _let_in(self, request: Request) -> tuple[str, bytes]:
        """The page that asks, and what it sent; raises RefusalError before anything is done about it."""
        headers = request.headers
        guard.check_token(headers.get("x-rockshy-token"), token=self._token)
        page = guard.check_page(headers.get("x-rockshy-page"))
        self._rates.check(page)
        guard.check_kind(headers.get("content-type"))
        guard.check_length(headers.get("content-length"))
        return page, await _body(request)

    async def answer(self, handler: Handler, request: Request) -> Response:
        """Worked out in a thread."""
        page, body = await self._let_in(request)
        work = partial(self._worked_out, handler, page, body)
        return _json(await self._in_thread(work, _STEPS.get(handler, ALL)))

    def _worked_out(self, handler: Handler, page: str, body: bytes) -> str:
        return _text(handler(self._desk, page, wire.read(body)))

    async def stop(self, request: Request) -> Response:
        """At once: whoever stops something does not wait behind it."""
        page, body = await self._let_in(request)
        return _json(_text(answers.stop(self._desk, page, wire.read(body))))

    async def follow(self, request: Request) -> Response:
        """The state of a job, as soon as it is another than the page has seen."""
        page, body = await self._let_in(request)
        told = wire.read(body)
        wire.only(told, "job", "seen")
        job = self._desk.jobs.find(page, wire.taken(told, "job", str))
        seen = wire.number_of(told, "seen", most=wire.LARGEST)
        await _news(job, seen or 0, gone=_gone(request), seconds=self._follow_s)
        return _json(job.state_text())

    async def filmed(self, handler: FilmHandler, request: Request) -> Response:
        """One film of a kind a page: a newer wish ends the one being made, which is answered by nothing."""
        page, body = await self._let_in(request)
        films = self._films.setdefault((handler.__name__, page), _Films())
        self._films.move_to_end((handler.__name__, page))
        while len(self._films) > len(_FILMS) * guard.MOST_PAGES:
            self._films.popitem(last=False)
        async with films.next() as halted:
            if halted.is_set():
                return _json("{}")
            made = asyncio.ensure_future(
                self._in_thread(
                    lambda: _text(handler(self._desk, page, wire.read(body), halted.is_set)),
                    _STEPS.get(handler, ALL),
                )
            )
            left = asyncio.ensure_future(_gone(request))
            try:
                await asyncio.wait({made, left}, return_when=asyncio.FIRST_COMPLETED)
                if left.done():
                    halted.set()
                return _json(await made)
            finally:
                halted.set()
                left.cancel()

    async def _in_thread(self, work: Callable[[], T], steps: int) -> T:
        def loaded() -> T:
            load(steps)
            return work()

        return await anyio.to_thread.run_sync(loaded, abandon_on_cancel=True, limiter=self._threads)

    # ---- as long as it runs

    @contextlib.asynccontextmanager
    async def looking(self, app: Starlette) -> AsyncIterator[None]:
        """Look after the jobs until the server ends."""
        self._threads = anyio.CapacityLimiter(THREADS)
        eye = asyncio.create_task(self._look())
        try:
            yield
        finally:
            eye.cancel()
            self._desk.jobs.close()

    async def _look(self) -> None:
        while True:
            await asyncio.sleep(self._desk.jobs.times.look)
            self._desk.jobs.look()


class _Films:
    """The films of one page, one after another."""

    def __init__(self) -> None:
        self._lock = asyncio.Lock()
        self._newest = threading.Event()

    @contextlib.asynccontextmanager
    async def next(self) -> AsyncIterator[threading.Event]:
        """The turn of a film, once the one before it was given up; the flag says that it is to end too.

        Raises RefusalError when the one before does not end.
        """
        self._newest.set()
        mine = self._newest = threading.Event()
        try:
            await asyncio.wait_for(self._lock.acquire(), FILM_S)
        except TimeoutError:
            raise RefusalError(BUSY, "Another film of this page is being made.") from None
        try:
            yield mine
        finally:
            self._lock.release()


async def _news(job: Job, seen: int, *, gone: Awaitable[None], seconds: float) -> None:
    """Wait until a job shows something new, nobody waits any more, or the time is over."""
    loop, news = asyncio.get_running_loop(), asyncio.Event()

    def wake() -> None:
        with contextlib.suppress(RuntimeError):  # the loop has ended
            loop.call_soon_threadsafe(news.set)

    waiting = {asyncio.ensure_future(news.wait()), asyncio.ensure_future(gone)}
    try:
        with job.watched(wake):
            if job.version == seen and job.state == RUNNING:
                await asyncio.wait(waiting, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
                if news.is_set() and job.state == RUNNING:
                    await asyncio.sleep(CALM_S)
    finally:
        for one in waiting:
            one.cancel()


async def _gone(request: Request) -> None:
    """Wait until whoever asked is no longer there."""
    while (await request.receive())["type"] != "http.disconnect":
        pass


# ---- answers


def _text(told: dict[str, Any]) -> str:
    return json.dumps(told, ensure_ascii=False, allow_nan=False)


def _json(text: str, status: int = 200) -> Response:
    return Response(text, status_code=status, media_type="application/json")


def _refused(refusal: RefusalError) -> Response:
    return _json(_text({"problems": list(refusal.problems)}), refusal.status)


def _file(name: str) -> Response:
    """A file of the page: one that lies in its folder and has an ending that a browser is given."""
    there = {one.name: one for one in files(screen).iterdir()}
    kind = _KINDS.get(name.rpartition(".")[2])
    if kind is None or name not in there or name.startswith("."):
        raise HTTPException(MISSING)
    return Response(there[name].read_bytes(), media_type=kind)


def _index() -> str:
    """The page, which names every module, so that none is waited for in turn."""
    folder = files(screen)
    names = sorted(one.name for one in folder.iterdir() if one.name.endswith(".js"))
    links = "\n".join(f'<link rel="modulepreload" href="/screen/{name}">' for name in names)
    return (folder / "index.html").read_text(encoding="utf-8").replace("{{ modules }}", links)


async def _in_words(request: Request, problem: Exception) -> Response:
    """What Starlette refuses, said as everything else is."""
    assert isinstance(problem, HTTPException)
    said = {MISSING: "There is nothing at this address.", NOT_SO: "This address is not asked like that."}
    status = problem.status_code
    answer = _refused(RefusalError(status, said.get(status, "This cannot be answered.")))
    answer.headers.update(problem.headers or {})
    return answer


async def _said(request: Request, fault: Exception) -> Response:
    return _refused(refusal_of(fault))


class _Guarded:
    """Around everything: foreign requests go no further, and every answer carries the same headers."""

    def __init__(self, app: ASGIApp, *, port: int) -> None:
        self._app, self._port = app, port

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        begun = False

        async def send_guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                headers.update(guard.HEADERS)
                headers.setdefault("Content-Security-Policy", guard.PAGE_POLICY)
            await send(message)

        try:
            headers = Headers(scope=scope)
            guard.check_host(headers.get("host"), port=self._port)
            guard.check_origin(headers.get("origin"), port=self._port)
            await self._app(scope, receive, send_guarded)
        except Exception as fault:  # a fault of our own comes by here once more after it was answered
            if not begun and not isinstance(fault, ClientDisconnect):
                await _refused(refusal_of(fault))(scope, receive, send_guarded)
