"""`commission audit overview`: what the workshop's jobs show together."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from commission.audit.instruments_due import SOON_DAYS
from commission.audit.shares import percent
from commission.cli.audit import (
    BikeOption,
    OutcomeOption,
    PracticeOption,
    ProcedureOption,
    SinceOption,
    TechnicianOption,
    UntilOption,
    audit,
    progress,
)
from commission.cli.options import JsonOption, StoreOption, opened
from commission.cli.signers import recorded_name
from commission.report.times import counted
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.audit.instruments_due import InstrumentDue
    from commission.audit.overview import Overview

_MOST = 10


@audit.command("overview")
def overview(  # noqa: PLR0913, PLR0917  options of a command
    technician: TechnicianOption = "",
    bike: BikeOption = "",
    procedure: ProcedureOption = "",
    since: SinceOption = "",
    until: UntilOption = "",
    outcome: OutcomeOption = "any",
    practice: PracticeOption = False,
    store: StoreOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show first-pass rates, times, failures, settings that revert, concessions, people's jobs.

    And the instruments that are overdue, failed their check or are due soon.
    """
    from commission.audit.choose import Selection, population
    from commission.audit.instruments_due import instruments_due
    from commission.audit.overview import Overview
    from commission.audit.run import jobs_of
    from commission.record.clocks import machine

    found, at = Overview(), machine().now().at
    with opened(store) as bench:
        who = recorded_name(bench, technician)
        selection = Selection((), who, bike, procedure, since, until, outcome, practice)
        due = instruments_due(bench.book.register, at[:10])
        names = [line.job for line in population(bench.store, selection).lines]
        with progress(len(names)) as step:
            for number, job in enumerate(jobs_of(bench.store, names, at), 1):
                found.take(job)
                if step is not None:
                    step(number)
    if as_json:
        instruments = [one.to_json() for one in due]
        print(json.dumps({**found.to_json(), "instruments": instruments}, indent=2))
        return
    for line in lines(found, due):
        print(safe_text(line))


def lines(found: Overview, due: Iterable[InstrumentDue]) -> Iterator[str]:
    """Yield an overview as lines for people; `due` is how the instruments in use stand."""
    jobs = counted(found.jobs, "job")
    yield f"{jobs}, {found.released} released; {found.not_whole} not whole."
    for heading, under in (
        ("Passed at the first answer", _first_pass(found)),
        ("Most frequent failures", _failures(found)),
        ("Time at work by stage (pauses above half an hour left out)", _stages(found)),
        ("Settings that did not stay as written, by model", _settings(found)),
        ("Open concessions", _concessions(found)),
        (
            f"Instruments overdue, failed their check, or due within {SOON_DAYS} days",
            _instruments(due),
        ),
        ("People's jobs, by name; what a number rests on stands beside it", _people(found)),
    ):
        yield heading
        yield from tuple(under) or ("  none",)


def _first_pass(found: Overview) -> Iterator[str]:
    for name in dict.fromkeys(one.procedure for one in found.steps.values()):
        passed, of = found.first_pass_rate(name)
        yield f"  {name}: {_share(passed, of)} of steps"
    worst = sorted(found.steps.values(), key=lambda one: one.first_pass / one.jobs)
    for one in worst[:_MOST]:
        if one.first_pass < one.jobs:
            yield f"  {one.procedure}  {one.title}: {_share(one.first_pass, one.jobs)} of jobs"


def _failures(found: Overview) -> Iterator[str]:
    every = [
        (count, one, said) for one in found.steps.values() for said, count in one.failures.items()
    ]
    for count, one, said in sorted(every, key=lambda each: -each[0])[:_MOST]:
        times = counted(count, "time")
        yield f"  {times}  {one.title}: {said} ({one.remedied} put right by its remedy)"


def _stages(found: Overview) -> Iterator[str]:
    for stage in found.stages.values():
        yield (
            f"  {stage.procedure}  {stage.title}: mean {_time(stage.mean_s)}, longest "
            f"{_time(stage.longest)} ({counted(stage.jobs, 'job')})"
        )


def _settings(found: Overview) -> Iterator[str]:
    for one in found.settings.values():
        fates = ", ".join(f"{n} {fate}" for fate, n in one.fates.items() if fate != "held")
        if fates:
            yield f"  {one.model}  {one.label}: {fates} (of {counted(one.written, 'job')})"


def _instruments(due: Iterable[InstrumentDue]) -> Iterator[str]:
    for stands in due:
        if not stands.needs_care:
            continue
        one = stands.instrument
        named = " ".join(part for part in (one.id, one.label) if part)
        yield f"  {one.due or 'none asked'}  {stands.says}  {named} ({one.kind}, {one.serial})"


def _concessions(found: Overview) -> Iterator[str]:
    for leave in found.concessions:
        over = ", RUN OUT" if leave.is_over else ""
        yield f"  {leave.job}  {leave.bike}  {leave.step}: {leave.scope} to {leave.expiry}{over}"


def _people(found: Overview) -> Iterator[str]:
    for person in sorted(found.technicians.values(), key=lambda each: each.name):
        kinds = ", ".join(f"{count} {name}" for name, count in person.procedures.most_common())
        yield (
            f"  {person.name}: {counted(person.jobs, 'job')} ({kinds or 'confirmed only'}), "
            f"{person.failures} of {person.answers} answers failed, {person.corrections} corrected"
        )


def _share(part: int, of: int) -> str:
    return f"{percent(part, of)} ({part} of {of})" if of else "none"


def _time(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest:02d} s" if minutes else f"{rest} s"
