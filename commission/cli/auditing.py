"""`commission audit`: kept audits listed, shown, remarked on, answered and closed."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer

from commission.cli.audit import audit
from commission.cli.identifiers import recorded_id
from commission.cli.options import JsonOption, StoreOption, opened
from commission.cli.signers import unlocked
from commission.cli.stderr import say
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.audit.signs import Rate
    from commission.audit.state import AuditState, Said

AuditArgument = Annotated[
    str,
    typer.Argument(metavar="AUDIT", parser=recorded_id, help="As `audit list` shows it."),
]


@audit.command("list")
def list_audits(store: StoreOption = None, as_json: JsonOption = False) -> None:
    """List the kept audits; faults are to be answered, signs need no answer."""
    from commission.audit.book import AuditBook
    from commission.record.places import places_of
    from commission.report.times import counted

    found: list[dict[str, Any]] = []
    places = places_of(store)
    if places.may_be_there:
        with opened(store) as bench:
            book = AuditBook(bench)
            found = [_summary(book.read(name)) for name in book.audits()]
    if as_json:
        print(json.dumps(found, indent=2))
        return
    for one in found:
        stands = "closed" if one["closed"] else "open"
        print(safe_text(
            f"{one['audit']}  {stands}  {counted(one['jobs'], 'job')}  "
            f"{counted(one['findings'], 'finding')}, {_open(one['unanswered'])}  "
            f"{one['auditor']}  {one['purpose']}"
        ))  # fmt: skip
    if not found:
        none = "" if places.may_be_there else f" There is no store at {places.store} yet."
        say(f"No audits yet: `commission audit run --record --by NAME` keeps one.{none}")


@audit.command("show")
def show(audit_id: AuditArgument, store: StoreOption = None, as_json: JsonOption = False) -> None:
    """Show an audit: what it is of, its findings, what was answered, how it was closed."""
    from commission.audit.book import AuditBook

    with opened(store) as bench:
        state = AuditBook(bench).read(audit_id)
    if as_json:
        print(json.dumps(_as_json(state), indent=2))
        return
    for line in lines_of(state):
        print(safe_text(line))


@audit.command("remark")
def remark(
    audit_id: AuditArgument,
    text: Annotated[str, typer.Option("--text", help="What the auditor saw.")],
    job: Annotated[
        str, typer.Option("--job", metavar="JOB", parser=recorded_id, help="Which job it is about.")
    ] = "",
    entry: Annotated[int, typer.Option("--entry", help="Which entry of it.")] = 0,
    finding: Annotated[int, typer.Option("--finding", help="Which finding it is about.")] = 0,
    store: StoreOption = None,
) -> None:
    """Add a remark of the auditor."""
    from commission.audit.book import AuditBook

    with opened(store) as bench:
        state = AuditBook(bench).remark(audit_id, text, job=job, seq=entry, finding=finding)
    say(f"{audit_id}: remark {state.seq}.")


@audit.command("answer")
def answer(
    audit_id: AuditArgument,
    finding: Annotated[int, typer.Argument(help="The finding's number.")],
    text: Annotated[str, typer.Option("--text", help="What is answered.")],
    by: Annotated[str, typer.Option("--by", help="Who answers.")],
    store: StoreOption = None,
) -> None:
    """Answer a finding."""
    from commission.audit.book import AuditBook

    with opened(store) as bench:
        state = AuditBook(bench).answer(audit_id, finding, text, by)
    say(f"{audit_id}: finding {finding} answered; {_open(len(state.unanswered()))}.")


@audit.command("close")
def close(
    audit_id: AuditArgument,
    conclusion: Annotated[str, typer.Option("--conclusion", help="What the audit comes to.")],
    passphrase_fd: Annotated[
        int | None,
        typer.Option("--passphrase-fd", metavar="FD", show_default=False,
                     help="Read the auditor's passphrase from this file descriptor."),
    ] = None,
    store: StoreOption = None,
) -> None:  # fmt: skip
    """Close an audit: signed by its auditor where people are registered."""
    from commission.audit.book import AuditBook
    from commission.errors import UnsignedError

    with opened(store) as bench:
        book = AuditBook(bench)
        try:
            state = book.close(audit_id, conclusion)
        except UnsignedError as needed:
            unlocked(bench, needed.person, passphrase_fd)
            state = book.close(audit_id, conclusion)
    signed = "signed" if state.closed is not None and state.closed.is_signed else "unsigned"
    say(f"{audit_id}: closed, {signed}; {_open(len(state.unanswered()))}.")


@audit.command("signs")
def signs(as_json: JsonOption = False) -> None:
    """Show how often each sign is wrong, and how often it sees what it is for, as measured."""
    from commission.audit import signs as measured

    found = measured.signs()
    if not as_json:
        for line in measured.page(found):
            print(safe_text(line))
        return
    print(json.dumps([
        {"sign": one.sign.id, "per": one.per, "current": one.is_current,
         "false_alarms": _rate(one.false_alarms),
         "power": {name: _rate(rate) for name, rate in one.power.items()}}
        for one in found.measured
    ], indent=2))  # fmt: skip


def _rate(rate: Rate) -> dict[str, Any]:
    return {"raised": rate.raised, "of": rate.of, "interval": list(rate.interval)}


def _summary(state: AuditState) -> dict[str, Any]:
    one = state.opened
    if one is None:
        return {}
    return {
        "audit": one.audit, "purpose": one.purpose, "auditor": one.auditor, "at": one.at,
        "jobs": len(one.jobs), "findings": len(state.findings),
        "unanswered": len(state.unanswered()), "closed": state.closed is not None,
    }  # fmt: skip


def _as_json(state: AuditState) -> dict[str, Any]:
    one, closed = state.opened, state.closed
    return {
        **_summary(state),
        "opened": None if one is None else dict(one.body),
        "findings": [{"number": seq, **found.to_json()} for seq, found in state.findings.items()],
        "answers": [_said(each) for each in state.answers],
        "remarks": [_said(each) for each in state.remarks],
        "closed": None if closed is None else {
            "at": closed.at, "by": closed.by, "conclusion": closed.conclusion,
            "signed": closed.is_signed,
        },
    }  # fmt: skip


def _said(said: Said) -> dict[str, Any]:
    return {
        "number": said.seq, "at": said.at, "by": said.by, "text": said.text, "job": said.job,
        "entry": said.about, "finding": said.finding,
    }  # fmt: skip


def _open(faults: int) -> str:
    from commission.report.times import counted

    return f"{counted(faults, 'fault')} unanswered"


def lines_of(state: AuditState) -> list[str]:
    """Return an audit as lines for people, its findings worst first with their numbers."""
    from commission.report.times import counted

    one = state.opened
    if one is None:
        return []
    sample, population = one.body["sample"], one.body["population"]
    drawn = "all of them" if sample is None else f"{sample['plan']}, seed {sample['seed']}"
    lines = [
        f"{one.audit}  {one.purpose}",
        f"By {one.auditor} ({one.role}), {one.at[:16].replace('T', ' ')}Z",
        f"Population: {counted(population['jobs'], 'job')}, digest {population['digest']}",
        f"Audited: {counted(len(one.jobs), 'job')}, {drawn}",
    ]
    if one.body["took_part"]:
        lines.append(f"Not independent: the auditor worked in {', '.join(one.body['took_part'])}.")
    for seq, found in sorted(state.findings.items(), key=lambda each: each[1].grade):
        lines.append(f"{seq}  {found}")
        lines += [
            f"    answered by {each.by}: {each.text}"
            for each in state.answers
            if each.finding == seq
        ]
    lines += [f"Remark {each.seq}  {each.job} {each.text}" for each in state.remarks]
    if state.closed is not None:
        signed = "signed" if state.closed.is_signed else "unsigned"
        lines.append(f"Closed by {state.closed.by}, {signed}: {state.closed.conclusion}")
    return lines
