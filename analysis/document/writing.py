"""Every file that is written: the old one or the new one, never half of it, and why not in plain words.

A file is first written under another name in its own folder and then takes its place. Nothing else in this
package opens a file to write, but for the finished trials of :mod:`rockshy.analysis.study.kept`, which
have transactions of their own.
"""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

_HELD = "another program holds it open, or it is not yours to change"
_FULL = "the disk is full: make room, then type the same command again"
_WHY = {
    "ENOSPC": _FULL,
    "EDQUOT": "your share of the disk is used up: make room, then type the same command again",
    "EFBIG": "it is larger than a file may be there",
    "EROFS": "that disk can only be read",
    "EIO": "that disk fails",
    "ENOENT": "its folder is not there",
    "ENOTDIR": "there is a file where its folder should be",
    "EISDIR": "a folder has that name",
    "ENAMETOOLONG": "its name is too long",
    "EACCES": _HELD,
    "EPERM": _HELD,
    "EBUSY": _HELD,
    "ETXTBSY": _HELD,
}
_NAME = 60  # signs of a name that its other name keeps, so that it is not too long
_SHOWN = 3  # files that a message names for one reason


class NotWrittenError(OSError):
    """A file could not be written; the message names it and says why."""

    def __init__(self, path: str | os.PathLike[str], why: str) -> None:
        super().__init__(f"{os.fspath(path)}: not written, since {why}")
        self.path, self.why = os.fspath(path), why


def why_not(problem: OSError) -> str:
    """The reason why something cannot be written, in plain words."""
    return _WHY.get(errno.errorcode.get(problem.errno or 0, ""), problem.strerror or str(problem))


def not_written(problems: Sequence[NotWrittenError]) -> str:
    """Files that could not be written, one line for each reason."""
    by_reason: dict[str, list[str]] = {}
    for one in problems:
        by_reason.setdefault(one.why, []).append(one.path)
    return "\n".join(f"{_listed(paths)}: not written, since {why}" for why, paths in by_reason.items())


def _listed(paths: Sequence[str]) -> str:
    more = f" and {len(paths) - _SHOWN} more" if len(paths) > _SHOWN else ""
    return ", ".join(paths[:_SHOWN]) + more


class Draft:
    """A file under its other name, ``temporary``, until it is put in its place or dropped.

    ``sign`` keeps two drafts of one file apart.
    """

    def __init__(self, path: str | os.PathLike[str], *, sign: str = "") -> None:
        self.path = Path(path)
        self._place = self.path.resolve() if self.path.is_symlink() else self.path
        self.temporary = self._place.with_name(f".{self._place.name[:_NAME]}{sign}.tmp")

    @contextlib.contextmanager
    def named(self) -> Iterator[None]:
        """Errors inside are of this file."""
        try:
            yield
        except OSError as problem:
            raise NotWrittenError(self.path, why_not(problem)) from problem

    def put(self) -> None:
        """Take the place of the file of that name.

        Raises
        ------
        NotWrittenError
            When that one cannot be replaced; it stays as it is.
        """
        with self.named():
            self.temporary.replace(self._place)

    def drop(self) -> None:
        """Leave nothing under the other name."""
        with contextlib.suppress(OSError):
            self.temporary.unlink(missing_ok=True)


@contextlib.contextmanager
def whole(path: str | os.PathLike[str], *, sign: str = "") -> Iterator[Path]:
    """The name under which to write a file, which takes its place when the block ends well.

    Parameters
    ----------
    sign : see :class:`Draft`.

    Raises
    ------
    NotWrittenError
        When it cannot be written; an earlier file of that name stays as it is.
    """
    draft = Draft(path, sign=sign)
    try:
        with draft.named():
            yield draft.temporary
        draft.put()
    finally:
        draft.drop()


def write_bytes(path: str | os.PathLike[str], content: bytes) -> Path:
    """Write a file; returns its path.

    Raises
    ------
    NotWrittenError
        See :func:`whole`.
    """
    with whole(path) as temporary:
        temporary.write_bytes(content)
    return Path(path)


def write_text(path: str | os.PathLike[str], text: str) -> Path:
    """Write a file in UTF-8, lines ended as on Linux; returns its path.

    Raises
    ------
    NotWrittenError
        See :func:`whole`.
    """
    return write_bytes(path, text.encode("utf-8"))
