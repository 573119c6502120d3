"""The angles of a series around the circle: each run as a dot, each mean as a hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.job.closeness import shown
from commission.quantities import Reading
from commission.report.document import Column, Figure, Table
from commission.report.drawing import Circle, Drawing, Shape, Stroke, Words, short

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.state import Answer, JobState
    from commission.procedure import model

SIZE: Final = 240.0
_CENTER: Final = (120.0, 120.0)
_RADIUS: Final = 92.0
_LEGEND: Final = 250.0
_APART: Final = 3.4
"""How much farther out each run lies than the one before, so that equal angles stay apart."""
_WIDTH: Final = 460.0


def figure(state: JobState, step: model.Series) -> Figure | None:
    """Return the figure of a series' angles; None where it has none, or no answer yet."""
    columns = [column for column in step.columns if column.circular]
    answer = state.steps[step.id].answer
    if not columns or answer is None:
        return None
    shapes: list[Shape] = [*_dial()]
    rows = []
    said = []
    for place, column in enumerate(columns):
        mean = answer.judged.get("values", {}).get(column.id)
        radius = _RADIUS - 26.0
        runs = _runs(answer, column)
        shapes += [
            Circle(_point(angle, radius + _APART * run), 2.2, width=0.9)
            for run, (angle, _) in enumerate(runs)
        ]
        words = "no common direction" if mean is None else f"mean {math.degrees(mean):.1f}°"
        if mean is not None:
            shapes += _hand(mean, radius, place + 1)
        shapes += _legend(place, short(column.label, 30), words, len(runs))
        said.append(f"{column.label}: {words} in {len(runs)} runs")
        rows += [
            (column.label, str(run), text) for run, (_, text) in enumerate(runs, 1)
        ]  # fmt: skip
    points = Table(
        f"{step.id}_runs",
        (Column("sensor", "sensor"), Column("run", "run"), Column("angle", "angle")),
        tuple(rows),
    )
    drawing = Drawing(_WIDTH, SIZE, tuple(shapes))
    return Figure(f"{step.title}: electrical angles", drawing, "; ".join(said) + ".", points)


def _runs(answer: Answer, column: model.Column) -> list[tuple[float, str]]:
    given = [piece[column.id] for piece in answer.parts.values() if column.id in piece]
    return [(Reading(one["typed"], one["unit"]).si, shown(one)) for one in given]


def _point(angle: float, radius: float) -> tuple[float, float]:
    """Return where an angle lies: 0 at the top, growing clockwise, as on a compass."""
    return (
        _CENTER[0] + radius * math.sin(angle),
        _CENTER[1] - radius * math.cos(angle),
    )


def _dial() -> Iterator[Shape]:
    yield Circle(_CENTER, _RADIUS, ink="muted")
    for degrees in range(0, 360, 30):
        angle = math.radians(degrees)
        is_sector = degrees % 60 == 0
        inner = 0.0 if is_sector else _RADIUS - 5.0
        yield Stroke(
            (_point(angle, inner), _point(angle, _RADIUS)), ink="faint" if is_sector else "muted"
        )
        if is_sector:
            x, y = _point(angle, _RADIUS + 13.0)
            yield Words((x, y + 3.0), f"{degrees}°", 8.0, "middle", "muted")


def _hand(mean: float, radius: float, number: int) -> Iterator[Shape]:
    yield Stroke((_CENTER, _point(mean, _RADIUS)), ink="accent", width=1.6)
    x, y = _point(mean, radius - 14.0)
    yield Circle((x, y), 6.0, ink="accent", fill="paper")
    yield Words((x, y + 3.0), str(number), 8.0, "middle", "accent", bold=True)


def _legend(place: int, label: str, words: str, runs: int) -> Iterator[Shape]:
    y = 60.0 + 34.0 * place
    yield Circle((_LEGEND + 7.0, y - 3.0), 6.0, ink="accent", fill="paper")
    yield Words((_LEGEND + 7.0, y), str(place + 1), 8.0, "middle", "accent", bold=True)
    yield Words((_LEGEND + 20.0, y), label, 9.0, bold=True)
    yield Words((_LEGEND + 20.0, y + 12.0), f"{words}, {runs} runs (circles)", 8.0, ink="muted")
