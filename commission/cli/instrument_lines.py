"""One instrument in words and for programs: what it is, how it stands, what it was found to be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from commission.register.instrument import Instrument


def calibration(one: Instrument) -> str:
    """Return until when an instrument is calibrated."""
    return f"calibrated until {one.due}" if one.due else "no calibration asked"


def _certified(one: Instrument) -> str:
    """Return when it was calibrated and by what certificate; empty where neither is known."""
    last = one.calibrations[-1]
    done = f"calibrated on {last.on}" if last.on else ""
    return ", ".join(part for part in (done, last.certificate and f"certificate {last.certificate}")
                     if part)  # fmt: skip


def _standing(one: Instrument, today: str) -> str:
    standing = one.standing(today)
    if standing == "good":
        return calibration(one)
    if standing == "overdue":
        return f"OVERDUE since {one.due}"
    return f"{standing.upper()}; {calibration(one)}"


def lines_of(one: Instrument, today: str) -> list[str]:
    """Return an instrument as lines for people, as it stands on the day `today`."""
    if one.retired is not None:
        stands = f"retired {one.retired.at[:10]} ({one.reason})"
    else:
        stands = _standing(one, today)
    lines = [f"{one.id}  {one.kind}  {one.label}  serial {one.serial}  {stands}"]
    certified = _certified(one)
    lines += [f"    {each}" for each in ((certified,) if certified else ()) + one.ranges_now]
    if one.last_check is not None:
        check = one.last_check
        word = "good" if check.good else "BAD"
        lines.append(f"    checked {check.at.at[:10]} by {check.by}: {word}, {check.text}")
    return lines


def as_json_of(one: Instrument, today: str) -> dict[str, Any]:
    """Return an instrument for programs, as it stands on the day `today`."""
    check = one.last_check
    return {
        "id": one.id, "kind": one.kind, "label": one.label, "serial": one.serial,
        "since": one.added.at, "until": None if one.retired is None else one.retired.at,
        "due": one.due or None, "standing": one.standing(today),
        "calibrated_on": one.calibrations[-1].on or None,
        "certificate": one.calibrations[-1].certificate or None,
        "ranges": [each.as_record() for each in one.ranges_now],
        "last_check": None if check is None else {
            "at": check.at.at, "by": check.by, "good": check.good, "text": check.text,
        },
    }  # fmt: skip
