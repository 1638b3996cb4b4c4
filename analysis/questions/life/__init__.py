"""How a tank fares over weeks and months: when trouble comes, who starts it, what a dated change does."""
