"""The first lines of ``rockshy check``: what to look at before a run, the worst first. Flags say the rest."""

from __future__ import annotations

import tomllib

from ....sim.fish.population import individuals
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import Holding, Spawning
from ....sim.scenario.units import say_length_cm
from ....sim.species.species import Species
from ...asking.units_asked import asked_units
from ...document import Section, as_text, flush
from ...document.plain import between, listed, many, percent
from ...document.typed import plural_of
from . import flags as flagged
from .drawn import DrawnTanks
from .stocked import heads, living_as_group, most_at_once, stocked
from .unequal import beside, hot_pairs, large_pairs

MOST_LINES = 12  # of a terminal
ROOM = 64  # characters of a line for the fish it names; the others are counted
NOTHING = "Nothing stands out by temper, size, looks, genus, sexes or room; that is no verdict on the fish."
_NEVER = ("growth (rockshy life does)", "spawning", "illness")


def brief_of(scenario: Scenario, drawn: DrawnTanks) -> Section:
    """Warnings, then what is drawn, what unsexed fish come out as, and what is left to the keeper."""
    warned = [line for line in warnings(scenario, drawn) if line]
    kinds = many(len(stocked(scenario)), "species", "species")
    stock = f"{many(len(individuals(scenario.stock)), 'fish', 'fish')} of {kinds}"
    head = f"{stock} in a tank {say_length_cm(scenario.tank.length_cm)} long"
    rest = [*filter(None, (drawn_line(scenario, drawn), sexes_line(scenario))), left_line(scenario)]
    if not warned:
        return flush(f"{head}.", NOTHING, *rest)
    return _cut(f"{head}. What to look at, the worst first:", warned, rest)


def _cut(head: str, warned: list[str], rest: list[str]) -> Section:
    """As many warnings as there is room for; the others by their first words."""
    for kept in range(len(warned), 0, -1):
        left = [line.partition(":")[0].lower() for line in warned[kept:]]
        also = [f"Also, see --full: {', '.join(left)}."] if left else []
        made = flush(head, *warned[:kept], *also, *rest)
        if len(as_text(made).splitlines()) <= MOST_LINES:
            break
    return made


def warnings(scenario: Scenario, drawn: DrawnTanks) -> list[str]:
    """A line for each sort of warning, the worst first; empty where it does not apply."""
    units = asked_units(scenario)
    return [
        f"Units: {units}" if units else "",
        _groups(scenario),
        *_unequal(scenario),
        _look_alikes(scenario),
        _genera(scenario),
        _females(scenario),
        _partners(scenario),
        _length(scenario),
        _rock(scenario, drawn),
        _dates(scenario),
    ]


def _few(texts: list[str], *, joint: str = "; ") -> str:
    """The first of them, one at least and as many as there is room for, and how many more kinds there are."""
    kept = len(texts)
    while kept > 1 and len(joint.join(texts[:kept])) > ROOM:
        kept -= 1
    more = [f"{many(len(texts) - kept, 'more kind')} (see --full)"] if kept < len(texts) else []
    return joint.join([*texts[:kept], *more])


def _name(scenario: Scenario, one: Species) -> str:
    """Several fish of a species, as the keeper typed it."""
    return plural_of(flagged.name_of(scenario, one), one.key)


def _some(scenario: Scenario, one: Species, count: int, which: str = "") -> str:
    """``"1 yellow lab"``, ``"2 unsexed yellow labs"``."""
    return many(count, f"{which}{flagged.name_of(scenario, one)}", f"{which}{_name(scenario, one)}")


def _names(scenario: Scenario, species: list[Species]) -> list[str]:
    return [_name(scenario, one) for one in species]


def _unequal(scenario: Scenario) -> list[str]:
    """The hottest and the largest beside the mildest and the smallest, and how many more pairs there are."""
    lines = []
    sorts = (("Hot beside mild", hot_pairs(scenario)), ("Large beside small", large_pairs(scenario)))
    for about, pairs in sorts:
        if pairs:
            more = f", and {many(len(pairs) - 1, 'more pair')} like that" if len(pairs) > 1 else ""
            lines.append(f"{about}: {beside(scenario, pairs[:1])}{more} (assumption).")
    return lines


def _groups(scenario: Scenario) -> str:
    """Kinds that live as a group: the model has nothing to say of them among themselves."""
    found = living_as_group(scenario)
    return (
        f"Groups: {listed(_names(scenario, found))}; in the model fish of a group never chase each other."
        if found
        else ""
    )


def _look_alikes(scenario: Scenario) -> str:
    """Kinds whose adult males wear the same pattern."""
    by_pattern: dict[str, list[Species]] = {}
    for one in stocked(scenario):
        by_pattern.setdefault(one.words["pattern_male"].value, []).append(one)
    found = [
        f"{listed(_names(scenario, of))} ({pattern})" for pattern, of in by_pattern.items() if len(of) > 1
    ]
    return f"Males alike: {_few(found)}; keepers avoid that." if found else ""


