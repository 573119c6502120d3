"""Signs in what was typed in one job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.audit.audited import AuditedJob

SAME_RUNS: Final = 3
_SERIES: Final = Declared(
    "identical-series",
    "Series without any spread",
    "All runs of a series of at least 3 were typed alike, digit by digit, in every column.",
    "review",
    "common practice, no source: repeated readings of a real thing scatter at the last digit",
)


def _series(job: AuditedJob) -> Iterator[Finding]:
    state = job.state
    if state is None:
        return
    for step, stands in state.steps.items():
        if stands.answer is None or state.plan.planned(step).kind != "series":
            continue
        runs = [typed(piece) for piece in stands.answer.parts.values()]
        if len(runs) >= SAME_RUNS and all(run == runs[0] for run in runs):
            shown = ", ".join(runs[0])
            said = f"All {len(runs)} runs were typed as {shown}."
            yield Finding(
                _SERIES.id, "review", job.stream, said, stands.answer.seq, step, stands.answer.by
            )


def typed(piece: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what was typed in a piece, as it was typed."""
    return tuple(
        str(given["typed"]) if isinstance(given, dict) and "typed" in given else str(given)
        for given in piece.values()
    )


CHECKS: Final = (Check(_SERIES, _series),)
