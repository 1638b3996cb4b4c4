"""Which group of fish goes into which tank of a fish room, so that nobody is badly off."""
