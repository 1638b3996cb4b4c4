"""Who may ask this server: the page it served itself, on this computer, and not without bounds.

The server listens on loopback alone. A page of another site that is open in the same browser can still reach
it, so every request must name this server as its host (a foreign name that was made to lead here is refused),
must not come from another origin, and must bring the token along that only the terminal printed. Each check
raises a RefusalError.
"""

from __future__ import annotations

import hmac
import re
import time
from collections import OrderedDict
from collections.abc import Callable

from .refusals import FORBIDDEN, MALFORMED, NOT_JSON, TOO_BIG, TOO_MANY, RefusalError

HERE = "127.0.0.1"
MOST_BYTES = 1_000_000  # of what one request brings along
MOST_PAGES = 32  # remembered at a time

PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}

_PAGE = re.compile(r"[0-9a-f]{32}")
_LENGTH = re.compile(r"[0-9]{1,18}")


def hosts(port: int) -> tuple[str, str]:
    """The names under which a browser on this computer reaches the server."""
    return f"{HERE}:{port}", f"localhost:{port}"


def check_host(host: str | None, *, port: int) -> None:
    """Refuse a request that names another server than this one."""
    if host not in hosts(port):
        raise RefusalError(
            FORBIDDEN,
            f"Nothing is served at this address; use the one that the terminal printed, on {HERE}.",
        )


def check_origin(origin: str | None, *, port: int) -> None:
    """Refuse a request that a page of another site makes; without an origin it is none of a foreign page."""
    if origin is not None and origin not in [f"http://{host}" for host in hosts(port)]:
        raise RefusalError(FORBIDDEN, "A page of another site may not ask here.")


def check_token(given: str | None, *, token: str) -> None:
    """Refuse whoever does not know what the terminal printed."""
    if not hmac.compare_digest((given or "").encode("utf-8", "replace"), token.encode("utf-8")):
        raise RefusalError(
            FORBIDDEN,
            "This page belongs to another start of Rockshy: open the address that the terminal printed last.",
        )


def check_page(name: str | None) -> str:
    """The name that a page gave itself: 32 hexadecimal digits."""
    if name is None or not _PAGE.fullmatch(name):
        raise RefusalError(MALFORMED, "The page gave no name; use 32 hexadecimal digits.")
    return name


def check_kind(content_type: str | None) -> None:
    """Refuse a body that is not sent as JSON; a form of a foreign page cannot send JSON."""
    kind, _, rest = (content_type or "").partition(";")
    if kind.strip().lower() != "application/json" or rest.strip().lower() not in ("", "charset=utf-8"):
        raise RefusalError(NOT_JSON, "What was sent is not JSON; use application/json.")


def check_length(told: str | None) -> None:
    """Refuse a body that says it is too long, before it is read."""
    if told is None:
        return
    if not _LENGTH.fullmatch(told):
        raise RefusalError(MALFORMED, "The length of what was sent is no number.")
    if int(told) > MOST_BYTES:
        raise too_big()


def too_big() -> RefusalError:
    """What was sent is longer than one request may be."""
    return RefusalError(
        TOO_BIG, f"That is too long; use at most {MOST_BYTES} bytes for the file and its stock list."
    )


class Rates:
    """How often each page may ask, and all of them together: so many at once, so many a second after that."""

    def __init__(
        self,
        *,
        page: tuple[float, float] = (200.0, 40.0),
        all_pages: tuple[float, float] = (600.0, 150.0),
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._of_a_page, self._of_all, self._clock = page, all_pages, clock
        self._all = (all_pages[0], clock())  # how many are left, and when that was so
        self._pages: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def check(self, page: str) -> None:
        """Refuse a request that comes too soon after many others."""
        own = self._now(self._pages.pop(page, (self._of_a_page[0], self._clock())), self._of_a_page)
        everybody = self._now(self._all, self._of_all)
        is_free = own[0] >= 1.0 and everybody[0] >= 1.0
        self._pages[page] = (own[0] - is_free, own[1])
        self._all = (everybody[0] - is_free, everybody[1])
        while len(self._pages) > MOST_PAGES:
            self._pages.popitem(last=False)
        if not is_free:
            raise RefusalError(TOO_MANY, "Too many requests at a time; wait a second and try again.")

    def _now(self, left: tuple[float, float], rate: tuple[float, float]) -> tuple[float, float]:
        """How many are left by now."""
        now = self._clock()
        return min(rate[0], left[0] + (now - left[1]) * rate[1]), now
