"""The page of a report about fault trials: which step caught which fault, and which escaped."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Final

from commission.job.entry import Digest
from commission.practice.trial import HONEST
from commission.report.document import (
    Block,
    Column,
    Document,
    Facts,
    Heading,
    Paragraph,
    Points,
    Table,
)

if TYPE_CHECKING:
    from commission.practice.matrix import Matrix, Row

KIND: Final = "page of fault trials"
_SAYS: Final = (
    "Tried on virtual bikes. A procedure that passes is not proved against what nobody thought of,"
    " and no result here is a permission to ride or to work on a bike."
)
_FIGURES: Final = (
    Column("pilot", "who worked", 1.0), Column("what", "how", 2.6),
    Column("caught", "caught", 1.0), Column("share", "share", 0.7),
    Column("early", "can injure, found in time", 1.3), Column("escaped", "escaped", 0.7),
    Column("stuck", "not known", 0.7),
)  # fmt: skip
_FAULTS: Final = (
    Column("fault", "fault", 2.5), Column("title", "what is wrong", 2.2),
    Column("severity", "severity", 0.95), Column("outcome", "honest work", 1.25),
    Column("where", "by then the bike was", 1.0), Column("steps", "steps that found it", 1.5),
    Column("others", "careless work", 2.2),
)  # fmt: skip
_STEPS: Final = (
    Column("step", "step", 1.2), Column("title", "what it asks", 2.6),
    Column("caught", "faults", 0.6), Column("faults", "which", 4.0),
)  # fmt: skip


def sheet(matrix: Matrix) -> Document:
    """Return the trials of a procedure as a document; the same trials give the same bytes."""
    faults = _faults(matrix)
    name = f"{matrix.procedure} revision {matrix.revision}"
    return Document(
        kind=KIND,
        title="Fault trials",
        about=f"{matrix.title} (revision {matrix.revision})",
        stream=name,
        entries=len(matrix.trials),
        head=_digest(matrix),
        until="",
        blocks=(
            *_about(matrix),
            Heading("Figures"),
            _figures(matrix),
            Heading("Faults"),
            faults,
            Heading("Steps, and what each found first"),
            _steps(matrix),
            Heading("Sound bikes that were stopped"),
            _alarms(matrix),
        ),
        data=faults,
        standing="NOT PROVED" if matrix.shortfalls else "",
        ended="proved against these faults",
        source=f"{len(matrix.trials)} trials",
    )


def _digest(matrix: Matrix) -> Digest:
    """Return the SHA-256 of what the trials came to, without how long they took."""
    said = {**matrix.to_json(), "seconds": 0, "cpu_seconds": 0}
    return Digest(hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest())


def _about(matrix: Matrix) -> list[Block]:
    sums = matrix.figures()
    rows = (
        ("Procedure", f"{matrix.title} ({matrix.procedure}, revision {matrix.revision})"),
        ("Faults tried", f"{sums.faults} that a bench can find, {sums.beyond} that none can"),
        ("Sound bikes", f"{len(matrix.sound)}, of which {len(matrix.alarms)} were stopped"),
        ("Trials", str(len(matrix.trials))),
    )
    short = matrix.shortfalls
    result: Block = (
        Points(short)
        if short
        else Paragraph(f"Proved against {sums.faults} fault{'' if sums.faults == 1 else 's'}.")
    )
    return [Facts(rows), Paragraph(_SAYS, loud=True), Heading("Result"), result]


def _figures(matrix: Matrix) -> Table:
    rows = []
    for pilot in matrix.pilots:
        sums = matrix.figures(pilot)
        rows.append((
            pilot, matrix.says.get(pilot, ""), f"{sums.caught} of {sums.faults}",
            f"{100.0 * sums.share:.1f} %", f"{sums.early} of {sums.can_injure}",
            str(sums.escaped), str(sums.stuck),
        ))  # fmt: skip
    return Table("figures", _FIGURES, tuple(rows))


def _faults(matrix: Matrix) -> Table:
    others = {
        fault: ", ".join(f"{row.pilot}: {_outcome(row)}" for row in rows)
        for fault, rows in _careless(matrix).items()
    }
    rows, loud = [], set()
    for place, row in enumerate(matrix.of(HONEST)):
        fault = row.fault
        if _is_bad(row):
            loud.add(place)
        steps = ", ".join(f"{step} ({count})" for step, count in row.steps)
        rows.append((
            fault.id, fault.title, fault.severity, _outcome(row), row.where or "-", steps or "-",
            others.get(fault.id, "-"),
        ))  # fmt: skip
    return Table("faults", _FAULTS, tuple(rows), "No fault was tried.", frozenset(loud))


def _careless(matrix: Matrix) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in matrix.rows:
        if row.pilot != HONEST:
            found.setdefault(row.fault.id, []).append(row)
    return found


def _outcome(row: Row) -> str:
    if row.fault.bench is not None and not row.good:
        return "beyond a bench"
    is_late = row.good and row.fault.severity == "can injure" and not row.early
    words = {"remedied": "mended", "stuck": "not known", "escaped": "ESCAPED"}
    return words.get(row.outcome, row.outcome) + (", LATE" if is_late else "")


def _is_bad(row: Row) -> bool:
    """Return whether a row keeps the procedure from being proved; its outcome says so in words."""
    if row.fault.bench is not None:
        return False
    return not row.good or (row.fault.severity == "can injure" and not row.early)


def _steps(matrix: Matrix) -> Table:
    found: dict[str, list[str]] = {}
    for row in matrix.of(HONEST):
        if row.steps:
            found.setdefault(row.steps[0][0], []).append(row.fault.id)
    rows = tuple(
        (step, title, str(len(found.get(step, ()))), ", ".join(found.get(step, ())) or "-")
        for step, title in matrix.steps.items()
    )
    return Table("steps", _STEPS, rows)


def _alarms(matrix: Matrix) -> Table:
    columns = (Column("seed", "bike", 0.6), Column("step", "step", 1.4), Column("why", "why", 4.0))
    rows = tuple(
        (str(trial.seed), trial.verdict.found.step or "-",
         trial.verdict.found.because or "; ".join(trial.verdict.met) or "-")
        for trial in matrix.alarms
    )  # fmt: skip
    return Table("alarms", columns, rows, "None.")
