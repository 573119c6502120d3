"""One sitting at a bench: whose keys are open, by what they may sign, and until when.

The first signature takes the passphrase. With it a person may choose a short form, of four
characters or more, which is enough for later signatures while the bench is in use. A bench nobody
touched for `idle_s` locks itself. Each wrong try, of either, is entered in the register before the
person is told; each makes the next wait longer (`register.slowing`), and the person is told of them
at the next right one. What was authorised serves for one recording, at once.

Source: 21 CFR 11.200 (a)(1), 11.300 (d), as read by our own lights.
"""

from __future__ import annotations

import hmac
import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from commission.errors import PassphraseError, SigningError
from commission.job.elapsed import seconds
from commission.record.keys import SHORTEST, Signer

if TYPE_CHECKING:
    from commission.job.entry import Instant
    from commission.record.clocks import Clocks
    from commission.record.keys import KeyFolder
    from commission.record.register_book import RegisterBook
    from commission.register.state import Key, Person

IDLE_S: Final = 300.0
"""Five minutes. Our own figure."""
SHORTEST_SHORT: Final = 4
_SHORT_TRIES: Final = 3
_SERVES_S: Final = 60.0
"""How long what was authorised waits for its recording."""
Way = Literal["passphrase", "short"]


@dataclass(frozen=True, slots=True)
class Told:
    """What a person is told when a key was opened."""

    failures: int = 0
    """Wrong tries since the last right one."""
    last: str = ""
    """When the last of them was."""

    def __str__(self) -> str:
        if not self.failures:
            return ""
        tries = "1 wrong passphrase was" if self.failures == 1 else (
            f"{self.failures} wrong passphrases were"
        )  # fmt: skip
        return (
            f"{tries} typed for you since your last signature, the last at "
            f"{self.last[:16].replace('T', ' ')}Z. If that was not you, tell a lead."
        )


@dataclass(slots=True)
class _Open:
    signer: Signer
    short: str = field(repr=False)
    wrong: int = 0
    authorised: Instant | None = None


class Sitting:
    """The open keys of one bench in this process. Threads may share it."""

    def __init__(
        self, book: RegisterBook, keys: KeyFolder, clocks: Clocks, idle_s: float = IDLE_S
    ) -> None:
        self.idle_s = idle_s
        self._book = book
        self._keys = keys
        self._clocks = clocks
        self._open: dict[str, _Open] = {}
        self._touched: Instant | None = None
        self._turn = threading.RLock()

    def way(self, person: str) -> Way:
        """Return what a person's next signature takes."""
        with self._turn:
            self._lock_if_idle()
            opened = self._open.get(person)
            if opened is None or not opened.short or not self._is_valid(opened.signer):
                return "passphrase"
            return "short"

    def unlock(self, person: str, passphrase: str, short: str = "") -> Told:
        """Open a person's key and authorise one signature; `short` is for later ones.

        Raises:
            PassphraseError: it is wrong (entered in the register), or comes too soon.
            SigningError: there is no valid key, its file cannot be used, or `short` is too short.
            StoreError: the register cannot be written; the key stays closed.
        """
        from commission.register import moves

        with self._turn:
            one, key = self._of(person)
            _check_short(short)
            self._refuse_too_soon(one)
            try:
                signer = self._keys.open(person, key.public, passphrase)
            except PassphraseError as error:
                raise self._failed(one, key) from error
            told = Told(one.failures, one.failed.at if one.failed else "")
            if one.failures:
                self._book.enter(lambda now: (moves.accepted(now.person(person), key),))
            self._open[person] = _Open(signer, short, authorised=self.touch())
            return told

    def choose_short(self, person: str, short: str) -> None:
        """Let a person whose key is open sign later ones by `short`; empty chooses none.

        Raises:
            SigningError: it is too short or too long, or the key is not open.
        """
        with self._turn:
            _check_short(short)
            if self.signer(person) is None:
                raise SigningError("The key is not open.", "Type the passphrase first.")
            self._open[person].short = short

    def confirm(self, person: str, short: str) -> None:
        """Authorise one signature by the short form.

        Raises:
            PassphraseError: it is wrong (entered in the register), or the passphrase is due.
            StoreError: the register cannot be written.
        """
        with self._turn:
            if self.way(person) != "short":
                raise PassphraseError("The bench was idle.", "Type the passphrase.")
            one, key = self._of(person)
            self._refuse_too_soon(one)
            opened = self._open[person]
            if not hmac.compare_digest(opened.short.encode(), short.encode()):
                opened.wrong += 1
                if opened.wrong >= _SHORT_TRIES:
                    del self._open[person]
                raise self._failed(one, key)
            opened.wrong = 0
            opened.authorised = self.touch()

    def signer(self, person: str) -> Signer | None:
        """Return a person's key where one signature is authorised, else None."""
        with self._turn:
            self._lock_if_idle()
            opened = self._open.get(person)
            if opened is None or opened.authorised is None or not self._is_valid(opened.signer):
                return None
            if seconds(opened.authorised, self._clocks.now()) > _SERVES_S:
                return None
            return opened.signer

    def spend(self, person: str) -> None:
        """Take note that what was authorised has been used."""
        with self._turn:
            opened = self._open.get(person)
            if opened is None:
                return
            opened.authorised = None
            if not opened.short:
                del self._open[person]

    def touch(self) -> Instant:
        """Take note that somebody is at the bench; return this moment."""
        with self._turn:
            self._lock_if_idle()
            self._touched = self._clocks.now()
            return self._touched

    def lock(self) -> None:
        """Close all keys."""
        with self._turn:
            self._open.clear()

    def _of(self, person: str) -> tuple[Person, Key]:
        register = self._book.register
        one, key = register.person(person), register.key_now(person)
        if key is None:
            raise SigningError(
                f"{one.name} has no valid key.",
                "A lead renews it: `commission people renew`." if one.is_active else "",
            )
        return one, key

    def _is_valid(self, signer: Signer) -> bool:
        key = self._book.register.key_now(signer.person)
        return key is not None and key.fingerprint == signer.key

    def _refuse_too_soon(self, person: Person) -> None:
        from commission.register.slowing import still_to_wait

        left = still_to_wait(person, self._clocks.now())
        if left > 0:
            raise PassphraseError(
                f"{person.failures} wrong tries in a row.", f"Try again in {left:.0f} s."
            )

    def _failed(self, person: Person, key: Key) -> PassphraseError:
        from commission.register import moves
        from commission.register.slowing import delay_after

        register = self._book.enter(lambda _: (moves.failed(person, key),))
        failures = register.person(person.id).failures
        wait = delay_after(failures)
        hint = f"Try again in {wait:.0f} s." if wait else "Type it again."
        return PassphraseError(
            f"That is not right; the register has it as wrong try {failures} in a row.", hint
        )

    def _lock_if_idle(self) -> None:
        touched = self._touched
        if touched is None or not self._open:
            return
        passed = seconds(touched, self._clocks.now())
        if passed < 0 or passed > self.idle_s:
            self.lock()


def _check_short(short: str) -> None:
    if short and not SHORTEST_SHORT <= len(short) < SHORTEST:
        raise SigningError(
            f"The short form has {len(short)} characters.",
            f"Take {SHORTEST_SHORT} to {SHORTEST - 1}, or leave it empty.",
        )
