"""The cross-checks over what the job knows now: a look that records nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.crosschecking import counted, findings
from commission.tui.job.found import SIGNS, story, subject
from commission.tui.job.lists import ListScreen

if TYPE_CHECKING:
    from commission.job.state import JobState


class FoundScreen(ListScreen):
    """Every cross-check with how it came out, worst first; the one in hand in full below."""

    about = (
        "What no single field shows: values held against each other, worst first. It is a look; "
        "nothing is recorded, and nothing here is a permission."
    )
    DEFAULT_CSS = """
    FoundScreen .detail { height: 11; }
    """

    def __init__(self, state: JobState) -> None:
        """Run the checks on `state`."""
        found = findings(state)
        super().__init__(
            f"Cross-checks: {counted(found)}",
            ("", "finding", "what is held against each other"),
            [[SIGNS[each.severity], each.severity.value, subject(each)] for each in found],
            [story(each) for each in found],
            practice=state.opened is not None and state.opened.practice,
        )
