"""Commands about instruments: add, list, say what a calibration or a check gave, retire."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.instrument_lines import as_json_of, calibration, lines_of
from commission.cli.options import JsonOption, LeadFdOption, ReasonOption, StoreOption, opened
from commission.cli.signers import lead_id, person_of, unlocked
from commission.cli.stderr import say
from commission.errors import RefusedError
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.entry import Draft
    from commission.record.bench import Bench
    from commission.register.instrument import Instrument
    from commission.register.state import Register

instruments = typer.Typer(
    name="instruments",
    help="Instruments, their accuracy and calibration: what readings are taken with.",
    no_args_is_help=True,
)

InstrumentArgument = Annotated[
    str, typer.Argument(metavar="INSTRUMENT", help="Its id, or its serial number.")
]
ByOption = Annotated[
    str,
    typer.Option("--by", metavar="PERSON", show_default=False,
                 help="Who says so; where people are registered, the lead who signs."),
]  # fmt: skip
RangeOption = Annotated[
    list[str] | None,
    typer.Option("--range", metavar="RANGE", show_default=False,
                 help='As "60 V: 0.5 % + 2 counts of 0.01", or "20 to 100 Nm: 4 %"; repeatable.'),
]  # fmt: skip
DueOption = Annotated[
    str,
    typer.Option("--due", metavar="DAY", show_default=False,
                 help="Last day of its calibration, YYYY-MM-DD; without it none is asked."),
]  # fmt: skip


def register(app: typer.Typer) -> None:
    """Add this module's commands to the command line."""
    app.add_typer(instruments)


