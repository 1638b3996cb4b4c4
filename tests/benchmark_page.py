"""How soon the what-if page is there, answers and plays: ``python -m tests.benchmark_page`` prints it."""

from __future__ import annotations

import argparse
import re
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psutil

from tests.benchmark import TWENTY_FOUR, line
from tests.benchmark_film import FRAMES, chromium


@contextmanager
def page(*file: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command, with a file or the demo, and the address it prints."""
    options = ["page", *map(str, file), "--port", "0", "--no-browser", "--keep-nothing"]
    command = [sys.executable, "-m", "rockshy.analysis.commands", *options]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        assert process.stdout is not None
        text = ""
        while not (found := re.search(r"http://\S+", text)):
            read = process.stdout.readline()
            assert read, "the command ended without an address"
            text += read
        yield process, found[0]
    finally:
        process.terminate()
        process.wait()


def opened(browser: Any, address: str, **how: Any) -> Any:
    """The page in a tab of a browser that knows nothing yet, with its fields usable."""
    tab = browser.new_page(**{"viewport": {"width": 1280, "height": 800}, **how})
    tab.goto(address)
    tab.wait_for_selector("html[data-ready]")
    return tab


def ready_s(file: Path) -> float:
    """Seconds from the command to the page being handed out."""
    began = time.perf_counter()
    with page(file) as (_, address), urllib.request.urlopen(address.split("#")[0]) as answer:
        answer.read()
        return time.perf_counter() - began


def tell_start(file: Path) -> None:
    """How soon the page is handed out after the command."""
    times = [ready_s(file) for _ in range(5)]
    line("page handed out, after the command (median of 5)", f"{statistics.median(times):.2f} s", "under 1 s")


def tell_tab(tab: Any, address: str, *, name: str) -> None:
    """How soon a page that is opened shows the tank."""
    began = time.perf_counter()
    tab.goto(address)
    tab.wait_for_selector("html[data-ready]")
    ready = time.perf_counter() - began
    tab.wait_for_selector("html[data-living]")
    told = f"{ready:.2f} s, {time.perf_counter() - began:.2f} s"
    line(f"{name}: fields ready, living tank", told, "2 s")
    paint = tab.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
    line(f"{name}: first picture of the page", f"{paint / 1000:.2f} s", "under 0.5 s")


def tried(tab: Any) -> None:
    """Try the tank, until the first numbers stand there."""
    tab.get_by_role("button", name="Try it", exact=True).click()
    tab.locator("#answer").get_by_role("button", name="Stop").wait_for(state="visible")
    tab.wait_for_selector("#answer .headline p")


def tell_first_numbers(tab: Any) -> None:
    """How soon after the click the first numbers stand there."""
    began = time.perf_counter()
    tried(tab)
    took = time.perf_counter() - began
    line("first numbers after the click, 24 fish, both controls", f"{took:.1f} s", "within 3 s")


def tell_frames(tab: Any) -> None:
    """Frames a second of the film of thirty fish while trials run beside it."""
    frame = next(one for one in tab.frames if "/shown/" in one.url)
    frame.wait_for_function("window.film")
    rate, _, late, _ = frame.evaluate(FRAMES, 300)
    line("film of 30 fish while trials run", f"{rate:.0f} frames/s, 95 % within {late:.0f} ms", "30")


LIVING = """(seconds) => new Promise((done) => {
  const times = [];
  const step = (now) => {
    times.push(now);
    if (now - times[0] < 1000 * seconds) return requestAnimationFrame(step);
    const gaps = times.slice(1).map((time, k) => time - times[k]).sort((a, b) => a - b);
    return done([(1000 * gaps.length) / (now - times[0]), gaps[Math.floor(0.95 * (gaps.length - 1))]]);
  };
  requestAnimationFrame(step);
})"""


def tell_living(tab: Any) -> None:
    """Frames a second of the page with its living tank while trials run."""
    rate, late = tab.evaluate(LIVING, 5)
    line("the living tank while trials run", f"{rate:.0f} frames/s, 95 % within {late:.0f} ms", "30")


ANSWERED = """() => {
  document.addEventListener("click", () => (window.pressed = performance.now()), true);
  new PerformanceObserver((list) => {
    if (!list.getEntries().some((one) => one.name.endsWith("/estimate"))) return;
    const tell = () => (window.took ??= performance.now() - window.pressed);
    requestAnimationFrame(() => requestAnimationFrame(tell));
  }).observe({ type: "resource" });
}"""


def tell_estimates(tab: Any, changes: int) -> None:
    """How soon after a change its provisional verdict stands there, once enough tanks were run."""
    fewer, more = _presses(tab)
    began = time.perf_counter()
    more.click()
    tab.locator("#answer .estimate .verdict").filter(has_text="Estimate:").wait_for(timeout=900_000)
    line("until there are estimates of a new set of species", f"{time.perf_counter() - began:.0f} s", "")
    tab.evaluate(ANSWERED)
    times = []
    for k in range(changes):
        with tab.expect_response("**/estimate"):
            tab.evaluate("() => delete window.took")
            (fewer, more)[k % 2].click()
        while not (took := tab.evaluate("() => window.took ?? 0")):
            tab.wait_for_timeout(20)
        times.append(took / 1000)
    late = sorted(times)[int(0.95 * (len(times) - 1))]
    told = f"{statistics.median(times):.2f} s, 95 % within {late:.2f} s"
    line(f"provisional verdict after a change (median of {changes})", told, "under 0.5 s")


def resident_mb(process: subprocess.Popen[str]) -> float:
    """Memory of the server."""
    return float(psutil.Process(process.pid).memory_info().rss) / 1e6


def stopped(tab: Any) -> None:
    """Stop the trials and wait until they have ended."""
    tab.locator("#answer").get_by_role("button", name="Stop").click()
    tab.locator("#answer").get_by_role("button", name="Stop").wait_for(state="hidden")


def tell_memory(tab: Any, process: subprocess.Popen[str], rounds: int) -> None:
    """Memory of the server and of the page over many rounds of two changes and a try."""
    told = []
    stop = tab.locator("#answer").get_by_role("button", name="Stop")
    for k in range(rounds):
        for press in _presses(tab):
            with tab.expect_response("**/edit"):
                press.click()
        tab.get_by_role("button", name="Try it", exact=True).click()
        stop.wait_for(state="visible")
        stop.wait_for(state="hidden", timeout=300_000)
        if (k + 1) % max(1, rounds // 6) == 0:
            told.append(f"{resident_mb(process):.0f}/{heap_mb(tab):.1f}")
    what = f"server / page memory, after each sixth of {2 * rounds} changes and {rounds} tries"
    line(what, " ".join(told) + " MB", "flat")


def _presses(tab: Any) -> tuple[Any, Any]:
    """One fish of the first row fewer, and one more."""
    buttons = tab.locator("#strip .stepper button")
    return buttons.filter(has_text="\u2212").first, buttons.filter(has_text="+").first


def heap_mb(tab: Any) -> float:
    """What the scripts of the page hold, once what nobody holds was thrown away."""
    session = tab.context.new_cdp_session(tab)
    session.send("HeapProfiler.collectGarbage")
    used = float(session.send("Runtime.getHeapUsage")["usedSize"])
    session.detach()
    return used / 1e6


def tell_opening(browser: Any, files: dict[str, Path], _: argparse.Namespace) -> None:
    """From the command to a living tank, and to the first numbers."""
    tell_start(files["tank"])
    with page(files["tank"]) as (_, address):
        for name in ("at once after the command", "a second page"):
            tab = browser.new_page(viewport={"width": 1280, "height": 900})
            tell_tab(tab, address, name=name)
        tell_first_numbers(tab)
        stopped(tab)
        tab.close()


def tell_playing(browser: Any, files: dict[str, Path], _: argparse.Namespace) -> None:
    """Frames of the living tank and of a film while trials run."""
    with page(files["thirty"]) as (_, address):
        tab = opened(browser, address)
        tab.wait_for_selector("html[data-living]")
        tried(tab)
        tell_living(tab)
        tab.locator("[data-opens=tries]").click()
        tab.get_by_role("button", name="A typical tank").first.click()
        tab.wait_for_selector("#film iframe")
        tell_frames(tab)
        tab.keyboard.press("Escape")
        stopped(tab)
        tab.close()


def tell_changes(browser: Any, files: dict[str, Path], asked: argparse.Namespace) -> None:
    """Provisional verdicts."""
    with page(files["small"]) as (_, address):
        tab = opened(browser, address)
        tell_estimates(tab, asked.changes)
        tab.close()


def tell_rounds(browser: Any, files: dict[str, Path], asked: argparse.Namespace) -> None:
    """Memory."""
    with page(files["small"]) as (process, address):
        tab = opened(browser, address)
        tab.wait_for_selector("html[data-living]")
        tell_memory(tab, process, asked.rounds)
        tab.close()


PARTS = {"opening": tell_opening, "playing": tell_playing, "changes": tell_changes, "memory": tell_rounds}


def main(argv: list[str] | None = None) -> int:
    """Print all measures, or those of some parts."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark_page", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"{', '.join(PARTS)}; all of them if none")
    parser.add_argument("--rounds", type=int, default=25, help="tries in the measure of memory")
    parser.add_argument("--changes", type=int, default=50, help="changes in that of provisional verdicts")
    asked = parser.parse_args(argv)
    if unknown := [part for part in asked.parts if part not in PARTS]:
        parser.error(f"there is no part {unknown[0]!r}; use {', '.join(PARTS)}")
    usual = TWENTY_FOUR.replace("fixed = true", "")
    texts = {
        "tank": usual,
        "thirty": usual.replace("females = 6", "females = 12").replace("trials = 64", "trials = 2000"),
        "small": TWENTY_FOUR.replace("trials = 64", "trials = 8").replace(
            "days = 2", "days = 0.6\nsettle = 0.3"
        ),
    }
    with tempfile.TemporaryDirectory() as name, chromium() as browser:
        if browser is None:
            return 1
        files = {one: Path(name) / f"{one}.toml" for one in texts}
        for one, path in files.items():
            path.write_text(texts[one], encoding="utf-8")
        for part in asked.parts or PARTS:
            PARTS[part](browser, files, asked)
    return 0


if __name__ == "__main__":
    sys.exit(main())
