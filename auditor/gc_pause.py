"""Pause the collector of cycles while one workbook is worked on."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager

MANY_OBJECTS = 200_000


@contextmanager
def paused() -> Iterator[None]:
    """Hold the collector back in a `with` block.

    A job makes a great many objects and few cycles: the collector's passes over a large one would
    cost a sixth of the time and find next to nothing. After a large one, freezing and unfreezing moves
    what was made to the oldest generation without looking at it; after a small one the collector's
    counters stand, so that cycles are still found.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            if gc.get_count()[0] > MANY_OBJECTS:
                gc.freeze()
                gc.unfreeze()
            gc.enable()