@instruments.command("add")
def add(  # noqa: PLR0913, PLR0917  options of a command
    kind: Annotated[str, typer.Argument(help="Its kind, as procedures name it: multimeter.")],
    serial: Annotated[str, typer.Argument(help="Its serial number, or the workshop's mark.")],
    label: Annotated[str, typer.Option(help="How it is called here; its kind without it.")] = "",
    ranges: RangeOption = None,
    due: DueOption = "",
    name: Annotated[str, typer.Option("--id", help="Id, for good; made from the kind.")] = "",
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Add an instrument. Readings of its kind then say which one they were taken with."""
    from commission.job.accuracy import check_ranges, parse_range
    from commission.job.instrument import same_kind
    from commission.procedure.offers import equipment_kinds
    from commission.record.bench import Bench
    from commission.register import instrument_moves as moves

    made = check_ranges([parse_range(one) for one in ranges or ()])
    wanted = moves.Wanted(kind, serial, label, made, due, name)
    with Bench.open(store) as bench:
        after = _enter(bench, by, lead_fd, lambda now, who: moves.add(now, wanted, who))
    one = list(after.instruments.values())[-1]
    say(f"Added {one.label} {one.serial} as {one.id}; {calibration(one)}.")
    kinds = equipment_kinds()
    if not any(same_kind(kind, one) for one in kinds):
        say(f"No shipped checklist reads with this kind; they name: {', '.join(kinds)}.")
    if not made:
        say("Without a range, readings are as sure as the procedure asks; --range says better.")


@instruments.command("list")
def list_instruments(
    kind: Annotated[str, typer.Option("--kind", help="Only of this kind.")] = "",
    due: Annotated[bool, typer.Option("--due", help="Only those that should not be used.")] = False,
    store: StoreOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the instruments, the retired too, and how each stands today."""
    from commission.job.instrument import same_kind
    from commission.record.clocks import machine

    today = machine().now().at
    every = _registered(store)
    found = [one for one in every if not kind or same_kind(one.kind, kind)]
    if due:
        found = [one for one in found if one.is_active and one.standing(today) != "good"]
    if as_json:
        print(json.dumps([as_json_of(one, today) for one in found], indent=2, ensure_ascii=False))
        return
    for one in found:
        print("\n".join(safe_text(line) for line in lines_of(one, today)))
    if not found:
        say(_why_none({one.kind for one in every}, kind))


def _why_none(kinds: set[str], kind: str) -> str:
    """Return why a list of instruments is empty, where `kinds` are registered."""
    from commission.job.instrument import same_kind

    if not kinds:
        return "No instrument is registered: readings are as sure as the procedure asks."
    if kind and not any(same_kind(one, kind) for one in kinds):
        return f"No instrument is a {kind}. Kinds here: {', '.join(sorted(kinds))}."
    return "None is overdue or failed its last check."


@instruments.command("calibrated")
def calibrated(
    instrument: InstrumentArgument,
    done: Annotated[str, typer.Option("--on", metavar="DAY", help="The day, YYYY-MM-DD.")],
    due: DueOption = "",
    certificate: Annotated[str, typer.Option(help="Number of the certificate.")] = "",
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Enter a calibration: the day it was done and the day it holds to."""
    from commission.record.clocks import machine
    from commission.register import instrument_moves as moves

    today = machine().now().at

    def draft(now: Register, one: str, who: str) -> Draft:
        return moves.calibrate(now, one, done, due, certificate, who, today)

    _change(store, instrument, by, lead_fd, draft)


@instruments.command("checked")
def checked(
    instrument: InstrumentArgument,
    text: Annotated[str, typer.Argument(help="Against what, and what it showed.")],
    bad: Annotated[bool, typer.Option("--bad", help="It showed something wrong.")] = False,
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Enter a look at a known value by the workshop itself, good or bad; whoever looked signs."""
    from commission.register import instrument_moves as moves

    def draft(now: Register, one: str, who: str) -> Draft:
        return moves.check(now, one, text, who, good=not bad)

    _change(store, instrument, by, lead_fd, draft, by_lead=False)


@instruments.command("ranges")
def ranges(
    instrument: InstrumentArgument,
    reason: ReasonOption,
    written: RangeOption = None,
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Give an instrument other ranges from now on: those named, and no others."""
    from commission.job.accuracy import check_ranges, parse_range
    from commission.register import instrument_moves as moves

    made = check_ranges([parse_range(one) for one in written or ()])

    def draft(now: Register, one: str, who: str) -> Draft:
        return moves.set_ranges(now, one, made, reason, who)

    _change(store, instrument, by, lead_fd, draft)


@instruments.command("retire")
def retire(
    instrument: InstrumentArgument,
    reason: ReasonOption,
    by: ByOption = "",
    lead_fd: LeadFdOption = None,
    store: StoreOption = None,
) -> None:
    """Let an instrument go, for good: it is offered no more, its id stays taken."""
    from commission.register import instrument_moves as moves

    def draft(now: Register, one: str, who: str) -> Draft:
        return moves.retire(now, one, reason, who)

    _change(store, instrument, by, lead_fd, draft)


def _change(
    store: str | None, instrument: str, by: str, lead_fd: int | None,
    draft: Callable[[Register, str, str], Draft], *, by_lead: bool = True,
) -> None:  # fmt: skip
    from commission.record.bench import Bench
    from commission.record.clocks import machine

    with Bench.open(store, create=False) as bench:
        name = _found(bench.book.register, instrument)
        after = _enter(bench, by, lead_fd, lambda now, who: draft(now, name, who), by_lead=by_lead)
    print(
        "\n".join(safe_text(one) for one in lines_of(after.instruments[name], machine().now().at))
    )


def _found(now: Register, text: str) -> str:
    """Return the id that an id or a serial number stands for, one in use before a retired one."""
    wanted = text.strip().casefold()
    by_id = [one for one in now.instruments if one.casefold() == wanted]
    if by_id:
        return text if text in by_id else by_id[0]
    numbered = [one for one in now.instruments.values() if one.serial.casefold() == wanted]
    by_serial = [one.id for one in numbered if one.is_active] or [one.id for one in numbered]
    if len(by_serial) > 1:
        raise RefusedError(f"{text[:40]} is the number of {', '.join(by_serial)}.", "Say which id.")
    return by_serial[0] if by_serial else now.instrument(text).id


def _registered(store: str | None) -> list[Instrument]:
    """Return all instruments of a bench, the retired too; none where there is no store yet."""
    from commission.record.places import places_of

    if not places_of(store).may_be_there:
        return []
    with opened(store) as bench:
        return list(bench.book.register.instruments.values())


def _enter(
    bench: Bench, by: str, lead_fd: int | None, draft: Callable[[Register, str], Draft],
    *, by_lead: bool = True,
) -> Register:  # fmt: skip
    """Enter one draft; where people are registered, signed by a lead, or by whoever it is by."""
    if not bench.book.register.has_people:
        who = by or bench.name
        return bench.book.enter(lambda now: (draft(now, who),))
    who = lead_id(bench, by) if by_lead or not by else person_of(bench, by).id
    draft(bench.book.register, who)  # refused before anybody types a passphrase
    signer = unlocked(bench, who, lead_fd)
    after = bench.book.enter(lambda now: (draft(now, who),), signer)
    bench.sitting.spend(who)
    return after
