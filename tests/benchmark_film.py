"""How fast a film plays and is drawn, and how large it is: ``python -m tests.benchmark_film`` prints it."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from rockshy import scenarios
from rockshy.analysis.film.clip import clip_of, ffmpeg, write_gif, write_mp4
from rockshy.analysis.film.making import Wish, make_film
from rockshy.analysis.film.page import film_page

FISH = 30
_FRAMES = """async () => {
  const film = window.film, times = [];
  film.seek(60);
  film.play(true);
  await new Promise((done) => {
    let last = performance.now();
    const note = (now) => {
      times.push(now - last);
      last = now;
      if (times.length < 600) requestAnimationFrame(note);
      else done();
    };
    requestAnimationFrame(note);
  });
  film.play(false);
  const mean = times.slice(10).reduce((sum, ms) => sum + ms, 0) / (times.length - 10);
  const late = times.slice(10).filter((ms) => ms > 25).length;
  let began = performance.now();
  for (let k = 0; k < 300; k++) film.tick(16.7);
  return [1000 / mean, late / (times.length - 10), (performance.now() - began) / 300];
}"""


def film_of_thirty(minutes: float) -> dict[str, Any]:
    """The demo's tank with thirty fish."""
    scenario = scenarios.read(scenarios.DEMO)
    first, *others = scenario.stock
    more = FISH - sum(row.males + row.females + row.unsexed for row in scenario.stock)
    stock = (replace(first, females=first.females + more), *others)
    return make_film(replace(scenario, stock=stock), Wish(trial=1, minutes=minutes))


def play(page: Path, *, width: int, height: int) -> None:
    """Frames a second in a headless browser."""
    from playwright.sync_api import sync_playwright

    program = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if program is None:
        print("no Chromium: frames a second not measured")
        return
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=program, args=["--no-sandbox"])
        tab = browser.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
        tab.goto(page.as_uri())
        rate, late, busy = tab.evaluate(_FRAMES)
        browser.close()
    print(
        f"player, {FISH} fish, {width} x {height}: {rate:5.1f} frames a second, {100 * late:.1f} % late, "
        f"{busy:.1f} ms of work each"
    )


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
        for width, height in ((1280, 720), (1920, 1080)):
            play(page, width=width, height=height)
        writers = [("GIF", write_gif), ("MP4", write_mp4)] if ffmpeg() else [("GIF", write_gif)]
        for kind, write in writers:
            path, began = folder / f"a.{kind.lower()}", time.perf_counter()
            write(clip_of(film, speed=5.0), path)
            took = time.perf_counter() - began
            print(f"{kind} of 20 s at 1280 x 720: {took:.1f} s, {path.stat().st_size / 1e6:.1f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
