"""The rock of the page: grid, shelters, kilograms, lines of sight are those of model and command line."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from rockshy.analysis.film.page import player_part
from rockshy.analysis.page.editing.edits import edited
from rockshy.analysis.page.rock import view as module
from rockshy.analysis.page.rock.view import player_script, rock_view
from rockshy.analysis.page.serving.refusals import RefusalError
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import scenario_of, view_of
from rockshy.analysis.questions.rock.amount import amount_of
from rockshy.sim.run.drawing import draw_tank, draw_trial_rock
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.scenario.reading import ScenarioError
from rockshy.sim.tank.rockwork import describe_rock, rock_top_cm
from rockshy.sim.tank.tank import cell_centres_cm

TANK = "[tank]\nlength = 90\nfront_to_back = 40\nheight = 45\n"
FISH = '[[stock]]\nspecies = "Tropheus duboisi"\nmales = 1\nfemales = 3\n[run]\ntrials = 6\nguesses = 3\n'
PILED = "[rock]\ncover = 0.3\nheight = 28\npiles = 2\npiece_size = 10\n"
WALL = '[rock]\nsketch = ["000000000", "000090000", "000090000", "000090000"]\nsketch_step = 4.7\n'
LEFT_FRONT = (10.0, 5.0, 20.0)


def draft(rock: str, more: str = "") -> Draft:
    return Draft(TANK + rock + FISH + more, "club.toml")


def test_rock_that_is_laid_anew_is_shown_as_it_is_measured() -> None:
    once = draft(PILED)
    again = draft(PILED + "rescape_day = 1\n", "days = 3\n")
    here = scenario_of(again)
    drawn = draw_trial_rock(here, draw=draw_of(here, 0))
    view = rock_view(again, 0, None)
    assert [hole["mouth"] for hole in view["crevices"]] == [round(h.mouth_cm, 1) for h in drawn.crevices]
    assert view["grid"] != rock_view(once, 0, None)["grid"]
    assert view_of(again, 0)["checks"]["rock"] != view_of(once, 0)["checks"]["rock"]


def test_a_sketch_is_drawn_on_by_its_own_digits_but_none_higher_than_the_tank() -> None:
    digits = ["000000000", "000090000", "000090000", "000090000"]
    grid = rock_view(draft(WALL), 0, None)["grid"]
    assert grid == {"step_cm": 4.7, "highest": 9, "digits": digits}
    high = draft('[rock]\nsketch = ["12"]\nsketch_step = 10\n')
    assert rock_view(high, 0, None)["grid"]["highest"] == 4


def test_drawn_rock_is_laid_onto_a_grid_that_reaches_its_top_and_looks_like_it() -> None:
    one = draft(PILED)
    grid = rock_view(one, 0, None)["grid"]
    assert {len(row) for row in grid["digits"]} == {18} and len(grid["digits"]) == 8
    assert 9 * grid["step_cm"] >= 28 > 8 * (grid["step_cm"] - 0.5)
    drawn = draw_trial_rock(scenario_of(one))
    by_hand = edited(one, 0, [{"do": "sketch", "rows": grid["digits"], "step": grid["step_cm"]}])
    sketched = draw_trial_rock(scenario_of(by_hand))
    x, y = np.meshgrid(np.arange(2.5, 90, 5), np.arange(2.5, 40, 5), indexing="ij")
    before, after = rock_top_cm(drawn, x, y), rock_top_cm(sketched, x, y)
    assert np.corrcoef(before.ravel(), after.ravel())[0, 1] > 0.85
    bulk = describe_rock(scenario_of(one).tank, drawn).solid_litres
    assert describe_rock(scenario_of(by_hand).tank, sketched).solid_litres == pytest.approx(bulk, rel=0.1)


def test_a_bare_tank_has_a_grid_to_begin_on_and_nothing_to_weigh() -> None:
    view = rock_view(draft(""), 0, None)
    assert set("".join(view["grid"]["digits"])) == {"0"} and view["grid"]["step_cm"] == 5
    assert view["weight"] == {"pieces": [], "sources": []}
    assert view["admits"] == [] and view["crevices"] == []
    assert view["shown"][0]["text"].startswith("In the picture, simulated tank 1 of 6: 151 L")


def test_what_is_drawn_anew_has_the_cover_height_and_piles_of_the_sketch() -> None:
    assert rock_view(draft(PILED), 0, None)["anew"] == {"cover": 0.3, "height": 28.0, "piles": 2}
    two = '[rock]\nsketch = ["0550", "0000", "0000", "2000"]\nsketch_step = 4\n'
    anew = rock_view(draft(two), 0, None)["anew"]
    assert anew == {"cover": pytest.approx(3 / 16, abs=0.02), "height": 20.0, "piles": 2}
    again = edited(draft(two), 0, [{"do": "cover", **anew}])
    assert scenario_of(again).rock.cover == anew["cover"] and scenario_of(again).rock.sketch is None


def test_another_simulated_tank_is_that_of_a_run() -> None:
    one = draft(PILED)
    here = scenario_of(one)
    for trial in (0, 4):
        view = rock_view(one, 0, None, trial=trial)
        drawn = draw_trial_rock(here, trial=trial, draw=draw_of(here, trial))
        assert [hole["mouth"] for hole in view["crevices"]] == [round(h.mouth_cm, 1) for h in drawn.crevices]
        litres = describe_rock(here.tank, drawn).water_litres
        assert f"simulated tank {trial + 1} of 6: {litres:.0f} L" in view["shown"][0]["text"]
    with pytest.raises(RefusalError, match="no simulated tank 7; use 1 to 6"):
        rock_view(one, 0, None, trial=6)


def test_a_copy_has_its_own_rock_whatever_is_wrong_with_another() -> None:
    copies = '[[alternative]]\nname = "bad"\nrock = { cover = 7 }\n'
    copies += '[[alternative]]\nname = "wall"\nrock = { sketch = ["09"], sketch_step = 4 }\n'
    one = draft(PILED, copies)
    assert rock_view(one, 2, None)["grid"]["digits"] == ["09"]
    assert len(rock_view(one, 0, None)["grid"]["digits"][0]) == 18
    with pytest.raises(ScenarioError) as refused:
        rock_view(one, 1, None)
    assert any("cover" in str(one) and "; use " in str(one) for one in refused.value.problems)
    with pytest.raises(RefusalError, match="no copy 3"):
        rock_view(one, 3, None)


@pytest.mark.parametrize("stock", ["", '[[stock]]\nspecies = "Tropheus dub"\nmales = 1\n'])
@pytest.mark.parametrize("which", [0, 1])
def test_rock_is_seen_while_the_stock_cannot_be_read(stock: str, which: int) -> None:
    more = "[run]\nseed = 5\n[[alternative]]\nname = 'more rock'\nrock = { cover = 0.5 }\n"
    fish = FISH.partition("[run]")[0]
    whole = rock_view(Draft(TANK + PILED + fish + more, "club.toml"), which, None)
    without = rock_view(Draft(TANK + PILED + stock + more, "club.toml"), which, None)
    assert without["grid"] == whole["grid"]
    assert without["crevices"] == whole["crevices"]
    assert not any("Tropheus" in one["text"] for one in without["admits"])
    assert any("Tropheus duboisi" in one["text"] for one in whole["admits"])


def test_rock_that_is_wrong_itself_is_refused() -> None:
    with pytest.raises(ScenarioError, match=r"rock\.height"):
        rock_view(Draft(TANK + "[rock]\ncover = 0.3\nheight = 0\n", "club.toml"), 0, None)


def test_changes_are_looked_at_and_not_kept() -> None:
    one = draft(PILED)
    change = {"do": "sketch", "rows": ["0040", "0000"], "step": 6}
    looked_at = rock_view(one, 0, LEFT_FRONT, changes=[change])
    assert looked_at == rock_view(edited(one, 0, [change]), 0, LEFT_FRONT)
    assert len(rock_view(one, 0, None)["grid"]["digits"][0]) == 18
    with pytest.raises(ScenarioError) as refused:
        rock_view(one, 0, None, changes=[{"do": "sketch", "rows": ["01", "2"], "step": None}])
    assert "use rows of digits" in str(refused.value)


@pytest.mark.parametrize("rock", [PILED, WALL])
def test_kilograms_and_who_fits_are_those_of_the_command_line(rock: str) -> None:
    here, view = scenario_of(draft(rock)), rock_view(draft(rock), 0, None)
    amount = amount_of(here)
    table = next(piece for piece in view["weight"]["pieces"] if piece["kind"] == "table")
    told = {row[0]: row[1] for row in table["rows"][1:]}
    assert told == {one.stone: f"{one.kg.middle:.0f}" for one in amount.weights}
    admits = [(one["deeper"], one["text"].split(",")[0]) for one in view["admits"]]
    fish = "Tropheus duboisi: an average"
    assert admits[1:] == [(True, f"{fish} male"), (True, f"{fish} female")] and not admits[0][0]
    assert any(source.startswith("RockDensities2014") for source in view["weight"]["sources"])
    about = [one["about"] for one in view["cautions"]]
    assert {"rock", "power"} <= set(about)


def test_everything_is_plain_json_and_the_picture_lies_in_the_tank() -> None:
    view = rock_view(draft(PILED), 0, LEFT_FRONT)
    assert json.loads(json.dumps(view, allow_nan=False)) == view
    assert view["size"] == [90, 40, 45, 42] == view["still"]["size"]
    assert len(view["still"]["solids"]) > len(view["crevices"]) > 3
    for hole in view["crevices"]:
        assert 0 <= hole["x"] <= 90 and 0 <= hole["y"] <= 40 and 0 <= hole["z"] <= 42


def test_what_is_in_view_is_what_the_fish_of_the_model_see() -> None:
    one = draft(PILED)
    here = scenario_of(one)
    tank = draw_tank(here, trial=0, draw=draw_of(here, 0))
    centres = cell_centres_cm(here.tank, tank.xyz)
    for cell in (3, 400, len(centres) - 5):
        sight = rock_view(one, 0, tuple(float(x) for x in centres[cell]))["sight"]
        seen = np.unpackbits(tank.sight[cell], bitorder="little")[: len(centres)].astype(bool)
        assert sight["share"] == pytest.approx(seen.mean())
        nx, ny, nz = sight["cells"]
        assert (nx, ny, nz) == tuple(tank.shape)
        for rows, depth, across in ((sight["above"], 1, ny), (sight["front"], 2, nz)):
            assert len(rows) == across and {len(row) for row in rows} == {nx}
            for x, k in [(0, 0), (5, 2), (nx - 1, across - 1), (9, across - 2)]:
                mine = (tank.xyz[:, 0] == x) & (tank.xyz[:, depth] == k)
                sign = rows[across - 1 - k][x]
                if not mine.any():
                    assert sign == "-"
                    continue
                share = seen[mine].mean()
                assert (sign == "0") == (share == 0) and (sign == "9") >= (share == 1)
                assert abs(int(sign) / 9 - share) < 1 / 9
        holes = np.flatnonzero(~tank.refuge_corner)
        looked = sum(int(tank.looks_in[k, cell // 8] >> (cell % 8) & 1) for k in holes)
        assert f"It looks into {looked} of {len(holes)} crevices." in sight["said"]


def test_a_wall_hides_what_lies_behind_it() -> None:
    sight = rock_view(draft(WALL), 0, LEFT_FRONT)["sight"]
    left = [row[:8] for row in sight["above"]]
    assert set("".join(left)) == {"9"}
    assert set("".join(row[11:] for row in sight["above"][3:])) == {"0"}  # the front right of the tank
    assert "-" in sight["above"][-1]
    through = rock_view(draft(WALL), 0, (10.0, 38.0, 20.0))["sight"]  # along the gap at the back
    assert through["share"] > sight["share"]


def test_a_place_inside_rock_gives_the_nearest_water_and_says_so() -> None:
    sight = rock_view(draft(WALL), 0, (45.0, 5.0, 5.0))["sight"]
    assert sight["said"][0] == "That place is inside rock, wood or equipment, so the nearest water is used."
    assert abs(sight["place"][0] - 45.0) > 4
    assert not any("inside rock" in said for said in rock_view(draft(WALL), 0, LEFT_FRONT)["sight"]["said"])


def test_looking_about_and_other_fish_draw_no_rock_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    built: list[int] = []
    build_tank = module.build_tank
    monkeypatch.setattr(module, "build_tank", lambda *a, **k: built.append(1) or build_tank(*a, **k))
    one = draft(PILED.replace("28", "26"))
    rock_view(one, 0, None)
    assert built == []  # lines of sight are worked out only where somebody asks
    for place in ((5.0, 5.0, 5.0), (70.0, 30.0, 30.0)):
        rock_view(one, 0, place)
        rock_view(replace(one, text=one.text.replace("females = 3", "females = 9")), 0, place)
    assert built == [1]


def test_the_picture_is_painted_by_the_very_code_of_the_film_player() -> None:
    script = player_script()
    assert player_part("paint") in script
    assert script.startswith('"use strict";\n(() => {') and script.rstrip().endswith("})();")
    assert "window.rockshyTank" in script
