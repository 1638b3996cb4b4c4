"""How much rock is enough: the sweep, the least amount with its interval, what it weighs and displaces."""
