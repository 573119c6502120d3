"""The dialog that writes an audit's report, as the one of a job writes its sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.audit.sheet import sheet
from commission.report.kinds import Kind
from commission.tui.report.dialog import WriteSheet

if TYPE_CHECKING:
    from commission.audit.state import AuditState
    from commission.record.bench import Bench

REPORT: Final = Kind("report", (), "what was looked at, found, answered and concluded")


def write_report(bench: Bench, state: AuditState) -> WriteSheet | None:
    """Return the dialog for the report of an audit; None where it has no opening."""
    opened = state.opened
    if opened is None:
        return None
    audit = opened.audit
    return WriteSheet(audit, opened.purpose, (REPORT,), REPORT, lambda _: sheet(bench, audit))
