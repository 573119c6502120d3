"""Asking and telling, line by line. All text leaves through `safe_text`."""

from __future__ import annotations

import sys
import textwrap
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TextIO

from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

WIDTH = 78
COMMANDS = (
    "!help this list, !why reason and method, !ledger settings, !route all steps, "
    "!record last entries, !cross-check values against each other, !visit this bike's last visit, "
    "!correct an earlier step, "
    "!note an open item, !leave for now, !end for good without release"
)


class LeftError(Exception):
    """The person left: end of input, or `!leave`."""


class CommandError(Exception):
    """The person typed a command, `!name`, instead of an answer."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


@dataclass
class Talk:
    """One conversation over two text streams."""

    source: TextIO = field(default_factory=lambda: sys.stdin)
    sink: TextIO = field(default_factory=lambda: sys.stdout)
    sleep: Callable[[float], None] = time.sleep
    instruments: dict[str, str] = field(default_factory=dict)
    """By kind, the id of the instrument read with last."""

    def tell(self, text: str = "", *, indent: str = "") -> None:
        """Write one paragraph, wrapped, at once."""
        for line in safe_text(text, lines=True).split("\n"):
            wrapped = textwrap.wrap(
                line, WIDTH, initial_indent=indent, subsequent_indent=indent + "  "
            )
            print("\n".join(wrapped or [""]), file=self.sink, flush=True)

    def ask(self, prompt: str) -> str:
        """Return the line typed, stripped.

        Raises:
            LeftError: the input has ended, or the person typed `!leave`.
            CommandError: another `!command`.
        """
        print(f"{safe_text(prompt)} ", end="", file=self.sink, flush=True)
        line = self.source.readline()
        if not line:
            print(file=self.sink)
            raise LeftError
        typed = line.strip()
        if typed == "!leave":
            raise LeftError
        if typed == "!help":
            self.tell(COMMANDS)
            return self.ask(prompt)
        if typed.startswith("!"):
            raise CommandError(typed[1:])
        return typed

    def secret(self, prompt: str) -> str:
        """Return a line typed without an echo; of a pipe, its next line. Nothing is stripped.

        Raises:
            LeftError: the input has ended.
        """
        if self.source.isatty():
            import getpass

            return getpass.getpass(f"{safe_text(prompt)} ")
        print(safe_text(prompt), file=self.sink, flush=True)
        line = self.source.readline()
        if not line:
            raise LeftError
        return line.removesuffix("\n").removesuffix("\r")

    def ask_filled(self, prompt: str) -> str:
        """Return what was typed, asking again while it is nothing."""
        while not (typed := self.ask(prompt)):
            self.tell("Something has to be typed here; !help lists the commands.")
        return typed

    def pick(self, prompt: str, options: Sequence[str]) -> str:
        """Return the option whose number or text was typed; Enter alone picks nothing."""
        for number, option in enumerate(options, 1):
            self.tell(f"{number}. {option}", indent="  ")
        while True:
            typed = self.ask(prompt)
            if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(options):
                return options[int(typed) - 1]
            for option in options:
                if typed.casefold() == option.casefold():
                    return option
            self.tell(f"Type a number from 1 to {len(options)}, or the text.")

    def agree(self, prompt: str) -> bool:
        """Return whether yes was typed; anything but yes and no is asked again."""
        while True:
            match self.ask(f"{prompt} (yes/no)").casefold():
                case "yes" | "y":
                    return True
                case "no" | "n":
                    return False
            self.tell("Type yes or no.")
