"""What a keeper describes: read, checked once, frozen."""
