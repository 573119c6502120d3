"""When each stage was worked on; long pauses are drawn short and named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.report.document import Column, Figure, Table
from commission.report.drawing import Box, Drawing, Shape, Stroke, Words, short
from commission.report.times import moment, seconds_of, span

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.report.subject import Subject

WIDTH: Final = 505.0
_NAMES: Final = 180.0
_RIGHT: Final = 495.0
_ROW: Final = 16.0
_TOP: Final = 10.0
PAUSE_S: Final = 1800.0
"""A pause between two entries from which on it is drawn short."""
_DRAWN_S: Final = 240.0
_LEAST: Final = 1.5


def figure(subject: Subject) -> Figure | None:
    """Return the time line of a job's stages; None where no step was worked on yet."""
    marks = _marks(subject)
    if not marks:
        return None
    moments = [seconds_of(entry.at) for entry in subject.entries]
    drawn, pauses = _squeezed(moments)
    total = max(drawn[-1], 1.0)
    stages = list(dict.fromkeys(stage for _, stage in marks))

    def x(place: int) -> float:
        return _NAMES + drawn[place] / total * (_RIGHT - _NAMES)

    shapes: list[Shape] = []
    rows = []
    bottom = _TOP + _ROW * len(stages)
    for at, length in pauses:
        middle = (x(at - 1) + x(at)) / 2
        shapes.append(Stroke(((middle, _TOP - 4.0), (middle, bottom + 4.0)), "muted", dashed=True))
        shapes.append(Words((middle, bottom + 13.0), f"pause {span(length)}", 7.0, "middle",
                            "muted"))  # fmt: skip
    for row, stage in enumerate(stages):
        y = _TOP + _ROW * row
        runs = _runs(marks, stage)
        shapes.append(Words((_NAMES - 8.0, y + 9.5), short(stage, 36), 8.0, "end"))
        shapes.append(Stroke(((_NAMES, y + 14.0), (_RIGHT, y + 14.0)), ink="faint", width=0.5))
        for first, last in runs:
            width = max(x(last) - x(first - 1), _LEAST)
            shapes.append(Box((x(first - 1), y + 2.0), width, 9.0, fill="accent", ink=None))
        spent = sum(_worked(moments, first, last) for first, last in runs)
        begun = subject.entries[runs[0][0]].at
        rows.append((stage, moment(begun), span(spent), str(len(runs))))
    shapes += _ends(subject, bottom + (24.0 if pauses else 14.0))
    drawing = Drawing(WIDTH, bottom + (32.0 if pauses else 22.0), tuple(shapes))
    says = (
        f"{len(stages)} stages, {span(moments[-1] - moments[0])} from the first entry to the last"
    )
    columns = (Column("stage", "stage", 2), Column("begun", "begun", 1.4),
               Column("worked", "worked on"), Column("visits", "visits", 0.6))  # fmt: skip
    points = Table("timeline", columns, tuple(rows))
    return Figure("Time line of the stages", drawing, f"{says}, {len(pauses)} long pauses.", points)


def _marks(subject: Subject) -> list[tuple[int, str]]:
    """Return the place and stage of each entry about a step."""
    plan = subject.state.plan
    return [
        (place, plan.planned(entry.step).stage_title)
        for place, entry in enumerate(subject.entries)
        if place and entry.step is not None and entry.step in plan.index
    ]


def _runs(marks: Sequence[tuple[int, str]], stage: str) -> list[tuple[int, int]]:
    """Return first and last place of each stretch in which only this stage was worked on."""
    runs: list[tuple[int, int]] = []
    last_stage = ""
    for place, one in marks:
        if one == stage and last_stage == stage:
            runs[-1] = (runs[-1][0], place)
        elif one == stage:
            runs.append((place, place))
        last_stage = one
    return runs


def _squeezed(moments: Sequence[float]) -> tuple[list[float], list[tuple[int, float]]]:
    """Return where each entry is drawn, in seconds, and the pauses drawn short."""
    drawn, pauses = [0.0], []
    for place in range(1, len(moments)):
        gap = max(moments[place] - moments[place - 1], 0.0)
        if gap >= PAUSE_S:
            pauses.append((place, gap))
            gap = _DRAWN_S
        drawn.append(drawn[-1] + gap)
    return drawn, pauses


def _worked(moments: Sequence[float], first: int, last: int) -> float:
    gaps = (moments[at] - moments[at - 1] for at in range(first, last + 1))
    return sum(gap for gap in gaps if 0 <= gap < PAUSE_S)


def _ends(subject: Subject, y: float) -> Iterator[Shape]:
    yield Words((_NAMES, y), moment(subject.entries[0].at), 7.5, ink="muted")
    yield Words((_RIGHT, y), moment(subject.entries[-1].at), 7.5, "end", "muted")
