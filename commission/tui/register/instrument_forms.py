"""What the dialogs about instruments ask, and what their answers enter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import RefusedError
from commission.tui.register.forms import Asked, lead_lines, taking, unlocked_lead
from commission.tui.signing.form import Line, Refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.entry import Draft
    from commission.record.bench import Bench
    from commission.record.keys import Signer
    from commission.register.instrument import Instrument
    from commission.register.state import Register

    Drafting = Callable[[Register, Mapping[str, str], str], Draft]

_LONG = 900
"""Characters of a line for ranges."""


def add(bench: Bench) -> Asked:
    """Return the dialog that adds an instrument."""
    from commission.job.accuracy import EXAMPLE, parse_ranges
    from commission.register import instrument_moves as moves

    def draft(now: Register, typed: Mapping[str, str], by: str) -> Draft:
        wanted = moves.Wanted(
            typed["kind"], typed["serial"], typed["label"], parse_ranges(typed["ranges"]),
            typed["due"],
        )  # fmt: skip
        return moves.add(now, wanted, by)

    return Asked(
        "Add an instrument",
        f"Its kind as procedures name it. Ranges with accuracy, several with ; between:\n{EXAMPLE}",
        (
            Line("kind", "Kind", note="multimeter, …"),
            Line("serial", "Serial number", note="or the workshop's mark"),
            Line("label", "Called here", note="or empty: its kind"),
            Line("ranges", "Ranges", longest=_LONG),
            Line("due", "Calibrated until", note="YYYY-MM-DD; empty: none"),
            *_who(bench),
        ),
        _entering(bench, draft),
    )


def calibrated(bench: Bench, one: Instrument) -> Asked:
    """Return the dialog that enters a calibration."""
    from commission.record.clocks import machine
    from commission.register import instrument_moves as moves

    def draft(now: Register, typed: Mapping[str, str], by: str) -> Draft:
        return moves.calibrate(
            now, one.id, typed["on"], typed["due"], typed["certificate"], by, machine().now().at
        )

    return Asked(
        f"Calibration of {one.id}",
        "From the certificate. Readings taken until now keep what was known then.",
        (
            Line("on", "Done on", note="YYYY-MM-DD"),
            Line("due", "Holds until", note="YYYY-MM-DD; empty: none"),
            Line("certificate", "Certificate", note="its number"),
            *_who(bench),
        ),
        _entering(bench, draft),
    )


def checked(bench: Bench, one: Instrument) -> Asked:
    """Return the dialog that enters a look at a known value; whoever looked signs."""
    from commission.register import instrument_moves as moves

    def draft(now: Register, typed: Mapping[str, str], by: str) -> Draft:
        said = typed["good"].strip().casefold()
        if said not in {"good", "bad"}:
            got = f"It was: {typed['good'][:20]!r} is neither."
            raise RefusedError(got, "Type good or bad.", "good")
        return moves.check(now, one.id, typed["text"], by, good=said == "good")

    return Asked(
        f"Check of {one.id}",
        "Against a known value, by the workshop itself. A bad one speaks against the instrument"
        " until it is calibrated.",
        (
            Line("text", "What it showed", note="9.00 V source: 9.01 V"),
            Line("good", "It was", note="good or bad"),
            *_who(bench, by_lead=False),
        ),
        _entering(bench, draft, by_lead=False),
    )


def ranges(bench: Bench, one: Instrument) -> Asked:
    """Return the dialog that gives an instrument other ranges."""
    from commission.job.accuracy import EXAMPLE, parse_ranges
    from commission.register import instrument_moves as moves

    def draft(now: Register, typed: Mapping[str, str], by: str) -> Draft:
        return moves.set_ranges(now, one.id, parse_ranges(typed["ranges"]), typed["reason"], by)

    return Asked(
        f"Ranges of {one.id}",
        f"They hold from now on. Several with ; between, each as: {EXAMPLE}",
        (
            Line("ranges", "Ranges", "; ".join(map(str, one.ranges_now)), longest=_LONG),
            Line("reason", "Reason"),
            *_who(bench),
        ),
        _entering(bench, draft),
    )


def retire(bench: Bench, one: Instrument) -> Asked:
    """Return the dialog that lets an instrument go."""
    from commission.register import instrument_moves as moves

    def draft(now: Register, typed: Mapping[str, str], by: str) -> Draft:
        return moves.retire(now, one.id, typed["reason"], by)

    return Asked(
        f"Retire {one.id}",
        f"{one.label} {one.serial}: offered no more, for good. What was read with it stays.",
        (Line("reason", "Reason"), *_who(bench)),
        _entering(bench, draft),
    )


def _who(bench: Bench, *, by_lead: bool = True) -> tuple[Line, ...]:
    """Return who says so: without registered people a name, else who signs and the passphrase."""
    register = bench.book.register
    if not register.has_people:
        return (Line("by", "Who says so", note="a name"),)
    if by_lead:
        return lead_lines(register)
    return (
        Line("by", "Who looked", note="registered; signs"),
        Line("secret", "Own passphrase", secret=True),
    )


def _entering(
    bench: Bench, draft: Drafting, *, by_lead: bool = True
) -> Callable[..., str | Refusal]:
    def enter(typed: dict[str, str]) -> None:
        register = bench.book.register
        if not register.has_people:
            by = " ".join(typed["by"].split()) or bench.name
            bench.book.enter(lambda now: (draft(now, typed, by),))
            return
        person = register.find(typed["lead" if by_lead else "by"])
        draft(register, typed, "" if person is None else person.id)  # refused before a passphrase
        signer = (unlocked_lead if by_lead else _unlocked_person)(bench, typed)
        bench.book.enter(lambda now: (draft(now, typed, signer.person),), signer)
        bench.sitting.spend(signer.person)

    return taking(enter)


def _unlocked_person(bench: Bench, typed: Mapping[str, str]) -> Signer:
    register = bench.book.register
    one = register.find(typed["by"])
    if one is None or not one.is_active:
        known = ", ".join(each.id for each in register.active())
        said = f"{typed['by'][:40]!r} is not registered."
        raise RefusedError(said, f"Registered: {known}.", "by")
    bench.sitting.unlock(one.id, typed["secret"])
    signer = bench.sitting.signer(one.id)
    if signer is None:
        raise RefusedError(f"{one.name}'s key is not open.", "Type the passphrase again.")
    return signer
