"""``python -m rockshy.analysis.commands`` is the command ``rockshy``."""

from __future__ import annotations

import sys

from . import main

sys.exit(main())
