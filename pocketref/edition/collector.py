"""Making files without looking for garbage."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def hold_collector() -> Iterator[None]:
    """Keep Python from looking for rings of objects to free while an edition is made.

    Nearly all that is made is kept until it is published, so that each look goes over all of it in vain.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
