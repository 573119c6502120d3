"""One job by line prompts: shows the open step, takes its answer, records it, goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.cli.exits import Exit
from commission.cli.plain import asides, beside, signing
from commission.cli.plain.answers import answer as take_one
from commission.cli.plain.answers import take
from commission.cli.plain.talk import CommandError, LeftError, Talk
from commission.errors import RefusedError
from commission.job import moves, witnessing
from commission.job.failing import on_fail, waits_for_concession
from commission.job.joining import as_person
from commission.job.moves_instruments import InstrumentError
from commission.job.route import progress
from commission.job.state import JobState, Status

if TYPE_CHECKING:
    from commission.job.entry import Draft
    from commission.job.plan import PlannedStep
    from commission.record.session import Session


def drive(session: Session, technician: str, talk: Talk) -> int:
    """Lead through the job until it ends or the person leaves; return the exit code."""
    if session.state.away:
        session.record([moves.come_back(session.state, technician)])
    shown = ""
    try:
        while not session.settle().outcome:
            try:
                shown = _turn_or_aside(session, technician, talk, shown)
            except RefusedError as refusal:
                talk.tell(f"Not taken: {refusal.diagnostics()}")
    except (LeftError, KeyboardInterrupt):
        if not session.state.outcome and not session.state.away:
            session.record([moves.leave(session.state, technician)])
        talk.tell("Left. What was confirmed is recorded; the job goes on where it stopped.")
        return Exit.UNFINISHED
    talk.tell(f"The job is {session.state.outcome}. Head of its record: {session.head}")
    return Exit.DONE


def _turn_or_aside(session: Session, technician: str, talk: Talk, shown: str) -> str:
    """Do the one thing that is next, or what was asked for instead of it."""
    try:
        return _turn(session, technician, talk, shown)
    except CommandError as command:
        asides.run(command.name, session, technician, talk)
        return shown


def _turn(session: Session, technician: str, talk: Talk, shown: str) -> str:
    """Do the one thing that is next; return which step's card was shown last."""
    state = session.state
    if state.reread:
        _reread(session, technician, talk)
        return ""
    if state.stopped:
        _resume(session, technician, talk)
        return ""
    planned = state.plan.steps[state.frontier]
    card = f"{planned.step.id}#{state.steps[planned.step.id].attempt}"
    if card != shown:
        show_card(state, planned, talk)
    standing = state.steps[planned.step.id]
    if standing.status is Status.HOLD:
        _hold(session, planned, technician, talk)
    elif waits_for_concession(state, planned.step.id):
        _concede(session, planned, technician, talk)
    elif planned.step.cautions and not standing.acknowledged:
        while talk.ask("Type read when you have read the caution:").casefold() != "read":
            talk.tell("The step opens when the caution has been read.")
        session.record([moves.acknowledge(state, planned.step.id, technician)])
    else:
        take(session, planned, technician, talk)
        _tell_verdict(session.state, planned, talk)
    return card


def show_card(state: JobState, planned: PlannedStep, talk: Talk) -> None:
    """Write what the step's card shows: cautions first, then what to do, why and what is good."""
    step = planned.step
    standing = state.steps[step.id]
    done, total = progress(state)
    talk.tell()
    talk.tell(f"Step {done + 1} of {total} · {planned.stage_title}")
    for caution in step.cautions:
        talk.tell(f"{caution.signal}: {caution.hazard}", indent="  ")
        talk.tell(f"{caution.consequence} {caution.avoidance}", indent="  ")
    talk.tell(step.title)
    if standing.due:
        talk.tell(f"This step is {standing.due}.", indent="  ")
    if standing.answer and standing.status is Status.FAILED:
        talk.tell(f"Failed: {standing.answer.because}", indent="  ")
        talk.tell(moves.suggest(state), indent="  ")
    if step.how:
        talk.tell(step.how, indent="  ")


