"""``python -m rockshy.analysis.evidence.lot``: which emergent patterns are training and which are test.

Training patterns may be looked at while rules are mended. Test patterns are run once, at the end, and never
to choose a rule or a number. The lot decides, so that nobody can pick the ones that suit.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

from .registered import EMERGENT, Pattern, patterns, standing, text_of

TRAINING, TEST = "training", "test"
SEED = "20261129"  # the day of the drawing, set before it
SHARE = 2 / 5  # of the families of either urn, and more by rounding
RECIPE = (
    "Emergent patterns that are not restated, in families that share their runs (a number with all its "
    "letters). Two urns: families of which a result of this model was known when the lot was drawn, and the "
    'others. In either the families are put in the order of the SHA-256 of "SEED FAMILY" (hexadecimal, '
    "UTF-8), and the first two in five, rounded up, are test."
)
# Known when the lot was drawn: all that had been run and recorded by then, in these words or in others.
KNOWN = ("P1", "P7", "P8", "P10", "P12", "P13", "F1", "F3", "F6", "F8", "F11", "F17", "F18", "N2")

LATER = "L"  # registered after the lot was drawn, of the life of a tank: all are test


def family(id_: str) -> str:
    """The number of a pattern without its letter: those of one family come out of the same runs."""
    return id_.rstrip("abc")


def drawn(registered: Iterable[Pattern], *, seed: str = SEED) -> dict[str, list[str]]:
    """Draw the lot: ids by TRAINING and TEST, in the order of the registration."""
    emergent = [one.id for one in registered if _takes_part(one)]
    families = dict.fromkeys(family(id_) for id_ in emergent)
    test: set[str] = set()
    for known in (True, False):
        urn = sorted((one for one in families if (one in KNOWN) == known), key=lambda one: _lot(seed, one))
        test.update(urn[: math.ceil(SHARE * len(urn))])
    return {
        TRAINING: [id_ for id_ in emergent if family(id_) not in test],
        TEST: [id_ for id_ in emergent if family(id_) in test],
    }


def _takes_part(one: Pattern) -> bool:
    return one.kind == EMERGENT and not one.restated and not one.id.startswith(LATER)


def _lot(seed: str, name: str) -> str:
    return hashlib.sha256(f"{seed} {name}".encode()).hexdigest()


def committed() -> Mapping[str, Any]:
    """The lot as it was drawn and committed: seed, recipe, training, test."""
    told: Mapping[str, Any] = json.loads(text_of("lot.json"))
    return told


def side_of(id_: str) -> str | None:
    """TRAINING or TEST; None for a pattern that took no part, since it is not emergent."""
    if id_.startswith(LATER):
        return TEST
    told = committed()
    return next((side for side in (TRAINING, TEST) if id_ in told[side]), None)


def lot_text() -> str:
    """The text of the file that is committed."""
    told = {"seed": SEED, "recipe": RECIPE, **drawn(patterns().values())}
    return json.dumps(told, indent=1) + "\n"


def main() -> None:
    """Draw it anew and say what came out."""
    found = drawn(standing().values())
    for side, ids in found.items():
        print(f"{side} ({len(ids)}): {', '.join(ids)}")
    print(f"Seed {SEED}. {RECIPE}")
    same = lot_text() == text_of("lot.json")
    print("This is the lot that was committed." if same else "This is NOT the lot that was committed.")


if __name__ == "__main__":
    main()
