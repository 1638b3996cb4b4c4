"""What was understood of a scenario, said back in plain words: the first half of ``rockshy check``.

Sentences only; every number comes from the scenario, from the tanks drawn (:mod:`.drawn`) or
from :mod:`rockshy.sim.fish.population`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from ....sim.fish.population import individuals
from ....sim.run.set_ups import draws_in, set_ups, watched
from ....sim.run.table import LEFT_ALONE, OWN_KIND
from ....sim.scenario.reading.limits import BELOW_SURFACE_CM, LIMITS, MOST_CELLS, MOST_FISH
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import Event, RockAnew, WhenSeen, say_days
from ....sim.scenario.timeline.again import FEW
from ....sim.scenario.units import say_length_cm, say_temperature_c, say_volume_l
from ....sim.species.species import TRAITS, WORDS
from ....sim.tank.tank import cell_counts
from ...document import Document, Text, deeper, document, flush, section
from ...document.plain import between, capital, many, percent
from ...document.typed import Typed
from .drawn import DrawnTanks
from .stocked import fish_sentences

_TYPED = ("Dates", "Alternatives")  # the fish themselves say both names


def understood(scenario: Scenario, drawn: DrawnTanks) -> Document:
    """The whole of it, section by section."""
    parts: dict[str, Sequence[Text]] = {
        "Question": [scenario.question] if scenario.question else [],
        "Tank": tank_sentences(scenario, drawn),
        "Rock": rock_sentences(scenario, drawn),
        "Fish": fish_sentences(scenario, drawn),
        "Dates": date_sentences(scenario),
        "Set by you": own_values(scenario),
        "How it will be run": run_sentences(scenario),
        "Alternatives": alternative_sentences(scenario),
        "Limits": [limits_sentence(scenario)],
    }
    head = flush(f"{scenario.title}: this is what was understood.")
    typed = Typed(scenario)
    made = ((name, section(name, *texts)) for name, texts in parts.items() if texts)
    return document(head, *(typed.section(one) if name in _TYPED else one for name, one in made))


# ---- tank and rock


def tank_sentences(scenario: Scenario, drawn: DrawnTanks) -> list[str]:
    """Sides, water, temperature and cells."""
    tank = scenario.tank
    nx, ny, nz = cell_counts(tank)
    warm = "how lively the fish are does not depend on it here"
    if tank.temperature_effect:
        warm = "the fish are livelier when warmer, as you asked"
    return [
        f"{say_length_cm(tank.length_cm)} long, {say_length_cm(tank.width_cm)} front to back, "
        f"{say_length_cm(tank.height_cm)} high; the water stands {say_length_cm(tank.water_cm)} deep.",
        water_sentence(scenario, drawn),
        f"{say_temperature_c(tank.temperature_c)}; {warm}.",
        f"Fish move from cell to cell of {say_length_cm(tank.cell_cm)}: {nx} along, {ny} front to back, "
        f"{nz} up.",
    ]


def water_sentence(scenario: Scenario, drawn: DrawnTanks) -> str:
    """Litres up to the water level, and what rock, wood and equipment leave of them."""
    tank = scenario.tank
    full = tank.length_cm * tank.width_cm * tank.water_cm / 1000.0
    left = between([one.water_litres for one in drawn.rock], say_volume_l)
    return f"{say_volume_l(full)} up to the water level; {left} of water left after rock, wood and equipment."


def rock_sentences(scenario: Scenario, drawn: DrawnTanks) -> list[Text]:
    """Where the rock comes from, what it leaves, and crevices by size."""
    rock = scenario.rock
    if rock.sketch:
        lines = [
            f"Stands as in your sketch, {len(rock.sketch)} rows of {len(rock.sketch[0])} digits, each step "
            f"{say_length_cm(rock.sketch_step_cm)}; stones of about {say_length_cm(rock.piece_cm)}."
        ]
    elif rock.cover > 0:
        lines = [
            f"Piled anew for every simulated tank: {percent(rock.cover)} of the floor, up to "
            f"{_height(scenario)}, {many(rock.piles, 'pile')}, stones of about "
            f"{say_length_cm(rock.piece_cm)}."
        ]
    else:
        lines = ["No rock."]
    anew = (
        "all of it is taken out and laid anew: fish lose their territories and the shelters they trust, not "
        "what they learnt of each other."
    )
    lines += [f"On day {one.day:g} {anew}" for one in scenario.timeline.of(RockAnew)]
    for kind in dict.fromkeys(one.kind for one in rock.objects):
        number = sum(one.kind == kind for one in rock.objects)
        named = many(number, "piece") + " of wood" if kind == "wood" else many(number, kind)
        lines.append(f"{named} to hide behind.")
    return [*lines, *crevice_sentences(scenario, drawn)]


def _height(scenario: Scenario) -> str:
    """How high the rock is; where no height is given it is built so that it ends close below the surface."""
    tank, high = scenario.tank, scenario.rock.height_cm
    below = f", {say_length_cm(BELOW_SURFACE_CM)} below the surface"
    return (
        f"{say_length_cm(high)} high{below if math.isclose(tank.water_cm - high, BELOW_SURFACE_CM) else ''}"
    )


def crevice_sentences(scenario: Scenario, drawn: DrawnTanks) -> list[Text]:
    """How many crevices, and how high their mouths are."""
    if drawn.most == 0:
        return ["No crevices: a chased fish has only the corners of the glass and the surface to make for."]
    if drawn.fewest == drawn.most and len(set(drawn.mouths_cm)) == 1:
        said = f"Crevices: {drawn.most} in every simulated tank. By the height of the mouth:"
    else:
        tanks = many(len(drawn.rock), "simulated tank")
        said = (
            f"Crevices: {between([drawn.fewest, drawn.most], str)} in the first {tanks}; nobody has counted "
            "yours, so their number and sizes are drawn (assumption). By the height of the mouth:"
        )
    lines: list[Text] = [said]
    edges = drawn.rock[0].mouth_edges_cm
    for k, (low, high) in enumerate(pairwise(edges)):
        counts = [one.mouth_counts[k] for one in drawn.rock]
        if any(counts):
            lines.append(deeper(f"{_mouth(low, high)}: {between(counts, str)}"))
    return lines


def _mouth(low: float, high: float) -> str:
    if low == 0:
        return f"under {say_length_cm(high)}"
    if high == float("inf"):
        return f"{say_length_cm(low)} and over"
    return between([low, high], say_length_cm)


# ---- own values, run, limits


def own_values(scenario: Scenario) -> list[str]:
    """Traits and parameters that the keeper set in place of the project's."""
    lines = []
    for species in scenario.species.values():
        for trait in species.traits.values():
            if trait.source == "keeper":
                unit = "" if trait.unit == "relative" else f" {trait.unit}"
                spread = f" ({trait.low:g} to {trait.high:g})" if trait.low < trait.high else ""
                meaning = TRAITS[trait.name].meaning
                lines.append(f"{species.key}: {trait.name} = {trait.value:g}{unit}{spread}, the {meaning}")
        for word in species.words.values():
            if word.source == "keeper":
                lines.append(f"{species.key}: {word.name} = {word.value}, the {WORDS[word.name].meaning}")
    return lines + [f"parameter {name} = {value:g}" for name, value in scenario.parameters.items()]


