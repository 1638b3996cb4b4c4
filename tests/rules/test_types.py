"""What mypy finds before anything runs: a misspelt field of fish, tank, ledger or parameters."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

RULE = """
from rockshy import Fish, Parameters, Rules, Shoal, TankModel, load
from rockshy.sim.run.ledger import Ledger
from rockshy.sim.tank.water import Water


def rate(i: int, shoal: Shoal, p: Parameters) -> float:
    a = p.{attack_rate_s} * shoal.fish.{temper}[i]
    return float(a + shoal.pair.{weight}[i, 0])


def look(tank: Water, ledger: Ledger) -> float:
    a = tank.cells.{cover}[0] + tank.refuges.{mouth_cm}[0]
    return float(a + ledger.pair.{chases}[0, 1] + ledger.hours.{share}[0, 0])


model = TankModel(load("mild-with-hot"), rules=Rules().with_rule(attack_rate=rate))
model.run().fish.{missed}
"""
FIELDS = {
    "attack_rate_s": "Parameters",
    "temper": "FishRecords",
    "weight": "PairRecords",
    "cover": "CellRecords",
    "mouth_cm": "RefugeRecords",
    "chases": "PairCounts",
    "share": "HourRecords",
    "missed": "FishCounts",
}


def test_a_misspelt_field_is_found_before_it_runs(tmp_path: Path) -> None:
    (tmp_path / "good.py").write_text(RULE.format(**{name: name for name in FIELDS}), encoding="utf-8")
    (tmp_path / "bad.py").write_text(RULE.format(**{name: f"{name}x" for name in FIELDS}), encoding="utf-8")
    words = ["--follow-imports=silent", "--ignore-missing-imports", "--no-error-summary", "good.py", "bad.py"]
    done = subprocess.run(
        [sys.executable, "-m", "mypy", *words], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    told = done.stdout.splitlines()
    assert [line for line in told if not line.startswith("bad.py:")] == [], done.stderr
    assert all(
        any(f'"{kind}" has no attribute "{name}x"' in line for line in told) for name, kind in FIELDS.items()
    )
