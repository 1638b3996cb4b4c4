"""Learning and losing ground; the crevice at its centre, and with whom it is shared; home; company."""

import numpy as np
import pytest
from rockshy.sim.fish.population import derive
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, RETREATING, SHELTERED, SWIMMING
from rockshy.sim.rules.claims import HELD, claim_at, fade_claims, fought_over, stay
from rockshy.sim.rules.notice import home_of, look_home, look_round
from rockshy.sim.rules.territory import claims_most, keeps_centre, settle_at, take_centre
from staging import OWN, at, claim, hole, holes, kind, needs_compiling, put, row, stage, steps, still

OTHER = "Scena altera"
TWO = holes(hole(7.5, depth_cm=10.0), hole(52.5, depth_cm=20.0))
NOBODY = -1


def claimant(*others, rock=TWO, own=None, kinds=(), claims=0.8, **parameters):
    """Fish 0, which claims all the tank so much if it defends, with two holes, the right one deeper."""
    model = stage(own or row(males=1), *others, rock=rock, kinds=kinds, parameters=parameters)
    still(model)
    put(model, 0, 6, 3, 1)
    if model.shoal.fish.ground[0] >= 0:
        claim(model, 0, claims)
    return model


def takes(model, i=0):
    take_centre(i, model.water, model.shoal)
    return int(model.shoal.fish.centre[i])


# ---- ground


@pytest.mark.parametrize("cover", [0.0, 0.5])
def test_unharmed_time_at_a_place_is_learnt_the_faster_the_more_cover_it_has(cover):
    """To 1 - 1/e in claim_s without cover (closed form). Source: StampsKrishnan2001; assumption (cover)."""
    model = claimant(claims=0.0, claim_s=500.0, notice_s=5.0)
    here = model.shoal.fish.cell[0]
    model.water.cells.cover[here] = cover
    for _ in range(100):
        stay(0, *at(model))
    assert claim_at(0, here, model.water, model.shoal) == pytest.approx(1 - np.exp(-(1 + cover)))
    assert np.count_nonzero(model.shoal.claims) == 1, "one block, no other"


@pytest.mark.parametrize("doing", [SHELTERED, FLEEING, CHASING, CONTESTING, RETREATING])
def test_only_a_fish_that_swims_about_learns_the_place(doing):
    model = claimant(claims=0.0)
    model.shoal.fish.doing[0] = doing
    stay(0, *at(model))
    assert not model.shoal.claims.any()
    model.shoal.fish.doing[0] = SWIMMING
    stay(0, *at(model))
    assert model.shoal.claims.any()


def test_a_fish_that_defends_nothing_claims_nothing():
    model = claimant(own=row(females=1))
    stay(0, *at(model))
    for to in (1.0, 0.0):
        fought_over(0, model.shoal.fish.cell[0], 0.3, to, model.water, model.shoal)
    assert not model.shoal.claims.any()
    model.shoal.claims[:] = 1.0
    assert claim_at(0, 0, model.water, model.shoal) == 0.0


@pytest.mark.parametrize("cut", [1, 360])
def test_claims_fade_in_one_step_or_in_many(cut):
    """To 1/e in claim_fade_h (closed form). Source: assumption."""
    model = claimant(claim_fade_h=6.0)
    for _ in range(cut):
        fade_claims(model.shoal, model.parameters, 6 * 3600.0 / cut)
    assert model.shoal.claims[0] == pytest.approx(0.8 / np.e)


@needs_compiling
def test_in_a_run_claims_fade_where_nobody_is():
    model = claimant(claim_fade_h=2.0, attack_rate_s=0.0)
    model.shoal.fish.cell[0] = model.tank.index[0, 0, 0]
    steps(model, 3600)
    far = model.water.cells.block[model.tank.index[11, 0, 7]]
    assert model.shoal.claims[0, far] == pytest.approx(0.8 * np.exp(-0.5))
    assert model.shoal.claims[0].max() > 0.9


def test_what_is_lost_and_gained_lies_within_a_block_of_the_loser():
    model = claimant(row(males=1), claims=0.5)
    put(model, 1, 6, 3, 3)
    claim(model, 1, 0.5)
    for fish, to in ((1, 0.0), (0, 1.0)):
        fought_over(fish, model.shoal.fish.cell[1], 0.4, to, model.water, model.shoal)
    place = model.tank.xyz // 2  # blocks of 10 cm of cells of 5 cm
    near_by = (abs(place - place[model.shoal.fish.cell[1]]) <= 1).all(axis=1)
    block = model.water.cells.block
    assert model.shoal.claims[1, block] == pytest.approx(np.where(near_by, 0.3, 0.5))
    assert model.shoal.claims[0, block] == pytest.approx(np.where(near_by, 0.7, 0.5))


# ---- the crevice at the centre


def test_the_deepest_crevice_that_it_holds_becomes_its_centre():
    """Source: MarkertArnegard2007 (caves); assumption."""
    assert takes(claimant()) == 1
    left = claimant()
    claim(left, 0, HELD - 0.01, left.tank.refuge_cell[1])
    assert takes(left) == 0
    assert takes(claimant(claims=HELD - 0.01)) == NOBODY