def date_sentences(scenario: Scenario) -> list[str]:
    """What happens after the first morning, in order, and when measuring begins and ends."""
    begins, ends = scenario.measured_days
    told: dict[str, list[float]] = {}
    for one in scenario.timeline.events:
        if one.dated and (one.day > 0 or one.key):
            told.setdefault(_event_sentence(one), []).append(one.day)
    rules = [f"Rule of thumb: {one.words()}." for one in scenario.timeline.of(WhenSeen)]
    if not told:
        return rules
    dated = [
        (day, when, said)
        for said, days in told.items()
        for day, when in _whens([one for one in days if one < ends])
    ]
    dated += [(begins, f"day {begins:g}", "measuring begins."), (ends, f"day {ends:g}", "the run ends.")]
    return [*(f"{capital(when)}: {said}" for _, when, said in sorted(dated, key=lambda one: one[0])), *rules]


def _whens(days: Sequence[float]) -> list[tuple[float, str]]:
    """Each day, or the first with all of them in words where there are many."""
    if len(days) <= FEW:
        return [(day, say_days([day])) for day in days]
    return [(days[0], say_days(days))]


def _event_sentence(event: Event) -> str:
    said = event.words()
    if event.settle == type(event).settle:
        return f"{said}."
    return f"{said}; " + ("the fish settle anew." if event.settle else "the fish need not settle anew.")


