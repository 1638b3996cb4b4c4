"""What a table of evidence rests on, as hashes: the numbers of the package, its draws, the baseline run."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from ...sim.rules.support.possible import FILE
from ...sim.species.colours import COLOURS

_CHECKOUT = Path(__file__).resolve().parents[2]
NAMES = ("common", "trade", "synonyms", "note")  # of a species file: what it is called moves no number
BASELINE = _CHECKOUT / "tests" / "baseline.json"


def of_numbers() -> str:
    """Hash over parameters and species, as installed (16 hexadecimal digits).

    The registration is held against the rows one by one: what is registered later makes no row older.
    """
    sim = resources.files("rockshy.sim")
    species = sorted(sim.joinpath("species", "library").iterdir(), key=lambda entry: entry.name)
    files = [
        sim.joinpath("rules", "parameters.toml"),
        sim.joinpath("species", "lakes.toml"),
        *(entry for entry in species if entry.name.endswith(".toml")),
    ]
    digest = hashlib.sha256()
    for file in files:
        told = tomllib.loads(file.read_text(encoding="utf-8"))
        kept = {key: value for key, value in told.items() if key not in NAMES}
        if "words" in kept:
            kept["words"] = {key: word for key, word in kept["words"].items() if key not in COLOURS}
        digest.update(json.dumps([file.name, kept], sort_keys=True).encode())
    return digest.hexdigest()[:16]


def of_draws() -> str:
    """Hash over the draws that runs take, on which whatever is run with them rests."""
    text = resources.files("rockshy.sim").joinpath("rules", FILE).read_text(encoding="utf-8")
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def of_baseline(numbers: Mapping[str, object]) -> str:
    """Hash over the numbers of the committed run, which move whenever a rule does what it did not."""
    return hashlib.sha256(json.dumps(numbers, sort_keys=True).encode()).hexdigest()[:16]


def of_checkout() -> str | None:
    """The hash of the baseline beside these sources; None where the package is installed alone."""
    if not BASELINE.is_file():
        return None
    return of_baseline(json.loads(BASELINE.read_text(encoding="utf-8")))
