"""What the browser is given: the page, its looks and its modules."""