def run_sentences(scenario: Scenario) -> list[str]:
    """What is watched, how long, how often."""
    run = scenario.run
    watch, reason = watched(scenario)
    last, (begins, ends) = scenario.last_change_day, scenario.measured_days
    decisive = [one for one in scenario.timeline.events if one.settle and one.day == last]
    anew = any(isinstance(one, RockAnew) for one in decisive)
    is_in = any(one.newcomers for one in decisive)
    since = "the rock is laid anew" if anew else "the last fish is in" if is_in else "the fish settle anew"
    sentences = (
        f"Watched as the mild species: {watch} ({reason}).",
        f"From day {last:g}, when {since}, to day {ends:g}. Up to day {begins:g} the fish settle and "
        f"nothing is measured; then {_measured(scenario)}, at {scenario.lit_hours:g} lit hours a day.",
        f"{many(run.trials, 'simulated tank')}, from seed {run.seed}. {_guesses_sentence(scenario)}",
        _controls_sentence(scenario, watch),
    )
    typed = Typed(scenario)
    return [typed.sentence(one) for one in sentences]


def _measured(scenario: Scenario) -> str:
    """How many lit hours are measured: whole ones, as the model lays out its time."""
    asked = (scenario.run.days - scenario.run.settle_days) * scenario.lit_hours
    hours = max(1, math.floor(asked + 1e-9))
    said = f"{many(hours, 'lit hour')} {'is' if hours == 1 else 'are'}"
    return said if math.isclose(asked, hours) else f"{said} (whole hours are counted)"


def _guesses_sentence(scenario: Scenario) -> str:
    run = scenario.run
    if run.fixed:
        return "No guesses: the middle of every range is taken for what nobody has measured."
    guesses = many(draws_in(run), "guess", "guesses")
    where = "from the whole of their ranges" if run.wide else "none that published work rules out"
    about = "what nobody has measured, such as how far a chase frightens a fish"
    return f"They share out {guesses} at {about}: {where}."


def _controls_sentence(scenario: Scenario, watch: str) -> str:
    names = {OWN_KIND: f"{watch} with its own kind only", LEFT_ALONE: "the same fish when nobody attacks"}
    beside = [names[name] for name in set_ups(scenario) if name in names]
    return f"Beside each, in the same tank: {' and '.join(beside)}." if beside else "No controls beside them."


def alternative_sentences(scenario: Scenario) -> list[Text]:
    """How many alternatives there are, each with its changes."""
    if not scenario.alternatives:
        return []
    number = many(len(scenario.alternatives), "alternative")
    lines: list[Text] = [f"{number} to this tank; rockshy compare runs each with the same fish and guesses."]
    for one in scenario.alternatives:
        lines.append(f'"{one.name}"')
        lines += map(deeper, one.changes or ("nothing changed",))
    return lines


def limits_sentence(scenario: Scenario) -> str:
    """How much of what a scenario may be this one uses."""
    cells = math.prod(cell_counts(scenario.tank))
    side, trials = LIMITS["tank.length"], LIMITS["run.trials"]
    return (
        f"{len(individuals(scenario.stock))} of at most {MOST_FISH} fish; {cells:,} of at most "
        f"{MOST_CELLS:,} cells; {scenario.run.trials:,} of at most {trials.high:,.0f} simulated tanks; "
        f"tanks from {between([side.low, side.high], say_length_cm)} long. The model is of rock-dwelling "
        "cichlids of Lakes Malawi and Tanganyika and of days to weeks; it knows growth in life alone, "
        "spawning where an event asks for it, and no illness."
    )
