"""What the job screen needs of an open job; `commission.record.session.Session` is one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from commission.job.entry import Digest, Draft, Entry, Instant
    from commission.job.state import JobState
    from commission.record.sitting import Sitting
    from commission.record.workshop import Workshop


class JobSession(Protocol):
    """A job open for work in this process alone."""

    @property
    def state(self) -> JobState:
        """What the record adds up to."""

    @property
    def head(self) -> Digest:
        """The digest of the record's newest line."""

    def now(self) -> Instant:
        """The present moment by both clocks."""

    def record(self, drafts: Sequence[Draft], /) -> JobState:
        """Append `drafts`, durable before it returns; a StoreError leaves the state unchanged."""

    def settle(self) -> JobState:
        """Append what the program itself has to record, until nothing is left."""

    def recent(self, n: int, /) -> tuple[Entry, ...]:
        """The last `n` entries, oldest first."""

    def attach(self, path: Path, /) -> object:
        """Keep a file's content with the job; what `moves.submit` takes for it."""

    def taking_part(self, name: str, role: str, by: str, /) -> tuple[str, tuple[Draft, ...]]:
        """A registered person's name, and what is to be recorded for taking part as `role`."""

    @property
    def sitting(self) -> Sitting:
        """Whose keys are open at the bench; asked for only in jobs of registered people."""

    @property
    def workshop(self) -> Workshop | None:
        """What the bench knows beside this job; None where there is no bench."""

    def close(self) -> None:
        """Let other processes have the job."""
