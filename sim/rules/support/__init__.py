"""What rules are written with: compiling, random numbers, parameters."""
