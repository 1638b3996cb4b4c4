"""Twenty seconds of a film as a GIF or an MP4."""

from __future__ import annotations

import shutil
import struct
import subprocess
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray
from PIL import GifImagePlugin, Image

from ..document.writing import whole
from .frames import Painter

SECONDS = 20.0
GIF_FRAMES_S = 10.0
MP4_FRAMES_S = 15.0
Pixels = NDArray[np.uint32]
T = TypeVar("T")

_COLOURS = 255  # of a GIF; one more stands for what has not changed
_KEEP = _COLOURS
_FLAT = 120  # of them are those that cover most
_MIXED = 50  # at least stand for all others
_LEVELS = 64  # of each of red, green and blue that are told apart when colours are looked up


class ClipError(Exception):
    """A clip could not be written; the message says why."""


@dataclass(frozen=True)
class Clip:
    """Which seconds of which film."""

    painter: Painter
    begin: float  # seconds since the film began
    speed: float  # times as fast as the tank
    seconds: float  # of the clip

    def times(self, frames_s: float) -> NDArray[np.float64]:
        """Seconds since the film began of each frame."""
        steps = np.arange(round(self.seconds * frames_s), dtype=np.float64)
        return self.begin + steps * (self.speed / frames_s)


def clip_of(film: Mapping[str, Any], *, speed: float, size: tuple[int, int] = (1280, 720)) -> Clip:
    """The part of a film in which the followed fish is chased most often; of equals that with more chases."""
    seconds = min(SECONDS, film["seconds"] / speed)
    span = seconds * speed
    starts = np.arange(0.0, max(film["seconds"] - span, 0.0) + 1e-9, 5.0)
    chases = np.array([row[:4] for row in film["tanks"][0]["log"] if row[1] == 0], dtype=float).reshape(-1, 4)
    when, own = chases[:, 0] * film["tick"], chases[:, 3] == film["follow"]
    inside = (when >= starts[:, None] + 3.0) & (when < starts[:, None] + 0.8 * span)
    best = int((1000 * (inside & own).sum(axis=1) + inside.sum(axis=1)).argmax())
    return Clip(Painter(film, size=size, speed=speed), float(starts[best]), speed, seconds)


# ---- GIF


def write_gif(clip: Clip, path: Path) -> None:
    """A GIF that repeats: 256 colours, and of each frame only what has changed."""
    times = clip.times(GIF_FRAMES_S)
    colours, table = _palette(clip, times)
    with whole(path) as temporary, temporary.open("wb") as file:
        file.write(b"GIF89a" + struct.pack("<HHBBB", *clip.painter.size, 0x80 | 0x70 | 7, 0, 0))
        file.write(colours + bytes(3 * 256 - len(colours)))
        file.write(b"!\xff\x0bNETSCAPE2.0\x03\x01\x00\x00\x00")
        last: Pixels | None = None
        for pixels in _ahead(lambda now: _pixels(clip.painter.frame(now)), times):
            _write_frame(file, pixels, last, table)
            last = pixels
        file.write(b";")


