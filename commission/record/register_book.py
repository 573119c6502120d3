"""The register in the store: read, checked, and added to."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Final

from commission.errors import BusyError, CommissionError, DamagedError, StoreError
from commission.job.entry import GENESIS, Draft, Entry, Instant
from commission.job.signature import SIGNATURE
from commission.record.chain import verify
from commission.record.clocks import Clocks, jump_between
from commission.record.line import digest_of, parse, to_line
from commission.record.signing import RegisterPlace, signed_line

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.job.entry import Digest
    from commission.record.keys import Signer
    from commission.record.store import Store
    from commission.register.state import Register

STREAM: Final = "register"
"""As `commission.register.state.STREAM`, which is loaded only when there is something to read."""
_TRIES: Final = 5


class RegisterBook:
    """The register of one bench. Threads may share it."""

    def __init__(self, store: Store, clocks: Clocks, bench: str) -> None:
        self._store = store
        self._clocks = clocks
        self._bench = bench
        self._turn = threading.RLock()
        self._read: tuple[Register, Digest] | None = None

    @property
    def register(self) -> Register:
        """The register as it stands in the store now.

        Raises:
            DamagedError: its record is not whole, or a signature in it does not hold; says where.
            StoreError: it cannot be read.
        """
        return self._now()[0]

    @property
    def place(self) -> RegisterPlace:
        """The number and the digest of its newest entry."""
        register, head = self._now()
        return RegisterPlace(register.seq, head)

    def enter(
        self, make: Callable[[Register], Sequence[Draft]], signer: Signer | None = None
    ) -> Register:
        """Enter what `make` drafts from the register as it stands; all or none, durable.

        Where another process was first, `make` is asked again with what it wrote.

        Args:
            make: drafts; those of changes have an empty signature, which is filled in.
            signer: the open key that signs them.

        Raises:
            RefusedError: `make` refuses, or no legal register has the entry; nothing was written.
            StoreError: it could not be written.
        """
        if self._store.is_read_only:
            raise StoreError("The register cannot be written: the store can only be read.")
        with self._turn:
            for _ in range(_TRIES):
                register, head = self._now()
                drafts = make(register)
                lines, after = self._chained(register, head, drafts, signer)
                try:
                    self._store.append(STREAM, register.seq + 1, lines, None)
                except BusyError:
                    continue
                self._read = (after, digest_of(lines[-1]))
                return after
        raise BusyError("Others are writing to the register all the time.", "Try again.")

    def _now(self) -> tuple[Register, Digest]:
        from commission.register.state import Register

        with self._turn:
            last = self._store.last(STREAM)
            if last is None:
                return Register(), GENESIS
            if self._read is None or self._read[0].seq != last[0]:
                self._read = _read_whole(list(self._store.lines(STREAM)))
            return self._read

    def _chained(
        self, register: Register, head: Digest, drafts: Sequence[Draft], signer: Signer | None
    ) -> tuple[list[bytes], Register]:
        from commission.register.fold import advance

        now = self._clocks.now()
        lines: list[bytes] = []
        for draft in (*self._jump(register, drafts[0].by, now), *drafts):
            entry = Entry(
                STREAM, register.seq + 1, now.at, now.clock, self._bench,
                draft.by, draft.kind, None, 0, draft.body, head,
            )  # fmt: skip
            if SIGNATURE in draft.body and signer is not None:
                line = signed_line(entry, "registered", signer, RegisterPlace(register.seq, head))
            else:
                line = to_line(entry)
            register, head = advance(register, parse(line)), digest_of(line)
            lines.append(line)
        return lines, register

    def _jump(self, register: Register, by: str, now: Instant) -> tuple[Draft, ...]:
        if register.clock is None:
            return ()
        jump = jump_between(Instant(register.at, register.clock), now)
        if jump is None:
            return ()
        body = {"wall_s": jump.wall_s, "monotonic_s": jump.monotonic_s}
        return (Draft("clock_jump", by, body=body),)


def _read_whole(lines: Sequence[bytes]) -> tuple[Register, Digest]:
    from commission.record.signatures import first_fault
    from commission.register.fold import replay

    head = verify(lines, stream=STREAM)
    entries = [parse(line) for line in lines]
    try:
        register = replay(entries)
    except CommissionError as error:
        raise DamagedError(f"The register is not legal: {error.message}") from error
    fault = first_fault(lines, entries, None)
    if fault is not None:
        raise DamagedError(f"The register is not whole: {fault}.")
    return register, head
