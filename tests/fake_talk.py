"""Made-up decks for a talk: no tank is simulated; where fish sat is strewn about by a fixed draw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
from fake_compare import BASE, FEWER, LATER, NOTHING, Rule, club, per_hot_male, tables
from fake_trials import HOT, MILD
from rockshy.analysis.talk.deck import Deck
from rockshy.analysis.talk.facts import Facts, facts_of
from rockshy.analysis.talk.slides import deck_of
from rockshy.analysis.talk.spots import POINTS, Seat, Spots
from rockshy.sim.fish.population import individuals
from rockshy.sim.run.set_ups import watched
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

ARGUMENT = '[argument]\nsome_say = "Fewer hot males, more peace."\nothers_say = "One is as bad as three."\n'


def argued(*alternatives: str, base: str = BASE) -> Scenario:
    """The club's tank with two camps."""
    at = base.index("[tank]")
    return club(*alternatives, base=base[:at] + ARGUMENT + base[at:])


def one_fish() -> Scenario:
    """The club's tank with nobody in it but a male of the mild species."""
    text = BASE.replace("males = 1\nfemales = 2", "males = 1")
    return parse(text[: text.rindex("[[stock]]")] + text[text.index("[run]") :], name="alone.toml")


def spots(scenario: Scenario, trial: int) -> Spots:
    """A tank in which every fish sits somewhere."""
    rng = np.random.default_rng([7, trial])
    tank, (watch, _) = scenario.tank, watched(scenario)
    x = np.linspace(0, tank.length_cm, POINTS)
    high = 0.5 * tank.height_cm * np.abs(np.sin(3 * x / tank.length_cm + trial))
    fish = tuple(
        Seat(
            one.species,
            one.label,
            9.0,
            float(rng.uniform(2, tank.length_cm - 2)),
            float(rng.uniform(1, tank.width_cm - 1)),
            float(rng.uniform(2, tank.water_cm - 2)),
        )
        for one in individuals(scenario.stock)
    )
    places = tuple((one.x_cm, one.z_cm) for one in fish if one.species == watch)
    outline = tuple((float(a), float(b)) for a, b in zip(x, high, strict=True))
    return Spots(trial, outline, places, (0.5,) * len(places), fish)


def strips(scenario: Scenario, *, trials: int = 20, places: Sequence[int] = (0,)) -> dict[int, list[Spots]]:
    every = [scenario, *(one.scenario for one in scenario.alternatives)]
    return {place: [spots(every[place], trial) for trial in range(min(trials, 20))] for place in places}


def facts(scenario: Scenario, *, trials: int = 20, lost: Rule = per_hot_male, luck: float = 0.05) -> Facts:
    places = (0, 1) if scenario.alternatives else (0,)
    some = tables(scenario, trials=trials, lost=lost, luck=luck)
    return facts_of(scenario, some, strips(scenario, trials=trials, places=places))


def deck(scenario: Scenario, **how: object) -> Deck:
    return deck_of(facts(scenario, **how), film="film.html")  # type: ignore[arg-type]


@cache
def whole() -> Deck:
    """Every kind of slide: an argument, four set-ups, reasons and rock."""
    from fake_rock import answered, hollow
    from fake_why import SEXES, SHELTER, SIZE, played

    def worth(on: frozenset[str], trial: int) -> tuple[float, float]:
        lost = 0.1 + 0.2 * (SIZE in on) + 0.1 * (SHELTER in on) - 0.05 * (SEXES in on)
        return lost + 0.01 * (trial % 3), 3.0 * lost

    plan, rock = answered(hollow)
    return deck_of(
        facts(argued(FEWER, NOTHING, LATER)), why=played(worth), rock=(rock, plan.grid), film="film.html"
    )


@cache
def placed_json(*, long: bool = False) -> dict[str, object]:
    """``place.json`` of the ready room, searched in made-up tanks; or of one with long names."""
    from fake_placing import FakeTanks
    from rockshy.analysis.questions.place.answer import answer_of
    from rockshy.analysis.questions.place.design import plan_of
    from rockshy.analysis.questions.place.files import whole_json
    from rockshy.analysis.questions.place.reading import parse as parse_room
    from rockshy.scenarios import rooms

    text = rooms.text("club-room").replace("[limits]", "[run]\ntrials = 32\n[limits]")
    if long:
        text = text.replace("Show tank", "The show tank" * 4).replace(" trio", f" trio {8 * 'of old '}")
    return whole_json(answer_of(plan_of(parse_room(text, name="club")), FakeTanks()))


@cache
def planned() -> Deck:
    """A fish room, one with long names, and a wish list, each searched in made-up tanks."""
    from fake_best import World, wish_list
    from rockshy.analysis.questions.best.answer import answer_of
    from rockshy.analysis.questions.best.design import plan_of
    from rockshy.analysis.questions.best.files import whole_json
    from rockshy.analysis.questions.best.front import front_of
    from rockshy.analysis.questions.place.rack import rack_of

    asked = wish_list()
    found = answer_of(plan_of(asked, asked.wanted, tanks=400), World(seed=1))
    plans = (rack_of(placed_json()), rack_of(placed_json(long=True)), front_of(whole_json(found)))
    return deck_of(facts(argued(FEWER)), plans=plans)


def crowded(*, species: int = 6, fish: int = 40, name: str = "") -> Scenario:
    """Six species, forty fish; the title, question and names of alternatives are ``name`` where given."""
    from rockshy.sim.species.species import library

    keys = [MILD, HOT, *(key for key in library() if key not in (MILD, HOT))][:species]
    each = [fish // species + (k < fish % species) for k in range(species)]
    stock = "".join(
        f'[[stock]]\nspecies = "{key}"\nmales = {n // 2}\nfemales = {n - n // 2}\n'
        for key, n in zip(keys, each, strict=True)
    )
    text = BASE[: BASE.index("[[stock]]")] + stock + BASE[BASE.index("[run]") :]
    scenario = argued(FEWER_OF_MANY, NOTHING, base=text)
    if not name:
        return scenario
    others = tuple(replace(one, name=f"{k} {name}"[:300]) for k, one in enumerate(scenario.alternatives))
    return replace(
        scenario, title=name[:300], question=name[:300], argument=(name[:300],) * 2, alternatives=others
    )


FEWER_OF_MANY = f'[[alternative]]\nname = "no hot males"\nrecount = [{{ species = "{HOT}", males = 0 }}]\n'
