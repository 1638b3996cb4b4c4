"""Plans as lines to copy into the scenario file, so that every other question can be asked of them."""

from __future__ import annotations

import json

from .answer import Best, Tried


def lines_of(found: Best) -> tuple[str, ...]:
    """The plans of the front: alternatives of a tank with fish, else the stock of the first of them."""
    if not found.plan.space.base.stock:
        return _as_stock(found, found.best)
    made = [_as_alternative(found, one, f"best {k}") for k, one in enumerate(found.front, 1)]
    return tuple(line for lines in made for line in (*lines, ""))[:-1]


def _as_alternative(found: Best, one: Tried, name: str) -> list[str]:
    lines = ["[[alternative]]", f"name = {json.dumps(name)}"]
    rows = [f"{{{', '.join(row)}}}" for row in _rows(found, one)]
    lines += [f"add = [{', '.join(rows)}]"] if rows else []
    lines += [f"rock = {{{', '.join(_rock(one))}}}"] if found.plan.space.is_laid else []
    lines += [f"tank = {{{', '.join(_tank(found, one))}}}"] if found.plan.space.shop else []
    return lines


def _as_stock(found: Best, one: Tried) -> tuple[str, ...]:
    lines = [line for row in _rows(found, one) for line in ("[[stock]]", *row, "")]
    if found.plan.space.is_laid:
        lines += [f"# in [rock], instead of what stands there: {', '.join(_rock(one))}"]
    if found.plan.space.shop:
        lines += [f"# in [tank], instead of what stands there: {', '.join(_tank(found, one))}"]
    return tuple(lines)


def _rows(found: Best, one: Tried) -> list[list[str]]:
    rows = []
    for liked, (males, females) in zip(found.plan.space.wanted.liked, one.stocking.fish, strict=True):
        if males + females:
            row = [f"species = {json.dumps(liked.typed or liked.species, ensure_ascii=False)}"]
            row += [f"males = {males}"] if males else []
            row += [f"females = {females}"] if females else []
            row += [f"length = {list(liked.length_cm)}"] if liked.length_cm else []
            rows.append(row)
    return rows


def _rock(one: Tried) -> list[str]:
    layout = one.layout
    if not layout.cover:
        return ["cover = 0"]
    return [f"cover = {layout.cover:g}", f"height = {layout.height_cm:g}", f"piles = {layout.piles}"]


def _tank(found: Best, one: Tried) -> list[str]:
    tank = found.plan.space.tanks[one.stocking.tank]
    sides = (("length", tank.length_cm), ("front_to_back", tank.width_cm), ("height", tank.height_cm))
    return [f"{name} = {cm:.10g}" for name, cm in sides]
