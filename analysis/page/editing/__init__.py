"""Changes of a scenario file as cuts in its text, and copies of the tank in it."""
