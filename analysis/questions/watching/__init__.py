"""Watching the real tank: the sheet, reading the tally back, laying it over the model, the scale."""
