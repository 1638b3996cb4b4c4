"""Trials on a real scheduler with two worker processes, one of which is killed; clear words otherwise."""

from __future__ import annotations

import contextlib
import itertools
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
import pytest
from rockshy.analysis.commands import main
from rockshy.analysis.study.kept import Kept
from rockshy.analysis.study.recipe import recipe_of
from rockshy.analysis.study.runner import kept_trials
from rockshy.sim import run_trials
from rockshy.sim.run import cluster as clusters
from rockshy.sim.run.cluster import ClusterError, check_address, cluster
from rockshy.sim.run.table import Arm, Trials
from rockshy.sim.run.trials import each_trial
from staging import ROCKY, kind, needs_compiling, row, scene

PATIENCE_S = 60.0


def scenario(trials: int):
    """Four fish of two kinds for two lit hours: each trial takes long enough to be killed in."""
    kinds = (kind("Scena mitis", temper=0.3, timidity=2.0),)
    rows = (row(males=1, females=1), row("Scena mitis", males=1, females=1, length=7.0))
    return scene(
        *rows, kinds=kinds, rock=ROCKY, lit_hours=1.0, days=2.0, trials=trials, fixed=False, guesses=3
    )


def numbers(trials: Trials) -> list[object]:
    """Every number of the Trials table."""
    told: list[object] = [trials.title, trials.watch, trials.asked]
    for name, arm in trials.arms.items():
        told += [name, arm.fish.label]
        arrays = ((part.name, getattr(arm, part.name)) for part in fields(Arm))
        told += [
            (part, value.dtype, value.shape, value.tobytes())
            for part, value in arrays
            if isinstance(value, np.ndarray)
        ]
    return told


