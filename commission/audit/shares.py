"""A share in words: whole per cent, and neither 0 % nor 100 % unless it is none or all."""

from __future__ import annotations


def percent(part: int, of: int, digits: int = 0) -> str:
    """Return a share as people read it: `97 %`; `> 99 %` of nearly all, `< 1 %` of hardly any.

    Args:
        part: how many.
        of: of how many; of none there is no share, said as `-`.
        digits: places after the point.
    """
    if of <= 0:
        return "-"
    said = f"{100 * part / of:.{digits}f} %"
    step = 10.0**-digits
    if part > 0 and said == f"{0:.{digits}f} %":
        return f"< {step:.{digits}f} %"
    if part < of and said == f"{100:.{digits}f} %":
        return f"> {100 - step:.{digits}f} %"
    return said
