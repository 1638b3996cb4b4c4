"""Trials on a Dask cluster (extra ``[cluster]``): a scheduler's own executor, with clear errors.

Jobs are functions of scenario and trial number, so the cluster changes no result. A worker that is
lost is no error: the scheduler has its trials run again by another one. To have lost all of them is one,
which the library would wait out in silence.
"""

from __future__ import annotations

import contextlib
import logging
import re
import time
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Executor, Future
from importlib import import_module
from queue import Empty, Queue
from threading import Thread
from typing import Any

from .identity import release, sources

PATIENCE_S = 10.0  # how long a scheduler, and its first worker, may take to answer
LOST_S = 20.0  # how long a run goes on without any worker: one may just be starting again
LOOK_S = 5.0  # how often somebody looks whether there are any, and how long the scheduler may take to say
_LEEWAY_S = 1.0  # for the library to give up by itself
ALLOWED = "tcp://HOST:PORT, as in tcp://192.168.1.5:8786"
_ADDRESS = re.compile(r"tcp://([A-Za-z0-9._-]+|\[[0-9A-Fa-f:.]+\]):([0-9]{1,5})")


class ClusterError(Exception):
    """A cluster cannot be used; the message says what was found and what is allowed."""


def check_address(address: str) -> str:
    """The address itself. Raises ClusterError when it is not of the form tcp://HOST:PORT."""
    form = _ADDRESS.fullmatch(address)
    if form is None or not 1 <= int(form[2]) <= 65535:
        raise ClusterError(f'"{address[:80]}" is not an address; use {ALLOWED}')
    return address


class ClusterExecutor(Executor):
    """The scheduler's executor; every job first checks that the worker runs the same simulator.

    ``places`` is how many jobs the workers run at a time; ``clock`` gives seconds.
    """

    def __init__(self, client: Any, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._client = client
        self._pool: Executor = client.get_executor(pure=False)
        self._clock = clock
        self._looked = clock()
        self._lost: float | None = None  # when somebody first looked and saw no worker

    @property
    def places(self) -> int:
        client = self._client
        return int(sum(client.sync(client.scheduler.ncores, callback_timeout=LOOK_S).values()))

    def check(self) -> None:
        """See whether there are workers; called often it looks every few seconds.

        Raises ClusterError when there has been none for a while, or nobody could tell.
        """
        now = self._clock()
        if now - self._looked < LOOK_S:
            return
        self._looked = now
        if self._has_workers():
            self._lost = None
            return
        self._lost = now if self._lost is None else self._lost
        if now - self._lost >= LOST_S:
            raise ClusterError(
                f"all workers are lost: there has been none for {LOST_S:g} s. Start at least one; with --out "
                "the same command carries on from what is finished"
            )

    def _has_workers(self) -> bool:
        try:
            return self.places > 0
        except (OSError, TimeoutError):  # nobody who could tell
            return False

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        return self._pool.submit(_on_worker, sources(), release(), fn, args, kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self._pool.shutdown(wait=wait and not cancel_futures)


def _on_worker(
    source: str, version: str, fn: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]
) -> Any:
    if sources() != source:
        raise ClusterError(
            f"a worker runs another simulator (rockshy {release()}, sources {sources()}); install the one "
            f"used here on it (rockshy {version}, sources {source})"
        )
    return fn(*args, **kwargs)


@contextlib.contextmanager
def cluster(address: str, *, patience_s: float = PATIENCE_S) -> Iterator[ClusterExecutor]:
    """An executor on the workers of a scheduler.

    Raises ClusterError when the extra is not installed, the address is malformed, nobody answers, or, inside
    the block, when the cluster is lost or its workers run another simulator.

    Parameters
    ----------
    address : of the scheduler, tcp://HOST:PORT.
    patience_s : how long to wait for the scheduler and for its first worker, s.
    """
    client = _connected(check_address(address), patience_s)
    try:
        _wait_for_worker(client, patience_s)
        yield ClusterExecutor(client)
    except CancelledError:
        raise ClusterError("the scheduler was lost during the run; start it again") from None
    except Exception as fault:
        told = _explained(fault)
        if told is None:
            raise
        raise told from fault
    finally:
        with contextlib.suppress(Exception):
            client.close(timeout=1.0)


def _connected(address: str, patience_s: float) -> Any:
    try:
        distributed = import_module("distributed")
    except ImportError as problem:
        raise ClusterError(
            f"the extra for clusters is not installed ({problem}); type "
            'python -m pip install "rockshy[cluster]"'
        ) from None
    _hush()
    answer: Queue[Any] = Queue()

    def ask() -> None:
        try:
            answer.put(distributed.Client(address, timeout=patience_s, set_as_default=False))
        except Exception as problem:
            answer.put(problem)

    # In a thread of its own: the library waits for ever on a program that takes calls and says nothing.
    Thread(target=ask, daemon=True).start()
    with contextlib.suppress(Empty):
        client = answer.get(timeout=patience_s + _LEEWAY_S)
        if not isinstance(client, Exception):
            return client
        if not isinstance(client, OSError | ValueError):
            raise client
    raise ClusterError(f"nothing answers at {address} within {patience_s:g} s; start the scheduler first")


def _hush() -> None:
    """Turn off the log messages of the libraries: what matters is said by the errors here."""
    for name in [*logging.root.manager.loggerDict, "tornado.application"]:
        if name.split(".")[0] in ("distributed", "tornado"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)


def _wait_for_worker(client: Any, patience_s: float) -> None:
    try:
        client.wait_for_workers(1, timeout=patience_s)
    except TimeoutError:
        raise ClusterError(
            f"the scheduler answers but has no worker after {patience_s:g} s; start at least one"
        ) from None


def _explained(fault: Exception) -> ClusterError | None:
    """A fault of the cluster in plain words; None for any other."""
    name = type(fault).__name__
    if name == "KilledWorker":
        return ClusterError(
            "one simulated tank ended several workers in a row; they may have too little memory"
        )
    is_missing = isinstance(fault, ModuleNotFoundError) and str(fault.name).startswith("rockshy")
    if is_missing or "deserializ" in str(fault).lower():
        return ClusterError(
            f"the scheduler or a worker cannot take the job ({name}); install rockshy {release()} "
            "beside each of them"
        )
    return None
