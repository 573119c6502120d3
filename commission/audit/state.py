"""What an audit's own record adds up to: one stream per audit, chained and signed like any other.

Body shapes by kind:

audit_opened      `audit, purpose, auditor {name, id, role}` (id empty where nobody is registered),
                  `selection`, `population {jobs, digest}`, `sample {plan, size, accept, says,
                  seed}` or null, `jobs [{job, entries, head}]`, `checks [{id, version}]`, `quick`,
                  `tool`, `took_part [job]`: audited jobs in which the auditor worked; and where
                  people are registered `register {entry, head}`
finding           as `Finding.to_json`: `check, severity, job, seq, step, by, text, entries`
remarked          `job, seq, finding, text`: the auditor's; job and finding may be empty or 0
finding_answered  `finding` (number of its entry), `text`: by whom it is about, or anybody
audit_closed      `role, conclusion, findings, unanswered`, ends with `signature`
clock_jump        as in a job
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

from commission.audit.finding import SEVERITIES, Finding
from commission.errors import IllegalEntryError
from commission.job.signature import signature_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.job.entry import Clock, Entry

AUDITED: Final = "audited"
"""What the signature of a closed audit means."""
ROLES: Final = ("auditor", "lead")
"""Who may audit, the first that a person has."""


@dataclass(frozen=True, slots=True)
class Said:
    """A remark, or an answer to a finding."""

    seq: int
    at: str
    by: str
    text: str
    job: str = ""
    about: int = 0
    """The entry of the job."""
    finding: int = 0


@dataclass(frozen=True, slots=True)
class Opened:
    """What the first entry says; mappings as it stands in the body."""

    audit: str
    purpose: str
    at: str
    auditor: str
    auditor_id: str
    role: str
    jobs: tuple[Mapping[str, Any], ...]
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Closed:
    """How it ended."""

    seq: int
    at: str
    by: str
    role: str
    conclusion: str
    is_signed: bool


@dataclass(frozen=True, slots=True)
class AuditState:
    """An audit after any number of entries."""

    seq: int = 0
    at: str = ""
    clock: Clock | None = None
    opened: Opened | None = None
    findings: Mapping[int, Finding] = field(default_factory=dict)
    """By the number of their entries."""
    answers: tuple[Said, ...] = ()
    remarks: tuple[Said, ...] = ()
    closed: Closed | None = None

    def unanswered(self) -> tuple[int, ...]:
        """Return the numbers of faults that nobody answered; signs need no answer."""
        answered = {one.finding for one in self.answers}
        return tuple(
            seq for seq, one in self.findings.items() if not one.is_sign and seq not in answered
        )


def advance(state: AuditState, entry: Entry) -> AuditState:
    """Return the audit after one more entry.

    Raises:
        IllegalEntryError: no legal audit contains this entry at this point; says why.
    """
    if entry.seq != state.seq + 1:
        raise IllegalEntryError(f"Entry {entry.seq} comes where {state.seq + 1} is due.")
    rule = _RULES.get(entry.kind)
    if rule is None:
        raise IllegalEntryError(f"Entry {entry.seq} is of the unknown kind {entry.kind!r}.")
    if (state.opened is None) is not (entry.kind == "audit_opened"):
        raise IllegalEntryError(f"Entry {entry.seq}: an audit is opened once, first of all.")
    if state.closed is not None:
        raise IllegalEntryError(f"The audit was closed in entry {state.closed.seq}.")
    try:
        after = rule(state, entry)
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise IllegalEntryError(
            f"Entry {entry.seq} ({entry.kind}) is not made as such entries are: {error!r}."
        ) from error
    return replace(after, seq=entry.seq, at=entry.at, clock=entry.clock)


def replay(entries: Iterable[Entry]) -> AuditState:
    """Return the audit after all entries.

    Raises:
        IllegalEntryError: at the first entry that is not legal.
    """
    state = AuditState()
    for entry in entries:
        state = advance(state, entry)
    return state


_TEXT: Final = (str,)
_NUMBER: Final = (int,)
_LIST: Final = (list, tuple)
_OPENED: Final = {"audit": _TEXT, "purpose": _TEXT, "took_part": _LIST}
_POPULATION: Final = {"jobs": _NUMBER, "digest": _TEXT}
_SAMPLE: Final = {"plan": _TEXT, "size": _NUMBER, "accept": _NUMBER, "says": _TEXT, "seed": _TEXT}
_JOB: Final = {"job": _TEXT, "entries": _NUMBER, "head": _TEXT}
_FINDING: Final = {
    "check": _TEXT, "severity": _TEXT, "job": _TEXT, "seq": _NUMBER, "step": _TEXT, "by": _TEXT,
    "text": _TEXT, "entries": _LIST,
}  # fmt: skip


def _check_kinds(said: Mapping[str, Any], kinds: Mapping[str, tuple[type, ...]]) -> None:
    """Refuse what is of another kind than whoever reads an audit may rely on.

    Raises:
        TypeError: names it.
    """
    for name, kind in kinds.items():
        if not isinstance(said[name], kind):
            raise TypeError(f"{name} is {type(said[name]).__name__}")


def _opened(state: AuditState, entry: Entry) -> AuditState:
    body = entry.body
    _check_kinds(body, _OPENED)
    _check_kinds(body["population"], _POPULATION)
    if body["sample"] is not None:
        _check_kinds(body["sample"], _SAMPLE)
    who = body["auditor"]
    if who["name"] != entry.by or who["role"] not in ROLES:
        raise IllegalEntryError(f"{entry.by} opens an audit of {who['name']} as {who['role']}.")
    if bool(who["id"]) is not ("register" in body):
        raise IllegalEntryError("An auditor has an id where people are registered, else none.")
    jobs = tuple(body["jobs"])
    if not jobs or any(set(one) != {"job", "entries", "head"} for one in jobs):
        raise IllegalEntryError("An audit names the jobs it is of, with entries and head.")
    for one in jobs:
        _check_kinds(one, _JOB)
    opened = Opened(
        body["audit"], body["purpose"], entry.at, who["name"], who["id"], who["role"], jobs, body
    )
    return replace(state, opened=opened)


def _finding(state: AuditState, entry: Entry) -> AuditState:
    body = entry.body
    _check_kinds(body, _FINDING)
    if any(not isinstance(one, int) for one in body["entries"]):
        raise IllegalEntryError(f"Finding {entry.seq} names entries that are no numbers.")
    if body["severity"] not in SEVERITIES or not body["text"]:
        raise IllegalEntryError(f"Entry {entry.seq} is no finding.")
    found = Finding(
        body["check"], body["severity"], body["job"], body["text"], body["seq"], body["step"],
        body["by"], tuple(body["entries"]),
    )  # fmt: skip
    return replace(state, findings={**state.findings, entry.seq: found})


def _remarked(state: AuditState, entry: Entry) -> AuditState:
    body = entry.body
    _check_auditor(state, entry)
    _check_finding(state, body["finding"], may_be_none=True)
    if body["job"] and body["job"] not in _jobs(state):
        raise IllegalEntryError(f"{body['job']} is not audited here.")
    said = _said(entry, body["job"], body["seq"], body["finding"])
    return replace(state, remarks=(*state.remarks, said))


def _answered(state: AuditState, entry: Entry) -> AuditState:
    number = entry.body["finding"]
    _check_finding(state, number, may_be_none=False)
    return replace(state, answers=(*state.answers, _said(entry, "", 0, number)))


def _closed(state: AuditState, entry: Entry) -> AuditState:
    body = entry.body
    opened = _check_auditor(state, entry)
    _check_kinds(body, {"conclusion": _TEXT})
    if body["role"] != opened.role or not body["conclusion"]:
        raise IllegalEntryError("An audit is closed by its auditor, with a conclusion.")
    if (body["findings"], body["unanswered"]) != (len(state.findings), len(state.unanswered())):
        raise IllegalEntryError(f"Entry {entry.seq} counts other findings than there are.")
    signature = signature_of(entry)
    if (signature is None) is not (not opened.auditor_id):
        raise IllegalEntryError("A closed audit is signed where people are registered, else not.")
    if signature is not None and (signature.signer, signature.meaning) != (
        opened.auditor_id, AUDITED,
    ):  # fmt: skip
        raise IllegalEntryError(
            f"Signed by {signature.signer} as {signature.meaning!r}; {opened.auditor_id} has to, "
            f"as {AUDITED!r}."
        )
    closed = Closed(
        entry.seq, entry.at, entry.by, body["role"], body["conclusion"], signature is not None
    )
    return replace(state, closed=closed)


def _jumped(state: AuditState, _: Entry) -> AuditState:
    return state


_RULES: Final[Mapping[str, Callable[[AuditState, Entry], AuditState]]] = {
    "audit_opened": _opened,
    "finding": _finding,
    "remarked": _remarked,
    "finding_answered": _answered,
    "audit_closed": _closed,
    "clock_jump": _jumped,
}


def _said(entry: Entry, job: str, about: int, finding: int) -> Said:
    if not entry.body["text"] or not isinstance(entry.body["text"], str):
        raise IllegalEntryError(f"Entry {entry.seq} says nothing.")
    return Said(entry.seq, entry.at, entry.by, entry.body["text"], job, about, finding)


def _check_auditor(state: AuditState, entry: Entry) -> Opened:
    if state.opened is None or entry.by != state.opened.auditor:
        raise IllegalEntryError(f"Entry {entry.seq} is the auditor's to make.")
    return state.opened


def _check_finding(state: AuditState, number: int, *, may_be_none: bool) -> None:
    if number not in state.findings and not (may_be_none and number == 0):
        known = ", ".join(map(str, state.findings)) or "none"
        raise IllegalEntryError(f"There is no finding {number}.", f"Findings: {known[:200]}.")


def _jobs(state: AuditState) -> set[str]:
    return set() if state.opened is None else {one["job"] for one in state.opened.jobs}
