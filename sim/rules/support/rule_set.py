"""Rules as a value: the project's own, or some of them replaced by functions of a reader's own."""

from __future__ import annotations

import difflib
import inspect
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from itertools import count
from threading import Lock
from types import FunctionType, ModuleType
from typing import Any, NamedTuple

_SIM = __name__.removesuffix(".rules.support.rule_set")
_LOOP = (".run.day", ".rules.night")
_numbers = count()
_making = Lock()
_here: dict[str, Rules] = {}  # sets that came from another process, by the sign they were made with


class Loop(NamedTuple):
    """A set of rules as a model runs it, compiled at its first call."""

    advance: Callable[..., int]  # see :func:`rockshy.sim.run.day.advance`
    night: Callable[..., None]  # see :func:`rockshy.sim.rules.night.night`


@dataclass(frozen=True, repr=False)
class Rules:
    """A set of rules of behaviour; a value, so it is never changed, only another made of it.

    ``Rules()`` is the project's own. A set belongs to a :class:`rockshy.sim.scenario.scenario.Scenario`,
    and so to every run of it; :class:`rockshy.sim.run.model.TankModel` and
    :func:`rockshy.sim.run.trials.run_trials` take one as well. A set is compiled at its first run and kept
    while Python runs; another set of the same functions is the same set. A process or a worker of a cluster
    compiles it once for itself. To reach one, functions must be importable by name there; Dask also takes
    those of a script or a notebook.

    Parameters
    ----------
    own : names of rules with the functions in their places; see :meth:`with_rule`.

    Source
    ------
    Each rule of the project names its own (``help`` of one of :meth:`known`); a reader's have none.
    """

    own: tuple[tuple[str, Callable[..., Any]], ...] = ()
    _sign: str = field(default_factory=lambda: os.urandom(8).hex(), compare=False)

    def with_rule(self, **own: Callable[..., Any]) -> Rules:
        """This set with plain functions in the places of the rules of these names.

        A function gets what the rule gets, by place: ``shoal``, ``p`` and so on. Where rules are compiled
        it must be one that Numba compiles, and what it reads from around it is fixed at the first run.

        Parameters
        ----------
        own : name of a rule, one of :meth:`known`, and the function in its place.

        Returns
        -------
        Rules
            The new set.

        Raises
        ------
        ValueError
            When a name is no rule, or the number of arguments differs.
        """
        known = self.known()
        for name, fn in own.items():
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                hint = f"; did you mean {near[0]!r}?" if near else "."
                raise ValueError(f"there is no rule {name!r}{hint} The rules are: {', '.join(sorted(known))}")
            wanted, given = _arguments(known[name]), _arguments(fn)
            if len(wanted) != len(given):
                raise ValueError(
                    f"rule {name!r} takes the arguments ({', '.join(wanted)}), not ({', '.join(given)})"
                )
        plain = {name: _plain(fn) for name, fn in own.items()}
        return Rules(tuple(sorted({**dict(self.own), **plain}.items())))

    @staticmethod
    def known() -> dict[str, FunctionType]:
        """Every rule that can be replaced, by name, as it is written; ``help`` of one says what it does."""
        return {name: fn for name, (_, fn) in _places().items() if name[0] != "_"}

    def loop(self) -> Loop:
        """The loop of a lit day and the night with these rules."""
        with _making:
            return _loop_with(self.own) if self.own else _loop_in(_SIM)

    def texts(self) -> dict[str, str]:
        """The text of each function of a reader's own, by the name of its rule, for a recipe.

        One whose text nobody has (typed into a prompt) counts as another in every new set.
        """
        return {name: _text(fn) or f"{fn.__qualname__}, text unknown, {self._sign}" for name, fn in self.own}

    def __repr__(self) -> str:
        told = (f"{name}={getattr(fn, '__qualname__', fn)}" for name, fn in self.own)
        return f"Rules({', '.join(told)})"

    def __reduce__(self) -> tuple[Any, ...]:
        """A worker takes the same set for the same each time it gets it, so that it compiles it once."""
        return _arrived, (self.own, self._sign)


def _arrived(own: tuple[tuple[str, Callable[..., Any]], ...], sign: str) -> Rules:
    return _here.setdefault(sign, Rules(own, sign))


def _arguments(fn: Callable[..., Any]) -> list[str]:
    return list(inspect.signature(fn).parameters)


def _text(fn: Callable[..., Any]) -> str:
    try:
        return inspect.getsource(fn)
    except (OSError, TypeError):
        return ""


def _loop_in(package: str) -> Loop:
    day, dark = (import_module(package + name) for name in _LOOP)
    return Loop(day.advance, dark.night)


@cache
def _loop_with(own: tuple[tuple[str, Callable[..., Any]], ...]) -> Loop:
    """The loop with a reader's functions: the files that these reach are imported once more, by another name.

    All other files, and all that is compiled, are shared with the simulator.
    """
    from .compiled import putting_in

    places = _places()
    put_in = {places[name][0]: fn for name, fn in own}
    anew = _reached(set(put_in))
    files = {f"{_SIM}.{where.rpartition('.')[0]}" for where in anew}
    twin = f"_{_SIM.replace('.', '_')}_{next(_numbers)}"
    package = ModuleType(twin)
    package.__path__ = list(sys.modules[_SIM].__path__)
    sys.modules[twin] = package
    for name, module in list(sys.modules.items()):
        if name.startswith(f"{_SIM}.") and name not in files and not hasattr(module, "__path__"):
            sys.modules[twin + name.removeprefix(_SIM)] = module
    with putting_in(put_in, anew=anew):
        return _loop_in(twin)


def _places() -> dict[str, tuple[str, FunctionType]]:
    """Where each rule is, as "rules.attack.attack_rate", and how it is written, by its name."""
    from .compiled import FUNCTIONS

    _loop_in(_SIM)
    rules = {
        where: _plain(fn)
        for where, fn in FUNCTIONS.items()
        if where.startswith("rules.") and ".support." not in where
    }
    return {fn.__name__: (where, fn) for where, fn in rules.items()}


def _reached(first: set[str]) -> set[str]:
    """These of what is compiled and all that call one of them, by whatever way round."""
    from .compiled import FUNCTIONS

    where_is = {_plain(fn): where for where, fn in FUNCTIONS.items()}
    calls = {where: {where_is.get(one) for one in _read_by(fn)} for fn, where in where_is.items()}
    found: set[str] = set()
    more = first
    while more:
        found |= more
        more = {where for where, called in calls.items() if where not in found and called & found}
    return found


def _read_by(fn: FunctionType) -> list[Any]:
    """Functions, as they are written, among the globals that a function reads."""
    return [_plain(value) for value in inspect.getclosurevars(fn).globals.values() if callable(value)]


def _plain(fn: Any) -> Any:
    """A function as it is written."""
    return getattr(fn, "py_func", fn)
