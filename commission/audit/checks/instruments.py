"""Whether readings were taken with instruments in calibration, and whether those proved good."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding, first
from commission.job.instrument import NOT_REGISTERED, cited_in

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.audit.audited import AuditedJob
    from commission.audit.finding import Severity
    from commission.job.entry import Entry
    from commission.register.instrument import Instrument
    from commission.register.state import Register

_INSTRUMENTS: Final = Declared(
    "instruments",
    "Instruments in calibration at that time",
    "Each instrument that a reading cites stood in the register then, not retired, as the record "
    "says: its day of calibration and whether it was good. What was read with one that was not "
    "good is told: with leave as minor, without as major.",
    "major",
    "ISO/IEC 17025:2017, 6.4.6 to 6.4.8: calibrated, labelled, out of service when suspect",
)
_SUSPECT: Final = Declared(
    "instrument-suspect",
    "Instruments found bad afterwards",
    "The first look at an instrument after a reading, a check or a calibration, was a check that "
    "it failed: the reading may have been wrong already.",
    "minor",
    "ISO/IEC 17025:2017, 6.4.9 and 7.10.1: the effect on previous results is examined",
)


def _cited(job: AuditedJob) -> Iterator[tuple[Entry, Mapping[str, Any]]]:
    """Yield each instrument that an entry cites, once for each entry.

    What is corrected or replaced carries what was cited when the reading was taken; what it cites
    anew was read then.
    """
    before: dict[str, list[Mapping[str, Any]]] = {}
    for entry in job.entries:
        if entry.kind == "part":
            pieces = [entry.body["given"]]
        elif entry.kind in {"answered", "corrected", "hold_confirmed"}:
            pieces = list(entry.body.get("parts", {}).values())
        else:
            continue
        cited = [one for piece in pieces if piece for one in cited_in(piece)]
        known = before.setdefault(entry.step or "", []) if cited else []
        if "replaces" in entry.body:
            cited = [one for one in cited if one not in known]
        known += cited
        seen: dict[str, Mapping[str, Any]] = {str(one["id"]): one for one in cited}
        for one in seen.values():
            yield entry, one


def _instruments(job: AuditedJob) -> Iterator[Finding]:
    told: dict[tuple[Severity, str], list[Entry]] = {}
    for entry, cited in _cited(job):
        said = _wrong(job.register, cited, entry.at)
        if said:
            leave = _leave(job, cited, entry)
            is_known = said == _was(cited)
            holds = is_known and leave is not None and _held(leave, entry)
            words = "" if leave is None else (
                f" {leave.by} gave leave in entry {leave.seq}, until {leave.body['expiry']}."
            )  # fmt: skip
            told.setdefault(("minor" if holds else "major", said + words), []).append(entry)
    for (severity, said), entries in told.items():
        entry = entries[0]
        yield Finding(
            _INSTRUMENTS.id, severity, job.stream, said, entry.seq, entry.step or "", entry.by,
            first([one.seq for one in entries]),
        )  # fmt: skip


def _leave(job: AuditedJob, cited: Mapping[str, Any], read: Entry) -> Entry | None:
    """Return the last leave, before a reading, to read with an instrument that is not good."""
    if cited["state"] == "good":
        return None
    given = [
        one
        for one in job.entries
        if one.kind == "instrument_conceded" and one.seq < read.seq
        and one.body["instrument"] == cited["id"]
    ]  # fmt: skip
    return given[-1] if given else None


def _held(leave: Entry, read: Entry) -> bool:
    """Return whether leave was another's to give and had not run out when it was read."""
    return leave.by != read.by and leave.body["expiry"] >= read.at[:10]


def _was(cited: Mapping[str, Any]) -> str:
    return f"{cited['id']} was {cited['state']}."


def _wrong(register: Register | None, cited: Mapping[str, Any], at: str) -> str:
    name, state = cited["id"], cited["state"]
    if state == NOT_REGISTERED:
        return "Read with an instrument that is in no register, although others of its kind are."
    if register is None:
        return _was(cited) if state != "good" else ""
    one = register.instruments.get(name)
    stood = None if one is None else one.at(at)
    if stood is None:
        return f"{name} was in no register then."
    if stood.retired is not None:
        return f"{name} had been retired then."
    if (stood.due, stood.standing(at)) != (cited["due"], state):
        return (
            f"{name} is recorded as {state}, due {cited['due'] or 'never'}; the register said "
            f"{stood.standing(at)}, due {stood.due or 'never'}."
        )
    return _was(cited) if state != "good" else ""


def _suspect(job: AuditedJob) -> Iterator[Finding]:
    if job.register is None:
        return
    told: set[str] = set()
    for entry, cited in _cited(job):
        one = job.register.instruments.get(cited["id"])
        if one is None or one.id in told:
            continue
        bad = _next_bad(one, entry.at)
        if bad:
            told.add(one.id)
            said = f"{one.id} failed its check on {bad[:10]}, the first after this reading."
            yield Finding(
                _SUSPECT.id, "minor", job.stream, said, entry.seq, entry.step or "", entry.by
            )


def _next_bad(one: Instrument, at: str) -> str:
    """Return when the instrument failed the first look at it after a moment; empty for not."""
    looks = [(check.at.at, check.good) for check in one.checks if check.at.at > at]
    looks += [(done.at.at, True) for done in one.calibrations if done.at.at > at]
    moment, good = min(looks, default=("", True))
    return "" if good else moment


CHECKS: Final = (Check(_INSTRUMENTS, _instruments), Check(_SUSPECT, _suspect))
