"""How much rock, in words: what ``rockshy rock`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math

from ....sim.scenario.reading.limits import LIMITS
from ...document import Document, Note, Section, document, flush, section, table
from ...document.plain import capital, estimate_cells, many, percent, span, tenths
from ...evidence.doubts import doubts
from ...measures.registry import BITES, FREE, HIDDEN, PINNED, RECEIVED
from ...statistics.intervals import Estimate
from .amount import Amount
from .amount_words import amount_words
from .answer import AmountFigures, Change, Line, RockAnswer
from .grid import COVER, HEIGHT, PILES, Grid, is_bare
from .least import FOUND, NONE_DOES

HOW_TO_READ = (
    '"95 %" says how precisely these runs measure this model. "guesses" is the range in which nine of ten '
    "guesses at what nobody has measured lie (with a tank to a guess their luck is in it too). Chases an "
    "hour are on model scale, the model's own, until a tally from the real tank scales them; shares do not "
    "depend on it. A fish here is a fish of the model, not one of yours."
)
BARE = (
    "Without rock there is no place to be pinned to, so a bare tank looks good here. It is no better for "
    "that: look at bitten, hidden and free in the tables below."
)
RAISE = {
    COVER: "Each simulated tank keeps the stones it had and gets more of them.",
    HEIGHT: "In each simulated tank the same stones stand higher.",
    PILES: "With another number of piles the stones stand elsewhere.",
}
LONG_MINUTES = 4 * 60.0  # beyond which no answer is promised


def document_of(
    answer: RockAnswer, grid: Grid, amount: Amount | None, *, place: int | None, typed: bool = True
) -> Document:
    """The whole answer.

    Parameters
    ----------
    amount : of the rock at ``place``; None without rock.
    place : the amount found, or the keeper's own where none was.
    typed : for somebody who types commands.
    """
    return document(
        _opening(answer, grid),
        section(
            f"Answer for {answer.species} ({answer.why})",
            answer.beside,
            *all_verdicts(answer, grid, typed=typed),
        ),
        doubts("rock"),
        _pinned_table(answer, grid),
        _measures_table(answer, grid),
        _fit_words(answer, grid) if answer.monotone else None,
        section("What more rock does (amount against amount, trial by trial)", *_change_lines(answer, grid)),
        *amount_words(grid, amount, place=place, found=_best(answer)).sections,
    )


def one_in(level: float) -> str:
    """``"1 simulated tank in 10"``, or ``"15 % of the simulated tanks"``."""
    times = 1.0 / level
    if abs(times - round(times)) < 1e-9:
        return f"1 simulated tank in {round(times)}"
    return f"{100 * level:g} % of the simulated tanks"


def _opening(answer: RockAnswer, grid: Grid) -> Section:
    runs = sorted({one.run for one in answer.amounts})
    each = f"{runs[0]}" if len(runs) == 1 else f"{runs[0]} to {runs[-1]}"
    guesses = (
        "nothing unmeasured was drawn, so there is no range over guesses"
        if answer.fixed
        else "every tank has a guess of its own at what nobody has measured, the same at every amount"
    )
    cut = " It was stopped before it was done." if answer.stopped else ""
    return flush(
        f"How much rock? {answer.title}",
        f"Question: {answer.question}" if answer.question else "",
        f"{answer.tanks} simulated tanks: {many(len(answer.amounts), 'amount')} of rock, {each} tanks at "
        f"each, on the same seeds and fish; {guesses}; {many(answer.measured_hours, 'lit hour')} "
        f"measured in each. Beside each the same tank left alone, where nobody attacks.{cut}",
        " ".join(RAISE[axis.name] for axis in grid.axes),
        *answer.remarks,
        HOW_TO_READ,
    )


def all_verdicts(answer: RockAnswer, grid: Grid, *, typed: bool = True) -> list[str]:
    """What each line of amounts says, and what to mind where a bare tank looks good."""
    lines: list[str] = []
    for line in answer.lines:
        lines += verdict_sentences(answer, grid, line, typed=typed)
    bare = {place for place, point in enumerate(grid.points) if is_bare(point.scenario.rock)}
    if any(bare & {*line.within, line.found} for line in answer.lines):
        lines.append(BARE)
    return lines


def verdict_sentences(answer: RockAnswer, grid: Grid, line: Line, *, typed: bool = True) -> list[str]:
    """What one line of amounts says; ``typed``: to somebody who types commands."""
    at = "" if line.other is None else f"With {grid.axes[1].say(line.other)}{_after(grid)}: "
    wanted = f"pinned in at most {one_in(answer.level)}"
    if line.least.verdict == NONE_DOES:
        most = line.places[-1]
        said = f"even at the largest tried, {grid.along(most)}, it is not {wanted}: {_tanks(answer, most)}"
        return [f"{at}No amount does: {said}.", *_window(answer, grid, line)]
    if line.least.verdict == FOUND:
        return [f"{at}{capital(_least_sentence(answer, grid, line, wanted))}"]
    return [
        f"{at}Cannot tell yet. {_so_far(answer, grid, line, wanted)}",
        *(_window(answer, grid, line) if line.found is None else []),
        _more_sentence(answer, line, typed),
    ]


def _window(answer: RockAnswer, grid: Grid, line: Line) -> list[str]:
    """Amounts that are good enough each by itself, where larger ones are not."""
    if not line.within:
        return []
    named = [f"{grid.along(place)} ({_tanks(answer, place)})" for place in line.within]
    return [
        f"Taken by itself it is so with {'; '.join(named)}. Every larger amount tried counts too, and with "
        "more rock than that it is pinned more often again."
    ]


def _least_sentence(answer: RockAnswer, grid: Grid, line: Line, wanted: str) -> str:
    found = line.found
    assert found is not None
    start = f"{grid.along(found)} is the least amount tried at which it is {wanted}"
    if line.least.place == 0:
        start = f"the least amount tried, {grid.along(found)}, is enough: it is {wanted}"
    return f"{start} there and at every larger amount tried ({_tanks(answer, found)}). {_span(grid, line)}"


def _so_far(answer: RockAnswer, grid: Grid, line: Line, wanted: str) -> str:
    found = line.found
    if found is None:
        start = f"So far there is no amount from which on it is {wanted}"
    else:
        start = (
            f"So far {grid.along(found)} is the least amount tried at which it is {wanted} there and at "
            f"every larger one ({_tanks(answer, found)})"
        )
    return f"{start}. {_span(grid, line)}"


def _span(grid: Grid, line: Line) -> str:
    """The interval of the least amount, among those tried."""
    low, high = line.least.low, line.least.high
    if low == high:
        return "95 % interval: this amount and no other of those tried."
    if high < len(line.places):
        return f"95 % interval: {grid.span(line.places[low], line.places[high])}."
    return f"95 % interval: from {grid.along(line.places[low])} to more than was tried, or none at all."


def _more_sentence(answer: RockAnswer, line: Line, typed: bool) -> str:
    largest = "at the largest amount, which decides whether any amount does"
    if not math.isfinite(line.trials_more) or line.ask_for > LIMITS["run.trials"].high:
        return f"The chance {largest}, lies so near the wanted level that no number of tanks would tell."
    asked = f"--trials {line.ask_for}" if typed else f"{line.ask_for} asked for in the file"
    keeping = "; a folder given with --out keeps what is done" if typed else ""
    if not math.isfinite(line.minutes_more):
        return f"About {math.ceil(line.trials_more)} more simulated tanks {largest}, would tell ({asked})."
    if line.minutes_more > LONG_MINUTES:
        return _by_now(answer, line.places[-1])
    minutes = many(max(1, round(line.minutes_more)), "more minute")
    return f"About {minutes} on this computer would tell ({asked}{keeping})."


def _by_now(answer: RockAnswer, place: int) -> str:
    """What can be told where the tanks that it takes to tell all are too many to run."""
    count = answer.amounts[place].pinned
    return (
        f"By now: at the largest amount it is pinned in {_tanks(answer, place)} "
        f"(95 %: {span(count.low, count.high, percent)}), too near the wanted level to be told on a computer "
        "like this one."
    )


def _pinned_table(answer: RockAnswer, grid: Grid) -> Section:
    rows = []
    for one in answer.amounts:
        count, against = one.pinned, one.against_own
        rows.append(
            (
                _label(one),
                f"{count.hits} of {count.of}" if count.of else "-",
                span(count.low, count.high, percent),
                _signed(against.value) if against else "-",
                span(against.low, against.high, _signed) if against else "-",
            )
        )
    note = (
        "against now: in so many more (+) or fewer (-) of the same tanks than with your rock as it is"
        if grid.own is not None
        else "your own amount is not among those tried, so nothing is compared with it"
    )
    heads = ("", "pinned", "95 %", "against now", "95 %")
    shown = table(heads, rows, widths=_PINNED)
    return section(f"Pinned, in simulated tanks, by {_varied(grid)}", shown, Note(note))


def _measures_table(answer: RockAnswer, grid: Grid) -> Section:
    """Chased and hidden; then free and bitten, since a fish that is never pinned may fare worse by these."""
    pairs = (
        ("chased/h", "hidden", lambda one: (one.received, one.hidden)),
        ("bitten/h", "free", lambda one: (one.bites, one.free)),
    )
    tables = (
        table(
            ("", rate, "95 %", "guesses", share, "95 %", "guesses"),
            (_figures(one, *of(one)) for one in answer.amounts),
            widths=_MEASURES,
        )
        for rate, share, of in pairs
    )
    note = "a pinned fish is chased less because it has given up coming out: read these with the table above"
    heading = f"The same by {_varied(grid)} (chased and bitten: times an hour, model scale)"
    return section(heading, *tables, Note(note))


def _figures(one: AmountFigures, rate: Estimate, share: Estimate) -> tuple[str, ...]:
    return (_label(one), *estimate_cells(rate, tenths), *estimate_cells(share, percent))


_PINNED = (31, 12, 13, 13, 17)
_MEASURES = (31, 9, 13, 13, 8, 13, 13)


def _fit_words(answer: RockAnswer, grid: Grid) -> Section:
    lines = []
    for line in answer.lines:
        if line.least.fitted is None:
            continue
        fitted = ", ".join(
            f"{grid.short(place)}: {percent(share)}"
            for place, share in zip(line.places, line.least.fitted, strict=True)
        )
        lines.append(
            f"Fitted, as you asked (a curve that never rises; it hides any harm more rock does): {fitted}."
        )
    return section("Monotone fit", *lines)


def _change_lines(answer: RockAnswer, grid: Grid) -> list[str]:
    lines = []
    for line in answer.lines:
        at = "" if line.other is None else f"With {grid.axes[1].say(line.other)}{_after(grid)}: "
        if any(one.measure == PINNED and one.rises for one in line.changes):
            lines.append(f"{at}More rock makes it worse: it is pinned more often.{_gains(line)}")
            at = ""
        lines += [f"{at}{_change_sentence(one, grid)}" for one in line.changes]
        if not line.changes:
            lines.append(f"{at}No two amounts differ beyond doubt in any of these figures.")
    pairs = {one.pairs for line in answer.lines for one in line.changes}
    if pairs:
        lines.append(
            "The surest rise and fall of each figure is named, where it stays beyond doubt after correction "
            f"for all the pairs of amounts looked at ({max(pairs)} for each figure; method of Holm)."
        )
    return lines


def _gains(line: Line) -> str:
    """What gets better with more rock all the same, and nowhere worse."""
    good = {one.measure for one in line.changes if not one.is_worse}
    bad = {one.measure for one in line.changes if one.is_worse}
    gained = [GAINS[measure] for measure in GAINS if measure in good - bad]
    return f" But it {' and '.join(gained)} with more rock: weigh that yourself." if gained else ""


GAINS = {BITES: "is bitten less", RECEIVED: "is chased less", HIDDEN: "hides less", FREE: "swims free more"}
NAMES = {PINNED: "Pinned", RECEIVED: "Chased", HIDDEN: "Hidden", FREE: "Swims free", BITES: "Bitten"}


def _change_sentence(one: Change, grid: Grid) -> str:
    first, last = grid.along(one.less), grid.along(one.more)
    found = one.difference
    times = f"better in {found.better}, worse in {found.worse} of {found.trials} simulated tanks"
    if one.measure in (RECEIVED, BITES):
        said = f"{found.value:+.2g} an hour, model scale (95 %: {found.low:+.2g} to {found.high:+.2g})"
    else:
        unit = "of the tanks" if one.measure == PINNED else "of lit time"
        said = f"{_signed(found.value)} {unit} (95 %: {span(found.low, found.high, _signed)})"
    way = "more" if one.rises else "less"
    return f"{NAMES[one.measure]} {way} with {last} than with {first}: {said}; {times}."


# ---- small words


def _best(answer: RockAnswer) -> bool:
    return any(line.least.verdict == FOUND for line in answer.lines)


def _varied(grid: Grid) -> str:
    return " and ".join(axis.title for axis in grid.axes)


def _after(grid: Grid) -> str:
    name = grid.axes[1].name
    return {COVER: " of the floor under rock", HEIGHT: " of height", PILES: ""}[name]


def _tanks(answer: RockAnswer, place: int) -> str:
    count = answer.amounts[place].pinned
    return f"{count.hits} of {count.of} simulated tanks"


def _label(one: AmountFigures) -> str:
    return f"{one.said}{' (your tank now)' if one.own else ''}"


def _signed(share: float) -> str:
    if not math.isfinite(share):
        return "-"
    return "0 %" if round(100 * share) == 0 else f"{100 * share:+.0f} %"
