"""What happens to a tank on a day of its own: events, each a class, and the timeline that they make.

An event of one's own is a class in a file of this folder that is imported here; DEVELOPERS.md has the recipe.
"""

from .again import again, say_days
from .event import EVENTS, Event, EventError, Fault, Stocked, register
from .fish import FishBack, FishIn, FishOut, OfFish
from .health import FishDead, Injured, Well
from .rock import RockAnew
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
    "Injured",
    "OfFish",
    "RockAnew",
    "Stay",
    "Stocked",
]
__all__ += ["Timeline", "TimelineError", "Well", "again", "events_of", "register", "say_days", "timeline_of"]
