"""What a page can ask to be simulated, one kind of work a file."""
