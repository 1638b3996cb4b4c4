"""Which ordinary change helps a fish: changes and costs, trials shared out, harm to others, what to watch."""
