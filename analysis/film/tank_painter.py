"""One tank of a film as a picture at a time: fish, holes, chases, bites, the fish that is followed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np
from PIL import Image, ImageChops

from ...sim.fish.shoal import BOXED, CHASING, CONTESTING, FLEEING
from .canvas import ellipse, fill, font, soft, write
from .painted import Cut, Floats, Pictures, Plan, before_of, cut_of, still_of
from .seen import FishInView, Onlooker

CHASE, CASING, PAPER, BITE = "#ffd33d", "#1c2526", "#f6f8f3", "#ff7a45"
_AFTER_S = 1.0  # seconds of the clip that the trace of a chase stays
_FLED_S = 6.0


class TankPainter:
    """Paints one tank of a film.

    Parameters
    ----------
    place : left, top, width and height of the room for it, pixels.
    text : height of text, pixels.
    speed : times as fast as the tank: traces stay as long on the screen whatever it is.
    """

    def __init__(
        self,
        film: Mapping[str, Any],
        tank: Mapping[str, Any],
        *,
        place: tuple[float, float, float, float],
        pictures: Pictures,
        text: int,
        speed: float,
    ) -> None:
        left, top, width, height = place
        self.film, self.tank, self.pictures, self.text, self.speed = film, tank, pictures, text, speed
        self.plan = Plan(tank, width=width, height=height)
        room = (width - self.plan.size[0]) / 2, (height - self.plan.size[1]) / 2
        self.corner = round(left + room[0]), round(top + room[1])
        self.still = still_of(tank, self.plan)
        self.before = before_of(tank, self.plan, self.film["slabs"])
        self.onlooker = Onlooker(self.film, tank)
        self.chases = [row for row in tank["log"] if row[1] == 0]
        self.bites = [row for row in tank["log"] if row[1] == 1]
        label = film["tanks"][0]["fish"][film["follow"]]["label"] if film["follow"] >= 0 else None
        self.follow = next((i for i, fish in enumerate(tank["fish"]) if fish["label"] == label), -1)
        self.seen: list[FishInView] = []
        self.heads: dict[tuple[int, int, bool], Cut] = {}
        self.bows = lru_cache(maxsize=200)(_bows)

    def painted(self, now: float) -> Image.Image:
        image = self.still.copy()
        self.seen = self.onlooker.look(now)
        spots = {fish.i: self._spot(fish) for fish in self.seen}
        for fish in self.seen:
            if fish.doing in (FLEEING, CHASING):
                self._trail(image, fish, now)
        for fish in self.seen:
            self._fish(image, fish, spots[fish.i], now)
            if fish.doing == BOXED:
                self._box(image, fish)
        self._chases(image, spots, now)
        for fish in self.seen:
            if fish.i == self.follow:
                self._tag(image, fish, spots[fish.i])
        return image

    def _is_crevice(self, fish: FishInView) -> bool:
        return fish.hole >= 0 and not self.tank["corner"][fish.hole]

    def _spot(self, fish: FishInView) -> Floats:
        """Where a fish is drawn, [2] pixels: all of it within the glass."""
        x, y, _ = fish.at
        across, up = self.plan.spot(fish.at)
        if self._is_crevice(fish):
            return np.array([across, up])
        told, size = self.tank["fish"][fish.i], self.plan.share(y) * self.plan.scale
        half, low = 0.5 * told["length"] * size * max(0.3, abs(fish.turn)), 0.5 * told["depth"] * size
        top = self.plan.spot((x, y, self.plan.water))[1] + low
        floor = self.plan.spot((x, y, 0.0))[1] - 0.9 * low
        left, right = self.plan.left + half, self.plan.size[0] - self.plan.left - half
        return np.array([max(left, min(right, across)), max(top, min(floor, up))])

    def _fish(self, image: Image.Image, fish: FishInView, spot: Floats, now: float) -> None:
        told, y = self.tank["fish"][fish.i], fish.at[1]
        size = self.plan.share(y) * self.plan.scale
        if self._is_crevice(fish):
            self._peeking(image, fish, spot, size)
            return
        beat = int(now * (4.5 if fish.speed > 0.5 else 1.2) + 2.1 * fish.i)
        tilt = -0.35 if fish.hole >= 0 else fish.pitch
        looks: dict[str, Any] = {"posture": fish.posture, "beat": beat, "turn": fish.turn, "tilt": tilt}
        picture = self.pictures.get(told, scale=size, far=y / self.plan.depth, **looks)
        wide, tall = picture.mask.size
        left, top = round(spot[0] - wide / 2), round(spot[1] - tall / 2)
        picture.paste(image, (left, top))
        slab = max(0, min(self.film["slabs"] - 1, int(y / self.plan.depth * self.film["slabs"])))
        rock = self.before[slab]
        box = max(0, left), max(0, top), min(image.width, left + wide), min(image.height, top + tall)
        if rock is not None and box[2] > box[0] and box[3] > box[1]:
            image.paste(rock.picture.crop(box), box[:2], rock.mask.crop(box))

    def _peeking(self, image: Image.Image, fish: FishInView, spot: Floats, size: float) -> None:
        """Its head in the dark of the mouth; made once for each fish and hole."""
        key = (fish.i, fish.hole, fish.turn < 0)
        if key not in self.heads:
            self.heads[key] = self._head(fish, size)
        head = self.heads[key]
        wide, tall = head.mask.size
        head.paste(image, (round(spot[0] - wide / 2), round(spot[1] - tall / 2)))

    def _head(self, fish: FishInView, size: float) -> Cut:
        told, mouth = self.tank["fish"][fish.i], max(2.4, self.tank["mouth"][fish.hole] or 3.0)
        wide, tall = (0.55 * mouth + 1.2) * size, (0.48 * mouth + 0.8) * size
        middle = np.ceil([wide + 3, tall + 3])
        found = Image.new("RGBA", (int(2 * middle[0]), int(2 * middle[1])))
        shape = ellipse(float(middle[0]), float(middle[1]), wide, tall)
        soft(found, [shape], "#0b0e0f")
        share, left = min(1.0, 2.1 * tall / (told["depth"] * size)), float(np.copysign(1.0, fish.turn))
        picture = self.pictures.get(told, posture="clamped", beat=0, scale=share * size, turn=left)
        corner = np.round(
            middle - (left * 0.36 * share * told["length"] * size, 0) - np.array(picture.mask.size) / 2
        )
        inside = Image.new("L", picture.mask.size)
        soft(inside, [shape - corner], "white")
        mask = ImageChops.multiply(inside, picture.mask)
        found.paste(picture.picture.convert("RGBA"), (int(corner[0]), int(corner[1])), mask)
        soft(found, [shape[k : k + 2] for k in range(0, len(shape), 3)], PAPER, width=1.6)
        return cut_of(found)

    def _trail(self, image: Image.Image, fish: FishInView, now: float) -> None:
        points = np.array([self._seen_at(fish.i, now - back) for back in np.arange(1.2, -0.1, -0.3)])
        alpha = 0.6 if fish.doing == FLEEING else 0.3
        soft(image, [points], PAPER, width=0.35 * self.plan.scale, alpha=alpha)

    def _seen_at(self, i: int, now: float) -> Floats:
        return np.array(self.plan.spot(self.onlooker.place(i, max(0.0, now))))

    def _chases(self, image: Image.Image, spots: Mapping[int, Floats], now: float) -> None:
        span, tick = _AFTER_S * self.speed, self.film["tick"]
        for row in self.chases:
            began = row[0] * tick
            if now - span < began <= now:
                self._fled(image, row[3], began, now, 1.0 - (now - began) / span)
        for fish in self.seen:
            if fish.doing == CHASING and fish.partner in spots:
                self._stroke(image, spots[fish.i], spots[fish.partner])
            if fish.doing == CONTESTING:
                self._bows(image, fish, spots[fish.i])
        for row in self.bites:
            if now - 0.6 * span < row[0] * tick <= now and row[3] in spots:
                self._burst(image, spots[row[3]])

    def _fled(self, image: Image.Image, i: int, began: float, now: float, alpha: float) -> None:
        times = np.append(np.arange(began, min(now, began + _FLED_S), 0.5), min(now, began + _FLED_S))
        points = np.array([self._seen_at(i, float(at)) for at in times])
        if len(points) > 1 and alpha > 0:
            for colour, width in ((CASING, 0.62), (CHASE, 0.34)):
                soft(image, [points], colour, width=width * self.plan.scale, alpha=0.9 * alpha)

    def _stroke(self, image: Image.Image, start: Floats, end: Floats) -> None:
        wide, way = max(2.5, 0.75 * self.plan.scale), end - start
        far = float(np.hypot(*way))
        if far < 2 * wide:
            return
        ahead = way / far
        aside = np.array([ahead[1], -ahead[0]]) * wide
        tip = end - ahead * wide
        neck = tip - ahead * min(0.45 * far, 4.2 * wide)
        half = [start + 0.3 * aside, neck + 0.8 * aside, neck + 1.9 * aside]
        other = [neck - 1.9 * aside, neck - 0.8 * aside, start - 0.3 * aside]
        outline = np.array([*half, tip, *other])
        soft(image, [np.vstack([outline, outline[:1]])], CASING, width=3.0)
        soft(image, [outline], CHASE)

    def _bows(self, image: Image.Image, fish: FishInView, spot: Floats) -> None:
        """Two bows beside a fish that displays or fights."""
        reach = self.tank["fish"][fish.i]["length"] * self.plan.share(fish.at[1]) * self.plan.scale
        bows = self.bows(round(0.31 * reach) * 2)
        side = bows.mask.size[0] / 2
        bows.paste(image, (round(spot[0] - side), round(spot[1] - side)))

    def _burst(self, image: Image.Image, spot: Floats) -> None:
        near, far = 1.6 * self.plan.scale, 3.6 * self.plan.scale
        rays = [np.array([np.cos(turn), np.sin(turn)]) for turn in np.arange(8) * np.pi / 4]
        lines = [np.array([spot + near * ray, spot + far * ray]) for ray in rays]
        soft(image, lines, BITE, width=max(2.0, 0.45 * self.plan.scale))

    def _box(self, image: Image.Image, fish: FishInView) -> None:
        """The box that a fish sits in, at the front glass under the surface."""
        (half, deep), (x, y, _), top = self.film["box"], fish.at, self.plan.water
        corners = ((x - half, top), (x - half, top - deep), (x + half, top - deep), (x + half, top))
        outline = np.array([self.plan.spot((across, y, up)) for across, up in (*corners, corners[0])])
        for colour, width in ((CASING, 0.7), (PAPER, 0.4)):
            soft(image, [outline], colour, width=max(1.5, width * self.plan.scale))

    def _tag(self, image: Image.Image, fish: FishInView, spot: Floats) -> None:
        """A ring round the followed fish and its sign."""
        told, size = self.tank["fish"][fish.i], self.plan.share(fish.at[1]) * self.plan.scale
        wide = 0.62 * told["length"] * size
        tall = max(0.7 * told["depth"] * size, 0.38 * wide)
        ring = ellipse(float(spot[0]), float(spot[1]), wide, tall)
        for colour, width in ((CASING, 4.5), (PAPER, 2.2)):
            soft(image, [np.vstack([ring, ring[:2]])], colour, width=width)
        text, wear = self.text, self.film["species"][told["species"]]["wear"][told["male"]]
        half = font(text, bold=True).getlength(told["code"]) / 2 + 0.3 * text
        x = max(half + 2, min(image.width - half - 2, float(spot[0])))
        y = max(0.8 * text, float(spot[1]) - tall - 0.9 * text)
        fill(image, wear["rim"], x, y, half + 2, 0.66 * text + 2)
        fill(image, wear["colours"]["body"], x, y, half, 0.66 * text)
        write(image, told["code"], x, y, size=text, colour=wear["ink"], bold=True, anchor="m")


def _bows(reach: int) -> Cut:
    found = Image.new("RGBA", (2 * reach + 6, 2 * reach + 6))
    middle, lines = np.array([reach + 3.0, reach + 3.0]), []
    for up in (-1, 1):
        turn = np.linspace(up * np.pi / 2 - 0.45, up * np.pi / 2 + 0.45, 7)
        lines.append(middle + np.column_stack([reach * np.cos(turn), 0.62 * reach * np.sin(turn)]))
    soft(found, lines, PAPER, width=1.6)
    return cut_of(found)
