"""What ends a command early, and the exit status for it."""

from __future__ import annotations

DONE = 0
BROKEN = 1  # a fault of this program
REFUSED = 2  # something is wrong with what was typed, or with a file
STOPPED = 130  # by Ctrl-C: 128 + the number of that signal, as shells count


class RefusedError(Exception):
    """Something typed cannot be done; the message says what was found and what is allowed."""
