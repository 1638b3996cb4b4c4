"""As a program: the same run begun again and again, each time killed at a random moment, then left to end.

    python killed_run.py jobs FOLDER KILLS      made-up outcomes, so that only the keeping is tried
    python killed_run.py command FOLDER KILLS   the whole command with the simulator, in FOLDER/small.toml

Writes FOLDER/log with a line for everything that happened: "begin", "there 3", "ran 5", "told 5", "keeping",
"writing", "killed". A run is killed a random while after it has begun so many trials, or another thing.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from fake_jobs import made_up, opened, scenario
from rockshy.analysis.commands import main
from rockshy.analysis.study import paths as result_paths
from rockshy.analysis.study import store
from rockshy.analysis.study.runner import each_kept_job
from rockshy.sim.run import trials as simulator
from rockshy.sim.run.trials import Job

TRIALS = 150
AT_THE_END = ("keeping", "writing")  # what the last runs of the command are killed in
simulate = simulator.run_trial


class Log:
    """Lines that are in the file when ``write`` returns, whatever happens to the process."""

    def __init__(self, folder: Path) -> None:
        self._file = os.open(folder / "log", os.O_RDWR | os.O_CREAT | os.O_APPEND)

    def write(self, *words: object) -> None:
        os.write(self._file, (" ".join(str(word) for word in words) + "\n").encode())

    def since_begin(self) -> str:
        whole = os.pread(self._file, 1_000_000, 0).decode()
        return whole.rpartition("begin\n")[2]


def run_jobs(folder: Path, log: Log) -> None:
    asked = scenario(trials=TRIALS)
    jobs = [Job(0, trial) for trial in range(TRIALS)]
    with opened(folder, asked) as kept:
        for job in jobs:
            if job in kept:
                log.write("there", job.trial)
        log.write("listed")
        for job, _ in each_kept_job([asked], jobs, kept=kept):
            log.write("told", job.trial)


def made_up_slowly(asked: Any, trial: int, *, arms: Any, log: Log) -> Any:
    log.write("ran", trial)
    time.sleep(0.002)
    return made_up(asked, trial, arms=arms)


def run_command(folder: Path, log: Log) -> None:
    os.chdir(folder)
    if main(["run", "small.toml", "--out", "result"]) != 0:
        log.write("failed")


def simulated(asked: Any, trial: int, *, arms: Any, log: Log) -> Any:
    log.write("ran", trial)
    return simulate(asked, trial, arms=arms)


def logged(fn: Callable[..., Any], word: str, log: Log) -> Callable[..., Any]:
    def wrapped(*args: Any, **kwargs: Any) -> Any:
        log.write(word)
        return fn(*args, **kwargs)

    return wrapped


def begun(run: Callable[[Path, Log], None], folder: Path, log: Log) -> int:
    """Number of a process that begins the run anew, a copy of this one, so that it starts at once."""
    log.write("begin")
    child = os.fork()
    if child:
        return child
    with open(os.devnull, "w") as nowhere:
        os.dup2(nowhere.fileno(), 1)
    try:
        run(folder, log)
    except BaseException as fault:
        log.write("failed", repr(fault))
        os._exit(1)
    os._exit(0)


def kill(child: int, log: Log, *, after: str, times: int, delay_s: float) -> None:
    """Kill a run once the log says ``after`` so many times, and a while later; it may end before that."""
    while log.since_begin().count(after) < times:
        if os.waitpid(child, os.WNOHANG)[0]:
            return
        time.sleep(0.0005)
    time.sleep(delay_s)
    os.kill(child, signal.SIGKILL)
    if os.WIFSIGNALED(os.waitpid(child, 0)[1]):
        log.write("killed")


def kill_often(what: str, folder: Path, kills: int) -> None:
    log, luck = Log(folder), random.Random(3)
    run, in_place, most, longest_s = {
        "jobs": (run_jobs, made_up_slowly, 6, 0.01),
        "command": (run_command, simulated, 4, 0.1),
    }[what]
    simulator.run_trial = lambda asked, trial, *, arms=None, **_: in_place(asked, trial, arms=arms, log=log)
    result_paths.paths_of = logged(result_paths.paths_of, "keeping", log)
    store.write = logged(store.write, "writing", log)
    for k in range(kills):
        child = begun(run, folder, log)
        at_the_end = what == "command" and k >= kills // 2
        after = AT_THE_END[k % 2] if at_the_end else "ran"
        times = 1 if at_the_end else luck.randint(0, most)
        soon = 0.1 if after == "writing" else 1.0  # writing is over in a moment
        kill(child, log, after=after, times=times, delay_s=soon * luck.uniform(0.0, longest_s))
    os.waitpid(begun(run, folder, log), 0)


if __name__ == "__main__":
    if sys.argv[1] == "command":  # everything is loaded before the first copy is made
        from rockshy.analysis.questions.answer import answer  # noqa: F401
        from rockshy.sim.scenario.reading import load

        simulate(load(Path(sys.argv[2]) / "small.toml"), 0)
    kill_often(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]))
