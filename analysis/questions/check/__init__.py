"""What was understood of a scenario before anything is run."""
