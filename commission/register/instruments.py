"""The rules of entries about instruments."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError
from commission.job.accuracy import Range, check_ranges
from commission.register import authority
from commission.register.instrument import Calibration, Checked, Instrument
from commission.register.working import point_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from commission.job.entry import Entry
    from commission.register.working import Working

ID: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,31}")
LONGEST: Final = 120
"""Characters of a kind, a label or a serial number."""
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")


def added(register: Working, entry: Entry) -> None:
    """Take in an instrument."""
    authority.check_workshop_signed(register.frozen(), entry)
    body = entry.body
    name, kind, label, serial = (body[key] for key in ("id", "kind", "label", "serial"))
    if not ID.fullmatch(name) or not is_text(kind) or not is_text(label) or not is_text(serial):
        raise IllegalEntryError(f"Entry {entry.seq} does not name an instrument.")
    for one in register.instruments.values():
        if one.id == name or (one.is_active and is_same(one, kind, serial)):
            raise IllegalEntryError(f"{one.id} ({one.serial}) is taken since {one.added.seq}.")
    point = point_of(entry)
    register.instruments[name] = Instrument(
        name, kind, label, serial, point, ((point, ranges_in(body["ranges"])),),
        (Calibration(point, "", day_or_none(body["due"])),),
    )  # fmt: skip


def calibrated(register: Working, entry: Entry) -> None:
    """Take note of a certificate."""
    authority.check_workshop_signed(register.frozen(), entry)
    one, body = register.instrument(entry), entry.body
    done, due = day_or_none(body["on"]), day_or_none(body["due"])
    if not done or (due and due < done):
        raise IllegalEntryError(f"Entry {entry.seq} has no day of calibration before it is due.")
    made = Calibration(point_of(entry), done, due, str(body["certificate"]))
    register.instruments[one.id] = replace(one, calibrations=(*one.calibrations, made))


def checked(register: Working, entry: Entry) -> None:
    """Take note of a look at a known value; anybody who is registered may say what it showed."""
    authority.check_person_signed(register.frozen(), entry)
    one, body = register.instrument(entry), entry.body
    if type(body["good"]) is not bool or not body["text"]:
        raise IllegalEntryError(f"Entry {entry.seq} does not say what the check showed.")
    made = Checked(point_of(entry), entry.by, body["good"], str(body["text"]))
    register.instruments[one.id] = replace(one, checks=(*one.checks, made))


def ranged(register: Working, entry: Entry) -> None:
    """Give an instrument other ranges from here on."""
    authority.check_workshop_signed(register.frozen(), entry)
    one = register.instrument(entry)
    if not entry.body["reason"]:
        raise IllegalEntryError(f"Entry {entry.seq} ({entry.kind}) gives no reason.")
    held = (*one.ranges, (point_of(entry), ranges_in(entry.body["ranges"])))
    register.instruments[one.id] = replace(one, ranges=held)


def retired(register: Working, entry: Entry) -> None:
    """Let an instrument go: its id stays taken."""
    authority.check_workshop_signed(register.frozen(), entry)
    one, reason = register.instrument(entry), entry.body["reason"]
    if not reason:
        raise IllegalEntryError(f"Entry {entry.seq} ({entry.kind}) gives no reason.")
    register.instruments[one.id] = replace(one, retired=point_of(entry), reason=str(reason))


RULES: Final[Mapping[str, Callable[[Working, Entry], None]]] = {
    "instrument_added": added,
    "instrument_calibrated": calibrated,
    "instrument_checked": checked,
    "instrument_ranged": ranged,
    "instrument_retired": retired,
}


def is_text(text: object) -> bool:
    """Return whether something can be a kind, a label or a serial number."""
    return (
        isinstance(text, str)
        and 0 < len(text) <= LONGEST
        and text.isprintable()
        and text == " ".join(text.split())
    )


def is_same(one: Instrument, kind: str, serial: str) -> bool:
    """Return whether kind and serial number are those of an instrument."""
    return (one.kind.casefold(), one.serial.casefold()) == (kind.casefold(), serial.casefold())


def ranges_in(bodies: Sequence[Mapping[str, Any]]) -> tuple[Range, ...]:
    """Return the ranges an entry writes.

    Raises:
        RefusedError: one is none.
    """
    return check_ranges([Range.from_record(one) for one in bodies])


def day_or_none(text: str) -> str:
    """Return a day, YYYY-MM-DD, or an empty text.

    Raises:
        IllegalEntryError: it is neither.
    """
    if text:
        try:
            if _DAY.fullmatch(text):
                return date.fromisoformat(text).isoformat()
        except ValueError:
            pass
        raise IllegalEntryError(f"{text[:40]!r} is not a day.", "Write it as 2030-12-31.")
    return ""
