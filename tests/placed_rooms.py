"""``python -m tests.placed_rooms``: how often the right plan is found in made-up rooms, and fares' errors."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from fake_rooms import Judged, judged  # noqa: E402

CLEAR = 3  # points by which the best plan beats every other
SIZES = ((3, 5, 80), (4, 7, 40))  # tanks, groups, rooms


def said(found: list[Judged]) -> str:
    """One line."""
    clear = [one for one in found if one.margin >= CLEAR]
    errors = np.array([one.error for one in found])
    run, possible = (np.mean([getattr(one, name) for one in found]) for name in ("run", "possible"))
    return (
        f"{len(found)} rooms; the best is clear by {CLEAR} points in {len(clear)}, found in "
        f"{sum(one.right for one in clear)} of these; within 2 points of the best in "
        f"{sum(one.behind <= 2 for one in found)}; fares off by {errors.mean():+.4f} "
        f"(standard error {errors.std() / len(errors) ** 0.5:.4f}); "
        f"{run:.0f} of {possible:.0f} tanks run"
    )


if __name__ == "__main__":
    for tanks, groups, rooms in SIZES:
        every = [judged(k, tanks=tanks, groups=groups) for k in range(rooms)]
        print(f"{tanks} tanks, {groups} groups: {said(every)}")
