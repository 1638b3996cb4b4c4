"""Calls on an executor: taken late, each handed on as it ends, the rest called off at the end."""

from __future__ import annotations

import contextlib
import itertools
import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from typing import TypeVar

from .model import HaltedError

PATIENCE_S = 0.5  # the waiting thread looks up this often, so that Ctrl-C is heard everywhere

Key = TypeVar("Key")
Result = TypeVar("Result")


@contextlib.contextmanager
def own_cores() -> Iterator[Executor]:
    """Threads, one a core, for whoever leaves early: nobody waits for what still runs when the block ends.

    A compiled trial cannot be interrupted, and the process ends without it.
    """
    pool = ThreadPoolExecutor(max_workers=os.cpu_count() or 1)
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def each_done(
    calls: Iterable[tuple[Key, Callable[[], Result]]],
    *,
    executor: Executor | None = None,
    halted: Callable[[], bool] | None = None,
    leave: Callable[[], None] | None = None,
) -> Iterator[tuple[Key, Result]]:
    """Carry out calls and yield what each gives as it ends, in any order.

    Raises HaltedError when ``halted`` said yes before the last call ended.

    Parameters
    ----------
    calls : what to call, and what its result is known by; taken one by one as places fall free, so that
        a generator may decide late.
    executor : any executor of ``concurrent.futures``; threads, one a core, when None. One that knows how
        many workers it has says so as ``places``; one that can lose them all has a ``check``, called
        while nothing ends, which raises when it has.
    halted : asked now and then; once it says yes nothing more is waited for.
    leave : called at the end, before own threads are waited for: tells calls that still run to give up.
    """
    rest = iter(calls)
    own = executor is None
    pool = executor or ThreadPoolExecutor(max_workers=os.cpu_count() or 1)
    check: Callable[[], None] = getattr(executor, "check", lambda: None)
    waiting: dict[Future[Result], Key] = {}
    try:
        ahead = 2 * int(getattr(executor, "places", os.cpu_count() or 1))
        while True:
            for key, call in itertools.islice(rest, ahead - len(waiting)):
                waiting[pool.submit(call)] = key
            if not waiting:
                return
            if halted is not None and halted():
                raise HaltedError("the trials were given up")
            done, _ = wait(waiting, timeout=PATIENCE_S, return_when=FIRST_COMPLETED)
            if not done:
                check()
            for future in done:
                yield waiting.pop(future), future.result()
    finally:
        for future in waiting:
            future.cancel()
        if leave is not None:
            leave()
        if own:
            pool.shutdown(wait=True, cancel_futures=True)
