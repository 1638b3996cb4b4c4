"""The best a wish list allows, in words: what ``rockshy best`` prints. Works no number out."""

from __future__ import annotations

import math

from ...document import Bullets, Code, Document, Item, Paragraph, Section, document, flush, section, table
from ...document.cautions import FIRST
from ...document.plain import called, chance, many, percent, span
from ...evidence.doubts import doubts
from ...measures.plight import IS_OWN
from ...statistics.intervals import Estimate
from ...statistics.paired import Difference
from ..orders_said import order_section
from ..rock.amount_words import laying_cautions
from .answer import PROVED, Best, Tried
from .lines import lines_of
from .said import group_said, kilograms, laid, missed, money_said, stock_briefly, stock_said

SHOWN = 20  # plans of the table of all that were tried


def document_of(found: Best) -> Document:
    """The whole answer: the front, its plans, who is as good, what stands in the way."""
    cautions = laying_cautions(found.scenario(found.best))
    items = [_item(found, one) for one in found.front]
    return document(
        flush(f"{found.plan.scenario.title}: the best that the wish list allows"),
        flush(FIRST),
        _front(found),
        section("What to buy and lay", Bullets(tuple(items), numbered=True)),
        section("To ask more of them, copy these lines to the end of your file", Code(lines_of(found))),
        order_section(found.order),
        _as_good(found),
        _limits(found),
        doubts("compare"),
        _tried(found),
        _how(found),
        flush(" ".join(one.text for one in cautions if one.about != "sick fish")),
    )


def _front(found: Best) -> Section:
    rows = [_row(found, k + 1, one) for k, one in enumerate(found.front)]
    heads = ("plan", "worst-off keep", "95 %", "over guesses", "", "fish", "species", "money", "rock")
    note = "Each beats the others in something: how the worst-off fare, fish, species, or money."
    made = table(heads, rows, widths=(5, 14, 12, 13, 14, 5, 8, 7, 14), left=(4,))
    return section("Plans that no other beats in everything", made, note)


def _row(found: Best, number: int, one: Tried) -> tuple[str, ...]:
    kept = one.kept
    ranges = (span(kept.low, kept.high, percent), span(kept.guess_low, kept.guess_high, percent))
    rock = kilograms(one) if found.plan.space.is_laid else "as it is"
    money = money_said(one.money) or "-"
    return str(number), percent(kept.value), *ranges, one.plight, str(one.fish), str(one.species), money, rock


def _item(found: Best, one: Tried) -> Item:
    tank = found.plan.space.tanks[one.stocking.tank]
    room = (
        f"Tank {tank.length_cm:.0f} x {tank.width_cm:.0f} x {tank.height_cm:.0f} cm. "
        if found.plan.space.shop
        else ""
    )
    rock = (
        f"{laid(one)[0].upper()}{laid(one)[1:]}, {kilograms(one)} of limestone."
        if found.plan.space.is_laid
        else ""
    )
    groups = "; ".join(f"{called(group_said(group), group[0])} {_kept(kept)}" for group, kept in one.others)
    below = [f"{room}{rock}".strip(), f"They keep: {groups}."]
    return Item(stock_said(found, one), tuple(Paragraph(text) for text in below if text))


def _kept(kept: Estimate) -> str:
    limits = f" ({span(kept.low, kept.high, percent)})" if math.isfinite(kept.low) else ""
    return f"{percent(kept.value)}{limits}"


def _as_good(found: Best) -> Section | None:
    if len(found.as_good) < 2:
        return None
    rows = [
        (stock_briefly(found, one), laid(one) if found.plan.space.is_laid else "", chance(one.chance))
        for one in found.as_good
    ]
    followed = sum(math.isfinite(one.chance) for one in found.tried)
    made = table(("stock", "rock", "chance to be the best"), rows, widths=(60, 30, 10), left=(0, 1))
    held = (
        f"The chance that the best of the {followed} that were followed up is among them is "
        f"{chance(found.held)}. In made-up tanks the worst off hardly ever kept 1 % more in any plan that "
        "was tried than in the first of these."
    )
    return section("Cannot be told from the best for the worst-off", made, held)


def _limits(found: Best) -> Section | None:
    if not found.loosened or found.short is None:
        return None
    rows = [
        (
            one.limit,
            one.said,
            percent(one.kept),
            f"{100 * one.difference.value:+.0f}",
            _interval(one.difference),
        )
        for one in found.loosened
    ]
    heads = ("without this limit", "tried", "worst-off keep", "more, %", "95 %")
    made = table(heads, rows, widths=(30, 36, 14, 7, 12), left=(1,))
    return section("Which limit stands in the way", missed(found), made)


def _interval(difference: Difference) -> str:
    low, high = difference.low, difference.high
    return f"{_signed(low)} to {_signed(high)}" if math.isfinite(low) else "-"


def _signed(share: float) -> str:
    whole = round(100 * share)
    return f"{whole:+d}" if whole else "0"


def _tried(found: Best) -> Section:
    rows = [
        (
            stock_briefly(found, one),
            str(one.fish),
            percent(one.kept.value),
            str(len(one.trials)),
            one.stage,
        )
        for one in found.tried[:SHOWN]
    ]
    heads = ("stock", "fish", "worst-off keep", "tanks", "figures from")
    made = table(heads, rows, widths=(70, 5, 14, 6, 24), left=(0, 4))
    more = len(found.tried) - SHOWN
    rest = f"And {more} more, in the CSV file of --out." if more > 0 else ""
    note = "Figures that are not proved also chose the plan, so the first of them look better than they are."
    return section(f"What was tried: {many(len(found.tried), 'plan')}", made, note, rest)


def _how(found: Best) -> Section:
    plan = found.plan
    cut = "Stopped before its end: of what was done so far. " if found.stopped else ""
    proved = sum(one.stage == PROVED for one in found.front)
    texts = [
        f"{cut}{many(found.tanks, 'simulated tank')}. Of the stocks and layouts within the limits "
        f"{len(plan.space.sample)} were drawn evenly; {plan.sampled} of them were run first, then those that "
        "a fit to all before thought best, by turns for few fish, many fish, many species and little money. "
        "The better ones were run more often, the best few in fresh tanks, and the winners in tanks that "
        f"chose nothing ({proved} of {many(len(found.front), 'plan')} above).",
        _foretold(found),
        "All plans were run with the same luck and guesses. A group is the fish of one species and sex; the "
        "worst-off group is the one that keeps least of the swimming about it would do if left alone. All "
        "fish go in on the first day as newcomers. What was not tried may be better.",
        "Species without numbers were tried with 1 to 2 males and 2 to 8 females (common practice, no "
        "source). Kilograms are of limestone, dry: the lowest and the highest that such a heap may weigh.",
        IS_OWN,
    ]
    return section("How it was found", *texts)


def _foretold(found: Best) -> str:
    if not math.isfinite(found.error):
        return ""
    return (
        f"For plans that it had not seen the fit was off by {percent(found.error)} (root mean square) and "
        f"told {percent(found.told)} of what differs between plans. It only says what to run next."
    )
