"""Single frames of a film, drawn with Pillow: the tanks, who chases whom, clock, count and species key."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from PIL import Image

from ...sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED
from .canvas import cut, font, write
from .clock import say_time
from .painted import Pictures, Plan
from .tank_painter import TankPainter

PAGE, INK, SOFT = "#10181b", "#eef3ee", "#a9bab9"
MARGIN = 12
_DOES = {SHELTERED: "hiding", FLEEING: "fleeing", CHASING: "chasing", CONTESTING: "in a contest"}


class Painter:
    """Draws the frames of one film.

    Parameters
    ----------
    film : see :mod:`rockshy.analysis.film.data`.
    size : of a frame, pixels.
    speed : times as fast as the tank; said in every frame.
    """

    def __init__(
        self, film: Mapping[str, Any], *, size: tuple[int, int] = (1280, 720), speed: float = 5.0
    ) -> None:
        self.film, self.size, self.speed = film, size, speed
        self.text = -(-size[1] // 30) + 2  # pixels; no text is smaller than a thirtieth of the height
        self.pictures = Pictures(film)
        self.views = [
            TankPainter(film, tank, place=place, pictures=self.pictures, text=self.text, speed=speed)
            for tank, place in zip(film["tanks"], self._places(), strict=True)
        ]
        self.page = self._page()

    def frame(self, now: float) -> Image.Image:
        """The frame at ``now`` seconds since the film began."""
        image = self.page.copy()
        for view in self.views:
            image.paste(view.painted(now), view.corner)
        clock = say_time(self.film["clock"] + now, with_seconds=True)
        write(
            image,
            clock,
            x=self.size[0] - MARGIN,
            y=MARGIN + 0.6 * self.text,
            size=round(1.2 * self.text),
            colour=INK,
            bold=True,
            anchor="r",
        )
        write(
            image,
            cut(self._caption(now), size=self.text, room=self.size[0] - 2 * MARGIN),
            x=MARGIN,
            y=self._caption_y(),
            size=self.text,
            colour=INK,
        )
        return image

    def _rows(self) -> int:
        return len(self._key_rows())

    def _head(self) -> float:
        return MARGIN + 2.75 * self.text

    def _caption_y(self) -> float:
        return self.size[1] - MARGIN - (1.35 * self._rows() + 0.8) * self.text

    def _places(self) -> list[tuple[float, float, float, float]]:
        """Left, top, width and height for each tank: beside one another or one above the other."""
        width, top = self.size[0] - 2 * MARGIN, self._head()
        height = self._caption_y() - 0.8 * self.text - top
        count, head = len(self.film["tanks"]), 1.35 * self.text if len(self.film["tanks"]) > 1 else 0.0
        beside, above = (width / count - 6 * (count - 1), height - head), (width, height / count - head)
        tank = self.film["tanks"][0]
        scales = [Plan(tank, width=w, height=h).scale for w, h in (beside, above)]
        w, h = beside if scales[0] >= scales[1] else above
        steps = [
            (k * width / count, 0.0) if (w, h) == beside else (0.0, k * height / count) for k in range(count)
        ]
        return [(MARGIN + x, top + y + head, w, h) for x, y in steps]

    def _page(self) -> Image.Image:
        """What stays: title, count, speed, names of the tanks, species key."""
        image, film, text = Image.new("RGB", self.size, PAGE), self.film, self.text
        clock = font(round(1.2 * text), bold=True).getlength("00:00:00")
        room = self.size[0] - 2 * MARGIN - clock - text
        write(
            image,
            cut(film["title"], size=text, room=room, bold=True),
            x=MARGIN,
            y=MARGIN + 0.6 * text,
            size=text,
            colour=INK,
            bold=True,
        )
        fast = "at true speed" if self.speed == 1 else f"{self.speed:g} times as fast"
        count = f"1 of {film['of']} simulated tanks, number {film['trial']}; fish of a model; {fast}"
        write(
            image,
            cut(count, size=text, room=self.size[0] - 2 * MARGIN),
            x=MARGIN,
            y=MARGIN + 1.9 * text,
            size=text,
            colour=SOFT,
        )
        for view, tank in zip(self.views, film["tanks"], strict=True):
            if len(self.views) > 1:
                name = cut(tank["name"], size=text, room=view.plan.size[0], bold=True)
                write(
                    image,
                    name,
                    x=view.corner[0],
                    y=view.corner[1] - 0.7 * text,
                    size=text,
                    colour=INK,
                    bold=True,
                )
        self._draw_key(image)
        return image

    def _key_rows(self) -> list[list[tuple[int, str, float]]]:
        """Species with their names as rows: number, text, width."""
        fish, used = 2.4 * self.text, 0.0
        rows: list[list[tuple[int, str, float]]] = [[]]
        widest = (self.size[0] - 2 * MARGIN) / min(2, max(1, len(self.film["species"]))) - fish - self.text
        for k, species in enumerate(self.film["species"]):
            name = cut(f"{species['letter']} {species['short']}", size=self.text, room=widest)
            wide = fish + 0.4 * self.text + font(self.text).getlength(name) + 1.2 * self.text
            if rows[-1] and used + wide > self.size[0] - 2 * MARGIN:
                rows.append([])
                used = 0.0
            rows[-1].append((k, name, wide))
            used += wide
        return rows

    def _draw_key(self, image: Image.Image) -> None:
        for row, entries in enumerate(reversed(self._key_rows())):
            x, y = float(MARGIN), self.size[1] - MARGIN - (1.35 * row + 0.6) * self.text
            for k, name, wide in entries:
                swatch = self.pictures.swatch(k, round(2.2 * self.text))
                image.paste(
                    "#6f9ba3",
                    (
                        round(x),
                        round(y - 0.6 * self.text),
                        round(x + 2.4 * self.text),
                        round(y + 0.6 * self.text),
                    ),
                )
                across, tall = swatch.mask.size
                swatch.paste(image, (round(x + 1.2 * self.text - across / 2), round(y - tall / 2)))
                write(image, name, x=x + 2.8 * self.text, y=y, size=self.text, colour=INK)
                x += wide

    def _caption(self, now: float) -> str:
        """What last happened to the followed fish in the first tank; else what it does."""
        tank, i = self.film["tanks"][0], self.film["follow"]
        if i < 0:
            return ""
        code = tank["fish"][i]["code"]
        rows = [
            row
            for row in tank["log"]
            if row[1] == 0 and i in row[2:4] and now - 25 < row[0] * self.film["tick"] <= now
        ]
        if rows:
            _, _, actor, target, way, _, hides = rows[-1]
            text = f"{tank['fish'][actor]['code']} chases {tank['fish'][target]['code']}"
            text += f", {way} cm from the middle of its territory" if way >= 0 else ""
            return text + ("; into hiding" if hides else "")
        seen = next((one for one in self.views[0].seen if one.i == i), None)
        if seen is None:
            return f"{code} is not in the tank"
        return f"{code} is followed: " + _DOES.get(seen.doing, "swimming")
