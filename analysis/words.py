"""The answer in words: what ``rockshy run`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable
from typing import TYPE_CHECKING

from ..sim.table import AS_STOCKED, LEFT_ALONE, OWN_KIND
from .cautions import CAUTIONS
from .intervals import Count, Estimate
from .remarks import few_said, gain_said, gone_said, hunted_said, worst_called
from .rows import WIDTH, as_text, row

if TYPE_CHECKING:
    from .answer import Answer, Portrait, Spread

FISH_SHOWN = 24
Form = Callable[[float], str]

HOW_TO_READ = (
    '"95 %" says how precisely these runs measure this model. "guesses" is the range over guesses at what '
    "nobody has measured (5th to 95th percentile)."
)
MODEL_SCALE, YOUR_SCALE = "model scale", "your scale"
_ON_MODEL_SCALE = (
    "Figures marked model scale are on the model's own scale until a tally from the real tank scales them; "
    "a share or a ratio does not depend on it."
)


def words(answer: Answer, *, scale: str = "") -> str:
    """The whole answer as text of at most 100 columns, worst-off fish first.

    Parameters
    ----------
    scale : factor that chases and bites an hour were scaled to the keeper's tank by, with its interval, such
        as "1.8 (1.2 to 2.6)"; "" where they are on the model's own scale.

    Returns
    -------
    str
        Each figure with its unit, its 95 % interval and its range over guesses.

    Source
    ------
    The figures of the answer; no number is worked out here.
    """
    return as_text(laid_out(answer, scale=scale))


def laid_out(answer: Answer, *, scale: str = "") -> str:
    """The same with the marks of :mod:`rockshy.analysis.rows`."""
    worst = answer.fish[0]
    parts = [_opening(answer, scale), _worst(answer, worst, scale), _fish_table(answer, scale)]
    second = next((one for one in answer.fish if one.label == answer.most_chased), None)
    if second is not None and second is not worst:
        parts.insert(2, _block(f"Most chased fish: {named(second)}", second, answer, scale))
    for one in answer.species:
        mark = f" (mild species: {answer.watch_reason})" if one.species == answer.watch else ""
        parts.append(_block(f"{one.species}, {_plain(one.fish)} fish{mark}", one, answer, scale))
    parts += [_kinds(answer, scale), _places(answer), _hierarchy(answer)]
    parts += [_moving(answer, scale), _closing(answer)]
    return "\n\n".join(part for part in parts if part) + "\n"


def _marked(label: str, scale: str) -> str:
    """A label, with whose scale its figures are on."""
    return label.replace(MODEL_SCALE, YOUR_SCALE) if scale else label


def how_scaled(scale: str) -> str:
    """Whose scale chases and bites an hour are on; see :func:`words`."""
    if not scale:
        return _ON_MODEL_SCALE
    return (
        f"Figures marked your scale are chases or bites an hour, scaled to your tank by {scale}: with "
        "another "
        "factor all of them would be larger or smaller together, which their 95 % does not hold. A share or "
        "a "
        "ratio does not depend on it."
    )


def _opening(answer: Answer, scale: str) -> str:
    ran = f"{answer.done} simulated tanks"
    if answer.done < answer.asked:
        ran = f"{answer.done} of the {answer.asked} simulated tanks asked for"
    drawn = (
        "nothing unmeasured was drawn, so there is no range over guesses"
        if answer.fixed
        else f"{answer.guesses} guesses at what nobody has measured"
    )
    controls = [f"{_CONTROL[name]} ({count} tanks)" for name, count in answer.controls.items()]
    beside = f"Controls: {'; '.join(controls)}." if controls else "No controls were run."
    told = gone_said(answer) + few_said(answer.done, guesses=answer.guesses, fixed=answer.fixed)
    return "\n".join(
        [
            *_wrapped(answer.title),
            *_wrapped(f"{ran}; {drawn}; {_plain(answer.measured_hours)} lit hours measured in each."),
            *_wrapped(beside),
            *(line for text in told for line in _wrapped(text)),
            *_wrapped(f"{HOW_TO_READ} {how_scaled(scale)}"),
        ]
    )


_CONTROL = {
    OWN_KIND: "own kind = the mild species with its own kind only",
    LEFT_ALONE: "left alone = the same fish, nobody attacks",
}


def _worst(answer: Answer, worst: Portrait, scale: str) -> str:
    lines = []
    if worst.lost is None:
        lines += _wrapped(
            "Without the left-alone control nobody can say how much a fish has lost: "
            "the fish that swims free least stands first."
        )
    for sentence in whose_worst(answer):
        lines += _wrapped(sentence)
    text = _block(f"{worst_called(answer)}: {named(worst)}", worst, answer, scale)
    return "\n".join([text, *lines])


def whose_worst(answer: Answer) -> list[str]:
    """To which species the worst-off fish of a tank belonged, and how often; nothing of a single fish."""
    if len(answer.fish) == 1:
        return []
    return [
        f"The worst-off fish belonged to {name} in {tanks_said(count)}."
        for name, count in answer.worst_in_tank.items()
        if count.hits
    ]


def _block(title: str, one: Portrait, answer: Answer, scale: str) -> str:
    """All figures of a fish or a species, scale-free ones first, hiding and pinning beside the chases."""
    controls = [name for name in (OWN_KIND, LEFT_ALONE) if name in answer.controls]
    widths = (10, 15, 15, *(_CONTROL_WIDTH[name] for name in controls))
    head = _columns("", "as stocked", "95 %", "guesses", *controls, widths=widths)
    lines = [*_wrapped(title), head]
    if one.lost is not None:
        lines.append(_columns("  lost of its free swimming", *_figure(one.lost, percent)))
    if one.ratio_own_kind is not None:
        lines.append(_columns("  chased, times own kind only", *_figure(one.ratio_own_kind, _times)))
    for name, label, form in _ROWS:
        beside = [_value(one.figures.get(arm, {}).get(name), form) for arm in controls]
        marked = f"  {_marked(label, scale)}"
        lines.append(_columns(marked, *_figure(one.figures[AS_STOCKED][name], form), *beside, widths=widths))
    return "\n".join(lines + _pinned_lines(one, answer) + _luck_lines(one))


def _pinned_lines(one: Portrait, answer: Answer) -> list[str]:
    lines = []
    for arm, count in one.pinned.items():
        place = "as stocked" if arm == AS_STOCKED else "with its own kind only"
        if count.of:
            lines += _wrapped(f"pinned {place}: {tanks_said(count)}", indent="  ")
        else:
            lines += _wrapped(f"pinned {place}: does not count (holding or never in)", indent="  ")
    lines += [line for text in hunted_said(one, answer) for line in _wrapped(text, indent="  ")]
    if one.pinned and not answer.freedom_checked:
        note = "pinned by its hours alone: without the left-alone control its freedom could not be compared"
        lines += _wrapped(note, indent="  ")
    return lines


def _luck_lines(one: Portrait) -> list[str]:
    """How much of the differences between tanks is ignorance and how much luck."""
    asked = (("chases received", "received"), ("pinned hours", "pinned_hours"))
    known = [(label, one.figures[AS_STOCKED][name].ignorance) for label, name in asked]
    parts = [f"{percent(share)} in {label}" for label, share in known if math.isfinite(share)]
    if not parts or all(share == 0 for _, share in known):
        return []
    source = "of the differences between tanks, due to what nobody has measured (the rest is luck)"
    return _wrapped(f"{source}: {'; '.join(parts)}", indent="  ")


def _fish_table(answer: Answer, scale: str) -> str:
    title = "Every fish, worst off first (means over the tanks; chases an hour on model scale)"
    lines = [
        *_wrapped(_marked(title, scale)),
        _row("", "lost", "95 %", "guesses", "of chases", "chased/h", "hidden", "pinned h"),
    ]
    for one in answer.fish[:FISH_SHOWN]:
        got = one.figures[AS_STOCKED]
        lost = _figure(one.lost, percent) if one.lost else ("-", "-", "-")
        lines.append(
            _row(
                f"  {named(one, room=29)}",
                *lost,
                percent(got["share_received"].value),
                number(got["received"].value),
                percent(got["hidden"].value),
                percent(got["pinned_hours"].value),
            )
        )
    left = len(answer.fish) - FISH_SHOWN
    lines += [f"  and {left} more that are better off"] if left > 0 else []
    lines += [line for text in gain_said(answer) for line in _wrapped(text, indent="  ")]
    return "\n".join(lines)


def _kinds(answer: Answer, scale: str) -> str:
    title = "By species and sex (means over the tanks; chases an hour on model scale)"
    lines = [
        *_wrapped(_marked(title, scale)),
        _columns(
            "", "chased/h", "of chases", "hidden", "pinned h", "gives/h", "missed", "territory", widths=_KINDS
        ),
    ]
    for one in answer.kinds:
        got = one.figures[AS_STOCKED]
        cells = [
            form(got[name].value)
            for name, form in (
                ("received", number),
                ("share_received", percent),
                ("hidden", percent),
                ("pinned_hours", percent),
                ("given", number),
                ("missed", percent),
                ("territory", percent),
            )
        ]
        lines.append(_columns(f"  {named(one, room=36)}", *cells, widths=_KINDS))
    note = (
        "chased/h and gives/h: chases received and given by each fish in an hour; of chases: received by all "
        "of them together; missed: of the meals; territory: share of lit time in which it held one"
    )
    lines += _wrapped(note, indent="  ")
    return "\n".join(lines)


_CONTROL_WIDTH = {OWN_KIND: 10, LEFT_ALONE: 12}  # of its column
_KINDS = (9, 10, 8, 9, 8, 8, 10)


def _places(answer: Answer) -> str:
    """The whole distributions behind "pinned", so that nobody depends on the cuts."""
    lines = [
        *_wrapped(f"{answer.watch}: how much of an hour lies within one place (share of its lit hours)"),
        *_spread_lines(answer.place_spread),
        *_wrapped("Share of a fish's lit hours that were pinned hours (share of the fish, tank by tank)"),
        *_spread_lines(answer.hours_spread),
    ]
    for cut, count in answer.cuts.items():
        lines += _wrapped(f"pinned, with the cut at {percent(cut)}: {tanks_said(count)}", indent="  ")
    return "\n".join(lines)


def _spread_lines(spread: Spread) -> list[str]:
    lines = [_columns("", *spread.shares)]
    for i, (low, high) in enumerate(zip(spread.edges, spread.edges[1:], strict=False)):
        label = f"  {round(100 * low)} to {round(100 * high)} %"
        lines.append(_columns(label, *(percent(shares[i]) for shares in spread.shares.values())))
    return lines


def _hierarchy(answer: Answer) -> str:
    labels = {
        "linearity": "linearity h' (1: A over B over C)",
        "steepness": "steepness (1: always the same way)",
        "consistency": "consistency (1: none goes upward)",
    }
    lines = [*_wrapped("Who chases whom, all fish of a tank"), _columns("", "as stocked", "95 %", "guesses")]
    for name, label in labels.items():
        lines.append(_columns(f"  {label}", *_figure(answer.hierarchy[name], _fraction)))
    return "\n".join(lines)


def _moving(answer: Answer, scale: str) -> str:
    if not answer.trends:
        return "Fewer than three hours were measured: too short to say whether the rates still move."
    lines = [
        *_wrapped("Still moving? All fish, first against last third of the measured hours"),
        _columns("", "first", "last", "change", "95 %", widths=_MOVING),
    ]
    labels = {
        "received": ("chased, times an hour (model scale)", number),
        "hidden": ("hidden, of lit time", percent),
        "pinned_hours": ("pinned hours, of lit time", percent),
    }
    for name, (label, form) in labels.items():
        moved = answer.trends[name]
        cells = [form(moved.first.value), form(moved.last.value), *_figure(moved.change, form)[:2]]
        marked = f"  {_marked(label, scale)}"
        lines.append(_columns(marked, *cells, _DIRECTION[moved.direction], widths=_MOVING))
    return "\n".join(lines)


_MOVING = (9, 9, 9, 17, 15)

_DIRECTION = {
    "rising": "still rising",
    "falling": "still falling",
    "steady": "none seen",
    "unknown": "cannot tell",
}


def _closing(answer: Answer) -> str:
    rule = answer.rule
    definition = (
        f"Pinned hour: a lit hour with at least {percent(rule.place_share)} of it within one place (15 cm "
        f"of swimming round one spot) and a territory held for less than {percent(rule.owner_share)} of "
        f"it. Pinned fish: at least {percent(rule.hours_share)} of its lit hours are pinned hours and it "
        f"swims free of that place at most {percent(rule.freedom_ratio)} as much as left alone. Pinned "
        f"species: at least {percent(rule.species_share)} of its fish. Holding females do not count. The "
        "definition is this project's own. A fish here is a fish of the model, not one of yours. A pinned "
        "fish is chased less because it has given up coming out."
    )
    return "\n".join([*_wrapped(definition), "", *_wrapped(" ".join(one.text for one in CAUTIONS))])


def named(one: Portrait, *, room: int = WIDTH) -> str:
    """The label; with its genus as a letter where the whole does not fit."""
    name = f"{one.label} (holding)" if one.holding else one.label
    genus = one.species.split(" ")[0]
    if len(name) >= room and name.startswith(f"{genus} "):
        return f"{genus[0]}.{name[len(genus) :]}"
    return name


def tanks_said(count: Count) -> str:
    """``"3 of 12 simulated tanks (95 %: 9 to 53 %)"``."""
    spread = f"95 %: {span(count.low, count.high, percent)}"
    if math.isfinite(count.guess_low):
        spread += f"; guesses: {span(count.guess_low, count.guess_high, percent)}"
    return f"{count.hits} of {count.of} simulated tanks ({spread})"


def _figure(found: Estimate, form: Form) -> tuple[str, str, str]:
    return (
        form(found.value),
        span(found.low, found.high, form),
        span(found.guess_low, found.guess_high, form),
    )


def _value(found: Estimate | None, form: Form) -> str:
    return "-" if found is None else form(found.value)


def span(low: float, high: float, form: Form) -> str:
    """``"9 to 53 %"``; "-" when it is not known."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return "-"
    first = form(low).removesuffix(" %").removesuffix(" x")
    return f"{first} to {form(high)}"


