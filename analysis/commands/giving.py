"""The answer first, then the files: what cannot be written costs neither the answer nor the other files."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.progress import say
from ..document.writing import NotWrittenError, not_written, why_not
from ..study.layout import StoreError

if TYPE_CHECKING:
    import argparse

    from ...sim.scenario.scenario import Scenario
    from ..document import Document
    from ..document.brief import Brief
    from ..study.dictionary import Columns
    from ..study.kept import Kept

    Table = tuple[str, Callable[[], str], Columns]  # name of the file, what makes its text, its columns

P = ParamSpec("P")
T = TypeVar("T")

MORE = "For all figures add --full; with --out DIR nothing is simulated twice."


class Files:
    """Writes one thing after the other and remembers what could not be written."""

    def __init__(self) -> None:
        self._files: list[NotWrittenError] = []
        self._others: list[str] = []

    def __call__(self, make: Callable[P, T], *args: P.args, **how: P.kwargs) -> T | None:
        """What ``make`` returns; None when it could not write."""
        try:
            return make(*args, **how)
        except NotWrittenError as problem:
            self._files.append(problem)
        except OSError as problem:
            place = f"{problem.filename}: " if problem.filename else ""
            self._others.append(place + why_not(problem))
        except StoreError as problem:
            self._others.append(str(problem))
        return None

    def tables(self, folder: Path, tables: Sequence[Table]) -> None:
        """Write CSV files, and the data dictionary of their columns beside them."""
        from ..document.writing import write_text
        from ..study.dictionary import DICTIONARY, dictionary_text

        for name, text, _ in tables:
            self(write_text, folder / name, text())
        columns = {name: columns for name, _, columns in tables}
        self(write_text, folder / DICTIONARY, dictionary_text(columns))

    def check(self) -> None:
        """Say at the end what could not be written.

        Raises
        ------
        RefusedError
            When there was anything.
        """
        if self._files or self._others:
            raise RefusedError("\n".join([*filter(None, [not_written(self._files)]), *self._others]))


@dataclass(frozen=True)
class Answer:
    """What a question came to, as it is printed and written.

    Attributes
    ----------
    scenario : whose names the keeper typed.
    words, brief : the whole answer, and its first lines, which are printed alone unless all is asked for.
    told : what JSON says; ``json`` is the name of that file in the result folder.
    table, more : the name of a CSV file in it, what makes its text, and its columns; and further ones.
    draw : draws it to a file and returns something with its ``path``; ``png``: its name in the folder.
    of_days : whether days alone are simulated, of a file that reaches over months too: that is said on top.
    """

    scenario: Scenario
    words: Callable[[], Document]
    told: Mapping[str, object]
    json: str
    is_whole: bool
    table: Table | None = None
    more: Sequence[Table] = ()
    draw: Callable[[Path], Any] | None = None
    png: str = ""
    brief: Callable[[], Brief] | None = None
    of_days: bool = False

    def give(self, line: argparse.Namespace, kept: Kept | None) -> int:
        """Print the answer, then write what the line asks for; the exit status."""
        from ..document.files import json_text
        from ..document.writing import write_text

        part = self._part()
        told = json_text({**self.told, **({"part": part} if part else {})})
        with given(told if line.json else self._text(line)) as files:
            if kept is not None:
                if self.table is not None:
                    files.tables(kept.folder, (self.table, *self.more))
                if self.png:
                    files(self._drawn, kept.folder / self.png)
                files(write_text, kept.folder / self.json, told + "\n")
                say(f"Result folder: {kept.folder}")
            if getattr(line, "picture", None) is not None:
                files(self._drawn, Path(line.picture))
        return DONE if self.is_whole else STOPPED

    def _text(self, line: argparse.Namespace) -> str:
        from ..document import Paragraph, Section, as_text, document, flush
        from ..document.typed import Typed

        typed = Typed(self.scenario)
        if self.brief is None:
            return as_text(typed.document(self.words()))
        first = typed.brief(self.brief()).section
        if part := self._part():
            first = Section((Paragraph(part), *first.blocks))
        hint = self._hint(line, as_text(document(first)))
        rest = typed.document(self.words()).sections if line.full else (flush(hint, MORE),)
        return as_text(document(first, *rest))

    def _hint(self, line: argparse.Namespace, first: str) -> str:
        """That the question names other fish, of a command that can be asked about them and was not."""
        from ..asking.question import hint_of

        asked = [getattr(line, name) for name in ("fish", "species") if hasattr(line, name)]
        return hint_of(self.scenario, first) if asked == [None] else ""

    def _part(self) -> str:
        from ..questions.life.reach import part_said

        return part_said(self.scenario) if self.of_days else ""

    def _drawn(self, path: Path) -> None:
        assert self.draw is not None
        say(f"Picture: {self.draw(path).path}")


@contextlib.contextmanager
def given(answer: str) -> Iterator[Files]:
    """Print an answer; inside, write its files with what is handed out.

    Raises
    ------
    RefusedError
        At the end, when something could not be written.
    """
    files = Files()
    files(hand_out, answer)
    yield files
    files.check()


def hand_out(text: str, *, end: str = "\n") -> None:
    """Print a text and see it on its way before anything else is done.

    Whoever reads it may have gone (``| head``): then nothing more is printed.

    Raises
    ------
    NotWrittenError
        When what is printed goes to a file that cannot be written.
    """
    try:
        print(text, end=end, flush=True)
    except BrokenPipeError:
        close_quietly()
    except OSError as problem:
        close_quietly()
        raise NotWrittenError("the answer", why_not(problem)) from problem


def close_quietly() -> None:
    """Let nothing more be printed, so that Python does not complain at exit."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
