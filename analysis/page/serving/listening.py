"""Listening on this computer, and ending without waiting for what still runs."""

from __future__ import annotations

import contextlib
import ctypes
import logging
import os
import socket
import sys
from typing import Any

import uvicorn
from starlette.types import ASGIApp

from ...asking.errors import TRACEBACK
from .door import Door
from .guard import HERE
from .jobs import Jobs

_MMAP_THRESHOLD, _LARGE = -3, 1_000_000  # of mallopt(3); bytes
MOST_AT_ONCE = 300  # connections; a page needs a handful


def listen(port: int) -> socket.socket:
    """A socket on loopback that others can connect to from now on; 0: any free port.

    Raises OSError when the port is taken or may not be used.
    """
    # Only a socket that names its protocol is answered without a delay of 40 ms (Nagle's algorithm).
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if sys.platform == "win32":  # there the other option would let a second program take the port over
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((HERE, port))
        listener.listen(128)
    except OSError:
        listener.close()
        raise
    return listener


def server_of(app: ASGIApp, jobs: Jobs) -> uvicorn.Server:
    """A server; its ``run(sockets=[...])`` answers until Ctrl-C, halts the jobs, raises KeyboardInterrupt."""
    _give_memory_back()
    logging.getLogger("asyncio").setLevel(logging.CRITICAL)
    settings: dict[str, Any] = {
        "http": Door,
        "ws": "none",
        "loop": "asyncio",
        "lifespan": "on",
        "log_config": None,
        "log_level": "warning" if os.environ.get(TRACEBACK) else "critical",
        "access_log": False,
        "proxy_headers": False,
        "server_header": False,
        "limit_concurrency": MOST_AT_ONCE,
        "timeout_keep_alive": 60,
        "timeout_graceful_shutdown": 1,
    }
    return _Server(uvicorn.Config(app, **settings), jobs)


def _give_memory_back() -> None:
    """Have large arrays returned to the system when they are let go, where the C library is glibc.

    Left alone it raises that limit with each array it frees, and every thread keeps what it once used: an
    afternoon of trying took twice the memory.
    """
    if sys.platform == "linux":
        with contextlib.suppress(OSError, AttributeError):
            ctypes.CDLL(None).mallopt(_MMAP_THRESHOLD, _LARGE)


class _Server(uvicorn.Server):
    """Lets everybody go who waits for a job before it waits for the last answers."""

    def __init__(self, config: uvicorn.Config, jobs: Jobs) -> None:
        super().__init__(config)
        self._jobs = jobs

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._jobs.close()
        await super().shutdown(sockets)