def percent(share: float) -> str:
    """``"40 %"``; "-" when it is not known."""
    return f"{round(100 * share)} %" if math.isfinite(share) else "-"


def _times(ratio: float) -> str:
    return f"{number(ratio)} x" if math.isfinite(ratio) else "-"


def _fraction(value: float) -> str:
    return f"{value:.2f}" if math.isfinite(value) else "-"


def number(value: float) -> str:
    """Two figures that matter, or the whole number."""
    if not math.isfinite(value):
        return "-"
    size = abs(value)
    digits = 0 if size >= 9.95 or size == 0 else 1 if size >= 0.995 else 2
    return f"{round(value, digits) + 0.0:.{digits}f}"  # + 0.0: no "-0.00"


def _plain(value: float) -> str:
    """A count that may be a mean: 3, or 2.5."""
    return f"{value:.1f}".removesuffix(".0")


_ROWS: tuple[tuple[str, str, Form], ...] = (
    ("share_received", "of all chases, received", percent),
    ("share_given", "of all chases, given", percent),
    ("received", "chased, times an hour (model scale)", number),
    ("hidden", "hidden, of lit time", percent),
    ("pinned_hours", "pinned hours, of lit time", percent),
    ("free", "swims free, of lit time", percent),
    ("given", "chases given an hour (model scale)", number),
    ("bites", "bitten an hour (model scale)", number),
    ("missed", "meals missed", percent),
    ("territory", "holds a territory, of lit time", percent),
)


def _columns(label: str, *cells: str, widths: tuple[int, ...] = (10, 15, 15), first: int = 38) -> str:
    return row(label, *cells, widths=widths, first=first)


def _row(label: str, *cells: str) -> str:
    return _columns(label, *cells, widths=(6, 13, 13, 10, 9, 8, 9), first=31)


def _wrapped(text: str, *, indent: str = "") -> list[str]:
    """Lines of at most 100 columns; a number stays with its percent sign."""
    held = text.replace(" %", "\u00a0%")
    lines = textwrap.wrap(held, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")
    return [line.replace("\u00a0%", " %") for line in lines] or [""]
