"""Species: traits with unit, range and source; the bibliography."""
