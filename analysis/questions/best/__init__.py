"""The best stock and rock that a wish list allows: plans within limits, tried, sifted, shared out, proved."""
