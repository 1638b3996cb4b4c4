"""What ruling out draws came to, as a table for programs and as a page for readers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ...sim.rules.support.parameters import draw_between
from ...sim.run.identity import release
from ..statistics.intervals import Floats
from . import fingerprint
from .lot import TEST
from .registered import patterns
from .ruling_out import Cases, Ruled, from_own, is_ratio
from .sets import drawn, parts

HELD = 0.9  # a parameter is held when what is left of its range spreads at most this share as wide
EVEN = math.sqrt(1 / 12)  # standard deviation of places spread over a whole range
Row = dict[str, Any]


def table_of(
    found: Ruled,
    *,
    draws: Floats,
    tested: tuple[Cases, Cases] | None = None,
    headlines: Mapping[str, Sequence[Sequence[float]]] | None = None,
) -> dict[str, Any]:
    """The whole table.

    Parameters
    ----------
    found : what the waves came to.
    draws : [n, parameters] places of the draws that are handed on.
    tested : cases of the test patterns, over whole ranges and over what is left.
    headlines : by ready scenario, the 5th to 95th percentile over draws of what the worst-off fish lose.
    """
    return {
        "version": release(),
        "numbers": fingerprint.of_numbers(),
        "share_left": found.share,
        "draws": len(draws),
        "cut": found.cut,
        "own_survives": float(np.mean(from_own(found.whole) <= found.cut)),
        "figures": figure_rows(found),
        "exclude": excluding(found),
        "parameters": parameter_rows(draws) if len(draws) else [],
        "tested": tested_rows(*tested) if tested else [],
        "headlines": [
            {"scenario": name, "wide": wide, "left": left} for name, (wide, left) in (headlines or {}).items()
        ],
    }


def figure_rows(found: Ruled) -> list[Row]:
    """For each figure of the training patterns: how well it is foretold, and how often it is met."""
    rng = np.random.default_rng(0)
    everywhere = rng.random((50_000, len(drawn())))
    told = found.whole
    rows = []
    each = told.each(everywhere)
    for k, part in enumerate(parts()):
        emulator, target = told.emulators[k], told.targets[k]
        row: Row = {
            "figure": str(part),
            "margin": _margin(part.pattern, part.name),
            "foretold": emulator.told,
            "wide": _spread(part, emulator.foretold(everywhere)),
            "ruled_out_alone": float(np.mean(each[:, k] > found.cut)),
            "aside": part in found.aside,
        }
        if len(found.left):
            row["left"] = _spread(part, emulator.foretold(found.left))
            row["within_left"] = float(np.mean(target.beyond(emulator.foretold(found.left)) == 0))
        row["within_wide"] = float(np.mean(target.beyond(emulator.foretold(everywhere)) == 0))
        rows.append(row)
    return rows


def _margin(pattern: str, name: str) -> str:
    return next(one for one in patterns()[pattern].parts if one.name == name).bounds()


def _back(part: Any, values: Floats) -> list[float]:
    """Figures as they are compared, in their own unit again."""
    return [float(one) for one in (np.exp(values) if is_ratio(part) else values)]


def _spread(part: Any, values: Floats) -> list[float]:
    """5th, 50th and 95th percentile in the figure's own unit."""
    return _back(part, np.quantile(values, (0.05, 0.5, 0.95)))


def excluding(found: Ruled) -> list[Row]:
    """Pairs of figures that hardly any place meets together though places meet each."""
    rng = np.random.default_rng(1)
    meets = found.whole.each(rng.random((50_000, len(drawn())))) <= found.cut
    names = parts()
    rows = []
    for i in range(len(names)):
        for j in range(i + 1, len(names)):
            both, alone = (
                float(np.mean(meets[:, i] & meets[:, j])),
                float(meets[:, i].mean() * meets[:, j].mean()),
            )
            if alone > 0 and both < alone / 2:
                rows.append({"figures": [str(names[i]), str(names[j])], "both": both, "if_apart": alone})
    return rows


def parameter_rows(draws: Floats) -> list[Row]:
    """For each drawn parameter: what is left of its range, and where the default lies in that."""
    rows = []
    for k, one in enumerate(drawn()):
        low, high = np.quantile(draws[:, k], (0.05, 0.95))
        rows.append(
            {
                "parameter": one.name,
                "range": [one.low, one.high],
                "left": [draw_between(one.low, one.high, one.draw, float(end)) for end in (low, high)],
                "default": one.value,
                "spread": float(draws[:, k].std() / EVEN),
            }
        )
    return sorted(rows, key=lambda row: row["spread"])