def _tell_verdict(state: JobState, planned: PlannedStep, talk: Talk) -> None:
    standing = state.steps[planned.step.id]
    if standing.parts or standing.answer is None:
        return
    if witnessing.kept_from_witness(state) == planned.id:
        talk.tell(f"Recorded. The reading is {witnessing.KEPT}, who takes it again.", indent="  ")
        return
    verdict = {"pass": "Passed", "marginal": "Marginal", "fail": "FAILED"}
    talk.tell(f"{verdict[standing.answer.verdict]}: {standing.answer.because}", indent="  ")
    if standing.status is Status.FAILED:
        talk.tell(moves.suggest(state), indent="  ")


def _reread(session: Session, technician: str, talk: Talk) -> None:
    talk.tell("Work was interrupted here. The last steps once more:")
    for step_id in session.state.reread:
        planned = session.state.plan.steps[session.state.plan.index[step_id]]
        answer = session.state.steps[step_id].answer
        talk.tell(f"{planned.step.title}", indent="  ")
        said = answer.because if answer else "not answered"
        is_kept = step_id == witnessing.kept_from_witness(session.state)
        talk.tell(f"Recorded, and {witnessing.KEPT}." if is_kept else said, indent="    ")
    while talk.ask("Type read to go on:").casefold() != "read":
        talk.tell("Read both steps, then type read.")
    session.record([moves.reread(session.state, technician)])


def _resume(session: Session, technician: str, talk: Talk) -> None:
    talk.tell(moves.suggest(session.state))
    lead = talk.ask_filled("Lead who lets it go on (!leave to stop here):")
    joins = as_person(session, lead, "lead", technician)
    reason = talk.ask_filled("Reason:")
    draft = moves.resume(joins.state, joins.name, reason)
    signing.record(session, [*joins.drafts, draft], talk)


def _hold(session: Session, planned: PlannedStep, technician: str, talk: Talk) -> None:
    role = planned.step.hold or "witness"
    answer = session.state.steps[planned.step.id].answer
    talk.tell(f"Hold point: a {role} other than {answer.by if answer else technician} confirms.")
    is_independent = witnessing.is_independent(planned)
    if is_independent:
        talk.tell("Take the reading yourself; do not look at the lines above.", indent="  ")
    elif answer:
        talk.tell(answer.because, indent="  ")
    name = talk.ask_filled(f"Name of the {role}:")
    name = as_person(session, name, role, technician).name
    if is_independent:
        kind = witnessing.instrument_kind(session.state, planned.id, session.now())
        instrument = beside.instrument_of(session, kind, talk)
        asks = witnessing.asks(session.state, planned.id, session.now())
        given = {ask.name: take_one(ask, session, talk) for ask in asks}
        agrees, reason = True, ""
    else:
        given, instrument = {}, None
        agrees = talk.agree(f"{name}, do you confirm this step?")
        reason = "" if agrees else talk.ask_filled("Reason:")

    def drafts() -> tuple[Draft, ...]:
        who = as_person(session, name, role, technician)
        made = moves.confirm_hold(
            who.state, planned.id, who.name, agrees=agrees, reason=reason,
            now=session.now(), given=given, instrument=instrument,
        )  # fmt: skip
        return (*who.drafts, made)

    try:
        made = drafts()
    except InstrumentError as needed:
        talk.tell(needed.message, indent="  ")
        beside.leave(session, needed.instrument, technician, talk)
        made = drafts()
    signing.record(session, made, talk)


def _concede(session: Session, planned: PlannedStep, technician: str, talk: Talk) -> None:
    talk.tell(moves.suggest(session.state))
    name = talk.ask_filled("Who grants the concession (!leave to stop here):")
    joins = as_person(session, name, on_fail(planned.step).concession_by, technician)
    scope = talk.ask_filled("Scope (what is allowed, and what is not):")
    expiry = talk.ask_filled("Expires on (YYYY-MM-DD):")
    reason = talk.ask_filled("Reason:")
    draft = moves.concede(
        joins.state, planned.step.id, joins.name,
        scope=scope, expiry=expiry, reason=reason, now=session.now(),
    )  # fmt: skip
    signing.record(session, [*joins.drafts, draft], talk)
