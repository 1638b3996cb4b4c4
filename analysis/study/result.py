"""Result: an answer that a reader can hold, show in a notebook, take as a table and write as JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ..document import Document, Paragraph, as_html, as_text
from ..document.files import json_text

if TYPE_CHECKING:
    import pandas as pd

_LINES = 4  # of the answer in a repr


@dataclass(frozen=True, repr=False)
class Result:
    """The answer to one question. Nothing more is simulated by looking at it.

    Attributes
    ----------
    question : the name of the call: "run", "compare", ...
    answer : every number of it; of what type, help of the function says.
    is_whole : whether all was run; False after Ctrl-C.

    Source
    ------
    The functions that make it: ``help(rockshy.run)`` and so on.
    """

    question: str
    answer: Any
    is_whole: bool
    _document: Callable[[], Document] = field(compare=False)
    _told: Callable[[], Mapping[str, object]] = field(compare=False)
    _frame: Callable[..., pd.DataFrame] = field(compare=False)

    @cached_property
    def _shown(self) -> Document:
        return self._document()

    def document(self) -> Document:
        """The answer in words: headings, paragraphs and tables."""
        return self._shown

    def to_frame(self, **windows: bool) -> pd.DataFrame:
        """The figures of every simulated tank as a table.

        Parameters
        ----------
        windows : of a run ``hours=True`` and ``days=True`` for the measured hours and days one by one.

        Returns
        -------
        pandas.DataFrame
            Units are in ``attrs["units"]``, by measure for a run and by column for the others, and what
            each of these means in ``attrs["meanings"]``.
        """
        return self._frame(**windows)

    def to_json(self) -> str:
        """The text that the command prints with ``--json``."""
        return json_text(self._told())

    def __str__(self) -> str:
        return as_text(self._shown)

    def __repr__(self) -> str:
        texts = [one.text for one in self._shown.blocks if isinstance(one, Paragraph)][:_LINES]
        lines = [text if len(text) <= 100 else f"{text[:97]}..." for text in texts]
        broken = "" if self.is_whole else ", stopped early"
        return "\n  ".join([f"<rockshy {self.question}{broken}", *lines]) + ">"

    def _repr_html_(self) -> str:
        return str(as_html(self._shown))
