"""What happens to a tank on a day of its own: events, each a class, and the timeline that they make.

An event of one's own is a class in a file of this folder that is imported here; DEVELOPERS.md has the recipe.
"""

from .again import again, say_days
from .box import BoxIn, BoxOut
from .divider import DividerIn, DividerOut
from .event import EVENTS, Event, EventError, Fault, Stocked, register
from .fish import FishBack, FishIn, FishOut, OfFish
from .health import FishDead, Injured, Well
from .holding import Holding, Spawning
from .lights import LightsChanged, LightsOff, lit_hours_after
from .meals import Meals
from .rock import OfRock, RockAnew, RockChanged
from .seen import WhenSeen
from .standing import Divider, OfTank, Standing, standings
from .timeline import Stay, Timeline, TimelineError, events_of, timeline_of
from .water import WaterChanged

__all__ = [
    "EVENTS",
    "BoxIn",
    "BoxOut",
    "Divider",
    "DividerIn",
    "DividerOut",
    "Event",
    "EventError",
    "Fault",
    "FishBack",
    "FishDead",
    "FishIn",
    "FishOut",
    "Holding",
    "Injured",
    "LightsChanged",
    "LightsOff",
    "Meals",
    "OfFish",
    "OfRock",
    "OfTank",
    "RockAnew",
    "RockChanged",
    "Spawning",
    "Standing",
    "Stay",
    "Stocked",
    "WaterChanged",
    "Well",
]
__all__ += ["Timeline", "TimelineError", "WhenSeen", "again", "events_of", "lit_hours_after", "register"]
__all__ += ["say_days", "standings", "timeline_of"]
