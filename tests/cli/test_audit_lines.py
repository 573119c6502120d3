"""What `audit show` writes of a kept audit."""

from __future__ import annotations

from typing import Any

from commission.audit.finding import Finding
from commission.audit.state import AuditState, Opened, Said
from commission.cli.auditing import lines_of


def test_findings_come_worst_first_and_keep_their_numbers_and_answers() -> None:
    body: dict[str, Any] = {
        "sample": None,
        "population": {"jobs": 1, "digest": "ab"},
        "took_part": [],
    }
    opened = Opened("audit-20310506-BBBC", "Spring", "2031-05-06T08:00:00Z", "Ada", "", "auditor",
                    ({},), body)  # fmt: skip
    found = {
        2: Finding("bursts", "review", "20310101-BCDF", "A sign."),
        3: Finding("unsigned", "minor", "20310101-BCDF", "A small one."),
        4: Finding("whole", "critical", "20310101-BCDF", "The worst."),
        5: Finding("holds", "major", "20310101-BCDF", "A grave one."),
    }
    answer = Said(6, "", "Ben", "So it was", finding=4)
    lines = lines_of(AuditState(opened=opened, findings=found, answers=(answer,)))
    assert [line[:1] for line in lines[4:]] == ["4", " ", "5", "3", "2"]
    assert lines[5].strip() == "answered by Ben: So it was"
