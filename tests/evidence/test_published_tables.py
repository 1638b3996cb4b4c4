"""The published tables that N1 and N2 are registered by, measured as the model is.

Strauss2022 (data): the tables of fish_matrices.json, acts by giver and receiver; Nelissen1985 (data).
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from rockshy.analysis.evidence.measures import near_share, top_and_bottom, upward_share
from rockshy.analysis.evidence.registered import patterns

HERE = Path(__file__).parent
TABLES = {
    **json.loads((HERE / "fish_matrices.json").read_text(encoding="utf-8"))["acts"],
    **{
        name: table["winner_in_rows"]
        for name, table in json.loads((HERE.parent / "worked_matrices.json").read_text("utf-8")).items()
        if name.startswith("Nelissen")
    },
}


@pytest.mark.parametrize(
    ("name", "top_times_n", "near_over_far", "upward"),
    [
        ("Nakano_1994", 1.91, 3.21, 0.0161),
        (
            "Nakano_1995",
            4.07,
            0.86,
            0.0264,
        ),  # 1.2 where the first in the published order is taken for the top
        ("David_2003a", 2.00, np.inf, 0.0286),
        ("David_2003b", 2.15, 0.80, 0.0217),
        ("Nelissen_1985a", 1.73, 1.35, 0.0372),
        ("Nelissen_1985b", 2.32, 1.56, 0.0087),
    ],
)
def test_measured_as_the_model_is(name: str, top_times_n: float, near_over_far: float, upward: float) -> None:
    """Computed from the tables; the margins of N1 and N2 are the ranges of these and two more."""
    acts = np.array(TABLES[name])
    top, bottom_gives, bottom_receives = (len(acts) * share for share in top_and_bottom(acts))
    assert top == pytest.approx(top_times_n, abs=0.005)
    assert near_share(acts) == pytest.approx(
        1.0 if np.isinf(near_over_far) else near_over_far / (1 + near_over_far), abs=0.002
    )
    assert upward_share(acts) == pytest.approx(upward, abs=5e-5)
    bounds = {part.name: part for part in (*patterns()["N1"].parts, *patterns()["N2"].parts)}
    assert bottom_gives <= bounds["bottom fish gives, rock"].high
    assert bottom_receives > bounds["bottom fish receives, rock"].low
    assert round(upward, 3) >= bounds["acts upward"].low and round(upward, 3) <= bounds["acts upward"].high


def test_the_registered_ranges_hold_the_tables() -> None:
    """All but the one whose top by David's score is not the first as published."""
    parts = {part.name: part for part in (*patterns()["N1"].parts, *patterns()["N2"].parts)}
    tables = [np.array(acts) for acts in TABLES.values()]
    top, near = parts["top fish gives, rock"], parts["near against far"]
    tops = [len(acts) * top_and_bottom(acts)[0] for acts in tables]
    assert sum(top.low <= one <= top.high for one in tops) == len(tables) - 1
    shares = np.array([near_share(acts) for acts in tables])
    assert ((shares >= near.low) & (round(near.high, 2) >= np.round(shares, 2))).sum() == len(tables) - 1
