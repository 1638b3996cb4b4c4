"""The README's picture of the page: ``python -m tests.readme_page``; needs Playwright and Chromium."""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

from PIL import Image

from tests.benchmark_film import chromium
from tests.benchmark_page import opened, page, tried

TOP = Path(__file__).resolve().parents[1]
SIZE = {"width": 1440, "height": 900}
WIDTH, COLOURS = 1440, 160


def main() -> int:
    """Draw it, with the whole answer beside the living tank."""
    with tempfile.TemporaryDirectory() as name, page() as (_, address), chromium() as browser:
        if browser is None:
            return 1
        tab = opened(browser, address, viewport=SIZE, color_scheme="dark")
        tab.wait_for_selector("html[data-living]")
        tried(tab)
        tab.get_by_text(re.compile("^Done: ")).first.wait_for(timeout=600_000)
        tab.wait_for_timeout(3000)
        shot = Path(name) / "page.png"
        tab.screenshot(path=shot)
        image = Image.open(shot).convert("RGB")
        image = image.resize((WIDTH, round(image.height * WIDTH / image.width)), Image.Resampling.LANCZOS)
        image.quantize(COLOURS).save(TOP / ".readme" / "page.png", optimize=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
