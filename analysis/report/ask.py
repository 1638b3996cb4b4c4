"""One sheet to take to a club mentor, a forum or a vet: what is known filled in, gaps for the rest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from html import escape

from ...sim.population import individuals
from ...sim.scenario import Scenario, StockRow
from ...sim.units import say_length_cm, say_temperature_c, say_volume_l
from ..cautions import cautions
from ..plain import many, percent
from ..stocked import when
from ..watching.tally import Tally
from .page import bare_page

SIGNS = (
    "does not eat",
    "hangs in a corner or at the surface",
    "torn fins",
    "breathes fast",
    "clamped fins, faded or dark colours",
    "scales missing, wounds, swelling",
    "thin, or belly sunken",
)
WATER = (  # what is measured, unit, traits of the range that the library has for the species
    ("temperature", "C", ("temp_low_c", "temp_high_c")),
    ("pH", "", ("ph_low", "ph_high")),
    ("ammonia", "mg/L", None),
    ("nitrite", "mg/L", None),
    ("nitrate", "mg/L", None),
    ("general hardness", "degrees", ("gh_low", "gh_high")),
    ("carbonate hardness", "degrees", ("kh_low", "kh_high")),
)
MOST_TALLIED = 8  # rows that still leave the sheet one page
GAP = '<span class="gap"></span>'
_SEXES = (("males", "m"), ("females", "f"), ("unsexed", "unsexed"))


def ask_html(scenario: Scenario, *, tally: Sequence[tuple[str, str, str]] = ()) -> str:
    """The whole sheet, made to print on one page.

    Parameters
    ----------
    tally : what was counted: who, whom, and how often in words; gaps without it.
    """
    left = [
        ("Water, tested before anything else", _water(scenario)),
        ("Signs seen: tick, and say which fish", _signs()),
        ("What worries me", _gaps("Which fish", "Since when", "What I see", lines=2)),
    ]
    right = [
        ("Tank and rock", _tank(scenario)),
        ("Fish", _fish(scenario)),
        ("Dates", _gaps("Tank set up", "Last fish in", "Rock last moved", "Last water change", "New food")),
        ("Who chases whom", _tally(tally)),
        ("What I have tried, and what I want to ask", _gaps(lines=4)),
    ]
    columns = "".join(f"<div>{''.join(_box(*one) for one in those)}</div>" for those in (left, right))
    warn = " ".join(one.text for one in cautions(scenario))
    top = (
        '<aside class="warn" aria-label="Cautions"><strong>Test the water first, and separate a fish that is '
        f"failing; then ask.</strong> {escape(warn)}</aside>"
    )
    title = f"Asking for advice: {scenario.title}"
    dated = f'<p class="small">Date {GAP} Asked of {GAP}</p>'
    return bare_page(title, f'{dated}{top}<div class="halves">{columns}</div>')


def counted_rows(tally: Tally) -> tuple[tuple[str, str, str], ...]:
    """Who, whom and how often of each act in a tally, the most frequent first."""
    counts: Counter[tuple[str, str, str]] = Counter()
    for one in tally.acts:
        counts[one.chaser.name, one.chased.name, one.act] += one.count
    minutes = f"in {tally.minutes:g} minutes"
    return tuple(
        (who, whom, f"{act}, {many(count, 'time')} {minutes}")
        for (who, whom, act), count in counts.most_common(MOST_TALLIED)
        if count
    )


def _box(heading: str, html: str) -> str:
    return f"<section><h2>{escape(heading)}</h2>{html}</section>"


def _gaps(*labels: str, lines: int = 0) -> str:
    named = "".join(f'<p class="fill"><span>{escape(label)}</span>{GAP}</p>' for label in labels)
    return named + '<p class="fill"><span></span><span class="gap"></span></p>' * lines


def _signs() -> str:
    ticked = [*SIGNS, "other:"]
    return "".join(
        f'<p class="fill"><span><span class="tick"></span>{escape(one)}</span>{GAP}</p>' for one in ticked
    )


def _water(scenario: Scenario) -> str:
    """Gaps for readings beside the ranges of the lakes, as the library has them."""
    rows = []
    for name, unit, traits in WATER:
        wanted = "" if traits is None else _range(scenario, *traits)
        label = f"{name}{f', {unit}' if unit else ''}"
        rows.append(f'<tr><th scope="row">{label}</th><td></td><td></td><td>{wanted}</td></tr>')
    head = "<tr><td></td><th>reading</th><th>date, test</th><th>these species</th></tr>"
    note = (
        '<p class="small">"These species": lake water, from memory where the library says so '
        "(rockshy species NAME).</p>"
    )
    return f'<table class="gaps"><thead>{head}</thead><tbody>{"".join(rows)}</tbody></table>{note}'


def _range(scenario: Scenario, low: str, high: str) -> str:
    """What suits all species of the stock, or that nothing does."""
    species = list(scenario.species.values())
    bottom = max(one.traits[low].value for one in species)
    top = min(one.traits[high].value for one in species)
    return f"{bottom:g} to {top:g}" if bottom <= top else "no common range"


def _tank(scenario: Scenario) -> str:
    tank, rock = scenario.tank, scenario.rock
    litres = tank.length_cm * tank.width_cm * tank.water_cm / 1000.0
    sides = " x ".join(say_length_cm(side) for side in (tank.length_cm, tank.width_cm, tank.height_cm))
    lines = [
        f"{sides} (length, front to back, height); {say_volume_l(litres)} of water before rock.",
        f"Kept at {say_temperature_c(tank.temperature_c)}.",
    ]
    if rock.sketch is not None:
        lines.append("Rock as in a sketch of heights, enclosed.")
    elif rock.cover > 0:
        height = say_length_cm(rock.height_cm)
        lines.append(f"Rock on {percent(rock.cover)} of the floor, up to {height}, piles: {rock.piles}.")
    else:
        lines.append("No rock.")
    return "".join(f'<p dir="auto">{escape(one)}</p>' for one in lines) + _gaps(
        "Filter", "Light, hours", "Food, times a day"
    )


def _fish(scenario: Scenario) -> str:
    rows = "".join(_fish_row(row, scenario) for row in scenario.stock)
    count = len(individuals(scenario.stock))
    head = "<tr><th>species</th><th>number</th><th>length</th><th>in the file</th><th>date, from</th></tr>"
    return (
        f'<table class="gaps"><thead>{head}</thead><tbody>{rows}</tbody></table><p>{count} fish in all.</p>'
    )


def _fish_row(row: StockRow, scenario: Scenario) -> str:
    species = scenario.species[row.species]
    common = f" ({species.common[0]})" if species.common else ""
    number = ", ".join(f"{getattr(row, sex)} {short}" for sex, short in _SEXES if getattr(row, sex))
    if row.holding:
        number += f", {row.holding} holding"
    ends = [] if row.length_cm is None else [say_length_cm(end) for end in dict.fromkeys(row.length_cm)]
    length = escape(" to ".join(ends))
    return (
        f'<tr><th scope="row" dir="auto">{escape(row.species + common)}</th><td>{escape(number)}</td>'
        f"<td>{length}</td><td>{escape(when(row, scenario))}</td><td></td></tr>"
    )


def _tally(tally: Sequence[tuple[str, str, str]]) -> str:
    """What was counted, or a small grid to count in."""
    if not tally:
        note = '<p class="small">In ten quiet minutes, not at feeding; rockshy sheet prints a form.</p>'
        return note + "".join(
            f'<p class="fill"><span>{GAP} chases {GAP}</span><span class="gap"></span> times</p>'
            for _ in range(3)
        )
    rows = "".join(
        f'<tr><th scope="row" dir="auto">{escape(who)}</th><td dir="auto">{escape(whom)}</td>'
        f"<td>{escape(often)}</td></tr>"
        for who, whom, often in tally
    )
    head = "<tr><th>who</th><th>whom</th><th>how often</th></tr>"
    return f"<table><thead>{head}</thead><tbody>{rows}</tbody></table>"
