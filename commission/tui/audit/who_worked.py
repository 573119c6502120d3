"""Who made entries in which job, as far as its lines can be read."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Final

from commission.errors import DamagedError

if TYPE_CHECKING:
    from commission.record.store import Store

_BY: Final = re.compile(rb',"by":("(?:[^"\\]|\\.)*"),"kind":"')
"""Stands so in a line only where it says who made it: in a text, quotes are escaped."""


def people_in(store: Store, job: str) -> frozenset[str]:
    """Return who made entries of a job; of a damaged one those before the damage.

    Raises:
        StoreError: the store cannot be read.
    """
    names: set[bytes] = set()
    try:
        for line in store.lines(job):
            found = _BY.search(line)
            if found is not None:
                names.add(found[1])
    except DamagedError:
        pass  # it is told when the job is audited
    return frozenset(name for each in names if (name := _read(each)))


def _read(text: bytes) -> str:
    try:
        return str(json.loads(text))
    except ValueError:
        return ""
