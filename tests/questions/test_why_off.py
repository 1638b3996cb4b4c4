"""Each mechanism switched off does what its table says, and leaves every other draw as it was."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from fake_trials import HOT, MILD
from fake_why import ONE_SPECIES, TEXT
from rockshy.analysis.measures.whom import FishGroup, asked_for
from rockshy.analysis.questions.why import mechanisms, off, stock_off
from rockshy.analysis.questions.why.mechanisms import (
    CROWDING,
    GROUND,
    LOOKS,
    SEXES,
    SHELTER,
    SIGHT,
    SIZE,
    TEMPER,
    Switches,
)
from rockshy.sim.fish.population import Draw, draw_individual, draw_traits, individuals
from rockshy.sim.rules.support.parameters import resolve
from rockshy.sim.run.drawing import draw_tank
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

HOTS = "males = 2\nfemales = 2"


def switches(text: str = TEXT, *, whom: str = MILD) -> Switches:
    scenario = parse(text, name="made-up.toml")
    return Switches(scenario, asked_for(scenario, whom))


def codes(made: Switches) -> set[str]:
    return {one.code for one in made.mechanisms}


def bodies(scenario: Scenario, trial: int) -> dict[str, Draw]:
    draw = draw_of(scenario, trial)
    traits = {
        key: draw_traits(kind, seed=scenario.run.seed, draw=draw, fixed=False)
        for key, kind in scenario.species.items()
    }
    return {
        one.label: draw_individual(one, traits[one.species], trial_seed=100 + trial)
        for one in individuals(scenario.stock)
    }


def drawn(scenario: Scenario, draw: int) -> dict[tuple[str, str], float]:
    return {
        (key, name): value
        for key, kind in scenario.species.items()
        for name, value in draw_traits(kind, seed=scenario.run.seed, draw=draw, fixed=False).items()
    }


def changed_traits(one: Scenario, two: Scenario) -> set[str]:
    """Names of the traits that any guess draws otherwise."""
    found = set()
    for draw in range(8):
        before, after = drawn(one, draw), drawn(two, draw)
        found |= {name for (key, name), value in before.items() if after[key, name] != value}
    return found


def test_everything_applies_to_a_mixed_tank_with_a_surplus_of_males() -> None:
    made = switches()
    assert codes(made) == {SIZE, LOOKS, SIGHT, GROUND, SHELTER, TEMPER, CROWDING, SEXES}
    assert made.left_out == ()
    assert len(set(made.mechanisms)) == 8
    assert made.without([]) == made.base


# ---- size


def test_size_off_makes_every_fish_the_mean_length_and_keeps_grown_fish_grown() -> None:
    made = switches()
    new = made.without([SIZE])
    mean = np.mean([off.middle_cm(made.base, one) for one in made.people])
    assert made.length_cm == pytest.approx(mean, abs=0.05)
    for trial in range(8):
        before, after = bodies(made.base, trial), bodies(new, trial)
        assert {one.length_cm for one in after.values()} == {made.length_cm}
        assert all(after[label].male == one.male for label, one in before.items())
        assert all(one.adult for one in after.values())
    assert changed_traits(made.base, new) <= {
        "depth_ratio", "maturity_cm", "length_max_male_cm", "length_max_female_cm",
    }  # fmt: skip


def test_size_off_leaves_bodies_as_deep() -> None:
    made = switches()
    new = made.without([SIZE])
    for key in (MILD, HOT):
        fish = [one for one in made.people if one.species == key]
        before = np.mean([off.middle_cm(made.base, one) for one in fish])
        depth = before * made.base.species[key].traits["depth_ratio"].value
        assert made.length_cm * new.species[key].traits["depth_ratio"].value == pytest.approx(depth)


def test_size_off_leaves_young_fish_young() -> None:
    text = TEXT.replace("males = 1\nfemales = 3", "unsexed = 4\nlength = [3, 4]")
    made = switches(text)
    assert made.length_cm > 8  # beyond the length of a grown duboisi
    for trial in range(8):
        before, after = bodies(made.base, trial), bodies(made.without([SIZE]), trial)
        assert {label: one.adult for label, one in before.items()} == {
            label: one.adult for label, one in after.items()
        }
    mixed = switches(TEXT + '\n[[stock]]\nspecies = "Tropheus duboisi"\nunsexed = 2\nlength = [3, 4]\n')
    size = next(one for one in mixed.mechanisms if one.code == SIZE)
    assert "count as grown" in size.off
    assert all(one.adult for one in bodies(mixed.without([SIZE]), 0).values())


def test_size_off_takes_the_largest_fish_and_young_ones() -> None:
    text = TEXT.replace("males = 1\nfemales = 3", "unsexed = 4\nlength = [3, 4]").replace(
        "males = 2\nfemales = 2", "males = 8\nlength = 28"
    )
    made = switches(text)
    for key, young in ((MILD, True), (HOT, False)):
        after = bodies(made.without([SIZE]), 1)
        assert {one.adult for label, one in after.items() if key in label} == {not young}


ONE_LENGTH = TEXT.replace("females = 3", "females = 3\nlength = 10").replace(HOTS, f"{HOTS}\nlength = 10")
PAIRS = TEXT.replace(HOT, "Julidochromis ornatus")


@pytest.mark.parametrize(
    ("text", "left_out", "reason"),
    [
        (ONE_LENGTH, {SIZE}, ("size", "all fish are of one length")),
        (ONE_SPECIES, {LOOKS, TEMPER, SEXES}, ("temper", "there is one species only")),
        (TEXT + "\n[parameters]\nlook_alike = 1\n", {LOOKS}, None),
        (TEXT.replace("males = 1\nfemales = 3", "males = 1").replace(HOTS, "males = 1"), {CROWDING}, None),
        (TEXT.replace(HOTS, "males = 1\nfemales = 2"), {SEXES}, None),
        (PAIRS, {SEXES}, None),  # which may be one to one
    ],
)
def test_a_mechanism_that_can_do_nothing_is_left_out(text, left_out, reason) -> None:
    made = switches(text)
    assert not codes(made) & left_out
    assert text != ONE_SPECIES or codes(made) == {SIZE, SIGHT, GROUND, SHELTER, CROWDING}
    assert reason is None or reason in {(one.name, one.reason) for one in made.left_out}
    assert SEXES in codes(switches(PAIRS.replace(HOTS, "males = 3\nfemales = 1")))


# ---- looks, sight, temper


def test_looks_off_flattens_the_choice_of_target() -> None:
    made = switches()
    for codes_off, flat in (([], False), ([LOOKS], True)):
        model = TankModel(made.without(codes_off), trial=0, draw=0)
        assert bool(np.ptp(model.shoal.pair.choice) == 0) is flat
        model.close()
    p, q = (resolve(made.without(some).parameters, seed=7, draw=3, fixed=False) for some in ([], [LOOKS]))
    assert [name for name in p.dtype.names if p[name] != q[name]] == ["look_alike"]


def test_sight_off_blocks_the_longer_views_and_no_way() -> None:
    made = switches()
    tanks = [draw_tank(made.without(some), trial=2, draw=2) for some in ([], [SIGHT])]
    before, after = (
        np.unpackbits(one.sight, axis=1, bitorder="little")[:, : len(one.xyz)].astype(bool) for one in tanks
    )
    distance = np.linalg.norm(tanks[0].xyz[:, None] - tanks[0].xyz[None], axis=2) * tanks[0].edge_cm
    assert before[distance > off.SIGHT_CM + 5].any()
    assert not after[distance > off.SIGHT_CM + 5].any()
    near = distance <= off.SIGHT_CM - 5
    assert (after[near] == before[near]).all()
    for name in ("xyz", "neighbour", "path", "refuge_mouth_cm"):
        assert (getattr(tanks[0], name) == getattr(tanks[1], name)).all()


def test_sight_does_not_apply_where_nobody_sees_farther() -> None:
    made = switches()
    short = off.with_parameter(made.base, "sight_cm", 30.0)
    assert SIGHT not in codes(Switches(short, made.whom))


def test_ground_off_leaves_nobody_any_claim() -> None:
    made = switches()
    for codes_off, claims in (([], True), ([GROUND], False)):
        with TankModel(made.without(codes_off), trial=0, draw=0) as model:
            model.advance_to(3600)
            assert (model.shoal.claims > 0).any() == claims
            assert claims or (model.shoal.fish.centre < 0).all()
    p, q = (resolve(made.without(some).parameters, seed=7, draw=3, fixed=False) for some in ([], [GROUND]))
    assert [name for name in p.dtype.names if p[name] != q[name]] == ["claim_s", "claim_beaten"]


def test_ground_does_not_apply_where_nobody_defends_any() -> None:
    peaceful = "".join(f'\n[species."{name}"]\ndefends = "none"\n' for name in (MILD, HOT))
    made = switches(TEXT + peaceful)
    assert ("ground", "no fish of this tank defends any ground") in {
        (one.name, one.reason) for one in made.left_out
    }


def test_temper_off_gives_the_others_the_temper_of_its_kind_and_nothing_else() -> None:
    made = switches()
    new = made.without([TEMPER])
    for name in off.TEMPERS:
        own, other = (new.species[key].traits[name] for key in (MILD, HOT))
        assert (own.value, own.low, own.high) == (other.value, other.low, other.high)
    assert new.species[MILD] == made.base.species[MILD]
    assert changed_traits(made.base, new) == set(off.TEMPERS)
    backwards = switches(whom=HOT).without([TEMPER])
    hot = made.base.species[HOT].traits["temper"]
    assert backwards.species[MILD].traits["temper"].low == hot.low


# ---- shelter


@pytest.mark.parametrize("others", [[], [SIZE], [CROWDING], [SIZE, CROWDING, SEXES]])
def test_shelter_off_has_a_crevice_for_each_fish_that_fits_it_in_every_tank(others: list[str]) -> None:
    made = switches()
    new = made.without([SHELTER, *others])
    people = individuals(new.stock)
    assert len(new.rock.crevices or ()) >= len(people)
    assert len(new.rock.crevices or ()) % len(people) == 0
    for trial in (0, 3, 6):
        draw = draw_of(new, trial)
        made_tank = draw_tank(new, trial=trial, draw=draw)
        model = TankModel(new, trial=trial, draw=draw, tank=made_tank)
        depths = np.sort(model.shoal.fish.depth_cm)[::-1]
        model.close()
        mouths = np.sort(made_tank.refuge_mouth_cm[~made_tank.refuge_corner])[::-1]
        assert (mouths[: len(depths)] >= depths).all()


def test_shelter_off_keeps_out_larger_fish_and_about_the_number_of_crevices() -> None:
    made = switches()
    mouths = [one.mouth_cm for one in made.without([SHELTER]).rock.crevices or ()]
    own = [off.deepest_cm(made.base, one) for one in made.people]
    assert set(mouths) == set(own)
    assert abs(len(mouths) - made.crevices) <= len(own) / 2 or len(mouths) == len(own)
    rock = made.without([SHELTER]).rock
    assert (rock.cover, rock.height_cm, rock.piles) == (
        made.base.rock.cover, made.base.rock.height_cm, made.base.rock.piles,
    )  # fmt: skip


def test_shelter_off_works_in_a_bare_tank_and_on_a_sketch() -> None:
    for rock in ("cover = 0.0\nheight = 0", 'sketch = ["3300", "0020"]'):
        made = switches(TEXT.replace("cover = 0.3\nheight = 20\npiles = 1", rock))
        new = made.without([SHELTER])
        assert len(new.rock.crevices or ()) >= 8
        assert (~draw_tank(new, trial=1, draw=1).refuge_corner).sum() == len(new.rock.crevices or ())


def test_clear_view_has_the_crevices_without_the_rock() -> None:
    made = switches()
    clear = made.clear_view()
    assert clear is not None
    made_tank = draw_tank(clear, trial=1, draw=1)
    assert len(made_tank.xyz) == made_tank.index.size  # no cell is rock
    assert (~made_tank.refuge_corner).sum() == round(made.crevices)
    assert switches(TEXT.replace("cover = 0.3\nheight = 20", "cover = 0.0\nheight = 0")).clear_view() is None


# ---- who is in the tank


def labels(scenario: Scenario) -> list[str]:
    return [one.label for one in individuals(scenario.stock)]


def test_crowding_off_leaves_every_second_fish_with_its_number() -> None:
    made = switches()
    assert labels(made.base)[::2] == labels(made.without([CROWDING]))
    kept = bodies(made.without([CROWDING]), 3)
    assert kept == {label: bodies(made.base, 3)[label] for label in kept}


@pytest.mark.parametrize(
    "whom", ["duboisi male 1", "duboisi female 2", "trewavasae males", "trewavasae female 2"]
)
def test_those_who_are_asked_about_stay_whatever_is_off(whom: str) -> None:
    made = switches(whom=whom)
    assert made.fish
    half = (len(made.whom.labels) + 1) // 2
    assert len(set(made.whom.labels) & set(labels(made.without([CROWDING])))) >= half
    names = [one.code for one in made.mechanisms]
    for k in range(len(names) + 1):
        for some in combinations(names, k):
            if SHELTER in some and SIZE in some:
                continue  # they move nobody
            assert set(made.fish) <= set(labels(made.without(some)))


def test_one_fish_of_a_kind_is_not_thinned_out() -> None:
    scenario = parse(TEXT, name="a.toml")
    for label in labels(scenario):
        made = Switches(scenario, FishGroup(label, (label,), label.rsplit(" ", 2)[0], ""))
        assert made.fish == (label,)


def test_sexes_off_replaces_surplus_males_by_females() -> None:
    made = switches(TEXT.replace("males = 2\nfemales = 2", "males = 5\nfemales = 1"))
    new = made.without([SEXES])
    assert len(labels(new)) == len(labels(made.base))
    assert [one for one in labels(new) if HOT in one] == [
        f"{HOT} male 1", f"{HOT} male 2", *(f"{HOT} female {k}" for k in range(1, 5)),
    ]  # fmt: skip
    assert [one for one in labels(new) if MILD in one] == [one for one in labels(made.base) if MILD in one]


def test_sexes_off_spares_the_males_that_are_asked_about() -> None:
    text = TEXT.replace("males = 2\nfemales = 2", "males = 4\nfemales = 2")
    scenario = parse(text, name="a.toml")
    label = f"{HOT} male 4"
    made = Switches(scenario, FishGroup(label, (label,), HOT, ""))
    assert label in labels(made.without([SEXES]))
    assert labels(made.without([SEXES])).count(label) == 1
    assert sum(" male " in one and HOT in one for one in labels(made.without([SEXES]))) == 2


def test_who_is_left_out_does_not_move_what_is_measured() -> None:
    text = TEXT.replace("males = 2\nfemales = 2", "males = 1\nday = 1")
    for whom in ("duboisi females", "trewavasae"):
        made = switches(text, whom=whom)
        new = made.without([CROWDING])
        begins = [one.last_change_day + one.run.settle_days for one in (made.base, new)]
        ends = [one.last_change_day + one.run.days for one in (made.base, new)]
        assert begins[0] == begins[1] and ends[0] == ends[1]


def test_the_table_names_every_mechanism_once() -> None:
    made = switches()
    assert {one.code for one in made.mechanisms} == set(mechanisms.TURN)
    assert all(one.off and one.because.startswith("because ") for one in made.mechanisms)
    assert stock_off.surplus(made.base, HOT) == 1
