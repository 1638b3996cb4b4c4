"""The questions a keeper asks, a room each."""
