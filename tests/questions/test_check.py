"""``rockshy check``: what is said back, what is flagged and what that rests on, which cautions apply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from rockshy import scenarios
from rockshy.analysis.document import WIDTH, as_text, flush
from rockshy.analysis.document.cautions import cautions
from rockshy.analysis.document.plain import between
from rockshy.analysis.questions.check import flags as flagging
from rockshy.analysis.questions.check.checked import checked as report
from rockshy.analysis.questions.check.drawn import DrawnTanks, draw_few
from rockshy.analysis.questions.check.flags import PRACTICE, Flag, flags, odds_of_sexes
from rockshy.analysis.questions.check.stocked import length_range_cm, most_at_once
from rockshy.analysis.questions.check.understood import understood
from rockshy.sim.fish.population import draw_individual, draw_traits, individuals
from rockshy.sim.run.drawing import draw_tank
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.set_ups import guess_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import ObjectSpec, RockSpec, Scenario, StockRow
from rockshy.sim.scenario.units import say_length_cm
from rockshy.sim.species.overrides import with_overrides
from rockshy.sim.species.sources import is_known
from rockshy.sim.species.species import library

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


def tank(stock: str, *, body: str = TANK, more: str = "") -> Scenario:
    return parse(f"{body}{stock}{more}", name="my-tank.toml")


def row(species: str, **values: object) -> str:
    lines = "\n".join(f"{key} = {value!r}" for key, value in values.items())
    return f'[[stock]]\nspecies = "{species}"\n{lines}\n'


def raised(scenario: Scenario, about: str) -> list[Flag]:
    found = flags(scenario, draw_few(scenario, tanks=2))
    return [one for one in found if one.text.startswith(f"{about}:")]


def one(scenario: Scenario, about: str) -> Flag:
    found = raised(scenario, about)
    assert len(found) == 1, found
    return found[0]


def said(scenario: Scenario) -> str:
    return " ".join(as_text(understood(scenario, draw_few(scenario))).split())


# ---- understood


def test_the_tank_is_said_in_both_systems_with_the_water_left() -> None:
    text = said(tank(row("Tropheus moorii", males=1)))
    assert "183 cm (72 in) long, 61 cm (24 in) front to back, 60 cm (24 in) high" in text
    assert "water stands 55 cm (22 in) deep" in text
    assert "25 C (77 F)" in text
    # 6 ft x 2 ft x 55 cm = 182.88 x 60.96 x 55 cm = 613.16 L; US and imperial gallons by the exact factors
    assert "613 L (162 US gal, 135 imperial gal) up to the water level" in text
    left = draw_few(tank(row("Tropheus moorii", males=1))).rock
    low, high = min(one.water_litres for one in left), max(one.water_litres for one in left)
    assert 0.7 * 613 < low < high < 613
    assert f"{low:.0f} to {high:.0f} L" in text


def test_a_sketch_and_listed_crevices_are_said_as_the_keepers_own() -> None:
    body = TANK.split("[rock]")[0] + (
        '[rock]\nsketch = ["1122", "0000"]\nsketch_step = 10\n[[rock.crevice]]\nfrom_left = 90\n'
        "from_front = 40\nmouth = 7\ndepth = 15\n"
    )
    text = said(tank(row("Tropheus moorii", males=1), body=body))
    assert "as in your sketch, 2 rows of 4 digits, each step 10 cm (3.9 in)" in text
    assert "Crevices: 1 in every simulated tank" in text
    assert "6 to 8 cm (2.4 to 3.1 in): 1" in text


def test_a_bare_tank_is_said_to_have_nothing_but_corners() -> None:
    text = said(tank(row("Tropheus moorii", males=1), body=TANK.split("[rock]")[0]))
    assert "No rock." in text
    assert "only the corners of the glass" in text


def test_rock_said_is_the_rock_of_the_run() -> None:
    scenario = tank(row("Tropheus moorii", males=1))
    drawn = draw_few(scenario, tanks=3)
    for trial, mouths in enumerate(drawn.mouths_cm):
        built = draw_tank(scenario, trial=trial, guess=guess_of(scenario, trial))
        assert list(mouths) == list(built.refuge_mouth_cm[~built.refuge_corner])
    assert len(set(drawn.mouths_cm)) == 3


def test_crevices_that_admit_a_body_are_counted_by_their_mouth() -> None:
    drawn = DrawnTanks((), ((2.0, 4.0, 6.0), (5.0,)))
    assert drawn.admitting(4.0) == (1, 2)
    assert drawn.admitting(7.0) == (0, 0)
    assert (drawn.fewest, drawn.most) == (1, 3)


def test_fish_are_said_by_species_sex_and_day() -> None:
    stock = row("Tropheus moorii", males=1, females=3, holding=1, length="10-12 cm") + row(
        "Eretmodus cyanostictus", unsexed=4, day=3, out=5.5
    )
    text = said(tank(stock))
    assert "8 fish in all" in text
    assert "Tropheus moorii, blunthead cichlid (Lake Tanganyika; eats algae" in text
    assert "1 male, 3 females (1 of them holding), from the start, to the end" in text
    assert "total length 10 to 12 cm (3.9 to 4.7 in), each drawn between; adult" in text
    assert "4 unsexed (male or female by the toss of a coin" in text
    assert "added on day 3, taken out on day 5.5" in text
    assert "35 to 60 % of the greatest known (assumption)" in text


@pytest.mark.parametrize("fixed", [False, True])
def test_drawn_lengths_lie_in_the_range_that_is_said(fixed: bool) -> None:
    scenario = tank(row("Tropheus moorii", males=20, females=20, unsexed=20))
    species = scenario.species["Tropheus moorii"]
    for sex in ("male", "female", "unsexed"):
        low, high = length_range_cm(scenario.stock[0], species, sex=sex, fixed=fixed)
        drawn = [
            draw_individual(
                fish, draw_traits(species, seed=1, guess=guess, fixed=fixed), trial_seed=3
            ).length_cm
            for guess in range(20)
            for fish in individuals(scenario.stock)
            if fish.sex == sex
        ]
        assert low <= min(drawn) < max(drawn) <= high
        assert max(drawn) - min(drawn) > 0.7 * (high - low)


def test_what_the_keeper_set_is_said_back() -> None:
    more = '[species."Tropheus moorii"]\ntemper = { value = 0.5, low = 0.4, high = 0.7 }\nmating = "pair"\n'
    text = said(tank(row("Tropheus moorii", males=1), more=more + "[parameters]\nattack_rate_s = 0.02\n"))
    assert "temper = 0.5 (0.4 to 0.7)" in text
    assert "mating = pair, the mating system" in text
    assert "parameter attack_rate_s = 0.02" in text


def test_watching_length_trials_and_limits_are_said() -> None:
    stock = row("Tropheus moorii", males=1, day=2) + row("Eretmodus cyanostictus", males=1)
    text = said(tank(stock, more="[run]\ndays = 4\nsettle = 1.5\nlit_hours = 12\ntrials = 40\nseed = 9\n"))
    assert "Watched as the mild species: Eretmodus cyanostictus (the mildest" in text
    assert "From day 2, when the last fish is in, to day 6. Up to day 3.5" in text
    assert "then 30 lit hours are, at 12 lit hours a day" in text
    assert "40 simulated tanks, from seed 9. They share out 16 guesses" in text
    assert "Eretmodus cyanostictus with its own kind only and the same fish when nobody attacks" in text
    assert "2 of at most 120 fish" in text


@pytest.mark.parametrize(
    ("settle", "words"),
    [(0.85, "then 1 lit hour is (whole hours are counted), at 10"), (0.8, "then 2 lit hours are, at 10")],
)
def test_whole_hours_are_measured_as_the_model_does(settle: float, words: str) -> None:
    scenario = tank(row("Tropheus moorii", males=1), more=f"[run]\ndays = 1\nsettle = {settle}\n")
    assert words in said(scenario)
    with TankModel(scenario) as model:
        assert f"then {model.hours} lit hour" in said(scenario)


def test_a_fixed_run_without_controls_says_so() -> None:
    text = said(tank(row("Tropheus moorii", males=1), more="[run]\nfixed = true\ncontrols = false\n"))
    assert "Nothing that is unmeasured is drawn" in text
    assert "No controls" in text


def test_most_at_once_counts_only_those_that_meet() -> None:
    stock = row("Tropheus moorii", males=2, out=3) + row("Tropheus duboisi", males=3, day=3)
    assert most_at_once(tank(stock)) == 3
    assert most_at_once(tank(stock.replace("out = 3", "out = 4"))) == 5


# ---- flags


def test_water_that_does_not_meet_is_flagged_with_the_ends_that_do_not() -> None:
    mixed = tank(row("Tropheus moorii", males=1) + row("Maylandia zebra", males=1))
    found = raised(mixed, "Water")
    assert any("pH of at least 8.8, Maylandia zebra from at most 8.6" in flag.text for flag in found)
    assert not raised(tank(row("Tropheus moorii", males=1) + row("Tropheus duboisi", males=1)), "Water")


def test_a_tank_too_cold_for_a_species_is_flagged() -> None:
    assert (
        "20 C is outside the 24 to 29 C"
        in one(tank(row("Tropheus moorii", males=1), body=TANK.replace("77 F", "20 C")), "Temperature").text
    )
    assert not raised(tank(row("Tropheus moorii", males=1)), "Temperature")


def test_foods_are_flagged_only_when_none_is_shared() -> None:
    assert (
        "eats algae, Labidochromis caeruleus invertebrates"
        in one(tank(row("Tropheus moorii", males=1) + row("Labidochromis caeruleus", males=1)), "Food").text
    )
    # algae and plankton against algae: they share one
    assert not raised(tank(row("Maylandia zebra", males=1) + row("Maylandia mbenjii", males=1)), "Food")


def test_look_alikes_share_a_pattern_word_whichever_sex_wears_it() -> None:
    both = tank(row("Tropheus moorii", males=1) + row("Tropheus duboisi", males=1))
    flag = one(both, "Look-alikes")
    assert '"dark-banded"' in flag.text
    assert "Pauers2008" in flag.rests_on
    her = with_overrides(library()["Tropheus duboisi"], {"pattern_male": "black"})
    assert raised(replace(both, species={**both.species, her.key: her}), "Look-alikes")
    none = with_overrides(her, {"pattern_female": "black"})
    assert not raised(replace(both, species={**both.species, her.key: none}), "Look-alikes")


def test_species_of_one_genus_may_cross() -> None:
    flag = one(tank(row("Tropheus moorii", males=1) + row("Tropheus duboisi", males=1)), "Hybrids")
    assert flag.rests_on == PRACTICE
    assert not raised(
        tank(row("Tropheus moorii", males=1) + row("Eretmodus cyanostictus", males=1)), "Hybrids"
    )


@pytest.mark.parametrize(
    ("males", "females", "flagged"), [(1, 1, True), (1, 2, False), (2, 3, True), (0, 2, False)]
)
def test_too_few_females_for_a_male_of_a_harem(males: int, females: int, flagged: bool) -> None:
    # at least two to three females for a male: common practice, no source
    scenario = tank(row("Tropheus moorii", males=males, females=females))
    assert bool(raised(scenario, "Sex ratio")) == flagged


def test_rows_of_a_species_count_together_for_its_sexes() -> None:
    stock = row("Tropheus moorii", males=1) + row("Tropheus moorii", females=2, day=1)
    assert not raised(tank(stock), "Sex ratio")


def test_a_pair_species_is_flagged_by_partners_and_not_by_sex_ratio() -> None:
    odd = tank(row("Eretmodus cyanostictus", males=2, females=1))
    assert "leave 1 without a partner" in one(odd, "Partners").text
    assert not raised(odd, "Sex ratio")
    assert not raised(tank(row("Eretmodus cyanostictus", males=1, females=1)), "Partners")
    assert not raised(tank(row("Eretmodus cyanostictus", males=1, unsexed=3)), "Partners")


def test_one_of_a_group_species_alone_is_flagged() -> None:
    assert raised(tank(row("Neolamprologus pulcher", females=1)), "Partners")
    assert not raised(tank(row("Neolamprologus pulcher", females=2)), "Partners")


@pytest.mark.parametrize(("n", "ways"), [(4, 4), (6, 41), (8, 218), (10, 967), (12, 4016)])
def test_odds_of_a_male_and_three_females_among_unsexed(n: int, ways: int) -> None:
    # computed: of the 2^n ways, all but those with no male and those with fewer than three females
    assert odds_of_sexes(n, males=1, females=3) == pytest.approx(ways / 2**n, rel=1e-12)


def test_known_sexes_count_towards_the_odds() -> None:
    assert odds_of_sexes(3, males=0, females=1) == pytest.approx(7 / 8)
    assert odds_of_sexes(2, males=-1, females=-2) == pytest.approx(1.0)
    assert odds_of_sexes(2, males=2, females=1) == 0.0
    flag = one(tank(row("Tropheus moorii", males=1, females=2, unsexed=3)), "Unsexed")
    assert "1 male and 3 females in 88 %" in flag.text
    assert "all of one sex in 25 %" in flag.text
    assert "assumption" in flag.rests_on


def test_a_pair_species_needs_one_of_each_sex() -> None:
    assert (
        "1 male and 1 female in 88 %" in one(tank(row("Eretmodus cyanostictus", unsexed=4)), "Unsexed").text
    )


@pytest.mark.parametrize(
    ("cm", "words"), [(90, "bare floor"), (110, "usual minimum"), (130, "prefer"), (150, "")]
)
def test_tank_length_is_held_against_common_practice(cm: int, words: str) -> None:
    body = TANK.replace('"6 ft"', str(cm))
    found = raised(tank(row("Maylandia zebra", males=1, females=3), body=body), "Length")
    assert [flag.rests_on for flag in found] == ([PRACTICE] if words else [])
    assert not words or words in found[0].text
    assert not raised(tank(row("Eretmodus cyanostictus", males=1, females=1), body=body), "Length")


def test_fewer_crevices_than_fish_are_flagged() -> None:
    bare = TANK.split("[rock]")[0]
    flag = raised(tank(row("Eretmodus cyanostictus", males=1, females=1), body=bare), "Crevices")
    assert [one.rests_on for one in flag] == [PRACTICE]
    assert not raised(tank(row("Eretmodus cyanostictus", males=1, females=1)), "Crevices")


def test_a_species_that_outgrows_every_crevice_is_flagged() -> None:
    small = TANK.replace("20 cm", "4 cm")
    found = raised(tank(row("Petrochromis trewavasae", males=1, length=6), body=small), "Crevices")
    assert any("no crevice drawn lets in a Petrochromis trewavasae" in flag.text for flag in found)


@pytest.mark.parametrize(("out", "words"), [(9, "run ends on day 2"), (0.5, "before measuring"), (1.5, "")])
def test_dates_out_of_the_measured_time_are_flagged(out: float, words: str) -> None:
    stock = row("Tropheus moorii", males=1, females=3) + row("Tropheus duboisi", males=1, out=out)
    found = raised(tank(stock), "Dates")
    assert len(found) == bool(words)
    assert not words or words in found[0].text


def every_stock() -> Sequence[Scenario]:
    stock = tuple(StockRow(key, unsexed=2) for key in library())
    base = tank(row("Tropheus moorii", males=1))
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
    bare = tank(row("Tropheus moorii", males=1), body=TANK.split("[rock]")[0])
    heater = ObjectSpec("heater", 1, 1, 1, 3, 3, 20)
    assert about(bare) == {"sick fish", "law"}
    assert about(tank(row("Tropheus moorii", males=1))) == {"sick fish", "law", "rock"}
    assert about(replace(bare, rock=RockSpec(objects=(heater,)))) == {"sick fish", "law", "power"}
    assert about(replace(bare, rock=RockSpec(sketch=("00", "00")))) == {"sick fish", "law"}
    assert about(replace(bare, rock=RockSpec(sketch=("00", "01")))) == {"sick fish", "law", "rock"}
    assert about(tank(row("Tropheus moorii", males=1, day=1))) == {"sick fish", "law", "rock", "power"}


def test_the_report_cites_what_its_flags_rest_on_and_keeps_to_its_width() -> None:
    stock = row("Tropheus moorii", males=2, females=1) + row("Tropheus duboisi", unsexed=3)
    text = as_text(report(tank(stock)))
    assert "Weir2011: Weir LK" in text
    assert "Pauers2008: Pauers MJ" in text
    assert "Imre2002" not in text
    assert max(len(line) for line in text.split("\n")) <= WIDTH


def test_without_flags_no_verdict_is_given() -> None:
    body = TANK.replace("0.3", "0.5")
    scenario = tank(row("Tropheus moorii", males=1, females=3, length=10), body=body)
    assert not flags(scenario, draw_few(scenario))
    assert "That is no verdict on the fish" in as_text(report(scenario))


def test_ranges_are_said_once_for_each_unit() -> None:
    assert between([4, 2, 3], str) == "2 to 4"
    assert between([2.0, 2.0], say_length_cm) == "2 cm (0.8 in)"
    assert between([2.5, 5.0], say_length_cm) == "2.5 to 5 cm (1 to 2 in)"


def test_a_number_is_never_parted_from_its_unit() -> None:
    for blanks in range(20):
        lines = as_text(flush("x" * (80 + blanks) + " 12 cm and so on")).split("\n")
        assert sum("12 cm" in line for line in lines) == 1


def test_flags_are_asked_of_every_kind() -> None:
    asked = {name for name in vars(flagging) if name.endswith("_flags")}
    assert all(name in flagging.flags.__code__.co_names for name in asked)
