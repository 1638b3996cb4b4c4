"""Still pictures of one trial. The only place of the project that imports matplotlib."""

from .chase_table import who_chased_whom as who_chased_whom
from .day import chases_over_the_day as chases_over_the_day
from .parts import TrialParts as TrialParts
from .parts import parts_of as parts_of
from .save import Picture as Picture
from .save import SavedPicture as SavedPicture
from .save import trial_pictures as trial_pictures
from .tank import tank_from_above as tank_from_above
from .tank import tank_from_front as tank_from_front
