"""How fast, how big: ``python -m tests.benchmark`` prints a table. Measured, not tested.

Figures are of whole processes where the line says "command", of the compiled loop where it says "loop".
Processor seconds are used for the loop, so that other work on the machine disturbs less.
"""

from __future__ import annotations

import argparse
import gc
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path

from rockshy.analysis.measures.groups import Group
from rockshy.analysis.questions.compare.answer import answer_of
from rockshy.analysis.questions.compare.design import equally, run_side_by_side
from rockshy.sim.run.drawing import draw_tank
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.trials import run_trial
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.tank.water import water_of

TWENTY_FOUR = """
title = "Twenty-four grazers"
question = "How fast does it run?"
[tank]
length = "150 cm"
front_to_back = "50 cm"
height = "50 cm"
[rock]
cover = "40 %"
height = "35 cm"
piles = 2
piece_size = "15 cm"
[run]
days = 2
trials = 64
fixed = true
[[stock]]
species = "Petrochromis trewavasae"
males = 2
females = 4
[[stock]]
species = "Tropheus moorii"
males = 2
females = 6
[[stock]]
species = "Simochromis diagramma"
males = 2
females = 4
[[stock]]
species = "Eretmodus cyanostictus"
males = 2
females = 2
"""


def line(what: str, figure: str, wanted: str = "") -> None:
    """One row of the table."""
    print(f"{what:<62} {figure:>24}  {wanted}", flush=True)


def best(fn: Callable[[], object], *, times: int = 5) -> float:
    """Shortest processor time of some calls, s."""
    taken = []
    for _ in range(times):
        begin = time.process_time()
        fn()
        taken.append(time.process_time() - begin)
    return min(taken)


def scenario_of(fish: int, *, text: str = TWENTY_FOUR) -> Scenario:
    """The 24-fish scenario with its stock thinned or multiplied to ``fish`` fish."""
    scenario = parse(text, name="benchmark")
    share = fish / 24
    stock = tuple(
        replace(row, males=max(0, round(row.males * share)), females=round(row.females * share))
        for row in scenario.stock
    )
    return replace(scenario, stock=tuple(row for row in stock if row.males + row.females > 0))


def loop_speed(scenario: Scenario, *, trials: int = 4) -> tuple[int, float]:
    """Number of fish, and million fish-ticks a processor second of the loop (best of some trials)."""
    figures = []
    for trial in range(trials):
        model = TankModel(scenario, trial=trial)
        seconds = best(model.run, times=1)
        figures.append(model.last_tick * len(model.people) / seconds / 1e6)
        fish = len(model.people)
        model.close()
    return fish, max(figures)


def speed_of_loop() -> None:
    """Fish-ticks a second and cost a tick at several stocks."""
    for wanted in (6, 12, 24, 48):
        fish, speed = loop_speed(scenario_of(wanted))
        note = "wanted: 6 or more" if wanted == 24 else ""
        line(f"loop, {fish} fish, 150 x 50 x 50 cm", f"{speed:.2f} M fish-ticks/s", note)
        line("  cost of a tick", f"{fish / speed:.2f} us")


def big_tank() -> None:
    """240 x 75 x 75 cm with 60 fish, and how the cost of the tables grows."""
    text = TWENTY_FOUR.replace('"150 cm"', '"240 cm"').replace('"50 cm"', '"75 cm"')
    small, large = scenario_of(24), scenario_of(60, text=text)
    figures = []
    for name, scenario, wanted in (
        ("150 x 50 x 50", small, "wanted: under 0.2 s"),
        ("240 x 75 x 75", large, ""),
    ):
        tank = draw_tank(scenario)
        seconds = best(lambda scenario=scenario: water_of(draw_tank(scenario)))  # type: ignore[misc]
        figures.append((len(tank.xyz), seconds))
        line(f"tables of {name} cm with rock, {len(tank.xyz)} cells", f"{seconds * 1e3:.0f} ms", wanted)
    (few, fast), (many, slow) = figures
    line("  times the cells / times the time", f"{many / few:.2f} / {slow / fast:.2f}")
    fish, speed = loop_speed(large, trials=2)
    line(f"loop, {fish} fish, 240 x 75 x 75 cm", f"{speed:.2f} M fish-ticks/s")


