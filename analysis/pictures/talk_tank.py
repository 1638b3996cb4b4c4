"""Tanks on slides: one large from the front, and twenty small ones that show luck."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.patches import Rectangle

from ...sim.run.drawing import draw_tank, draw_trial_rock
from ...sim.run.set_ups import draw_of
from ...sim.scenario.scenario import Scenario
from ..film.scene import Scene, scene_of
from ..film.stones import SHADES
from ..talk.deck import Deck, Slide
from ..talk.facts import Facts
from ..talk.plain import in_tanks
from ..talk.spots import Spots, apart
from .look import HEIGHT, MARGIN, ROOM, WIDTH, species_looks
from .talk_fish import Token, species_fish, tokens
from .talk_look import BODY, CEILING, FLOOR, HEAD, SMALL, Canvas

_TITLE_ROOM = 330.0  # pixels for title and question
_LABEL = 46.0  # pixels over a small tank
_GAP = 22.0
_STRIP_ROOM = CEILING - 66 - FLOOR


def title_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """The tank from the front, title and question."""
    facts = deck.facts
    spec = facts.scenario.tank
    head = canvas.fitting(slide.title, sizes=(HEAD, BODY, SMALL), room=ROOM, height=250, bold=True)
    question = facts.scenario.question or f"How do {deck.mild} fare in this tank?"
    body = canvas.fitting(question, sizes=(BODY, SMALL), room=ROOM, height=330)
    words = sum(
        len(canvas.lines(text, **how)) * canvas.pitch(how["size"])
        for text, how in ((slide.title, head), (question, body))
    )
    room = HEIGHT - MARGIN - max(_TITLE_ROOM, words + 90) - FLOOR / 2
    scale = min(ROOM / spec.length_cm, room / spec.height_cm)
    wide, tall = spec.length_cm * scale, spec.height_cm * scale
    left, low = (WIDTH - wide) / 2, HEIGHT - MARGIN - tall
    axes = canvas.axes_at(x=left, y=low, width=wide, height=tall)
    axes.set(xlim=(0, spec.length_cm), ylim=(0, spec.height_cm))
    axes.set_axis_off()
    strip = facts.strips.get(0, ())
    if strip:
        shown = next((one for one in strip if one.trial == facts.typical), strip[0])
        draw_front(axes, facts.scenario, shown)
    top = canvas.block(slide.title, MARGIN, low - 26, **head)
    canvas.block(question, MARGIN, top - 12, **body)


def draw_front(axes: Axes, scenario: Scenario, shown: Spots) -> None:
    """Rock and fish of a simulated tank through the front glass; each fish where it was most."""
    draw = draw_of(scenario, shown.trial)
    drawn: Any = SimpleNamespace(
        scenario=scenario,
        tank=draw_tank(scenario, trial=shown.trial, draw=draw),
        rock=draw_trial_rock(scenario, trial=shown.trial, draw=draw),
    )
    scene = scene_of(drawn)
    axes.add_patch(Rectangle((0, 0), 1, 1, transform=axes.transAxes, facecolor="#22343a", zorder=0))
    _polygons(axes, [(colour, scene.view.at(places)) for colour, places in scene.backdrop], zorder=1)
    _polygons(axes, _stones(scene), zorder=2)
    _fish(axes, scenario, scene, shown)
    height, length = scenario.tank.height_cm, scenario.tank.length_cm
    axes.plot([0, 0, length, length], [height, 0, 0, height], color="#22343a", linewidth=9, zorder=9)


def _stones(scene: Scene) -> list[tuple[str, np.ndarray]]:
    found = []
    for solid in scene.solids:
        across, up = solid.outline.T
        shape = scene.view.at(np.column_stack([across, np.full(len(across), solid.depth_cm), up]))
        middle = shape.mean(axis=0)
        half = float(shape[:, 0].max() - middle[0])
        for colour, (size, aside) in zip(solid.colours, SHADES, strict=True):
            found.append((colour, middle + (shape - middle) * size + np.array(aside) * half))
    return found


def _polygons(axes: Axes, some: Sequence[tuple[str, np.ndarray]], *, zorder: float) -> None:
    colours, shapes = zip(*some, strict=True) if some else ((), ())
    # edges in the colour of the face, or soft edges that meet would let the ground through
    collection = PolyCollection(shapes, facecolors=colours, edgecolors="face", linewidths=1, zorder=zorder)
    collection.set_rasterized(True)
    axes.add_collection(collection, autolim=False)


def _fish(axes: Axes, scenario: Scenario, scene: Scene, shown: Spots) -> None:
    looks = species_looks((row.species for row in scenario.stock), scenario.species)
    length = scenario.tank.length_cm
    fish = sorted(shown.fish, key=lambda one: -one.y_cm)
    seen = scene.view.at(np.array([(one.x_cm, one.y_cm, one.z_cm) for one in fish]).reshape(-1, 3))
    places = apart([(float(x), float(z)) for x, z in seen], step=0.055 * length, width=length)
    for k, (one, (x, y)) in enumerate(zip(fish, places, strict=True)):
        share = scene.view.near / (scene.view.near + one.y_cm)
        long = max(one.length_cm, 0.05 * length) * share
        style: dict[str, Any] = {"left": k % 2 == 0, "zorder": 4 + 0.01 * k, "rasterized": True}
        look = looks[one.species]
        species_fish(axes, look, look.wear(one.label), x=x, y=y, long=long, **style)


# ---- luck


def luck_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """A small tank for each of the twenty simulated ones."""
    facts = deck.facts
    strip, setup = facts.strips[slide.place], facts.setups[slide.place]
    counted = f"{deck.mild} pinned {in_tanks(setup.pinned, setup.tanks)}"
    told = counted if setup.tanks else "nobody to be pinned"
    canvas.put(told, MARGIN, CEILING - 40, size=BODY, room=ROOM, bold=True)
    spec = _scenario_of(facts, slide.place).tank
    columns, scale = columns_for(len(strip), length=spec.length_cm, height=spec.height_cm)
    wide, tall = spec.length_cm * scale, spec.height_cm * scale
    rows = -(-len(strip) // columns)
    step_x = min((ROOM - wide) / max(1, columns - 1), wide + 4 * _GAP)
    long = max(24.0, min(40.0, 0.13 * wide))
    fish: list[Token] = []
    for k, one in enumerate(strip):
        x = MARGIN + (k % columns) * step_x
        y = CEILING - 66 - (k // columns) * _STRIP_ROOM / rows - _LABEL - tall
        label = f"{one.trial + 1} pinned" if one.pinned else f"{one.trial + 1}"
        canvas.put(label, x, y + tall + 10, bold=bool(one.pinned), room=wide)
        box = _Box(x, y, wide, tall, scale)
        _small_tank(canvas, one, box)
        fish += _seated(one, box, long)
    tokens(canvas, fish, long=long, edge=canvas.theme.paper, width=5.0, zorder=3)
    tokens(canvas, fish, long=long, width=0.6, zorder=3.1)


class _Box(NamedTuple):
    """Where a small tank stands on the slide, pixels; ``scale`` in pixels a cm."""

    x: float
    y: float
    wide: float
    tall: float
    scale: float


def _scenario_of(facts: Facts, place: int) -> Scenario:
    return facts.scenario.alternatives[place - 1].scenario if place else facts.scenario


def columns_for(count: int, *, length: float, height: float) -> tuple[int, float]:
    """How many small tanks stand in a row, and pixels a cm, so that they come out as large as can be."""
    best = (1, 0.0)
    for columns in range(1, count + 1):
        rows = -(-count // columns)
        across = (ROOM - (columns - 1) * _GAP) / columns / length
        up = (_STRIP_ROOM / rows - _LABEL - _GAP) / height
        scale = min(across, up)
        if scale > best[1] and length * scale >= 150:
            best = (columns, scale)
    return best if best[1] > 0 else (min(count, 10), (ROOM - 9 * _GAP) / 10 / length)


def _small_tank(canvas: Canvas, one: Spots, box: _Box) -> None:
    """Water, the outline of the rock, and a frame: a thick one where they were pinned."""
    theme = canvas.theme
    canvas.rect(box.x, box.y, box.wide, box.tall, facecolor=theme.water, edgecolor="none", zorder=1)
    ends = ((0.0, 0.0), *one.outline, (box.wide / box.scale, 0.0))
    outline = np.array(ends) * box.scale + (box.x, box.y)
    canvas.axes.fill(outline[:, 0], outline[:, 1], facecolor=theme.stone, edgecolor="none", zorder=1.5)
    edge, width = (theme.ink, 7) if one.pinned else (theme.faint, 2)
    canvas.rect(box.x, box.y, box.wide, box.tall, fill=False, edgecolor=edge, linewidth=width, zorder=2)


def _seated(one: Spots, box: _Box, long: float) -> list[Token]:
    """A fish for each watched one where it sat most, wholly inside its tank."""
    half = 0.5 * long
    places = apart(one.places, step=0.9 * long / box.scale, width=box.wide / box.scale)
    right, low = box.x + box.wide - half, box.y + 0.2 * long
    return [
        Token(min(max(box.x + x * box.scale, box.x + half), right), max(box.y + z * box.scale, low), True)
        for x, z in places
    ]
