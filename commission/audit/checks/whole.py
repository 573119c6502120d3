"""Whether the record is whole, signed, by people in their roles, under an approved procedure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding, first
from commission.job.signature import SIGNATURE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.audited import AuditedJob
    from commission.job.entry import Entry
    from commission.register.state import Register

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
    "The job was opened without the register although it had people then; or before it had, and "
    "what takes a signature came after (minor); or with a register that is not here, so that "
    "nobody can say whose keys signed; or it was ended without release and without a signature "
    "(minor: records of before that was signed).",
    "major",
    "21 CFR 11.50, 11.100: a signature is one person's and says who, when and what it means",
    version=2,
)
_ROLES: Final = Declared(
    "roles",
    "People in roles they had",
    "Everyone who took part did so under the own name, had each role named in the record by the "
    "register at that time, and made no entry after being retired.",
    "major",
    "21 CFR 11.10(g): authority checks",
    version=2,
)
_PROCEDURE: Final = Declared(
    "procedure",
    "The approved revision of the procedure",
    "The procedure's digest is that of the revision approved when the job was opened; where only "
    "others had been approved by then, that is told (minor). Silent where none had.",
    "major",
    "ISO 9001:2015, 7.5.3: documented information is controlled",
    version=2,
)


def _whole(job: AuditedJob) -> Iterator[Finding]:
    if job.fault is not None:
        said = f"{job.fault.reason}: {job.fault.text}."
        yield Finding(_WHOLE.id, "critical", job.stream, said, seq=job.fault.seq)


def _unsigned(job: AuditedJob) -> Iterator[Finding]:
    opening, register = job.entries[0], job.register
    if job.is_practice:
        return
    if opening.body.get("register"):
        yield from _signed(job)
        return
    added = [] if register is None else [one.added.at for one in register.people.values()]
    there = [at for at in added if at <= opening.at]
    founded = min(added, default="")
    late = [one for one in job.entries if SIGNATURE in one.body and "" < founded <= one.at]
    if there:
        said = (
            f"Opened without the register, in which {len(there)} people stood; nothing is signed."
        )
        yield Finding(_UNSIGNED.id, "major", job.stream, said, seq=1, by=opening.by)
    elif late:
        said = (
            f"Opened before anybody was registered; {len(late)} entries that take a signature "
            "came after that and have none."
        )
        yield Finding(
            _UNSIGNED.id, "minor", job.stream, said, late[0].seq, late[0].step or "", late[0].by,
            first([one.seq for one in late]),
        )  # fmt: skip


def _signed(job: AuditedJob) -> Iterator[Finding]:
    opening, last = job.entries[0], job.entries[-1]
    if job.register is None:
        said = "Opened with a register that is not here: nobody can say whose keys signed."
        yield Finding(_UNSIGNED.id, "major", job.stream, said, seq=1, by=opening.by)
    if last.kind == "closed" and SIGNATURE not in last.body:
        said = f"Ended as {last.body['outcome']} without a signature."
        yield Finding(_UNSIGNED.id, "minor", job.stream, said, last.seq, by=last.by)


def _roles(job: AuditedJob) -> Iterator[Finding]:
    register = job.register
    if register is None:
        return
    gone: dict[str, str] = {}
    for entry in job.entries:
        if entry.kind == "opened":
            people: list[dict[str, Any]] = entry.body["people"]
        elif entry.kind == "joined":
            people = [dict(entry.body)]
        else:
            people = []
        for person in people:
            if person.get("id"):
                yield from _taken_in(job, register, entry, person)
                gone[person["name"]] = _retired(register, person["id"])
        if "" < gone.get(entry.by, "") <= entry.at:
            said = f"{entry.by} made entries from here on, retired on {gone.pop(entry.by)[:10]}."
            yield Finding(
                _ROLES.id, "major", job.stream, said, entry.seq, entry.step or "", entry.by
            )


def _retired(register: Register, person: str) -> str:
    """Return when a person was retired; empty for not, or for nobody."""
    known = register.people.get(person)
    return "" if known is None or known.retired is None else known.retired.at


def _taken_in(
    job: AuditedJob, register: Register, entry: Entry, person: dict[str, Any]
) -> Iterator[Finding]:
    """Yield what is wrong with how a person takes part: the name, or roles."""
    known, name = register.people.get(person["id"]), person["name"]
    held = frozenset() if known is None else register.roles_at(known.id, entry.at)
    beyond = [role for role in person["roles"] if role not in held]
    if known is not None and known.name != name:
        said = f"{name} takes part as {known.id}, who is {known.name} in the register."
    elif beyond:
        said = f"{name} takes part as {', '.join(beyond)} and was none then."
    else:
        return
    yield Finding(_ROLES.id, "major", job.stream, said, entry.seq, by=name)


def _procedure(job: AuditedJob) -> Iterator[Finding]:
    if job.register is None:
        return
    opening = job.entries[0]
    used = opening.body["procedure"]
    approved = job.register.approved_at(used["id"], opening.at)
    if approved is None:
        others = {one.procedure for one in job.register.approved if one.at.at <= opening.at}
        if others and not job.is_practice:
            said = f"{used['id']} was never approved; approved then: {', '.join(sorted(others))}."
            yield Finding(_PROCEDURE.id, "minor", job.stream, said, seq=1, by=opening.by)
        return
    if approved.digest == used["digest"]:
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
