"""``rockshy`` alone: what to type next."""

from __future__ import annotations

from ..asking.errors import DONE

TEXT = """\
Rockshy simulates a tank of rock-dwelling cichlids many times over and tells you who gets chased,
and whether the mild fish end up pinned to one place.

Type one of these next:
  rockshy page                           build a tank in the browser, try it and change it; no file needed
  rockshy run                            the demo: a mild species kept with a hot-tempered one
  rockshy scenarios                      all ready scenarios, each with its question
  rockshy new my-tank.toml               write a short scenario file to fill in with your own tank
  rockshy check my-tank.toml             see what stands out, and what the model cannot judge
  rockshy run my-tank.toml               the answer for your tank

Then ask:
  rockshy compare my-tank.toml           your tank beside the alternatives you wrote in the file
  rockshy relief my-tank.toml            which ordinary change helps, and what it takes
  rockshy best my-tank.toml --want LIST  the best stock and rock for the fish you like
  rockshy rock my-tank.toml              how much rock the worst off need
  rockshy why my-tank.toml               why the worst-off fish is bullied
  rockshy place my-room.toml             several tanks: which fish belong in which of them
  rockshy guesses my-tank.toml           which unknowns decide the answer, and what to watch
  rockshy life my-tank.toml --months 6   how it fares over months, as the fish grow up
  rockshy sheet my-tank.toml             a form for watching your own tank
  rockshy fit my-tank.toml --tally CSV   what your counts say about this tank

Show it to others:
  rockshy show my-tank.toml --trial 1    pictures of one of the simulated tanks
  rockshy film my-tank.toml              half an hour of one of them as a film
  rockshy report my-tank.toml            everything on one page
  rockshy talk my-tank.toml --out DIR    slides, film, notes and handout for a club evening

Where it comes from:
  rockshy species Tropheus duboisi       what is assumed about a species
  rockshy sources                        the publications, and where all numbers come from

What else a command can do: rockshy run --help"""


def welcome() -> int:
    print(TEXT)
    return DONE
