"""The answer in words: what ``rockshy run`` says. Lays numbers out and works none out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ....sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND
from ...document import WIDTH, Document, Heading, Note, Section, Table, document, flush, section, table
from ...document.cautions import CAUTIONS
from ...document.plain import Form, estimate_cells, number, percent, span
from ...measures.plight import IS_OWN
from ...statistics.intervals import Count, Estimate
from .remarks import few_said, gain_said, gone_said, hunted_said, worse_said

if TYPE_CHECKING:
    from .answer import Answer, Portrait, Spread

FISH_SHOWN = 24

HOW_TO_READ = (
    '"95 %" says how precisely these runs measure this model. "guesses" is the range in which nine '
    "of ten guesses at what nobody has measured lie (with a tank to a guess their luck is in it too)."
)
MODEL_SCALE, YOUR_SCALE = "model scale", "your scale"
_ALIKE = (
    "Fish that the file describes alike are the same to the model and stand together, with how many they "
    "are: figures are means over them. single fish: between these, nine of ten of them in single tanks."
)
_TURNED = (
    "turned out male, female: unsexed fish of the row above by the sex that was drawn for them in each tank"
)
_ON_MODEL_SCALE = (
    "Figures marked model scale are on the model's own scale until a tally from the real tank scales them; "
    "a share or a ratio does not depend on it."
)


def words(answer: Answer, *, scale: str = "") -> Document:
    """The whole answer, worst-off fish first.

    Parameters
    ----------
    scale : factor that chases and bites an hour were scaled to the keeper's tank by, with its interval, such
        as "1.8 (1.2 to 2.6)"; "" where they are on the model's own scale.

    Returns
    -------
    Document
        Each figure with its unit, its 95 % interval and its range over guesses.

    Source
    ------
    The figures of the answer; no number is worked out here.
    """
    worst = answer.victim
    second = next((one for one in answer.alike if one.label == answer.most_chased_alike), worst)
    mild = {answer.watch: f" (mild species: {answer.watch_reason})"}
    return document(
        _opening(answer, scale),
        _worst(answer, worst, scale),
        None if second is worst else _block(f"Most chased fish: {named(second)}", second, answer, scale),
        _fish_table(answer, scale),
        *(_block(f"{_sized(one)}{mild.get(one.species, '')}", one, answer, scale) for one in answer.species),
        _kinds(answer, scale),
        _places(answer),
        _hierarchy(answer),
        _moving(answer, scale),
        *_closing(answer),
    )


def _marked(label: str, scale: str) -> str:
    """A label, with whose scale its figures are on."""
    return label.replace(MODEL_SCALE, YOUR_SCALE) if scale else label


def how_scaled(scale: str) -> str:
    """Whose scale chases and bites an hour are on; see :func:`words`."""
    if not scale:
        return _ON_MODEL_SCALE
    return (
        f"Figures marked your scale are chases or bites an hour, scaled to your tank by {scale}: with "
        "another factor all of them would be larger or smaller together, which their 95 % does not hold. A "
        "share or a ratio does not depend on it."
    )


def _opening(answer: Answer, scale: str) -> Section:
    ran = f"{answer.done} simulated tanks"
    if answer.done < answer.asked:
        ran = f"{answer.done} of the {answer.asked} simulated tanks asked for"
    drawn = (
        "nothing unmeasured was drawn, so there is no range over guesses"
        if answer.fixed
        else f"{answer.guesses} guesses at what nobody has measured"
    )
    controls = [f"{_CONTROL[name]} ({count} tanks)" for name, count in answer.controls.items()]
    hours = _plain(answer.measured_hours)
    return flush(
        answer.title,
        f"{ran}; {drawn}; {hours} lit hour{'' if hours == '1' else 's'} measured in each.",
        f"Controls: {'; '.join(controls)}." if controls else "No controls were run.",
        *gone_said(answer),
        *few_said(answer.done, guesses=answer.guesses, fixed=answer.fixed),
        f"{HOW_TO_READ} {how_scaled(scale)}",
    )


_CONTROL = {
    OWN_KIND: "own kind = the mild species with its own kind only",
    LEFT_ALONE: "left alone = the same fish, nobody attacks",
}


def _worst(answer: Answer, worst: Portrait, scale: str) -> Section:
    uncontrolled = (
        "Without the left-alone control nobody can say how much a fish has lost: "
        "the fish that swims free least stands first."
    )
    told = [uncontrolled] if worst.lost is None else []
    called = "Worst-off fish" if len(answer.fish) > 1 else "The only fish"
    figures = _block(f"{called}: {named(worst)}", worst, answer, scale)
    return Section(
        (*figures.blocks, *flush(*told, answer.whom.beside, *worse_said(answer), *whose_worst(answer)).blocks)
    )


def whose_worst(answer: Answer) -> list[str]:
    """To which species the worst-off fish of a tank belonged, and how often; nothing of a single species."""
    if len(answer.species) == 1:
        return []
    return [
        f"The worst-off fish belonged to {name} in {tanks_said(count)}."
        for name, count in answer.worst_in_tank.items()
        if count.hits
    ]


def _block(title: str, one: Portrait, answer: Answer, scale: str) -> Section:
    """All figures of a fish or a species, scale-free ones first, hiding and pinning beside the chases."""
    controls = [name for name in (OWN_KIND, LEFT_ALONE) if name in answer.controls]
    rows: list[tuple[str, ...]] = []
    if one.lost is not None:
        rows.append(("lost of its free swimming", *estimate_cells(one.lost, percent)))
    if one.ratio_own_kind is not None:
        rows.append(("chased, times own kind only", *estimate_cells(one.ratio_own_kind, _times)))
    for name, (label, _, form) in _FIGURES.items():
        found = [one.figures.get(arm, {}).get(name) for arm in controls]
        beside = ["-" if each is None else form(each.value) for each in found]
        rows.append((_marked(label, scale), *estimate_cells(one.figures[AS_STOCKED][name], form), *beside))
    figures = table(("", *_HEADS, *controls), rows, widths=_WIDTHS[:4])
    return section(title, figures, *_pinned_lines(one, answer), _luck_line(one))


def _pinned_lines(one: Portrait, answer: Answer) -> list[str]:
    lines = []
    for arm, count in one.pinned.items():
        place = "as stocked" if arm == AS_STOCKED else "with its own kind only"
        told = tanks_said(count) if count.of else "does not count (holding or never in)"
        lines.append(f"pinned {place}: {told}")
    lines += hunted_said(one, answer)
    if one.pinned and not answer.freedom_checked:
        lines.append(
            "pinned by its hours alone: without the left-alone control its freedom could not be compared"
        )
    return lines


def _luck_line(one: Portrait) -> str:
    """How much of the differences between tanks is ignorance and how much luck."""
    asked = (("chases received", "received"), ("pinned hours", "pinned_hours"))
    known = [(label, one.figures[AS_STOCKED][name].ignorance) for label, name in asked]
    parts = [f"{percent(share)} in {label}" for label, share in known if math.isfinite(share)]
    if not parts or all(share == 0 for _, share in known):
        return ""
    source = "of the differences between tanks, due to what nobody has measured (the rest is luck)"
    return f"{source}: {'; '.join(parts)}"


def _fish_table(answer: Answer, scale: str) -> Section:
    rows = []
    shown = answer.alike[:FISH_SHOWN]
    turned = {one.label: one.both for one in answer.turned}
    for one in shown:
        rows.append((named(one, room=28), *_fish_cells(one)))
        rows += [(f"- turned out {sex.sex}", *_fish_cells(sex)) for sex in turned.get(one.label, ())]
    heads = ("", "lost", "95 %", "guesses", "single fish", *(_FIGURES[name][1] for name in _OF_FISH))
    left = len(answer.fish) - sum(len(one.labels) for one in shown)
    return section(
        _marked("Every fish, worst off first (means over the tanks; chases an hour on model scale)", scale),
        table(heads, rows, widths=(30, 6, 13, 13, 12, 9, 8, 9)),
        f"and {left} more that are better off" if left > 0 else "",
        *([Note(_ALIKE)] if len(answer.alike) < len(answer.fish) else []),
        *([Note(_TURNED)] if answer.turned else []),
        *gain_said(answer),
    )


def _fish_cells(one: Portrait) -> list[str]:
    """What it loses, single fish of it too, and what is done to it."""
    lost = estimate_cells(one.lost, percent) if one.lost else ("-", "-", "-")
    return [*lost, span(*one.single_fish, percent), *_values(one.figures[AS_STOCKED], _OF_FISH)]


def _kinds(answer: Answer, scale: str) -> Section:
    rows = (
        (_short(one.label, one.species, 36), *_values(one.figures[AS_STOCKED], _OF_KIND))
        for one in answer.kinds
    )
    heads = ("", *(_FIGURES[name][1] for name in _OF_KIND))
    note = (
        "chased/h and gives/h: chases received and given by each fish in an hour; of chases: received by all "
        "of them together; missed: of the meals; territory: share of lit time in which it held one"
    )
    return section(
        _marked("By species and sex (means over the tanks; chases an hour on model scale)", scale),
        table(heads, rows, widths=(38, 9, 10, 8, 9, 8, 8, 10)),
        Note(note),
    )


def _values(got: Mapping[str, Estimate], names: Sequence[str]) -> list[str]:
    """The value of each measure."""
    return [_FIGURES[name][2](got[name].value) for name in names]


def _places(answer: Answer) -> Section:
    """The whole distributions behind "pinned", so that nobody depends on the cuts."""
    return section(
        f"{answer.watch}: how much of an hour lies within one place (share of its lit hours)",
        _spread_table(answer.place_spread),
        Heading("Share of a fish's lit hours that were pinned hours (share of the fish, tank by tank)"),
        _spread_table(answer.hours_spread),
        *(
            f"pinned, with the cut at {percent(cut)}: {tanks_said(count)}"
            for cut, count in answer.cuts.items()
        ),
    )


def _spread_table(spread: Spread) -> Table:
    rows = []
    for i, (low, high) in enumerate(zip(spread.edges, spread.edges[1:], strict=False)):
        label = f"{round(100 * low)} to {round(100 * high)} %"
        rows.append((label, *(percent(shares[i]) for shares in spread.shares.values())))
    return table(("", *spread.shares), rows, widths=_WIDTHS)


def _hierarchy(answer: Answer) -> Section:
    labels = {
        "linearity": "linearity h' (1: A over B over C)",
        "steepness": "steepness (1: always the same way)",
        "consistency": "consistency (1: none goes upward)",
    }
    rows = ((label, *estimate_cells(answer.hierarchy[name], _fraction)) for name, label in labels.items())
    return section("Who chases whom, all fish of a tank", table(("", *_HEADS), rows, widths=_WIDTHS))


def _moving(answer: Answer, scale: str) -> Section:
    if not answer.trends:
        return flush("Fewer than three hours were measured: too short to say whether the rates still move.")
    rows = []
    for name, moved in answer.trends.items():
        label, _, form = _FIGURES[name]
        cells = [form(moved.first.value), form(moved.last.value), *estimate_cells(moved.change, form)[:2]]
        rows.append((_marked(label, scale), *cells, _DIRECTION[moved.direction]))
    return section(
        "Still moving? All fish, first against last third of the measured hours",
        table(("", "first", "last", "change", "95 %", ""), rows, widths=(38, 9, 9, 9, 17, 15)),
    )


_DIRECTION = {"rising": "still rising", "falling": "still falling"}
_DIRECTION |= {"steady": "none seen", "unknown": "cannot tell"}


def _closing(answer: Answer) -> tuple[Section, Section]:
    rule = answer.rule
    definition = (
        f"Pinned hour: a lit hour with at least {percent(rule.place_share)} of it within one place (15 cm "
        f"of swimming round one spot) and a territory held for less than {percent(rule.owner_share)} of "
        f"it. Pinned fish: at least {percent(rule.hours_share)} of its lit hours are pinned hours and it "
        f"swims free of that place at most {percent(rule.freedom_ratio)} as much as left alone. Pinned "
        f"species, or fish alike: at least {percent(rule.species_share)} of them. Holding females do not "
        "count. The definition is this project's own. A fish here is a fish of the model, not one of yours. "
        "A pinned fish is chased less because it has given up coming out."
    )
    return flush(definition, IS_OWN), flush(" ".join(one.text for one in CAUTIONS))


def named(one: Portrait, *, room: int = WIDTH) -> str:
    """The label, and how many alike it is of; with its genus as a letter where the whole does not fit."""
    name = f"{one.label} (holding)" if one.holding and "holding" not in one.label else one.label
    many = len(one.labels)
    mark = "" if many == 1 else f", {many} alike" if room == WIDTH else f" ({many})"
    return _short(name + mark, one.species, room)


def _short(name: str, species: str, room: int) -> str:
    genus = species.split(" ")[0]
    if len(name) >= room and name.startswith(f"{genus} "):
        return f"{genus[0]}.{name[len(genus) :]}"
    return name


def tanks_said(count: Count) -> str:
    """``"3 of 12 simulated tanks (95 %: 9 to 53 %)"``."""
    spread = f"95 %: {span(count.low, count.high, percent)}"
    if math.isfinite(count.guess_low):
        spread += f"; guesses: {span(count.guess_low, count.guess_high, percent)}"
    return f"{count.hits} of {count.of} simulated tanks ({spread})"


def _times(ratio: float) -> str:
    return f"{number(ratio)} x" if math.isfinite(ratio) else "-"


def _fraction(value: float) -> str:
    return f"{value:.2f}" if math.isfinite(value) else "-"


def _sized(one: Portrait) -> str:
    return f"{one.species}, {_plain(one.fish)} fish"


def _plain(value: float) -> str:
    """A count that may be a mean: 3, or 2.5."""
    return f"{value:.1f}".removesuffix(".0")


# Measure -> what its row in a block is called, the head of its column in a table of many, how it is written.
_FIGURES: Mapping[str, tuple[str, str, Form]] = {
    "share_received": ("of all chases, received", "of chases", percent),
    "share_given": ("of all chases, given", "", percent),
    "received": ("chased, times an hour (model scale)", "chased/h", number),
    "hidden": ("hidden, of lit time", "hidden", percent),
    "pinned_hours": ("pinned hours, of lit time", "pinned h", percent),
    "free": ("swims free, of lit time", "", percent),
    "given": ("chases given an hour (model scale)", "gives/h", number),
    "bites": ("bitten an hour (model scale)", "", number),
    "missed": ("meals missed", "missed", percent),
    "territory": ("holds a territory, of lit time", "territory", percent),
}
_OF_FISH = ("received", "hidden", "pinned_hours")
_OF_KIND = ("received", "share_received", "hidden", "pinned_hours", "given", "missed", "territory")
_HEADS = ("as stocked", "95 %", "guesses")
_WIDTHS = (38, 10, 15, 15, 10, 12)
