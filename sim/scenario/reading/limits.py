"""What a scenario file may say: every limit and every allowed word, once.

The limits keep a run inside what the model is meant for and a computer can hold; they are
the project's own choice, not findings.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from .. import units


class Limit(NamedTuple):
    """Lowest and highest allowed value; ``kind`` says how it is written and said."""

    low: float
    high: float
    kind: str  # "length" cm, "temperature" C, "volume" L, "share" 0..1, "number", "whole"

    def holds(self, value: float) -> bool:
        """Whether the value lies within; never so for nan."""
        return self.low <= value <= self.high

    def say(self) -> str:
        """The limit in words and both unit systems."""
        if self.kind == "whole":
            return f"a whole number from {self.low:.0f} to {self.high:.0f}"
        if self.kind == "share":
            return f'a share from {self.low:g} to {self.high:g}, or text such as "40 %"'
        say = _SAY.get(self.kind)
        if say is None:
            return f"a number from {self.low:g} to {self.high:g}"
        return f"{_A[self.kind]} from {say(self.low)} to {say(self.high)}"


_A = {"length": "a length", "temperature": "a temperature", "volume": "a volume"}
_SAY = {"length": units.say_length_cm, "temperature": units.say_temperature_c, "volume": units.say_volume_l}

LIMITS: Mapping[str, Limit] = {
    "tank.length": Limit(30, 400, "length"),
    "tank.front_to_back": Limit(15, 150, "length"),
    "tank.height": Limit(15, 120, "length"),
    "tank.water_level": Limit(10, 120, "length"),  # and no higher than the tank
    "tank.temperature": Limit(18, 34, "temperature"),
    "tank.volume": Limit(5, 7200, "volume"),
    "tank.cell": Limit(3, 10, "length"),
    "rock.cover": Limit(0, 1, "share"),
    "rock.height": Limit(0, 120, "length"),
    "rock.piles": Limit(1, 30, "whole"),
    "rock.piece_size": Limit(3, 60, "length"),
    "rock.rescape_day": Limit(0.1, 60, "number"),
    "rock.sketch_step": Limit(1, 20, "length"),
    "rock.crevice.from_left": Limit(0, 400, "length"),
    "rock.crevice.from_front": Limit(0, 150, "length"),
    "rock.crevice.above_base": Limit(0, 120, "length"),
    "rock.crevice.mouth": Limit(0.5, 50, "length"),
    "rock.crevice.depth": Limit(1, 100, "length"),
    "rock.crevice.openings": Limit(1, 6, "whole"),
    "rock.object.from_left": Limit(0, 400, "length"),
    "rock.object.from_front": Limit(0, 150, "length"),
    "rock.object.above_base": Limit(0, 120, "length"),
    "rock.object.length": Limit(1, 400, "length"),
    "rock.object.front_to_back": Limit(1, 150, "length"),
    "rock.object.height": Limit(1, 120, "length"),
    "stock.males": Limit(0, 120, "whole"),
    "stock.females": Limit(0, 120, "whole"),
    "stock.unsexed": Limit(0, 120, "whole"),
    "stock.holding": Limit(0, 120, "whole"),
    "stock.length": Limit(1, 60, "length"),
    "stock.day": Limit(0, 60, "number"),
    "stock.out": Limit(0, 120, "number"),
    "event.day": Limit(0.1, 120, "number"),
    "run.days": Limit(0.1, 60, "number"),
    "run.settle": Limit(0, 60, "number"),
    "run.lit_hours": Limit(1, 24, "number"),
    "run.trials": Limit(1, 10_000, "whole"),
    "run.guesses": Limit(1, 10_000, "whole"),
    "run.seed": Limit(0, 2**53, "whole"),  # every such whole number also survives a JSON reader
}

OBJECT_KINDS = ("wood", "filter", "heater")

MOST_FISH = 120
MOST_CELLS = 25_000  # of the water; tables of lines of sight grow with the square
LEAST_CELLS_A_SIDE = 3  # a side is divided into no fewer, however long the edge of a cell
EDGE_OVER = 1.5  # an edge longer than this times the cells it then makes is a slip of the pen
BELOW_RIM_CM = 3.0  # default water level below the top of the tank
VOLUME_TOLERANCE = 0.15  # below the water volume and above the brimful volume
LEAST_WATER = 0.10  # share of the water that rock, wood and filter must leave
MOST_SKETCH = 200  # rows, and digits in a row
MOST_CREVICES = 500
MOST_OBJECTS = 50
MOST_ALTERNATIVES = 200
MOST_EVENTS = 500
MOST_CHANGES = 120  # of one kind in an alternative: more than a stock has fish is a slip of the pen
OVER_MAXIMUM = 1.5  # a fish longer than this times its species' maximum is a slip of the pen
LEAST_MEASURED_H = 1.0  # lit hours
LONGEST_TITLE = 200
LONGEST_QUESTION = 1000
LONGEST_NAME = 80
MOST_BYTES = 1_000_000  # of a scenario file or a list
MOST_ROWS = 2_000  # of a stock list; rows that say 0 count too
MOST_COLUMNS = 200  # cells of a row of a list that are not blank
DEEPEST = 12  # lists and tables within one another
MOST_PARTS = 12  # of a name with points in it, such as rock.crevice.mouth
MOST_TABLES = 5_000  # [table] and [[table]] of a scenario file
MOST_VALUES = 50_000  # of a scenario file, those in lists as well
TOP_KEYS = ("title", "question", "stock_list")  # stand above the first [table]
