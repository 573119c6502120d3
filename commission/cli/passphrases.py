"""Passphrases for the command line: from a file descriptor, or typed without an echo."""

from __future__ import annotations

import getpass
import os
import sys

from commission.cli.stderr import say
from commission.errors import RefusedError
from commission.safe_text import safe_text


class Passphrases:
    """Where passphrases come from: a file descriptor, or a terminal without an echo."""

    def __init__(self, descriptor: int | None) -> None:
        self._descriptor = descriptor

    def secret(self, prompt: str) -> str:
        """Return one passphrase."""
        if self._descriptor is not None:
            return self._line(self._descriptor)
        if not sys.stdin.isatty():
            raise RefusedError(
                f"{prompt}: there is no terminal to type it on.",
                "Use --passphrase-fd and --lead-passphrase-fd.",
            )
        return getpass.getpass(f"{safe_text(prompt)}: ")

    def new_secret(self, name: str) -> str:
        """Return a new passphrase that keeps the rules, typed twice where it is typed."""
        from commission.record.keys import check_passphrase

        if self._descriptor is not None:
            return check_passphrase(self._line(self._descriptor), name)
        while True:
            try:
                typed = check_passphrase(self.secret(f"New passphrase for {name}"), name)
            except RefusedError as error:
                if not sys.stdin.isatty():
                    raise
                say(error.diagnostics())
                continue
            if self.secret("The same once more") == typed:
                return typed
            say("The two are not the same.")

    @staticmethod
    def _line(descriptor: int) -> str:
        """Read up to a line's end, and no further: another line may be another's."""
        typed = bytearray()
        try:
            while (byte := os.read(descriptor, 1)) not in (b"", b"\n"):
                typed += byte
        except OSError as error:
            raise RefusedError(
                f"File descriptor {descriptor} cannot be read: {error.strerror}.",
                f"Open it for the program, as in `{descriptor}< FILE`, or leave the option out.",
            ) from error
        try:
            return typed.decode().removesuffix("\r")
        except ValueError as error:
            raise RefusedError("The passphrase is not UTF-8.") from error
