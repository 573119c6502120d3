"""A sweep: the points as taken and the straight line through them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.closeness import shown
from commission.quantities import Reading, unit
from commission.report.document import Column, Figure, Table
from commission.report.drawing import Circle, Drawing, Shape, Stroke, Words
from commission.report.figures.scale import Scale, scale_of, tick_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.state import Answer, JobState
    from commission.procedure import model

WIDTH: Final = 460.0
HEIGHT: Final = 230.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 448.0, 12.0, 192.0


def figure(state: JobState, step: model.Sweep) -> Figure | None:
    """Return the figure of a sweep; None where it has no answer yet."""
    answer = state.steps[step.id].answer
    if answer is None:
        return None
    points = _points(answer, step)
    if not points:
        return None
    x = scale_of([point[0] for point in points], _LEFT, _RIGHT)
    y = scale_of([point[1] for point in points], _BOTTOM, _TOP)
    shapes = [
        *_axes(x, y, _title(step.x), _title(step.y)),
        *_line(answer, step, x, y),
        *(Circle((x.at(one), y.at(other)), 3.2, width=1.2, fill="paper") for one, other in points),
    ]
    table = Table(
        f"{step.id}_points",
        (Column("x", _title(step.x)), Column("y", _title(step.y))),
        tuple((shown(piece["x"]), shown(piece["y"])) for piece in answer.parts.values()),
    )
    drawing = Drawing(WIDTH, HEIGHT, tuple(shapes))
    return Figure(f"{step.title}: points and fitted line", drawing, answer.because, table)


def _title(axis: model.Axis) -> str:
    return f"{axis.label} [{axis.unit}]" if axis.unit else axis.label


def _points(answer: Answer, step: model.Sweep) -> list[tuple[float, float]]:
    x, y = unit(step.x.unit), unit(step.y.unit)
    return [
        (
            x.from_si(Reading(piece["x"]["typed"], piece["x"]["unit"]).si),
            y.from_si(Reading(piece["y"]["typed"], piece["y"]["unit"]).si),
        )
        for piece in answer.parts.values()
    ]


def _axes(x: Scale, y: Scale, x_title: str, y_title: str) -> Iterator[Shape]:
    for number in y.ticks():
        at = y.at(number)
        yield Stroke(((_LEFT, at), (_RIGHT, at)), ink="faint", width=0.6)
        yield Words((_LEFT - 5.0, at + 3.0), tick_text(number), 8.0, "end", "muted")
    for number in x.ticks():
        at = x.at(number)
        yield Stroke(((at, _BOTTOM), (at, _BOTTOM + 4.0)), ink="muted", width=0.8)
        yield Words((at, _BOTTOM + 14.0), tick_text(number), 8.0, "middle", "muted")
    yield Stroke(((_LEFT, _TOP), (_LEFT, _BOTTOM), (_RIGHT, _BOTTOM)), ink="muted")
    yield Words(((_LEFT + _RIGHT) / 2, _BOTTOM + 30.0), x_title, 9.0, "middle")
    yield Words((_LEFT + 6.0, _TOP + 8.0), y_title, 9.0)


def _line(answer: Answer, step: model.Sweep, x: Scale, y: Scale) -> Iterator[Shape]:
    found = answer.judged.get("values", {})
    slope, intercept = found.get("slope"), found.get("intercept")
    if slope is None or intercept is None:
        return
    of_x, of_y = unit(step.x.unit), unit(step.y.unit)
    ends = []
    for number in (x.low, x.high):
        value = of_y.from_si(intercept + slope * of_x.to_si(number))
        ends.append((x.at(number), y.at(value)))
    yield Stroke(tuple(ends), ink="accent", width=1.4)