def _palette(clip: Clip, times: NDArray[np.float64]) -> tuple[bytes, NDArray[np.uint8]]:
    """Colours of the whole clip, and the number of the nearest one for each red, green and blue level."""
    from scipy.spatial import cKDTree

    some = times[:: max(1, len(times) // 4)][:4]
    pixels = np.concatenate([_pixels(clip.painter.frame(float(now)))[::2, ::2].ravel() for now in some])
    shades, counts = np.unique(pixels, return_counts=True)
    often = shades[np.argsort(-counts)][:_FLAT]  # nearly everything is drawn in flat colours
    own = _own_colours(clip.painter.film)[: _COLOURS - len(often) - _MIXED]
    rest = _parted(pixels[~np.isin(pixels, often)], _COLOURS - len(often) - len(own))
    colours = np.vstack([_parts(often), own, rest])
    level = (np.arange(_LEVELS) + 0.5) * (256 / _LEVELS)
    cube = np.stack(np.meshgrid(level, level, level, indexing="ij"), axis=-1).reshape(-1, 3)
    nearest = cKDTree(colours).query(cube)[1].astype(np.uint8)
    return colours.astype(np.uint8).tobytes(), nearest


def _own_colours(film: Mapping[str, Any]) -> NDArray[np.uint8]:
    """Those of each species, well and pale, [k, 3]: a fish is small, but its colour says what it is."""
    worn = [wear["colours"] for species in film["species"] for wear in species["wear"]]
    names = dict.fromkeys(name for colours in worn for name in colours if name not in ("ink", "halo"))
    shades = list(dict.fromkeys(colours[name] for name in names for colours in worn if name in colours))
    return np.array([[int(shade[k : k + 2], 16) for k in (1, 3, 5)] for shade in shades], np.uint8)


def _parted(pixels: Pixels, count: int) -> NDArray[np.uint8]:
    """A few colours instead of many, [k, 3]."""
    if not len(pixels):
        return np.zeros((0, 3), np.uint8)
    image = Image.fromarray(_parts(pixels)[None])
    raw = image.quantize(count, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE).getpalette()
    return np.array((raw or [])[: 3 * count], np.uint8).reshape(-1, 3)


def _parts(pixels: Pixels) -> NDArray[np.uint8]:
    """Red, green and blue of each, [n, 3]."""
    return np.stack([pixels & 255, pixels >> 8 & 255, pixels >> 16 & 255], axis=-1).astype(np.uint8)


def _pixels(image: Image.Image) -> Pixels:
    """Each pixel as one number: red, green and blue, eight bits each."""
    return np.asarray(image.convert("RGBX")).view("<u4")[..., 0] & np.uint32(0xFFFFFF)


def _looked_up(pixels: Pixels, table: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Numbers in the palette."""
    red, green, blue = pixels >> 2 & 63, pixels >> 10 & 63, pixels >> 18 & 63
    return table[red << 12 | green << 6 | blue]


def _write_frame(file: Any, now: Pixels, last: Pixels | None, table: NDArray[np.uint8]) -> None:
    """The smallest box with everything that has changed; what has not is left as it was."""
    left = top = 0
    if last is None:
        part = _looked_up(now, table)
    else:
        changed = now != last
        rows, columns = np.flatnonzero(changed.any(axis=1)), np.flatnonzero(changed.any(axis=0))
        top, left = (int(rows[0]), int(columns[0])) if len(rows) else (0, 0)
        box = np.s_[top : rows[-1] + 1, left : columns[-1] + 1] if len(rows) else np.s_[:1, :1]
        part = np.full(changed[box].shape, _KEEP, np.uint8)
        part[changed[box]] = _looked_up(now[box][changed[box]], table)
    file.write(b"!\xf9\x04" + struct.pack("<BHBB", 0b00000101, round(100 / GIF_FRAMES_S), _KEEP, 0))
    image = Image.fromarray(part).convert("P")
    image.putpalette(bytes(3 * 256))
    for chunk in GifImagePlugin.getdata(image, offset=(left, top)):
        file.write(chunk)


# ---- MP4


def ffmpeg() -> str | None:
    """The program that writes MP4: on the path, else that of the extra [video]; None without either."""
    found = shutil.which("ffmpeg")
    if found:
        return found
    try:
        from imageio_ffmpeg import get_ffmpeg_exe

        return str(get_ffmpeg_exe())
    except (ImportError, RuntimeError):
        return None


def write_mp4(clip: Clip, path: Path) -> None:
    """An MP4 that plays everywhere (H.264, 4:2:0).

    Raises
    ------
    ClipError
        When ffmpeg is missing or fails.
    NotWrittenError
        When what it wrote cannot take its place.
    """
    program = ffmpeg()
    if program is None:
        raise ClipError("there is no ffmpeg")
    width, height = clip.painter.size
    command = [
        program, "-y", "-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{width}x{height}",
        "-r", f"{MP4_FRAMES_S:g}", "-i", "-", "-an", "-c:v", "libx264", "-preset", "ultrafast", "-crf", "23",
        "-pix_fmt", "yuv420p", "-movflags", "+faststart", "-f", "mp4",
    ]  # fmt: skip
    with whole(path) as temporary:
        said = _fed([*command, str(temporary)], _raw_frames(clip))
        if said is not None:
            raise ClipError(f"{path}: ffmpeg could not write it ({said[:300]})")


def _fed(command: list[str], frames: Iterator[bytes]) -> str | None:
    """Give all frames to a program; what it said when it failed, None when it did not."""
    with subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdin is not None and process.stderr is not None
        try:
            for frame in frames:
                process.stdin.write(frame)
            process.stdin.close()
        except BrokenPipeError:
            pass
        said = process.stderr.read().decode(errors="replace").strip()
    return said if process.returncode != 0 else None


def _raw_frames(clip: Clip) -> Iterator[bytes]:
    return _ahead(lambda now: clip.painter.frame(now).tobytes(), clip.times(MP4_FRAMES_S))


def _ahead(make: Callable[[float], T], times: NDArray[np.float64]) -> Iterator[T]:
    """What is made at each time, in order; the next is being made while the last is used."""
    with ThreadPoolExecutor(1) as pool:
        coming = pool.submit(make, float(times[0]))
        for now in times[1:]:
            made, coming = coming.result(), pool.submit(make, float(now))
            yield made
        yield coming.result()
