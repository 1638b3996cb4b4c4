"""Claiming a crevice: who may, which one, and with whom it is shared; being drawn home; company."""

import numpy as np
import pytest
from rockshy.sim.rules.notice import home_of, notice
from rockshy.sim.rules.territory import claim_territory, is_owned, leave_territory, settle_at, worth_of_site
from staging import OWN, at, hole, holes, kind, near, needs_compiling, put, row, stage, still

OTHER = "Scena altera"
TWO = holes(hole(7.5, depth_cm=10.0), hole(52.5, depth_cm=20.0))
NOBODY = -1


def claimant(*others, rock=TWO, own=None, kinds=(), **parameters):
    """Fish 0 in view of both holes, the right one deeper; it looks for a crevice at every look."""
    model = stage(
        own or row(males=1), *others, rock=rock, kinds=kinds, parameters={"claim_s": 1e-6, **parameters}
    )
    still(model)
    put(model, 0, 6, 3, 1)
    return model


def claims(model, i=0):
    claim_territory(i, 5, *at(model))
    return int(model.shoal.fish.centre[i])


def test_the_best_crevice_is_the_better_hidden_and_the_deeper():
    """cover + depth / 30 cm, nobody else being near. Source: MarkertArnegard2007 (caves); assumption."""
    model = claimant()
    worth = [worth_of_site(0, k, *at(model)) for k in (0, 1)]
    cover = model.tank.cover[model.tank.refuge_cell[:2]]
    assert worth == pytest.approx(cover + np.array([10.0, 20.0]) / 30.0)
    assert claims(model) == 1


def test_a_crevice_that_is_too_small_out_of_view_owned_or_a_mere_corner_is_not_claimed():
    assert claims(claimant(rock=holes(hole(52.5, mouth_cm=2.9)))) == NOBODY
    assert claims(claimant(rock=holes(hole(52.5, mouth_cm=3.1)))) == 0
    blind = claimant()
    blind.water.sight[:] = 0
    assert claims(blind) == NOBODY
    owned = claimant(row(females=1, length=6.0))
    owned.shoal.fish.centre[1] = 1
    assert is_owned(1, owned.shoal)
    assert claims(owned) == 0
    corners = claimant(rock=holes())
    corners.water.cells.cover[:] = 0.5  # however well hidden
    assert claims(corners) == NOBODY


def test_the_centre_of_a_fish_that_was_taken_out_is_free():
    model = claimant(row(females=1, length=6.0))
    model.shoal.fish.centre[1] = 1
    model.take_out(model.agents[1])
    assert not is_owned(1, model.shoal)
    assert claims(model) == 1


def test_a_stronger_owner_near_a_crevice_speaks_against_it_a_weaker_one_does_not():
    """Source: KohdaTanida1996 (similar owners keep apart)."""
    near_by = holes(hole(7.5), hole(47.5, depth_cm=20.0), hole(57.5, depth_cm=20.0))
    for length, wanted in ((11.5, 0), (7.0, 1)):
        rival = row(males=1, length=length)
        model = claimant(rival, rock=near_by, kinds=(kind(radius_cm=12.0),), claim_rivals=3.0)
        model.shoal.fish.centre[1] = 2
        assert claims(model) == wanted


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
    model = claimant(own=own, kinds=(kind(defends=defends),))
    model.run()
    assert bool(model.shoal.fish.capable[0]) == capable
    assert (model.ledger.hours.owner.sum() > 0) == capable


def test_claims_are_looked_for_at_their_rate():
    """Chance 1 - exp(-5 s / claim_s) a look; 4 standard errors."""
    model = claimant(claim_s=20.0)
    found = np.zeros(3000, bool)
    for tick in range(3000):
        model.shoal.fish.centre[0] = NOBODY
        claim_territory(0, tick, *at(model))
        found[tick] = model.shoal.fish.centre[0] >= 0
    chance = -np.expm1(-0.25)
    assert found.mean() == near(chance, 3000)


