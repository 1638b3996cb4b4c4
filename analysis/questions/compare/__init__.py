"""Base and alternatives on the same trials: differences, plans, swaps, the answer in words and files."""
