"""Brings the outputs in README.md up to date: ``python -m tests.readme_demo`` in the checkout.

Runs the demo and the picture of its middling tank, the questions asked of ready scenarios, a tally and a
film with the installed package, and replaces what stands between their marks, and the pictures. It takes
a quarter of an hour, and a browser for the picture of the film. With marks (``demo rock``) only those; with
``--kept FOLDER`` the answers' simulated tanks stay there, so that new words for them need no new tanks.
"""

from __future__ import annotations

import argparse
import json
import re
import shutil
import subprocess
import sys
import tempfile
import textwrap
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from PIL import Image

TOP = Path(__file__).resolve().parent.parent
PICTURE = Path(".readme") / "demo.png"
SIZE, COLOURS = (1280, 720), 128  # a picture of a page, not of a projector
COMMAND = (sys.executable, "-m", "rockshy.analysis.commands")


class Shown(NamedTuple):
    """An answer that is quoted: between which marks, what is typed, and how many parts of it."""

    mark: str
    words: tuple[str, ...]
    parts: int = 1


QUESTIONS = (
    Shown("compare", ("compare", "which-change")),
    Shown("relief", ("relief", "mild-with-hot")),
    Shown("rock", ("rock", "enough-rock")),
    Shown("why", ("why", "mild-with-hot")),
    Shown("guesses", ("guesses", "mild-with-hot")),
)
WATCHED = Shown("watch", ("sheet", "mild-with-hot", "--read", "tests/stonecomb-watch.csv"), parts=2)
FILM = ("film", "which-change", "--alternative", "featherfins for threadfins", "--trials", "20")
LEVERS = {  # verdicts on levers of keepers, and how each is said
    "alive": "What keepers do that works here as they say",
    "dead": "What does nothing here",
    "the other way": "What works the other way round here",
    "cannot tell": "What is too close to call",
}


def said_by(*words: str) -> str:
    """What a command prints."""
    return subprocess.run([*COMMAND, *words], check=True, capture_output=True, encoding="utf-8").stdout


def kept_picture(source: Path, name: str) -> str:
    """A picture of a page under .readme; its place as README names it."""
    place = Path(".readme") / name
    (TOP / place).parent.mkdir(exist_ok=True)
    picture = Image.open(source).convert("RGB").resize(SIZE, Image.Resampling.LANCZOS)
    picture.quantize(COLOURS).save(TOP / place, optimize=True)
    return place.as_posix()


def between(mark: str, text: str) -> None:
    """Put a text between the marks of that name."""
    readme = TOP / "README.md"
    before, rest = readme.read_text(encoding="utf-8").split(f"<!-- {mark} -->\n")
    after = rest.split(f"<!-- end of {mark} -->", 1)[1]
    whole = f"{before}<!-- {mark} -->\n{text}<!-- end of {mark} -->{after}"
    readme.write_text(whole, encoding="utf-8", newline="\n")


def quoted(words: Sequence[str], text: str) -> str:
    """What was typed and what was printed."""
    return f"`{' '.join(('rockshy', *words))}` answers:\n\n```text\n{text}\n```\n"


def question(one: Shown, kept: Path | None = None) -> None:
    """The first parts of an answer; what was simulated for it is kept in that folder, and found there."""
    keep = () if kept is None or one == WATCHED else ("--out", str(kept / one.mark))
    parts = said_by(*one.words, *keep).rstrip().split("\n\n")
    between(one.mark, quoted(one.words, "\n\n".join(parts[: one.parts])))


def demo() -> None:
    """The answer of the demo, and the simulated tank that its full figures say to look at."""
    with tempfile.TemporaryDirectory() as folder:
        answer = said_by("run", "--out", f"{folder}/result").rstrip()
        full = said_by("run", "--full", "--out", f"{folder}/result")
        typed = re.search(r"rockshy (show \S+ --trial \d+)", full)
        assert typed is not None, "the full figures no longer say which tank to look at"
        said = said_by(*typed[1].split(), "--out", f"{folder}/pictures")
        kept_picture(next(Path(folder, "pictures").glob("*-front.png")), PICTURE.name)
    caption = " ".join(re.split(r"\n(?=\S)", said)[0].split("\n", 1)[1].split())
    shown = f"`rockshy {typed[1]}` draws four pictures of a typical one of these tanks. One of them:"
    picture = f"![{caption}]({PICTURE.as_posix()})"  # which says it too, but not to everybody
    between("demo", f"{quoted(('run',), answer)}\n{shown}\n\n{picture}\n")


def film() -> None:
    """A moment of a film in a browser; needs Playwright and Chromium."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder:
        page, shot = Path(folder) / "film.html", Path(folder) / "film.png"
        said_by(*FILM, "--out", str(page))
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
            view = browser.new_page(viewport={"width": 1600, "height": 900}, color_scheme="dark")
            view.goto(page.as_uri())
            view.wait_for_timeout(6000)
            view.screenshot(path=shot)
            browser.close()
        place = kept_picture(shot, "film.png")
    between(
        "show", f"![Two simulated tanks on the same clock, the tank as it is and another stock]({place})\n"
    )


def evidence() -> None:
    """What the recorded tables say: the counts, the faults that keepers should know, the levers."""
    folder = TOP / "analysis" / "evidence"
    rows, levers = (_rows(folder / name) for name in ("table.json", "levers.json"))
    flaws = tomllib.loads((folder / "flaws.toml").read_text(encoding="utf-8"))
    wrong = {row["id"] for row in rows if row["verdict"] != "holds"}
    told = [_counted(rows), *(text for id_, text in flaws.items() if id_ in wrong)]
    for verdict, words in LEVERS.items():
        names = [row["name"] for row in levers if row["verdict"] == verdict]
        if names:
            told.append(f"{words}: {'; '.join(names)}.")
    items = (textwrap.fill(f"- {one}", 120, subsequent_indent="  ") for one in told)
    between("evidence", "".join(f"{one}\n" for one in items))


def _counted(rows: Sequence[dict[str, Any]]) -> str:
    """How many published patterns hold that no rule states, and of those kept for the end."""
    found = [row for row in rows if row["class"] == "emergent"]
    all_of = [row["verdict"] for row in found]
    unused = [row["verdict"] for row in found if row["lot"] == "test"]
    holds, fails, is_open = (all_of.count(one) for one in ("holds", "does not hold", "cannot tell"))
    return (
        f"Of {len(found)} such patterns {holds} hold, {fails} do not, and the runs leave {is_open} open. "
        f"Of the {len(unused)} by which no rule and no number was chosen, {unused.count('holds')} hold."
    )


def _rows(file: Path) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(file.read_text(encoding="utf-8"))["rows"]
    return rows


def main(marks: Sequence[str], kept: Path | None = None) -> None:
    """Bring the parts of these marks up to date; all of them when none is given."""
    parts = {"evidence": evidence, "show": film, "demo": demo}
    for mark, write in parts.items():
        if not marks or mark in marks:
            write()
    for one in (WATCHED, *QUESTIONS):
        if not marks or one.mark in marks:
            question(one, kept)


if __name__ == "__main__":
    typed = argparse.ArgumentParser()
    typed.add_argument("marks", nargs="*")
    typed.add_argument("--kept", type=Path, metavar="FOLDER")
    asked = typed.parse_args()
    main(asked.marks, asked.kept)
