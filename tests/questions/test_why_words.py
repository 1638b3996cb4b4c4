"""Why a fish is bullied: the words, the files, and the numbers behind the mechanisms."""

from __future__ import annotations

import csv
import io
import json

import numpy as np
import pytest
from fake_trials import HOT, MILD
from fake_why import behind, glove, mixed, played, said, tank
from rockshy.analysis.document import as_text
from rockshy.analysis.document.files import json_text
from rockshy.analysis.questions.why.answer import LEFT, ShareEstimate
from rockshy.analysis.questions.why.files import rows_text, whole_json
from rockshy.analysis.questions.why.mechanisms import SIGHT
from rockshy.analysis.questions.why.words import about, document_of
from rockshy.sim.fish.population import individuals


def test_words_say_how_many_of_ten_and_why() -> None:
    words = said(mixed())
    for part in (
        "about 5 (5 to 5) because of being seen from afar".replace("5 (5 to 5)", "5.0 (5.0 to 5.0)"),
        "looks: it would lose more of its free swimming without, by about 1.7 (1.7 to 1.7)",
        "looks: it would be chased more without, by about",
        "sight: it would be chased more without, by about",
        "left whatever is changed",
        "The two disagree, beyond doubt, on: sight.",
        "Too close to call: ",
        "there are 8 fish",
        "3 of the 7 other fish look like it",
        'What "off" means',
        "Shapley1953",
        "Castro2009",
        "Follow the animal welfare law where you live.",
        "First of all: The model does not see your fish.",
        "Switch the power off before hands go into the water.",
        "no fish is seen from farther than 30 cm",
    ):
        assert part in words, part
    assert all(len(line) <= 100 for line in as_text(document_of(mixed(), behind(mixed()))).splitlines())


def test_a_mechanism_that_does_not_apply_is_said_with_its_reason() -> None:
    words = said(played(glove, scenario=tank(trials=16)))
    assert "temper: left out, as there is one species only." in words
    assert "Castro2009" not in words and "all 32 ways to have them on or off" in words


@pytest.mark.parametrize(
    ("ten", "words"),
    [
        (ShareEstimate(3.8, 2.9, 4.9, 4), "about 4 (3 to 5)"),
        (ShareEstimate(2.4, 2.6, 3.4, 3), "about 2.4 (2.6 to 3.4)"),
        (ShareEstimate(0.4, 0.1, 0.7, 0), "about 0.4 (0.1 to 0.7)"),
        (ShareEstimate(5.6, 5.7, 6.6, 5), "about 5 (5 to 7)"),
        (ShareEstimate(2.4, np.nan, np.nan, 2), "about 2"),
    ],
)
def test_numbers_are_as_round_as_they_may_be(ten: ShareEstimate, words: str) -> None:
    assert about(ten) == words


def test_a_share_below_nothing_is_said_turned_round() -> None:
    assert about(ShareEstimate(-2.2, -3.6, -0.6, -2), turned=True) == "about 2 (1 to 4)"


def test_files_hold_every_coalition_of_every_tank() -> None:
    found = mixed()
    rows = list(csv.DictReader(io.StringIO(rows_text(found))))
    assert len(rows) == sum(len(row.worth) for row in found.rows)
    full = [row for row in rows if row["on"].count(";") == 7]
    lost = [float(row["lost_share_of_free_swimming_if_left_alone"]) for row in full]
    assert lost == pytest.approx([0.6] * 16)
    assert [row["on"] for row in rows if row["trial"] == "0"].count("none") == 1
    told = json.loads(json_text(whole_json(found, behind(found))))
    shares = told["shared_out"]["lost_share_of_free_swimming_if_left_alone"]["shares"]
    assert [one["code"] for one in shares][-1] == LEFT
    assert told["disagreeing"] == [SIGHT]
    assert told["trials"] == 16 and told["every_coalition"] is False


def test_numbers_behind_come_from_the_stock_list_and_the_drawn_rock() -> None:
    found = mixed()
    numbers = behind(found)
    assert numbers.temper == pytest.approx(
        found.switches.base.species[HOT].traits["temper"].value
        / found.switches.base.species[MILD].traits["temper"].value
    )
    assert numbers.hottest == HOT and numbers.others_cm > numbers.length_cm
    assert 0 <= numbers.its_own <= numbers.fitting <= numbers.crevices
    assert (numbers.alike, numbers.others) == (3, len(individuals(found.plan.scenario.stock)) - 1)
