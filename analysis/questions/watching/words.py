"""What ``rockshy sheet --read`` says: lays numbers out and works none out."""

from __future__ import annotations

import math

from ...document import Document, Section, Text, deeper, document, flush, section, table
from ...document.plain import Form, many, number, percent, span
from . import rows as measured
from .agree import LEVEL, WATCHES_OF_THEIR_OWN, Compared
from .overlay import Overlay
from .ranks import Ranks
from .scale import FEW

_WIDTHS = (36, 12, 11, 13, 16, 12)
_TITLES = {
    measured.CHASES: "Acts an hour, all fish together (model: its own scale)",
    measured.RECEIVED: "Chased, times an hour, the fish of a row together (model: its own scale)",
    measured.GIVEN: "Chases given an hour, the fish of a row together (model: its own scale)",
    measured.SHARE_RECEIVED: "Received, of all chases (whatever the scale)",
    measured.SHARE_GIVEN: "Given, of all chases (whatever the scale)",
    measured.HIDDEN: "In a hole, in a corner or not seen, of the looks",
    measured.ONE_PLACE: "At its commonest place (third of the tank and kind of place), of the looks",
}
_SAID = {
    measured.RECEIVED: "chased",
    measured.GIVEN: "chases given",
    measured.SHARE_RECEIVED: "received, of all chases",
    measured.SHARE_GIVEN: "given, of all chases",
    measured.HIDDEN: "hidden",
    measured.ONE_PLACE: "at its commonest place",
}
_HOW_TO_READ = (
    "counted: acts, or looks, of how many. model: the middle 95 of 100 sets of as many windows of one "
    "simulated tank each. as far: simulated tanks that stand at least as far from the model's mean in that "
    "row; with * your tank is told to differ, all rows taken together."
)


def report(found: Overlay) -> Document:
    """The whole text."""
    return document(
        _opening(found),
        _first_sentence(found),
        section("Does the model agree with your tank?", *_verdict(found)),
        *(_table(found, measure) for measure in _TITLES),
        flush(_HOW_TO_READ),
        _other_acts(found),
        _ranks(found.ranks) if found.tally.of_acts else None,
        section("What that may mean, and what not", *_meaning(found)),
        section("The factor between model and tank", *_scale(found)) if found.tally.of_acts else None,
    )


def _opening(found: Overlay) -> Section:
    tally = found.tally
    lengths = sorted({watch.minutes for watch in tally.watches})
    each = f"{lengths[0]:g}" if len(lengths) == 1 else f"{lengths[0]:g} to {lengths[-1]:g}"
    whom = sorted({watch.watched.name for watch in tally.watches if watch.watched is not None})
    followed = f"; followed: {', '.join(whom)}" if whom else ""
    looks = len({(look.watch, look.minute) for look in tally.looks})
    counted = f"{many(tally.count('chase'), 'chase')}, {many(tally.count('bite'), 'bite')}"
    if not tally.of_acts:
        counted = "places alone, chases not watched for"
    done = f"{found.tanks} simulated tanks"
    if found.tanks < found.asked:
        done = f"{found.tanks} of the {found.asked} simulated tanks asked for"
    return flush(
        found.title,
        f"{tally.name}: {many(len(tally.watches), 'watch', 'watches')} of {each} minutes{followed}; "
        f"{counted}, the tank looked over {looks} times.",
        f"Model: {done}, each with a guess of its own at what nobody has measured, and {found.windows} "
        "windows as long as the first watch, in the measured time, none while fed.",
    )


def _first_sentence(found: Overlay) -> Section | None:
    one = _of_all(found)
    if one is None:
        return None
    length = found.tally.watches[0].minutes
    window = "ten-minute" if length == 10 else f"{length:g}-minute"
    text = (
        f"Your tank: {number(one.value)} chases an hour; the model's {window} windows: "
        f"{span(one.single_low, one.single_high, number)} an hour (the middle 95 of 100)."
    )
    if one.watches > 1:
        text += (
            f" The mean of {one.watches} such windows of one simulated tank: "
            f"{span(one.model_low, one.model_high, number)}."
        )
    own = span(one.low, one.high, number)
    if one.watches >= WATCHES_OF_THEIR_OWN:
        text += f" Your {one.watches} watches say {own} (95 %, by how much they differ)."
    else:
        text += (
            f" By the {many(int(one.acts), 'chase')} counted your tank's rate is {own} (95 %, as if chases "
            f"came one by one; they come in bursts, so it is less sure than that, and {one.watches or 'no'} "
            f"{'watch' if one.watches == 1 else 'watches'} cannot tell by how much)."
        )
    return flush(text)