def test_a_pair_shares_its_centre_and_gives_it_up_together():
    model = claimant(own=row(males=1, females=1), kinds=(kind(mating="pair", defends="both"),))
    fish = model.shoal.fish
    assert fish.leads.sum() == 1
    leader = int(np.flatnonzero(fish.leads)[0])
    settle_at(leader, 1, model.shoal)
    assert fish.centre.tolist() == [1, 1]
    assert leave_territory(1 - leader, model.shoal) == NOBODY
    assert fish.centre.tolist() == [1, 1]
    assert leave_territory(leader, model.shoal) == 1
    assert fish.centre.tolist() == [NOBODY, NOBODY]


@needs_compiling
def test_a_group_has_one_leader_and_one_centre():
    model = claimant(own=row(males=2, females=2), kinds=(kind(mating="group", defends="both"),))
    model.run()
    fish = model.shoal.fish
    assert fish.leads.sum() == 1
    assert len(set(fish.bond)) == 1
    assert len(set(fish.centre)) == 1
    assert fish.centre[0] >= 0


def test_males_of_a_harem_species_own_one_by_one():
    model = claimant(own=row(males=2, females=1))
    assert (model.shoal.fish.bond == NOBODY).all()
    assert model.shoal.fish.leads.all()
    settle_at(0, 1, model.shoal)
    assert model.shoal.fish.centre.tolist() == [1, NOBODY, NOBODY]


@needs_compiling
def test_with_one_site_one_male_of_three_owns_it():
    """Source: Hofmann1999 (where sites are few most males go without)."""
    model = stage(row(males=3), rock=holes(hole(32.5)), parameters={"claim_s": 30.0})
    model.run()
    owners = model.ledger.hours.owner
    assert owners.sum() > 0
    assert (owners.sum(axis=0) <= 3600).all(), "never two at a time"


# ---- home and company


def test_home_is_the_centre_else_the_most_trusted_shelter_else_the_last_one():
    model = claimant()
    fish, memory = model.shoal.fish, model.shoal.memory
    assert home_of(0, model.shoal) == NOBODY
    fish.refuge[0] = 3
    assert home_of(0, model.shoal) == 3
    memory[0, 4] = 0.04
    assert home_of(0, model.shoal) == 3, "hardly trusted at all"
    memory[0, [0, 5]] = 0.3, 0.6
    assert home_of(0, model.shoal) == 5
    fish.centre[0] = 1
    assert home_of(0, model.shoal) == 1


@pytest.mark.parametrize("company", [0.0, 0.4, 1.0])
def test_company_draws_towards_ones_own_kind_in_view(company):
    """A pull of company_pull x company in the direction of the others, together."""
    model = stage(
        row(males=1), row(females=2), row(OTHER, males=1),
        kinds=(kind(company=company),), parameters={"company_pull": 0.5},
    )  # fmt: skip
    for i, place in enumerate([(2, 2, 2), (5, 2, 2), (2, 6, 2), (2, 2, 7)]):
        put(model, i, *place)
    notice(0, *at(model))
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


def test_dominants_are_those_judged_clearly_stronger_by_temper_and_nearness():
    model = stage(
        row(females=1, length=7.0), row(OTHER, males=1, length=12.0),
        row("Scena lenis", males=1, length=12.0), row("Scena par", males=1, length=7.0),
        kinds=(kind("Scena lenis", temper=0.3),), parameters={"temper_odds": 0.0},
    )  # fmt: skip
    for i, x in enumerate((2, 5, 5, 3)):
        put(model, i, x, 4, 4)
    notice(0, *at(model))
    radius = model.shoal.pair.radius_cm[1, 0]
    weight = 1 / (1 + (15.0 / radius) ** 4)
    assert model.shoal.fish.dominants[0] == pytest.approx((1.0 + 0.3) * weight)
    notice(1, *at(model))
    assert model.shoal.fish.dominants[1] == 0.0
