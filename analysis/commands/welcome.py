"""``rockshy`` alone: what to type next."""

from __future__ import annotations

from .errors import DONE

TEXT = """\
Rockshy simulates a tank of rock-dwelling cichlids many times over and tells you who gets chased,
and whether the mild fish end up pinned to one place.

Type one of these next:
  rockshy run                            the demo: a mild species kept with a hot-tempered one
  rockshy scenarios                      all ready scenarios, each with its question
  rockshy new my-tank.toml               write a short scenario file to fill in with your own tank
  rockshy check my-tank.toml             hear what was understood, and what the model cannot judge
  rockshy run my-tank.toml               the answer for your tank
  rockshy compare my-tank.toml           your tank beside the alternatives you wrote into the file
  rockshy relief my-tank.toml            which ordinary change helps, and what it takes
  rockshy rock my-tank.toml              how much rock your mild species needs
  rockshy show my-tank.toml --trial 0    pictures of one of the simulated tanks
What a command can do besides: rockshy run --help"""


def welcome() -> int:
    print(TEXT)
    return DONE
