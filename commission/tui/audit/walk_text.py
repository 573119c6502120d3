"""What the walk through a job says of an entry: one line in the list, and all below. Pure."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from commission.errors import CommissionError, IllegalEntryError
from commission.job.closeness import shown
from commission.job.moves import asking
from commission.job.signature import SIGNATURE, signature_of
from commission.tui.audit.walked import judged_today
from commission.tui.job.told import KIND_WORDS, VERDICT_WORDS, Told, entry_said

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from commission.audit.state import AuditState
    from commission.job.entry import Entry
    from commission.tui.audit.walked import Walked

PAUSE_S: Final = 1800.0
"""From here on a gap is shown as a pause. Our own figure."""
_DAY_S, _HOUR_S, _MINUTE_S = 86_400, 3600, 60
_MOST_GIVEN: Final = 24
_EVENTS: Final = {
    "opened": "opened", "acknowledged": "caution", "corrected": "CORRECTED",
    "not_applicable": "left out", "conceded": "CONCEDED", "instrument_conceded": "CONCEDED",
    "clock_jump": "CLOCK", "noted": "note", "note_closed": "note done",
}  # fmt: skip
"""In a word, what came of an entry; another kind is its own word."""
_BROKEN: Final = (KeyError, TypeError, AttributeError, ValueError, IndexError)


def cells(
    walked: Walked, at: int, found: Mapping[int, Sequence[int]], state: AuditState, *, wide: bool
) -> tuple[str, ...]:
    """Return mark, number, time, how long after the one before, who, what came of it, and what."""
    entry = walked.entries[at]
    earlier = walked.entries[at - 1] if at else None
    is_sound = at < walked.sound
    what = walked.titles.get(entry.step or "", "") or _said(entry, walked.titles)
    because = str(entry.body.get("because", "")) if wide else ""
    return (
        mark(walked, at, found, state), str(entry.seq), _clock(entry, earlier),
        "" if at == 0 else lasted(walked.gaps[at]), entry.by if wide else _initials(entry.by),
        _event(entry) if is_sound else "UNSOUND",
        because if because.startswith(what) else f"{what}. {because}" if because else what,
    )  # fmt: skip


def mark(walked: Walked, at: int, found: Mapping[int, Sequence[int]], state: AuditState) -> str:
    """Return the sign before an entry: a fault, a sign, a signature or a remark."""
    entry = walked.entries[at]
    numbers = found.get(entry.seq, ())
    signs = [state.findings[number].is_sign for number in numbers]
    left = "!" if False in signs or at >= walked.sound else "?" if signs else " "
    right = "S" if entry.body.get(SIGNATURE) else " "
    job = walked.job.stream
    if any(one.job == job and one.about == entry.seq for one in state.remarks):
        right = "R"
    return left + right


def lasted(seconds: float) -> str:
    """Return a length of time, short: `+3 s`, `+2 min 05`, `+3 h 10`, `+2 d 04 h`; or with `-`."""
    sign, whole = ("-" if seconds < 0 else "+"), abs(seconds)
    if whole < _MINUTE_S:
        return f"{sign}{whole:.1f} s" if whole < 10 else f"{sign}{whole:.0f} s"  # noqa: PLR2004
    whole = round(whole)
    if whole < _HOUR_S:
        return f"{sign}{whole // _MINUTE_S} min {whole % _MINUTE_S:02d}"
    if whole < _DAY_S:
        return f"{sign}{whole // _HOUR_S} h {whole % _HOUR_S // _MINUTE_S:02d}"
    return f"{sign}{whole // _DAY_S} d {whole % _DAY_S // _HOUR_S:02d} h"


def detail(
    walked: Walked, at: int, found: Mapping[int, Sequence[int]], state: AuditState
) -> list[Told]:
    """Return all that is known of one entry, in paragraphs."""
    entry = walked.entries[at]
    told: list[Told] = []
    if at >= walked.sound and walked.job.fault is not None:
        fault = walked.job.fault
        said = f"The record is not whole from entry {fault.seq} on ({fault.reason}: {fault.text})."
        told.append(Told("NOT WHOLE", said, "$text-error", bold=True))
    for number in found.get(entry.seq, ()):
        one = state.findings[number]
        style = "$text-warning" if one.is_sign else "$text-error"
        told.append(Told(one.severity.capitalize(), f"{one.text} (finding {number})", style,
                         bold=True))  # fmt: skip
    told += [
        Told("Remark", one.text)
        for one in state.remarks
        if one.job == walked.job.stream and one.about == entry.seq
    ]
    try:
        told += _of_step(walked, at)
        told += _of_body(walked, at)
    except _BROKEN as error:
        told.append(Told("Says", f"something that no tool of ours writes: {error!r}"))
    told += [Told("By", _who(walked, at)), Told("When", _when(walked, at))]
    return told


def _of_step(walked: Walked, at: int) -> Iterator[Told]:
    entry = walked.entries[at]
    if entry.step is None:
        yield Told("Entry", f"{_said(entry, walked.titles)}")
        return
    attempt = f", attempt {entry.attempt}" if entry.attempt > 1 else ""
    if walked.plan is None or entry.step not in walked.plan.index:
        yield Told("Step", f"{entry.step}{attempt}")
        return
    planned = walked.plan.planned(entry.step)
    kind = KIND_WORDS.get(planned.kind, planned.kind)
    yield Told("Step", f"{planned.step.title} ({kind}, {planned.stage_title}){attempt}", bold=True)
    yield from _asked(walked, at)


def _asked(walked: Walked, at: int) -> Iterator[Told]:
    entry = walked.entries[at]
    planned = walked.plan.planned(entry.step or "") if walked.plan else None
    if planned is None or entry.kind not in ("part", "answered", "corrected"):
        return
    if planned.step.how:
        yield Told("Asked", planned.step.how)
    states = walked.before(at)
    if states is None:
        return
    part = entry.body.get("part") if "replaces" in entry.body else None
    try:
        asked = asking(states[0], planned.id, entry.instant, part)
    except (CommissionError, *_BROKEN):
        return
    if asked.say and asked.say != planned.step.title:
        yield Told("Asked", asked.say)
    good = [f"{one.label}: {one.criterion}" for one in asked.asks if one.criterion]
    if good:
        yield Told("Good is", "; ".join(good[:_MOST_GIVEN]))


def _of_body(walked: Walked, at: int) -> Iterator[Told]:
    entry = walked.entries[at]
    body = entry.body
    given = _given(body)
    if given:
        more = f" and {len(given) - _MOST_GIVEN} more" if len(given) > _MOST_GIVEN else ""
        yield Told("Typed", f"{'; '.join(given[:_MOST_GIVEN])}{more}", bold=True)
    if "replaces" in body:
        yield Told("Instead of", f"entry {body['replaces']}: {body.get('reason', '')}",
                   "$text-warning")  # fmt: skip
    if "verdict" in body:
        verdict = VERDICT_WORDS.get(str(body["verdict"]), str(body["verdict"]))
        style = "$text-error" if body["verdict"] == "fail" else "$text-muted"
        yield Told("Judged", f"{verdict[0].upper()}{verdict[1:]}. {body.get('because', '')}", style)
    today = judged_today(walked, at)
    if today:
        is_same = today.startswith("the same")
        yield Told("Today", today, "$text-success" if is_same else "$text-error", bold=not is_same)
    yield from (Told("Read with", one) for one in _instruments(body))
    named = {"scope": "Scope", "expiry": "Until", "condition": "Condition", "mode": "Witness",
             "text": "Text", "outcome": "Outcome"}  # fmt: skip
    yield from (Told(word, str(body[key])) for key, word in named.items() if body.get(key))
    if body.get("reason") and "replaces" not in body:
        yield Told("Reason", str(body["reason"]))


def _given(body: Mapping[str, Any]) -> list[str]:
    parts = body.get("parts") or ({"": body["given"]} if body.get("given") else {})
    return [
        f"{name} {shown(one)}" if name not in ("", "value") else shown(one)
        for piece in parts.values()
        for name, one in piece.items()
    ]


def _instruments(body: Mapping[str, Any]) -> list[str]:
    parts = body.get("parts") or ({"": body["given"]} if body.get("given") else {})
    cited = [
        one["instrument"]
        for piece in parts.values()
        for one in piece.values()
        if isinstance(one, dict) and one.get("instrument")
    ]
    words = (
        f"{one.get('id') or 'not registered'} {one.get('label', '')}, serial"
        f" {one.get('serial', '')}, {one.get('state', '')}, due {one.get('due') or '-'}"
        for one in cited
    )
    return list(dict.fromkeys(words))


def _who(walked: Walked, at: int) -> str:
    entry = walked.entries[at]
    people = {} if walked.job.state is None else walked.job.state.people
    roles = ", ".join(sorted(people.get(entry.by, ())))
    name = f"{entry.by} ({roles})" if roles else entry.by
    if SIGNATURE not in entry.body:
        return f"{name}; this takes no signature"
    try:
        signature = signature_of(entry)
    except IllegalEntryError as error:
        return f"{name}; {error.message}"
    if signature is None:
        return f"{name}; NOT SIGNED: nobody was registered in this job"
    key = f"signed as {signature.meaning} by {signature.signer}, key {signature.key[:16]}…"
    if at >= walked.sound:
        return f"{name}; {key}: NOT GOOD, or not to be relied on"
    known = "" if walked.job.register is not None else ", by the key it names: there is no register"
    return f"{name}; {key}: good{known}"


def _when(walked: Walked, at: int) -> str:
    entry = walked.entries[at]
    text = f"{entry.at[:19].replace('T', ' ')}Z, entry {entry.seq} of {len(walked.entries)}"
    if at == 0:
        return text
    gap = walked.gaps[at]
    long = " (a pause)" if gap >= PAUSE_S else " (backwards)" if gap < 0 else ""
    return f"{text}, {lasted(gap)} after the one before{long}"


def _event(entry: Entry) -> str:
    """Return in a word what came of an entry."""
    if entry.kind == "answered":
        verdict = str(entry.body.get("verdict"))
        return VERDICT_WORDS.get(verdict, verdict)
    if entry.kind == "hold_confirmed":
        return "confirmed" if entry.body.get("agrees") else "REFUSED"
    if entry.kind == "part":
        return str(entry.body.get("part")) or "piece"
    return _EVENTS.get(entry.kind, entry.kind)


def _initials(name: str) -> str:
    words = name.split()
    return "".join(word[0] for word in words[:3]) if len(words) > 1 else name[:3]


def _said(entry: Entry, titles: Mapping[str, str]) -> str:
    try:
        return entry_said(entry, titles)
    except _BROKEN:
        return entry.kind


def _clock(entry: Entry, earlier: Entry | None) -> str:
    """Return the time by this machine's clock; the day where it is another one than before."""
    try:
        moment = datetime.fromisoformat(entry.at).astimezone()
        before = None if earlier is None else datetime.fromisoformat(earlier.at).astimezone()
    except ValueError:
        return "?"
    if before is None or before.date() != moment.date():
        return f"{moment.day} {moment:%b}"
    return f"{moment:%H:%M:%S}"
