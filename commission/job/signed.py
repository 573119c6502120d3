"""Which entries of a job are signed, and what their signature has to say. Keys are the record's.

A job opened on a bench with registered people says so (`register`), and each of its people has an
id there. Then these entries carry a signature, by the person they are by:

answered        of a `sign_off` step: its meaning (done, witnessed, released)
hold_confirmed  `confirmed` or `refused`
conceded, instrument_conceded `conceded`
resumed         `resumed`
corrected       by somebody with the role of lead: `corrected`
closed          `ended`; records of before it was signed have no place for a signature there and
                stay legal (audits tell them)

A job without registered people has none: it goes on unsigned, and its record says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError
from commission.job.signature import SIGNATURE, signature_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.entry import Draft, Entry
    from commission.job.state import JobState
    from commission.job.working import Working

SIGNED: Final = frozenset({
    "answered", "hold_confirmed", "conceded", "instrument_conceded", "resumed", "corrected",
    "closed",
})  # fmt: skip
_ALWAYS: Final = {
    "conceded": "conceded", "instrument_conceded": "conceded", "resumed": "resumed",
    "closed": "ended",
}  # fmt: skip


def meaning_of(job: JobState | Working, made: Draft | Entry) -> str:
    """Return what the signature of an entry means; empty where it takes none."""
    if made.kind in _ALWAYS:
        return _ALWAYS[made.kind]
    if made.kind == "hold_confirmed":
        return "confirmed" if made.body["agrees"] else "refused"
    if made.kind == "corrected":
        return "corrected" if "lead" in job.people.get(made.by, ()) else ""
    if made.kind == "answered" and made.step is not None and made.step in job.plan.index:
        step = job.plan.planned(made.step).step
        return str(step.meaning) if step.kind == "sign_off" else ""
    return ""


def with_place(job: JobState, draft: Draft) -> Mapping[str, Any]:
    """Return a draft's body with an empty place for a signature at its end, where it takes one."""
    said = {name: value for name, value in draft.body.items() if name != SIGNATURE}
    return {**said, SIGNATURE: None} if meaning_of(job, draft) else said


def check(job: Working, entry: Entry) -> None:
    """Refuse an entry of a job that is not signed as it has to be.

    Raises:
        IllegalEntryError: says what is missing, or what the signature should say.
    """
    signature = signature_of(entry)
    if not job.ids:
        if signature is not None:
            raise IllegalEntryError(f"Entry {entry.seq} is signed; nobody here is registered.")
        return
    meaning = meaning_of(job, entry)
    if signature is None:
        if meaning and not (entry.kind == "closed" and SIGNATURE not in entry.body):
            raise IllegalEntryError(f"Entry {entry.seq} ({meaning}) has to be signed.")
    elif not meaning or signature.meaning != meaning:
        raise IllegalEntryError(
            f"Entry {entry.seq} is signed as {signature.meaning!r}; "
            f"it takes {repr(meaning) if meaning else 'no signature'}."
        )
    elif signature.signer != job.ids.get(entry.by):
        raise IllegalEntryError(
            f"Entry {entry.seq} is by {entry.by} and signed by {signature.signer}."
        )
