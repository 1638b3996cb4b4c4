"""What a scenario file may say: every field, limit and allowed word, once.

The reader, the form of the page and the table in REFERENCE.md are made of :data:`FIELDS`. The limits keep a
run inside what the model is meant for and a computer can hold; they are the project's own choice, not
findings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from .. import units
from ..scenario import CreviceSpec, ObjectSpec, RockSpec, RunSpec, StockRow, TankSpec


class Limit(NamedTuple):
    """Lowest and highest allowed value; ``kind`` says how it is written and said."""

    low: float
    high: float
    # "length" cm, "temperature" C, "volume" L, "time" d, "weight" kg, "share" 0..1, "number", "whole";
    # "text": characters
    kind: str

    def holds(self, value: float) -> bool:
        """Whether the value lies within; never so for nan."""
        return self.low <= value <= self.high

    def say(self) -> str:
        """The limit in words and both unit systems."""
        if self.kind == "whole":
            return f"a whole number from {self.low:.0f} to {self.high:.0f}"
        if self.kind == "share":
            return f'a share from {self.low:g} to {self.high:g}, or text such as "40 %"'
        if self.kind == "text":
            return f"text of at most {self.high:.0f} characters"
        say = _SAY.get(self.kind)
        if say is None:
            return f"a number from {self.low:g} to {self.high:g}"
        return f"{_A[self.kind]} from {say(self.low)} to {say(self.high)}"


_A = {
    "length": "a length",
    "temperature": "a temperature",
    "volume": "a volume",
    "time": "a time",
    "weight": "a weight",
}
_SAY = {
    "length": units.say_length_cm,
    "temperature": units.say_temperature_c,
    "volume": units.say_volume_l,
    "weight": units.say_weight_kg,
    "time": units.say_time_d,
}

OBJECT_KINDS = ("wood", "filter", "heater")

MOST_FISH = 120
MOST_CELLS = 25_000  # of the water; tables of lines of sight grow with the square
LEAST_CELLS_A_SIDE = 3  # a side is divided into no fewer, however long the edge of a cell
EDGE_OVER = 1.5  # an edge longer than this times the cells it then makes is a slip of the pen
BELOW_RIM_CM = 3.0  # default water level below the top of the tank
BELOW_SURFACE_CM = (
    5.0  # rock whose height is not given ends so far below the water level, as keepers build it
)
VOLUME_TOLERANCE = 0.15  # below the water volume and above the brimful volume
LEAST_WATER = 0.10  # share of the water that rock, wood and filter must leave
MOST_SKETCH = 200  # rows, and digits in a row
MOST_CREVICES = 500
MOST_OBJECTS = 50
MOST_ALTERNATIVES = 200
MOST_EVENTS = 500
WANTED_FISH = 30  # at most, of a wish list that says nothing
MOST_LIKED = 20  # species of a wish list
MOST_SHOP_TANKS = 6
MOST_DATED = 1_000  # things that happen on a day, each of a repeated event for itself
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
MOST_LINES = 20_000  # of a scenario file
MOST_TABLES = 2_000  # [table] and [[table]] of a scenario file
MOST_VALUES = 20_000  # of a scenario file, those in lists as well; a point in a name or number counts as one
MOST_OWN_SPECIES = 60
LONGEST_TOKEN = 10_000  # characters of one text, name or number of a scenario file
TOP_KEYS = ("title", "question", "stock_list")  # stand above the first [table]


NEEDED: Any = object()  # a field that must be there


_PARTS: Mapping[str, type] = {
    "tank": TankSpec,
    "rock": RockSpec,
    "rock.crevice": CreviceSpec,
    "rock.object": ObjectSpec,
    "stock": StockRow,
    "run": RunSpec,
}


@dataclass(frozen=True)
class Field:
    """One key of a scenario file, or of a row of a list in it.

    Attributes
    ----------
    name : its table and key, "tank.length" or "rock.object.kind".
    meaning : what it is, in plain words.
    limit : of a number or a text; None of words and of true or false.
    of : where its value stands in the part of a scenario that the table becomes; empty where it is not kept.
        That of ``rock.rescape_day`` becomes an event.
    without : what holds where it is absent, in words, where the default does not say it.
    allowed : in words, where there is no limit.
    own_default : instead of that of the part.
    """

    name: str
    meaning: str
    limit: Limit | None = None
    of: str = ""
    without: str = ""
    allowed: str = "true or false"
    own_default: Any = NEEDED

    @property
    def default(self) -> Any:
        """What holds where it is absent: NEEDED, a value, or None where other fields decide."""
        if self.own_default is not NEEDED:
            return self.own_default
        default = getattr(_PARTS.get(self.table), self.of, NEEDED) if self.of else NEEDED
        return None if default is NEEDED and self.without else default

    @property
    def table(self) -> str:
        return self.name.rpartition(".")[0]

    @property
    def key(self) -> str:
        return self.name.rpartition(".")[2]

    @property
    def kind(self) -> str:
        """That of its limit, "yes" for true or false, or "word"."""
        if self.limit is not None:
            return self.limit.kind
        return "yes" if isinstance(self.default, bool) else "word"

    def say(self) -> str:
        """What may stand there, in words."""
        return self.allowed if self.limit is None else self.limit.say()

    def say_without(self) -> str:
        """What holds where it is absent, in words."""
        if self.without:
            return self.without
        if self.default is NEEDED:
            return "needed"
        unit = {"length": " cm", "temperature": " C"}.get(self.kind, "") if self.default else ""
        return str(self.default).lower() if self.kind == "yes" else f"{self.default:g}{unit}"


_A_NAME = f"a name of the library or of your own, at most {LONGEST_NAME} characters"
_SKETCH = f"rows of digits of equal length, at most {MOST_SKETCH} of {MOST_SKETCH}"
_ANEW = "the rock stays; with a day, all of it is taken out and laid anew, and the fish settle again"
_BOTH = "none; write both or neither"
_KINDS = f"{', '.join(OBJECT_KINDS[:-1])} or {OBJECT_KINDS[-1]}"
_DAYS, _TANKS = Limit(0, 60, "number"), Limit(1, 10_000, "whole")
_FEW_EVENTS = f"needed; at most {MOST_EVENTS} events"
_ABOVE, _FISH = Limit(0, 120, "length"), Limit(0, MOST_FISH, "whole")

_BARE = "0, a tank without rock"
_MILDEST = "the mildest in the tank while it is measured, which the answer names"
_SETTLE = f"{RunSpec.settle_days:g}, or half of days"
_GUESSES = "one for each tank; one tank in nine repeats one"
_WATER = f"{BELOW_RIM_CM:g} cm below the rim; never above it"
_DRAWN = "drawn at random, which the answer says; less than the tank's length"
_ROCK = f"{BELOW_SURFACE_CM:g} cm below the water level; never higher than the tank"
_SOLD = "Volume it was sold as (checks the sides)"
_LONG = Limit(1, LONGEST_QUESTION, "text")
_A_FISH = "fish of the stock, or a list of them"
_LAID = '"anew", the share of the floor from then on, "60 %", or more or less of it, "+20 %" and "-20 %"'
_WALL = 'how far from the left, or `{ from_left = "60 cm", clear = true, left = ..., right = ... }`; "out"'
_BOX = '`{ fish = ..., from_left = "20 cm" }`, or fish of the stock, or a list of them'
_LIT = '"off", or hours a day, or `{ hours = 12, dusk = "30 min" }`'
_FED = 'how many a day, 0 to 12, or times of day, `["9:00", "17:30"]`'
_ONE_OF = "what happens: one of `out` to `water` is needed"
_ITS_KIND = "true where fish come back; always true for `rock`, `divider` and `lights`; else false"
_DEED_DAY, _LASTS = Limit(0, 730, "number"), Limit(0.1, 730, "time")
_AGAIN = Limit(1, 730, "time")
_UNTIL = "day 730, or as long as it is simulated; needed where the fish settle anew after it"
_NO_RULE = "it happens on its day; with `when` no day is needed"
_SIGNS = '"pinned", "keeps less than 40 %", "shows male" or "holds"; `out` may be "it" or "chief chaser"'
_FOR = "for good; needed with `injured`"


_HEAP = Limit(0, 5000, "weight")
_MONEY = Limit(0, 1_000_000, "number")
_OR_TWO = f"{_FISH.say()}, or the least and the most, [1, 2]"
_NOT_COUNTED = "not counted"


def _placed(table: str) -> tuple[Field, ...]:
    """Where something stands in the tank."""
    return (
        Field(f"{table}.from_left", "From the left", Limit(0, 400, "length"), "x_cm"),
        Field(f"{table}.from_front", "From the front", Limit(0, 150, "length"), "y_cm"),
        Field(f"{table}.above_base", "Above the base", _ABOVE, "z_cm", own_default=0.0),
    )


FIELDS: tuple[Field, ...] = (  # by table, in the order in which they are written
    Field("title", "Name of the tank", Limit(1, LONGEST_TITLE, "text"), "title", "the file's name"),
    Field("question", "What you want to know", _LONG, "question", "none", own_default=""),
    Field("argument.some_say", "What some keepers say", _LONG, without=_BOTH),
    Field("argument.others_say", "What others say", _LONG, without=_BOTH),
    Field("tank.length", "Length", Limit(30, 400, "length"), "length_cm"),
    Field("tank.front_to_back", "Front to back", Limit(15, 150, "length"), "width_cm"),
    Field("tank.height", "Height", Limit(15, 120, "length"), "height_cm"),
    Field("tank.water_level", "Water level", Limit(10, 120, "length"), "water_cm", _WATER),
    Field("tank.volume", _SOLD, Limit(5, 7200, "volume"), without="not checked"),
    Field("tank.temperature", "Temperature", Limit(18, 34, "temperature"), "temperature_c"),
    Field("tank.temperature_effect", "Fish are livelier when warmer", None, "temperature_effect"),
    Field("tank.cell", "Cell that fish move by", Limit(3, 10, "length"), "cell_cm"),
    Field("rock.cover", "Share of the floor under rock", Limit(0, 1, "share"), "cover", _BARE),
    Field("rock.height", "Height of the highest pile", _ABOVE, "height_cm", _ROCK, own_default=None),
    Field("rock.piles", "Piles", Limit(1, 30, "whole"), "piles"),
    Field("rock.sketch", "Rock as drawn", None, "", "cover", _SKETCH),
    Field("rock.sketch_step", "Height of one step of the drawing", Limit(1, 20, "length"), "sketch_step_cm"),
    Field("rock.piece_size", "Size of a stone", Limit(3, 60, "length"), "piece_cm"),
    Field("rock.rescape_day", "All rock laid anew on day", Limit(0.1, 60, "number"), "rescape_day", _ANEW),
    *_placed("rock.crevice"),
    Field("rock.crevice.mouth", "Height of its mouth", Limit(0.5, 50, "length"), "mouth_cm"),
    Field("rock.crevice.depth", "How deep it goes in", Limit(1, 100, "length"), "depth_cm"),
    Field("rock.crevice.openings", "Openings", Limit(1, 6, "whole"), "openings"),
    Field("rock.object.kind", "What it is", None, "kind", allowed=_KINDS),
    *_placed("rock.object"),
    Field("rock.object.length", "Length", Limit(1, 400, "length"), "length_cm"),
    Field("rock.object.front_to_back", "Front to back", Limit(1, 150, "length"), "width_cm"),
    Field("rock.object.height", "Height", Limit(1, 120, "length"), "height_cm"),
    Field("stock.species", "Species", None, "species", allowed=_A_NAME),
    Field("stock.males", "Males", _FISH, "males"),
    Field("stock.females", "Females", _FISH, "females"),
    Field("stock.unsexed", "Unsexed", _FISH, "unsexed"),
    Field("stock.holding", "Females that hold eggs", _FISH, "holding", "0; mouthbrooders only"),
    Field("stock.length", "Length", Limit(1, 60, "length"), "length_cm", _DRAWN),
    Field("stock.day", "Goes in on day", Limit(0, 730, "number"), "day"),
    Field("stock.out", "Comes out on day", Limit(0, 730, "number"), "out_day", "stays to the end"),
    Field("event.day", "On which day", _DEED_DAY, without=_FEW_EVENTS),
    Field("event.out", "Fish that are taken out", without=_ONE_OF, allowed=_A_FISH),
    Field("event.back", "Fish that are put back", without=_ONE_OF, allowed=_A_FISH),
    Field("event.dead", "Fish that died: out, and never back", without=_ONE_OF, allowed=_A_FISH),
    Field("event.injured", "Fish that are hurt: weaker and shyer", without=_ONE_OF, allowed=_A_FISH),
    Field("event.holding", "Females that hold eggs from this day on", without=_ONE_OF, allowed=_A_FISH),
    Field("event.spawning", "Females hold by themselves from this day on", without=_ONE_OF, allowed="true"),
    Field("event.box", "Fish put into a box in the tank", without=_ONE_OF, allowed=_BOX),
    Field("event.out_of_box", "Fish let out of their box", without=_ONE_OF, allowed=_A_FISH),
    Field("event.divider", "A divider put in or taken out", without=_ONE_OF, allowed=_WALL),
    Field("event.rock", "Rock laid anew, added or taken", without=_ONE_OF, allowed=_LAID),
    Field("event.meals", "Meals from then on", without=_ONE_OF, allowed=_FED),
    Field("event.lights", "Lights off until the next morning, or other hours", without=_ONE_OF, allowed=_LIT),
    Field("event.water", "Water is changed", without=_ONE_OF, allowed='"changed"'),
    Field(
        "event.when",
        "A rule of thumb: what is seen before `out`, `box`",
        without=_NO_RULE,
        allowed=_SIGNS,
    ),
    Field("event.fish", "With `when`: whom the keeper looks at", without="all fish", allowed=_A_FISH),
    Field("event.in_a_row", "With `when`: days on which it is seen", Limit(1, 14, "whole"), without="1"),
    Field("event.stay", "With `when`: mature males of a kind that stay", Limit(0, 60, "whole"), without="1"),
    Field(
        "event.for",
        "For how long: then it ends, and fish are back, out or well again",
        _LASTS,
        without=_FOR,
    ),
    Field("event.every", "Again and again, after so long each time", _AGAIN, without="once"),
    Field("event.until", "The last day on which it may happen again", _DEED_DAY, without=_UNTIL),
    Field("event.settle", "Measuring begins after it, once the fish have settled", without=_ITS_KIND),
    Field("run.days", "Days after the last fish is in", Limit(0.1, 60, "number"), "days"),
    Field("run.settle", "Of these, days to settle, not measured", _DAYS, "settle_days", _SETTLE),
    Field("run.lit_hours", "Lit hours a day", Limit(1, 24, "number"), "lit_hours"),
    Field("run.trials", "Simulated tanks", _TANKS, "trials"),
    Field("run.guesses", "Different guesses at what nobody has measured", _TANKS, "guesses", _GUESSES),
    Field("run.seed", "Seed: which luck", Limit(0, 2**53, "whole"), "seed"),  # JSON holds it too
    Field("run.fixed", "Middle values instead of guesses", None, "fixed"),
    Field("run.wide", "Guesses over whole ranges, also where published work is against it", None, "wide"),
    Field("run.controls", "Controls are run too", None, "controls"),
    Field("run.watch", "The mild species to watch", None, "watch", _MILDEST, "a species of the stock"),
    Field("wanted.at_least", "Fish in the tank, at least", _FISH, without="2, or one more than are in"),
    Field("wanted.at_most", "Fish in the tank, at most", _FISH, without=f"{WANTED_FISH}, or all you like"),
    Field("wanted.species_at_least", "Species, at least", _FISH, without="1"),
    Field("wanted.species_at_most", "Species, at most", _FISH, without="all of them"),
    Field("wanted.rock", "Limestone that can be had", _HEAP, without="the rock of the file"),
    Field("wanted.rock_price", "Price of a kilogram of it", _MONEY, without=_NOT_COUNTED),
    Field("wanted.spend", "Money for fish, rock and tank, at most", _MONEY, without="no limit"),
    Field("wanted.fish.species", "Species you like", None, without="needed", allowed=_A_NAME),
    Field("wanted.fish.males", "Males, if it is taken", None, without="[1, 2]", allowed=_OR_TWO),
    Field("wanted.fish.females", "Females, if it is taken", None, without="[2, 8]", allowed=_OR_TWO),
    Field("wanted.fish.at_least", "Of both, at least", _FISH, without="as many as the two above say"),
    Field("wanted.fish.at_most", "Of both, at most", _FISH, without="as many as the two above say"),
    Field("wanted.fish.must", "It is taken in any case", None, own_default=False),
    Field("wanted.fish.price", "Price of one", _MONEY, without=_NOT_COUNTED),
    Field("wanted.fish.length", "Length", Limit(1, 60, "length"), without=_DRAWN),
    Field("wanted.tank.length", "A tank to choose from: length", Limit(30, 400, "length")),
    Field("wanted.tank.front_to_back", "Front to back", Limit(15, 150, "length"), without="that of the file"),
    Field("wanted.tank.height", "Height", Limit(15, 120, "length"), without="that of the file"),
    Field("wanted.tank.price", "Price", _MONEY, without=_NOT_COUNTED),
)
DECLARED: Mapping[str, Field] = {one.name: one for one in FIELDS}
LIMITS: Mapping[str, Limit] = {
    one.name: one.limit for one in FIELDS if one.limit is not None and one.kind != "text"
}


def keys_of(table: str) -> tuple[str, ...]:
    """The keys of a table, "" for those above the first, in the order in which they are written."""
    return tuple(one.key for one in FIELDS if one.table == table)
