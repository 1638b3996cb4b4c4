"""What happens to a tank on a day of its own: events, each a class, and the timeline that they make.

An event of one's own is a class in a file of this folder that is imported here; DEVELOPERS.md has the recipe.
"""

from .event import EVENTS, Event, EventError, Fault, Stocked, register
from .fish import FishBack, FishIn, FishOut, OfFish
from .rock import RockAnew
from .timeline import Stay, Timeline, TimelineError, events_of, timeline_of

__all__ = [
    "EVENTS",
    "Event",
    "EventError",
    "Fault",
    "FishBack",
    "FishIn",
    "FishOut",
    "OfFish",
    "RockAnew",
    "Stay",
]
__all__ += ["Stocked", "Timeline", "TimelineError", "events_of", "register", "timeline_of"]
