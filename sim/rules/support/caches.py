"""Caches of compiled rules that nobody uses any more: 20 MB for each state of the sources."""

from __future__ import annotations

import contextlib
import re
import shutil
import time
from pathlib import Path

KEPT_DAYS = 30.0  # since a cache was last used
USED = "used"  # file in a cache whose time says when rules were last taken from it

_NAME = re.compile(r"rules-[0-9a-f]{16}")
_ENDINGS = (".nbi", ".nbc")  # the files that Numba writes


def note_use(folder: Path) -> None:
    """Mark a cache as in use; with the first use of a new one the old ones beside it go."""
    mark = folder / USED
    is_new = not mark.exists()
    with contextlib.suppress(OSError):
        mark.touch()
    if is_new and folder.parent.name == "rockshy":  # a folder named by the user is not ours to clear
        clear_old(folder.parent, but=folder)


def clear_old(caches: Path, *, but: Path, now_s: float | None = None) -> list[Path]:
    """Remove caches that were not used for KEPT_DAYS; the removed ones are returned.

    A folder goes only when its name is that of a cache and it holds nothing but what Numba writes.

    Parameters
    ----------
    caches : the folder that they lie in.
    but : the one in use.
    now_s : seconds since 1970; the present when None.
    """
    before = (time.time() if now_s is None else now_s) - KEPT_DAYS * 86_400.0
    gone = []
    for folder in sorted(caches.glob("rules-*")):
        with contextlib.suppress(OSError):
            if folder != but and _is_cache(folder) and _last_use_s(folder) < before:
                shutil.rmtree(folder, ignore_errors=True)
                gone.append(folder)
    return gone


def _is_cache(folder: Path) -> bool:
    if not _NAME.fullmatch(folder.name) or folder.is_symlink() or not folder.is_dir():
        return False
    inside = [one for one in folder.rglob("*") if one.is_symlink() or not one.is_dir()]
    return all(not one.is_symlink() and (one.suffix in _ENDINGS or one == folder / USED) for one in inside)


def _last_use_s(folder: Path) -> float:
    return max(one.stat().st_mtime for one in (folder, *folder.rglob("*")))
