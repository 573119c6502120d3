"""What every sheet begins with: which bike, which job, under which procedure, by whom."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.state import Status
from commission.procedure.model import Identify
from commission.report.document import Block, Facts, Heading
from commission.report.sheets import items
from commission.report.sheets.standing import outcome
from commission.report.times import moment

if TYPE_CHECKING:
    from commission.report.subject import Subject


def for_owner(subject: Subject) -> Facts:
    """Return the same for an owner: without digests and numbers of entries, but what is open."""
    rows = about(subject, short=True).rows
    return Facts((*rows, ("Still open or conceded", items.in_short(subject))))


def about(subject: Subject, *, short: bool = False) -> Facts:
    """Return the bike, the job and its people."""
    opened, state = subject.opened, subject.state
    procedure = state.plan.procedure
    digest = f", digest {opened.digest[:16]}…" if opened.digest and not short else ""
    revision = f"revision {opened.revision}{digest}"
    rows = [
        *((f"Bike: {name}", text) for name, text in opened.bike.items()
          if text and not (short and name in ("frame", "model"))),
        ("Job", opened.job),
        ("Procedure", f"{procedure.title} ({opened.procedure}, {revision})"),
        ("Opened", f"{moment(opened.at)} by {opened.by}"),
        *(() if short else (("Last entry", f"{moment(state.at)}, number {state.seq}"),)),
        ("How it stands", outcome(subject)),
        *(() if short else (("Bench", _benches(subject)),)),
        ("Take part", "; ".join(
            f"{name} ({', '.join(sorted(roles))})" for name, roles in state.people.items()
        )),
    ]  # fmt: skip
    return Facts(tuple(rows))


def _benches(subject: Subject) -> str:
    return ", ".join(dict.fromkeys(entry.bench for entry in subject.entries))


def parts_blocks(subject: Subject) -> list[Block]:
    """Return what was identified, under a heading; nothing where nothing was."""
    found = parts(subject)
    return [Heading("Parts"), found] if found.rows else []


def parts(subject: Subject) -> Facts:
    """Return what was identified on the bike: numbers of controller, motor, pack and so on."""
    rows: list[tuple[str, str]] = []
    for planned in subject.state.plan.steps:
        stands = subject.state.steps[planned.id]
        if not isinstance(planned.step, Identify) or stands.answer is None:
            continue
        again = " (due again)" if stands.status is Status.DUE_AGAIN else ""
        given = stands.answer.parts.get("", {})
        rows += [(mark.label, f"{given.get(mark.id, '-')}{again}") for mark in planned.step.fields]
    return Facts(tuple(rows))
