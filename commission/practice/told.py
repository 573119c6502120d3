"""The result of trials as lines of text: what escaped first, then which step caught what."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from commission.practice.trial import HONEST

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.practice.matrix import Matrix, Row

_NAME: Final = 36
_INDENT: Final = "    "


def lines(matrix: Matrix, width: int = 80) -> Iterator[str]:
    """Yield the result for people, in lines of at most `width` where words allow."""
    tried = matrix.of(HONEST)
    bench = [row for row in tried if row.fault.bench is None]
    yield f"{matrix.title} (revision {matrix.revision}), {_counted(len(tried), 'fault')}"
    for title, outcome in (
        ("ESCAPED: released with the fault", "escaped"),
        ("NOT KNOWN: the virtual bike had no answer for a step", "stuck"),
    ):
        yield from _group(title, [row for row in bench if row.outcome == outcome], width)
    yield from _caught(matrix, bench, width)
    yield from _group(
        "MENDED: set right on the way and proved, or met without harm",
        [row for row in bench if row.outcome in ("remedied", "no effect")], width,
    )  # fmt: skip
    beyond = [row for row in tried if row.fault.bench is not None]
    yield from _group("BEYOND A BENCH: counted apart", beyond, width)
    yield from _alarms(matrix, width)
    yield ""
    yield from figures(matrix)
    yield ""
    yield from verdict(matrix, width)


def figures(matrix: Matrix) -> Iterator[str]:
    """Yield the table of figures, a line for each pilot."""
    yield f"{'pilot':<10}{'caught':>12}{'share':>8}{'can injure, in time':>22}{'escaped':>10}"
    for pilot in matrix.pilots:
        sums = matrix.figures(pilot)
        caught, early = f"{sums.caught} of {sums.faults}", f"{sums.early} of {sums.can_injure}"
        yield (f"{pilot:<10}{caught:>12}{100.0 * sums.share:>7.1f}%{early:>22}{sums.escaped:>10}")
    if matrix.sound:
        stopped = f"{len(matrix.alarms)} of {len(matrix.sound)}"
        yield f"sound bikes stopped: {stopped}"
    yield (
        f"{len(matrix.trials)} trials in {matrix.seconds:.1f} s; "
        f"processor time {matrix.cpu_s:.1f} s"
    )


def verdict(matrix: Matrix, width: int = 80) -> Iterator[str]:
    """Yield what is to be said in the end."""
    short = matrix.shortfalls
    for each in short:
        yield from textwrap.wrap(each, width, subsequent_indent=_INDENT)
    if not short:
        sums = matrix.figures()
        yield (
            f"Proved against {_counted(sums.faults, 'fault')}; "
            f"{sums.beyond} more cannot be found on a bench."
        )


def _caught(matrix: Matrix, rows: Sequence[Row], width: int) -> Iterator[str]:
    """Yield the faults that were caught under the step that did so first, in the job's order."""
    caught = [row for row in rows if row.outcome == "caught"]
    steps = list(matrix.steps)
    by_step: dict[str, list[Row]] = {}
    for row in caught:
        by_step.setdefault(row.speaking.verdict.found.step, []).append(row)
    order = sorted(by_step, key=lambda step: steps.index(step) if step in steps else -1)
    if order:
        yield ""
        yield "CAUGHT, by step"
    for step in order:
        yield f"{matrix.steps.get(step, step)} ({step})"
        for row in by_step[step]:
            late = "" if row.early or row.fault.severity != "can injure" else "  LATE"
            yield f"{_INDENT}{_line(row)}  {row.where}{late}"[: max(width, 60)]


def _group(title: str, rows: Sequence[Row], width: int) -> Iterator[str]:
    if not rows:
        return
    yield ""
    yield title
    for row in rows:
        yield f"{_INDENT}{_line(row)}"
        for each in _why(row):
            yield from textwrap.wrap(
                each, width, initial_indent=2 * _INDENT, subsequent_indent=2 * _INDENT
            )


def _why(row: Row) -> Iterator[str]:
    found = row.speaking.verdict
    if row.fault.bench is not None:
        yield row.fault.bench
    elif row.outcome == "escaped":
        yield from found.met[:2]
    elif found.found.step:
        yield f"{found.found.step}: {found.found.because}"


def _alarms(matrix: Matrix, width: int) -> Iterator[str]:
    if not matrix.alarms:
        return
    yield ""
    yield "FALSE ALARMS: sound bikes that were not released"
    for trial in matrix.alarms[:20]:
        found = trial.verdict.found
        said = f"seed {trial.seed}: {found.step}: {found.because or '; '.join(trial.verdict.met)}"
        yield from textwrap.wrap(said, width, initial_indent=_INDENT, subsequent_indent=2 * _INDENT)


def _line(row: Row) -> str:
    return f"{row.fault.id:<{_NAME}}  {row.fault.severity:<10}"


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