def test_a_crevice_that_is_too_small_claimed_more_by_another_or_a_mere_corner_is_not_taken():
    assert takes(claimant(rock=holes(hole(52.5, mouth_cm=2.9)))) == NOBODY
    assert takes(claimant(rock=holes(hole(52.5, mouth_cm=3.1)))) == 0
    for theirs, wanted in ((0.79, 1), (0.81, 0)):
        model = claimant(row(males=1))
        claim(model, 1, theirs, model.tank.refuge_cell[1])
        assert claims_most(0, 1, model.water, model.shoal) == (wanted == 1)
        assert takes(model) == wanted
    assert takes(claimant(rock=holes())) == NOBODY


def test_of_crevices_as_deep_as_each_other_the_one_of_the_lowest_number_is_taken():
    assert takes(claimant(rock=holes(hole(7.5), hole(52.5)))) == 0


def test_what_a_fish_claimed_that_was_taken_out_counts_for_nobody():
    model = claimant(row(males=1))
    claim(model, 1, 1.0)
    assert takes(model) == NOBODY
    model.take_out(model.agents[1])
    assert takes(model) == 1


@pytest.mark.parametrize("why", ["claims it enough", "another claims it more", "claims it hardly any longer"])
def test_an_owner_keeps_its_crevice_while_it_claims_the_place_most_and_enough(why):
    model = claimant(row(males=1))
    settle_at(0, 1, model.shoal)
    mouth = model.tank.refuge_cell[1]
    claim(model, 1, 0.9 if why == "another claims it more" else 0.7, mouth)
    if why == "claims it hardly any longer":
        claim(model, 0, HELD - 0.01, mouth)
        claim(model, 1, 0.0, mouth)
    look_home(0, *at(model))
    kept = why == "claims it enough"
    assert model.shoal.fish.centre[0] == (1 if kept else NOBODY)
    assert (home_of(0, model.water, model.shoal) == 1) == kept
    keeps_centre(1, model.water, model.shoal)
    assert model.shoal.fish.centre[1] == NOBODY


@needs_compiling
@pytest.mark.parametrize(
    ("own", "defends", "capable"),
    [
        (row(males=1), "male", True),
        (row(males=1), "female", False),
        (row(females=1), "male", False),
        (row(females=1), "both", True),
        (row(females=1, holding=1), "both", False),
        (row(males=1, length=3.9), "male", False),
        (row(males=1), "none", False),
    ],
)
def test_who_may_own_a_territory(own, defends, capable):
    """Adults of the sexes that defend, but no female that holds eggs."""
    model = claimant(own=own, kinds=(kind(defends=defends),), claims=1.0)
    model.run()
    assert bool(model.shoal.fish.capable[0]) == capable
    assert (model.shoal.fish.ground[0] == 0) == capable
    assert (model.ledger.hours.owner.sum() > 0) == capable


# ---- with whom it is shared


def pair(**how):
    """A pair of which both defend, the male the longer, and which of the two leads."""
    model = stage(
        row(males=1, length=9.0), row(females=1, length=8.0), rock=TWO,
        kinds=(kind(mating="pair", defends="both"),), **how,
    )  # fmt: skip
    still(model)
    return model


def test_a_pair_shares_its_ground_and_its_centre_and_loses_them_together():
    model = pair()
    fish = model.shoal.fish
    assert fish.leads.tolist() == [True, False]
    assert fish.ground.tolist() == [0, 0]
    put(model, 1, 2, 2, 2)
    stay(1, *at(model))
    assert claim_at(0, fish.cell[1], model.water, model.shoal) > 0.0, "what she learns is known to him"
    claim(model, 1, 0.9)
    take_centre(0, model.water, model.shoal)
    assert fish.centre.tolist() == [1, 1]
    claim(model, 0, HELD - 0.01)
    keeps_centre(1, model.water, model.shoal)
    assert fish.centre.tolist() == [1, 1], "it is for the leader to lose"
    keeps_centre(0, model.water, model.shoal)
    assert fish.centre.tolist() == [NOBODY, NOBODY]


def test_mates_share_ground_and_a_new_leader_takes_it_over():
    """She has grown longer than he is: what the pair claims it claims as before."""
    model = pair()
    fish = model.shoal.fish
    claim(model, 0, 0.9, model.tank.refuge_cell[1])
    settle_at(0, 1, model.shoal)
    fish.bond[:], fish.length_cm[1] = NOBODY, 9.5
    before = fish.ground.copy()
    derive(model.shoal, [1], model.traits, model.scenario, model.parameters)
    assert before.tolist() == [0, 0] and fish.ground.tolist() == [1, 1]
    assert fish.leads.tolist() == [False, True]
    mouth = model.tank.refuge_cell[1]
    assert claim_at(0, mouth, model.water, model.shoal) == claim_at(1, mouth, model.water, model.shoal) == 0.9
    keeps_centre(1, model.water, model.shoal)
    assert fish.centre.tolist() == [1, 1]


