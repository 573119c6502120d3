"""Python's garbage collector, kept from looking at entries again and again as they are read.

They go away by themselves when their job has been audited; looking whether they could takes a tenth
of the time of an audit.
"""

from __future__ import annotations

import gc
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

_SELDOM: Final = 200_000
"""Objects more than before that let it look: several long jobs, some 50 MB. Memory stays bounded
where something does not go away by itself."""


@contextmanager
def seldom_collected() -> Iterator[None]:
    """Let the collector look only when much more stands in memory than before."""
    before = gc.get_threshold()
    gc.set_threshold(_SELDOM, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
