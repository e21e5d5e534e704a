"""Search for unused objects, made rare while a document is made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

#: New objects before a search among the newest, and how many searches before one among older ones.
_THRESHOLDS = (200_000, 50, 50)


@contextmanager
def rare_collections() -> Iterator[None]:
    """Search seldom for objects that refer to each other and are used no more.

    Figures are made of hundreds of thousands of small objects that all stay until the document is
    written: looking through them again and again took a tenth of its time and freed next to
    nothing. Everything else is freed at once as ever, large arrays above all.
    """
    before = gc.get_threshold()
    gc.set_threshold(*_THRESHOLDS)
    try:
        yield
    finally:
        gc.set_threshold(*before)