@needs_compiling
def test_a_group_has_one_leader_one_ground_and_one_centre():
    model = claimant(own=row(males=2, females=2), kinds=(kind(mating="group", defends="both"),), claims=1.0)
    model.shoal.claims[:] = 1.0
    steps(model, 1200)
    fish = model.shoal.fish
    assert fish.leads.sum() == 1
    assert len(set(fish.bond)) == len(set(fish.ground)) == len(set(fish.centre)) == 1
    assert fish.ground[0] == np.flatnonzero(fish.leads)[0]
    assert fish.centre[0] >= 0


def test_males_of_a_harem_species_own_one_by_one():
    model = claimant(own=row(males=2, females=1))
    assert (model.shoal.fish.bond == NOBODY).all()
    assert model.shoal.fish.leads.all()
    assert model.shoal.fish.ground.tolist() == [0, 1, NOBODY]
    settle_at(0, 1, model.shoal)
    assert model.shoal.fish.centre.tolist() == [1, NOBODY, NOBODY]


@needs_compiling
def test_with_one_site_one_male_of_three_owns_it():
    """Source: Hofmann1999 (where sites are few most males go without)."""
    model = stage(row(males=3), rock=holes(hole(32.5)), parameters={"claim_s": 100.0})
    model.run()
    owners = model.ledger.hours.owner
    assert owners.sum() > 0
    assert (owners.sum(axis=0) <= 3600 + 60).all(), "never two, but for the look at which it changes"


# ---- home and company


def test_home_is_the_centre_else_the_most_trusted_shelter_else_the_last_one():
    model = claimant()
    fish, memory = model.shoal.fish, model.shoal.memory
    assert home_of(0, model.water, model.shoal) == NOBODY
    fish.refuge[0] = 3
    assert home_of(0, model.water, model.shoal) == 3
    memory[0, 4] = 0.04
    assert home_of(0, model.water, model.shoal) == 3, "hardly trusted at all"
    memory[0, [0, 5]] = 0.3, 0.6
    assert home_of(0, model.water, model.shoal) == 5
    fish.centre[0] = 1
    assert home_of(0, model.water, model.shoal) == 1


@pytest.mark.parametrize("company", [0.0, 0.4, 1.0])
def test_company_draws_towards_ones_own_kind_in_view(company):
    """A pull of company_pull x company in the direction of the others, together."""
    model = stage(
        row(males=1), row(females=2), row(OTHER, males=1),
        kinds=(kind(company=company),), parameters={"company_pull": 0.5},
    )  # fmt: skip
    for i, place in enumerate([(2, 2, 2), (5, 2, 2), (2, 6, 2), (2, 2, 7)]):
        put(model, i, *place)
    look_round(*at(model))
    fish = model.shoal.fish
    pull = np.array([fish.pull_x[0], fish.pull_y[0], fish.pull_z[0]])
    assert pull == pytest.approx(0.5 * company * np.array([3, 4, 0]) / 5)


@needs_compiling
def test_company_keeps_a_kind_together_in_a_run():
    """Mean distance of six peaceful fish: less with company than without."""
    apart = []
    for company in (0.0, 1.0):
        model = stage(
            row(females=6), kinds=(kind(company=company, temper=0.0),), days=0.2, keep=True,
            parameters={"company_pull": 1.0},
        )  # fmt: skip
        places = []
        for _ in range(120):
            for _ in range(30):
                model.step()
            places.append(model.tank.xyz[model.shoal.fish.cell])
        pairs = np.linalg.norm(np.array(places)[:, :, None] - np.array(places)[:, None], axis=3)
        apart.append(pairs.sum() / (120 * 30))
    assert apart[1] < 0.9 * apart[0]
    assert {OWN} == set(model.scenario.species)


# ---- dominants


def test_dominants_are_those_judged_clearly_stronger_by_temper_and_by_how_far_one_trespasses():
    model = stage(
        row(females=1, length=7.0), row(OTHER, males=1, length=12.0),
        row("Scena lenis", males=1, length=12.0), row("Scena par", males=1, length=7.0),
        kinds=(kind("Scena lenis", temper=0.3),), parameters={"temper_odds": 0.0},
    )  # fmt: skip
    for i, x in enumerate((2, 5, 5, 3)):
        put(model, i, x, 4, 4)
    look_round(*at(model))
    radius = model.shoal.pair.radius_cm[1, 0]
    weight = 1 / (1 + (15.0 / (model.parameters.individual_distance * radius)) ** 4)
    assert model.shoal.fish.dominants[0] == pytest.approx((1.0 + 0.3) * weight)
    look_round(*at(model))
    assert model.shoal.fish.dominants[1] == 0.0


def test_a_dominant_counts_from_farther_on_ground_that_it_claims():
    model = stage(row(females=1, length=7.0), row(OTHER, males=1, length=12.0))
    put(model, 0, 2, 4, 4)
    put(model, 1, 7, 4, 4)
    found = []
    for claims in (0.0, 0.9):
        claim(model, 1, claims)
        look_round(*at(model))
        found.append(model.shoal.fish.dominants[0])
    assert 0.0 < found[0] < found[1]
