"""The README's pictures of the page: ``python -m tests.readme_page``; needs Playwright and Chromium."""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

from PIL import Image

from tests.benchmark_page import page

TOP = Path(__file__).resolve().parents[1]
WIDE, NARROW = (1920, 1380), (360, 800)
COLOURS = 160


def picture(shot: Path, name: str, *, width: int) -> None:
    """A screenshot under .readme, so wide."""
    image = Image.open(shot).convert("RGB")
    image = image.resize((width, round(image.height * width / image.width)), Image.Resampling.LANCZOS)
    image.quantize(COLOURS).save(TOP / ".readme" / name, optimize=True)


def opened(browser: Any, address: str, size: tuple[int, int], **look: Any) -> Any:
    """The page at a size, in a browser that knows nothing yet."""
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **look)
    tab = context.new_page()
    tab.goto(address)
    tab.wait_for_selector("html[data-ready]")
    tab.wait_for_selector("#rock-drawing canvas[data-drawn]")
    return tab


def tried(tab: Any) -> None:
    """Wait for the whole answer and the film that comes with it."""
    tab.get_by_role("button", name="Try it", exact=True).click()
    tab.get_by_text(re.compile("^Done: ")).first.wait_for(timeout=240_000)
    tab.wait_for_selector("#film iframe")
    tab.wait_for_timeout(3000)


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
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as name, page() as (_, address), sync_playwright() as tool:
        folder = Path(name)
        browser = tool.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        tab = opened(browser, address, WIDE, color_scheme="dark")
        tried(tab)
        tab.evaluate("scrollTo(0, 0)")
        tab.screenshot(path=folder / "wide.png")
        picture(folder / "wide.png", "page.png", width=1600)
        tab = opened(browser, address, NARROW, color_scheme="light", device_scale_factor=2)
        tried(tab)
        narrow(tab, folder)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
