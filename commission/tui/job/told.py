"""What a card says above the place where a step is answered: lines with a style each. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from commission.job.closeness import shown
from commission.job.route import numbers
from commission.job.state import Status
from commission.job.witnessing import KEPT, kept_from_witness

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Asking
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.job.state import Answer, JobState, Parts, StepState

KIND_WORDS: Final = {
    "fact": "fact", "confirm": "do", "measure": "measure", "choose": "choose",
    "identify": "identify", "read_back": "read back", "write": "write",
    "calculate": "calculate", "power_cycle": "power cycle", "observe": "observe",
    "cross_check": "cross-check", "series": "series", "sweep": "sweep", "dwell": "wait",
    "attach": "attach", "sign_off": "sign off",
}  # fmt: skip
VERDICT_WORDS: Final = {"pass": "passed", "marginal": "MARGINAL", "fail": "FAILED"}
_UNTITLED: Final[Mapping[str, str]] = MappingProxyType({})
_FEW: Final = 4
"""Values of an answer that are named one by one; more are counted."""


@dataclass(frozen=True, slots=True)
class Told:
    """One paragraph: a word that says what it is, the text, and a style for the word."""

    word: str
    text: str
    style: str = "$text-muted"
    bold: bool = False


def heading(state: JobState, planned: PlannedStep, asking: Asking | None = None) -> str:
    """Return where the step stands: `Make safe · step 12 of 78 · measure`."""
    number = numbers(state)
    last = sum(1 for one in state.plan.steps if one.remedy_of is None)
    words = [planned.stage_title, f"step {number[planned.id]} of {last}"]
    words.append(KIND_WORDS[planned.step.kind])
    if planned.remedy_of is not None:
        words.append(f"remedy for step {number[planned.remedy_of]}")
    stands = state.steps[planned.id]
    if stands.attempt > 1 and stands.is_open:
        words.append(f"attempt {stands.attempt}")
    if asking is not None and asking.total > 1:
        words.append(f"{asking.done + 1}/{asking.total}")
    return " · ".join(words)


def told(state: JobState, planned: PlannedStep, asking: Asking | None) -> list[Told]:
    """Return the paragraphs under the title, most pressing first."""
    stands = state.steps[planned.id]
    paragraphs = [] if kept_from_witness(state) == planned.id else [*_standing(stands)]
    is_said = planned.step.kind == "cross_check"  # its findings stand in the card one by one
    if asking and asking.say and not is_said and not asking.say.startswith(planned.step.title):
        paragraphs.append(Told("Now", asking.say, "$text-accent", bold=True))
    if planned.step.how:
        paragraphs.append(Told("How", planned.step.how))
    criterion = criterion_of(asking)
    if criterion:
        paragraphs.append(Told("Good", criterion, "$text-success"))
    return paragraphs


def criterion_of(asking: Asking | None) -> str:
    """Return what counts as good where one thing is asked; several say it beside each."""
    if asking is None or asking.some:
        return ""
    good = [ask for ask in asking.asks if ask.criterion]
    return good[0].criterion if len(good) == 1 else ""


def _standing(stands: StepState) -> list[Told]:
    paragraphs = []
    if stands.due is not None:
        due = str(stands.due)
        paragraphs.append(Told("Again", due[0].upper() + due[1:] + ".", "$text-warning", bold=True))
    if stands.answer is not None:
        style = "$text-error" if stands.answer.verdict == "fail" else "$text-muted"
        paragraphs.append(Told("Last", answer_words(stands.answer), style))
    if stands.status is Status.CONCEDED and stands.concession is not None:
        leave = stands.concession
        text = f"by {leave.by} ({leave.role}) until {leave.expiry}: {leave.scope}; {leave.reason}"
        paragraphs.append(Told("Conceded", text, "$text-warning"))
    elif stands.reason and stands.status in {Status.PASSED, Status.MARGINAL}:
        paragraphs.append(Told("Witness", stands.reason))
    elif stands.reason:
        paragraphs.append(Told("Because", stands.reason, "$text-warning"))
    return paragraphs


def answer_words(answer: Answer) -> str:
    """Return an answer in words: the verdict, what was given and why, by whom."""
    verdict = VERDICT_WORDS.get(answer.verdict, answer.verdict)
    verdict = verdict[0].upper() + verdict[1:]
    corrected = ", corrected" if answer.corrected else ""
    return f"{verdict}. {answer.because} By {answer.by}, entry {answer.seq}{corrected}."


def parts_words(parts: Parts, titles: Mapping[str, str] = _UNTITLED) -> str:
    """Return what was given, in words: named where few, by `titles`, and counted where many."""
    named = [
        (name, shown(given)) for piece in parts.values() for name, given in piece.items()
    ]  # fmt: skip
    if not named:
        return "nothing"
    if len(named) == 1:
        name, text = named[0]
        return f"{titles[name]} {text}" if name in titles else text
    if len(named) <= _FEW:
        return ", ".join(f"{titles.get(name, name)} {text}" for name, text in named)
    return f"{len(named)} values"


def shortened(titles: Mapping[str, str], width: int) -> dict[str, str]:
    """Return titles of at most `width` letters, so that what was given stays in sight."""
    return {
        name: title if len(title) <= width else f"{title[: width - 1].rstrip()}…"
        for name, title in titles.items()
    }


def entry_words(entry: Entry, titles: Mapping[str, str], *, kept_from: str = "") -> str:
    """Return a record line in words: `#41 14:02:09 Ada  Pack voltage: 50.4 V passed`.

    Of the step `kept_from` nothing that was given is said: its witness is to read it again.
    """
    said = entry_said(entry, titles, kept_from=kept_from)
    return f"#{entry.seq:<4}{local_clock(entry.at)} {entry.by}  {said}"


def local_clock(at: str) -> str:
    """Return a recorded moment as this machine's clock shows it, `14:02:09`; empty for none."""
    if not at:
        return ""
    return datetime.fromisoformat(at).astimezone().strftime("%H:%M:%S")


