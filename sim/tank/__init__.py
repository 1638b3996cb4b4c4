"""Rock, crevices, cells, ways and sight."""
