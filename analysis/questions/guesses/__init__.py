"""Which of the things nobody has measured decide the answer: screening, shares, what to watch."""
