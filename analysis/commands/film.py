"""``rockshy film``: some minutes of a simulated tank as a page that plays them, a GIF or an MP4."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..asking.errors import DONE, STOPPED, RefusedError, refusing
from ..asking.found import Found, first_tank, refusing_rock
from ..asking.numbers import between, refused, whole, within
from ..asking.progress import Progress, say
from .finding import changed
from .giving import Files
from .long_run import check_file
from .options import add_changes, add_file

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..film.clip import Clip
    from ..film.making import Wish

CLIP_SPEED = 5.0  # times as fast as the tank; faster, nobody sees a chase


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "The lights go on at 08:00 (assumption; earlier where the lit day is longer than 16 hours). The page "
        "needs no network. Type the same options as for run to see one of the same simulated tanks."
    )
    add_file(parser)
    add = parser.add_argument
    add(
        "--trial",
        metavar="N",
        type=within("run.trials"),
        help="which simulated tank, from 1; default: a typical one, and to find it all of them are run",
    )
    add(
        "--alternative",
        metavar="NAME",
        help="show this alternative of the file next to it, on the same clock",
    )
    add(
        "--from",
        dest="begin",
        metavar="HH:MM",
        type=_time,
        help="when it begins; default: when the mild species is chased most",
    )
    add(
        "--minutes",
        metavar="M",
        type=between(0.5, 120.0, "minutes"),
        default=30.0,
        help="how long; default: 30",
    )
    add(
        "--day",
        metavar="D",
        type=whole(1, 730, allowed="1 to 730 days"),
        help="which lit day, the first is 1; default: a measured one; beyond the run the fish live up to it",
    )
    add(
        "--speed",
        metavar="X",
        type=between(1.0, 60.0, "times as fast"),
        help="speed at the start, in times as fast as the tank; default: 10, in a GIF or MP4 5",
    )
    add(
        "--follow",
        metavar="FISH",
        help='the fish to follow, such as "duboisi female 2"; default: the one of the mild species that '
        "swims free least",
    )
    add(
        "--out",
        metavar="X.html",
        help="the page; default: NAME-film.html, none where only --gif or --mp4 is asked for",
    )
    add("--gif", metavar="X.gif", help="20 seconds of it as a GIF")
    add("--mp4", metavar="X.mp4", help="20 seconds of it as an MP4; needs ffmpeg or the extra [video]")
    add_changes(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Choose, simulate, write."""
    from ..film.making import Wish, WishError, check_wish

    found = changed(line.file, line)
    page, *clips = _targets(line, found)
    wish = Wish(
        trial=None if line.trial is None else line.trial - 1,
        alternative=None if line.alternative is None else _alternative(line, found),
        from_s=line.begin,
        minutes=line.minutes,
        day=line.day,
        speed=line.speed,
        follow=None if line.follow is None else _fish(line.follow, found),
    )
    try:
        check_wish(found.scenario, wish)
        _check_water(found, wish)
        film = _made(found, wish)
    except WishError as problem:
        raise RefusedError(str(problem)) from problem
    _write(film, found.scenario, page, [path for path in clips if path is not None], line.speed)
    asked = found.scenario.run.trials
    if 0 < film["lookedAt"] < asked:
        say(f"Stopped by Ctrl-C: this is a typical one of {film['lookedAt']} of {asked} simulated tanks.")
        return STOPPED
    return DONE


def _time(text: str) -> int:
    from ...sim.scenario.clock import time_of

    try:
        return time_of(text)
    except ValueError as problem:
        raise refused(text, problem) from None


def _targets(line: argparse.Namespace, found: Found) -> list[Path | None]:
    """Page, GIF and MP4, each seen to be writable; an MP4 only where something can write it."""
    from ..film.clip import ffmpeg

    out = line.out
    if out is None and line.gif is None and line.mp4 is None:
        out = f"{Path(found.asked).name.removesuffix('.toml')}-film.html"
    names = (out, "--out", ".html"), (line.gif, "--gif", ".gif"), (line.mp4, "--mp4", ".mp4")
    for name, option, ending in names:
        if name is not None:
            check_file(name, option=option, ending=ending)
    if line.mp4 is not None and ffmpeg() is None:
        raise RefusedError(
            "--mp4: there is no ffmpeg on this computer; install ffmpeg, or the extra [video] "
            '(pip install "rockshy[video]"), or use --gif'
        )
    return [None if name is None else Path(name) for name, *_ in names]


def _alternative(line: argparse.Namespace, found: Found) -> tuple[str, Scenario]:
    from ...sim.scenario.reading.problems import nearest, show
    from .compare import everything_changed

    others = everything_changed(found, line).alternatives
    for one in others:
        if one.name == line.alternative:
            return one.name, one.scenario
    names = [one.name for one in others]
    if not names:
        raise RefusedError(
            f"{found.asked} has no [[alternative]]; leave out --alternative, or use a file with one"
        )
    near = nearest(line.alternative, names)
    raise RefusedError(
        f"--alternative is {show(line.alternative)}; use {', '.join(names)}"
        + (f". Did you mean {near}?" if near else "")
    )


def _fish(asked: str, found: Found) -> str:
    """The label of one fish; of several that are meant the first."""
    from ..measures.whom import FishGroupError, said_of

    with refusing("--follow", FishGroupError):
        return said_of(found.scenario, asked).people[0].label


def _check_water(found: Found, wish: Wish) -> None:
    """Refuse rock that leaves no water, of the base or of the alternative."""
    first_tank(found, trial=wish.trial)
    if wish.alternative is not None:
        name, other = wish.alternative
        first_tank(
            replace(found, scenario=other, asked=f'{found.asked}: alternative "{name}"'), trial=wish.trial
        )


def _made(found: Found, wish: Wish) -> dict[str, Any]:
    from ..film.making import make_film
    from .engine import engine

    asked = found.scenario.run.trials
    if found.said:
        say(found.said)
    with refusing_rock(found.asked):
        if wish.trial is not None or asked == 1:
            return make_film(found.scenario, wish)
        say(f"Looking for a typical one of {asked} simulated tanks; with --trial N it is one at once.")
        with engine(argparse.Namespace()) as executor, Progress(asked) as progress:
            return make_film(found.scenario, wish, executor=executor, progress=progress)


def _write(
    film: dict[str, Any], scenario: Scenario, page: Path | None, clips: list[Path], speed: float | None
) -> None:
    """Write what was asked for, then say what it shows."""
    from ..document import Paragraph, Section, as_text
    from ..document.typed import Typed
    from ..document.writing import write_text
    from ..film.page import film_page

    files = Files()
    if page is not None and (path := files(write_text, page, film_page(film))) is not None:
        print(path)
    if clips:
        from ..film.clip import clip_of

        clip = clip_of(film, speed=CLIP_SPEED if speed is None else speed)
        for path in clips:
            files(_write_clip, clip, path)
    why = Section(tuple(Paragraph(text, depth=1) for text in film["why"]))
    print(as_text(Typed(scenario).section(why)))
    files.check()


def _write_clip(clip: Clip, path: Path) -> None:
    from ..film.clip import ClipError, write_gif, write_mp4

    try:
        (write_gif if path.suffix.lower() == ".gif" else write_mp4)(clip, path)
    except ClipError as problem:
        raise RefusedError(str(problem)) from problem
    print(path)
