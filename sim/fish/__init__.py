"""The state of all fish, and who they are."""
