"""Pairs of a pair-forming species: who bonds when fish come and go, and what mates share."""

import numpy as np
import pytest
from rockshy.sim.rules.territory import settle_at
from rockshy.sim.species.species import library
from staging import claim, hole, holes, needs_compiling, row, stage, steps

JULIE = "Julidochromis ornatus"  # pairs, both sexes defend: from memory
HOLES = holes(hole(7.5, depth_cm=10.0), hole(52.5, depth_cm=20.0))  # the tank of test_rules_territory.py
NOBODY = -1
LATER = 0.01  # day; 36 s into a lit hour


def julies(*rows, **how):
    """Fish of the kind in a tank with two holes; nobody claims one unasked unless ``claim_s`` says so."""
    parameters = {"claim_s": 1e12, **how.pop("parameters", {})}
    return stage(
        *rows, kinds=(library()[JULIE],), rock=HOLES, parameters=parameters,
        **{"lit_hours": 1.0, "days": 1.0, **how},
    )  # fmt: skip


def male(length=7.0, **how):
    return row(JULIE, males=1, length=length, **how)


def female(length=7.0, **how):
    return row(JULIE, females=1, length=length, **how)


def owning(model, i, refuge=0):
    claim(model, i, 0.9, model.tank.refuge_cell[refuge])
    settle_at(i, refuge, model.shoal)
    return model


def are_mates(model, i, j):
    """Whether two fish are a pair, and are one in every way: bond, leader, centre, no provocation."""
    fish, weight = model.shoal.fish, model.shoal.pair.weight
    bonded = fish.bond[i] == fish.bond[j] >= 0
    in_every_way = [
        bonded,
        fish.leads[i] != fish.leads[j],
        fish.centre[i] == fish.centre[j],
        weight[i, j] == weight[j, i] == 0.0,
    ]
    assert all(in_every_way) or not bonded, in_every_way
    return bool(bonded)


def is_single(model, i):
    """Without a mate a fish leads itself and everybody in the tank provokes it."""
    fish, others = model.shoal.fish, np.arange(len(model.people)) != i
    free = fish.bond[i] == NOBODY
    assert not free or fish.leads[i]
    assert not free or (model.shoal.pair.weight[i, others] > 0.0).all()
    return bool(free)


def sex(model, i):
    return model.people[i].sex


@pytest.mark.parametrize("male_first", [True, False], ids=["male first in the list", "female first"])
@pytest.mark.parametrize("length", [6.0, 8.0], ids=["smaller", "larger"])
@pytest.mark.parametrize("late", ["male", "female"])
def test_a_mate_that_arrives_later_bonds_when_it_comes_and_shares_the_centre(male_first, length, late):
    """The one that waits owns a crevice; the longer of the two leads from then on."""
    rows = [male(length, day=LATER if late == "male" else 0.0), female(day=LATER if late == "female" else 0)]
    model = julies(*(rows if male_first else rows[::-1]))
    fish = model.shoal.fish
    first = next(i for i in range(2) if sex(model, i) != late)
    owning(model, first, 1)
    steps(model, 35)
    assert fish.present.tolist() == [i == first for i in range(2)]
    assert fish.bond.tolist() == [NOBODY, NOBODY]
    assert fish.centre[first] == 1
    assert fish.centre[1 - first] == NOBODY
    model.step()
    assert fish.present.all()
    assert are_mates(model, 0, 1)
    assert fish.centre.tolist() == [1, 1]
    assert sex(model, int(np.flatnonzero(fish.leads)[0])) == ("male" if length > 7.0 else "female")


def test_a_longer_mate_that_arrives_later_holds_at_its_first_looks_what_the_other_held():
    model = julies(female(), male(8.0, day=LATER))
    owning(model, 0, 1)
    steps(model, 60)
    assert are_mates(model, 0, 1)
    assert model.shoal.fish.centre.tolist() == [1, 1]


@needs_compiling
def test_in_a_run_a_male_that_arrives_later_owns_what_its_mate_had_claimed():
    model = julies(female(), male(8.0, day=0.5), lit_hours=2.0, days=0.5, parameters={"claim_s": 5.0})
    steps(model, 3599)
    hers = int(model.shoal.fish.centre[0])
    assert hers >= 0
    model.run()
    assert model.shoal.fish.centre.tolist() == [hers, hers]
    assert model.ledger.hours.owner.tolist() == [[3600], [3600]]
    assert model.ledger.pair.attacks.sum() == 0, "mates do not attack each other"


@pytest.mark.parametrize(
    ("length", "widowed"),
    [
        pytest.param(6.0, "female", id="she led and stays"),
        pytest.param(8.0, "male", id="he led and stays"),
        pytest.param(8.0, "female", id="he led, she stays"),
        pytest.param(6.0, "male", id="she led, he stays"),
    ],
)
def test_a_widow_keeps_the_centre_and_pairs_with_a_mate_added_later(length, widowed):
    model = julies(male(length), female())
    owning(model, 0 if length > 7.0 else 1)
    left = 0 if widowed == "male" else 1
    assert are_mates(model, 0, 1)
    next(fish for fish in model.agents if fish.index != left).take_out()
    assert is_single(model, left)
    assert model.shoal.fish.centre[left] == 0
    steps(model, 10)
    model.add_fish(female(7.5) if widowed == "male" else male(7.5))
    assert are_mates(model, left, 2)
    assert model.shoal.fish.centre[[left, 2]].tolist() == [0, 0]
    assert model.shoal.fish.bond[1 - left] == NOBODY


def test_a_larger_male_added_later_parts_no_pair_but_is_there_for_its_widow():
    model = julies(male(6.0), female())
    owning(model, 1)
    bond = model.shoal.fish.bond[0]
    model.add_fish(male(8.5))
    assert are_mates(model, 0, 1)
    assert model.shoal.fish.bond[:2].tolist() == [bond, bond]
    assert is_single(model, 2)
    assert model.shoal.fish.centre.tolist() == [0, 0, NOBODY]
    assert (model.shoal.pair.weight[:2, 2] > 0.0).all(), "a stranger provokes both"
    next(fish for fish in model.agents if fish.index == 0).take_out()
    assert are_mates(model, 1, 2)
    assert model.shoal.fish.centre[[1, 2]].tolist() == [0, 0]


def test_pairs_form_among_the_fish_in_the_tank_not_by_the_stock_list():
    """Male 1 stands first in the list and comes last: the female has long paired with male 2."""
    model = julies(male(8.0, day=LATER), female(), male(6.0))
    assert are_mates(model, 1, 2)
    steps(model, 36)
    assert model.shoal.fish.present.all()
    assert are_mates(model, 1, 2)
    assert is_single(model, 0)


@pytest.mark.parametrize("late", [male(4.0), female(8.0), row("Scena altera", males=1)])
def test_a_young_fish_one_of_the_same_sex_or_of_another_kind_is_no_mate(late):
    """Source: the species file (mature at 4.7 cm)."""
    model = stage(
        female(), row("Scena altera", females=1), kinds=(library()[JULIE],), rock=HOLES,
        parameters={"claim_s": 1e12},
    )  # fmt: skip
    owning(model, 0)
    model.add_fish(late)
    assert is_single(model, 0)
    assert is_single(model, 2)
    assert model.shoal.fish.centre.tolist() == [0, NOBODY, NOBODY]
