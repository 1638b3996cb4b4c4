"""An order of going in over weeks, in words: a sentence for the first lines, a part of the whole answer."""

from __future__ import annotations

import math

from ..document import Section, section, table
from ..document.plain import capital, many, percent
from .orders import FRESH, SIFT, WEEKS, Ordered
from .relief.words import limits_said


def order_said(found: Ordered | None) -> str:
    """One sentence; "" where nobody asked."""
    if found is None:
        return ""
    one = found.difference
    if one is None:
        return f"Over weeks: {found.why}."
    months, order, together = many(found.months, "month"), f"{found.best}, {WEEKS} apart", found.tried[0][0]
    if not one.told:
        ends = f" ({limits_said(one.low, one.high)} more kept)" if math.isfinite(one.low) else ""
        return f"Over {months} no order was seen to do the worst off more good than {together}{ends}."
    kept, at_once = percent(found.kept), percent(found.at_once)
    if one.value > 0:
        better = f"this order does better: {order}; the worst off keep {kept}"
        return f"Over {months} {better}, {limits_said(one.low, one.high)} more than with {together}."
    better = f"{together} does better: the worst off keep {at_once}"
    return f"Over {months} {better}, {limits_said(-one.high, -one.low)} more than with {order}."


def order_section(found: Ordered | None) -> Section | None:
    """Every order that was lived."""
    if found is None:
        return None
    if found.why:
        return section("In which order over weeks", f"{capital(found.why)}.")
    rows = [(said, percent(kept)) for said, kept in found.tried]
    whole, fresh = many(found.months, "month"), len(FRESH)
    return section(
        "In which order over weeks",
        f"{order_said(found)} The worst off keep {percent(found.kept)} with {found.best} ({found.worst}), "
        f"and {percent(found.at_once)} with {found.tried[0][0]}.",
        table(("order", "worst off\nkeep"), rows, widths=(70, 10)),
        f"Each order was lived for {whole} in {len(SIFT)} simulated tanks, which chose the best but all at "
        f"once; these two were then lived in {fresh} others, and the difference is of these alone. Groups go "
        f"in {WEEKS} apart (an assumption). Weeks count from the day on which the last fish is in, whatever "
        "the order. Fish grow and mature meanwhile, as in rockshy life.",
    )
