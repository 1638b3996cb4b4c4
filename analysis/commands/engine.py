"""Where trials run: threads, one a core, or the workers of a cluster with ``--cluster``."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Iterator
from concurrent.futures import Executor

from ..asking.errors import RefusedError
from ..asking.progress import say


@contextlib.contextmanager
def engine(line: argparse.Namespace) -> Iterator[Executor]:
    """The executor that a command line asks for.

    When the block ends early (Ctrl-C, an error) what is waiting is called off and nobody waits for
    trials that still run: a compiled trial cannot be interrupted, and the process ends without it.

    Parameters
    ----------
    line : ``cluster`` is an address, or None or missing for this computer's own cores.

    Raises
    ------
    RefusedError
        When the cluster cannot be reached, or is lost inside the block.
    """
    address = getattr(line, "cluster", None)
    if address is not None:
        with _remote(address) as pool:
            yield pool
        return
    from ...sim.run.running import own_cores

    with own_cores() as pool:
        yield pool


@contextlib.contextmanager
def _remote(address: str) -> Iterator[Executor]:
    from ...sim.run.cluster import ClusterError, cluster

    try:
        with cluster(address) as pool:
            say(f"The cluster at {address} simulates {pool.places} of them at a time.")
            yield pool
    except ClusterError as problem:
        raise RefusedError(f"--cluster {address}: {problem}") from problem
