"""Which sheets there are, found by the words people use for them."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.report.document import Document
    from commission.report.subject import Subject


@dataclass(frozen=True, slots=True)
class Kind:
    """One sheet: its name, other words for it, what it is for, and its file's name."""

    name: str
    also: tuple[str, ...]
    about: str

    @property
    def slug(self) -> str:
        """The name as part of a file's name."""
        return self.name.replace(" ", "-")


HANDOVER: Final = Kind("handover sheet", ("handover", "certificate", "owner"), "for the owner")
RECORD: Final = Kind(
    "full technical record", ("record", "full record", "technical record", "full"), "everything"
)
RESTORE: Final = Kind(
    "settings restore sheet", ("restore", "restore sheet", "settings", "settings sheet"),
    "after a firmware update",
)  # fmt: skip
STATE: Final = Kind("state sheet", ("state", "paper", "open"), "to carry on by hand")
KINDS: Final = (HANDOVER, RECORD, RESTORE, STATE)


def kind_of(words: str | None, subject: Subject) -> Kind:
    """Return the sheet that `words` name; without words, the one a job asks for as it stands.

    Raises:
        RefusedError: no sheet is called so.
    """
    if words is None:
        return HANDOVER if subject.state.outcome else STATE
    wanted = " ".join(words.casefold().replace("-", " ").replace("_", " ").split())
    names = {name: kind for kind in KINDS for name in (kind.name, *kind.also)}
    if wanted in names:
        return names[wanted]
    near = difflib.get_close_matches(wanted, list(names), n=1)
    hint = f"Did you mean {names[near[0]].name!r}? " if near else ""
    known = ", ".join(f"{kind.name} ({kind.about})" for kind in KINDS)
    raise RefusedError(f"There is no sheet called {words[:60]!r}.", f"{hint}There are: {known}.")


def document_of(kind: Kind, subject: Subject) -> Document:
    """Return a job as the sheet `kind`."""
    return _builder(kind)(subject)


def _builder(kind: Kind) -> Callable[[Subject], Document]:
    from commission.report.sheets.full_record import full_record
    from commission.report.sheets.handover import handover
    from commission.report.sheets.restore import restore
    from commission.report.sheets.state_sheet import state_sheet

    builders = {HANDOVER: handover, RECORD: full_record, RESTORE: restore, STATE: state_sheet}
    return builders[kind]
