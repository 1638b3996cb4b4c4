"""What a change takes: fish to catch, fish to buy, rock to lift, a new tank, and how it is undone."""

from __future__ import annotations

from dataclasses import dataclass

from ...document.plain import many, tenths
from ..rock.amount import SOLID, STONES

STONE = "limestone"  # what the kilograms are said of

LEAST_GONE = 0.05  # fish a tank

KgRange = tuple[float, float]


@dataclass(frozen=True)
class Cost:
    """What a change takes."""

    nets: int = 0  # fish to catch
    bought: int = 0  # fish to buy
    homes: int = 0  # of the fish caught, those that need another home for good
    rock_kg: KgRange | None = None  # lifted, as limestone, dry
    new_tank: bool = False
    divider: bool = False
    by_rule: bool = False  # what it takes is counted in the simulated tanks
    netted: tuple[float, float] = (0.0, 0.0)  # of a rule, times of the net a tank: out, and back in
    gone: float = 0.0  # of a rule, fish a tank that are out for good, or still out at the end
    undone: str = ""  # how it is undone, in words


def kg_of(bulk_l: float) -> KgRange:
    """Kilograms of a heap of limestone, lowest and highest, by ``rock/amount.py``."""
    density = STONES[STONE]
    return bulk_l * SOLID.low * density.low, bulk_l * SOLID.high * density.high


def added(one: KgRange, other: KgRange) -> KgRange:
    return one[0] + other[0], one[1] + other[1]


def fish_out(fish: int) -> Cost:
    return Cost(nets=fish, homes=fish, undone="can go back later, as newcomers")


def rock_lifted(kg: KgRange) -> Cost:
    return Cost(rock_kg=kg, undone="undone by lifting it again")


def cost_words(cost: Cost) -> str:
    """``"16 fish to catch and house elsewhere; can go back later, as newcomers"``."""
    parts = []
    if cost.new_tank:
        parts.append("a new tank")
    if cost.homes:
        parts.append(f"{many(cost.homes, 'fish', 'fish')} to catch and house elsewhere")
    elif cost.nets:
        parts.append(f"{many(cost.nets, 'fish', 'fish')} to catch")
    if cost.bought:
        parts.append(f"{many(cost.bought, 'fish', 'fish')} to buy")
    if cost.rock_kg is not None:
        low, high = (_rounded(kg) for kg in cost.rock_kg)
        parts.append(f"{low:,} to {high:,} kg of rock to lift ({STONE}, dry)")
    if cost.divider:
        parts.append("a divider")
    if cost.by_rule:
        parts.append(_by_rule(cost))
    parts.append(cost.undone)
    return "; ".join(parts)


def _by_rule(cost: Cost) -> str:
    """Means over the simulated tanks, since no two need it alike."""
    out, back = cost.netted
    if out == 0:
        return "nothing: in no simulated tank was it called for"
    then = f", {tenths(back)} put back" if back else ""
    away = f"; {tenths(cost.gone)} out at the end, to house elsewhere" if cost.gone >= LEAST_GONE else ""
    return f"the net {tenths(out)} times a simulated tank on average{then}{away}"


def _rounded(kg: float) -> int:
    """Two figures are all that the ranges are good for."""
    if kg < 10:
        return max(1, round(kg))
    step = 10 ** (len(str(int(kg))) - 2)
    return int(round(kg / step) * step)
