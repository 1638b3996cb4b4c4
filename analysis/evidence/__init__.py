"""Published patterns the running model is held to: registered beforehand, run again by anybody."""
