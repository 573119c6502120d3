"""The rules of leave to go on: hold points, concessions, a lead who resumes a stopped job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError
from commission.job import failing, release, rules_instruments, step_changes, witnessing
from commission.job.rules_answers import is_release, settle
from commission.job.state import Concession, Status

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.job.state import StepState
    from commission.job.working import Working


def hold_confirmed(job: Working, entry: Entry) -> None:
    """Let another person confirm or refuse a step at its hold point."""
    planned, stands = job.at_frontier(entry)
    body = entry.body
    answer = stands.answer
    if stands.status is not Status.HOLD or answer is None:
        raise IllegalEntryError(f"Step {entry.step} does not wait at a hold point.")
    role = planned.step.hold
    if body["role"] != role or role not in job.people[entry.by]:
        raise IllegalEntryError(f"Step {entry.step} waits for a {role}; {entry.by} is none.")
    mode = witnessing.mode_of(job, planned, entry.by, entry.instant)
    if body["mode"] != mode:
        raise IllegalEntryError(f"The hold is confirmed as {body['mode']!r}; it is {mode!r}.")
    if witnessing.is_independent(planned):
        if not body["parts"][""]:
            raise IllegalEntryError(f"The witness of step {entry.step} has read nothing.")
        rules_instruments.check(job, entry, body["parts"][""])
    compared = body.get("because", "") if witnessing.is_independent(planned) else ""
    if not body["agrees"]:
        if not body.get("reason"):
            raise IllegalEntryError(f"Step {entry.step} is refused without a reason.")
        failing.fail(job, planned, answer, _refused(entry, compared))
        return
    if is_release(planned):
        release.check(job, entry.at)
    job.steps[planned.id] = step_changes.good(answer, compared)
    settle(job, planned)
    job.go_forward()


def _refused(entry: Entry, compared: str) -> str:
    reason = entry.body["reason"]
    more = f" ({compared})" if compared and compared != reason else ""
    return f"refused by {entry.by}: {reason}{more}"


def conceded(job: Working, entry: Entry) -> None:
    """Accept a failed step, or renew the leave that it has."""
    planned, stands = _to_concede(job, entry)
    body = entry.body
    role = failing.on_fail(planned.step).concession_by
    if body["role"] != role or role not in job.people[entry.by]:
        raise IllegalEntryError(f"A concession for {entry.step} is a {role}'s to give.")
    for name in ("scope", "reason"):
        if not body.get(name):
            raise IllegalEntryError(f"The concession for {entry.step} has no {name}.")
    if release.parsed_day(body["expiry"]) < release.day_of(entry.at):
        raise IllegalEntryError(
            f"The concession for {entry.step} would have expired on {body['expiry']}.",
            "Give a day that is not in the past.",
        )
    concession = Concession(
        entry.seq, entry.by, role, body["scope"], body["expiry"], body["reason"]
    )
    job.steps[planned.id] = step_changes.conceded(stands, concession)
    settle(job, planned)
    job.go_forward()


def resumed(job: Working, entry: Entry) -> None:
    """Let a lead take a job out of its stop, or refuse a concession and have the step done again.

    The step starts afresh, with all its retries and remedy rounds.
    """
    if "lead" not in job.people[entry.by]:
        raise IllegalEntryError(f"{entry.by} is no lead; only a lead lets a stopped job go on.")
    if not entry.body.get("reason"):
        raise IllegalEntryError("A stopped job goes on only with a reason.")
    step = job.stopped
    if not step and job.frontier < len(job.plan.steps):
        waiting = job.plan.steps[job.frontier].id
        step = waiting if failing.waits_for_concession(job, waiting) else ""
    if not step:
        raise IllegalEntryError("The job is not stopped.")
    job.stopped = ""
    if job.steps[step].status is Status.FAILED and not job.steps[step].is_open:
        failing.let_go_on(job, step)


def _to_concede(job: Working, entry: Entry) -> tuple[PlannedStep, StepState]:
    planned, stands = job.any_step(entry)
    if stands.status is Status.CONCEDED:
        return planned, stands
    if planned.index != job.frontier or not failing.waits_for_concession(job, planned.id):
        raise IllegalEntryError(
            f"Step {entry.step} stands as {stands.status} and does not wait for a concession."
        )
    return planned, stands