def uncompiled() -> None:
    """The same rules in plain Python, as a ratio."""
    code = (
        "import time, tests.benchmark as b; m = b.TankModel(b.scenario_of(24)); "
        "t = time.process_time(); m.advance_to(120); print(120 * len(m.people) / (time.process_time() - t))"
    )
    environment = dict(os.environ, NUMBA_DISABLE_JIT="1")
    found = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True
    )
    plain = float(found.stdout)
    _, speed = loop_speed(scenario_of(24), trials=2)
    line("loop uncompiled, 24 fish", f"{plain:,.0f} fish-ticks/s")
    line("  compiled against uncompiled", f"{speed * 1e6 / plain:,.0f} times")


def command(*words: str) -> tuple[float, float]:
    """Wall seconds and peak memory (GB) of the command ``rockshy``."""
    begin = time.perf_counter()
    code = "import sys; from rockshy.analysis.commands import main; sys.exit(main())"
    subprocess.run([sys.executable, "-c", code, *words], check=True, capture_output=True)
    seconds = time.perf_counter() - begin
    return seconds, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1e6


def commands() -> None:
    """Whole commands: help, and 64 trials of 2 days with and without the controls."""
    line(
        "command rockshy --help",
        f"{min(command('--help')[0] for _ in range(3)):.2f} s",
        "wanted: under 0.2 s",
    )
    with tempfile.TemporaryDirectory() as folder:
        for controls, wanted in (("false", "under 20 s"), ("true", "under 45 s")):
            path = Path(folder, f"controls-{controls}.toml")
            path.write_text(TWENTY_FOUR.replace("[run]", f"[run]\ncontrols = {controls}"), encoding="utf-8")
            command("run", str(path), "--trials", "2")
            seconds, peak = command("run", str(path))
            line(
                f"command rockshy run, 64 trials, controls {controls}",
                f"{seconds:.1f} s",
                f"wanted: {wanted}",
            )
            line("  peak memory so far", f"{peak:.2f} GB", "wanted: under 1 GB")


def memory(trials: int) -> None:
    """Memory of one process from the 50th to the last trial, of one measured hour each."""
    scenario = scenario_of(24)
    short = replace(scenario, run=replace(scenario.run, days=0.2, settle_days=0.1))
    sizes = []
    for trial in range(trials):
        run_trial(short, trial)
        if trial in (49, trials - 1):
            gc.collect()
            sizes.append(_resident_mb())
    line(f"resident memory after trial 50 / {trials}", f"{sizes[0]:.0f} / {sizes[-1]:.0f} MB", "wanted: flat")


def _resident_mb() -> float:
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    return pages * resource.getpagesize() / 1e6


CHANGES = {
    "a male out": 'remove = [{ species = "Tropheus moorii", fish = "male 2" }]',
    "more rock": 'rock = { cover = "55 %" }',
    "another species": 'replace = [{ species = "Petrochromis trewavasae", by = "Tropheus duboisi" }]',
}


def pairing(trials: int = 32) -> None:
    """By how much common seeds narrowed the intervals of a comparison, against seeds of its own."""
    for name, change in CHANGES.items():
        text = TWENTY_FOUR.replace("fixed = true\n", "") + f'[[alternative]]\nname = "{name}"\n{change}\n'
        scenario = parse(text, name="benchmark")
        scenarios = [scenario, scenario.alternatives[0].scenario]
        begin = time.process_time()
        tables = run_side_by_side(scenarios, plan=equally(trials, scenarios=2))
        seconds = time.process_time() - begin
        found = answer_of(scenario, tables, group=Group(species=tables[0].watch)).against[0]
        line(f"pairing, {name}, {trials} trials each", f"{seconds:.0f} s of processor")
        for group in found.groups[:2]:
            told = [f"{goal} {100 * one.narrowed:.0f} %" for goal, one in group.figures.items()]
            line(f"  intervals narrower, {group.name}", ", ".join(told))


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument(
        "--quick", action="store_true", help="leave out the commands and the long memory run"
    )
    chosen = options.parse_args()
    packages = " ".join(f"{name} {version(name)}" for name in ("rockshy", "numba", "numpy", "mesa"))
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, {packages}")
    TankModel(scenario_of(24)).run()
    memory(100 if chosen.quick else 500)
    speed_of_loop()
    big_tank()
    uncompiled()
    if not chosen.quick:
        pairing()
        commands()


if __name__ == "__main__":
    main()
