"""An audit on paper: what it is of, what was found and answered, how it was closed."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any, Final

from commission.audit import signs as measured
from commission.audit.book import AuditBook
from commission.audit.catalogue import declared
from commission.errors import DamagedError, RefusedError
from commission.job.signature import signature_of
from commission.report.document import Block, Column, Document, Facts, Heading, Paragraph, Table
from commission.report.sheets import proof
from commission.report.sheets.signatures import UNSIGNED
from commission.report.times import ZONE, counted, in_table, moment

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.audit.finding import Finding
    from commission.audit.state import AuditState, Opened
    from commission.job.entry import Entry
    from commission.record.bench import Bench

KIND: Final = "audit report"
_SAYS: Final = (
    "A fault is a fact of a record. A sign only asks for a second look and accuses nobody. Nothing"
    " here is a permission to ride or to work on a bike."
)
_FOUND: Final = (
    Column("number", "no.", 0.5),
    Column("severity", "severity", 1.1),
    Column("about", "about", 2.1),
    Column("by", "by", 0.9),
    Column("text", "what was found", 2.8),
    Column("check", "check", 1.7),
    Column("answer", "answer", 1.7),
)
_DATA: Final = tuple(
    Column(name, name)
    for name in ("number", "severity", "job", "entry", "step", "by", "text", "check", "answer")
)
_REMARKS: Final = (
    Column("number", "no.", 0.5),
    Column("at", "time (UTC)", 1.4),
    Column("about", "about", 1.6),
    Column("text", "remark", 4.0),
)
_JOBS: Final = (
    Column("job", "job", 1.2), Column("entries", "entries", 0.7), Column("head", "head", 5.2),
    Column("faults", "faults", 0.6), Column("signs", "signs", 0.6),
)  # fmt: skip
_CHECKS: Final = (
    Column("check", "check", 1.4), Column("version", "version", 0.6),
    Column("kind", "finds", 1.0), Column("title", "looks for", 3.4),
)  # fmt: skip
_WORTH: Final = (
    Column("sign", "sign", 1.4), Column("per", "counted by", 0.8),
    Column("wrong", "raised on honest ones", 1.6), Column("between", "95 % between", 1.4),
)  # fmt: skip


def sheet(bench: Bench, audit: str) -> Document:
    """Return an audit of a bench as a document, its chain and its signature checked.

    Raises:
        RefusedError: there is none of that id.
        DamagedError: its record is not whole, or the signature does not hold; says where.
        StoreError: it cannot be read.
    """
    from commission.record.chain import verify
    from commission.record.line import parse
    from commission.record.signatures import first_fault
    from commission.record.verifying import known_register

    state = AuditBook(bench).read(audit)
    lines = list(bench.lines(audit))[: state.seq]
    head, entries = verify(lines, stream=audit), [parse(line) for line in lines]
    fault = first_fault(lines, entries, known_register(bench.store))
    if fault is not None:
        raise DamagedError(f"{audit} is not whole: {fault}.", "`commission verify` says more.")
    opened = state.opened
    if opened is None:
        raise RefusedError(f"{audit} does not begin with its opening.")
    return Document(
        kind=KIND,
        title="Audit report",
        about=opened.purpose,
        stream=audit,
        entries=len(lines),
        head=head,
        until=state.at,
        blocks=(
            *_about(state, opened, entries),
            Heading("Faults"),
            _findings(state, signs=False),
            Heading("Signs: to be looked at again"),
            _findings(state, signs=True),
            Heading("Remarks of the auditor"),
            _remarks(state),
            Heading("Jobs that were audited"),
            _jobs(state, opened),
            Heading("What was looked for"),
            _checks(opened),
            Heading("How often the signs are wrong", 2),
            *_worth(),
            *proof.of_record(audit, len(lines), head, "audit.jsonl"),
        ),
        data=_data(state),
        standing="" if state.closed is not None else "NOT CLOSED: this audit is open",
        ended="closed",
    )  # fmt: skip


def _about(state: AuditState, opened: Opened, entries: Sequence[Entry]) -> list[Block]:
    body = opened.body
    population, closed = body["population"], state.closed
    rows = [
        ("Audit", opened.audit),
        ("Purpose", opened.purpose),
        ("Audited by", f"{opened.auditor} ({opened.role})"),
        ("Opened", moment(opened.at)),
        ("Selected", _selection(body["selection"])),
        ("Population", f"{counted(population['jobs'], 'job')}, digest {population['digest']}"),
        ("Audited", f"{counted(len(opened.jobs), 'job')}, {_drawn(body['sample'])}"),
        ("Found", _counts(state)),
        ("Judged again", "from their own numbers only" if body["quick"] else "from the readings"),
        ("Independence", _independence(body["took_part"])),
        ("Made with", body["tool"]),
    ]
    blocks: list[Block] = [
        Facts(tuple(rows)), Paragraph(_SAYS, loud=True), Paragraph(ZONE), Heading("Conclusion"),
    ]  # fmt: skip
    if closed is None:
        unanswered = len(state.unanswered())
        said = f"The audit is open; {counted(unanswered, 'fault')} without an answer."
        return [*blocks, Paragraph(said, loud=True)]
    signature = signature_of(entries[closed.seq - 1])
    key = UNSIGNED if signature is None else f"{signature.signer}, key {signature.key[:16]}…"
    ending = (
        ("Closed", f"{moment(closed.at)} by {closed.by} ({closed.role})"),
        ("Signature", f"{key}" if signature is None else f"{signature.meaning}: {key}"),
        ("Faults without an answer", str(len(state.unanswered()))),
    )
    return [*blocks, Paragraph(closed.conclusion), Facts(ending)]


def _counts(state: AuditState) -> str:
    """Return how much was found, by severity."""
    found = Counter(one.severity for one in state.findings.values())
    signs = found.pop("review", 0)
    faults = ", ".join(f"{count} {severity}" for severity, count in sorted(found.items()))
    return (
        f"{counted(found.total(), 'fault')}{f' ({faults})' if faults else ''},"
        f" {counted(signs, 'sign')}"
    )


def _selection(selection: dict[str, Any]) -> str:
    said = [
        f"{name} {', '.join(value) if isinstance(value, list) else value}"
        for name, value in selection.items()
        if value and name != "practice"
    ]
    return "; ".join([*said, *(["practice, too"] if selection.get("practice") else [])])


def _drawn(sample: dict[str, Any] | None) -> str:
    if sample is None:
        return "all of them"
    return f"drawn by {sample['plan']}, seed {sample['seed']}: {sample['says']}"


def _independence(took_part: Sequence[str]) -> str:
    if not took_part:
        return "the auditor made no entry in the jobs audited"
    return f"NOT INDEPENDENT: the auditor worked in {', '.join(took_part)}"


def _findings(state: AuditState, *, signs: bool) -> Table:
    found = {seq: one for seq, one in state.findings.items() if one.is_sign is signs}
    unanswered = set(state.unanswered())
    return Table(
        "signs" if signs else "faults", _FOUND,
        tuple(_row(state, seq, one) for seq, one in found.items()),
        "No sign was seen." if signs else "No fault was found.",
        frozenset(place for place, seq in enumerate(found) if seq in unanswered),
    )  # fmt: skip


def _row(state: AuditState, seq: int, one: Finding) -> tuple[str, ...]:
    about = " ".join(each for each in (one.job, f"entry {one.seq}" if one.seq else "", one.step))
    return (
        str(seq), one.severity, about.strip() or "several jobs", one.by or "-", one.text,
        one.check, _answer(state, seq, one),
    )  # fmt: skip


def _answer(state: AuditState, seq: int, one: Finding) -> str:
    answers = [f"{each.by}: {each.text}" for each in state.answers if each.finding == seq]
    return " · ".join(answers) or ("-" if one.is_sign else "NOT ANSWERED")


def _data(state: AuditState) -> Table:
    rows = tuple(
        (str(seq), one.severity, one.job, str(one.seq or ""), one.step, one.by, one.text,
         one.check, _answer(state, seq, one))
        for seq, one in state.findings.items()
    )  # fmt: skip
    return Table("findings", _DATA, rows, "Nothing was found.")


def _remarks(state: AuditState) -> Table:
    rows = tuple(
        (str(one.seq), in_table(one.at), _meant(one.job, one.about, one.finding), one.text)
        for one in state.remarks
    )
    return Table("remarks", _REMARKS, rows, "None.")


def _meant(job: str, entry: int, finding: int) -> str:
    words = (job, f"entry {entry}" if entry else "", f"finding {finding}" if finding else "")
    return " ".join(word for word in words if word) or "the audit"


def _jobs(state: AuditState, opened: Opened) -> Table:
    def count(job: str, *, signs: bool) -> str:
        found: Iterable[Finding] = state.findings.values()
        return str(sum(one.job == job and one.is_sign is signs for one in found) or "-")

    rows = tuple(
        (one["job"], str(one["entries"]), one["head"], count(one["job"], signs=False),
         count(one["job"], signs=True))
        for one in opened.jobs
    )  # fmt: skip
    return Table("jobs", _JOBS, rows)


def _checks(opened: Opened) -> Table:
    known = {one.id: one for one in declared()}
    rows = []
    for made in opened.body["checks"]:
        one = known.get(made["id"])
        kind = "-" if one is None else "signs" if one.is_sign else f"faults, {one.severity}"
        title = "no longer made" if one is None else one.title
        rows.append((made["id"], str(made["version"]), kind, title))
    return Table("checks", _CHECKS, tuple(rows))


def _worth() -> list[Block]:
    found = measured.signs()
    said = (
        f"Measured on {found.people} made-up people of each kind with {found.jobs_each} jobs each"
        f" at virtual bikes, by {found.procedure} revision {found.revision}. Real people differ"
        " more than these: more false alarms are to be expected of times and clocks."
    )
    rows = []
    for one in found.measured:
        rate = one.false_alarms
        low, high = rate.interval
        between = f"{100 * low:.1f} and {100 * high:.1f} %"
        rows.append((one.sign.id, one.per, f"{rate.raised} of {rate.of}", between))
    return [Paragraph(said), Table("worth", _WORTH, tuple(rows))]
