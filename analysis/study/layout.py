"""Layout of the result folder: names of its files and columns, shared by writing and reading.

``work.sqlite`` holds every finished trial, so that the same command goes on from them
(:mod:`rockshy.analysis.study.kept`). The tables and ``recipe.json`` are written from it at the end
(:mod:`rockshy.analysis.study.store`).

``paths.npz`` is written once all trials are done. It holds the movements, as stocked, of the trial in
which the watched species swam free an average share of its time and of the one in which it swam free
least. A tick is ``tick_s`` of lit time, counted from the first morning; tick k belongs to lit day
k // ``lit_ticks``. With m moves, e events, n fish, c cells, r refuges, and N the number of a trial:

======================= ======== ======= ==================================================================
array                   dtype    shape   meaning
======================= ======== ======= ==================================================================
trials                  int64    [k]     numbers of the trials in the file: the average one first
digest                  text             hash of what the result was made from
event_kinds             text     [6]     names of the kinds of events: 0 is the first
tick_s                  float64          length of a tick, s
trial_N_moves           int32    [m, 4]  tick, sub-step, fish, then its cell or, in a shelter, -1 - refuge;
                                         in order of time. A fish is where its last row says. Besides every
                                         step there is a row (sub-step 0) where a fish comes in or wakes
                                         elsewhere; it tells where the fish is as that tick begins
trial_N_events          int32    [e, 6]  tick, kind, actor, target, cells of both, in order of time
trial_N_stays           int32   [n, k, 2] first tick in the tank, tick before which it left, once for each
                                         time it was in; -1 where that was fewer than k times
trial_N_lit_ticks       int64            ticks of a lit day
trial_N_measured_from   int64            first tick that is measured
trial_N_fish            text     [n]     labels: "Tropheus duboisi male 1"
trial_N_species         text     [n]
trial_N_male            bool     [n]     what an unsexed fish turned out to be
trial_N_length_cm       float64  [n]     total length
trial_N_edge_cm         float64          edge of a cell
trial_N_shape           int64    [3]     cells along x (from the left), y (from the front glass), z (up)
trial_N_cells           int32    [c, 3]  x, y, z of each cell of open water; its middle lies half an edge on
trial_N_refuge_cell     int32    [r]     cell at the mouth of each refuge
trial_N_refuge_mouth_cm float64  [r]     body depth that fits; inf for corners
trial_N_refuge_corner   bool     [r]     a corner of the glass or under the surface
trial_N_rock_top_cm     float64  [a, b]  height of the rock, a points along the length, b front to back
trial_N_rock_pieces     float64  [p, 11] the pieces, see :mod:`rockshy.sim.tank.rockwork`; none for a sketch
trial_N_rock_boxes      float64  [o, 6]  wood, filter, heater: x, y, z of the low and of the high corner
======================= ======== ======= ==================================================================
"""

from __future__ import annotations

FORMAT = "rockshy result 1"
RECIPE = "recipe.json"
SUMMARY = "summary.csv"
FISH = "fish.csv"
CHASES = "chases.csv"
HOURS = "hours.csv"
DRAWS = "draws.csv"
EVENTS = "events.csv"
PATHS = "paths.npz"
WORK = "work.sqlite"
TABLES = (SUMMARY, FISH, CHASES, HOURS)
SEXES = ("male", "female")

# Column of the file -> field of Arm; the order is that of the file.
FISH_COLUMNS = {
    "length_tl_cm": "length_cm",
    "lit_s": "lit_s",
    "hidden_s": "hidden_s",
    "free_s": "free_s",
    "meals": "meals",
    "meals_missed": "meals_missed",
    "food_portions": "food",
}
PAIR_COLUMNS = {"chases": "chases", "bites": "bites", "displays": "displays", "contests_won": "wins"}
HOUR_COLUMNS = {
    "largest_share_in_one_place": "hour_share",
    "free_outside_place_s": "hour_outside_s",
    "holding_territory_s": "hour_owner_s",
    "chases_received": "hour_chased",
    "hidden_s": "hour_hidden_s",
    "lit_s": "hour_lit_s",
}
# Entries of recipe.json beside the format.
TOLD = {"title": str, "watch": str, "watch_reason": str, "asked": int, "recipe": dict, "arms": dict}


class StoreError(Exception):
    """A result folder cannot be written or read; the message says where and what is allowed.

    Parameters
    ----------
    message : the place, what was found there, and what is allowed.

    Source
    ------
    Raised where a result is kept, see ``folder`` of ``run``.
    """