def _table(found: Overlay, measure: str) -> Section | None:
    """The rows of one measure; bites stand with the chases."""
    together = {measure, measured.BITES} if measure == measured.CHASES else {measure}
    of_measure = [one for one in found.rows if one.row.measure in together]
    rows = [(_row_name(one), *_cells(one)) for one in of_measure if math.isfinite(one.value)]
    left = [f"{one.row.name}: left out, {one.why_not}." for one in of_measure if one.why_not]
    heads = ("", "counted", "your tank", "95 %", "model", "as far")
    counted = [table(heads, rows, widths=_WIDTHS)] if rows else []
    return section(_TITLES[measure], *counted, *left) if rows or left else None


def _row_name(one: Compared) -> str:
    """The fish, genus as a letter where it is too long; of all fish, the act."""
    if one.row.measure in (measured.CHASES, measured.BITES):
        return one.row.measure
    name = one.row.name
    genus, _, rest = name.partition(" ")
    return f"{genus[0]}. {rest}" if len(name) > _WIDTHS[0] - 3 and rest else name


def _name(one: Compared) -> str:
    """The row in a sentence."""
    if one.row.measure in (measured.CHASES, measured.BITES):
        return f"all {one.row.measure}"
    return f"{one.row.name}, {_SAID[one.row.measure]}"


def _form(one: Compared) -> Form:
    return number if one.row.is_rate else percent


def _cells(one: Compared) -> tuple[str, ...]:
    form = _form(one)
    far = f"{one.further} of {one.tanks}" if math.isfinite(one.p_any) else "-"
    return (
        f"{one.acts:g}" if one.row.is_rate else f"{one.acts:g} of {one.of:g}",
        form(one.value),
        span(one.low, one.high, form),
        span(one.model_low, one.model_high, form),
        far + (" *" if one.differs else "  "),
    )


def _other_acts(found: Overlay) -> Section | None:
    others = {act: count for act, count in found.acts.items() if act not in ("chase", "bite") and count}
    if not others:
        return None
    said = ", ".join(f"{act} {count}" for act, count in others.items())
    return flush(
        f"Also counted, and not laid over the model, which does not show them as you see them: {said}."
    )


def _ranks(ranks: Ranks) -> Section:
    if ranks.why_not:
        return section("Who ranks above whom", f"Too few to tell: {ranks.why_not}.")
    lines: list[Text] = []
    for one in ranks.measures:
        model = ""
        if math.isfinite(one.model_low):
            model = f"; simulated tanks watched as long: {one.model_low:.2f} to {one.model_high:.2f}"
        told = "more than chance" if one.told else "too few to tell: chance alone would give as much"
        p_value = f"{one.p_value:.3f}" if one.p_value < 0.1 else f"{one.p_value:.2f}"
        lines.append(f"{one.name} {one.value:.2f}{model} ({told}, p = {p_value})")
    lines.append(
        f"From {many(ranks.chases, 'chase')} between fish that were both made out"
        + (f", {ranks.left_out} left out" if ranks.left_out else "")
        + f"; of {many(ranks.pairs, 'pair')} {ranks.unknown_pairs} were never seen to chase."
    )
    if any(one.told for one in ranks.measures):
        lines.append("By David's score, given / received:")
        lines += [
            deeper(f"{one.label}: {one.score:.1f} ({one.given} / {one.received})") for one in ranks.fish
        ]
    else:
        lines.append("So no order of rank is given.")
    return section("Who ranks above whom", *lines)


