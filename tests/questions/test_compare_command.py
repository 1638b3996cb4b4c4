"""``rockshy compare``: what it refuses, prints and writes. Simulated tanks are made up, but for one run."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import Capsys, Patch, answered, assert_refused, build_no_tank, stay_after_ctrl_c, work_in
from fake_compare import BASE, FEWER, GONE, LATER, NOTHING, simulated_as
from fake_trials import HOT, MILD
from PIL import Image
from rockshy.analysis.commands import compare as comparing
from rockshy.analysis.commands.finding import changed
from rockshy.analysis.commands.lasting import about
from rockshy.analysis.commands.parser import build_parser
from rockshy.analysis.commands.swap import OF_BOTH, _how_long
from rockshy.analysis.pictures.compare import ROWS, comparison_caption, comparison_picture
from rockshy.analysis.questions.compare.swap import plan_swap, swap_jobs
from rockshy.sim.scenario.reading import parse

Ran = list[tuple[int, int]]


@pytest.fixture
def ran(monkeypatch: Patch) -> Ran:
    """Made-up outcomes, and no tank is built to see whether its rock leaves water."""
    build_no_tank(monkeypatch)
    return simulated_as(monkeypatch)


@pytest.fixture
def club(tmp_path: Path, monkeypatch: Patch) -> str:
    """A file with three alternatives in an empty folder."""
    work_in(tmp_path, monkeypatch, club=BASE + NOTHING + FEWER + GONE, plain=BASE)
    return "club.toml"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (
            ["club.toml", "--for", "Tropheus moorii"],
            '--for is "Tropheus moorii"; use a fish or a species of this tank',
        ),
        (["club.toml", "--for", "tropheus dubiosi"], "Did you mean Tropheus duboisi"),
        (
            ["club.toml", "--for", f"{MILD} male 2"],
            f'--for is "{MILD} male 2"; use a fish of {MILD} in this tank',
        ),
        (["club.toml", "--goal", "peace"], '--goal is "peace"; use lost, received'),
        (["club.toml", "--until", "0.9"], "a share from 0.005 to 0.4"),
        (["club.toml", "--until", "narrow"], '--until is "narrow"'),
        (["club.toml", "--until-rate", "0 %"], "a share from 0.01 to 0.9"),
        (
            ["club.toml", "--until", "0.1", "--share-out"],
            "--share-out and --until do not go together",
        ),
        (["club.toml", "--swap", MILD, "--until-rate", "10%"], "--swap and --until-rate do not go together"),
        (
            ["club.toml", "--swap", HOT, "--goal", "received"],
            "a fish that has given up coming out is chased less",
        ),
        (["club.toml", "--swap", "Tropheus moorii"], "--swap is"),
        (["club.toml", "--swap", HOT, "--for", HOT], "no such fish is left"),
        (["club.toml", "--swap", HOT, "--picture", "a.png"], "--picture does not go with --swap"),
        (["club.toml", "--share-out", "--for", f"{MILD} female 2"], 'is not in "no mild female 2"'),
        (["club.toml", "--share-out", "--trials", "1"], "2 or more"),
        (["plain.toml"], "has no [[alternative]] to compare with"),
    ],
)
def test_what_cannot_be_done_is_refused_before_anything_runs(
    club: str, ran: Ran, argv: list[str], said: str, capsys: Capsys
) -> None:
    assert_refused(capsys, "compare", *argv, said=said)
    assert not ran


ONE_FISH = BASE.replace("males = 3\nfemales = 1", "males = 1").replace("males = 1\nfemales = 2", "males = 1")


@pytest.mark.parametrize(
    ("base", "names"),
    [
        (BASE, ["one fewer", "more rock"]),
        (ONE_FISH, ["more rock"]),
        (BASE.replace("cover = 0.3\nheight = 20", "cover = 0"), ["one fewer", "more rock"]),
        (BASE.replace("cover = 0.3\n", "cover = 0.6\n"), ["one fewer", "less rock"]),
        (BASE.replace("cover = 0.3\nheight = 20", 'sketch = ["2222", "0011"]'), ["one fewer", "more rock"]),
    ],
)
def test_a_file_without_alternatives_is_shown_what_to_write(
    club: str, ran: Ran, capsys: Capsys, base: str, names: list[str]
) -> None:
    Path("plain.toml").write_text(base, encoding="utf-8")
    said = answered(capsys, "compare", "plain.toml", ends=2).err
    assert "--swap SPECIES" in said
    example = said[said.index("[[alternative]]\nname") :]
    scenario = parse(base + example, name="example.toml")  # what it shows can be used as it stands
    assert [one.name for one in scenario.alternatives] == names
    for one in scenario.alternatives:
        assert (one.scenario.stock, one.scenario.rock) != (scenario.stock, scenario.rock)


def test_the_answer_is_printed_and_every_trial_run_once(club: str, ran: Ran, capsys: Capsys) -> None:
    told = answered(capsys, "compare", club, "--full")
    assert sorted(ran) == sorted(
        [(7, t) for t in range(8)] * 2 + [(5, t) for t in range(8)] + [(6, t) for t in range(8)]
    )
    assert "What if? Club tank" in told.out
    assert "nothing changed in any simulated tank" in told.out
    assert "Best: one hot male" in told.out
    assert "4 tanks side by side, at most 32 simulated tanks" in told.err


def test_json_is_the_same_answer(club: str, ran: Ran, capsys: Capsys) -> None:
    asked = ("compare", club, "--json", "--for", f"{MILD} female 2", "--goal", "hidden")
    told = json.loads(answered(capsys, *asked).out)
    assert told["whose"] == f"{MILD} female 2"
    assert told["goal"] == "hidden"
    assert [one["name"] for one in told["against"]] == ["the same rock", "one hot male", "no mild female 2"]
    assert told["best"][3] is None  # it is not in that tank
    group = told["against"][1]["groups"][1]
    assert group["role"] == "chosen"
    assert group["figures"]["lost"]["difference"]["value"] == pytest.approx(-0.4)
    assert told["recipe"]["trials"] == 8


def test_options_hold_for_the_alternatives_too(club: str) -> None:
    Path("later.toml").write_text(BASE + FEWER + LATER + FIRST, encoding="utf-8")
    line = build_parser().parse_args(
        ["compare", "later.toml", "--trials", "3", "--seed", "9", "--days", "1", "--fixed"]
    )
    found = comparing.everything_changed(changed(line.file, line), line)
    for one in [found, *(other.scenario for other in found.alternatives)]:
        run = one.run
        assert (run.trials, run.guesses, run.seed, run.fixed) == (3, 4, 9, True)
    fewer, later, first = (one.scenario.run for one in found.alternatives)
    assert (found.run.days, found.run.settle_days) == (1.0, 0.1)
    assert (fewer.days, fewer.settle_days) == (1.0, 0.1)
    assert (later.days, later.settle_days) == (1.0, 0.1)
    assert (first.days, first.settle_days) == (1.0, 0.1)


def test_an_alternative_held_to_the_days_of_the_base_stays_so(club: str) -> None:
    text = BASE.replace(f'species = "{HOT}"\n', f'species = "{HOT}"\nday = 2\n')
    only_mild = f'[[alternative]]\nname = "without them"\nremove = [{{ species = "{HOT}" }}]\n'
    Path("held.toml").write_text(text + only_mild, encoding="utf-8")
    line = build_parser().parse_args(["compare", "held.toml", "--days", "1"])
    found = comparing.everything_changed(changed(line.file, line), line)
    run = found.alternatives[0].scenario.run
    assert (run.days, run.settle_days) == (pytest.approx(3.0), pytest.approx(2.1))


FIRST = f'[[alternative]]\nname = "mild ones first"\nwhen = [{{ species = "{HOT}", day = 1 }}]\n'


def test_sharing_out_says_what_it_did(club: str, ran: Ran, capsys: Capsys) -> None:
    said = " ".join(answered(capsys, "compare", club, "--share-out", "--trials", "40", "--full").out.split())
    assert "optimal computing budget allocation (source: Chen2000)" in said
    assert "Ended as the best was clear" in said
    assert len(ran) < 160


def test_until_runs_to_the_width_or_says_that_it_was_not_reached(club: str, ran: Ran, capsys: Capsys) -> None:
    said = " ".join(answered(capsys, "compare", club, "--until-rate", "20 %", "--full").out.split())
    assert "Enough after 80 simulated tanks of each" in said  # the second look: two in a row
    assert len(ran) == 4 * 80
    said = " ".join(
        answered(capsys, "compare", club, "--until", "0.05", "--trials", "8", "--full").out.split()
    )
    assert "Not reached with the cap of 8" in said
    assert "4 guesses are too few" in said


def test_a_folder_is_written_and_gone_on_from(
    club: str, ran: Ran, monkeypatch: Patch, capsys: Capsys
) -> None:
    whole = answered(capsys, "compare", club, "--json").out
    simulated_as(monkeypatch, stop_after=13)
    left = stay_after_ctrl_c(monkeypatch)
    told = answered(capsys, "compare", club, "--out", "out", "--json", ends=130)
    assert left == [130]
    assert "Stopped by Ctrl-C: the answer is of 12 simulated tanks" in told.err
    assert json.loads(told.out)["trials"] == [3, 3, 3, 3]
    again = simulated_as(monkeypatch)
    told = answered(capsys, "compare", club, "--out", "out", "--json")
    assert "out holds 13 finished simulated tanks" in told.err
    assert len(again) == 32 - 13
    assert json.loads(told.out) == json.loads(whole)
    assert sorted(one.name for one in Path("out").iterdir()) == [
        "compare.csv",
        "compare.json",
        "compare.png",
        "dictionary.csv",
        "work.sqlite",
    ]
    assert json.loads(Path("out/compare.json").read_text(encoding="utf-8")) == json.loads(whole)
    Path("club.toml").write_text(
        (BASE + NOTHING + FEWER + GONE).replace("males = 3", "males = 4"), encoding="utf-8"
    )
    assert_refused(capsys, "compare", club, "--out", "out", said="holds the finished trials of another run")


def test_the_picture_fills_a_projector_and_says_itself(club: str, ran: Ran, capsys: Capsys) -> None:
    answered(capsys, "compare", club, "--picture", "club.png")
    picture = Image.open("club.png")
    assert picture.size == (1920, 1080)
    assert "one hot male: Tropheus duboisi females swim free more" in picture.info["Description"]


def test_a_picture_of_many_alternatives_shows_the_first_and_says_so(
    club: str, ran: Ran, monkeypatch: Patch
) -> None:
    many = "".join(
        FEWER.replace("one hot male", f"one hot male, {'again and ' * 6}{k}") for k in range(ROWS + 2)
    )
    scenario = parse(BASE + many, name="many.toml")
    from fake_compare import tables
    from rockshy.analysis.measures.groups import Group
    from rockshy.analysis.questions.compare.answer import answer_of

    found = answer_of(scenario, tables(scenario, trials=4), group=Group(species=MILD))
    figure = comparison_picture(found)
    words = [text.get_text() for axes in figure.axes for text in axes.texts]
    assert f"The first {ROWS} of {ROWS + 2} alternatives; all are in the words." in words
    assert sum(word.startswith("one hot male") for word in words) == ROWS
    caption = comparison_caption(found)
    assert "again and 11:" in caption
    assert "again and 12:" not in caption
    renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
    for text in (text for axes in figure.axes for text in axes.texts):
        box = text.get_window_extent(renderer)
        assert box.x0 >= 0
        assert box.x1 <= 1920


def test_swap_tries_the_library_and_prints_three_lists(club: str, ran: Ran, capsys: Capsys) -> None:
    told = answered(capsys, "compare", "plain.toml", "--swap", HOT, "--trials", "4")
    assert "simulated tanks each: " in told.err
    for head in ("Calmer for them", "No difference seen", "Worse for them"):
        assert head in told.out
    assert "species instead" in told.err
    count = len(plan_swap(parse(BASE, name="x"), HOT).tried)
    assert len(ran) == 4 * (count + 1)


def test_swap_goes_on_from_its_folder(club: str, ran: Ran, monkeypatch: Patch, capsys: Capsys) -> None:
    argv = ("compare", "plain.toml", "--swap", HOT, "--trials", "2", "--json")
    whole = json.loads(answered(capsys, *argv).out)
    jobs = len(ran)
    simulated_as(monkeypatch, stop_after=jobs - 5)
    left = stay_after_ctrl_c(monkeypatch)
    assert json.loads(answered(capsys, *argv, "--out", "out", ends=130).out)["trials"] == 1
    assert left == [130]
    again = simulated_as(monkeypatch)
    assert json.loads(answered(capsys, *argv, "--out", "out").out) == whole
    assert len(again) == 5
    assert json.loads(Path("out/swap.json").read_text(encoding="utf-8")) == whole
    assert "value" not in json.dumps(whole["verdicts"])  # no scores


def test_how_long_a_swap_takes_is_judged_by_the_tank_as_it_is() -> None:
    plan = plan_swap(parse(BASE, name="x"), HOT)
    jobs = swap_jobs(plan, 4)
    wanted = OF_BOTH * 6.0 * len(jobs)  # six seconds a tank with two set-ups
    said = _how_long([0.0, 6.0, 12.0], plan, jobs, None)
    assert said.startswith(f": about {round(wanted / 60)} minutes")
    assert _how_long([0.0], plan, jobs, None) == ""
    quick = about(OF_BOTH * 0.1 * len(jobs))
    assert _how_long([0.0, 0.1], plan, jobs, None) == f": {quick} here"


def test_run_goes_on_until_its_interval_is_narrow_enough(club: str, ran: Ran, capsys: Capsys) -> None:
    said = " ".join(answered(capsys, "run", "plain.toml", "--until-rate", "20 %", "--full").out.split())
    assert "Enough after 80 simulated tanks, at two looks in a row" in said
    assert "80 simulated tanks; 4 guesses" in said
    assert "rockshy show plain.toml --trial" in said
    assert "--trials 1024" in said  # so that show knows the later ones
    assert sorted(trial for _, trial in ran) == list(range(80))
    asked = ("run", "plain.toml", "--until", "0.05")
    told = json.loads(answered(capsys, *asked, "--trials", "12", "--json").out)
    assert (told["done"], told["asked"], told["until"]["reached"]) == (12, 12, False)
    assert_refused(capsys, *asked, "--until-rate", "0.1", said="use one at a time")


def test_a_run_until_is_stopped_by_ctrl_c(club: str, ran: Ran, monkeypatch: Patch, capsys: Capsys) -> None:
    simulated_as(monkeypatch, stop_after=5)
    left = stay_after_ctrl_c(monkeypatch)
    told = answered(capsys, "run", "plain.toml", "--until", "0.1", ends=130)
    assert left == [130]
    assert "the answer is of 5 of 1024 simulated tanks" in told.err
    assert "5 of the 1024 simulated tanks asked for" in " ".join(told.out.split())
