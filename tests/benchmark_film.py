"""How fast a film plays and is drawn, and how large it is: ``python -m tests.benchmark_film`` prints it."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from rockshy import scenarios
from rockshy.analysis.film.clip import clip_of, ffmpeg, write_gif, write_mp4
from rockshy.analysis.film.making import Wish, make_film
from rockshy.analysis.film.page import film_page

FISH = 30
# Frames a second, the share of late ones, ms within which 95 % came, ms of work for each.
FRAMES = """async (count) => {
  const film = window.film, times = [];
  film.play(true);
  await new Promise((done) => {
    let last = performance.now();
    const note = (now) => {
      times.push(now - last);
      last = now;
      if (times.length < count) requestAnimationFrame(note);
      else done();
    };
    requestAnimationFrame(note);
  });
  film.play(false);
  const sorted = times.slice(10).sort((a, b) => a - b);
  const mean = sorted.reduce((sum, ms) => sum + ms, 0) / sorted.length;
  const late = sorted.filter((ms) => ms > 25).length / sorted.length;
  const began = performance.now();
  for (let k = 0; k < 300; k++) film.tick(16.7);
  return [1000 / mean, late, sorted[Math.floor(0.95 * sorted.length)], (performance.now() - began) / 300];
}"""


@contextmanager
def chromium() -> Iterator[Any]:
    """A headless browser; None where there is none."""
    from playwright.sync_api import sync_playwright

    program = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if program is None:
        print("no Chromium: nothing measured in it")
        yield None
        return
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


def film_of_thirty(minutes: float) -> dict[str, Any]:
    """The demo's tank with thirty fish."""
    scenario = scenarios.read(scenarios.DEMO)
    first, *others = scenario.stock
    more = FISH - sum(row.males + row.females + row.unsexed for row in scenario.stock)
    stock = (replace(first, females=first.females + more), *others)
    return make_film(replace(scenario, stock=stock), Wish(trial=1, minutes=minutes))


def play(browser: Any, page: Path, *, width: int, height: int) -> None:
    """Frames a second in a headless browser."""
    tab = browser.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
    tab.goto(page.as_uri())
    tab.evaluate("film.seek(60)")
    rate, late, _, busy = tab.evaluate(FRAMES, 600)
    size = f"{FISH} fish, {width} x {height}"
    print(f"player, {size}: {rate:5.1f} frames a second, {100 * late:.1f} % late, {busy:.1f} ms of work each")


def main(_argv: list[str] | None = None) -> int:
    """Print all measures."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        began = time.perf_counter()
        film = film_of_thirty(60.0)
        page = folder / "film.html"
        page.write_text(film_page(film), encoding="utf-8")
        took = time.perf_counter() - began
        print(f"an hour of {FISH} fish: {page.stat().st_size / 1e6:.2f} MB, made in {took:.1f} s")
        with chromium() as browser:
            for width, height in ((1280, 720), (1920, 1080)) if browser else ():
                play(browser, page, width=width, height=height)
        writers = [("GIF", write_gif), ("MP4", write_mp4)] if ffmpeg() else [("GIF", write_gif)]
        for kind, write in writers:
            path, began = folder / f"a.{kind.lower()}", time.perf_counter()
            write(clip_of(film, speed=5.0), path)
            took = time.perf_counter() - began
            print(f"{kind} of 20 s at 1280 x 720: {took:.1f} s, {path.stat().st_size / 1e6:.1f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
