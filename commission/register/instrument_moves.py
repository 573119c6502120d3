"""What may be entered about instruments: from what a person asks for to a draft, or a refusal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError, RefusedError
from commission.job.accuracy import Range, check_ranges
from commission.job.entry import Draft
from commission.job.instrument import same_kind
from commission.job.signature import SIGNATURE
from commission.register.instruments import ID, LONGEST, day_or_none, is_same, is_text
from commission.register.moves import id_from

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.register.instrument import Instrument
    from commission.register.state import Register

_SHORTEST: Final = 3


def free_id(register: Register, kind: str) -> str:
    """Return an id made from a kind that nothing has or had: `multimeter-2`."""
    stem = id_from(kind)[:28] or "instrument"
    count = 1
    while f"{stem}-{count}" in register.instruments:
        count += 1
    return f"{stem}-{count}"


@dataclass(frozen=True, slots=True)
class Wanted:
    """An instrument to be added, as typed."""

    kind: str
    serial: str
    label: str = ""
    """Empty: its kind."""
    ranges: Sequence[Range] = ()
    due: str = ""
    """The last day of its calibration, YYYY-MM-DD; empty where none is asked of it."""
    id: str = ""
    """Empty: made from its kind."""


def add(register: Register, wanted: Wanted, by: str) -> Draft:
    """Return the draft that adds an instrument.

    Raises:
        RefusedError: a text, a range or the day will not do, or it is registered already.
    """
    typed = (wanted.kind, wanted.serial, wanted.label)
    kind, serial, label = (" ".join(text.split()) for text in typed)
    kind = _known_kind(register, kind)
    label = label or kind
    for what, text, about in (
        ("Kind", kind, "kind"), ("Serial number", serial, "serial"), ("Label", label, "label"),
    ):  # fmt: skip
        if not is_text(text):
            raise RefusedError(
                f"{what}: {text[:40]!r} is none.", f"Use 1 to {LONGEST} characters.", about
            )
    name = wanted.id or free_id(register, kind)
    if not ID.fullmatch(name):
        raise RefusedError(
            f"Id: {name[:40]!r} is none.", "1 to 32 small letters, digits and hyphens: dmm-1."
        )
    for one in register.instruments.values():
        gone = "" if one.is_active else " and was retired"
        if one.id == name:
            raise RefusedError(
                f"Id: {name} is that of {one.label} {one.serial}{gone}; ids are never used again.",
                "Take another.",
            )
        if one.is_active and is_same(one, kind, serial):
            raise RefusedError(f"{kind} {serial} is registered as {one.id}.")
    body = {
        "id": name, "kind": kind, "label": label, "serial": serial,
        "ranges": [one.as_record() for one in check_ranges(wanted.ranges)],
        "due": _day("Due", wanted.due, "due"),
    }  # fmt: skip
    return _change("instrument_added", by, body)


def calibrate(
    register: Register, name: str, done: str, due: str, certificate: str, by: str, today: str
) -> Draft:
    """Return the draft of a calibration done on one day and due again on another.

    Raises:
        RefusedError: no such instrument, or the days will not do.
    """
    one = active(register, name)
    done, due = _day("Calibrated on", done, "on"), _day("Due", due, "due")
    if not done:
        raise RefusedError("Calibrated on: nothing was entered.", "Write it as 2030-12-31.", "on")
    if done > today[:10]:
        raise RefusedError(
            f"Calibrated on: {done} has not come yet.", "Give the day it was done.", "on"
        )
    if due and due <= done:
        raise RefusedError(
            f"Due: {due} is not after {done}.", "Give the day on the certificate.", "due"
        )
    body = {
        "instrument": one.id, "on": done, "due": due, "certificate": _short(certificate),
    }  # fmt: skip
    return _change("instrument_calibrated", by, body)


def check(register: Register, name: str, text: str, by: str, *, good: bool) -> Draft:
    """Return the draft of a look at a known value.

    Raises:
        RefusedError: no such instrument, or nothing is said.
    """
    one = active(register, name)
    body = {"instrument": one.id, "good": good, "text": _said("What it showed", text, "text")}
    return _change("instrument_checked", by, body)


def set_ranges(
    register: Register, name: str, ranges: Sequence[Range], reason: str, by: str
) -> Draft:
    """Return the draft that gives an instrument other ranges.

    Raises:
        RefusedError: no such instrument, nothing changes, or no reason.
    """
    one = active(register, name)
    if check_ranges(ranges) == one.ranges_now:
        raise RefusedError(f"{one.id} has just these ranges already.")
    body = {
        "instrument": one.id, "ranges": [each.as_record() for each in ranges],
        "reason": _said("Reason", reason, "reason"),
    }  # fmt: skip
    return _change("instrument_ranged", by, body)


def retire(register: Register, name: str, reason: str, by: str) -> Draft:
    """Return the draft that lets an instrument go, for good.

    Raises:
        RefusedError: no such instrument, or no reason.
    """
    one = active(register, name)
    body = {"instrument": one.id, "reason": _said("Reason", reason, "reason")}
    return _change("instrument_retired", by, body)


def active(register: Register, name: str) -> Instrument:
    """Return an instrument that was not retired.

    Raises:
        RefusedError: there is none of that id, or it was retired.
    """
    one = register.instrument(name)
    if one.retired is not None:
        raise RefusedError(f"{one.id} was retired on {one.retired.at[:10]}.", "That is for good.")
    return one


def _known_kind(register: Register, kind: str) -> str:
    """Return the kind as it is spelled already, where it differs by case or spaces alone."""
    known = (one.kind for one in register.instruments.values())
    return next((one for one in known if same_kind(one, kind)), kind)


def _change(kind: str, by: str, body: dict[str, Any]) -> Draft:
    return Draft(kind, by, body={**body, SIGNATURE: None})


def _day(what: str, text: str, about: str) -> str:
    try:
        return day_or_none(text.strip())
    except IllegalEntryError as error:
        raise RefusedError(f"{what}: {error.message}", error.hint, about) from error


def _said(what: str, text: str, about: str) -> str:
    said = _short(text)
    if len(said) < _SHORTEST:
        raise RefusedError(f"{what}: nothing was entered.", "Say it in a few words.", about)
    return said


def _short(text: str) -> str:
    return " ".join(text.split())[:500]