def _verdict(found: Overlay) -> list[Text]:
    """The rows that lie outside and by how much, then what that comes to over all rows."""
    judged = found.judged
    if not judged:
        return ["There is nothing in the tally to compare the model with."]
    out = sorted((one for one in judged if one.outside or one.differs), key=lambda one: one.p_any)
    lines: list[Text] = []
    if out:
        lines.append(f"Outside the model's middle 95 of 100, {len(out)} of {many(len(judged), 'row')}:")
        lines += [deeper(f"{_name(one)}: {_beside(one)}; as far out in some row: {_far(one)}") for one in out]
    else:
        lines.append(f"No row lies outside the model's middle 95 of 100, of {len(judged)} judged.")
    told = [one for one in out if one.differs]
    if told:
        lines.append(
            f"Over all rows together: no, it does not agree, in {len(told)} of them, marked * below. "
            f"Of {found.tanks} simulated tanks watched as often as yours, so few stand as far out in any row."
        )
    else:
        more = "; so few rows outside are no more than is to be expected of so many" if out else ""
        lines.append(f"Over all rows together: no sign that they disagree{more}.")
    lines.append(
        f"Level: if the model were right about your tank, one such tally in {round(1 / LEVEL)} or fewer "
        "would be called different in any row (largest of all rows over whole simulated tanks, "
        "WestfallYoung1993)."
    )
    return lines


def _far(one: Compared) -> str:
    return f"{max(0, round(one.p_any * (one.tanks + 1) - 1))} of {one.tanks} simulated tanks"


def _beside(one: Compared) -> str:
    """``"your tank 60 %, 12 % above the model's 20 to 48 %"``."""
    form, unit = _form(one), " an hour" if one.row.is_rate else ""
    nearest = one.model_high if one.above else one.model_low
    by = abs(one.value - nearest)
    far = f"{number(by)} an hour" if one.row.is_rate else percent(by)
    way = "above" if one.above else "below"
    return f"your tank {form(one.value)}{unit}, {far} {way} the model's {_model(one)}{unit}"


def _model(one: Compared) -> str:
    return span(one.model_low, one.model_high, _form(one))


def _meaning(found: Overlay) -> list[str]:
    told = [one for one in found.judged if one.differs]
    rates = [one for one in told if one.row.is_rate]
    shares = [one for one in told if one.row.measure in measured.SHARES_OF_CHASES]
    places = [one for one in told if one.row.measure in measured.PLACES]
    lines = []
    if any(one.above for one in places):
        lines.append(
            "Fish of yours hide, or sit in one place, more than the model's: test the water first, and look "
            "for one that does not eat; separate such a fish before you think about rock or stock."
        )
    if rates and not shares:
        ways = {"more" if one.above else "less" for one in rates}
        much = " the amount is another than the model's"
        if len(ways) == 1:
            much = f" there is {ways.pop()} of it than in the model"
        lines.append(
            f"Who chases whom fits, only{much}: that is the scale, which nobody has measured for any tank. "
            "The factor below carries it into later runs."
        )
    if shares:
        lines.append(
            "Who chases whom is not as in the model. Then a factor does not mend it: a trait of a species "
            "may be wrong for your fish (a hot or a mild strain), sizes or sexes may differ from your file, "
            "or there is a cause the model does not know: breeding, a new or a sick fish, water, food, "
            "people at the glass."
        )
    if not told:
        one = _of_all(found)
        scope = f"({span(one.model_low, one.model_high, number)} chases an hour)" if one else "in each row"
        lines.append(
            "That is no proof that the model is right about your tank: what lies within the model's range "
            f"{scope} would look the same. More watches narrow it."
        )
    lines.append(
        "A tally says what happened while you watched. It says nothing of the nights, of feeding times, or "
        "of why; and neither tally nor model can say that a fish is well."
    )
    return lines


def _scale(found: Overlay) -> list[str]:
    scale = found.scale
    if scale is None:
        return [f"None can be fitted: {found.no_scale}."]
    how = "one watch" if scale.watches == 1 else f"{scale.watches} watches"
    lines = [
        f"{scale.text}: {many(scale.chases, 'chase')} counted in {scale.minutes:g} minutes where the model "
        f"has {number(scale.expected)} on the average of {scale.tanks} simulated tanks (95 %, log-normal; "
        f"{how}, bursts of chases reckoned as in the model or as the watches differ, whichever is wider)."
    ]
    if scale.chases < FEW:
        lines.append(f"Fewer than {FEW} chases: such a factor says little. Watch more before you use it.")
    lines.append(
        "It belongs to this tank with these fish. It scales chases an hour and, which is assumed, bites an "
        "hour by as much; no share, no ratio, no hiding and no pinning."
    )
    return lines


def _of_all(found: Overlay) -> Compared | None:
    """The row of all chases, where the tally says anything of it."""
    rows = (one for one in found.rows if one.row.measure == measured.CHASES and math.isfinite(one.value))
    return next(rows, None)
