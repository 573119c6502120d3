"""The lower part of a card, where a step is answered: what every kind of it has in common.

An area knows what is asked and what was typed; it posts `Given` when a person means it, and
decides nothing. What it posted stays on the screen until the job's screen replaces it, so that a
refusal or a full disk loses nothing that was typed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from textual.containers import Vertical
from textual.message import Message

from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from collections.abc import Mapping


class Area(Vertical):
    """Base of the areas; `refuse` shows why something was not taken."""

    DEFAULT_CSS = """
    Area {
        height: auto;
        padding: 0 2;
        & > .refusal { color: $text-error; display: none; &.-shown { display: block; } }
        & > .hint { color: $text-muted; }
    }
    """

    KEPT: ClassVar[bool] = False
    """Whether it is renewed for the next step that it fits, and until then kept out of sight.

    Not inherited: what derives from such an area holds more.
    """

    @dataclass
    class Given(Message):
        """A person gave an answer to what is asked."""

        given: dict[str, str]

    @dataclass
    class Confirmed(Message):
        """A person confirmed what the area is a gate for."""

        gate: str

    @dataclass
    class Resized(Message):
        """The area takes more or fewer lines than before."""

    def __init__(self, *, id: str | None = None) -> None:
        """Start without a refusal."""
        super().__init__(id=id)
        self.refusal = Plain(classes="refusal")

    def on_resize(self) -> None:
        self.post_message(self.Resized())

    def refuse(self, reason: str) -> None:
        """Show why what was given is not taken; an empty reason shows nothing."""
        said = plain(f"NOT TAKEN: {reason}", "bold $text-error", lines=True) if reason else ""
        self.refusal.show(said)
        self.refusal.set_class(bool(reason), "-shown")

    @property
    def typed(self) -> dict[str, str]:
        """What was typed and not yet taken, to be put back when the card is shown again."""
        return {}

    def put_back(self, typed: Mapping[str, str]) -> None:
        """Put back what `typed` gave before."""

    def renew(self, fresh: Area) -> bool:
        """Ask from now on what `fresh` asks, with what was put back there; nothing else stays.

        Returns whether it could; it cannot where another kind of area is needed.
        """
        if not self.is_kept() or type(fresh) is not type(self):
            return False
        self.ask_as(fresh)
        return True

    @classmethod
    def is_kept(cls) -> bool:
        """Return whether this very class says that it is `KEPT`."""
        return bool(vars(cls).get("KEPT"))

    def ask_as(self, fresh: Any) -> None:  # noqa: ANN401  an area of the very same class
        """Become what `fresh` is; for areas that are `KEPT`."""
        raise NotImplementedError

    def focus_entry(self) -> None:
        """Set the focus where keys belong."""
