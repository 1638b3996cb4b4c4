"""What nobody has measured, narrowed by what a keeper counted in a tank of one's own."""
