"""Documents made for a page (films, reports), each under a name nobody can guess; the oldest go first."""

from __future__ import annotations

import re
import secrets
import threading
from collections import OrderedDict

from .refusals import MISSING, RefusalError

MOST = 40  # documents
MOST_SIGNS = 80_000_000  # of all of them

_OWN_POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)"')
_BARE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
)
# A document has an origin of its own: whatever were in it, it could not ask this server for anything.
_KEPT_APART = "frame-ancestors 'self'; sandbox allow-scripts allow-downloads allow-modals"


class Shown:
    """The documents that can be asked for now."""

    def __init__(self, *, most: int = MOST, most_signs: int = MOST_SIGNS) -> None:
        self._most, self._most_signs = most, most_signs
        self._there: OrderedDict[str, str] = OrderedDict()
        self._lock = threading.Lock()

    def put(self, document: str) -> str:
        """Keep a whole HTML document; the path to ask for it."""
        name = secrets.token_hex(16)
        with self._lock:
            self._there[name] = document
            there = self._there
            while len(there) > self._most or (len(there) > 1 and self._signs() > self._most_signs):
                there.popitem(last=False)
        return f"/shown/{name}"

    def _signs(self) -> int:
        return sum(map(len, self._there.values()))

    def get(self, name: str) -> str:
        """The document of a name; raises RefusalError when there is none, or no more."""
        with self._lock:
            if name not in self._there:
                raise RefusalError(MISSING, "This film or report is no longer kept; make it again.")
            self._there.move_to_end(name)
            return self._there[name]


def policy_of(document: str) -> str:
    """What a document may do in the browser: what it says of itself, apart from the page that shows it."""
    own = _OWN_POLICY.search(document[:20_000])
    return f"{own[1] if own else _BARE_POLICY}; {_KEPT_APART}"
