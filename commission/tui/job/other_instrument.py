"""Naming an instrument in a dialog: by id or serial number, among those that are registered."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import RefusedError

if TYPE_CHECKING:
    from commission.job.instrument import Citable

INSTRUMENT: Final = "instrument read with"
"""The ask's name; no name in a procedure has spaces."""


def chosen(known: tuple[Citable, ...], text: str) -> Citable | None:
    """Return the instrument that a person names; None for an empty text.

    Raises:
        RefusedError: none of `known` is called so; names them.
    """
    wanted = text.strip().casefold()
    if not wanted:
        return None
    for one in known:
        if one.id and wanted in {one.id, one.serial.casefold()}:
            return one
    ids = ", ".join(one.id for one in known if one.id)
    raise RefusedError(f"{text.strip()[:40]!r} is none of that kind.", f"Registered: {ids}.")
