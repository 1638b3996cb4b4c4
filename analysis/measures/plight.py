"""How bad it is: four plain words for what fish keep of the time they would swim about in if left alone.

The words are this project's own and no judgement of animal welfare: they hold a tank against the ready
scenarios and against fish among their own kind, as the model has them.
"""

from __future__ import annotations

import json
import math
from functools import cache
from importlib import resources

WORDS = ("at ease", "held back", "hard pressed", "shut away")  # from the best to the worst
RECORD = "plight.json"  # made by ``python -m rockshy.analysis.evidence.plights --record``
IS_OWN = (
    "The four words (at ease, held back, hard pressed, shut away) hold this tank against the ready scenarios "
    "and against fish among their own kind in the model. They are the project's own and no judgement of "
    "animal welfare."
)


@cache
def bounds() -> tuple[float, ...]:
    """The shares kept from which on the first, the second and the third word hold, descending."""
    record = json.loads(resources.files(__package__).joinpath(RECORD).read_text(encoding="utf-8"))
    return tuple(record["bounds"])


def word(lost: float) -> str:
    """The word for fish that lose this share of their free swimming; "" where it is not known."""
    if not math.isfinite(lost):
        return ""
    kept = 1.0 - lost
    return next((name for name, least in zip(WORDS, bounds(), strict=False) if kept >= least), WORDS[-1])