@dataclass
class Workplace:
    """A scheduler and its two workers, each a process of its own."""

    address: str
    workers: list[subprocess.Popen[bytes]]


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@pytest.fixture(scope="module")
def workplace(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workplace]:
    folder = tmp_path_factory.mktemp("cluster")
    address = f"tcp://127.0.0.1:{free_port()}"
    started: list[subprocess.Popen[bytes]] = []

    def start(program: str, *options: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", f"distributed.cli.{program}", *options, "--no-dashboard"]
        with (folder / f"{len(started)}.log").open("wb") as log:
            started.append(subprocess.Popen(command, cwd=folder, stdout=log, stderr=log))
        return started[-1]

    start("dask_scheduler", "--host", "127.0.0.1", "--port", address.rpartition(":")[2], "--no-show")
    alone = ("--no-nanny", "--nthreads", "1", "--local-directory", str(folder))
    workers = [start("dask_worker", address, *alone, "--name", name) for name in ("one", "two")]
    try:
        yield Workplace(address, workers)
    finally:
        for process in started:
            process.kill()
            process.wait()


def kill_when_busy(workplace: Workplace, client, progress: threading.Event, killed: threading.Event) -> None:
    """Kill the first worker once some trials are done and it is at another one."""
    progress.wait(PATIENCE_S)
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        told = client.scheduler_info()["workers"].items()
        address = next(address for address, worker in told if worker["name"] == "one")
        if client.processing().get(address):
            os.kill(workplace.workers[0].pid, signal.SIGKILL)
            killed.set()
            return
        time.sleep(0.01)


@needs_compiling
def test_a_killed_worker_changes_no_result(workplace: Workplace, tmp_path: Path) -> None:
    asked = scenario(12)
    some_done, killed = threading.Event(), threading.Event()
    with cluster(workplace.address, patience_s=PATIENCE_S) as pool:
        pool._client.wait_for_workers(2, timeout=PATIENCE_S)
        assert pool.places == 2
        killer = threading.Thread(
            target=kill_when_busy, args=(workplace, pool._client, some_done, killed), daemon=True
        )
        killer.start()
        with Kept(tmp_path / "out", recipe=recipe_of("run", asked)) as kept:
            trials = kept_trials(
                asked, kept=kept, executor=pool, progress=lambda done, _: done >= 3 and some_done.set()
            )
            assert len(kept) == 12
        killer.join(PATIENCE_S)
        assert killed.is_set()
        end = time.monotonic() + PATIENCE_S
        while pool.places != 1 and time.monotonic() < end:
            time.sleep(0.01)
        assert pool.places == 1
    assert trials.done == 12
    assert numbers(trials) == numbers(run_trials(asked))


@needs_compiling
def test_another_simulator_on_the_workers_is_refused(
    workplace: Workplace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clusters, "sources", lambda: "0123456789abcdef")
    told = pytest.raises(ClusterError, match="another simulator.*sources 0123456789abcdef")
    with told, cluster(workplace.address, patience_s=PATIENCE_S) as pool:
        run_trials(scenario(2), executor=pool)


@needs_compiling
def test_the_command_sends_its_trials_there(workplace: Workplace, capsys: pytest.CaptureFixture[str]) -> None:
    line = ["run", "one-male", "--trials", "2", "--days", "0.2", "--json"]
    assert main(line) == 0
    local = capsys.readouterr().out
    assert main([*line, "--cluster", workplace.address]) == 0
    said = capsys.readouterr()
    assert workplace.address in said.err
    assert said.out == local


def test_a_fault_in_a_trial_is_no_fault_of_the_cluster(workplace: Workplace) -> None:
    with pytest.raises(ZeroDivisionError), cluster(workplace.address, patience_s=PATIENCE_S) as pool:
        pool.submit(divmod, 1, 0).result()


@needs_compiling
def test_all_workers_killed_is_said(workplace: Workplace) -> None:
    """The last test of this workplace: nobody works there any more."""
    told = pytest.raises(ClusterError, match="all workers are lost")
    with told, cluster(workplace.address, patience_s=PATIENCE_S) as pool:
        pool._clock = itertools.count(pool._clock(), clusters.LOOK_S).__next__  # a look is seconds on
        for _ in each_trial(scenario(60), executor=pool):
            for worker in workplace.workers:
                worker.kill()
                worker.wait()


class Scheduler:
    """Instead of a client: says how many threads each worker has, time after time; None: no answer."""

    def __init__(self, *threads: int | None) -> None:
        self.threads = list(threads)
        self.scheduler = self
        self.ncores = None

    def get_executor(self, *, pure: bool) -> None:
        assert not pure

    def sync(self, asked: object, *, callback_timeout: float) -> dict[str, int]:
        threads = self.threads.pop(0)
        if threads is None:
            raise TimeoutError(f"{asked} in {callback_timeout} s")
        return {"a worker": threads} if threads else {}


def checked(*threads: int | None, every_s: float) -> int:
    """How many times somebody may look, ``every_s`` apart, before all workers count as lost."""
    client = Scheduler(*threads)
    now = itertools.count(0.0, every_s)
    pool = clusters.ClusterExecutor(client, clock=now.__next__)
    for looks in range(1, len(threads) + 1):
        try:
            pool.check()
        except ClusterError as told:
            assert "all workers are lost" in str(told)
            assert "--out" in str(told)
            return looks
    return 0


def test_workers_may_be_away_for_a_while_but_not_for_long() -> None:
    assert clusters.LOST_S + 2 * clusters.LOOK_S <= 30
    for none in (0, None):
        assert checked(2, none, none, none, 1, none, none, none, 2, every_s=clusters.LOST_S / 2.5) == 0
        assert checked(2, none, none, none, none, 1, every_s=clusters.LOST_S / 2.5) == 5
    assert checked(2, 0, 2, 0, 2, every_s=1000.0) == 0  # nobody looked for long: no reason to give up
    assert checked(*[0] * 60, every_s=clusters.LOOK_S / 100) == 0  # nor is it asked all the time


@pytest.mark.parametrize(
    "address",
    ["", "localhost", "localhost:8786", "http://localhost:1", "tcp://localhost", "tcp://:1", "tcp://a:0",
     "tcp://a:65536", "tcp://a b:1", "tcp://a:1/x", "tcp://[::1:1"],
)  # fmt: skip
def test_a_malformed_address_is_refused(address: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(ClusterError, match="tcp://HOST:PORT"):
        check_address(address)
    with pytest.raises(SystemExit) as end:
        main(["run", "one-male", "--cluster", address])
    assert end.value.code == 2
    assert "use tcp://HOST:PORT" in capsys.readouterr().err


@pytest.mark.parametrize("address", ["tcp://a:1", "tcp://192.168.1.5:8786", "tcp://[::1]:65535"])
def test_a_good_address_is_taken(address: str) -> None:
    assert check_address(address) == address


def refused(address: str, capsys: pytest.CaptureFixture[str], folder: Path) -> str:
    out = folder / "out"
    assert main(["run", "one-male", "--cluster", address, "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert not out.exists()
    assert "Traceback" not in said.err
    return said.err


def test_nobody_answering_is_said(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    shortly(monkeypatch)
    assert "nothing answers at tcp://127.0.0.1" in refused(f"tcp://127.0.0.1:{free_port()}", capsys, tmp_path)
    with socket.socket() as mute:  # somebody who never says a word
        mute.bind(("127.0.0.1", 0))
        mute.listen()
        assert "nothing answers" in refused(f"tcp://127.0.0.1:{mute.getsockname()[1]}", capsys, tmp_path)


def shortly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for half a second where a keeper's computer waits for ten."""
    whole = clusters.cluster

    def cluster(address: str) -> contextlib.AbstractContextManager[clusters.ClusterExecutor]:
        return whole(address, patience_s=0.5)

    monkeypatch.setattr(clusters, "cluster", cluster)


def test_a_missing_extra_is_said(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert 'pip install "rockshy[cluster]"' in refused("tcp://127.0.0.1:1", capsys, tmp_path)


def test_a_scheduler_without_workers_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    class Idle:
        def wait_for_workers(self, n: int, *, timeout: float) -> None:
            raise TimeoutError(f"{n} workers in {timeout} s")

        def close(self, *, timeout: float) -> None:
            pass

    monkeypatch.setattr(clusters, "_connected", lambda *_: Idle())
    with pytest.raises(ClusterError, match="no worker after 10 s"), cluster("tcp://127.0.0.1:1"):
        pass
