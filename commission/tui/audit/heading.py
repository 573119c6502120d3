"""What an audit's screens say of it in a line or two: what it is of, how it stands. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.audit.finding import SEVERITIES

if TYPE_CHECKING:
    from commission.audit.state import AuditState


def title(state: AuditState) -> tuple[str, str]:
    """Return which audit it is, and how it stands."""
    opened = state.opened
    left = "" if opened is None else f"{opened.audit}   {opened.purpose}   by {opened.auditor}"
    return left, stands(state)


def stands(state: AuditState) -> str:
    """Return how an audit stands: open, or closed and so only to be read."""
    if state.closed is None:
        return "OPEN"
    return f"CLOSED, {'signed' if state.closed.is_signed else 'unsigned'}, READ ONLY"


def of_what(state: AuditState) -> str:
    """Return what an audit is of and how it was drawn, digest and seed first."""
    opened = state.opened
    if opened is None:
        return ""
    population, sample = opened.body["population"], opened.body["sample"]
    word = "job" if population["jobs"] == 1 else "jobs"
    of = f"{len(opened.jobs)} of {population['jobs']} {word}"
    text = f"{of}, digest {population['digest'][:16]}…"
    if sample is not None:
        text += f", {sample['plan']}, seed {sample['seed'][:16]}…: {sample['says']}"
    if opened.body["took_part"]:
        text += f"   NOT INDEPENDENT: the auditor worked in {len(opened.body['took_part'])}"
    return text


def found(state: AuditState) -> str:
    """Return how much was found, faults apart from signs, and what the plan says to it."""
    grades = [one.severity for one in state.findings.values()]
    counted = [f"{grades.count(each)} {each}" for each in SEVERITIES[:-1] if each in grades]
    signs = grades.count("review")
    text = f"Faults: {', '.join(counted) or 'none'}. Signs to review: {signs or 'none'}."
    sample = state.opened.body["sample"] if state.opened else None
    if sample is not None:
        faulty = len({one.job for one in state.findings.values() if not one.is_sign})
        good = faulty <= sample["accept"]
        text += f" By the plan {'accepted' if good else 'NOT accepted'}: {faulty} jobs with a fault"
        text += f", at most {sample['accept']}."
    return text


def conclusion(state: AuditState) -> str:
    """Return how it was closed; empty while it is open."""
    closed = state.closed
    if closed is None:
        return ""
    when = closed.at[:16].replace("T", " ")
    return f"Closed by {closed.by} ({closed.role}) {when}Z: {closed.conclusion}"
