"""The tank and its fish as Pillow pictures, out of a film's data: what the player paints, for clips."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw

from .canvas import FINE
from .fish import OUTLINED
from .stones import SHADES

Floats = NDArray[np.float64]

ROOM_CM = 0.8
GLASS = "#22343a"
GHOST = 0.78  # of the rock before a fish hides it
_TAILS = (1.0, 0.86, 0.7)
Kind = tuple[int, int]  # species, and 1 for a male
Looks = tuple[Kind, float, str, int, int, int, int]  # kind, depth ratio, posture, tail, size, turn, tilt

_HAZES = 4  # steps of haze that are kept
_SIDES = 6  # steps of turning away that are kept
_TILT = 0.15  # radians between pictures that are kept
_GROWTH = 0.05  # between sizes that are kept, as a logarithm
_LARGE = 420  # pixels from which smaller pictures are made


class Plan:
    """From cm to pixels of one tank; the view from above is left to the player."""

    def __init__(self, tank: Mapping[str, Any], *, width: float, height: float) -> None:
        length, self.depth, tall, self.water = tank["size"]
        self.across, self.up, self.near = tank["view"]
        self.scale = min(width / (length + 2 * ROOM_CM), height / (tall + 2 * ROOM_CM))
        self.size = int((length + 2 * ROOM_CM) * self.scale), int((tall + 2 * ROOM_CM) * self.scale)
        self.left, self.floor = ROOM_CM * self.scale, (tall + ROOM_CM) * self.scale
        self.tall, self.length = tall, length

    def spot(self, place: tuple[Any, Any, Any]) -> tuple[Any, Any]:
        """Pixels across and down of a place in cm; of many where it holds arrays."""
        x, y, z = place
        share = self.near / (self.near + y)
        across = self.left + (self.across + (x - self.across) * share) * self.scale
        return across, self.floor - (self.up + (z - self.up) * share) * self.scale

    def share(self, y: float) -> float:
        """How large is drawn what lies so far behind the glass."""
        return float(self.near / (self.near + y))

    def at(self, *place: Any) -> Floats:
        """Pixels [..., 2] of places in cm: x, y and z."""
        across, up = self.spot(
            (np.asarray(place[0]), np.asarray(place[1], dtype=float), np.asarray(place[2]))
        )
        return np.stack(np.broadcast_arrays(across, up), axis=-1)


def still_of(tank: Mapping[str, Any], plan: Plan) -> Image.Image:
    """The tank without its fish."""
    large = Image.new("RGB", (plan.size[0] * FINE, plan.size[1] * FINE), GLASS)
    ink = ImageDraw.Draw(large)
    for colour, flat in tank["backdrop"]:
        corners = np.array(flat, dtype=float).reshape(-1, 3) / 10.0
        ink.polygon(_points(plan.at(*corners.T)), fill=colour)
    for solid in tank["solids"]:
        _paint_solid(ink, solid, plan)
    rim = plan.at([0, plan.length], 0, [plan.tall, 0]) * FINE
    ink.rectangle([*rim[0], *rim[1]], outline=GLASS, width=round(0.5 * plan.scale * FINE))
    return large.reduce(FINE)


class Cut(NamedTuple):
    """A picture to be pasted through a mask; kept apart, since pasting is then much faster."""

    picture: Image.Image  # RGB
    mask: Image.Image  # L

    def paste(self, image: Image.Image, corner: tuple[int, int]) -> None:
        image.paste(self.picture, corner, self.mask)


def cut_of(image: Image.Image, *, alpha: float = 1.0) -> Cut:
    """A picture with opacity as one to be pasted, with ``alpha`` of its opacity."""
    mask = image.getchannel("A")
    if alpha < 1.0:
        mask = ImageChops.multiply(mask, Image.new("L", mask.size, round(255 * alpha)))
    return Cut(image.convert("RGB"), mask)


def before_of(tank: Mapping[str, Any], plan: Plan, slabs: int) -> list[Cut | None]:
    """For each depth the rock before it, so far opaque as it hides a fish."""
    found: list[Cut | None] = [None]
    for slab in range(1, slabs):
        large = Image.new("RGBA", (plan.size[0] * 2, plan.size[1] * 2))
        ink = ImageDraw.Draw(large)
        for solid in tank["solids"]:
            if solid[0] < 10 * plan.depth * slab / slabs:
                _paint_solid(ink, solid, plan, fine=2)
        found.append(cut_of(large.reduce(2), alpha=GHOST))
    return found


def _paint_solid(ink: ImageDraw.ImageDraw, solid: list[Any], plan: Plan, *, fine: int = FINE) -> None:
    depth, *colours, flat = solid
    outline = np.array(flat, dtype=float).reshape(-1, 2) / 10.0
    points = plan.at(outline[:, 0], depth / 10.0, outline[:, 1])
    middle = points.mean(axis=0)
    half = float(points[:, 0].max() - middle[0])
    for colour, (size, aside) in zip(colours, SHADES, strict=True):
        shape = middle + (points - middle) * size + np.array(aside) * (half, -half)
        ink.polygon(_points(shape, fine), fill=colour)


def _points(places: Floats, fine: int = FINE) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in places * fine]


class Pictures:
    """Pictures of fish, made when they are first needed and kept."""

    def __init__(self, film: Mapping[str, Any]) -> None:
        self.film = film
        self.hazed = lru_cache(maxsize=4000)(self._hazed)
        self.of = lru_cache(maxsize=4000)(self._of)
        self.sized = lru_cache(maxsize=2000)(self._sized)
        self.flat = lru_cache(maxsize=400)(self._flat)

    def get(
        self, fish: Mapping[str, Any], *, posture: str, beat: int, scale: float, turn: float,
        tilt: float = 0.0, far: float = 0.0,
    ) -> Cut:  # fmt: skip
        """A fish of about these looks; ``scale`` in pixels a cm, ``far`` from 0 (at the front glass) to 1."""
        size = round(np.log(max(6.0, fish["length"] * scale)) / _GROWTH)
        step = max(1, min(_SIDES, round(max(0.3, abs(turn)) * _SIDES))) * (1 if turn >= 0 else -1)
        ratio = round(fish["depth"] / fish["length"], 2)
        looks = (
            (fish["species"], fish["male"]),
            ratio,
            posture,
            (0, 1, 2, 1)[beat % 4],
            size,
            step,
            round(tilt / _TILT),
        )
        return self.hazed(looks, round(far * _HAZES))

    def swatch(self, kind: Kind, long: int) -> Cut:
        """A fish for the key."""
        return cut_of(self.of((kind, 0.36, "calm", 0, round(np.log(long) / _GROWTH), _SIDES, 0)))

    def _hazed(self, looks: Looks, far: int) -> Cut:
        return cut_of(self.of(looks), alpha=1.0 - 0.3 * far / _HAZES)

    def _of(self, looks: Looks) -> Image.Image:
        kind, ratio, posture, tail, size, step, tilt = looks
        small = self.sized(kind, ratio, posture, tail, size)
        if abs(step) < _SIDES:
            wide = max(3, round(small.width * abs(step) / _SIDES))
            small = small.resize((wide, small.height), Image.Resampling.BOX)
        if tilt:
            small = small.rotate(np.degrees(tilt * _TILT), Image.Resampling.BILINEAR, expand=True)
        return small.transpose(Image.Transpose.FLIP_LEFT_RIGHT) if step < 0 else small

    def _sized(self, kind: Kind, ratio: float, posture: str, tail: int, size: int) -> Image.Image:
        """A fish from the side in its size: made once, since making the large one small takes longest."""
        picture = self.flat(kind, ratio, posture, _TAILS[tail])
        share = float(np.exp(size * _GROWTH)) / _LARGE
        sides = max(3, round(picture.width * share)), max(3, round(picture.height * share))
        return picture.resize(sides, Image.Resampling.BOX).convert("RGBA")

    def _flat(self, kind: Kind, ratio: float, posture: str, tail: float) -> Image.Image:
        """A large fish from the side, facing right."""
        species, long = self.film["species"][kind[0]], _LARGE
        own = species["wear"][kind[1]]
        colours = own["colours"]
        tall = ratio * long
        size = round(1.16 * long), round(1.75 * tall) + 8
        image = Image.new("RGBA", size, (255, 255, 255, 0))
        ink, thin = ImageDraw.Draw(image), max(1.0, long / 130)
        pale = "pale " if posture == "clamped" else ""

        def points(flat: list[float]) -> list[tuple[float, float]]:
            outline = np.array(flat).reshape(-1, 2)
            x = np.where(outline[:, 0] < -0.2, -0.2 + (outline[:, 0] + 0.2) * tail, outline[:, 0])
            return _points(np.column_stack([size[0] / 2 + x * long, size[1] / 2 - outline[:, 1] * tall]), 1)

        layers = [(what, points(flat)) for what, flat in self.film["shapes"][posture]]
        for colour, width, parts in (("halo", 5.6 * thin, []), ("ink", 3.0 * thin, species["dashes"])):
            style: dict[str, Any] = {"fill": colours[colour], "width": round(width), "joint": "curve"}
            for what, outline in layers:
                for piece in _dashed([*outline, outline[0]], parts, 2 * thin) if what in OUTLINED else ():
                    ink.line(piece, **style)
        for what, outline in layers:
            if what == "line":
                ink.line(outline, fill=colours["ink"], width=max(1, round(thin)))
                continue
            fill = colours[{"eye": "halo", "pupil": "ink"}.get(what, pale + what)]
            ink.polygon(outline, fill=fill, outline=colours["ink"] if what in ("fin", "dorsal") else None)
            for mark in own["marks"] if what == "belly" else ():
                for flat in self.film["patterns"][mark]:
                    ink.polygon(points(flat), fill=colours[f"{pale}{mark}"])
        return image.convert("RGBa")  # so it is made smaller without a conversion each time


def _dashed(
    line: list[tuple[float, float]], parts: list[float], unit: float
) -> list[list[tuple[float, float]]]:
    """The pieces of a line that are drawn: all of it without dashes and gaps, else every dash."""
    if not parts:
        return [line]
    places = np.array(line)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    ends = np.cumsum(np.tile(parts, 1 + int(along[-1] / (unit * sum(parts))))) * unit
    starts = np.concatenate([[0.0], ends[:-1]])
    pieces = []
    for low, high in zip(starts[::2], ends[::2], strict=True):
        at = np.concatenate([[low], along[(along > low) & (along < high)], [high]])
        across, down = (np.interp(at, along, places[:, side]) for side in (0, 1))
        pieces.append(list(zip(across.tolist(), down.tolist(), strict=True)))
    return pieces
