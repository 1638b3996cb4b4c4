"""Intervals, pairs, many comparisons, allocation, stopping."""
