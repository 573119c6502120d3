"""The workshop's folder of private keys: made, opened, never shown. Only signing uses them."""

from __future__ import annotations

import base64
import os
import stat
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.errors import KeyFileError, SigningError, StoreError
from commission.job.signature import fingerprint, public_of
from commission.record.attachments import sync_folder

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from commission.job.entry import Digest

SHORTEST: Final = 12
"""Characters of a passphrase. Our own figure: above the 8 of common advice, as files can be copied
and tried without delay; three or four words reach it."""
LONGEST: Final = 200
_LEAST_DIFFERENT: Final = 5
_OURS_ALONE: Final = 0o600
_OTHERS: Final = stat.S_IRWXG | stat.S_IRWXO
_LARGEST: Final = 10_000
_SHOWN: Final = 16


@dataclass(frozen=True, slots=True)
class Signer:
    """A key that is open: it signs. Its secret is in memory only, and in no representation."""

    person: str
    public: str
    """DER in base64."""
    _private: Ed25519PrivateKey

    @property
    def key(self) -> Digest:
        """The key's fingerprint."""
        return fingerprint(self.public)

    def sign(self, text: bytes) -> str:
        """Return the Ed25519 signature of `text` (RFC 8032), 64 bytes in base64."""
        return base64.b64encode(self._private.sign(text)).decode()

    def __repr__(self) -> str:
        return f"Signer({self.person!r}, {self.key[:_SHOWN]}…)"


def check_passphrase(passphrase: str, *words: str) -> str:
    """Return a new passphrase as it is used, or refuse one that is too easy.

    Args:
        passphrase: as typed.
        words: what it must not consist of: the person's id and name.

    Raises:
        SigningError: says what is wrong and what would do.
    """
    used = normal(passphrase)
    hint = f"Take {SHORTEST} characters or more: three or four words that do not belong together."
    if len(used) < SHORTEST:
        raise SigningError(f"The passphrase has {len(used)} characters.", hint, "phrase")
    if len(used) > LONGEST or not used.isprintable():
        raise SigningError(
            f"The passphrase is no line of at most {LONGEST} characters.", hint, "phrase"
        )
    rest = used.casefold()
    for word in sorted(words, key=len, reverse=True):
        rest = rest.replace(word.casefold(), "")
    if len(set(rest)) < _LEAST_DIFFERENT:
        raise SigningError("The passphrase is too easy to guess.", hint, "phrase")
    return used


def normal(passphrase: str) -> str:
    """Return a passphrase in the one form in which it is used, whatever keyboard typed it."""
    return unicodedata.normalize("NFKC", passphrase)


def fresh_secret() -> bytes:
    """Return the 32 random bytes that an Ed25519 private key is (RFC 8032, 5.1.5)."""
    return os.urandom(32)


class KeyFolder:
    """A folder of encrypted PEM files, one per key, that only its owner can read."""

    def __init__(self, folder: Path, secret: Callable[[], bytes] = fresh_secret) -> None:
        self.folder = folder
        self._secret = secret

    def path(self, person: str, key: str) -> Path:
        """Return where a key is kept."""
        return self.folder / f"{person}-{key[:_SHOWN]}.pem"

    def make(self, person: str, passphrase: str) -> Signer:
        """Make a key, durable in its file, and return it open.

        Raises:
            StoreError: the file cannot be written; nothing is left of it.
        """
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

        private = Ed25519PrivateKey.from_private_bytes(self._secret())
        signer = Signer(person, public_of(private.public_key().public_bytes_raw()), private)
        self._write(self.path(person, signer.key), private.private_bytes_raw(), passphrase)
        return signer

    def open(self, person: str, public: str, passphrase: str) -> Signer:
        """Return a person's key, open.

        Raises:
            PassphraseError: a wrong passphrase.
            KeyFileError: its file is missing, damaged, another's, or open to others.
        """
        from commission.record import pem

        path = self.path(person, fingerprint(public))
        private = pem.opened(_content(path), normal(passphrase), str(path))
        if public_of(private.public_key().public_bytes_raw()) != public:
            raise KeyFileError(
                f"{path} holds another key than the register has for {person}.",
                "Put the right file back, or have a lead renew the key.",
            )
        return Signer(person, public, private)

    def change(self, person: str, public: str, old: str, new: str) -> None:
        """Encrypt a key's file with another passphrase; the key stays the same.

        Raises:
            PassphraseError: the old one is wrong; nothing was changed.
            KeyFileError: as `open`.
            StoreError: the file cannot be written; the old one stays.
        """
        signer = self.open(person, public, old)
        path = self.path(person, signer.key)
        self._write(path, signer._private.private_bytes_raw(), new, replace=True)  # noqa: SLF001  ours

    def discard(self, signer: Signer) -> None:
        """Remove the file of a key that was never registered."""
        self.path(signer.person, signer.key).unlink(missing_ok=True)

    def _write(self, path: Path, raw: bytes, passphrase: str, *, replace: bool = False) -> None:
        from commission.record import pem

        content = pem.encrypted(raw, normal(passphrase))
        target = path.with_suffix(".new") if replace else path
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            target.unlink(missing_ok=True)
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC
            with os.fdopen(os.open(target, flags, _OURS_ALONE), "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            if replace:
                target.replace(path)
            sync_folder(self.folder)
        except OSError as error:
            raise StoreError(
                f"The key cannot be written to {path}: {error.strerror or error}.",
                "The folder of the store must be writable.",
            ) from error


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            content = file.read(_LARGEST)
    except FileNotFoundError as error:
        raise KeyFileError(
            f"The key file {path} is missing.",
            "Put it back from a copy, or have a lead renew the key: `commission people renew`.",
        ) from error
    except OSError as error:
        raise KeyFileError(f"The key file {path} cannot be read: {error.strerror}.") from error
    if mode & _OTHERS:
        raise KeyFileError(
            f"The key file {path} can be read by others (mode {stat.S_IMODE(mode):o}).",
            f"Make it yours alone: chmod 600 {path}; if others may have copied it, renew the key.",
        )
    return content
