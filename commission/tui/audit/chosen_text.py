"""What the form for a new audit says below its fields: which jobs, which sample, why. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.tui.home.lines import fit, moment
from commission.tui.job.told import Told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from commission.record.store import JobLine
    from commission.tui.audit.selecting import Chosen

_MOST: Final = 300
"""Jobs that are listed; a list measures each line before it shows one."""


def summary(chosen: Chosen) -> list[Told]:
    """Return the population, the sample with its size and reason, and what fixes the draw."""
    if not chosen.total:
        return [Told("Jobs", "There is none on this bench yet: nothing can be audited.")]
    if chosen.wrong:
        return [Told("Jobs", "not counted: put right what is marked with !", "$text-error")]
    if not chosen.lines:
        return [Told("Jobs", f"none of {chosen.total} is like that", "$text-warning")]
    count = len(chosen.lines)
    told = [Told("Jobs", f"{count} of {chosen.total}, digest {chosen.digest[:32]}…")]
    if chosen.plan is None:
        told.append(Told("Sample", "none is drawn: all of them are checked"))
    else:
        told.append(Told("Sample", f"{len(chosen.drawn)} of {count}: {chosen.plan.says}"))
        told.append(Told("Seed", f"{chosen.seed[:32]}…, of that digest and the plan"))
    return told


def job_lines(chosen: Chosen, width: int, now: datetime) -> Iterator[str]:
    """Yield one line for each job of the population; those drawn are marked."""
    drawn = frozenset(chosen.drawn)
    shown = sorted(chosen.lines, key=lambda line: line.job not in drawn)
    for line in shown[:_MOST]:
        yield _line(line, width, now, is_drawn=line.job in drawn)
    if len(shown) > _MOST:
        yield f"… and {len(shown) - _MOST} more"


def _line(line: JobLine, width: int, now: datetime, *, is_drawn: bool) -> str:
    mark = "*" if is_drawn else " "
    rest = max(10, width - 44)
    stands = f"practice, {line.status}" if line.practice else line.status
    return (
        f"{mark} {line.job:<14} {fit(moment(line.opened_at, now), 12)} "
        f"{fit(f'{line.bike}  {line.title}', rest)} {fit(stands, 13)}"
    )