def entry_said(entry: Entry, titles: Mapping[str, str], *, kept_from: str = "") -> str:
    """Return what an entry says, in words: `Pack voltage: 50.4 V passed`; see `entry_words`."""
    what = titles.get(entry.step or "", entry.step or "")
    if kept_from and entry.step == kept_from:
        return f"{what}: {KEPT}"
    return _said_of_job(entry) or _said_of_step(entry, what, titles)


def _said_of_job(entry: Entry) -> str:
    """Return what an entry says that is about no step; empty for any other."""
    body = entry.body
    match entry.kind:
        case "instrument_conceded":
            return f"leave to read with {body.get('named', '')}: {body.get('reason', '')}"
        case "noted":
            return f"note {body.get('grade') or 'remark'}: {body.get('text', '')}"
        case "joined":
            return f"{body.get('name', '')} joined as {', '.join(body.get('roles', ()))}"
        case "closed":
            ended = f"{body.get('outcome', '')}: {body.get('reason', '')}"
            return f"{_ENTRY_WORDS['closed']}, {ended}"
    return ""


def _said_of_step(entry: Entry, what: str, titles: Mapping[str, str]) -> str:
    said, body = _ENTRY_WORDS.get(entry.kind, entry.kind), entry.body
    match entry.kind:
        case "answered" | "corrected":
            return _answer_said(entry, what)
        case "part":
            return f"{what}, {_piece_said(body, titles)}"
        case "hold_confirmed":
            return f"{what}: {_hold_said(body)}"
        case "resumed" | "conceded":
            return f"{what}: {said} {body.get('reason', '')}".rstrip()
    return f"{what}: {said}" if what else said


def _answer_said(entry: Entry, what: str) -> str:
    body = entry.body
    verdict = VERDICT_WORDS.get(str(body.get("verdict")), "")
    if entry.kind == "corrected":
        return f"{what} CORRECTED ({body.get('reason', '')}): {verdict}."
    return f"{what}: {verdict}. {body.get('because', '')}"


def _hold_said(body: Mapping[str, Any]) -> str:
    """Return how a hold point went, with both readings where the witness took another."""
    went = {True: "confirmed.", False: "REFUSED."}.get(body.get("agrees", ""), "")
    said = dict.fromkeys((str(body.get("because") or ""), str(body.get("reason") or "")))
    return " ".join(filter(None, (_ENTRY_WORDS["hold_confirmed"], went, *said)))


def piece_words(part: str) -> str:
    """Return which piece of a step a part is, in words: `cycle 1 power off` for `1:off`."""
    cycle, colon, piece = part.rpartition(":")
    kind, dash, number = piece.partition("-")
    words = _PIECES.get(kind, f"{kind} {number}" if dash else piece)
    return f"cycle {cycle} {words}" if colon else words


def _piece_said(body: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    again = " replaced" if "replaces" in body else ""
    given = body.get("given", {})
    value = "" if given == {"value": True} else f": {parts_words({'': given}, titles)}"
    return f"{piece_words(str(body.get('part', '')))}{again}{value}"


_PIECES: Final = {
    "off": "power off",
    "bus": "bus voltage",
    "on": "power on",
    "read": "settings",
    "cells": "settings",
    "observe": "seen",
    "start": "begun",
}
_ENTRY_WORDS: Final = {
    "opened": "job opened",
    "acknowledged": "caution read",
    "not_applicable": "not applicable",
    "hold_confirmed": "hold point",
    "conceded": "conceded",
    "resumed": "resumed by the lead",
    "left": "work left here",
    "returned": "work taken up again",
    "reread": "last steps read again",
    "clock_jump": "the clock jumped",
    "note_closed": "note closed",
    "closed": "job closed",
}


def titles_of(state: JobState) -> dict[str, str]:
    """Return each step's title and each setting's label by its id."""
    steps = {planned.id: planned.step.title for planned in state.plan.steps}
    return {**{each.id: each.label for each in state.plan.settings.values()}, **steps}
