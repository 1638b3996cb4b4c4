"""The README's pictures of the page: ``python -m tests.readme_page``; needs Playwright and Chromium."""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path
from typing import Any

from PIL import Image

from tests.benchmark_film import chromium
from tests.benchmark_page import opened, page, tried

TOP = Path(__file__).resolve().parents[1]
WIDE, NARROW = {"width": 1920, "height": 1380}, {"width": 360, "height": 800}
COLOURS = 160


def picture(shot: Path, name: str, *, width: int) -> None:
    """A screenshot under .readme, so wide."""
    image = Image.open(shot).convert("RGB")
    image = image.resize((width, round(image.height * width / image.width)), Image.Resampling.LANCZOS)
    image.quantize(COLOURS).save(TOP / ".readme" / name, optimize=True)


def answered(browser: Any, address: str, **how: Any) -> Any:
    """The page with the whole answer and the film that comes with it."""
    tab = opened(browser, address, **how)
    tab.wait_for_selector("#rock-drawing canvas[data-drawn]")
    tried(tab)
    tab.get_by_text(re.compile("^Done: ")).first.wait_for(timeout=240_000)
    tab.wait_for_selector("#film iframe")
    tab.wait_for_timeout(3000)
    return tab


def narrow(tab: Any, folder: Path) -> None:
    """The rock and the answer, one beside the other."""
    shots = []
    for place in ("#rock-drawing", "#tries"):
        tab.locator(place).evaluate("one => scrollTo(0, scrollY + one.getBoundingClientRect().top - 8)")
        tab.wait_for_timeout(500)
        shots.append(folder / f"{place[1:]}.png")
        tab.screenshot(path=shots[-1])
    images = [Image.open(one).convert("RGB") for one in shots]
    gap = images[0].width // 20
    both = Image.new("RGB", (2 * images[0].width + gap, images[0].height), "white")
    for k, image in enumerate(images):
        both.paste(image, (k * (image.width + gap), 0))
    both.save(folder / "both.png")
    picture(folder / "both.png", "page-narrow.png", width=760)


def main() -> int:
    """Draw both pictures."""
    with tempfile.TemporaryDirectory() as name, page() as (_, address), chromium() as browser:
        if browser is None:
            return 1
        folder = Path(name)
        tab = answered(browser, address, viewport=WIDE, color_scheme="dark")
        tab.evaluate("scrollTo(0, 0)")
        tab.screenshot(path=folder / "wide.png")
        picture(folder / "wide.png", "page.png", width=1600)
        tab = answered(browser, address, viewport=NARROW, color_scheme="light", device_scale_factor=2)
        narrow(tab, folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
