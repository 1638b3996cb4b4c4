"""The rules of behaviour, one behaviour a file. Each public rule names its source.

A rule is a small function over tank and shoal that Numba compiles and plain Python also runs.
Numbers come from ``p`` (parameters.toml); every rule that draws uses a stream of its own.
"""
