"""What happens to a tank on a day of its own: events, each a class, and the timeline that they make.

An event of one's own is a class in a file of this folder that is imported here; DEVELOPERS.md has the recipe.
"""

from .event import EVENTS as EVENTS
from .event import Event as Event
from .event import EventError as EventError
from .event import Fault as Fault
from .event import Stocked as Stocked
from .event import register as register
from .fish import FishBack as FishBack
from .fish import FishIn as FishIn
from .fish import FishOut as FishOut
from .fish import OfFish as OfFish
from .rock import RockAnew as RockAnew
from .timeline import Stay as Stay
from .timeline import Timeline as Timeline
from .timeline import TimelineError as TimelineError
from .timeline import events_of as events_of
from .timeline import timeline_of as timeline_of
