"""The `!commands` of the line prompts: looking around, correcting, noting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.cli.plain import beside, signing
from commission.cli.plain.answers import answer
from commission.cli.plain.talk import COMMANDS, Talk
from commission.job import ledger, moves, route
from commission.job.moves_aside import OUTCOMES
from commission.job.withheld import as_witness_sees

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.session import Session


def run(name: str, session: Session, technician: str, talk: Talk) -> None:
    """Do the aside called `name`; an unknown one lists them.

    Raises:
        RefusedError: the job's rules do not allow it now.
    """
    known: dict[str, Callable[[Session, str, Talk], None]] = {
        "why": _why, "ledger": _ledger, "route": _route, "record": _record,
        "correct": _correct, "note": _note, "cross-check": _cross_check,
        "visit": _visit, "end": _end,
    }  # fmt: skip
    if name in known:
        known[name](session, technician, talk)
    else:
        talk.tell(f"There is no command !{name}. {COMMANDS}")


def _why(session: Session, _technician: str, talk: Talk) -> None:
    step = session.state.plan.steps[session.state.frontier].step
    talk.tell(step.why or "The procedure gives no reason for this step.")


def _ledger(session: Session, _technician: str, talk: Talk) -> None:
    for line in ledger.ledger(as_witness_sees(session.state)):
        left = ", ".join(line.left) or "-"
        talk.tell(
            f"{line.label}: as found {line.found or '-'}, intended {line.intended or '-'}, "
            f"as written {line.written or '-'}, as left {left}: {line.fate}"
        )


def _cross_check(session: Session, _technician: str, talk: Talk) -> None:
    from commission.crosschecks.base import Severity
    from commission.job.crosschecking import findings, sentence, summary

    found = findings(as_witness_sees(session.state))
    for finding in found:
        if finding.severity is not Severity.UNCHECKED:
            talk.tell(f"{finding.severity.upper()}: {sentence(finding)}")
    talk.tell(summary(found))


def _visit(session: Session, _technician: str, talk: Talk) -> None:
    beside.tell_visit(session, talk, whole=True)


def _route(session: Session, _technician: str, talk: Talk) -> None:
    for line in route.route(as_witness_sees(session.state)):
        reason = f" ({line.reason})" if line.reason else ""
        talk.tell(f"{line.number} {line.title}: {line.word}{reason}")


def _record(session: Session, _technician: str, talk: Talk) -> None:
    for entry in session.recent(10):
        talk.tell(f"{entry.seq} {entry.at} {entry.by}: {entry.kind} {entry.step or ''}")


def _note(session: Session, technician: str, talk: Talk) -> None:
    text = talk.ask_filled("Open item:")
    grade = talk.pick("Grade? (A blocks release, B may follow)", ["A", "B", "remark"])
    draft = moves.note(session.state, text, "" if grade == "remark" else grade, technician)
    session.record([draft])


def _end(session: Session, technician: str, talk: Talk) -> None:
    """End the job for good, without release."""
    done, total = route.progress(session.state)
    talk.tell(
        f"{done} of {total} steps are settled. The job cannot be taken up again, and the bike is "
        "NOT released: hang a tag on it that says so."
    )
    outcome = talk.pick("How does it end?", list(OUTCOMES))
    reason = talk.ask_filled("Why:")
    if not talk.agree("End it for good?"):
        talk.tell("Nothing was ended.")
        return
    signing.record(session, [moves.abandon(session.state, reason, technician, outcome)], talk)


def _correct(session: Session, technician: str, talk: Talk) -> None:
    """Correct a concluded step: the asks once more, an empty line keeping what was given."""
    state = session.state
    concluded = [
        planned.step for planned in state.plan.steps if state.steps[planned.step.id].answer
    ]
    if not concluded:
        talk.tell("Nothing has been answered yet.")
        return
    titles = [f"{step.id}: {step.title}" for step in concluded]
    step = concluded[titles.index(talk.pick("Which step?", titles))]
    asking = moves.asking(state, step.id, session.now())
    parts = {asking.part: {ask.name: answer(ask, session, talk) for ask in asking.asks}}
    reason = talk.ask_filled("Reason for the correction:")
    drafts = moves.correct(state, step.id, parts, reason, technician, session.now())
    signing.record(session, drafts, talk)
