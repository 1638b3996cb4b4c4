"""What tests leave behind is let go, so that a worker that runs thousands of them stays small."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def _forget_models() -> Iterator[None]:
    """Mesa numbers agents by model, and so keeps every model that was ever made; see design of TankModel."""
    yield
    if "mesa" in sys.modules:
        sys.modules["mesa"].Agent._ids.clear()


@pytest.fixture(autouse=True, scope="module")
def _forget_what_was_made_once(request: pytest.FixtureRequest) -> Iterator[None]:
    """What a test file keeps by ``functools.cache`` is of no use to the next file: pictures of 8 MB each."""
    yield
    for name, kept in vars(request.module).items():
        if hasattr(kept, "cache_clear") and kept.__module__ == request.module.__name__:
            request.module.__dict__[name].cache_clear()
