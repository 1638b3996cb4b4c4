"""The tank as it is drawn: glass, water, sand, stones and mouths, as polygons in cm, the farthest first.

One point of view for the player and for the frames of a clip: in front of the glass, a little below the
surface. What lies y cm behind the glass is drawn ``near / (near + y)`` as large.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...sim.scenario.scenario import RockSpec, TankSpec
from ...sim.tank.rockwork import Rock
from ...sim.tank.tank import Tank
from .colour import mixed
from .stones import HAZE, HAZE_MOST, Stone, crevice_places, holes_of, mouths_of, stones_of

if TYPE_CHECKING:
    from .recording import Recording

Floats = NDArray[np.float64]

WATER_TOP, WATER_LOW = "#8fbcc2", "#3f6d77"  # of the back pane, at the surface and at the floor
SAND, SURFACE = "#d3c199", "#d9eef0"
WOOD, GEAR = "#6a4b2f", "#2c3236"
CLEAR, OPAQUE, EDGE = "#c9e6ea", "#f1efe6", 0.6  # of a divider; half the width of its edge, cm
_STRIPS = 10
SLABS = 8  # depths at which rock may cover a fish


@dataclass(frozen=True)
class View:
    """Where one looks from; lengths in cm."""

    across: float  # x of the eye
    up: float  # z of the eye
    near: float  # distance of the eye from the front glass

    def at(self, places: Floats) -> Floats:
        """Places [k, 3] as seen on the front glass, [k, 2] cm: across and up."""
        share = self.near / (self.near + places[:, 1])
        eye = np.array([self.across, self.up])
        return np.asarray(eye + (places[:, (0, 2)] - eye) * share[:, None])


@dataclass(frozen=True)
class Scene:
    """What is drawn behind, between and before the fish."""

    spec: TankSpec
    view: View
    backdrop: list[tuple[str, Floats]]  # colour and outline [k, 3], the first drawn first
    solids: list[Stone]  # stones, mouths, wood and gear, the farthest first
    mouths: Floats  # [r, 3] places of the refuges, cm


def scene_of(recording: Recording) -> Scene:
    """The scene of a recording."""
    spec = recording.scenario.tank
    mouths = mouths_of(recording.tank, recording.rock, spec=spec)
    found = scene_of_rock(recording.rock, rock=recording.scenario.rock, tank=spec, mouths=mouths)
    stand_divider(found, recording.tank)
    return found


def divider_cm(tank: Tank, spec: TankSpec) -> float | None:
    """How far a divider stands from the left, cm; None where there is none."""
    right = tank.part == 1
    return float(tank.xyz[right, 0].min()) * spec.length_cm / int(tank.shape[0]) if right.any() else None


def stand_divider(scene: Scene, tank: Tank) -> None:
    """A divider: its pane, which is seen edge on, and its front edge, that nothing stands before."""
    x = divider_cm(tank, scene.spec)
    if x is None:
        return
    right, y, z = tank.part == 1, scene.spec.width_cm, scene.spec.water_cm
    seen = np.unpackbits(tank.sight[tank.part == 0], axis=1, count=len(right), bitorder="little")
    colour = CLEAR if seen[:, right].any() else OPAQUE
    pane = _quad((x, 0, 0), (x, y, 0), (x, y, z), (x, 0, z))
    scene.backdrop.append((mixed(colour, WATER_TOP, 0.35), pane))
    edge = np.array([(x - EDGE, 0), (x + EDGE, 0), (x + EDGE, z), (x - EDGE, z)])
    scene.solids.append(Stone(0.0, edge, (mixed(colour, "#000000", 0.45), colour, colour)))


def scene_of_rock(drawn: Rock, *, rock: RockSpec, tank: TankSpec, mouths: Floats | None = None) -> Scene:
    """The scene of a tank of which only the rock is known.

    Parameters
    ----------
    mouths : [r, 3] places of the refuges, cm; those of the crevices alone where None.
    """
    solids = stones_of(drawn, spec=rock, tank=tank) + _nearer_last(holes_of(drawn, spec=tank))
    return Scene(
        spec=tank,
        view=view_of(tank),
        backdrop=_backdrop(tank),
        solids=_nearer_last(solids + _boxes(rock, tank)),
        mouths=crevice_places(drawn, spec=tank) if mouths is None else mouths,
    )


def _nearer_last(solids: list[Stone]) -> list[Stone]:
    return sorted(solids, key=lambda solid: -solid.depth_cm)


def view_of(spec: TankSpec) -> View:
    near = max(2.4 * spec.width_cm, 0.7 * spec.length_cm)
    return View(spec.length_cm / 2.0, 0.62 * spec.water_cm, near)


def _backdrop(spec: TankSpec) -> list[tuple[str, Floats]]:
    x, y, z = spec.length_cm, spec.width_cm, spec.water_cm
    found: list[tuple[str, Floats]] = []
    for k in range(_STRIPS):
        low, high = k / _STRIPS, (k + 1) / _STRIPS
        water = mixed(WATER_LOW, WATER_TOP, (low + high) / 2)
        found.append((water, _quad((0, y, low * z), (x, y, low * z), (x, y, high * z), (0, y, high * z))))
        for side in (0.0, x):
            pane = mixed(water, "#ffffff", 0.1) if side == 0.0 else mixed(water, "#0c2a33", 0.12)
            corners = ((side, 0, low * z), (side, y, low * z), (side, y, high * z), (side, 0, high * z))
            found.append((pane, _quad(*corners)))
    for k in reversed(range(_STRIPS)):
        near, far = k / _STRIPS * y, (k + 1) / _STRIPS * y
        haze = HAZE_MOST * (near + far) / (2 * y)
        found.append((mixed(SAND, HAZE, haze), _quad((0, near, 0), (x, near, 0), (x, far, 0), (0, far, 0))))
        top = mixed(SURFACE, WATER_TOP, (near + far) / (2 * y))
        found.append((top, _quad((0, near, z), (x, near, z), (x, far, z), (0, far, z))))
    return found + _grains(spec)


def _grains(spec: TankSpec) -> list[tuple[str, Floats]]:
    """A little gravel, so that the floor reads as a floor."""
    rng = np.random.default_rng(3)
    found = []
    for _ in range(90):
        x, y = rng.uniform(1, spec.length_cm - 1), rng.uniform(0.5, spec.width_cm - 0.5)
        half = rng.uniform(0.25, 0.6)
        colour = mixed(mixed(SAND, "#6b5b3e", rng.uniform(0.15, 0.6)), HAZE, HAZE_MOST * y / spec.width_cm)
        found.append((colour, _quad((x - half, y, 0), (x, y - half, 0), (x + half, y, 0), (x, y + half, 0))))
    return sorted(found, key=lambda grain: -float(grain[1][0, 1]))


def _boxes(rock: RockSpec, spec: TankSpec) -> list[Stone]:
    """Wood, filter and heater, by their front face."""
    found = []
    for it in rock.objects:
        colour = mixed(WOOD if it.kind == "wood" else GEAR, HAZE, HAZE_MOST * it.y_cm / spec.width_cm)
        right, top = it.x_cm + it.length_cm, it.z_cm + it.height_cm
        outline = np.array([(it.x_cm, it.z_cm), (right, it.z_cm), (right, top), (it.x_cm, top)])
        shades = (mixed(colour, "#000000", 0.5), colour, mixed(colour, "#ffffff", 0.2))
        found.append(Stone(it.y_cm, outline, shades))
    return found


def _quad(*corners: tuple[float, float, float]) -> Floats:
    return np.array(corners, dtype=float)


def scene_json(scene: Scene) -> dict[str, Any]:
    """The scene as plain values; lengths in tenths of a cm."""
    return {
        "view": [scene.view.across, scene.view.up, scene.view.near],
        "backdrop": [[colour, _tenths(outline)] for colour, outline in scene.backdrop],
        "solids": [
            [round(10 * solid.depth_cm), *solid.colours, _tenths(solid.outline)] for solid in scene.solids
        ],
        "mouths": [_tenths(place) for place in scene.mouths],
    }


def _tenths(values: Floats) -> list[int]:
    return [round(10 * float(value)) for value in values.ravel()]
