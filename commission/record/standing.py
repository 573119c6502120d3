"""Which readings of a job stand, to be compared with those of later jobs, and its visit. Pure.

Practice leaves nothing here. A reading that was corrected, or taken again, stands as it was last
given. Of a series it is the mean of its runs.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from commission.errors import QuantityError
from commission.job.instrument import CITED
from commission.quantities import Reading
from commission.record.store import StandingRow, VisitRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from commission.job.entry import Entry
    from commission.job.plan import FactStep
    from commission.job.state import Answer, JobState, Opened
    from commission.procedure.model import Step

_ANSWERS = frozenset({"answered", "corrected"})


def compared(text: object) -> str:
    """Return a frame number, model or controller as it is compared: case and spaces do not count.

    Anything but text is none.
    """
    return " ".join(text.split()).casefold() if isinstance(text, str) else ""


def controller_key(bike: Mapping[str, Any]) -> str:
    """Return which kind of controller a bike has, by its sheet or in words; empty where unsaid."""
    return compared(bike.get("sheet") or bike.get("controller"))


def standing(after: JobState, entries: Sequence[Entry]) -> tuple[StandingRow, ...]:
    """Return the readings that stand after `entries`, of the steps which these answer."""
    opened = after.opened
    if opened is None or opened.practice:
        return ()
    rows: list[StandingRow] = []
    for entry in entries:
        if entry.kind not in _ANSWERS or entry.step is None:
            continue
        answer = after.steps[entry.step].answer
        if answer is not None and answer.seq == entry.seq:
            rows += _rows(after, opened, entry, answer)
    return tuple(rows)


def visit(before: JobState, after: JobState) -> VisitRow | None:
    """Return the visit of a bike whose job has just ended."""
    opened = after.opened
    if opened is None or opened.practice or not after.outcome or before.outcome:
        return None
    frame = compared(opened.bike.get("frame"))
    if not frame:
        return None
    return VisitRow(opened.job, frame, after.at, opened.procedure, after.plan.procedure.title)


def _rows(after: JobState, opened: Opened, entry: Entry, answer: Answer) -> Iterator[StandingRow]:
    step = after.plan.planned(str(entry.step)).step
    for name, value, unit, instrument in sorted(_readings(step, answer)):
        if math.isfinite(value):
            yield StandingRow(
                stream=entry.stream,
                step=str(entry.step),
                name=name,
                seq=entry.seq,
                value=value,
                unit=unit,
                verdict=answer.verdict,
                at=entry.at,
                procedure=opened.procedure,
                frame=compared(opened.bike.get("frame")),
                model=compared(opened.bike.get("model")),
                controller=controller_key(opened.bike),
                bench=entry.bench,
                instrument=instrument,
            )


def _readings(step: Step | FactStep, answer: Answer) -> Iterator[tuple[str, float, str, str]]:
    """Yield name, SI value, unit and instrument of each reading of an answer."""
    match step.kind:
        case "measure" | "calculate":
            for name, given in answer.parts.get("", {}).items():
                yield from _typed(name, given)
        case "series":
            last = list(answer.parts.values())[-1] if answer.parts else {}
            known = answer.judged.get("values", {})
            for column in step.columns:
                mean = known.get(column.id)
                if isinstance(mean, float | int):
                    yield column.id, float(mean), column.unit, _instrument(last.get(column.id))
        case "sweep" if step.points:
            for part, piece in answer.parts.items():
                yield from _typed(point_name(part), piece.get("y"))


def point_name(part: str) -> str:
    """Return how the reading at a point of a sweep is called: `y-3` of `point-3`."""
    return f"y-{part.rpartition('-')[2]}"


def _typed(name: str, given: object) -> Iterator[tuple[str, float, str, str]]:
    if not isinstance(given, dict) or "typed" not in given:
        return
    try:
        reading = Reading(str(given["typed"]), str(given["unit"]))
        yield name, reading.si, reading.unit, _instrument(given)
    except (QuantityError, ValueError):
        return


def _instrument(given: object) -> str:
    cited = given.get(CITED) if isinstance(given, dict) else None
    return str(cited["id"]) if cited else ""
