"""Audits in the store: begun with what a run found, answered, closed; each a stream of its own."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission import __version__
from commission.audit import state as states
from commission.audit.catalogue import declared
from commission.errors import BusyError, CommissionError, DamagedError, RefusedError, UnsignedError
from commission.job.entry import GENESIS, Digest, Draft, Entry, Instant
from commission.job.signature import SIGNATURE
from commission.record.chain import verify
from commission.record.clocks import jump_between
from commission.record.line import digest_of, parse, to_line
from commission.record.signing import signed_line
from commission.record.staffing import registered

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from commission.audit.finding import Finding
    from commission.audit.state import AuditState
    from commission.record.bench import Bench
    from commission.record.clocks import Clocks

AUDIT_ID: Final = re.compile(r"audit-\d{8}-[A-Z]{4}")
_TRIES: Final = 20


@dataclass(frozen=True, slots=True)
class Begun:
    """What an audit is of: everything its opening says beside who opens it."""

    purpose: str
    selection: Mapping[str, Any]
    population: Mapping[str, Any]
    sample: Mapping[str, Any] | None
    jobs: Sequence[Mapping[str, Any]]
    """`{job, entries, head}` of each audited job."""
    quick: bool
    took_part: Sequence[str] = ()
    """Audited jobs in which the auditor worked."""


class AuditBook:
    """The audits of one bench."""

    def __init__(
        self,
        bench: Bench,
        clocks: Clocks | None = None,
        letters: Callable[[], str] | None = None,
    ) -> None:
        self._bench = bench
        self._clocks = clocks or bench.clocks
        self._letters = letters or bench.letters

    def audits(self) -> tuple[str, ...]:
        """Return the ids of all audits, in the order in which they were begun."""
        return tuple(name for name in self._bench.store.streams() if AUDIT_ID.fullmatch(name))

    def read(self, audit: str) -> AuditState:
        """Return an audit.

        Raises:
            RefusedError: there is none of that id.
            DamagedError: its record is not whole; says where.
        """
        return self._read(audit)[0]

    def auditor(self, text: str) -> tuple[str, str, str]:
        """Return name, id and role of who audits; no id where nobody is registered.

        Raises:
            RefusedError: nobody in the register is meant, or nobody who may audit.
        """
        register = self._bench.book.register
        if not register.has_people:
            name = " ".join(text.split())
            if not name or not name.isprintable():
                raise RefusedError("Who audits?", "Say --by and a name.")
            return name, "", states.ROLES[0]
        if not text.strip():
            able = [one.name for role in states.ROLES for one in register.active(role)]
            names = ", ".join(dict.fromkeys(able)) or "nobody yet"
            raise RefusedError("Who audits?", f"Say --by and one of: {names}.")
        person = registered(register, text, ())
        role = next((role for role in states.ROLES if role in person.roles_now), "")
        if not role:
            able = [one.name for role in states.ROLES for one in register.active(role)]
            raise RefusedError(
                f"{person.name} is neither auditor nor lead.",
                f"May audit: {', '.join(dict.fromkeys(able)) or 'nobody yet'}.",
            )
        return person.name, person.id, role

    def begin(self, begun: Begun, findings: Iterable[Finding], by: str) -> AuditState:
        """Record a new audit with what was found; durable, all or nothing.

        Raises:
            RefusedError: `by` may not audit, or there is no purpose.
            StoreError: it could not be written.
        """
        name, person, role = self.auditor(by)
        purpose = _text(begun.purpose, "Purpose")
        anchor = {}
        if person:
            place = self._bench.book.place
            anchor = {"register": {"entry": place.entry, "head": place.head}}
        body = {
            "audit": "", "purpose": purpose,
            "auditor": {"name": name, "id": person, "role": role},
            "selection": dict(begun.selection), "population": dict(begun.population),
            "sample": None if begun.sample is None else dict(begun.sample),
            "jobs": [dict(one) for one in begun.jobs],
            "checks": [{"id": one.id, "version": one.version} for one in declared()],
            "quick": begun.quick, "tool": f"commission {__version__}",
            "took_part": list(begun.took_part), **anchor,
        }  # fmt: skip
        drafts = [Draft("finding", name, body=one.to_json()) for one in findings]
        for _ in range(_TRIES):
            day = self._clocks.now().at[:10].replace("-", "")
            audit = f"audit-{day}-{self._letters()}"
            opening = Draft("audit_opened", name, body={**body, "audit": audit})
            try:
                return self._append(audit, states.AuditState(), GENESIS, [opening, *drafts])
            except BusyError:
                continue
        raise BusyError("No unused id was found for the audit.", "Try again.")

    def remark(
        self, audit: str, text: str, *, job: str = "", seq: int = 0, finding: int = 0
    ) -> AuditState:
        """Record a remark of the auditor, about a job's entry, a finding, or the whole.

        Raises:
            RefusedError: nothing is said, or about what is not there.
        """
        state, head = self._read(audit)
        body = {"job": job, "seq": seq, "finding": finding, "text": _text(text, "Remark")}
        by = "" if state.opened is None else state.opened.auditor
        return self._append(audit, state, head, [Draft("remarked", by, body=body)])

    def answer(self, audit: str, finding: int, text: str, by: str) -> AuditState:
        """Record somebody's answer to a finding.

        Raises:
            RefusedError: there is no such finding, nothing is said, or nobody of that name.
        """
        state, head = self._read(audit)
        register = self._bench.book.register
        name = registered(register, by, ()).name if register.has_people else _text(by, "Name")
        body = {"finding": finding, "text": _text(text, "Answer")}
        return self._append(audit, state, head, [Draft("finding_answered", name, body=body)])

    def close(self, audit: str, conclusion: str) -> AuditState:
        """Close an audit, signed with the key that the sitting has open for its auditor.

        Raises:
            UnsignedError: the auditor's signature has to be given first.
            RefusedError: there is no conclusion, or it is closed already.
        """
        state, head = self._read(audit)
        opened = state.opened
        if opened is None:
            raise DamagedError(f"{audit} does not begin with its opening.")
        body = {
            "role": opened.role, "conclusion": _text(conclusion, "Conclusion"),
            "findings": len(state.findings), "unanswered": len(state.unanswered()),
            SIGNATURE: None,
        }  # fmt: skip
        return self._append(audit, state, head, [Draft("audit_closed", opened.auditor, body=body)])

    def _read(self, audit: str) -> tuple[AuditState, Digest]:
        if not AUDIT_ID.fullmatch(audit) or self._bench.store.last(audit) is None:
            raise RefusedError(
                f"There is no audit {audit[:60]!r}.", "`commission audit list` lists them."
            )
        lines = list(self._bench.lines(audit))
        head = verify(lines, stream=audit)
        try:
            return states.replay(map(parse, lines)), head
        except CommissionError as error:
            raise DamagedError(f"{audit} is not a legal audit's record: {error.message}") from error

    def _append(
        self, audit: str, state: AuditState, head: Digest, drafts: Sequence[Draft]
    ) -> AuditState:
        now, first = self._clocks.now(), state.seq + 1
        lines: list[bytes] = []
        for draft in (*_jump(state, drafts[0].by, now), *drafts):
            entry = Entry(
                audit, state.seq + 1, now.at, now.clock, self._bench.name, draft.by, draft.kind,
                None, 0, draft.body, head,
            )  # fmt: skip
            line = self._line(state, entry)
            state, head = states.advance(state, parse(line)), digest_of(line)
            lines.append(line)
        self._bench.store.append(audit, first, lines, None)
        return state

    def _line(self, state: AuditState, entry: Entry) -> bytes:
        opened = state.opened
        if SIGNATURE not in entry.body or opened is None or not opened.auditor_id:
            return to_line(entry)
        signer = self._bench.sitting.signer(opened.auditor_id)
        if signer is None:
            raise UnsignedError(opened.auditor_id, opened.auditor, states.AUDITED)
        return signed_line(entry, states.AUDITED, signer, self._bench.book.place)


def _jump(state: AuditState, by: str, now: Instant) -> tuple[Draft, ...]:
    if state.clock is None:
        return ()
    jump = jump_between(Instant(state.at, state.clock), now)
    if jump is None:
        return ()
    return (Draft("clock_jump", by, body={"wall_s": jump.wall_s, "monotonic_s": jump.monotonic_s}),)


def _text(text: str, what: str) -> str:
    said = " ".join(text.split())
    if len(said) < 2 or not said.isprintable():  # noqa: PLR2004  one letter says nothing
        raise RefusedError(f"{what}: nothing was said.", "Say it in a few words.", "text")
    return said[:2000]