def tested_rows(wide: Cases, left: Cases) -> list[Row]:
    """For each figure of the test patterns: its mean over either kind of draws, in its 95 % interval."""
    rows = []
    for k, part in enumerate(parts(TEST)):
        row: Row = {"figure": str(part), "margin": _margin(part.pattern, part.name)}
        for name, cases in (("wide", wide), ("left", left)):
            values = cases.figures[:, k][np.isfinite(cases.figures[:, k])]
            error = float(values.std(ddof=1)) / math.sqrt(len(values))
            row[name] = [float(values.mean() + k * error) for k in (-1.96, 0.0, 1.96)]
        rows.append(row)
    return rows


# ---- for readers


def as_markdown(table: Mapping[str, Any]) -> str:
    """The table for readers."""
    share = f"{table['share_left']:.2%}"
    held = [row for row in table["parameters"] if row["spread"] <= HELD]
    lines = [
        "# Which draws can be true? Values that published work does not rule out",
        "",
        f"**Of all sets of values within the believed ranges {share} are left; "
        f"runs draw from {table['draws']} of them, spread evenly. "
        f"Parameters held: {len(held)} of {len(table['parameters'])}.**",
        "",
        "Sets of all drawn parameters are run on the training patterns; regression foretells every figure "
        f"everywhere; a set is ruled out when one lies over {table['cut']:.2g} standard deviations outside "
        "its registered margin (VernonEtAl2010, AndrianakisEtAl2015), which are the foretelling's own error "
        "and an allowance for what the model leaves out (`allowances.toml`). Test patterns chose nothing. "
        "Traits of species keep their ranges. What a set itself came to would not have ruled it out in "
        f"{table['own_survives']:.1%} of the sets.",
    ]
    aside = "; ".join(row["figure"] for row in table["figures"] if row["aside"])
    if aside:
        against = "Set aside, since no set of values comes near them, which speaks against the rules"
        lines += ["", f"{against}: {aside}."]
    lines += ["", *_figures(table["figures"]), "", *_excluding(table["exclude"])]
    lines += ["", *_parameters(table["parameters"])]
    if table["tested"]:
        lines += ["", *_tested(table["tested"])]
    if table["headlines"]:
        lines += ["", *_headlines(table["headlines"])]
    return "\n".join(lines) + "\n"


def _figures(rows: Sequence[Row]) -> list[str]:
    lines = [
        "## The training patterns",
        "",
        "Foretold: share of a figure's variance over the ranges, luck apart, that the regression knows. "
        "Figures: median, and 5th to 95th percentile, of what is foretold.",
        "",
        "| figure | margin | foretold | over the ranges | within | over what is left | within | rules out |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for row in rows:
        left = f"{_three(row['left'])} | {row['within_left']:.0%}" if "left" in row else "- | -"
        lines.append(
            f"| {row['figure']} | {row['margin']} | {row['foretold']:.0%} | {_three(row['wide'])} "
            f"| {row['within_wide']:.0%} | {left} | {row['ruled_out_alone']:.1%} |"
        )
    return lines


def _three(values: Sequence[float]) -> str:
    low, middle, high = values
    return f"{middle:.3g} ({low:.3g} to {high:.3g})"


def _excluding(rows: Sequence[Row]) -> list[str]:
    title = ["## Patterns that exclude each other", ""]
    if not rows:
        return [*title, "None: no two figures are met together less than half as often as by chance."]
    for row in rows:
        both = f"together in {row['both']:.2%} of sets, {row['if_apart']:.2%} by chance"
        title.append(f"- {' and '.join(row['figures'])}: {both}")
    return title


def _parameters(rows: Sequence[Row]) -> list[str]:
    lines = [
        "## Parameters",
        "",
        f"Spread: how wide what is left lies in the range, 1 for all of it; held at {HELD:g} and below.",
        "",
        "| parameter | range | left, 5th to 95th percentile | default | spread |",
        "|---|---|---|---|---|",
    ]
    for row in rows:
        ends, left = (f"{low:.3g} to {high:.3g}" for low, high in (row["range"], row["left"]))
        lines.append(f"| {row['parameter']} | {ends} | {left} | {row['default']:.3g} | {row['spread']:.2f} |")
    return lines


def _tested(rows: Sequence[Row]) -> list[str]:
    lines = [
        "## The test patterns, which chose nothing",
        "",
        "| figure | margin | over the ranges | over what is left |",
        "|---|---|---|---|",
    ]
    return lines + [
        f"| {row['figure']} | {row['margin']} | {_three(row['wide'])} | {_three(row['left'])} |"
        for row in rows
    ]


def _headlines(rows: Sequence[Row]) -> list[str]:
    lines = [
        "## What the worst-off fish of the ready scenarios lose",
        "",
        "5th to 95th percentile over draws (tanks' luck is in it).",
        "",
        "| scenario | over the ranges | over what is left |",
        "|---|---|---|",
    ]
    for row in rows:
        wide, left = (f"{low:.0%} to {high:.0%}" for low, high in (row["wide"], row["left"]))
        lines.append(f"| {row['scenario']} | {wide} | {left} |")
    return lines
