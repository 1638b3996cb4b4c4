"""GIF and MP4: frames that show what the film says, the same fish as in the player, files that open."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import film_examples
import numpy as np
import pytest
from film_examples import NASTY, nasty, recorded, told
from PIL import Image
from rockshy.analysis.film import clip as clips
from rockshy.analysis.film.canvas import cut, font
from rockshy.analysis.film.clip import ClipError, clip_of, ffmpeg, write_gif, write_mp4
from rockshy.analysis.film.data import film_data
from rockshy.analysis.film.frames import Painter
from rockshy.sim.fish.shoal import CHASING

SIZE = (640, 360)


@pytest.fixture(scope="module")
def film() -> dict[str, Any]:
    return film_examples.film()


@pytest.fixture(scope="module")
def painter(film: dict[str, Any]) -> Painter:
    return Painter(film, size=SIZE)


def test_a_frame_differs_from_the_empty_tank_where_the_fish_are(painter: Painter) -> None:
    (view,) = painter.views
    frame = np.asarray(painter.frame(100.0)).astype(int)
    x, y = view.corner
    tank = frame[y : y + view.still.height, x : x + view.still.width]
    changed = np.abs(tank - np.asarray(view.still).astype(int)).sum(axis=2) > 30
    assert 0.003 < changed.mean() < 0.6
    for fish in view.seen:
        across, up = view._spot(fish)
        near = changed[max(0, int(up) - 8) : int(up) + 8, max(0, int(across) - 8) : int(across) + 8]
        assert near.any()


def test_a_frame_shows_species_in_their_own_colours(painter: Painter, film: dict[str, Any]) -> None:
    sheet = np.concatenate([np.asarray(painter.frame(at)).reshape(-1, 3) for at in (20.0, 100.0, 200.0)])
    for wear in (one for species in film["species"] for one in species["wear"]):
        shades = [wear["colours"][name] for name in ("body", "pale body")]
        wanted = np.array([[int(shade[k : k + 2], 16) for k in (1, 3, 5)] for shade in shades])
        assert any((np.abs(sheet.astype(int) - one).max(axis=1) <= 12).sum() > 20 for one in wanted)


def test_a_chase_is_drawn_as_a_stroke(painter: Painter) -> None:
    one = recorded()
    chasing = (one.doing == CHASING).any(axis=1)
    yellow = np.array([0xFF, 0xD3, 0x3D])

    def strokes(now: float) -> int:
        painted = painter.views[0].painted(now)
        return int((np.abs(np.asarray(painted).astype(int) - yellow).max(axis=2) <= 12).sum())

    chases = [row[0] for row in painter.views[0].chases]
    quiet = next(
        t
        for t in range(20, one.ticks)
        if not chasing[t - 2 : t + 2].any() and not any(t - 9 < c <= t for c in chases)
    )
    assert max(strokes(float(at)) for at in np.flatnonzero(chasing)[:12]) > 60
    assert strokes(float(quiet)) < 10


def test_two_tanks_and_long_names_fit_on_a_frame() -> None:
    one, other = nasty(), recorded()
    made = film_data([("a " * 300, one), ("b " * 300, other)], told(one, title=NASTY * 2))
    painter = Painter(made, size=SIZE)
    frame = np.asarray(painter.frame(30.0))
    assert frame.shape[:2] == SIZE[::-1]
    assert (frame[:, -3:] == frame[0, 0]).all()  # nothing runs over the edge
    for view in painter.views:
        assert view.corner[0] >= 0 and view.corner[0] + view.plan.size[0] <= SIZE[0]
        assert view.corner[1] + view.plan.size[1] < painter._caption_y()


def test_text_of_a_frame_is_a_thirtieth_of_its_height(painter: Painter) -> None:
    assert painter.text >= SIZE[1] / 30
    line = cut("x" * 500, size=painter.text, room=300)
    assert line.endswith("…") and font(painter.text).getlength(line) <= 300


def test_the_clip_is_of_the_seconds_in_which_the_followed_fish_is_chased(film: dict[str, Any]) -> None:
    chased = [row[0] for row in film["tanks"][0]["log"] if row[1] == 0 and row[3] == film["follow"]]
    clip = clip_of(film, speed=2, size=SIZE)
    assert (clip.seconds, clip.speed) == (20.0, 2)
    times = clip.times(10.0)
    assert len(times) == 200 and np.diff(times) == pytest.approx(0.2)
    assert times[0] >= 0 and times[-1] <= film["seconds"]
    inside = sum(times[0] <= tick <= times[-1] for tick in chased)
    other = max(sum(start <= tick <= start + 40 for tick in chased) for start in range(0, 200, 5))
    assert inside >= other - 1
    short = clip_of(film, speed=60, size=SIZE)
    assert short.seconds == pytest.approx(film["seconds"] / 60)


def test_a_gif_holds_what_the_frames_show(
    film: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clips, "SECONDS", 2.0)
    clip, path = clip_of(film, speed=5, size=SIZE), tmp_path / "a.gif"
    write_gif(clip, path)
    with Image.open(path) as gif:
        assert (gif.size, gif.n_frames, gif.info["duration"], gif.info["loop"]) == (SIZE, 20, 100, 0)
        fresh = clip_of(film, speed=5, size=SIZE)  # fish turn from frame to frame, so each is drawn
        for k, now in enumerate(fresh.times(10.0)):
            drawn = np.asarray(fresh.painter.frame(float(now))).astype(int)
            if k in (0, 7, 19):
                gif.seek(k)
                apart = np.abs(np.asarray(gif.convert("RGB")).astype(int) - drawn)
                assert apart.mean() < 8
                assert np.quantile(apart.max(axis=2), 0.9) < 24
    assert path.stat().st_size < 2 * 8e6 / 20


@pytest.mark.skipif(ffmpeg() is None, reason="neither ffmpeg nor the extra [video] is there")
def test_an_mp4_holds_as_many_frames_as_it_should(
    film: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clips, "SECONDS", 1.0)
    path = tmp_path / "a.mp4"
    write_mp4(clip_of(film, speed=5, size=SIZE), path)
    program = ffmpeg()
    assert program is not None
    said = subprocess.run(
        [program, "-i", str(path), "-f", "null", "-"], capture_output=True, text=True, check=True
    ).stderr
    assert f"frame={round(clips.MP4_FRAMES_S):5d}" in said and "h264" in said and "640x360" in said


def test_a_failing_ffmpeg_leaves_no_file(
    film: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clips, "SECONDS", 0.5)
    monkeypatch.setattr(clips, "ffmpeg", lambda: "false")
    with pytest.raises(ClipError, match="could not write"):
        write_mp4(clip_of(film, speed=5, size=SIZE), tmp_path / "a.mp4")
    assert not list(tmp_path.iterdir())