def _genera(scenario: Scenario) -> str:
    """Kinds of one genus, which is named where the keeper's names do not."""
    found = []
    for genus, of in flagged.of_one_genus(scenario).items():
        names = listed(_names(scenario, of))
        found.append(names if genus in names else f"{names} ({genus})")
    return f"One genus, may cross: {_few(found)}; keepers avoid that." if found else ""


def _females(scenario: Scenario) -> str:
    """Kinds with too few females for their males."""
    found = []
    for one in flagged.short_of_females(scenario):
        males, females, _ = heads(scenario, one.key)
        found.append(f"{_name(scenario, one)} ({females or 'none'} for {many(males, 'male')})")
    wanted = f"keepers give a male {flagged.FEMALES_A_MALE} to {flagged.TRIO_FEMALES}"
    return f"Too few females: {_few(found, joint=', ')}; {wanted}." if found else ""


def _partners(scenario: Scenario) -> str:
    found = [_some(scenario, one, alone) for one, alone in flagged.without_partner(scenario)]
    return f"No partner: {_few(found, joint=', ')}." if found else ""


def _length(scenario: Scenario) -> str:
    tank, (_, usual, _) = scenario.tank.length_cm, flagged.LENGTHS_CM
    if tank >= usual or not any(flagged.length_flags(scenario)):
        return ""
    least, whose, more = usual, "mixed mbuna", ""
    if all(one.words["mating"].value != "harem" for one in stocked(scenario)):
        least, whose = flagged.PAIRS_CM, "fish that live as pairs"
    elif flagged.is_borrowed(scenario):
        more = ", which is borrowed here"
    return f"Short tank: {say_length_cm(tank)}; keepers give {whose} at least {say_length_cm(least)}{more}."


def _rock(scenario: Scenario, drawn: DrawnTanks) -> str:
    found = []
    if flagged.hardly_any_rock(drawn):
        covers = between([one.cover for one in drawn.rock], percent)
        found.append(
            f"{covers} of the floor (hardly any, an assumption)" if drawn.most else "no crevice at all"
        )
    fish = most_at_once(scenario)
    if 0 < drawn.fewest < fish or (drawn.most and not drawn.fewest):
        found.append(f"as few as {many(drawn.fewest, 'crevice')} for {fish} fish (keepers count one each)")
    if tight := flagged.without_crevice(scenario, drawn):
        found.append(f"in some simulated tanks none fits {listed(_names(scenario, tight))} of average size")
    return f"Rock: {'; '.join(found)}." if found else ""


def _dates(scenario: Scenario) -> str:
    if flagged.long_flags(scenario):
        return "Dates over weeks: rockshy run lives through them in blocks of days."
    found = len(list(flagged.date_flags(scenario)))
    return f"Dates: {many(found, 'of them falls', 'of them fall')} outside what is measured." if found else ""


# ---- what the file leaves open


def drawn_line(scenario: Scenario, drawn: DrawnTanks) -> str:
    """What is drawn, or taken as usual, because the file does not say it."""
    fish = individuals(scenario.stock)
    silent = sum(one.row.length_cm is None for one in fish)
    unsexed = sum(one.sex == "unsexed" for one in fish)
    parts = [f"{'all' if silent == len(fish) else silent} lengths"] if silent else []
    parts += [many(unsexed, "sex", "sexes")] if unsexed else []
    parts += ["crevices"] if drawn.most and scenario.rock.crevices is None else []
    parts += _heights(scenario)
    return f"Not in the file, so left to chance or custom: {', '.join(parts)}." if parts else ""


def _heights(scenario: Scenario) -> list[str]:
    """Heights that the file leaves out."""
    told = tomllib.loads(scenario.text)
    parts = [] if "water_level" in told.get("tank", {}) else ["water level"]
    is_piled = scenario.rock.cover > 0 and "height" not in told.get("rock", {})
    return [*parts, *(["rock height"] if is_piled else [])]


def sexes_line(scenario: Scenario) -> str:
    """How often unsexed fish come out as a male with the females that keepers aim at."""
    by_wish: dict[str, list[tuple[str, str]]] = {}
    for one in stocked(scenario):
        males, females, unsexed = heads(scenario, one.key)
        if unsexed:
            wanted, odds = flagged.wanted_sexes(scenario, one)
            known = " with those sexed" if males + females else ""
            wish = f"at least 1 male and {many(wanted, 'female')}"
            fish = f"{_some(scenario, one, unsexed, 'unsexed ')}{known}"
            by_wish.setdefault(wish, []).append((fish, percent(odds)))
    found = [
        f"{wish}: {_few([f'{odds} for {fish}' for fish, odds in told], joint=', ')}"
        for wish, told in by_wish.items()
    ]
    return f"Chance of {_few(found)}." if found else ""


def left_line(scenario: Scenario) -> str:
    """What the model cannot judge of this tank."""
    asked = (flagged.water_flags, flagged.food_flags)
    abouts = {flag.text.partition(":")[0].lower() for of in asked for flag in of(scenario)}
    here = [f"{listed(sorted(abouts))} here (see --full)"] if abouts else []
    told = scenario.timeline.of(Spawning) or scenario.timeline.of(Holding)
    never = [one for one in _NEVER if not (told and one == "spawning")]
    return f"The model cannot judge: {', '.join([*here, *never])}."
