"""Brings the outputs in README.md up to date: ``python -m tests.readme_demo`` in the checkout.

Runs the demo and the picture of its middling tank, the questions asked of ready scenarios, a tally and a
film with the installed package, and replaces what stands between their marks, and the pictures. It takes
a quarter of an hour, and a browser for the picture of the film.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tempfile
import textwrap
from pathlib import Path

from PIL import Image

TOP = Path(__file__).resolve().parent.parent
PICTURE = Path(".readme") / "demo.png"
SIZE, COLOURS = (1280, 720), 128  # a picture of a page, not of a projector
LEFT_OUT = (
    "[...] by species and sex; spread of pinned hours; hierarchy; whether rates still move; definitions"
)
COMMAND = (sys.executable, "-m", "rockshy.analysis.commands")
QUESTIONS = (  # marks, command, what the picture is, first words of what is left out
    ("compare", ("compare", "which-change"), "What each alternative changes", "What if: half"),
    ("rock", ("rock", "enough-rock"), "Simulated tanks in which the gobies were pinned, by rock", "Crevices"),
    ("why", ("why", "mild-with-hot"), "What is behind the chases that the curvifrons get", "Of its free"),
    ("guesses", ("guesses", "mild-with-hot"), "The guesses that decide", "Chases received"),
)
WATCHED = ("sheet", "mild-with-hot", "--read", "tests/stonecomb-watch.csv")
FILM = ("film", "which-change", "--alternative", "featherfins for threadfins", "--trials", "20")


def quoted(answer: str) -> str:
    """The answer up to the block of the watched species, and what it says to type next."""
    parts = answer.rstrip().split("\n\n")
    watched = next(k for k, part in enumerate(parts) if "(mild species:" in " ".join(part.split()))
    return "\n\n".join([*parts[: watched + 1], LEFT_OUT, parts[-1]])


def block(answer: str, caption: str) -> str:
    """What stands between the marks."""
    return (
        f"`rockshy run` prints (shortened where it says [...]):\n\n```text\n{quoted(answer)}\n```\n\n"
        "The first of the two commands at its end draws four pictures; this is one of them:\n\n"
        f"![The simulated tank from the front]({PICTURE.as_posix()})\n\n{textwrap.fill(caption, 118)}\n\n"
    )


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


def opening(answer: str, last: str) -> str:
    """The answer up to the part that begins with some words; the rest is said to be left out."""
    parts = answer.rstrip().split("\n\n")
    end = next(k for k, part in enumerate(parts) if part.startswith(last))
    return "\n\n".join([*parts[:end], f"[...] {'; '.join(part.splitlines()[0] for part in parts[end:])}"])


def questions(folder: Path) -> None:
    """The two questions: which change, and how much rock."""
    for mark, words, picture, last in QUESTIONS:
        drawn = folder / f"{mark}.png"
        answer = said_by(*words, "--picture", str(drawn))
        place = kept_picture(drawn, f"{mark}.png")
        typed = " ".join(("rockshy", *words))
        text = (
            f"`{typed}` prints (shortened where it says [...]):\n\n```text\n{opening(answer, last)}\n```\n\n"
        )
        between(mark, f"{text}![{picture}]({place})\n\n")


def watching() -> None:
    """A tally laid over the model."""
    answer = said_by(*WATCHED)
    typed = " ".join(("rockshy", *WATCHED))
    shown = opening(answer, answer.rstrip().split("\n\n")[3].split("\n")[0])
    between("watch", f"`{typed}` prints (shortened where it says [...]):\n\n```text\n{shown}\n```\n\n")


def showing(folder: Path) -> None:
    """A moment of a film in a browser; needs Playwright and Chromium."""
    from playwright.sync_api import sync_playwright

    page, shot = folder / "film.html", folder / "film.png"
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
        "show", f"![Two simulated tanks on the same clock, the tank as it is and another stock]({place})\n\n"
    )


def evidence() -> None:
    """The headline of the recorded table."""
    table = json.loads((TOP / "analysis" / "evidence" / "table.json").read_text(encoding="utf-8"))
    between("evidence", "".join(f"> {one}\n>\n" for one in table["headline"])[:-2] + "\n")


def main() -> None:
    """Run the demo, draw, rewrite."""
    evidence()
    watching()
    with tempfile.TemporaryDirectory() as folder:
        showing(Path(folder))
        questions(Path(folder))
    answer = said_by("run")
    typed = re.search(r"rockshy (show \S+ --trial \d+)", answer)
    assert typed is not None, "the answer no longer says what to type next"
    with tempfile.TemporaryDirectory() as folder:
        said = said_by(*typed[1].split(), "--out", folder)
        kept_picture(next(Path(folder).glob("*-front.png")), PICTURE.name)
    caption = " ".join(re.split(r"\n(?=\S)", said)[0].split("\n", 1)[1].split())
    between("demo", block(answer, caption))


if __name__ == "__main__":
    main()
