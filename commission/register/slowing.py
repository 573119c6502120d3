"""How wrong passphrases are slowed: the more of them in a row, the longer until the next try."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.elapsed import seconds

if TYPE_CHECKING:
    from commission.job.entry import Instant
    from commission.register.state import Person

FREE: Final = 2
"""Wrong tries without a delay: fingers slip."""
LONGEST_S: Final = 600.0
"""Our own figure: four thousand tries a month, and nobody is locked out for a day."""


def delay_after(failures: int) -> float:
    """Return the seconds to wait after so many wrong tries in a row: 0, 0, 2, 4, 8 … 600."""
    if failures <= FREE:
        return 0.0
    return min(LONGEST_S, 2.0 ** min(failures - FREE, 16))


def still_to_wait(person: Person, now: Instant) -> float:
    """Return the seconds until a person's passphrase may be tried again; 0 when at once.

    Clocks that ran backwards count as no time passed.
    """
    if person.failed is None:
        return 0.0
    passed = max(0.0, seconds(person.failed, now))
    return max(0.0, delay_after(person.failures) - passed)
