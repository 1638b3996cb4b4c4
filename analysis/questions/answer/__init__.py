"""Who comes off worst in this tank."""
