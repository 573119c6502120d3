"""Whether the record is whole, signed, by people in their roles, under an approved procedure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding
from commission.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.audited import AuditedJob

_WHOLE: Final = Declared(
    "whole",
    "Chain, order, signatures",
    "Each line's digest stands in the next one, numbers and clocks go forward, the entries are "
    "those of a legal job, and each signature holds: key and role valid at that time.",
    "critical",
    "21 CFR 11.10(e), 11.70: alterations are detectable, signatures linked to their record",
)
_UNSIGNED: Final = Declared(
    "unsigned",
    "Not signed though people were registered",
    "The job was opened without the register although it had people then.",
    "major",
    "21 CFR 11.50, 11.100: a signature is one person's and says who, when and what it means",
)
_ROLES: Final = Declared(
    "roles",
    "People in roles they had",
    "Everyone who took part had each role named in the record by the register at that time.",
    "major",
    "21 CFR 11.10(g): authority checks",
)
_PROCEDURE: Final = Declared(
    "procedure",
    "The approved revision of the procedure",
    "The procedure's digest is that of the revision approved when the job was opened. Silent "
    "where no procedure of that name had been approved.",
    "major",
    "ISO 9001:2015, 7.5.3: documented information is controlled",
)


def _whole(job: AuditedJob) -> Iterator[Finding]:
    if job.fault is not None:
        said = f"{job.fault.reason}: {job.fault.text}."
        yield Finding(_WHOLE.id, "critical", job.stream, said, seq=job.fault.seq)


def _unsigned(job: AuditedJob) -> Iterator[Finding]:
    opening, register = job.entries[0], job.register
    if register is None or job.is_practice or opening.body.get("register"):
        return
    there = [one for one in register.people.values() if one.added.at <= opening.at]
    if there:
        said = (
            f"Opened without the register, in which {len(there)} people stood; nothing is signed."
        )
        yield Finding(_UNSIGNED.id, "major", job.stream, said, seq=1, by=opening.by)


def _roles(job: AuditedJob) -> Iterator[Finding]:
    register = job.register
    if register is None:
        return
    for entry in job.entries:
        if entry.kind == "opened":
            people: list[dict[str, Any]] = entry.body["people"]
        elif entry.kind == "joined":
            people = [dict(entry.body)]
        else:
            continue
        for person in people:
            named = person.get("id")
            if not named:
                continue
            try:
                held = register.roles_at(named, entry.at)
            except RefusedError:
                held = frozenset()
            beyond = [role for role in person["roles"] if role not in held]
            if beyond:
                said = f"{person['name']} takes part as {', '.join(beyond)} and was none then."
                yield Finding(_ROLES.id, "major", job.stream, said, entry.seq, by=person["name"])


def _procedure(job: AuditedJob) -> Iterator[Finding]:
    if job.register is None:
        return
    opening = job.entries[0]
    used = opening.body["procedure"]
    approved = job.register.approved_at(used["id"], opening.at)
    if approved is None or approved.digest == used["digest"]:
        return
    said = (
        f"{used['id']} revision {used['revision']} with digest {used['digest'][:16]}… was used; "
        f"approved then was revision {approved.revision} with {approved.digest[:16]}…."
    )
    yield Finding(_PROCEDURE.id, "major", job.stream, said, seq=1, by=opening.by)


CHECKS: Final = (
    Check(_WHOLE, _whole, needs_whole=False),
    Check(_UNSIGNED, _unsigned),
    Check(_ROLES, _roles),
    Check(_PROCEDURE, _procedure),
)
