"""What a page shows of a scenario file, whatever state its text is in."""
