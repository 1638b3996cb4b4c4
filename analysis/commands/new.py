"""``rockshy new``: a short commented scenario to fill in."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..asking.errors import DONE, RefusedError
from ..asking.found import command_line
from ..document.writing import write_text

TEMPLATE = """\
# A tank for Rockshy. What follows a # is a note for you. Change every value to your own.
# Lengths: "48 in", "4 ft", "120 cm" or a bare number of cm. Temperature: "78 F" or "25 C".

title = "My tank"
question = "Does my mild species still get about?"

[tank]                        # measured inside the glass
length = "120 cm"
front_to_back = "50 cm"
height = "50 cm"
water_level = "46 cm"         # above the base
temperature = "26 C"

[rock]
cover = "40 %"                # of the floor that has rock on it
# height = "30 cm"            # of the highest pile; nearly to the surface without this line
piles = 2
piece_size = "15 cm"          # a typical stone; it decides how wide the crevices are

[[stock]]                     # one block for each species, or each batch of it
species = "Tropheus duboisi"  # scientific or common name
males = 1
females = 3
length = "8-10 cm"            # nose to tip of the tail; without this line it is left to chance
# holding = 1                 # how many of the females carry eggs
# unsexed = 6                 # juveniles nobody can tell apart yet

[[stock]]
species = "Variabilichromis moorii"
males = 1
females = 1
day = 3                       # added three days after the first
# out = 10                    # taken out again on day 10

[run]
days = 2                      # once the last fish is in; they settle on day one, day two is measured
trials = 72                   # how many times the tank is simulated
# watch = "Tropheus duboisi"  # the mild species; the mildest of the stock without this line

#[[alternative]]              # another idea; rockshy compare runs each next to this tank
#name = "one female more, lower rock"
#recount = [{species = "Tropheus duboisi", females = 4}]
#rock = {height = "25 cm"}
"""


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the file to write; it must not exist yet")


def carry_out(line: argparse.Namespace) -> int:
    """Write the template; an existing file is never overwritten."""
    path = Path(line.file)
    if path.suffix.lower() != ".toml":
        hint = f". Did you mean {path.name}.toml?" if path.name and not path.suffix else ""
        raise RefusedError(f'FILE is "{line.file[:200]}"; use a name that ends with .toml{hint}')
    if path.is_symlink() or path.exists():
        raise RefusedError(f"{path} exists already; use a new name")
    if not path.parent.is_dir():
        raise RefusedError(f"{path}: there is no folder {path.parent}; make it first, or use one that exists")
    write_text(path, TEMPLATE)
    print(f"Wrote {path}. Put your own tank into it with any text editor, then type:")
    print(f"  {command_line('rockshy', 'check', str(path))}")
    print(f"  {command_line('rockshy', 'run', str(path))}")
    return DONE
