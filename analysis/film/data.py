"""A film as one table of plain values, the same for the player in the browser and for the frames of clips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.fish.shoal import DOING, SHELTERED
from ...sim.run.days import clock_hours
from ...sim.run.ledger import CHASE, EVENTS
from ...sim.scenario.called import typed_names
from .choosing import clock_of
from .coding import doings_of, packed_bits, packed_doings, packed_way, text_of, units_of, ways_of
from .fish import OUTLINED, colours, dashes, marks_of, patterns, shapes
from .ground import block_sides_cm
from .recording import GROUND_EVERY, Recording
from .scene import SLABS, divider_cm, scene_json, scene_of
from .wear import Wear, said_of

FORMAT = "rockshy film 1"
BOX_CM = 8.0, 13.0  # half the width of a box in which a fish sits, and how deep it hangs, as drawn
HIDES_WITHIN_S = 30  # a chase that ends in a hole within this time "into hiding"


@dataclass(frozen=True)
class FilmTexts:
    """What a film says about itself, in words."""

    title: str
    question: str
    why: tuple[str, ...]  # why this tank, these minutes and this fish
    of: int  # simulated tanks in all
    follow: str  # label of the fish followed at first
    speed: float  # tank seconds a second at first


def film_data(shown: Sequence[tuple[str, Recording]], told: FilmTexts) -> dict[str, Any]:
    """The film of one recording, or of two on the same clock.

    Parameters
    ----------
    shown : name and recording of each tank, the base first; all windows are equally long.
    told : see :class:`FilmTexts`.
    """
    from ..pictures.look import MARKERS, species_looks

    first = shown[0][1]
    lit_hours = clock_hours(first.scenario.run.lit_hours, first.scenario.timeline.events)
    kinds = {name: kind for _, one in shown for name, kind in one.scenario.species.items()}
    typed = {key: name for _, one in reversed(shown) for key, name in typed_names(one.scenario).items()}
    looks = species_looks((name for _, one in shown for name in one.species), kinds, typed)
    return {
        "format": FORMAT,
        "title": told.title,
        "question": told.question,
        "why": list(told.why),
        "trial": first.trial,
        "of": told.of,
        "speed": told.speed,
        "clock": clock_of(first.start, lit_ticks=first.lit_ticks, lit_hours=lit_hours)[1],
        "seconds": first.ticks * first.tick_s,
        "tick": first.tick_s,
        "doing": list(DOING),
        "box": list(BOX_CM),
        "events": list(EVENTS),
        "slabs": SLABS,
        "shapes": shapes(),
        "patterns": patterns(),
        "outlined": list(OUTLINED),
        "species": [
            {
                "name": look.name,
                "called": typed.get(look.name, look.name),
                "short": look.short,
                "letter": look.letter,
                "said": said_of(look.female, look.male),
                "marker": MARKERS.index(look.marker),
                "dashes": dashes(look.line),
                "wear": [_wear(look.female), _wear(look.male)],
            }
            for look in looks.values()
        ],
        "tanks": [_tank(name, one, looks) for name, one in shown],
        "follow": _followed(first, told.follow),
    }


def _wear(wear: Wear) -> dict[str, Any]:
    from ..pictures.look import ink_on

    return {
        "colours": colours(wear),
        "marks": marks_of(wear),
        "ink": ink_on(wear.body),
        "rim": wear.rim,
        "second": wear.second,
    }


def _followed(recording: Recording, label: str) -> int:
    """The fish followed at first; another one where it is not in the tank."""
    here = np.flatnonzero(recording.present.any(axis=0))
    wanted = [int(i) for i in here if recording.label[i] == label]
    return wanted[0] if wanted else int(here[0]) if len(here) else -1


def _tank(name: str, one: Recording, looks: dict[str, Any]) -> dict[str, Any]:
    units, spec, tank = units_of(one), one.scenario.tank, one.tank
    looks_in = np.unpackbits(tank.looks_in, axis=1, count=len(tank.xyz), bitorder="little")
    cell = np.array([spec.length_cm, spec.width_cm, spec.water_cm]) / tank.shape
    return {
        "name": name,
        "day": one.start // one.lit_ticks + 1,
        "size": [spec.length_cm, spec.width_cm, spec.height_cm, spec.water_cm],
        "cell": cell.tolist(),
        "shape": tank.shape.tolist(),
        "edge": tank.edge_cm,
        "sight": one.sight_cm,
        "units": units,
        "open": text_of(np.packbits(tank.index.ravel() >= 0, bitorder="little").tobytes()),
        "looksIn": [text_of(packed_bits(row)) for row in looks_in],
        "corner": tank.refuge_corner.astype(int).tolist(),
        "mouthCell": tank.xyz[tank.refuge_cell].tolist(),
        "mouth": [round(float(m), 1) if np.isfinite(m) else 0 for m in tank.refuge_mouth_cm],
        "divider": divider_cm(tank, spec),
        **scene_json(scene_of(one)),
        "fish": _fish(one, looks),
        "ways": [text_of(packed_way(way)) for way in ways_of(one, units=units)],
        "doings": [text_of(packed_doings(doings)) for doings in doings_of(one)],
        "homes": _homes(one),
        "blocks": _blocks(one),
        "grounds": _grounds(one),
        "log": log_of(one),
    }


def _fish(one: Recording, looks: dict[str, Any]) -> list[dict[str, Any]]:
    codes, names = codes_of(one, looks), list(looks)
    return [
        {
            "label": one.label[i],
            "code": codes[i],
            "species": names.index(one.species[i]),
            "male": int(one.male[i]),
            "length": round(float(one.length_cm[i]), 1),
            "depth": round(float(one.depth_cm[i]), 1),
            "stays": _stays(one.present[:, i]),
        }
        for i in range(len(one.label))
    ]


def codes_of(one: Recording, looks: dict[str, Any]) -> tuple[str, ...]:
    """A short sign for each fish, such as T♀3; that of the still pictures."""
    from ..pictures.parts import codes

    named: Any = SimpleNamespace(label=one.label, species=one.species)
    return codes(named, letters={name: look.letter for name, look in looks.items()})


def _stays(present: NDArray[np.bool_]) -> list[int]:
    """First tick in the tank and the tick before which it left, again and again."""
    edges = np.diff(np.concatenate([[0], present.astype(np.int8), [0]]))
    return np.flatnonzero(edges).tolist()


def _homes(one: Recording) -> list[list[int]]:
    """Tick, fish, refuge at the centre of its territory from then on (-1 none); in order of time."""
    centre = np.where(one.present, one.centre, -1)
    before = np.vstack([np.full((1, centre.shape[1]), -1), centre[:-1]])
    tick, fish = np.nonzero(centre != before)
    return [[int(t), int(i), int(centre[t, i])] for t, i in zip(tick, fish, strict=True)]


def _blocks(one: Recording) -> dict[str, list[float]]:
    """How many blocks of ground there are along and up, and how large they are, cm."""
    many, sides = one.ground.shape[2:], block_sides_cm(one.tank, one.scenario.tank)
    return {"many": [many[0], many[2]], "sides": [round(float(sides[axis]), 2) for axis in (0, 2)]}


def _grounds(one: Recording) -> list[list[Any]]:
    """Tick, fish, and the blocks that it holds from then on, as seen from the front; in order of time."""
    seen = np.asarray(one.ground.any(axis=3))
    before = np.concatenate([np.zeros_like(seen[:1]), seen[:-1]])
    look, fish = np.nonzero((seen != before).any(axis=(2, 3)))
    bits = np.packbits(seen.reshape(*seen.shape[:2], -1), axis=2, bitorder="little")
    return [
        [int(k) * GROUND_EVERY, int(i), text_of(bits[k, i].tobytes())]
        for k, i in zip(look, fish, strict=True)
    ]


def log_of(one: Recording) -> list[list[int]]:
    """Events in order of time: tick, kind, actor, target, and for a chase three more.

    They are how far the chased fish was from the chaser, cm, whether it was on ground that the chaser holds,
    and whether it ended up in a hole.
    """
    found = []
    for k, (tick, kind, actor, target, *cells) in enumerate(one.events.tolist()):
        row = [tick, kind, actor, target]
        if kind == CHASE:
            apart = np.diff(one.tank.xyz[cells], axis=0) * one.tank.edge_cm
            row += [round(float(np.linalg.norm(apart))), int(one.on_ground[k]), _hides(one, tick, target)]
        found.append(row)
    return found


def _hides(one: Recording, tick: int, fish: int) -> int:
    """Whether a chased fish hides before it swims freely again."""
    doing = one.doing[tick : tick + round(HIDES_WITHIN_S / one.tick_s), fish]
    settled = doing[(doing == SHELTERED) | (doing == 0)]
    return int(len(settled) > 0 and settled[0] == SHELTERED)
