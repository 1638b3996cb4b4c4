"""The order of a tick, the model, the recorder, one run and many."""
