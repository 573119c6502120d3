"""The rows of a form: one per input, one per output; each has one place to type in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Horizontal

from commission.calculators.unit_choices import label
from commission.safe_text import safe_text
from commission.tui.widgets import Field, Plain, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.calculators.base import Input, Output
    from commission.calculators.entry import Entry
    from commission.tui.calculators.notes import Note

MOST_CHARACTERS = 400


class FieldRow(Horizontal):
    """What both kinds have in common: the sign of the row in hand, and the label."""

    DEFAULT_CSS = """
    FieldRow {
        height: 1;
        & > .sign { width: 2; color: $accent; }
        & > .label { width: 28; text-align: right; padding: 0 1 0 0; text-wrap: nowrap;
                     text-overflow: ellipsis; }
        & > .unit { width: 12; padding: 0 1; text-wrap: nowrap; }
        & > .note { width: 1fr; text-wrap: nowrap; text-overflow: ellipsis; }
        /* Of its own: only what has a rule of this kind has those within it styled anew. */
        &:focus-within { background: $background; }
        &:focus-within > .label { color: $accent; text-style: bold; }
    }
    """

    def __init__(self, name: str, title: str, *, typed: bool = True) -> None:
        """Make the row of `name`; a row where nothing can be `typed` has no field."""
        super().__init__(classes="row")
        self.of = name
        self._title = title
        self.sign = Plain(classes="sign")
        self.field = Field(max_length=MOST_CHARACTERS) if typed else None

    def mark(self, *, in_hand: bool) -> None:
        """Show or take away the sign of the row in hand."""
        self._say(self.sign, "›" if in_hand else "")

    def _say(self, place: Plain, text: str, style: str = "") -> None:
        """Show a text whose room is fixed; the same text again costs nothing."""
        content = plain(text, style)
        if content != place.content:
            place.update(content, layout=False)

    def put(self, text: str) -> None:
        """Make `text` what stands in the field, the cursor behind it."""
        if self.field is not None and self.field.value != text:
            self.field.value = text
            self.field.action_end()


class InputRow(FieldRow):
    """An input: label, field, unit, and a word beside it."""

    DEFAULT_CSS = """
    InputRow {
        & > Field { width: 16; }
        &.-choice > Field { width: 28; }
        &.-choice > .unit { display: none; }
        &.-numbers > Field { width: 1fr; }
        &.-numbers > .unit { width: 8; }
        &.-numbers > .note { width: 18; }
    }
    """

    def __init__(self, declared: Input) -> None:
        """Make the row of an input."""
        super().__init__(declared.name, declared.label)
        self.declared = declared
        self.add_class(f"-{declared.kind}")
        self._unit = Plain(classes="unit")
        self._note = Plain(classes="note")

    def compose(self) -> ComposeResult:
        yield self.sign
        yield Plain(self._title, classes="label")
        if self.field is not None:
            yield self.field
        yield self._unit
        yield self._note

    def show(self, entry: Entry, note: Note, placeholder: str) -> None:
        """Show a field's text and unit with the word beside it."""
        self.put(entry.text)
        if self.field is not None:
            self.field.placeholder = safe_text(placeholder)
        self._say(self._unit, label(entry.unit))
        self._say(self._note, *note)


class OutputRow(FieldRow):
    """An output: label, result, unit, and a field for a value that is asked for."""

    DEFAULT_CSS = """
    OutputRow {
        & > .value { width: 16; padding: 0 0 0 1; text-style: bold; text-wrap: nowrap;
                     text-overflow: ellipsis; }
        &.-text > .value { width: 1fr; }
        &.-text > .unit { display: none; }
        & > Field { width: 1fr; border-left: none; background: $background; padding: 0 1; }
        & > Field:focus { width: 1fr; border-left: outer $accent; background: $panel; padding: 0; }
    }
    """

    def __init__(self, declared: Output, *, asked_back: bool) -> None:
        """Make the row of an output; one that cannot be `asked_back` shows only its result."""
        super().__init__(declared.name, declared.label, typed=asked_back)
        self.declared = declared
        self.set_class(not asked_back, "-text")
        self._value = Plain(classes="value")
        self._unit = Plain(classes="unit")

    def compose(self) -> ComposeResult:
        yield self.sign
        yield Plain(self._title, classes="label")
        yield self._value
        yield self._unit
        if self.field is not None:
            yield self.field

    def mark(self, *, in_hand: bool) -> None:
        super().mark(in_hand=in_hand)
        if self.field is not None:
            self.field.placeholder = "wanted value" if in_hand else ""

    def show(self, value: str, unit_text: str, wanted: str) -> None:
        """Show the result, or an empty one, and the value that is asked for."""
        self._say(self._value, value or "…", "" if value else "$text-muted")
        self._say(self._unit, label(unit_text))
        self.put(wanted)
