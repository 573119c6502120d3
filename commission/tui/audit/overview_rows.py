"""What the overviews show: for each view its headings, its rows and a sentence to read them by.

Pure. People are listed by name, beside what their numbers rest on; nobody is ranked.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.audit.instruments_due import instruments_due
from commission.audit.shares import percent

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.audit.instruments_due import InstrumentDue
    from commission.audit.overview import Overview
    from commission.register.state import Register

    Rows = tuple[tuple[str, ...], ...]

_MINUTE: Final = 60


@dataclass(frozen=True, slots=True)
class View:
    """One overview."""

    name: str
    headings: tuple[str, ...]
    rows: Rows
    says: str
    """How to read it."""
    empty: str
    """What it says where there is no row."""


def views(found: Overview, register: Register | None, day: str) -> tuple[View, ...]:
    """Return all views of what was counted; `day` is today, YYYY-MM-DD."""
    made: tuple[Callable[[], View], ...] = (
        lambda: _procedures(found), lambda: _steps(found), lambda: _times(found),
        lambda: _failures(found), lambda: _settings(found), lambda: _concessions(found),
        lambda: _instruments(instruments_due(register, day)), lambda: _people(found),
    )  # fmt: skip
    return tuple(one() for one in made)


def _procedures(found: Overview) -> View:
    rows = []
    for name in dict.fromkeys(one.procedure for one in found.steps.values()):
        passed, of = found.first_pass_rate(name)
        rows.append((name, percent(passed, of), _of(passed, of)))
    return View(
        "By procedure", ("Procedure", "First pass", "Steps answered"), tuple(rows),
        "How many steps passed at their first answer, over all jobs.", "No job was counted.",
    )  # fmt: skip


def _steps(found: Overview) -> View:
    worst = sorted(
        (one for one in found.steps.values() if one.first_pass < one.jobs),
        key=lambda one: one.first_pass / one.jobs,
    )
    return View(
        "By step", ("Step", "First pass", "Jobs", "Procedure"),
        tuple((one.title, percent(one.first_pass, one.jobs), _of(one.first_pass, one.jobs),
               one.procedure) for one in worst),
        "Steps that did not pass at once, the lowest share first. Few jobs say little.",
        "Every step passed at its first answer.",
    )  # fmt: skip


def _times(found: Overview) -> View:
    return View(
        "Time by stage", ("Stage", "Mean", "Longest", "Jobs", "Procedure"),
        tuple((one.title, _time(one.mean_s), _time(one.longest), str(one.jobs), one.procedure)
              for one in found.stages.values()),
        "Time at work; pauses of more than half an hour are left out.", "No job was counted.",
    )  # fmt: skip


def _failures(found: Overview) -> View:
    every = [
        (count, one, said) for one in found.steps.values() for said, count in one.failures.items()
    ]
    return View(
        "Failures", ("Times", "Step", "Remedied", "What was said"),
        tuple((str(count), one.title, f"{one.remedied} jobs" if one.remedied else "-", said)
              for count, one, said in sorted(every, key=lambda each: -each[0])),
        "Like failures are counted together, figures as #. Remedied: passed after its remedy.",
        "No step ever failed.",
    )  # fmt: skip


def _settings(found: Overview) -> View:
    moved = [one for one in found.settings.values() if set(one.fates) - {"held"} or one.earlier]
    moved.sort(key=lambda one: (one.model, one.label))
    return View(
        "Settings", ("Controller or model", "Setting", "Did not hold", "Written", "Twice"),
        tuple((one.model or "?", one.label,
               ", ".join(f"{n} {fate}" for fate, n in one.fates.items() if fate != "held") or "-",
               f"{one.written} jobs", str(one.earlier or "-")) for one in moved),
        "Settings that were not as written after a power cycle, by controller or model. Twice:"
        " jobs in which it was written again.",
        "Every setting held as it was written.",
    )  # fmt: skip


def _concessions(found: Overview) -> View:
    by_expiry = sorted(found.concessions, key=lambda one: one.expiry)
    return View(
        "Concessions", ("Until", "", "Job", "Bike", "Step", "Scope", "By"),
        tuple((one.expiry, "! RUN OUT" if one.is_over else "", one.job, one.bike, one.step,
               one.scope, one.by) for one in by_expiry),
        "Bikes let go with a known shortfall; the first to run out on top.",
        "No bike was let go under a concession.",
    )  # fmt: skip


def _instruments(due: Iterable[InstrumentDue]) -> View:
    return View(
        "Instruments", ("Due", "Stands", "Instrument", "Kind", "Serial", "Last check"),
        tuple((one.due or "none asked", stands.says, f"{one.id} {one.label}".strip(), one.kind,
               one.serial, one.last_check.at.at[:10] if one.last_check else "-")
              for stands in due for one in (stands.instrument,)),
        "Calibrations, the first due on top.",
        "No instrument is registered: `commission instruments add`.",
    )  # fmt: skip


def _people(found: Overview) -> View:
    by_name = sorted(found.technicians.values(), key=lambda one: one.name)
    return View(
        "People", ("Name", "Jobs", "Released", "Failed", "Corrected", "Which jobs"),
        tuple((one.name, str(one.jobs), str(one.released), _of(one.failures, one.answers),
               str(one.corrections), _kinds(one.procedures.most_common())) for one in by_name),
        "By name; failed: of all answers. Who does the difficult bikes meets more failures, and"
        " finds more: these numbers compare nobody.",
        "Nobody has made an entry.",
    )  # fmt: skip


def _kinds(kinds: Iterable[tuple[str, int]]) -> str:
    return ", ".join(f"{count} {name}" for name, count in kinds) or "confirmed only"


def _of(part: int, of: int) -> str:
    return f"{part} of {of}"


def _time(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), _MINUTE)
    return f"{minutes} min {rest:02d} s" if minutes else f"{rest} s"
