"""Single sampling plans for normal inspection at general level II, after ISO 2859-1.

Tables 1 and 2-A of ISO 2859-1:1999, from memory; checked against the plans for AQL 2.5 that
`tests/audit/test_sampling.py` names, and against the risk that the standard states for them. An
arrow in table 2-A means the first plan below (or above) it, sample size included: some copies keep
the size of the letter and take only the numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from commission.errors import RefusedError

LOTS: Final = (
    (8, "A"), (15, "B"), (25, "C"), (50, "D"), (90, "E"), (150, "F"), (280, "G"), (500, "H"),
    (1200, "J"), (3200, "K"), (10_000, "L"), (35_000, "M"), (150_000, "N"), (500_000, "P"),
)  # fmt: skip
"""Table 1, level II: largest lot of each code letter; beyond the last it is Q."""
SIZES: Final = {
    "A": 2, "B": 3, "C": 5, "D": 8, "E": 13, "F": 20, "G": 32, "H": 50, "J": 80, "K": 125,
    "L": 200, "M": 315, "N": 500, "P": 800, "Q": 1250, "R": 2000,
}  # fmt: skip
_UP, _DOWN = -1, -2
_COLUMN: Final = (0, _UP, _DOWN, 1, 2, 3, 5, 7, 10, 14, 21)
"""Acceptance numbers of every AQL down the letters, from the one where it is 0; then arrows up."""
_STARTS: Final = {"0.65": "F", "1.0": "E", "1.5": "D", "2.5": "C", "4.0": "B", "6.5": "A"}


@dataclass(frozen=True, slots=True)
class Single:
    """One plan."""

    letter: str
    """The code letter whose plan it is, after arrows."""
    size: int
    accept: int
    """Accepted with at most so many bad ones; rejected with one more."""


def single_normal(lot: int, aql: str) -> Single:
    """Return the plan for a lot of so many and an acceptance quality limit in percent.

    Raises:
        RefusedError: no such AQL in this table.
    """
    wanted = {"1": "1.0", "4": "4.0"}.get(aql, aql)
    if wanted not in _STARTS:
        raise RefusedError(f"AQL {aql[:20]!r} is not one.", f"There are: {', '.join(_STARTS)}.")
    letters = list(SIZES)
    start = letters.index(_STARTS[wanted])
    place = letters.index(next((letter for most, letter in LOTS if lot <= most), "Q"))
    place = min(max(place, start), start + len(_COLUMN) - 1)  # arrows above and below the column
    arrow = _COLUMN[place - start]
    place += {_UP: -1, _DOWN: 1}.get(arrow, 0)
    return Single(letters[place], SIZES[letters[place]], _COLUMN[place - start])
