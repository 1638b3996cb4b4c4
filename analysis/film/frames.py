"""Single frames of a film, drawn with Pillow: the tanks, who chases whom, clock, count and species key."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from PIL import Image

from ...sim.fish.shoal import BOXED, CHASING, CONTESTING, FLEEING, SHELTERED
from ...sim.scenario.clock import say_time
from .canvas import cut, fill, font, write
from .painted import Pictures, Plan
from .tank_painter import TankPainter

PAGE, INK, SOFT = "#10181b", "#eef3ee", "#a9bab9"
MARGIN = 12
_DOES = {
    SHELTERED: "hiding",
    FLEEING: "fleeing",
    CHASING: "chasing",
    CONTESTING: "in a contest",
    BOXED: "in its box",
}


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
        large = {"size": round(1.2 * self.text), "bold": True, "anchor": "r"}
        self._say(image, clock, self.size[0] - MARGIN, MARGIN + 0.6 * self.text, **large)
        self._say(image, self._caption(now), MARGIN, self._caption_y(), room=self.size[0] - 2 * MARGIN)
        return image

    def _say(self, image: Image.Image, text: str, x: float, y: float, **how: Any) -> None:
        style: dict[str, Any] = {"size": self.text, "colour": INK, **how}
        write(image, text, x, y, **style)

    def _caption_y(self) -> float:
        return self.size[1] - MARGIN - (1.35 * len(self._key_rows()) + 0.8) * self.text

    def _places(self) -> list[tuple[float, float, float, float]]:
        """Left, top, width and height for each tank: beside one another or one above the other."""
        width, top = self.size[0] - 2 * MARGIN, MARGIN + 2.75 * self.text
        height = self._caption_y() - 0.8 * self.text - top
        count, head = len(self.film["tanks"]), 1.35 * self.text if len(self.film["tanks"]) > 1 else 0.0
        beside, above = (width / count - 6 * (count - 1), height - head), (width, height / count - head)
        tank = self.film["tanks"][0]
        scales = [Plan(tank, width=w, height=h).scale for w, h in (beside, above)]
        w, h = beside if scales[0] >= scales[1] else above
        step_x, step_y = (width / count, 0.0) if (w, h) == beside else (0.0, height / count)
        return [(MARGIN + k * step_x, top + k * step_y + head, w, h) for k in range(count)]

    def _page(self) -> Image.Image:
        """What stays: title, count, speed, names of the tanks, species key."""
        image, film, text = Image.new("RGB", self.size, PAGE), self.film, self.text
        clock = font(round(1.2 * text), bold=True).getlength("00:00:00")
        room = self.size[0] - 2 * MARGIN
        title = {"room": room - clock - text, "bold": True}
        self._say(image, film["title"], MARGIN, MARGIN + 0.6 * text, **title)
        fast = "at real speed" if self.speed == 1 else f"{self.speed:g} times as fast"
        count = f"Simulated tank {film['trial'] + 1} of {film['of']}; fish of a model; {fast}"
        self._say(image, count, MARGIN, MARGIN + 1.9 * text, room=room, colour=SOFT)
        for view, tank in zip(self.views, film["tanks"], strict=True):
            if len(self.views) > 1:
                (x, y), wide = view.corner, view.plan.size[0]
                self._say(image, tank["name"], x, y - 0.7 * text, room=wide, bold=True)
        self._draw_key(image)
        return image

    def _key_rows(self) -> list[list[tuple[int, str, float]]]:
        """Species with their names as rows: number, text, width."""
        used, kinds = 0.0, range(len(self.film["species"]))
        fish = 2.5 * self.text * max(len(self._sexes(k)) for k in kinds)
        rows: list[list[tuple[int, str, float]]] = [[]]
        widest = (self.size[0] - 2 * MARGIN) / min(2, max(1, len(self.film["species"]))) - fish - self.text
        for k, species in enumerate(self.film["species"]):
            name = cut(f"{species['letter']} {species['short']}", size=self.text, room=widest)
            own = 2.5 * self.text * len(self._sexes(k))
            wide = own + 0.4 * self.text + font(self.text).getlength(name) + 1.2 * self.text
            if rows[-1] and used + wide > self.size[0] - 2 * MARGIN:
                rows.append([])
                used = 0.0
            rows[-1].append((k, name, wide))
            used += wide
        return rows

    def _sexes(self, species: int) -> tuple[int, ...]:
        """Males alone stand for a species whose females wear the same."""
        female, male = self.film["species"][species]["wear"]
        return (1,) if female == male else (1, 0)

    def _draw_key(self, image: Image.Image) -> None:
        for row, entries in enumerate(reversed(self._key_rows())):
            x, y = float(MARGIN), self.size[1] - MARGIN - (1.35 * row + 0.6) * self.text
            for k, name, wide in entries:
                for turn, sex in enumerate(self._sexes(k)):
                    swatch = self.pictures.swatch((k, sex), round(2.2 * self.text))
                    middle = x + (1.2 + 2.5 * turn) * self.text
                    fill(image, "#6f9ba3", middle, y, 1.2 * self.text, 0.6 * self.text)
                    across, tall = swatch.mask.size
                    swatch.paste(image, (round(middle - across / 2), round(y - tall / 2)))
                self._say(image, name, x + (0.3 + 2.5 * len(self._sexes(k))) * self.text, y)
                x += wide

    def _caption(self, now: float) -> str:
        """What last happened to the followed fish in the first tank; else what it does."""
        tank, i = self.film["tanks"][0], self.film["follow"]
        if i < 0:
            return ""
        code = tank["fish"][i]["code"]
        last = [row for row in tank["log"] if now - 25 < row[0] * self.film["tick"] <= now]
        rows = [row for row in last if row[1] == 0 and i in row[2:4]]
        if rows:
            _, _, actor, target, apart, on_ground, hides = rows[-1]
            text = f"{tank['fish'][actor]['code']} chases {tank['fish'][target]['code']}"
            text += f", {apart} cm away{', on its own ground' if on_ground else ''}"
            return text + ("; into hiding" if hides else "")
        seen = next((one for one in self.views[0].seen if one.i == i), None)
        if seen is None:
            return f"{code} is not in the tank"
        return f"{code} is followed: " + _DOES.get(seen.doing, "swimming")
