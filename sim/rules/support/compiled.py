"""How rules are compiled: one decorator, one cache folder for each state of the sources.

Numba's cache looks at the edited file alone, so a compiled caller would keep calling the old
version of a helper in another file. The cache folder therefore carries a hash of all sources
that can reach compiled code and is set before anything compiles.
"""

from __future__ import annotations

import hashlib
import os
import re
import sys
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any, NamedTuple, TypeVar, cast

import numba
import numpy as np
from numba import njit
from numba.core import config as _config

from .caches import note_use

F = TypeVar("F", bound=Callable[..., object])

_HERE = Path(__file__).parents[2]  # sim/
_SIM = __name__.removesuffix("rules.support.compiled")
_settings: Any = _config
_DECORATORS = "compiled import"
_IMPORT = re.compile(r"^from (\.+)([\w.]+) import", re.MULTILINE)


def compiled_sources() -> list[Path]:
    """Every source whose text can end up in compiled code: files with rules, and all that those import."""
    found: list[Path] = []
    waiting = [
        path for path in sorted(_HERE.rglob("*.py")) if _DECORATORS in path.read_text(encoding="utf-8")
    ]
    while waiting:
        path = waiting.pop()
        if path in found:
            continue
        found.append(path)
        for dots, name in _IMPORT.findall(path.read_text(encoding="utf-8")):
            other = path.parents[len(dots) - 1] / (name.replace(".", "/") + ".py")
            if other.is_file():
                waiting.append(other)
    return sorted(found)


def sources_hash() -> str:
    """Hash of the sources behind the compiled rules (16 hexadecimal digits)."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for path in compiled_sources():
        digest.update(path.relative_to(_HERE).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def user_cache() -> Path:
    """The folder in which this project keeps what it can make again, where the platform has it."""
    if os.environ.get("NUMBA_CACHE_DIR"):
        return Path(os.environ["NUMBA_CACHE_DIR"])
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Caches")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "rockshy"


def _writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def cache_folder() -> Path:
    """The folder compiled rules are kept in; a temporary one where the user's own cannot be written."""
    name = f"rules-{sources_hash()}"
    folder = user_cache() / name
    return folder if _writable(folder) else Path(tempfile.gettempdir()) / "rockshy" / name


def is_compiling() -> bool:
    """Whether rules are compiled at all (False with NUMBA_DISABLE_JIT=1)."""
    return not _settings.DISABLE_JIT


if is_compiling():
    _settings.CACHE_DIR = str(cache_folder())
    note_use(Path(_settings.CACHE_DIR))


FUNCTIONS: dict[str, Any] = {}
"""Everything that is compiled, as its file says and by where it is: "rules.attack.choose_target"."""


class _Twin(NamedTuple):
    """What the files of the rules give where they are imported once more, for a set of a reader's own."""

    own: Mapping[str, Callable[..., Any]]  # in the places of these of FUNCTIONS
    anew: Collection[str]  # these of FUNCTIONS are compiled again, all others are the same as ever


_twin: ContextVar[_Twin | None] = ContextVar("twin", default=None)


@contextmanager
def putting_in(own: Mapping[str, Callable[..., Any]], *, anew: Collection[str]) -> Iterator[None]:
    """While rules are imported once more within, under another name: functions of a reader's own in places.

    What is compiled then is kept for this process alone: the disk knows the project's own rules.
    """
    token = _twin.set(_Twin(own, anew))
    try:
        yield
    finally:
        _twin.reset(token)


def _jit(fn: F, **options: object) -> F:
    twin = _twin.get()
    if twin is None:
        where = f"{fn.__module__.removeprefix(_SIM)}.{fn.__name__}"
        FUNCTIONS[where] = made = _compiled(fn, cache=True, **options)
        return made
    where = f"{fn.__module__.partition('.')[2]}.{fn.__name__}"
    if where not in twin.anew:
        return cast(F, FUNCTIONS[where])
    return _compiled(cast(F, twin.own.get(where, fn)), cache=False, **options)


def _compiled(fn: F, **options: object) -> F:
    if not is_compiling():
        return fn
    jit: Any = njit
    compiled: F = jit(nogil=True, error_model="numpy", **options)(fn)
    return compiled


index = np.uint64
"""A place in an array that is known not to be negative: the compiled look-up need not count from the end."""


def rule(fn: F) -> F:
    """Compile a function that may make arrays, or leave it plain Python when compilation is off.

    The lock is released while it runs, so trials run side by side in threads. Division by
    zero follows NumPy; rules must not rely on it.
    """
    return _jit(fn)


def lean(fn: F) -> F:
    """Compile a rule that makes no array: Numba then counts no references to the arrays it reads.

    Counting them was measured to cost twenty times the work of the rules.
    """
    return _jit(fn, _nrt=False, no_cfunc_wrapper=True)


def small(fn: F) -> F:
    """Compile a rule like :func:`lean` and copy it into its callers."""
    return _jit(fn, _nrt=False, forceinline=True, no_cfunc_wrapper=True)
