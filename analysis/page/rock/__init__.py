"""The rock as a page shows it: from above, through the front glass, in words."""
