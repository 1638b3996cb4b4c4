"""Each measure: how it comes from a run."""
