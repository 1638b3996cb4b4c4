"""Rock as it looks from the front and from above: shaded pictures of a height over the floor."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ...sim.scenario.scenario import TankSpec
from ...sim.tank.rockwork import Rock
from ...sim.tank.tank import Tank

Floats = NDArray[np.float64]

_POINTS = 800  # picture points along the tank
_LIGHT = np.array([-0.45, -0.55, 0.70])  # from the upper left, from the side of the viewer
_DARK, _BRIGHT = np.array([0.36, 0.35, 0.34]), np.array([0.90, 0.885, 0.86])
_EDGE = np.array([0.22, 0.21, 0.20])
_STEP_CM = 3.0  # a jump in depth or height that shows as an edge
_HAZE = np.array([0.88, 0.92, 0.94])


class Relief(NamedTuple):
    """A picture of the rock: colours with opacity, and where its surface is."""

    rgba: Floats  # [up, across, 4] the lowest row first
    surface_cm: Floats  # [up, across] front: distance from the front glass, inf without rock; above: height


def rock_heights(rock: Rock | None, *, tank: Tank, spec: TankSpec) -> Floats:
    """Height of the rock on points along and front to back, cm; from the cells where no rock is given.

    From the cells a point is as high as the unbroken rock on the floor there, and as coarse as a cell.
    """
    if rock is not None:
        return rock.top_cm
    layers = np.cumprod(tank.index < 0, axis=2).sum(axis=2)
    heights: Floats = layers * (spec.water_cm / float(tank.shape[2]))
    return heights


def from_above(heights: Floats, *, spec: TankSpec) -> Relief:
    """The rock looked down upon."""
    step = spec.length_cm / _POINTS
    fine = _fine(heights, spec, step)
    raised = 0.65 + 0.35 * fine / max(float(fine.max()), 1e-9)
    colour = _coloured((_light(fine, step) * raised).T, step)
    edge = _jumps(fine).T
    colour[edge] = 0.45 * colour[edge] + 0.55 * _EDGE
    return Relief(np.dstack([colour, (fine > 0.0).T.astype(float)]), fine.T)


def from_front(heights: Floats, *, spec: TankSpec) -> Relief:
    """The rock seen through the front glass; what is further back is paler."""
    step = spec.length_cm / _POINTS
    fine = _fine(heights, spec, step)
    light = _light(fine, step)
    up = (np.arange(round(spec.height_cm / step)) + 0.5) * step
    depth = np.full((len(up), fine.shape[0]), np.inf)
    lit = np.zeros(depth.shape)
    across = np.arange(fine.shape[0])
    for k, z in enumerate(up):
        met = fine >= z
        first = met.argmax(axis=1)
        here = met[across, first]
        depth[k, here] = (first[here] + 0.5) * step
        lit[k, here] = light[across[here], first[here]]
    rock = np.isfinite(depth)
    haze = 0.45 * np.where(rock, depth, 0.0)[..., None] / spec.width_cm
    colour = _coloured(lit, step) * (1 - haze) + haze * _HAZE
    edge = _jumps(np.where(rock, depth, 10.0 * spec.width_cm)) & rock
    colour[edge] = 0.4 * colour[edge] + 0.6 * _EDGE
    return Relief(np.dstack([np.clip(colour, 0, 1), rock.astype(float)]), depth)


def _fine(heights: Floats, spec: TankSpec, step: float) -> Floats:
    """The heights on points ``step`` cm apart, corners of the coarser points rounded off; 0 without rock."""
    points = [max(2, round(side / step)) for side in (spec.length_cm, spec.width_cm)]
    factor = [wanted / had for wanted, had in zip(points, heights.shape, strict=True)]
    rounding = 0.7 / step
    covered = ndimage.zoom((heights > 0).astype(float), factor, order=1, mode="nearest", grid_mode=True)
    fine = ndimage.zoom(heights, factor, order=1, mode="nearest", grid_mode=True)
    rock = ndimage.gaussian_filter(covered, rounding) > 0.5
    return np.asarray(np.where(rock, ndimage.gaussian_filter(fine, rounding), 0.0))


def _light(fine: Floats, step: float) -> Floats:
    """Brightness 0..1 of a surface lit from one side."""
    along, back = np.gradient(ndimage.gaussian_filter(fine, 0.5 / step), step)
    normal = np.dstack([-along, -back, np.ones_like(fine)])
    normal /= np.linalg.norm(normal, axis=2, keepdims=True)
    return np.asarray(0.18 + 0.8 * np.maximum(normal @ _LIGHT, 0.0))


def _coloured(light: Floats, step: float) -> Floats:
    """Stone in that light, with some grain: a texture, the same in every picture."""
    noise = np.random.default_rng(0).normal(size=light.shape)
    grain = sum(
        weight * ndimage.gaussian_filter(noise, width / step) * width / step
        for width, weight in ((0.25, 0.05), (1.5, 0.04))
    )
    return np.asarray(_DARK + (_BRIGHT - _DARK) * np.clip(light + grain, 0.0, 1.0)[..., None])


def _jumps(surface: Floats) -> NDArray[np.bool_]:
    """Points beside a jump of the surface."""
    return np.asarray(ndimage.grey_dilation(surface, size=(3, 3)) - surface > _STEP_CM)
