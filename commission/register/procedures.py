"""The rule of entries that approve a procedure for work, and the draft that does."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError, RefusedError
from commission.job.entry import Draft
from commission.job.signature import SIGNATURE
from commission.register import authority
from commission.register.state import Approved
from commission.register.working import point_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.entry import Entry
    from commission.register.state import Register
    from commission.register.working import Working

_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_PROCEDURE: Final = re.compile(r"[a-z][a-z0-9-]{0,47}")


def approve(
    register: Register, procedure: str, revision: int, title: str, digest: str, by: str
) -> Draft:
    """Return the draft that approves a revision; it takes the place of the one approved before.

    Raises:
        RefusedError: it is the approved one already.
    """
    now = register.approved_now(procedure)
    if now is not None and now.digest == digest:
        raise RefusedError(
            f"{procedure} revision {revision} is the approved one since {now.at.at[:10]}."
        )
    body = {
        "procedure": procedure, "revision": revision, "title": title, "digest": digest,
        SIGNATURE: None,
    }  # fmt: skip
    return Draft("procedure_approved", by, body=body)


def approved(register: Working, entry: Entry) -> None:
    """Let a revision be the approved one from here on."""
    body = entry.body
    if (
        not _PROCEDURE.fullmatch(body["procedure"])
        or type(body["revision"]) is not int
        or not _DIGEST.fullmatch(body["digest"])
    ):
        raise IllegalEntryError(f"Entry {entry.seq} names no revision of a procedure.")
    authority.check_lead_signed(register.frozen(), entry)
    one = Approved(
        body["procedure"], body["revision"], str(body["title"]), body["digest"], point_of(entry),
        entry.by,
    )  # fmt: skip
    register.approved = (*register.approved, one)


RULES: Final[Mapping[str, Callable[[Working, Entry], None]]] = {"procedure_approved": approved}
