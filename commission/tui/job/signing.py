"""Signing the record so far: who, as what, with which meaning, and over which head.

A signature takes the name and a typed word, so that no key by itself can sign. Where people are
registered it takes the name here and then the passphrase, see `tui.signing`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from textual.message import Message

from commission.job.ask import Ask
from commission.tui.job.fields import FieldsArea
from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.procedure.model import SignOff

MEANINGS: Final = {
    "done": "the work recorded here was done as it says",
    "witnessed": "the work recorded here was witnessed",
    "released": "the bike is released on the strength of this record",
}
_NAME: Final = "name"
_WORD: Final = "word"


class SignArea(FieldsArea):
    """The name and the word of a sign-off, under what is being signed."""

    DEFAULT_CSS = """
    SignArea > .signed { height: auto; border-left: outer $border-blurred; padding: 0 1;
        margin-bottom: 1; }
    """

    @dataclass
    class Signed(Message):
        """A person signed."""

        name: str
        field: str

    def __init__(
        self, field: str, step: SignOff, name: str, head: str, entries: int, *, keyed: bool = False
    ) -> None:
        """Sign `step`, whose ask is `field`, over `head`; `name` is offered, if anybody is.

        `keyed` leaves out the word, as a passphrase is asked for next.
        """
        who = Ask(_NAME, f"Name of the {step.role} who signs", "text", offered=name)
        word = Ask(_WORD, f"Type the word {step.meaning} to sign", "text")
        super().__init__((who,) if keyed else (who, word))
        self._keyed = keyed
        self._field = field
        self._word = step.meaning
        self._signed = Plain(
            f"Meaning   {step.meaning}: {MEANINGS[step.meaning]}\n"
            f"Role      {step.role}\n"
            f"Over      {entries} entries, head {head[:32]}…",
            classes="signed",
        )

    def compose(self) -> ComposeResult:
        yield self._signed
        yield from super().compose()

    def give(self, given: dict[str, str]) -> None:
        if not self._keyed and given[_WORD].casefold() != self._word:
            self.refuse(f"the word is {self._word}; nothing is signed.")
        else:
            self.post_message(self.Signed(given[_NAME], self._field))
