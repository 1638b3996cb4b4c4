"""The first lines of ``rockshy check``: what stands out, the worst first; what is drawn and left to judge."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from command_line import answered, work_in
from rockshy import scenarios
from rockshy.analysis.asking.units_asked import asked_units_of
from rockshy.analysis.commands.check import MORE
from rockshy.analysis.document import as_text
from rockshy.analysis.evidence.doubts import flaw
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import view_of
from rockshy.analysis.questions.check.brief import MOST_LINES, NOTHING, brief_of, warnings
from rockshy.analysis.questions.check.drawn import draw_few
from rockshy.analysis.questions.check.unequal import HOT, hot_pairs, large_pairs
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

SIDES = '[tank]\nlength = "{}"\nfront_to_back = "60 cm"\nheight = "50 cm"\n'
ROCK = '[rock]\ncover = "{} %"\n'


def tank(*stock: str, length: str = "6 ft", cover: int = 50) -> Scenario:
    """Rows such as ``"yellow labs, males = 1, females = 2"``."""
    rows = ""
    for one in stock:
        name, *values = one.split(", ")
        rows += f'[[stock]]\nspecies = "{name}"\n' + "\n".join(values) + "\n"
    rock = ROCK.format(cover) if cover else ""
    return parse(SIDES.format(length) + rock + rows, name="my-tank.toml")


def lines(scenario: Scenario) -> list[str]:
    return [str(block.text) for block in brief_of(scenario, draw_few(scenario)).blocks]  # type: ignore[union-attr]


WORST = tank(
    "yellow labs, unsexed = 6",
    "threadfin cichlids, males = 3, females = 1, out = 9",
    "red zebras, males = 2, females = 1",
    "kenyi, unsexed = 4",
    "Maylandia zebra, males = 1",
    "golden julie, males = 2, females = 1",
    length="80 cm",
    cover=0,
)


@pytest.mark.parametrize(
    ("stock", "said"),
    [
        # auratus 2.0, yellow lab 0.35: 5.7 times as hot; both drawn at .825 of 11 and 10 cm or so
        (
            ("auratus, males = 1, females = 3", "yellow labs, males = 1, females = 3"),
            "Hot beside mild: auratus (about 5.5 times as hot) beside yellow labs (assumption).",
        ),
        (
            (
                "auratus, males = 1, females = 3, length = 12",
                "yellow labs, males = 1, females = 3, length = 6",
            ),
            "Hot beside mild: auratus (about 5.5 times as hot, 2 times as long) beside yellow labs"
            " (assumption).",
        ),
        # red zebra 1.0 is hotter than a yellow lab, but not hot
        (
            ("red zebras, males = 1, females = 3, length = 12", "labs, males = 1, females = 3, length = 8"),
            "Large beside small: red zebras (about 1.5 times as long) beside labs (assumption).",
        ),
        (
            ("kenyi, males = 1, females = 3, length = 9", "labs, females = 3, length = 9"),
            "Males alike: kenyi and labs (yellow); keepers avoid that.",
        ),
        (
            ("red zebras, males = 1, females = 3", "cobalt zebra, males = 1, females = 3"),
            "One genus, may cross: red zebras and cobalt zebras (Maylandia); keepers avoid that.",
        ),
        (
            ("red zebras, males = 2, females = 3",),
            "Too few females: red zebras (3 for 2 males); keepers give a male 2 to 3.",
        ),
        (
            ("red zebras, males = 3",),
            "Too few females: red zebras (none for 3 males); keepers give a male 2 to 3.",
        ),
        (("golden julies, males = 2, females = 1",), "No partner: 1 golden julie."),
        (("labs, males = 1, females = 3, out = 5",), "Dates: 1 of them falls outside what is measured."),
    ],
)
def test_what_stands_out(stock: Sequence[str], said: str) -> None:
    assert said in lines(tank(*stock))


@pytest.mark.parametrize(
    "stock",
    [
        ("red zebras, males = 1, females = 3, length = 10", "labs, males = 1, females = 3, length = 9"),
        (
            "labs, males = 1, females = 3, length = 12",
            "auratus, females = 3, length = 8",
        ),  # the large is mild
        ("red zebras, males = 2, females = 4",),
        ("golden julies, males = 1, females = 1",),
    ],
)
def test_what_does_not_stand_out(stock: Sequence[str]) -> None:
    scenario = tank(*stock)
    told = " ".join(warnings(scenario, draw_few(scenario)))
    assert not any(word in told for word in ("Large", "Too few", "No partner"))
    assert all(one.heat >= HOT for one in hot_pairs(scenario))


def test_females_alone_are_as_hot_as_females_are() -> None:
    """auratus 2.0 x 0.6 = 1.2, which is under what is called hot."""
    assert hot_pairs(tank("auratus, males = 1", "labs, males = 1"))
    assert not hot_pairs(tank("auratus, females = 1", "labs, males = 1"))


def test_no_pair_is_both_hot_and_large() -> None:
    hot, large = hot_pairs(WORST), large_pairs(WORST)
    assert hot and large and not [one for one in hot if one in large]
    assert [one.temper for one in hot] == sorted((one.temper for one in hot), reverse=True)


@pytest.mark.parametrize(
    ("stock", "length", "words"),
    [
        ("labs, males = 1, females = 3", "110 cm", "keepers give mixed mbuna at least 120 cm (47 in)."),
        ("labs, males = 1, females = 3", "120 cm", ""),
        (
            "golden julies, males = 1, females = 1",
            "55 cm",
            "keepers give fish that live as pairs at least 60 cm (24 in).",
        ),
        (
            "Tropheus moorii, males = 1, females = 3",
            "110 cm",
            "mbuna at least 120 cm (47 in), which is borrowed here.",
        ),
        ("golden julies, males = 1, females = 1", "60 cm", ""),
    ],
)
def test_a_tank_too_short_for_its_stock(stock: str, length: str, words: str) -> None:
    told = [one for one in lines(tank(stock, length=length)) if one.startswith("Short tank:")]
    assert words in told[0] if words else not told


def test_hardly_any_rock_too_few_crevices_and_none_that_fits() -> None:
    stock = "labs, males = 1, females = 3"
    assert "Rock: no crevice at all." in lines(tank(stock, cover=0))
    assert any("of the floor (hardly any, " in line for line in lines(tank(stock, cover=5)))
    assert not any(line.startswith("Rock:") for line in lines(tank(stock)))
    big = tank("Petrochromis polyodon, males = 1, length = 20", "labs, females = 3")
    big = parse(big.text.replace("[rock]", '[rock]\npiece_size = "4 cm"'), name="my-tank.toml")
    assert any("none fits Petrochromis polyodon of average size" in line for line in lines(big))


def test_what_the_file_does_not_say_is_drawn_or_as_usual() -> None:
    scenario = tank("labs, males = 1, unsexed = 6", "kenyi, females = 1, length = 9")
    left = "7 lengths, 6 sexes, crevices, water level, rock height"
    assert f"Not in the file, so left to chance or custom: {left}." in lines(scenario)
    told = scenario.text.replace("[rock]", 'water_level = "45 cm"\n[rock]\nheight = "30 cm"')
    said = parse(told.replace("unsexed = 6", "females = 3\nlength = 9"), name="a")
    assert "Not in the file, so left to chance or custom: crevices." in lines(said)


def test_sex_odds_in_one_line() -> None:
    """Of 64 ways for six fish, 41 have at least one male and three females."""
    assert "Chance of at least 1 male and 3 females: 64 % for 6 unsexed labs." in lines(
        tank("labs, unsexed = 6")
    )


def test_sex_odds_of_several_kinds_share_a_line() -> None:
    """Of 32 ways for five fish 15 have at least one male and three females, of 16 for four fish 4."""
    told = lines(tank("labs, unsexed = 5", "red zebras, unsexed = 4"))
    wanted = (
        "Chance of at least 1 male and 3 females: 47 % for 5 unsexed labs, 25 % for 4 unsexed red zebras."
    )
    assert wanted in told


def test_what_the_model_cannot_judge_here() -> None:
    assert lines(tank("labs, males = 1, females = 3"))[-1] == (
        "The model cannot judge: growth (rockshy life does), spawning, illness."
    )
    assert lines(tank("labs, females = 3", "demasoni, females = 3"))[-1].startswith(
        "The model cannot judge: food here (see --full), "
    )


def test_where_nothing_stands_out_one_line_says_so_without_a_verdict() -> None:
    told = lines(tank("labs, males = 1, females = 3"))
    assert told[1] == NOTHING and "no verdict" in NOTHING
    assert "worst first" not in told[0]


def test_the_worst_comes_first_and_what_has_no_room_is_named() -> None:
    told = lines(WORST)
    heads = [line.partition(":")[0] for line in told]
    order = ["Hot beside mild", "Large beside small", "Males alike", "Also, see --full"]
    assert [head for head in heads if head in order] == order
    left = next(line for line in told if line.startswith("Also"))
    assert all(word in left for word in ("too few females", "no partner", "short tank", "rock", "dates"))


@pytest.mark.parametrize("name", ["", *scenarios.names()])
def test_the_first_lines_are_few_and_never_call_anything_safe(name: str) -> None:
    scenario = scenarios.read(name) if name else WORST
    text = as_text(brief_of(scenario, draw_few(scenario)))
    assert 3 <= len(text.splitlines()) <= MOST_LINES
    assert not any(word in text.lower() for word in ("safe", "compatible", "recommend"))


def test_the_command_prints_the_first_lines_and_all_of_it_in_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work_in(tmp_path, monkeypatch, mine=WORST.text)
    brief, _, rest = answered(capsys, "check", "mine.toml").out.partition("\n\n")
    assert brief == as_text(brief_of(WORST, draw_few(WORST)))
    assert rest == f"{MORE}\n"
    full = answered(capsys, "check", "mine.toml", "--full").out
    assert full.startswith(brief) and "\nFor you to judge\n" in full and "\nCautions\n" in full


@pytest.mark.parametrize(
    ("length", "rock", "said"),
    [
        (
            "3",
            "",
            'Units: 3 (yellow labs) is read as cm, but the tank is in inches; for inches write "3 in".',
        ),
        ("[2, 3]", "height = 12\n", "Units: 12 (rock height) and 2-3 (yellow labs) are read as cm"),
        ('"3 in"', 'height = "12 in"\n', ""),
    ],
)
def test_sizes_without_a_unit_are_asked_about_in_a_tank_in_inches(length: str, rock: str, said: str) -> None:
    text = f'[[stock]]\nspecies = "yellow labs"\nmales = 1\nfemales = 3\nlength = {length}\n'
    rock = ROCK.format(50) + rock
    in_inches = parse(SIDES.format("72 in") + rock + text, name="my-tank.toml")
    units = next((line for line in warnings(in_inches, draw_few(in_inches)) if line.startswith("Units")), "")
    assert units.startswith(said) and bool(units) == bool(said)
    shown = view_of(Draft(in_inches.text, "my-tank.toml"), 0)["flags"]
    assert any(" read as cm, but " in one["text"] for one in shown) == bool(said)
    in_cm = parse(SIDES.format("180 cm") + rock + text.replace(" in", " cm"), name="my-tank.toml")
    assert not any(line.startswith("Units") for line in warnings(in_cm, draw_few(in_cm)))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[[alternative]]\nname = "longer"\ntank = {length = 72}\n', "72 (tank length) is read as cm"),
        (
            '[[alternative]]\nname = "one"\nadd = [{species = "acei", males = 1, length = 4}]\n',
            "4 (acei) is read as cm",
        ),
        ('[[event]]\nday = 1\ndivider = 30\nfor = "1 day"\n', "30 (event divider) is read as cm"),
        (
            '[[rock.object]]\nkind = "wood"\nfrom_left = 0\nfrom_front = 4\nlength = "6 in"\n'
            'front_to_back = "2 in"\nheight = "9 in"\n',
            "4 (object from front) is read as cm, but other sizes are in inches",
        ),
    ],
)
def test_so_are_those_of_what_is_done_and_tried(more: str, said: str) -> None:
    asked = asked_units_of(f'[[stock]]\nspecies = "acei"\nlength = "4 in"\n{more}')
    assert asked.startswith(said)


def test_so_are_those_of_a_list_whose_header_names_no_unit() -> None:
    text = SIDES.format("72 in")
    assert asked_units_of(text, "fish,males,size\nacei,2,4\n").startswith("4 (acei) is read as cm")
    assert not asked_units_of(text, "fish,males,size (in)\nacei,2,4\n")


def test_a_group_that_lets_itself_be_is_said_first() -> None:
    """By check before a run, and by the answer as its known fault."""
    told = tank("Neolamprologus pulcher, males = 2, females = 3", "labs, males = 1, females = 3")
    said = "Groups: Neolamprologus pulcher; in the model fish of a group never chase each other."
    assert next(filter(None, warnings(told, draw_few(told)))) == said
    alone = tank("Neolamprologus pulcher, males = 1")
    assert not any(line.startswith("Groups") for line in warnings(alone, draw_few(alone)))
    assert "never chase each other" in flaw("run", species="Neolamprologus pulcher")
    assert flaw("run", species="Labidochromis caeruleus") == flaw("run") != ""
