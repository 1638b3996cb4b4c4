"""``rockshy check``: what is said back, what is flagged and what that rests on, which cautions apply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from rockshy import scenarios
from rockshy.analysis.document import WIDTH, as_text, flush
from rockshy.analysis.document.cautions import cautions
from rockshy.analysis.document.plain import between
from rockshy.analysis.questions.check.checked import checked as report
from rockshy.analysis.questions.check.drawn import DrawnTanks, draw_few
from rockshy.analysis.questions.check.flags import PRACTICE, Flag, flags, odds_of_sexes
from rockshy.analysis.questions.check.stocked import length_range_cm, most_at_once
from rockshy.analysis.questions.check.understood import understood
from rockshy.sim.fish.population import draw_individual, draw_traits, individuals
from rockshy.sim.run.drawing import draw_tank
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import ObjectSpec, RockSpec, Scenario, StockRow
from rockshy.sim.scenario.units import say_length_cm
from rockshy.sim.species.overrides import with_overrides
from rockshy.sim.species.sources import is_known
from rockshy.sim.species.species import library

MOORII, DUBOISI, GOBY = "Tropheus moorii", "Tropheus duboisi", "Eretmodus cyanostictus"
ZEBRA = "Maylandia zebra"
TANK = """[tank]
length = "6 ft"
front_to_back = "2 ft"
height = "60 cm"
water_level = "55 cm"
temperature = "77 F"
[rock]
cover = 0.3
height = 30
piles = 2
piece_size = "20 cm"
"""
BARE = TANK.split("[rock]")[0]


def tank(stock: str, *, body: str = TANK, more: str = "") -> Scenario:
    return parse(f"{body}{stock}{more}", name="my-tank.toml")


def row(species: str, **values: object) -> str:
    lines = "\n".join(f"{key} = {value!r}" for key, value in values.items())
    return f'[[stock]]\nspecies = "{species}"\n{lines}\n'


def raised(scenario: Scenario, about: str) -> list[Flag]:
    found = flags(scenario, draw_few(scenario, tanks=2))
    return [one for one in found if one.text.startswith(f"{about}:")]


def said(scenario: Scenario) -> str:
    return " ".join(as_text(understood(scenario, draw_few(scenario))).split())


# ---- understood


def test_the_tank_is_said_in_both_systems_with_the_water_left() -> None:
    text = said(tank(row(MOORII, males=1)))
    assert "183 cm (72 in) long, 61 cm (24 in) front to back, 60 cm (24 in) high" in text
    assert "water stands 55 cm (22 in) deep" in text
    assert "25 C (77 F)" in text
    # 6 ft x 2 ft x 55 cm = 182.88 x 60.96 x 55 cm = 613.16 L; US and imperial gallons by the exact factors
    assert "613 L (162 US gal, 135 imperial gal) up to the water level" in text
    left = draw_few(tank(row(MOORII, males=1))).rock
    low, high = min(one.water_litres for one in left), max(one.water_litres for one in left)
    assert 0.7 * 613 < low < high < 613
    assert f"{low:.0f} to {high:.0f} L" in text


def test_rock_nearly_to_the_surface_is_said_so() -> None:
    text = said(tank(row(MOORII, males=1), body=TANK.replace("height = 30\n", "")))
    assert "up to 50 cm (20 in) high, 5 cm (2 in) below the surface, 2 piles" in text
    assert "up to 30 cm (12 in) high, 2 piles" in said(tank(row(MOORII, males=1)))


def test_a_sketch_and_listed_crevices_are_said_as_the_keepers_own() -> None:
    body = BARE + (
        '[rock]\nsketch = ["1122", "0000"]\nsketch_step = 10\n[[rock.crevice]]\nfrom_left = 90\n'
        "from_front = 40\nmouth = 7\ndepth = 15\n"
    )
    text = said(tank(row(MOORII, males=1), body=body))
    assert "as in your sketch, 2 rows of 4 digits, each step 10 cm (3.9 in)" in text
    assert "Crevices: 1 in every simulated tank" in text
    assert "6 to 8 cm (2.4 to 3.1 in): 1" in text
    bare = said(tank(row(MOORII, males=1), body=BARE))
    assert "No rock." in bare and "only the corners of the glass" in bare


def test_rock_said_is_the_rock_of_the_run() -> None:
    scenario = tank(row(MOORII, males=1))
    drawn = draw_few(scenario, tanks=3)
    for trial, mouths in enumerate(drawn.mouths_cm):
        built = draw_tank(scenario, trial=trial, draw=draw_of(scenario, trial))
        assert list(mouths) == list(built.refuge_mouth_cm[~built.refuge_corner])
    assert len(set(drawn.mouths_cm)) == 3


def test_crevices_that_admit_a_body_are_counted_by_their_mouth() -> None:
    drawn = DrawnTanks((), ((2.0, 4.0, 6.0), (5.0,)))
    assert drawn.admitting(4.0) == (1, 2)
    assert drawn.admitting(7.0) == (0, 0)
    assert (drawn.fewest, drawn.most) == (1, 3)


def test_fish_are_said_by_species_sex_and_day() -> None:
    holding = row(MOORII, males=1, females=3, holding=1, length="10-12 cm")
    text = said(tank(holding + row(GOBY, unsexed=4, day=3, out=5.5)))
    assert "8 fish in all" in text
    assert "Tropheus moorii, of Lake Tanganyika; eats algae" in text
    assert "1 male, 3 females (1 of them holding), from the start, to the end" in text
    assert "total length 10 to 12 cm (3.9 to 4.7 in), each drawn between; adult" in text
    assert "4 unsexed (male or female by the toss of a coin" in text
    assert "added on day 3, taken out on day 5.5" in text
    assert "35 to 60 % of the greatest known (assumption)" in text


@pytest.mark.parametrize("fixed", [False, True])
def test_drawn_lengths_lie_in_the_range_that_is_said(fixed: bool) -> None:
    scenario = tank(row(MOORII, males=20, females=20, unsexed=20))
    species = scenario.species[MOORII]
    for sex in ("male", "female", "unsexed"):
        low, high = length_range_cm(scenario.stock[0], species, sex=sex, fixed=fixed)
        guesses = [draw_traits(species, seed=1, draw=draw, fixed=fixed) for draw in range(20)]
        fish = [one for one in individuals(scenario.stock) if one.sex == sex]
        drawn = [draw_individual(one, own, trial_seed=3).length_cm for own in guesses for one in fish]
        assert low <= min(drawn) < max(drawn) <= high
        assert max(drawn) - min(drawn) > 0.7 * (high - low)


def test_what_the_keeper_set_is_said_back() -> None:
    more = '[species."Tropheus moorii"]\ntemper = { value = 0.5, low = 0.4, high = 0.7 }\nmating = "pair"\n'
    text = said(tank(row(MOORII, males=1), more=more + "[parameters]\nattack_rate_s = 0.02\n"))
    assert "temper = 0.5 (0.4 to 0.7)" in text
    assert "mating = pair, the mating system" in text
    assert "parameter attack_rate_s = 0.02" in text


def test_watching_length_trials_and_limits_are_said() -> None:
    stock = row(MOORII, males=1, day=2) + row(GOBY, males=1)
    text = said(tank(stock, more="[run]\ndays = 4\nsettle = 1.5\nlit_hours = 12\ntrials = 40\nseed = 9\n"))
    assert "Watched as the mild species: Eretmodus cyanostictus (the mildest" in text
    assert "From day 2, when the last fish is in, to day 6. Up to day 3.5" in text
    assert "then 30 lit hours are, at 12 lit hours a day" in text
    assert "40 simulated tanks, from seed 9. They share out 40 guesses" in text
    assert "Eretmodus cyanostictus with its own kind only and the same fish when nobody attacks" in text
    assert "2 of at most 120 fish" in text


@pytest.mark.parametrize(
    ("settle", "words"),
    [(0.85, "then 1 lit hour is (whole hours are counted), at 10"), (0.8, "then 2 lit hours are, at 10")],
)
def test_whole_hours_are_measured_as_the_model_does(settle: float, words: str) -> None:
    scenario = tank(row(MOORII, males=1), more=f"[run]\ndays = 1\nsettle = {settle}\n")
    assert words in said(scenario)
    with TankModel(scenario) as model:
        assert f"then {model.hours} lit hour" in said(scenario)


def test_a_fixed_run_without_controls_says_so() -> None:
    text = said(tank(row(MOORII, males=1), more="[run]\nfixed = true\ncontrols = false\n"))
    assert "No guesses: the middle of every range" in text
    assert "No controls" in text


def test_most_at_once_counts_only_those_that_meet() -> None:
    stock = row(MOORII, males=2, out=3) + row(DUBOISI, males=3, day=3)
    assert most_at_once(tank(stock)) == 3
    assert most_at_once(tank(stock.replace("out = 3", "out = 4"))) == 5


# ---- flags

ONE_MOORII, ONE_DUBOISI, ONE_ZEBRA = (row(key, males=1) for key in (MOORII, DUBOISI, ZEBRA))
HAREM = row(MOORII, males=1, females=3)
PAIR = row(GOBY, males=1, females=1)


@pytest.mark.parametrize(
    ("about", "scenario", "said"),
    [
        ("Water", tank(ONE_MOORII + ONE_ZEBRA), "pH of at least 8.8, Maylandia zebra from at most 8.6"),
        ("Water", tank(ONE_MOORII + ONE_DUBOISI), ""),
        (
            "Temperature",
            tank(ONE_MOORII, body=TANK.replace("77 F", "20 C")),
            "20 C is outside the 24 to 29 C",
        ),
        ("Temperature", tank(ONE_MOORII), ""),
        (
            "Food",
            tank(ONE_MOORII + row("Labidochromis caeruleus", males=1)),
            "eats algae, Labidochromis caeruleus invertebrates",
        ),
        # algae and plankton against algae: they share one
        ("Food", tank(ONE_ZEBRA + row("Maylandia mbenjii", males=1)), ""),
        ("Look-alikes", tank(ONE_MOORII + ONE_DUBOISI), 'both wear "dark-banded"'),
        ("Hybrids", tank(ONE_MOORII + ONE_DUBOISI), "belong to one genus, Tropheus"),
        ("Hybrids", tank(ONE_MOORII + PAIR), ""),
        # at least two to three females for a male of a harem: common practice, no source
        ("Sex ratio", tank(row(MOORII, males=1, females=1)), "1 male and 1 female."),
        ("Sex ratio", tank(row(MOORII, males=2, females=3)), "2 males and 3 females."),
        ("Sex ratio", tank(row(MOORII, males=1, females=2)), ""),
        ("Sex ratio", tank(row(MOORII, females=2)), ""),
        ("Sex ratio", tank(ONE_MOORII + row(MOORII, females=2, day=1)), ""),  # rows count together
        ("Partners", tank(row(GOBY, males=2, females=1)), "leave 1 without a partner"),
        ("Sex ratio", tank(row(GOBY, males=2, females=1)), ""),
        ("Partners", tank(PAIR), ""),
        ("Partners", tank(row(GOBY, males=1, unsexed=3)), ""),
        ("Partners", tank(row("Neolamprologus pulcher", females=1)), "and this is one alone"),
        ("Partners", tank(row("Neolamprologus pulcher", females=2)), ""),
        ("Unsexed", tank(row(MOORII, males=1, females=2, unsexed=3)), "1 male and 3 females in 88 %"),
        ("Unsexed", tank(row(MOORII, males=1, females=2, unsexed=3)), "all of one sex in 25 %"),
        ("Unsexed", tank(row(GOBY, unsexed=4)), "1 male and 1 female in 88 %"),
        ("Crevices", tank(PAIR, body=BARE), "Crevices: 0 in the simulated tank with the fewest, for 2 fish"),
        ("Crevices", tank(PAIR), ""),
        (
            "Crevices",
            tank(row("Petrochromis trewavasae", males=1, length=6), body=TANK.replace("20 cm", "4 cm")),
            "no crevice drawn lets in a Petrochromis trewavasae",
        ),
        ("Dates", tank(HAREM + row(DUBOISI, males=1, out=9)), "run ends on day 2"),
        ("Dates", tank(HAREM + row(DUBOISI, males=1, out=0.5)), "before measuring"),
        ("Dates", tank(HAREM + row(DUBOISI, males=1, out=1.5)), ""),
    ],
)
def test_what_is_flagged_and_what_is_not(about: str, scenario: Scenario, said: str) -> None:
    found = raised(scenario, about)
    assert any(said in flag.text for flag in found) if said else not found


def test_look_alikes_share_a_pattern_word_whichever_sex_wears_it() -> None:
    both = tank(ONE_MOORII + ONE_DUBOISI)
    her = with_overrides(library()[DUBOISI], {"pattern_male": "black"})
    assert raised(replace(both, species={**both.species, her.key: her}), "Look-alikes")
    none = with_overrides(her, {"pattern_female": "black"})
    assert not raised(replace(both, species={**both.species, her.key: none}), "Look-alikes")


def test_odds_of_sexes_among_unsexed() -> None:
    # computed: of the 2^n ways, all but those with no male and those with fewer than three females
    for n, ways in {4: 4, 6: 41, 8: 218, 10: 967, 12: 4016}.items():
        assert odds_of_sexes(n, males=1, females=3) == pytest.approx(ways / 2**n, rel=1e-12)
    assert odds_of_sexes(3, males=0, females=1) == pytest.approx(7 / 8)
    assert odds_of_sexes(2, males=-1, females=-2) == pytest.approx(1.0)
    assert odds_of_sexes(2, males=2, females=1) == 0.0


@pytest.mark.parametrize(
    ("cm", "words"), [(90, "bare floor"), (110, "usual minimum"), (130, "prefer"), (150, "")]
)
def test_tank_length_is_held_against_common_practice(cm: int, words: str) -> None:
    body = TANK.replace('"6 ft"', f'"{cm} cm"')
    found = raised(tank(row(ZEBRA, males=1, females=3), body=body), "Length")
    assert [flag.rests_on for flag in found] == ([PRACTICE] if words else [])
    assert not words or words in found[0].text
    assert not raised(tank(PAIR, body=body), "Length")


def every_stock() -> Sequence[Scenario]:
    stock = tuple(StockRow(key, unsexed=2) for key in library())
    base = tank(row(MOORII, males=1))
    return [
        replace(base, stock=stock, species=library()),
        *(scenarios.read(name) for name in scenarios.names()),
    ]


def test_every_flag_rests_on_something_that_can_be_looked_up() -> None:
    words = (PRACTICE, "computed (binomial)", "that each is male", "your own dates", "aggression rises")
    for scenario in every_stock():
        found = flags(scenario, draw_few(scenario, tanks=1))
        for flag in found:
            parts = [part.strip() for part in flag.rests_on.split(";")]
            assert all(is_known(part) or part.startswith(words) for part in parts), flag
    assert is_known("Weir2011")


def test_nothing_is_ever_called_safe_or_compatible() -> None:
    for scenario in every_stock():
        text = as_text(report(scenario)).lower()
        assert not any(word in text for word in ("safe", "compatible", "recommend", "fully stocked"))


# ---- cautions and layout


def about(scenario: Scenario) -> set[str]:
    return {caution.about for caution in cautions(scenario)}


def test_cautions_apply_where_they_belong() -> None:
    bare = tank(row(MOORII, males=1), body=BARE)
    heater = ObjectSpec("heater", 1, 1, 1, 3, 3, 20)
    assert about(bare) == {"sick fish", "law"}
    assert about(tank(row(MOORII, males=1))) == {"sick fish", "law", "rock"}
    assert about(replace(bare, rock=RockSpec(objects=(heater,)))) == {"sick fish", "law", "power"}
    assert about(replace(bare, rock=RockSpec(sketch=("00", "00")))) == {"sick fish", "law"}
    assert about(replace(bare, rock=RockSpec(sketch=("00", "01")))) == {"sick fish", "law", "rock"}
    assert about(tank(row(MOORII, males=1, day=1))) == {"sick fish", "law", "rock", "power"}


def test_the_report_cites_what_its_flags_rest_on_and_keeps_to_its_width() -> None:
    stock = row(MOORII, males=2, females=1) + row(DUBOISI, unsexed=3)
    text = as_text(report(tank(stock)))
    assert "Weir2011: Weir LK" in text
    assert "Pauers2008: Pauers MJ" in text
    assert "Imre2002" not in text
    assert max(len(line) for line in text.split("\n")) <= WIDTH


def test_without_flags_no_verdict_is_given() -> None:
    body = TANK.replace("0.3", "0.5")
    scenario = tank(row(MOORII, males=1, females=3, length=10), body=body)
    assert not flags(scenario, draw_few(scenario))
    assert "That is no verdict on the fish" in as_text(report(scenario))


def test_ranges_are_said_once_for_each_unit_which_is_never_parted_from_its_number() -> None:
    assert between([4, 2, 3], str) == "2 to 4"
    assert between([2.0, 2.0], say_length_cm) == "2 cm (0.8 in)"
    assert between([2.5, 5.0], say_length_cm) == "2.5 to 5 cm (1 to 2 in)"
    for blanks in range(20):
        lines = as_text(flush("x" * (80 + blanks) + " 12 cm and so on")).split("\n")
        assert sum("12 cm" in line for line in lines) == 1
