"""What each question of a page is answered with: plain functions, to be run in a thread.

Every function takes the desk, the name of the page and what it sent, and gives what can be said as JSON, or
raises: a RefusalError, or whatever :func:`.refusals.refusal_of` finds words for. Nothing here touches
the disk.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any

from .... import scenarios
from ...asking.progress import OF_A_RUN, PREPARING, must_prepare
from ..task import Draft
from . import wire
from .estimating import Estimates
from .first import ready_draft
from .guard import MOST_BYTES
from .jobs import Jobs
from .refusals import CANNOT, MISSING, RefusalError
from .shown import Shown
from .wire import PageRequest

if TYPE_CHECKING:
    from ....sim.scenario.given import GivenDraws
    from ....sim.scenario.scenario import Scenario


Answer = dict[str, Any]
Handler = Callable[["Desk", str, PageRequest], Answer]
FilmHandler = Callable[["Desk", str, PageRequest, Callable[[], bool]], Answer]


@dataclass
class Desk:
    """What a server holds: no document, only work and what it led to."""

    first: Draft
    jobs: Jobs = field(default_factory=Jobs)
    shown: Shown = field(default_factory=Shown)
    estimates: Estimates = field(init=False)
    given: GivenDraws | None = None  # draws that a tally has narrowed, for whatever is tried

    def __post_init__(self) -> None:
        self.estimates = Estimates(lambda: self.jobs)

    def scenario_of(self, draft: Draft, read: Callable[[Draft], Scenario] | None = None) -> Scenario:
        """The scenario of a draft, as it is tried out; ``read``: instead of a tank with fish."""
        from ...questions.fit.draws import under
        from ..viewing.view import scenario_of

        found = (read or scenario_of)(draft)
        return found if self.given is None else under(found, self.given)


def begin(desk: Desk, page: str, told: PageRequest) -> Answer:
    """The scenario to begin with, and what there is to choose from."""
    from ..viewing.species import species_list

    wire.only(told)
    return {
        **_viewed(desk.first, 0),
        "species": species_list(),
        "scenarios": _ready(),
        "rooms": _rooms(),
        "fields": _fields(),
        "limits": {"bytes": MOST_BYTES},
        "estimates": True,
    }


def open_file(desk: Desk, page: str, told: PageRequest) -> Answer:
    """A file that somebody brings, or a ready scenario."""
    if "sides" in told:
        from ..editing.owning import empty_tank

        wire.only(told, "sides")
        return _viewed(empty_tank(wire.taken(told, "sides", dict)), 0)
    if "scenario" in told:
        wire.only(told, "scenario")
        name = wire.taken(told, "scenario", str)
        if name not in scenarios.names():
            allowed = ", ".join(scenarios.names())
            raise RefusalError(CANNOT, f'scenario is "{name[:40]}"; use {allowed}')
        return _viewed(ready_draft(name), 0)
    wire.only(told, "draft")
    draft = wire.draft_of(told)
    from ..viewing.read import scenario_of, values_of

    if values_of(draft.text) is None:
        scenario_of(draft)  # says what is wrong with it, and where
    return _viewed(draft, 0)


def look(desk: Desk, page: str, told: PageRequest) -> Answer:
    """A draft as it is understood."""
    from ..viewing.view import view_of

    wire.only(told, "draft", "which")
    return {"view": view_of(wire.draft_of(told), wire.which_of(told))}


def edit(desk: Desk, page: str, told: PageRequest) -> Answer:
    """A draft with changes made to it, all of them or none."""
    from ..editing.edits import edited_and_said

    wire.only(told, "draft", "which", "changes")
    draft, which, changes = wire.draft_of(told), wire.which_of(told), wire.changes_of(told)
    if any(change["do"] == "take change" for change in changes):
        if len(changes) > 1:
            raise RefusalError(CANNOT, "there are several changes; use one change that helps, alone")
        return _viewed(_with_taken(desk, page, draft, changes[0]), which)
    new, said = edited_and_said(draft, which, changes)
    return {**_viewed(new, which), "said": said}


def rock(desk: Desk, page: str, told: PageRequest) -> Answer:
    """The rock of a draft: as a grid, as a picture, what it weighs and what can be seen from a place."""
    from ..rock.view import rock_view

    wire.only(told, "draft", "which", "place", "trial", "changes")
    draft, which, place = wire.draft_of(told), wire.which_of(told), wire.place_of(told)
    changes = wire.changes_of(told) if told.get("changes") else []
    return rock_view(draft, which, place, trial=wire.trial_of(told) or 0, changes=changes)


def species(desk: Desk, page: str, told: PageRequest) -> Answer:
    """What is known of a species, number by number."""
    from ..viewing.species import species_page

    wire.only(told, "draft", "name")
    name = wire.taken(told, "name", str)
    return species_page(wire.draft_of(told), name[: wire.LONGEST_NAME])


def paste(desk: Desk, page: str, told: PageRequest) -> Answer:
    """Rows of a spreadsheet after the stock, or in its place.

    ``said``: what was read, and what is wrong with rows that were not; ``left``: the lines of those, or "".
    """
    from ..editing.owning import own
    from ..editing.pasting import pasted_and_left

    wire.only(told, "draft", "which", "list", "instead")
    draft, which = wire.draft_of(told), wire.which_of(told)
    text, instead = wire.taken(told, "list", str), wire.taken(told, "instead", bool)
    new, said, left = pasted_and_left(draft, which, text, instead)
    if which == 0:
        new, more = own(draft, new)
        said += more
    return {**_viewed(new, which), "said": said, "left": left}


def watching(desk: Desk, page: str, told: PageRequest) -> Answer:
    """What to tap at the real tank."""
    from ..viewing.read import shown
    from ..work.watching import watching_told

    wire.only(told, "draft", "which")
    scenario = desk.scenario_of(wire.draft_of(told))
    which = min(wire.which_of(told), len(scenario.alternatives))
    return watching_told(shown(scenario, which))


def start(desk: Desk, page: str, told: PageRequest) -> Answer:
    """Begin to try something out."""
    from ..work.kinds import READ, WORK

    wire.only(told, "draft", "what")
    draft, what = wire.draft_of(told), wire.what_of(told, WORK)
    desk.jobs.check_free(page)
    work, scenario = WORK[what["kind"]], desk.scenario_of(draft, READ.get(what["kind"]))
    at_first = PREPARING if must_prepare(last=OF_A_RUN) else ""
    if desk.given is not None:
        from ...questions.fit.words import ONLY_NOW

        at_first = f"{at_first} With the draws narrowed by your tally. {ONLY_NOW}".strip()
    given: Answer = {"draft": draft, "scenario": scenario, "what": what, "show": desk.shown.put}
    return {"job": desk.jobs.start(page, work=work, at_first=at_first, **given).name}


def estimate(desk: Desk, page: str, told: PageRequest) -> Answer:
    """A provisional verdict of a tank that was not run, at once, from runs of others with its species.

    Asked with ``draft`` and ``which``, and ``was``: the draft that it is a change of, or null;
    ``amounts``: whether with what each slider does. Answered with

    - ``estimate``: null, or of the worst-off fish ``who`` (a kind's name), ``labels``, ``kept`` (share of the
      swimming about they would do if left alone), ``low`` and ``high`` (90 % band), ``word`` (of the four),
      ``difference`` to the tank as it was (null, or ``value``, ``low``, ``high`` of the share kept and
      ``sign``: 1 better, -1 worse, 0 cannot be told); ``said``, sentences;
      ``groups``, the same of all kinds.
    - ``why``: a sentence where there is none (yet).
    - ``amounts``, where asked for: of each slider its ``field``, the ``rows`` of the stock that it counts,
      ``low``, ``high`` and ``now``, what is kept at ``amounts`` along it, which of them are ``good`` (first
      and last, or null), and a sentence, ``said``.
    - ``tanks`` run so far, ``least`` before there is an estimate, ``most`` that are run.

    Tanks are run while a page goes on asking (every few seconds while ``tanks`` is below ``most``).
    """
    wire.only(told, "draft", "which", "was", "amounts")
    which, amounts = wire.which_of(told), told.get("amounts") is True
    was = wire.draft_of({"draft": told["was"]}) if told.get("was") is not None else None
    scenario = _alone(desk, wire.draft_of(told), which)
    return desk.estimates.ask(
        scenario, None if was is None else _alone_or_none(desk, was, which), amounts=amounts
    )


def _alone(desk: Desk, draft: Draft, which: int) -> Scenario:
    from ..viewing.read import shown

    scenario = desk.scenario_of(draft)
    return shown(scenario, min(which, len(scenario.alternatives)))


def _alone_or_none(desk: Desk, draft: Draft, which: int) -> Scenario | None:
    try:
        return _alone(desk, draft, which)
    except ValueError:
        return None


def stop(desk: Desk, page: str, told: PageRequest) -> Answer:
    """End what is tried out; what is done stays."""
    wire.only(told, "job")
    desk.jobs.stop(page, wire.taken(told, "job", str))
    return {}


def film(desk: Desk, page: str, told: PageRequest, halted: Callable[[], bool]) -> Answer:
    """A film of one of the simulated tanks, kept to be shown."""
    from ....sim.run.model import HaltedError
    from ..work.filming import film_of

    wire.only(told, "draft", "which", "trial", "beside", "change", "minutes")
    draft, which = wire.draft_of(told), wire.which_of(told)
    change = wire.taken(told, "change", dict, empty=True)
    try:
        document, said = film_of(
            desk.scenario_of(draft),
            which=which,
            trial=wire.trial_of(told),
            beside=wire.copy_of(told, "beside", empty=True),
            change=None if change is None else _taken_change(desk, page, change),
            kept=_kept(desk, page, draft, which, change),
            minutes=wire.amount_of(told, "minutes"),
            file={"name": draft.name, "text": draft.text},
            halted=halted,
        )
    except HaltedError:
        return {}  # another was asked for in the meantime
    return {**said, "shown": desk.shown.put(document)}


def live(desk: Desk, page: str, told: PageRequest, halted: Callable[[], bool]) -> Answer:
    """Some minutes of a simulated day, to be played on the page itself."""
    from ....sim.run.model import HaltedError
    from ..work.living import living

    wire.only(told, "draft", "shown", "trial", "day")
    day = wire.number_of(told, "day", most=wire.MOST_DAYS) or 1
    try:
        return living(
            desk.scenario_of(wire.draft_of(told)),
            wire.several_of(told, "shown"),
            trial=wire.trial_of(told) or 0,
            day=day,
            halted=halted,
        )
    except HaltedError:
        return {}  # another was asked for in the meantime


def _viewed(draft: Draft, which: int) -> Answer:
    from ..viewing.view import view_of

    return {"draft": asdict(draft), "view": view_of(draft, which)}


@cache
def _ready() -> list[Answer]:
    """The ready scenarios: name, title, question."""
    read = {name: tomllib.loads(scenarios.text(name)) for name in scenarios.names()}
    return [
        {"name": name, "title": str(one.get("title", name)), "question": str(one.get("question", ""))}
        for name, one in read.items()
    ]


@cache
def _rooms() -> list[Answer]:
    """The ready fish rooms: name, title, question."""
    from ....scenarios import rooms

    read = {name: tomllib.loads(rooms.text(name)) for name in rooms.names()}
    return [{"name": name, "title": one["title"], "question": one["question"]} for name, one in read.items()]


@cache
def _fields() -> Answer:
    """The fields of a scenario file: what each is called, and how it is written."""
    from ....sim.scenario.reading.limits import FIELDS

    return {one.name: {"label": one.meaning, "kind": one.kind} for one in FIELDS}


def _with_taken(desk: Desk, page: str, draft: Draft, change: PageRequest) -> Draft:
    """A draft with a copy that a change makes which was found to help."""
    from ..editing.edits import with_change

    wire.only(change, "do", "job", "number", where="changes")
    name, scenario = _taken_change(desk, page, change)
    return with_change(draft, name, scenario)


def _taken_change(desk: Desk, page: str, change: PageRequest) -> tuple[str, Scenario]:
    """The words of a change that a job put forward, and the scenario with it."""
    job = desk.jobs.find(page, wire.taken(change, "job", str))
    number = wire.number_of(change, "number", most=10_000)
    changes: Mapping[int, tuple[str, Scenario]] = job.kept.get("changes", {})
    if number is None or number not in changes:
        raise RefusalError(MISSING, "This change is no longer kept; look for what helps again.")
    return changes[number]


def _kept(desk: Desk, page: str, draft: Draft, which: int, change: PageRequest | None) -> Mapping[str, Any]:
    """What the work that a film belongs to has kept; empty where nothing of this very draft was tried."""
    if change is not None:
        return desk.jobs.find(page, change["job"]).kept
    tried, compared = (desk.jobs.newest(page, kind) for kind in ("try", "compare"))
    if tried is not None and tried.draft == draft and tried.what.get("which", 0) == which:
        return tried.kept
    return compared.kept if compared is not None and compared.draft == draft else {}
