"""Layout of the result folder: names of its files and columns, shared by writing and reading."""

from __future__ import annotations

FORMAT = "rockshy result 1"
RECIPE = "recipe.json"
SUMMARY = "summary.csv"
FISH = "fish.csv"
CHASES = "chases.csv"
HOURS = "hours.csv"
PATHS = "paths.npz"
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
    """A result folder cannot be written or read; the message says where and what is allowed."""
