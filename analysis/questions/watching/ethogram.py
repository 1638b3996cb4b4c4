"""What is counted and noted in a watch: acts, places and protocol, in the words of the trade and of ethology.

Definitions are the project's own wording of common practice, no source. Focal-animal sampling, scan
sampling and the warning against noting whatever catches the eye: Altmann1974. "Quiver" and "circling" have
two or three meanings each and are left out.
"""

from __future__ import annotations

from typing import NamedTuple

CHASE, BITE = "chase", "bite"
MOUTH_FIGHT = "mouth-fight"


class Act(NamedTuple):
    """An act of one fish towards another."""

    name: str
    meaning: str
    spellings: tuple[str, ...] = ()  # other words of the trade that a tally may use


ACTS = (
    Act("approach", "swims straight at another fish that has not moved yet", ("approaches",)),
    Act(
        "lateral display",
        "stands side-on to another, fins spread",
        ("lateral displays", "side display", "broadside display", "lateral"),
    ),
    Act(
        "frontal display",
        "faces another, gill covers and throat spread",
        ("frontal displays", "flare", "gill flare", "frontal"),
    ),
    Act(CHASE, "follows a fish that flees; one chase until it is broken off, however long", ("chases",)),
    Act(
        BITE,
        "touches another with the mouth; count each, in a chase too, beside the chase",
        ("bites", "nip", "nips"),
    ),
    Act(
        MOUTH_FIGHT,
        "two fish push or lock mouths; one until they let go, noted once",
        ("mouth-fights", "mouth fight", "mouth fights", "lip lock", "lip-lock", "jaw lock", "mouth fighting"),
    ),
    Act("flee", "moves off fast from another that does not follow", ("flees", "flight")),
)
HIDE = "goes into a hole, or presses into a corner, and stays there: note it as a place, not here"


class Where(NamedTuple):
    """A place a fish is in when the whole tank is looked over."""

    name: str
    code: str  # for the sheet
    meaning: str
    spellings: tuple[str, ...]
    hidden: bool


PLACES = (
    Where("shelter", "H", "in a hole or crevice", ("hole", "crevice", "cave", "in a hole", "inside"), True),
    Where("corner", "C", "keeps to a corner of the glass", ("corners",), True),
    Where("surface", "S", "in the uppermost hand's breadth", ("top", "at the surface"), False),
    Where("rock", "R", "within a hand's breadth of rock", ("rocks", "stone", "stones", "at rock"), False),
    Where("floor", "F", "in the lowest hand's breadth, off rock", ("bottom", "sand", "base"), False),
    Where("open", "O", "anywhere else in open water", ("open water", "mid-water", "midwater"), False),
)
HAND_CM = 10.0  # a hand's breadth, about 4 in
OUT = Where(
    "out",
    "",
    "seen, in neither hole nor corner; of several alike the rest is hidden",
    ("seen", "swimming"),
    False,
)
UNSEEN = Where(
    "not seen",
    "N",
    "not to be found: taken for hidden",
    ("unseen", "hidden", "out of sight", "not visible", "gone", "hiding"),
    True,
)
EVERY_PLACE = (*PLACES, OUT, UNSEEN)
SIDES = {"left": "l", "middle": "m", "right": "r"}
SIDE_SPELLINGS = {"centre": "middle", "center": "middle", "mid": "middle"}

SCAN_S = 30  # seconds from one look over a simulated tank to the next
LOOK_S = 60  # the same of a watcher: a look over every group takes its time

HOW_TO_WATCH = (
    "Sit down where they see you and keep still for five minutes before you count: fish behave to you first.",
    "Watch at the same hour each time, under the same light, at least an hour after it came on.",
    "Not while they are fed, nor in the half hour after; not on the day of a water change or a catch.",
    "Note the temperature, and whatever was new in the tank in the days before.",
    "One watch tells little. Five on five days, written down also when nothing happened, tell a good deal.",
)
PROTOCOL = (
    "Looks come first: they tell most. Once a minute go over the tank group by group and note who is out and "
    "who is hidden at that moment, not who was or will be (scan sampling).",
    "Chases between the looks, if there is time: one stroke in the row of the fish that does it and the "
    "column of the fish it is done to. Looks alone in one watch and chases alone in another are both fine.",
    "For chases choose before you begin: the whole tank if you can see every chase in it, else one fish for "
    "the whole watch (focal-animal sampling: every act it gives or gets, nobody else's).",
    "Fish you cannot sex or tell apart are one group: count how many are out. To follow one of them, take a "
    "mark that stays, such as a nick in a fin, a missing scale or an odd bar, and write it down.",
    "Stop when the time is up, in the middle of a chase too.",
)
PROTOCOL_SOURCE = (
    "Focal-animal and scan sampling: Altmann J (1974) Observational study of behavior: sampling methods. "
    "Behaviour 49:227-267. Times and definitions: common practice, no source."
)
WARNING_SIGNS = (
    "First look for a fish that does not eat, hangs in a corner or at the surface, has torn fins or breathes "
    "fast. Test the water first: bad water gives the same signs. Separate such a fish first and count later. "
    "Illness and drugs are for a vet."
)
