"""What happens to a tank on a day of its own: events, each a class, and the timeline that they make.

An event of one's own is a class in a file of this folder that is imported here; DEVELOPERS.md has the recipe.
"""

from .again import again, say_days
from .event import EVENTS, Event, EventError, Fault, Stocked, register
from .fish import FishBack, FishIn, FishOut, OfFish
from .health import FishDead, Injured, Well
from .holding import Holding, Spawning
from .rock import RockAnew
from .seen import WhenSeen
from .timeline import Stay, Timeline, TimelineError, events_of, timeline_of

__all__ = [
    "EVENTS",
    "Event",
    "EventError",
    "Fault",
    "FishBack",
    "FishDead",
    "FishIn",
    "FishOut",
    "Holding",
    "Injured",
    "OfFish",
    "RockAnew",
    "Spawning",
    "Stay",
    "Stocked",
]
__all__ += ["Timeline", "TimelineError", "Well", "WhenSeen", "again", "events_of", "register"]
__all__ += ["say_days", "timeline_of"]
