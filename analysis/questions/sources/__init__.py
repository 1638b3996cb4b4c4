"""Every number with its source; the model described."""
